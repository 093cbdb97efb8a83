package main

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"

	"sallyport/bench/plant"
	"sallyport/internal/solve"
)

// TestRivalsFindTheOptimumOfASmallShow lets both rivals solve a small show
// with every model: their plans must cost what the judge says, no plan may cost
// less than anybody's bound, and Sallyport must reach the optimum.
func TestRivalsFindTheOptimumOfASmallShow(t *testing.T) {
	if testing.Short() {
		t.Skip("starts solvers")
	}
	n, err := findNode(".")
	if err != nil {
		t.Skip(err)
	}
	_, show, task := planted(t, plant.Options{Seed: 1, Vehicles: 6, Lanes: 3, Days: 2, Serials: 5, Entries: 1, Spare: 5})
	least, bound := int64(forever), int64(0)
	for _, m := range models {
		for _, r := range rivals {
			a, err := together(t.Context(), n, task, r, m, 10, nil, filepath.Join(t.TempDir(), "model"))
			if err != nil {
				t.Fatal(err)
			}
			t.Logf("%s, %s: plan %v, cost %d, bound %d", r.name, m.name, a.lanes != nil, a.cost, a.bound)
			bound = max(bound, a.bound)
			if a.lanes == nil {
				continue // perhaps there is none without a move aside, or none around the homes
			}
			said, err := judge(t.Context(), show, task, a.lanes)
			if err != nil {
				t.Fatal(err)
			}
			if said.Faults > 0 || said.Cost != a.cost {
				t.Errorf("%s, %s: cost %d, the judge says %+v", r.name, m.name, a.cost, said)
			}
			least = min(least, a.cost)
		}
	}
	res, err := solve.Solve(t.Context(), show, solve.Options{NoHolds: true, NoResets: true, Steps: 3_000_000}, nil)
	if err != nil {
		t.Fatal(err)
	}
	got := verdictOf(res)
	if got.Faults > 0 || got.Cost > least || got.Cost < bound || int64(res.Bound) > least {
		t.Errorf("Sallyport finds %+v with bound %d; the rivals cost %d, bound %d", got, res.Bound, least, bound)
	}
	if bound != least {
		t.Errorf("the rivals did not prove an optimum: cost %d, bound %d", least, bound)
	}
}

// TestWhatASolverSaysIsChecked: solutions that break the program, or are no
// better, do not count, and costs are worked out anew.
func TestWhatASolverSaysIsChecked(t *testing.T) {
	p := &program{}
	a, b := p.add(3), p.add(5)
	p.Exactly = [][]int{{a, b}}
	lines := `{"t":1,"bound":1.2}
{"t":2,"cost":0,"solution":[]}
{"t":3,"cost":4.9999,"solution":[1]}
{"t":4,"cost":5,"solution":[1]}
{"t":5,"cost":3,"solution":[0],"bound":2.00001}
{"t":6,"done":true,"status":"end","bound":3.0000004}
`
	var seen []point
	s, ended, err := listen(strings.NewReader(lines), p, func(t float64, values []bool) { seen = append(seen, point{t, p.cost(values)}) })
	if err != nil || !ended || s.used != 6 || s.status != "end" {
		t.Errorf("%+v, ended %v, error %v", s, ended, err)
	}
	if len(seen) != 2 || seen[0] != (point{3, 5}) || seen[1] != (point{5, 3}) {
		t.Errorf("plans %v, want 5 after 3 s and 3 after 5 s", seen)
	}
	if s.cost != 3 || s.bound != 3 {
		t.Errorf("cost %d, bound %d, want 3 and 3", s.cost, s.bound)
	}
	if _, _, err := listen(strings.NewReader("out of memory\n"), p, nil); err == nil {
		t.Error("what is not JSON is accepted")
	}
}

func TestAMissingPackageIsNamed(t *testing.T) {
	if _, err := findNode(t.TempDir()); err == nil {
		t.Error("an empty folder is accepted")
	}
}

func TestProgramIsWrittenAsTheScriptReadsIt(t *testing.T) {
	p := &program{}
	a, b := p.add(3), p.add(0)
	p.clause(^a, b)
	p.Rows = []row{{Vars: []int{a, b}, Coefs: []int64{2, 3}, Most: 4}}
	p.hint([]bool{false, true})
	var out bytes.Buffer
	if err := p.write(&out); err != nil {
		t.Fatal(err)
	}
	want := `{"costs":[3,0],"exactly":null,"clauses":[[-1,1]],"rows":[{"vars":[0,1],"coefs":[2,3],"most":4}],"hint":[-1,1]}`
	if strings.TrimSpace(out.String()) != want {
		t.Errorf("written %s, want %s", out.String(), want)
	}
}
