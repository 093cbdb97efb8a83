package picture

import (
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"sallyport"
)

// failed is a show of two vehicles with a matrix of what their failures do.
func failed() (*sallyport.Show, *sallyport.FailureMatrix) {
	at := func(h int) sallyport.Instant { return sallyport.At(1, h, 0) }
	show := &sallyport.Show{
		Name: "Small <show> & co", Days: []sallyport.Day{{Name: "Saturday"}},
		Vehicles: []sallyport.Vehicle{{ID: "dunlin", Name: "Dunlin"}, {ID: "knot", Name: `Knot "& sons"`}},
		Serials:  []sallyport.Serial{{ID: "1", Name: "Opening", FormUp: at(10)}},
	}
	m := &sallyport.FailureMatrix{
		Rows: []sallyport.FailureRow{
			{Unit: "dunlin", Entry: "a", Serial: "1", At: at(9), Cells: []sallyport.FailureCell{
				{Kind: sallyport.FailLate, At: at(9), Takes: 23 * 60, Lost: []sallyport.EntryID{"a", "b"}},
				{Kind: sallyport.FailInLane, At: at(9), Lost: []sallyport.EntryID{"a", "b", "c"}, Left: []sallyport.EntryID{"a"}, Takes: 420, ShutIn: []sallyport.UnitID{"knot"}},
			}},
			{Unit: "knot", Duty: "fuel", At: at(11), Cells: []sallyport.FailureCell{{Kind: sallyport.FailReversing, At: at(12)}}},
		},
		Worst:      []sallyport.CellRef{{Row: 0, Cell: 1}, {Row: 1, Cell: 0}, {Row: 0, Cell: 0}},
		NotChecked: []string{"two at a time"}, Assumed: []sallyport.Assumption{{Subject: "failures", Field: "a slave lead", Value: "5 min"}},
	}
	return show, m
}

// texts returns all text of an SVG drawing, and an error when it is not well
// formed.
func texts(data []byte) ([]string, error) {
	var list []string
	d := xml.NewDecoder(strings.NewReader(string(data)))
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return list, nil
		}
		if err != nil {
			return nil, err
		}
		if c, ok := token.(xml.CharData); ok {
			list = append(list, string(c))
		}
	}
}

func TestMatrix(t *testing.T) {
	show, m := failed()
	list, err := texts(Matrix(show, m))
	if err != nil {
		t.Fatal(err)
	}
	all := strings.Join(list, "\n")
	for _, want := range []string{
		"Small <show> & co: what failures do", "Saturday", "Opening, formed up 10:00", "Duties", "Dunlin", `Knot "& sons"`,
		"late start", "in lane", "in the mouth", "on the line", "road or gate", "in the arena", "reversing in",
		"23 min", "1 of 3", "7 min", "Not checked: two at a time.", "Assumed: a slave lead 5 min.", "The worst first", "1  Dunlin, in lane, Saturday 09:00",
	} {
		if !strings.Contains(all, want) {
			t.Errorf("the drawing does not say %q", want)
		}
	}
}

// A matrix without rows is a sheet that says so much.
func TestEmptyMatrix(t *testing.T) {
	show, _ := failed()
	if _, err := texts(Matrix(show, &sallyport.FailureMatrix{})); err != nil {
		t.Error(err)
	}
	if text := MatrixText(show, &sallyport.FailureMatrix{}); !strings.Contains(text, "entries lost") {
		t.Errorf("%q", text)
	}
}

func TestMatrixText(t *testing.T) {
	show, m := failed()
	text := MatrixText(show, m)
	for _, line := range strings.Split(text, "\n") {
		if textColumns(line) > 100 {
			t.Errorf("%d columns: %q", textColumns(line), line)
		}
	}
	lines := strings.Split(text, "\n")
	want := []string{"SATURDAY", "late start", "Opening, formed up 10:00", "Dunlin        23'         1/3 7'", "Duties"}
	for i, w := range want {
		if !strings.Contains(lines[i], w) {
			t.Errorf("line %d is %q, want %q in it", i+1, lines[i], w)
		}
	}
}

// Every cell can be found again: as many figures as cells, and a dash where
// nothing can happen.
func TestMatrixHasEveryCell(t *testing.T) {
	show, m := failed()
	text := MatrixText(show, m)
	if got := strings.Count(text, " -"); got != 2*len(sallyport.FailureKinds)-3 {
		t.Errorf("%d dashes, want one for each of the %d cells that cannot be", got, 2*len(sallyport.FailureKinds)-3)
	}
}
