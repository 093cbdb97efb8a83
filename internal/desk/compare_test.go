package desk_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/fenmoor"
	"sallyport/internal/workbook"
)

func TestAStateComparedWithItselfIsTheSame(t *testing.T) {
	show, plan := demo()
	for _, side := range []desk.Side{{Name: "Draft 3", Show: fenmoor.Show(), Plan: plan}, {Name: "Draft 1", Show: alley()}, {Name: "complete", Show: show}} {
		c := desk.Compare(side, side)
		if len(c.Events)+len(c.Moved)+len(c.Notices)+len(c.Cost) > 0 || c.Total.Was != c.Total.Now || c.A != side.Name || !slices.Equal(c.Says, []string{"Nothing is different."}) {
			t.Errorf("%+v", c)
		}
	}
}

func TestCompareEvents(t *testing.T) {
	tests := []struct {
		name   string
		change func(*sallyport.Show)
		want   []string // what: was > now
	}{
		{"a serial later", func(s *sallyport.Show) {
			s.Serials[0].ArenaIn += 600
			s.Serials[0].ArenaOut += 600
		}, []string{"form from: Saturday 09:20 > Saturday 09:30", "form up: Saturday 09:50 > Saturday 10:00", "arena in: Saturday 10:00 > Saturday 10:10", "arena out: Saturday 10:20 > Saturday 10:30", "home by: Saturday 10:55 > Saturday 11:05"}},
		{"a serial struck", func(s *sallyport.Show) { s.Serials = s.Serials[:2] }, []string{"serial struck: serial 3, Saturday 14:00, 1 entry > "}},
		{"a new serial", func(s *sallyport.Show) {
			x := s.Serials[0]
			x.ID, x.ArenaIn, x.ArenaOut, x.Entries = "4", sallyport.At(1, 16, 0), sallyport.At(1, 16, 20), nil
			s.Serials = append(s.Serials, x)
		}, []string{"new serial:  > serial 4, Saturday 16:00, 0 entries"}},
		{"entries", func(s *sallyport.Show) {
			s.Serials[0].Entries = append(s.Serials[0].Entries, sallyport.Entry{ID: "1/crake", Unit: "crake"})
			s.Serials[1].Entries = nil
		}, []string{"new entry:  > Crake, place 2", "entry struck: Bittern > "}},
		{"another vehicle and driver", func(s *sallyport.Show) {
			s.Serials[0].Entries[0].Unit, s.Serials[0].Entries[0].Driver = "crake", "orla"
		}, []string{"vehicle: Avocet > Crake", "driver:  > orla"}},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			show := alley()
			test.change(show)
			var got []string
			for _, e := range desk.Compare(desk.Side{Show: alley()}, desk.Side{Show: show}).Events {
				got = append(got, fmt.Sprintf("%s: %s > %s", e.What, e.Was, e.Now))
				if e.People == nil {
					t.Errorf("people of %q are null", e.What)
				}
			}
			if !slices.Equal(got, test.want) {
				t.Errorf("got %q\nwant %q", got, test.want)
			}
		})
	}
	t.Run("order", func(t *testing.T) {
		show := fenmoor.Show()
		e := show.Serials[0].Entries
		e[0], e[1] = e[1], e[0]
		list := desk.Compare(desk.Side{Show: fenmoor.Show()}, desk.Side{Show: show}).Events
		if len(list) != 1 || list[0].What != "order" || list[0].Serial != show.Serials[0].ID || len(list[0].People) == 0 {
			t.Errorf("%+v", list)
		}
	})
}

func TestComparePlans(t *testing.T) {
	show, plan := demo()
	s := desk.NewTable(show, plan, desk.TableOptions{}).Stays[0]
	a := placed(t, show, plan, desk.Put{Unit: s.Unit, Lane: show.Park.Lanes[1].ID})
	c := desk.Compare(desk.Side{Name: "Issue 1", Show: show, Plan: plan}, desk.Side{Name: "Draft 2", Show: show, Plan: a.Plan})
	want := []desk.StayMoved{{Unit: s.Unit, Was: s.Lane, Now: show.Park.Lanes[1].ID}}
	if !slices.Equal(c.Moved, want) || len(c.Events) > 0 || len(c.Notices) == 0 || len(c.Cost) == 0 || len(c.Says) < 3 {
		t.Errorf("moved %v, events %v, cost %v, %q", c.Moved, c.Events, c.Cost, c.Says)
	}
	var sum sallyport.Amount
	for _, term := range c.Cost {
		sum += term.Now - term.Was
	}
	if sum != c.Total.Now-c.Total.Was {
		t.Errorf("terms differ by %d, totals by %d", sum, c.Total.Now-c.Total.Was)
	}
}

// TestExportedAndPreviewedNothingChanges: whatever is edited, the workbook of a
// show has nothing other than the show.
func TestExportedAndPreviewedNothingChanges(t *testing.T) {
	for seed := range uint64(6) {
		show, rnd := fenmoor.Show(), rand.New(rand.NewPCG(seed, 0))
		for range seed {
			s, v := &show.Serials[rnd.IntN(len(show.Serials))], &show.Vehicles[rnd.IntN(len(show.Vehicles))]
			s.ArenaOut += 120
			s.Entries, s.Leaving = s.Entries[1:], nil
			s.Entries[0].Reserves = []sallyport.UnitID{"crake"}
			v.Length += 5
			v.Home = sallyport.Home{Lane: v.Home.Lane, Binding: v.Home.Binding, Reason: "near the tap"}
		}
		var b bytes.Buffer
		if err := workbook.WriteXLSX(&b, show, nil); err != nil {
			t.Fatal(err)
		}
		in, err := workbook.ReadBytes("show.xlsx", b.Bytes())
		if err != nil {
			t.Fatal(err)
		}
		if p := desk.NewPreview("show.xlsx", show, in); len(p.Differences) > 0 || p.File != "show.xlsx" {
			t.Fatalf("%+v", p.Differences)
		}
	}
}

func TestPreviewOfFaultyFiles(t *testing.T) {
	show := fenmoor.Show()
	for name, data := range map[string]string{
		"empty.xlsx": "", "old.xls": "\xd0\xcf\x11\xe0", "show.json": `{"format":"sallyport-show/1","vehicles":[{"id":"a","nme":"A"}]}`,
		"plan.json": `{"format":"sallyport-plan/1","start":[],"moves":[]}`,
		"Lanes.csv": "Lane,Length (m)\nA,long\n",
	} {
		t.Run(name, func(t *testing.T) {
			in, _ := workbook.ReadBytes(name, []byte(data)) // the problems are in it, too
			p := desk.NewPreview(name, show, in)
			if len(p.Problems) == 0 || p.Problems[0].Message == "" || p.Notes == nil || p.Differences == nil {
				t.Errorf("%+v", p)
			}
		})
	}
	in, _ := workbook.ReadBytes("Lanes.csv", []byte("Lane,Length (m)\nA,long\n"))
	if p := desk.NewPreview("Lanes.csv", show, in); !slices.ContainsFunc(p.Problems, func(x desk.Problem) bool { return x.Where == "Lanes B2" }) {
		t.Errorf("no place is named: %+v", p.Problems)
	}
}

func TestPasteNamesRowAndColumn(t *testing.T) {
	p := desk.Paste(fenmoor.Show(), 3, "Serial\tArena in\tVehicles\n7\t10:00\tAvocet, Pegasus\n")
	if len(p.Problems) == 0 || p.Problems[0].Where != "row 2, column 3" || p.Show == nil {
		t.Errorf("%+v", p.Problems)
	}
}
