package sallyport

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func TestLastSaid(t *testing.T) {
	at, later := At(2, 7, 0), At(2, 9, 0)
	here := Happening{Kind: HappenHere, At: at, Unit: "avocet"}
	stay := Happening{Kind: HappenDoNotMove, At: at, Unit: "avocet"}
	limits := Happening{Kind: HappenLimits, At: at, Unit: "avocet", NoReverse: true}
	late := Happening{Kind: HappenLate, At: at, Unit: "avocet", Until: later}
	later2 := Happening{Kind: HappenLate, At: at, Unit: "avocet", Until: later + 60}
	other := Happening{Kind: HappenHere, At: at, Unit: "bittern"}
	reserve := Happening{Kind: HappenReserve, At: at, Unit: "avocet", Serial: "3", Reserve: "bittern"}
	team := Happening{Kind: HappenTeam, At: at}
	hereLater := Happening{Kind: HappenHere, At: later, Unit: "avocet"}
	elsewhere := Happening{Kind: HappenElsewhere, At: at - 60, Unit: "avocet", Lane: "B1"}
	after := Happening{Kind: HappenDoNotMove, At: later, Unit: "avocet"}
	for _, c := range []struct {
		name       string
		said, want []Happening
	}{
		{"nothing", nil, nil},
		{"a finding corrected", []Happening{stay, other, here}, []Happening{other, here}},
		{"limits and a late start go together", []Happening{here, limits, late}, []Happening{limits, late}},
		{"here after limits and a late start", []Happening{limits, late, here}, []Happening{here}},
		{"another time", []Happening{late, later2}, []Happening{later2}},
		{"sent twice", []Happening{limits, late, limits, late}, []Happening{limits, late}},
		{"a reserve stays", []Happening{reserve, stay, here}, []Happening{reserve, here}},
		{"two teams lost are two", []Happening{team, team}, []Happening{team, team}},
		{"held again later", []Happening{stay, after}, []Happening{after}},
		{"here today does not free what was held yesterday", []Happening{stay, hereLater}, []Happening{stay, hereLater}},
		{"where it stands is said anew later", []Happening{elsewhere, limits, hereLater}, []Happening{limits, hereLater}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := LastSaid(c.said); !slices.Equal(got, c.want) {
				t.Errorf("got %v, want %v", got, c.want)
			}
		})
	}
}

// Said again word for word, a log means what it meant.
func TestLastSaidAgain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kinds := append(slices.Clone(findings), HappenLate, HappenFailed)
		said := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Happening {
			return Happening{Kind: rapid.SampledFrom(kinds).Draw(t, "kind"), At: At(1, rapid.IntRange(6, 7).Draw(t, "hour"), 0), Unit: rapid.SampledFrom([]UnitID{"avocet", "bittern"}).Draw(t, "unit")}
		}), 0, 12).Draw(t, "said")
		once := LastSaid(said)
		if again := LastSaid(once); !slices.Equal(again, once) {
			t.Fatalf("%v became %v", once, again)
		}
		if len(said) > 0 && !slices.Contains(once, said[len(said)-1]) {
			t.Fatalf("the last thing said, %v, is lost", said[len(said)-1])
		}
	})
}
