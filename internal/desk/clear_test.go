package desk_test

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"

	"sallyport"
	"sallyport/internal/desk"
)

// clearing lets units out of the small show, changed and completed.
func clearing(t *testing.T, change func(*sallyport.Show, *sallyport.Plan), at sallyport.Instant, units ...sallyport.UnitID) *desk.Clearing {
	t.Helper()
	show, plan := small()
	if change != nil {
		change(show, plan)
	}
	c, err := desk.Clear(t.Context(), sallyport.Complete(show), plan, desk.ClearAsk{At: at, Units: units}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestClear(t *testing.T) {
	at := sallyport.At(1, 8, 0)
	second := func(s *sallyport.Show, _ *sallyport.Plan) {
		s.Park.Lanes = append(s.Park.Lanes, sallyport.Lane{ID: "B1", Length: 1200})
	}
	for _, c := range []struct {
		name   string
		change func(*sallyport.Show, *sallyport.Plan)
		at     sallyport.Instant
		who    sallyport.UnitID
		moves  int // of others; -1: no way
		back   int
		code   sallyport.Code
		says   []string
	}{
		{"nobody before it", nil, at, "dunlin", 0, 0, "", []string{"the way is free, nobody else has to be moved", "Dunlin  out of lane A1", "is missed: Dunlin in Opening at 10:30"}},
		{"one before it", nil, at, "knot", 1, 1, "", []string{
			"To let Knot out on Saturday 08:00: 1 other move is needed, the fewest possible.", "Dunlin  lane A1 to ", "Knot    out of lane A1",
			"Moving only those who stand in the way: 1 move, the fewest possible.", "Moving anybody who helps: 1 move, the fewest possible.",
			"If nothing else is done, the rest of the day goes as planned.", "To put them back:", "When they are put back from 08:13 on, the rest of the day goes as planned.",
			"banksman", "Not checked:", "Assumed:",
		}},
		{"to the line when that is soon formed up", nil, sallyport.At(1, 9, 0), "knot", 1, 1, "", []string{"Knot    out of lane A1 to line North Road", "the rest of the day goes as planned"}},
		{"aside, not into a lane in which somebody is missed", second, at, "knot", 1, 1, "", []string{"Dunlin  lane A1 to "}},
		{"another lane when there is no place aside", func(s *sallyport.Show, p *sallyport.Plan) {
			second(s, p)
			s.Park.Spots = []sallyport.Spot{{ID: "verge", Use: sallyport.SpotAside, Length: 100}}
		}, at, "knot", 1, 1, "", []string{"lane A1 to lane B1", "Dunlin  lane B1 to lane A1"}},
		{"nowhere to go", func(s *sallyport.Show, _ *sallyport.Plan) {
			s.Park.Spots = []sallyport.Spot{{ID: "verge", Use: sallyport.SpotAside, Length: 100}}
		}, at, "knot", -1, 0, sallyport.CodeNotWorkable, []string{"Knot cannot be let out on Saturday 08:00: there is no way.", "there is nowhere that Dunlin, which stands in the way in lane A1, may be moved to and has room"}},
		{"pushed when off the road", func(s *sallyport.Show, _ *sallyport.Plan) {
			s.Vehicles[0].OffRoad, s.Vehicles[0].HandPeople = sallyport.Window{To: sallyport.At(2, 0, 0)}, 4
		}, at, "knot", 1, 1, "", []string{"pushed by 4", "Pushing by hand: somebody at the brake"}},
		{"shut in when it cannot be moved", func(s *sallyport.Show, _ *sallyport.Plan) {
			s.Vehicles[0].OffRoad = sallyport.Window{To: sallyport.At(2, 0, 0)}
		}, at, "knot", -1, 0, sallyport.CodeNotWorkable, []string{"Dunlin in lane A1 can neither drive nor be pushed by hand"}},
		{"towed by a standby vehicle, masses not known", func(s *sallyport.Show, p *sallyport.Plan) {
			second(s, p)
			s.Vehicles[0].OffRoad = sallyport.Window{To: sallyport.At(2, 0, 0)}
			s.Vehicles = append(s.Vehicles, sallyport.Vehicle{ID: "heron", Name: "Heron", Standby: true, Length: 500})
			p.Start = append(p.Start, sallyport.LaneLayout{Lane: "B1", Units: []sallyport.UnitID{"heron"}})
		}, at, "knot", 1, 0, "", []string{"towed by Heron", "whether Heron may tow Dunlin: a mass is not given", "Towing:"}},
		{"public inside", func(s *sallyport.Show, _ *sallyport.Plan) {
			s.Days[0].PublicFrom, s.Days[0].PublicTo = sallyport.At(1, 7, 30), sallyport.At(1, 9, 0)
			s.Park.Zones = []sallyport.Zone{{ID: "green", Name: "Green", Public: true}}
			s.Park.Lanes[0].Zone = "green"
		}, at, "knot", -1, 0, sallyport.CodeNotWorkable, []string{"nothing moves in lane A1 while the public is in zone Green: from 07:30 to 09:00"}},
		{"a lane too far off is not looked at, and nothing is claimed of it", func(s *sallyport.Show, _ *sallyport.Plan) {
			s.Park.Spots = []sallyport.Spot{{ID: "verge", Use: sallyport.SpotAside, Length: 100}}
			for i := range 60 {
				s.Park.Lanes = append(s.Park.Lanes, sallyport.Lane{ID: sallyport.LaneID(fmt.Sprintf("S%d", i)), Length: 100})
			}
			second(s, nil)
		}, at, "knot", -1, 0, sallyport.CodeNotWorkable, []string{"No way was found to let Knot out", "there may be one of 1 move or more", "2 lanes farther off, which could hold somebody too"}},
		{"waits for what is under way", nil, sallyport.At(1, 11, 1), "knot", 0, 0, "", []string{"11:15  Knot", "To warm up in the lane: Knot from 11:05.", "these planned moves have to wait: Dunlin (return) from 11:10 to 11:18."}},
	} {
		t.Run(c.name, func(t *testing.T) {
			x := clearing(t, c.change, c.at, c.who)
			text := strings.Join(x.Summary(), "\n")
			for _, want := range c.says {
				if !strings.Contains(text, want) {
					t.Errorf("%q is not in", want)
				}
			}
			if x.Code() != c.code {
				t.Errorf("code %q, want %q", x.Code(), c.code)
			}
			if c.moves < 0 != (x.Chosen < 0) || c.moves >= 0 && x.Ways[x.Chosen].Moves != c.moves || len(x.Back) != c.back {
				t.Errorf("chosen %d of %+v, %d back; want %d moves, %d back", x.Chosen, x.Ways, len(x.Back), c.moves, c.back)
			}
			if t.Failed() {
				t.Log(text)
			}
		})
	}
}

// TestClearAfter says what has happened: who has failed is pushed, who is not
// to be moved shuts others in.
func TestClearAfter(t *testing.T) {
	at := sallyport.At(1, 8, 0)
	for _, c := range []struct {
		kind     sallyport.HappeningKind
		code     sallyport.Code
		happened string
		says     string
	}{
		{sallyport.HappenFailed, "", "After what has happened: Dunlin has failed in lane.\n", "pushed by 5"},
		{sallyport.HappenDoNotMove, sallyport.CodeNotWorkable, "After what has happened: Dunlin is not to be moved.\n", "Dunlin in lane A1 is not to be moved"},
	} {
		show, plan := small()
		show.Vehicles[0].HandPeople = 5
		ask := desk.ClearAsk{At: at, Units: []sallyport.UnitID{"knot"}, Happened: []sallyport.Happening{{Kind: c.kind, Unit: "dunlin", At: at}}}
		x, err := desk.Clear(t.Context(), sallyport.Complete(show), plan, ask, nil)
		if err != nil {
			t.Fatal(err)
		}
		if text := strings.Join(x.Summary(), "\n"); x.Code() != c.code || !strings.Contains(text, c.says) || !strings.HasPrefix(text, c.happened) {
			t.Errorf("%s: code %q, no %q in\n%s", c.kind, x.Code(), c.says, text)
		}
	}
}

func TestClearNotInLane(t *testing.T) {
	show, plan := small()
	_, err := desk.Clear(t.Context(), sallyport.Complete(show), plan, desk.ClearAsk{At: sallyport.At(1, 10, 30), Units: []sallyport.UnitID{"knot"}}, nil)
	var known *sallyport.Error
	if !errors.As(err, &known) || known.Code != sallyport.CodeInput || !strings.Contains(err.Error(), "Knot is in no lane on Saturday 10:30: it is at the arena") {
		t.Errorf("error %v", err)
	}
}

func TestClearInterrupted(t *testing.T) {
	show, plan := small()
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	c, err := desk.Clear(ctx, sallyport.Complete(show), plan, desk.ClearAsk{At: sallyport.At(1, 8, 0), Units: []sallyport.UnitID{"knot"}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if c.Code() != sallyport.CodeInterrupted || !strings.Contains(c.Summary()[0], "stopped early") {
		t.Errorf("code %q, summary %q", c.Code(), c.Summary()[0])
	}
}
