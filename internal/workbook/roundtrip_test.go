package workbook

import (
	"bytes"
	"os"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	sp "sallyport"
	"sallyport/internal/fenmoor"
)

// sameShow compares shows; a list not given is as good as an empty one.
func sameShow(t interface {
	Helper()
	Errorf(string, ...any)
}, want, got *sp.Show,
) {
	t.Helper()
	if diff := cmp.Diff(want, got, cmpopts.EquateEmpty()); diff != "" {
		t.Errorf("the show changed on its way (-written +read):\n%s", diff)
	}
}

// throughXLSX writes a show as a workbook and reads it back.
func throughXLSX(t fataler, show *sp.Show, sketch []sp.Placement) *Input {
	t.Helper()
	var buf bytes.Buffer
	if err := WriteXLSX(&buf, show, sketch); err != nil {
		t.Fatalf("WriteXLSX: %v", err)
	}
	in, err := ReadXLSX(bytes.NewReader(buf.Bytes()), int64(buf.Len()))
	if err != nil {
		t.Fatalf("ReadXLSX: %v", err)
	}
	return in
}

// throughCSV writes a show as a folder and reads it back.
func throughCSV(t fataler, dir string, show *sp.Show, sketch []sp.Placement) *Input {
	t.Helper()
	if err := WriteCSV(dir, show, sketch); err != nil {
		t.Fatalf("WriteCSV: %v", err)
	}
	in, err := ReadCSV(os.DirFS(dir))
	if err != nil {
		t.Fatalf("ReadCSV: %v", err)
	}
	return in
}

func throughJSON(t fataler, show *sp.Show) *Input {
	t.Helper()
	var buf bytes.Buffer
	if err := WriteJSON(&buf, show); err != nil {
		t.Fatalf("WriteJSON: %v", err)
	}
	in, err := ReadJSON(&buf)
	if err != nil {
		t.Fatalf("ReadJSON: %v", err)
	}
	return in
}

type fataler interface {
	Helper()
	Fatalf(string, ...any)
}

func TestFenmoorRoundTrip(t *testing.T) {
	show := fenmoor.Show()
	for name, in := range map[string]*Input{
		"xlsx": throughXLSX(t, show, nil), "csv": throughCSV(t, t.TempDir(), show, nil), "json": throughJSON(t, show),
	} {
		t.Run(name, func(t *testing.T) {
			sameShow(t, show, in.Show)
			for _, p := range in.Problems {
				t.Errorf("nothing is wrong with it, but: %s", p)
			}
		})
	}
}

// What is written in any of the three formats is read back as the same show.
func TestRoundTrip(t *testing.T) {
	dir := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		show, sketch := drawShow(t)
		ways := map[string]*Input{"csv": throughCSV(t, dir, show, sketch)}
		if rapid.IntRange(0, 2).Draw(t, "way") == 0 { // the slow way, less often
			ways["xlsx"] = throughXLSX(t, show, sketch)
		}
		for name, in := range ways {
			if diff := cmp.Diff(show, in.Show, cmpopts.EquateEmpty()); diff != "" {
				t.Fatalf("%s changed the show (-written +read):\n%s", name, diff)
			}
			if diff := cmp.Diff(sketch, in.Sketch, cmpopts.EquateEmpty()); diff != "" {
				t.Fatalf("%s changed the places (-written +read):\n%s", name, diff)
			}
		}
		sameShow(t, show, throughJSON(t, show).Show)
	})
}
