package clear

import "flag"

// Random tests draw the same numbers in every run, so that a change is judged
// by what it changes; many, as each is small. -rapid.seed=0 draws new ones.
func init() {
	for name, value := range map[string]string{"rapid.seed": "20270623", "rapid.checks": "2000"} {
		if err := flag.Set(name, value); err != nil {
			panic(err)
		}
	}
}
