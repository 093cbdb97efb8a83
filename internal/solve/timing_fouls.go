package solve

import (
	"slices"

	"sallyport"
)

// foulOrder returns the moves in an order that spares mouths which a column
// can foul: where the line leaves the order free, pull-outs from there come
// before others of their serial, and returns to there after them. It is right
// by order alone when the given one is.
func foulOrder(ix *sallyport.Index, moves []sallyport.Move) []sallyport.Move {
	if !slices.ContainsFunc(ix.Show.Park.Lines, func(l sallyport.Line) bool { return len(l.Fouls) > 0 }) {
		return moves
	}
	order := make([]sallyport.Move, 0, len(moves))
	for i := 0; i < len(moves); {
		end := i + 1
		for end < len(moves) && sameCause(&moves[i], &moves[end]) {
			end++
		}
		order = append(order, foulOrderOf(ix, moves[i:end])...)
		i = end
	}
	return order
}

// sameCause reports whether two moves of single units belong to one phase of
// one serial.
func sameCause(a, b *sallyport.Move) bool {
	return a.Serial != "" && a.Serial == b.Serial && a.Start == b.Start && a.Unit != "" && b.Unit != ""
}

// foulOrderOf orders the moves of one phase.
func foulOrderOf(ix *sallyport.Index, moves []sallyport.Move) []sallyport.Move {
	line, first := sallyport.LineID(""), false
	for i := range moves {
		m := &moves[i]
		switch {
		case m.Kind == sallyport.MovePullOut && m.To.Kind == sallyport.InLine:
			line, first = sallyport.LineID(m.To.ID), true
		case m.Kind == sallyport.MoveReturn && m.From.Kind == sallyport.InLine:
			line, first = sallyport.LineID(m.From.ID), false
		}
	}
	l := ix.Line(line)
	if l == nil || len(l.Fouls) == 0 || first && (l.Out == sallyport.OutStrict || hasReserves(ix.Serial(moves[0].Serial))) || !first && l.Home == sallyport.HomeInOrder {
		return moves
	}
	barred, free := map[sallyport.UnitID]bool{}, map[sallyport.UnitID]bool{}
	var there, elsewhere []sallyport.Move
	for _, m := range moves {
		if atFouledMouth(ix, &m, line) {
			there = append(there, m)
			barred[m.Unit] = true
		} else {
			elsewhere = append(elsewhere, m)
			free[m.Unit] = true
		}
	}
	for u := range barred {
		// A unit that moves in both parts keeps the order of its moves.
		if free[u] {
			return moves
		}
	}
	if first {
		return slices.Concat(there, elsewhere)
	}
	return slices.Concat(elsewhere, there)
}

// atFouledMouth reports whether a move touches a lane that the line can foul.
func atFouledMouth(ix *sallyport.Index, m *sallyport.Move, line sallyport.LineID) bool {
	return slices.ContainsFunc(lanesOf(m), func(id sallyport.LaneID) bool {
		return slices.ContainsFunc(ix.FoulsOf(id), func(f sallyport.FoulRef) bool { return f.Line == line })
	})
}
