package workbook_test

import (
	"bytes"
	"testing"

	sp "sallyport"
	"sallyport/internal/fenmoor"
	"sallyport/internal/workbook"
)

func differencesOfRead(t *testing.T, show *sp.Show) []workbook.Difference {
	t.Helper()
	var b bytes.Buffer
	if err := workbook.WriteXLSX(&b, show, nil); err != nil {
		t.Fatal(err)
	}
	in, err := workbook.ReadXLSX(bytes.NewReader(b.Bytes()), int64(b.Len()))
	if err != nil {
		t.Fatal(err)
	}
	return workbook.Differences(show, in.Show)
}

func TestAShowWrittenAndReadHasNoDifferences(t *testing.T) {
	if list := differencesOfRead(t, fenmoor.Show()); len(list) != 0 {
		t.Fatalf("%d differences, the first %+v", len(list), list[0])
	}
}

func TestDifferences(t *testing.T) {
	tests := []struct {
		name   string
		change func(*sp.Show)
		want   workbook.Difference
	}{
		{
			"a lane is longer", func(s *sp.Show) { s.Park.Lanes[0].Length += 100 },
			workbook.Difference{Sheet: "Lanes", ID: "Y1", Name: "Y1", Change: workbook.Changed, Fields: []workbook.FieldSides{{Field: "Length (m)"}}},
		},
		{
			"a vehicle is gone", func(s *sp.Show) { s.Vehicles = s.Vehicles[1:] },
			workbook.Difference{Sheet: "Vehicles", Change: workbook.Gone},
		},
		{
			"a driver is named", func(s *sp.Show) { s.Serials[0].Entries[0].Driver = s.People[0].ID },
			workbook.Difference{Sheet: "Entries", Change: workbook.Changed, Fields: []workbook.FieldSides{{Field: "Driver"}}},
		},
		{
			"two entries change places", func(s *sp.Show) {
				e := s.Serials[0].Entries
				e[0], e[1] = e[1], e[0]
			},
			workbook.Difference{Sheet: "Entries", ID: "fri-1", Change: workbook.Changed, Fields: []workbook.FieldSides{{Field: "Order"}}},
		},
		{
			"a serial is new", func(s *sp.Show) {
				x := s.Serials[0]
				x.ID, x.Entries = "extra", nil
				s.Serials = append(s.Serials, x)
			},
			workbook.Difference{Sheet: "Serials", ID: "extra", Change: workbook.New},
		},
		{
			"the time zone", func(s *sp.Show) { s.Zone = "Europe/Oslo" },
			workbook.Difference{Sheet: "Show", ID: "Time zone", Change: workbook.Changed, Fields: []workbook.FieldSides{{Field: "Value", Now: "Europe/Oslo"}}},
		},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			show := fenmoor.Show()
			test.change(show)
			list := workbook.Differences(fenmoor.Show(), show)
			if len(list) != 1 {
				t.Fatalf("%d differences: %+v", len(list), list)
			}
			d := list[0]
			if d.Sheet != test.want.Sheet || d.Change != test.want.Change || test.want.ID != "" && d.ID != test.want.ID || d.Name == "" {
				t.Errorf("got %+v, want %+v", d, test.want)
			}
			if n := len(test.want.Fields); n > 0 && (len(d.Fields) != n || d.Fields[0].Field != test.want.Fields[0].Field || d.Fields[0].Was == d.Fields[0].Now) {
				t.Errorf("fields %+v, want %+v", d.Fields, test.want.Fields)
			}
		})
	}
}
