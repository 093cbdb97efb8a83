package solve

import (
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"sync"
	"testing"

	"sallyport"
	"sallyport/bench/plant"
	"sallyport/internal/fenmoor"
)

// published is a show with its last issue.
type published struct {
	name string
	show *sallyport.Show
	plan *sallyport.Plan
}

var publishedShows = sync.OnceValue(func() []published {
	planted, err := plant.Plant(plant.Options{Seed: 1, Spare: 15, NobodyAside: true, Exchanges: 4})
	if err != nil {
		panic(err)
	}
	list := []published{{name: "Fenmoor", show: sallyport.Complete(fenmoor.Show())}, {name: "planted", show: sallyport.Complete(planted.Show)}}
	for i := range list {
		r, err := Solve(context.Background(), list[i].show, Options{Seed: 1, Steps: 3_000_000}, nil)
		if err != nil {
			panic(err)
		}
		list[i].plan = r.Plan
	}
	return list
})

// momentOf is a show at a moment with what has happened.
func (x published) momentOf(at sallyport.Instant, happened ...sallyport.Happening) (Moment, []sallyport.Problem) {
	state, past, rest := sallyport.StateAt(x.show, x.plan, at)
	show, after, done, problems := sallyport.Apply(x.show, state, happened)
	return Moment{Show: show, State: after, Happened: done, Issued: x.plan, Past: past, Rest: rest}, problems
}

// someFailure draws a failure that can be at a moment.
func (x published) someFailure(rnd *rand.Rand, at sallyport.Instant) (sallyport.Happening, bool) {
	state, _, _ := sallyport.StateAt(x.show, x.plan, at)
	for range 50 {
		h := sallyport.Happening{
			Kind: sallyport.HappenFailed, Unit: x.show.Vehicles[rnd.IntN(len(x.show.Vehicles))].ID,
			Where: sallyport.FailureKinds[1+rnd.IntN(len(sallyport.FailureKinds)-1)],
		}
		if rnd.IntN(5) == 0 {
			h.Kind, h.Where, h.Until = sallyport.HappenLate, "", at+sallyport.Instant(600+rnd.IntN(5400))
		}
		if _, _, _, problems := sallyport.Apply(x.show, state, []sallyport.Happening{h}); len(problems) == 0 {
			return h, true
		}
	}
	return sallyport.Happening{}, false
}

func (x published) someMoment(rnd *rand.Rand) sallyport.Instant {
	return x.plan.Moves[rnd.IntN(len(x.plan.Moves))].Start + sallyport.Instant(rnd.IntN(900))
}

// stopped returns a context that has ended: Replan then gives its first
// answer.
func stopped() context.Context {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	return ctx
}

func asText(t *testing.T, v any) string {
	t.Helper()
	text, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// TestNothingHasHappened holds that from any moment the plan goes on as it was
// told, byte for byte; a search takes its place only by what is cheaper with
// the cost of telling in it.
func TestNothingHasHappened(t *testing.T) {
	for _, x := range publishedShows() {
		rnd := rand.New(rand.NewPCG(11, 1))
		for n := range 10 {
			at := x.someMoment(rnd)
			m, _ := x.momentOf(at)
			c := Replan(stopped(), m, Options{Seed: 1}, nil)
			if !c.Carried || !c.Report.Workable() || asText(t, c.Plan.Moves) != asText(t, m.Rest) {
				t.Fatalf("%s, %s: the plan does not go on as it was told: %v", x.name, at, c.Report.Faults)
			}
			if term := c.Report.Cost.Term(sallyport.TermIssue); term.Count > 0 {
				t.Errorf("%s, %s: %d changes to be told", x.name, at, term.Count)
			}
			if n%5 > 0 {
				continue
			}
			if d := Replan(context.Background(), m, Options{Seed: 1, Steps: 400_000}, nil); !d.Carried && d.Report.Cost.Total >= c.Report.Cost.Total {
				t.Errorf("%s, %s: goes on otherwise for %s instead of %s", x.name, at, d.Report.Cost.Total, c.Report.Cost.Total)
			}
		}
	}
}

// TestCostsOfThePartsAdd holds that what is left costs no more than the whole,
// and at the start the same.
func TestCostsOfThePartsAdd(t *testing.T) {
	for _, x := range publishedShows() {
		whole := sallyport.Evaluate(x.show, x.plan)
		last := whole.Total + 1
		for k := 0; k < len(x.plan.Moves); k += len(x.plan.Moves) / 12 {
			m, _ := x.momentOf(x.plan.Moves[k].Start)
			c := Replan(stopped(), m, Options{Seed: 1}, nil)
			if c.Report.Cost.Total > last {
				t.Errorf("%s: what is left at %s costs %s, more than the %s before", x.name, m.State.At, c.Report.Cost.Total, last)
			}
			last = c.Report.Cost.Total
		}
	}
}

// TestAfterFailures holds, for random moments and failures, that the answer is
// what the judge says of it when it plays it from the state, that the first
// stays are those of the state, that nobody broken down moves by himself, and
// that what is not served is said.
func TestAfterFailures(t *testing.T) {
	for _, x := range publishedShows() {
		rnd := rand.New(rand.NewPCG(13, 1))
		workable := 0
		const tries = 15
		for range tries {
			at := x.someMoment(rnd)
			f, ok := x.someFailure(rnd, at)
			if !ok {
				t.Fatalf("%s: nothing can fail at %s", x.name, at)
			}
			m, problems := x.momentOf(at, f)
			if len(problems) > 0 {
				t.Fatal(problems)
			}
			c := Replan(context.Background(), m, Options{Seed: 1, Steps: -1}, nil)
			what := fmt.Sprintf("%s, %s, %s", x.name, at, f.Says(sallyport.NewIndex(m.Show)))
			if got := sallyport.Faults(c.Show, c.Plan); asText(t, got) != asText(t, c.Report.Faults) {
				t.Errorf("%s: the judge finds other faults", what)
			}
			if asText(t, *c.Plan.From) != asText(t, m.State) {
				t.Errorf("%s: the plan begins with another state", what)
			}
			ix := sallyport.NewIndex(c.Show)
			for _, mv := range c.Plan.Moves {
				if u := ix.Unit(mv.Unit); u != nil && u.OffRoadAt(mv.Start) && mv.Kind != sallyport.MoveTow && !mv.ByHand {
					t.Errorf("%s: %s of %s at %s", what, mv.Kind, mv.Unit, mv.Start)
				}
			}
			lost := c.Report.Cost.Lost
			if lost > 0 && len(c.Why) == 0 {
				t.Errorf("%s: entries worth %d are lost without a word", what, lost)
			}
			if c.Workable() {
				workable++
			}
		}
		if workable < tries*8/10 {
			t.Errorf("%s: only %d of %d first answers are workable", x.name, workable, tries)
		}
	}
}

// TestReplanRepeats holds that the same moment, seed and steps give the same
// continuation on any number of cores.
func TestReplanRepeats(t *testing.T) {
	x := publishedShows()[1]
	rnd := rand.New(rand.NewPCG(17, 1))
	at := x.someMoment(rnd)
	f, _ := x.someFailure(rnd, at)
	m, _ := x.momentOf(at, f)
	var texts []string
	for _, workers := range []int{1, 2, 5} {
		texts = append(texts, asText(t, Replan(context.Background(), m, Options{Seed: 3, Steps: 800_000, Workers: workers}, nil).Plan))
	}
	if texts[0] != texts[1] || texts[0] != texts[2] {
		t.Error("another number of workers gives another plan")
	}
}

// TestReplanAgain holds that a continuation can itself be gone on with: as it
// is, what it gave up included, unless by then less need be given up.
func TestReplanAgain(t *testing.T) {
	x := publishedShows()[1]
	rnd := rand.New(rand.NewPCG(19, 1))
	for range 6 {
		at := x.someMoment(rnd)
		f, _ := x.someFailure(rnd, at)
		m, _ := x.momentOf(at, f)
		c := Replan(stopped(), m, Options{Seed: 1}, nil)
		later := at + sallyport.Instant(3600)
		state, past, rest := sallyport.StateAt(c.Show, c.Plan, later)
		d := Replan(stopped(), Moment{Show: c.Show, State: state, Issued: c.Plan, Past: past, Rest: rest}, Options{Seed: 1}, nil)
		same := d.Carried && asText(t, d.Plan.Moves) == asText(t, rest)
		if c.Workable() && !same && d.Report.Cost.Lost >= c.Report.Cost.Lost {
			t.Errorf("%s: an hour after %s the continuation does not go on as told: %v", later, f.Says(sallyport.NewIndex(x.show)), d.Report.Faults)
		}
		if asText(t, d.Plan.Happened) != asText(t, c.Plan.Happened) {
			t.Errorf("%s: what has happened is forgotten", later)
		}
	}
}

// TestReplanCases are small shows on which the answer is plain.
func TestReplanCases(t *testing.T) {
	show := func(change func(*sallyport.Show)) *sallyport.Show {
		s := &sallyport.Show{
			Name: "Two lanes", Days: []sallyport.Day{{Name: "Friday", Kind: sallyport.ShowDay}},
			Park:     sallyport.Park{Lanes: []sallyport.Lane{{ID: "A", Length: 1300}, {ID: "B", Length: 1300}}},
			Vehicles: []sallyport.Vehicle{{ID: "avocet", Name: "Avocet", Length: 600}, {ID: "bittern", Name: "Bittern", Length: 600}, {ID: "curlew", Name: "Curlew", Length: 600}},
			Serials: []sallyport.Serial{
				{ID: "S1", ArenaIn: sallyport.At(1, 10, 0), Entries: []sallyport.Entry{{ID: "e1", Unit: "avocet", Value: 3, Reserves: []sallyport.UnitID{"curlew"}}}},
				{ID: "S2", ArenaIn: sallyport.At(1, 14, 0), Entries: []sallyport.Entry{{ID: "e2", Unit: "bittern"}}},
			},
		}
		if change != nil {
			change(s)
		}
		return sallyport.Complete(s)
	}
	layout := []sallyport.Placement{{Unit: "bittern", Lane: "A", Place: 1}, {Unit: "avocet", Lane: "A", Place: 2}, {Unit: "curlew", Lane: "B", Place: 1}}
	for _, c := range []struct {
		name     string
		change   func(*sallyport.Show)
		at       sallyport.Instant
		happened []sallyport.Happening
		lost     []sallyport.EntryID
		says     func(c *Continuation) string // what is wrong; empty: nothing
	}{
		{name: "a reserve takes the entry", at: sallyport.At(1, 8, 0), happened: []sallyport.Happening{{Kind: sallyport.HappenFailed, Unit: "avocet"}}, says: func(c *Continuation) string {
			return wants(c, "curlew", sallyport.MovePullOut, "S1", true)
		}},
		{name: "who stands in front and cannot move is towed", at: sallyport.At(1, 8, 0), change: func(s *sallyport.Show) {
			s.Serials[0].Entries[0].Reserves = nil
			s.Park.Spots = []sallyport.Spot{{ID: "bay", Use: sallyport.SpotBreakdown}, {ID: "aside", Use: sallyport.SpotAside}}
		}, happened: []sallyport.Happening{{Kind: sallyport.HappenFailed, Unit: "bittern"}}, lost: []sallyport.EntryID{"e2"}, says: func(c *Continuation) string {
			return wants(c, "bittern", sallyport.MoveTow, "", true) + wants(c, "avocet", sallyport.MovePullOut, "S1", true)
		}},
		{name: "nobody heavy enough to tow who stands in front", at: sallyport.At(1, 8, 0), change: func(s *sallyport.Show) {
			s.Serials[0].Entries[0].Reserves = nil
			s.Park.Spots = []sallyport.Spot{{ID: "bay", Use: sallyport.SpotBreakdown}, {ID: "aside", Use: sallyport.SpotAside}}
			for i := range s.Vehicles {
				s.Vehicles[i].Mass = 10_000
			}
		}, happened: []sallyport.Happening{{Kind: sallyport.HappenFailed, Unit: "bittern"}}, lost: []sallyport.EntryID{"e1", "e2"}, says: func(c *Continuation) string {
			return wants(c, "bittern", sallyport.MoveTow, "", false)
		}},
		{name: "who is not to be moved is not towed either", at: sallyport.At(1, 8, 0), change: func(s *sallyport.Show) {
			s.Serials[0].Entries[0].Reserves = nil
			s.Park.Spots = []sallyport.Spot{{ID: "bay", Use: sallyport.SpotBreakdown}, {ID: "aside", Use: sallyport.SpotAside}}
		}, happened: []sallyport.Happening{{Kind: sallyport.HappenDoNotMove, Unit: "bittern"}}, lost: []sallyport.EntryID{"e1", "e2"}, says: func(c *Continuation) string {
			return wants(c, "bittern", sallyport.MoveTow, "", false)
		}},
		{name: "a cancelled serial is not pulled out", at: sallyport.At(1, 8, 0), happened: []sallyport.Happening{{Kind: sallyport.HappenCancelled, Serial: "S2"}}, says: func(c *Continuation) string {
			return wants(c, "bittern", sallyport.MovePullOut, "S2", false) + wants(c, "avocet", sallyport.MovePullOut, "S1", true)
		}},
		{name: "who is on the line of a cancelled serial comes home", at: sallyport.At(1, 13, 50), happened: []sallyport.Happening{{Kind: sallyport.HappenCancelled, Serial: "S2"}}, says: func(c *Continuation) string {
			return wants(c, "bittern", sallyport.MoveReturn, "S2", true)
		}},
		{name: "a delayed serial goes later", at: sallyport.At(1, 8, 0), happened: []sallyport.Happening{{Kind: sallyport.HappenDelayed, Serial: "S2", By: sallyport.Minutes(30)}}, says: func(c *Continuation) string {
			for _, m := range c.Plan.Moves {
				if m.Kind == sallyport.MoveOut && m.Serial == "S2" && m.Ends() != sallyport.At(1, 14, 30) {
					return "S2 comes to the arena at " + m.Ends().String()
				}
			}
			return wants(c, "bittern", sallyport.MovePullOut, "S2", true)
		}},
		{name: "a lane closed later is left empty", at: sallyport.At(1, 8, 0), change: func(s *sallyport.Show) { s.Park.Lanes[1].Length = 2000 }, happened: []sallyport.Happening{{Kind: sallyport.HappenLane, Lane: "A", From: sallyport.At(1, 14, 0)}}, says: func(c *Continuation) string {
			for _, m := range c.Plan.Moves {
				if m.Kind == sallyport.MoveReturn && m.Start >= sallyport.At(1, 14, 0) && m.To.ID == "A" {
					return string(m.Unit) + " comes home to the closed lane"
				}
			}
			return ""
		}},
		{name: "a lane closed at once is cleared", at: sallyport.At(1, 11, 0), change: func(s *sallyport.Show) { s.Park.Lanes[0].Length = 2000 }, happened: []sallyport.Happening{{Kind: sallyport.HappenLane, Lane: "B"}}, says: func(c *Continuation) string {
			return wants(c, "curlew", sallyport.MoveAside, "", true) + wants(c, "curlew", sallyport.MoveBack, "", true)
		}},
		{name: "found where it may not stand goes where it may at once", at: sallyport.At(1, 8, 0), change: func(s *sallyport.Show) {
			s.Vehicles[1].Home = sallyport.Home{Lane: "A", Binding: sallyport.Fixed}
			s.Park.Spots = []sallyport.Spot{{ID: "aside", Use: sallyport.SpotAside}}
		}, happened: []sallyport.Happening{{Kind: sallyport.HappenElsewhere, Unit: "bittern", Lane: "B", Place: 1}}, says: func(c *Continuation) string {
			if m := c.Plan.Moves[0]; m.Unit != "bittern" || m.From.ID != "B" || m.Start != sallyport.At(1, 8, 0) {
				return fmt.Sprintf("the first move is %v", m)
			}
			return wants(c, "bittern", sallyport.MovePullOut, "S2", true) + wants(c, "avocet", sallyport.MovePullOut, "S1", true)
		}},
		{name: "who drove out brings home", at: sallyport.At(1, 10, 5), change: func(s *sallyport.Show) {
			s.People = []sallyport.Person{{ID: "ned", Name: "Ned Quill"}}
			s.Vehicles[0].UsualDriver = "ned"
		}, happened: []sallyport.Happening{{Kind: sallyport.HappenElsewhere, Unit: "bittern", Lane: "B", Place: 2}}, says: func(c *Continuation) string {
			for _, m := range c.Plan.Moves {
				if m.Unit == "avocet" && m.Kind == sallyport.MoveReturn && m.Driver != "ned" {
					return fmt.Sprintf("%q brings Avocet home", m.Driver)
				}
			}
			return wants(c, "avocet", sallyport.MoveReturn, "S1", true)
		}},
		{name: "found in another lane", at: sallyport.At(1, 8, 0), happened: []sallyport.Happening{{Kind: sallyport.HappenElsewhere, Unit: "bittern", Lane: "B", Place: 2}}, says: func(c *Continuation) string {
			for _, m := range c.Plan.Moves {
				if m.Kind == sallyport.MovePullOut && m.Unit == "bittern" && m.From.ID != "B" {
					return "Bittern is pulled out of " + m.From.ID
				}
			}
			return wants(c, "bittern", sallyport.MovePullOut, "S2", true)
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := show(c.change)
			r, err := FromSketch(context.Background(), s, layout, Options{Seed: 1})
			if err != nil {
				t.Fatal(err)
			}
			x := published{show: s, plan: r.Plan}
			m, problems := x.momentOf(c.at, c.happened...)
			if len(problems) > 0 {
				t.Fatal(problems)
			}
			got := Replan(context.Background(), m, Options{Seed: 1, Steps: 100_000}, nil)
			if !got.Workable() {
				t.Errorf("not workable: %v", got.Report.Faults)
			}
			var lost []sallyport.EntryID
			for _, f := range got.Report.Faults {
				if f.Rule == sallyport.RuleUnserved {
					lost = append(lost, f.Entry)
				}
			}
			if !slices.Equal(lost, c.lost) {
				t.Errorf("lost are %v, want %v (%v)", lost, c.lost, got.Why)
			}
			if wrong := c.says(got); wrong != "" {
				t.Error(wrong)
			}
		})
	}
}

// wants says what is wrong when a move of a unit is there or is not.
func wants(c *Continuation, u sallyport.UnitID, kind sallyport.MoveKind, serial sallyport.SerialID, want bool) string {
	there := slices.ContainsFunc(c.Plan.Moves, func(m sallyport.Move) bool { return m.Unit == u && m.Kind == kind && m.Serial == serial })
	if there == want {
		return ""
	}
	return fmt.Sprintf("there is a %s of %s for %q: %v; ", kind, u, serial, there)
}

// TestReplanEnds holds that many findings at once are answered, also where a
// lane that is to be closed cannot be cleared.
func TestReplanEnds(t *testing.T) {
	x := publishedShows()[0]
	at := sallyport.At(3, 8, 30)
	happened := []sallyport.Happening{
		{Kind: sallyport.HappenLimits, Unit: x.show.Vehicles[3].ID, MaxRuns: 1},
		{Kind: sallyport.HappenLimits, Unit: x.show.Vehicles[5].ID, NoReverse: true},
		{Kind: sallyport.HappenDelayed, Serial: x.show.Serials[len(x.show.Serials)-1].ID, By: 600},
	}
	state, _, _ := sallyport.StateAt(x.show, x.plan, at)
	for _, l := range x.show.Park.Lanes {
		if list := state.Lanes[l.ID]; len(list) > 1 && len(happened) < 9 {
			happened = append(happened,
				sallyport.Happening{Kind: sallyport.HappenDoNotMove, Unit: list[0].Unit, Until: sallyport.At(3, 12, 0)},
				sallyport.Happening{Kind: sallyport.HappenLane, Lane: l.ID, From: sallyport.At(3, 10, 0), To: sallyport.At(3, 13, 0)})
		}
	}
	m, problems := x.momentOf(at, happened...)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	c := Replan(context.Background(), m, Options{Seed: 1, Steps: -1}, nil)
	if len(c.Plan.Moves) == 0 || !c.Workable() && len(c.Why)+c.faults() == 0 {
		t.Errorf("no answer: %v", c.Why)
	}
}
