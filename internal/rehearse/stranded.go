package rehearse

import (
	"slices"

	sp "sallyport"
)

// strand leaves a unit that cannot come into its lane where it waits aside, or
// on its line when there is no room for it.
func (r *replay) strand(m sp.Move) {
	if !slices.Contains(r.out.stranded, m.Unit) {
		r.out.stranded = append(r.out.stranded, m.Unit)
	}
	if m.Kind != sp.MoveReturn {
		return
	}
	zone := r.ix.Lane(sp.LaneID(m.To.ID)).Zone
	for _, spot := range r.ix.AsideSpots(zone) {
		aside := m
		aside.To, aside.Reverse = sp.AtSpot(spot.ID), false
		if len(r.p.Try(&aside, r.harms)) == 0 {
			return
		}
	}
	r.stuck = append(r.stuck, m)
}

// unstick tries the returns again that found no way off a line, now that
// somebody has left it.
func (r *replay) unstick(from sp.Pos) {
	if from.Kind != sp.InLine || len(r.stuck) == 0 {
		return
	}
	list := r.stuck
	r.stuck = nil
	for i, m := range list {
		if !r.adapt(&m) {
			continue
		}
		if m.From.ID == from.ID && len(r.p.Try(&m, r.harms)) == 0 {
			r.out.stranded = slices.DeleteFunc(r.out.stranded, func(u sp.UnitID) bool { return u == m.Unit })
			r.stuck = append(r.stuck, list[i+1:]...)
			r.unstick(from)
			return
		}
		r.stuck = append(r.stuck, m)
	}
}

// leftBehind sends a unit home whose column has left without it: as soon as
// there is a way off the line.
func (r *replay) leftBehind(u sp.UnitID, serial sp.SerialID) {
	for _, i := range r.of[u] {
		if m := r.moves[i]; m.Kind == sp.MoveReturn && m.Serial == serial {
			r.stuck = append(r.stuck, m)
		}
	}
}
