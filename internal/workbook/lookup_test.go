package workbook_test

import (
	"errors"
	"strings"
	"testing"

	sp "sallyport"
	"sallyport/internal/workbook"
)

func TestLookup(t *testing.T) {
	l := workbook.NewLookup(&sp.Show{
		Vehicles: []sp.Vehicle{{ID: "v1", Name: "Avocet", Number: "F 12", Nicknames: []string{"Old Grey"}}, {ID: "v2", Name: "Bittern"}, {ID: "v3", Name: "Bittern"}},
		Park:     sp.Park{Lanes: []sp.Lane{{ID: "C4"}}, Lines: []sp.Line{{ID: "N", Name: "North Road"}}},
		Serials:  []sp.Serial{{ID: "sat-4", Name: "Drumhead column"}},
	})
	for _, c := range []struct {
		text  string
		kinds []string
		want  string
		code  sp.Code
		says  string
	}{
		{"v1", []string{"unit"}, "v1", "", ""},
		{"avocet", []string{"unit"}, "v1", "", ""},
		{"f12", []string{"unit"}, "v1", "", ""},
		{"old grey", []string{"unit", "serial"}, "v1", "", ""},
		{"lane C4", []string{"lane"}, "C4", "", ""},
		{"drumhead column", []string{"unit", "serial"}, "sat-4", "", ""},
		{"North Road", []string{"line"}, "N", "", ""},
		{"Bittern", []string{"unit"}, "", sp.CodeInput, "v2, v3"},
		{"Avoset", []string{"unit"}, "", sp.CodeNotFound, "write Avocet if that is meant"},
		{"Heron", []string{"unit", "lane"}, "", sp.CodeNotFound, `no vehicle, lane "Heron"`},
	} {
		got, err := l.Find(c.text, c.kinds...)
		var known *sp.Error
		switch {
		case c.code == "" && (err != nil || got != c.want):
			t.Errorf("%q is %q (%v), want %q", c.text, got, err, c.want)
		case c.code != "" && (!errors.As(err, &known) || known.Code != c.code || !strings.Contains(known.Error(), c.says)):
			t.Errorf("%q gives %v, want code %q and %q", c.text, err, c.code, c.says)
		}
	}
}
