package clear

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
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

// instance reads the stacks of one instance: bottom to top, lowest number
// first out.
func instance(t *testing.T, o optimum) *Problem {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(data, "cvs", o.group, o.name+".dat"))
	if err != nil {
		t.Fatal(err)
	}
	in := strings.NewReader(string(text))
	var stacks, blocks int
	if _, err := fmt.Fscan(in, &stacks, &blocks); err != nil {
		t.Fatal(err)
	}
	var piles [][]int
	most := 0
	for range stacks {
		var n int
		if _, err := fmt.Fscan(in, &n); err != nil {
			t.Fatal(err)
		}
		most = max(most, n)
		pile := make([]int, n)
		for i := range pile {
			if _, err := fmt.Fscan(in, &pile[i]); err != nil {
				t.Fatal(err)
			}
		}
		piles = append(piles, pile)
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
