package solve

// Sharing lanes out and putting units anew, with only what is not worse taken,
// comes to a standstill after some ten million steps. A stream that has found
// nothing better for standstill steps is unsettled: one by heat, the next by
// kicks. A round of heat is heatSteps long; after a kick kickSteps are made.
const (
	standstill int64 = 4_000_000
	heatSteps  int64 = 12_000_000
	kickSteps  int64 = 1_500_000
)

// remedies are ways to unsettle a stream, given how many steps ago it found
// its best board; streams take them in turn.
var remedies = []func(st *stream, since int64){(*stream).heat, (*stream).kickOff}

// unsettle applies the stream's remedy if it is at a standstill.
func (st *stream) unsettle() {
	st.temp = 0
	since := st.b.steps - st.better
	if since < standstill || st.b.wishes != nil || st.b.total >= anyWorkable {
		return
	}
	remedies[st.remedy](st, since)
}

// heat sets the temperature at which lanes are shared out: from five twelfths
// of the price of a change of lane down to nothing, again and again.
func (st *stream) heat(since int64) {
	hot := float64(st.p.weights.Change) * 5 / 12
	st.temp = hot * (1 - float64(since%heatSteps)/float64(heatSteps))
}

// kickOff gives the search a kick when the last one is long enough ago, from
// the best board unless the present one is about as good: no more than two
// changes of lane dearer.
func (st *stream) kickOff(int64) {
	if st.b.steps-st.kicked < kickSteps {
		return
	}
	if st.b.total > st.best.total+2*int64(st.p.weights.Change) {
		st.b.copyFrom(st.best)
	}
	st.kick()
	st.kicked = st.b.steps
}

// kick takes one stay of each of a few units away from its lane, at whatever
// price, and puts the unit where it then costs least.
func (st *stream) kick() {
	st.units = st.neighboursInLanes(st.units[:0])
	for _, u := range st.units {
		un := &st.p.units[u]
		stay := un.firstStay + int32(st.rnd.IntN(int(un.endStay-un.firstStay)))
		lane := st.b.laneOf(stay)
		st.old = append(st.old[:0], st.b.choice[un.firstStay:un.endStay]...)
		st.b.take(u)
		st.route.avoid = func(x, l int32) bool { return x == stay && l == lane }
		st.reroute([]int32{u})
		st.route.avoid = nil
		if st.b.total >= anyWorkable {
			st.b.take(u)
			st.b.set(u, st.old)
		}
	}
}
