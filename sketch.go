package sallyport

import "slices"

// SketchOf returns in which lane each stay of a plan is spent, in the order
// in which the stays begin; the start layout first, each lane mouth first.
// A unit put back after a move aside goes on with its stay when it comes back
// into the same lane.
func SketchOf(plan *Plan) []Placement {
	var sketch []Placement
	for _, l := range plan.Start {
		for i, u := range l.Units {
			sketch = append(sketch, Placement{Unit: u, Lane: l.Lane, Place: i + 1})
		}
	}
	for _, m := range plan.all() {
		if m.To.Kind != InLane {
			continue
		}
		p := Placement{Unit: m.Unit, Lane: LaneID(m.To.ID)}
		switch m.Kind {
		case MoveArrive:
		case MoveReturn, MoveShift:
			p.After = string(m.Serial)
		case MoveRelieve:
			p.After = string(m.Duty)
		case MoveReset:
			p.After = string(m.Window)
		default:
			continue
		}
		// Within a reset window only the last lane counts.
		same := func(q Placement) bool { return q.Unit == p.Unit && q.After == p.After }
		if i := slices.IndexFunc(sketch, same); i >= 0 {
			sketch[i].Lane = p.Lane
			continue
		}
		sketch = append(sketch, p)
	}
	return sketch
}
