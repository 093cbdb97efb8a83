package clear

import "flag"

// Random tests draw the same numbers in every run, so that a change is judged
// by what it changes. -rapid.seed=0 draws new ones.
func init() {
	if err := flag.Set("rapid.seed", "20270623"); err != nil {
		panic(err)
	}
}
