package clear

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// data is where the block relocation instances and their optima lie:
// M. Caserta, S. Voss, M. Sniedovich, OR Spectrum 33 (2011) 915-929.
const data = "../../../shared/data/relocation"

type optimum struct {
	name, group string
	restricted  bool
	high        bool // no limit of height
	moves       int
}

// optima reads the known numbers of moves.
func optima(t *testing.T) []optimum {
	t.Helper()
	f, err := os.Open(filepath.Join(data, "optima.csv"))
	if err != nil {
		t.Skipf("the relocation data are not there (%v): they come beside the repository, not in it", err)
	}
	defer f.Close()
	records, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var list []optimum
	for _, r := range records[1:] {
		moves, err := strconv.Atoi(r[4])
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, optimum{r[0], r[1], r[2] == "restricted", r[3] == "unlimited", moves})
	}
	return list
}

// instance reads one instance.
func instance(t *testing.T, o optimum) *Problem {
	t.Helper()
	f, err := os.Open(filepath.Join(data, "cvs", o.group, o.name+".dat"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	piles, err := ReadStacks(f)
	if err != nil {
		t.Fatal(err)
	}
	most := 0
	for _, pile := range piles {
		most = max(most, len(pile))
	}
	if o.high {
		return Stacks(piles, 0)
	}
	return Stacks(piles, most+2)
}

// TestKnownOptima reproduces known numbers of moves, one in nine of them;
// RELOCATION=all takes all 1,280.
func TestKnownOptima(t *testing.T) {
	all := os.Getenv("RELOCATION") == "all"
	tried := 0
	for i, o := range optima(t) {
		if !all && i%9 != 0 {
			continue
		}
		a := Solve(t.Context(), instance(t, o), Options{Restricted: o.restricted, Steps: 1 << 40})
		if !a.Proven || a.Count != o.moves || a.Bound != o.moves {
			t.Errorf("%s, restricted %v, unlimited %v: %d moves (proven %v, at least %d), known are %d", o.name, o.restricted, o.high, a.Count, a.Proven, a.Bound, o.moves)
		}
		tried++
	}
	t.Logf("%d optima", tried)
}
