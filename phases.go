package sallyport

// Phases returns which moves belong to a serial, as indexes into p.Moves in
// order: out, those that get it onto its line, and home, those that put it
// away again. Column moves are in neither. A move of the serial belongs to
// home when it comes after the column has left for the arena, or, in a plan
// without that column move, when it starts from a line or the arena.
func (p *Plan) Phases(id SerialID) (out, home []int) {
	left := -1
	for i, m := range p.Moves {
		if m.Serial == id && m.Kind == MoveOut {
			left = i
		}
	}
	for i, m := range p.Moves {
		switch {
		case m.Serial != id || m.Kind == MoveOut || m.Kind == MoveHome:
		case left >= 0 && i > left, left < 0 && (m.From.Kind == InLine || m.From.Kind == InArena):
			home = append(home, i)
		default:
			out = append(out, i)
		}
	}
	return out, home
}
