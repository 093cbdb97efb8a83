package workbook_test

import (
	"slices"
	"strings"
	"testing"

	sp "sallyport"
	"sallyport/internal/fenmoor"
	"sallyport/internal/workbook"
)

func serialOf(show *sp.Show, id sp.SerialID) *sp.Serial {
	i := slices.IndexFunc(show.Serials, func(s sp.Serial) bool { return s.ID == id })
	if i < 0 {
		return nil
	}
	return &show.Serials[i]
}

func unitsOf(s *sp.Serial) string {
	var list []string
	for _, e := range s.Entries {
		list = append(list, string(e.Unit))
	}
	return strings.Join(list, " ")
}

func TestPasteWithoutHeaders(t *testing.T) {
	show := fenmoor.Show()
	day := serialOf(show, "sat-1").ArenaIn.Day()
	p := workbook.Paste(show, day, "9\tLast light\tSouth Hard\t17:00\t17:10\t17:30\t18:00\tAvocet, Dunlin\r\n1\tMorning regiment\tNorth Road\t10:05\t10:15\t10:40\t11:10\tCormorant, Jacana\r\n")
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	s := serialOf(p.Show, "sat-9")
	if s == nil || s.Name != "Last light" || s.ArenaIn != sp.At(day, 17, 10) || unitsOf(s) != "avocet dunlin" || s.Entries[0].ID != "sat-9/avocet" {
		t.Fatalf("new serial: %+v", s)
	}
	if s := serialOf(p.Show, "sat-1"); s.ArenaIn != sp.At(day, 10, 15) || s.Name != "Morning regiment" || unitsOf(s) != "cormorant jacana" || s.Travel == 0 {
		t.Fatalf("changed serial: %+v", s)
	}
	if len(p.Show.Serials) != len(show.Serials)+1 || serialOf(show, "sat-1").Name == "Morning regiment" {
		t.Error("the show that was given has changed, or serials were lost")
	}
}

func TestPasteSomeColumns(t *testing.T) {
	show := fenmoor.Show()
	p := workbook.Paste(show, 0, "Serial\tArena in\tArena out\nfri-2\tFriday 11:20\tFriday 11:45\n")
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	old, s := serialOf(show, "fri-2"), serialOf(p.Show, "fri-2")
	if s.ArenaIn != old.ArenaIn+600 || s.FormUp != old.FormUp || unitsOf(s) != unitsOf(old) || s.Entries[6].Reserves == nil {
		t.Fatalf("got %+v", s)
	}
}

func TestPasteEntries(t *testing.T) {
	show := fenmoor.Show()
	driver := show.People[0]
	p := workbook.Paste(show, 0, "Serial\tVehicle\tDriver\nfri-1\tBittern\t"+driver.Name+"\nfri-1\tDunlin\t\n")
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	s := serialOf(p.Show, "fri-1")
	if unitsOf(s) != unitsOf(serialOf(show, "fri-1"))+" dunlin" || s.Entries[5].Driver != driver.ID {
		t.Fatalf("got %+v", s.Entries)
	}
}

func TestPasteSaysEveryProblem(t *testing.T) {
	show := fenmoor.Show()
	tests := []struct {
		name, text string
		day        int
		row, col   int
		part       string
	}{
		{"an unknown vehicle", "Serial\tArena in\tVehicles\n7\tSaturday 10:00\tAvocet, Pegasus\n", 0, 2, 3, "Pegasus"},
		{"no time", "Serial\tArena in\tVehicles\n7\tlunch\tAvocet\n", 2, 2, 2, ""},
		{"a row without headers", "9\tName\tNorth Road\t25:99\t10:20\t10:40\t11:00\tAvocet", 2, 1, 4, ""},
		{"nothing", " \n\t\n", 0, 0, 0, "nothing"},
		{"no such day", "1\tx", 99, 0, 0, "no day 99"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			p := workbook.Paste(show, test.day, test.text)
			if p.Show == nil || !slices.ContainsFunc(p.Problems, func(x workbook.Problem) bool {
				return x.Row == test.row && x.Column == test.col && strings.Contains(x.Message, test.part)
			}) {
				t.Errorf("problems: %+v", p.Problems)
			}
		})
	}
}
