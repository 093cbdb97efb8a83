package rehearse

import (
	"strings"

	sp "sallyport"
)

// mostProblems is how many things that a plan gets wrong are named.
const mostProblems = 5

// sound returns an error when a plan names what the show does not have, or
// moves go from or to what they cannot: then there is nothing to play. What
// else is wrong with a plan stays as it is.
func sound(ix *sp.Index, plan *sp.Plan) error {
	start, _ := sp.StartState(ix.Show, plan)
	player := sp.NewPlayer(ix, start).Branch()
	var problems []string
	for i := range plan.Moves {
		m := &plan.Moves[i]
		for _, f := range player.Do(m) {
			if f.Rule == sp.RuleUnknown || f.Rule == sp.RuleMove {
				problems = append(problems, f.Sentence)
			}
		}
		onRoad := m.Kind == sp.MoveReturn || m.Kind == sp.MoveAcross || m.Kind == sp.MovePullOut
		if onRoad && ix.Serial(m.Serial) == nil && len(problems) == 0 {
			problems = append(problems, "move "+string(m.ID)+" names no serial of the show")
		}
	}
	if len(problems) == 0 {
		return nil
	}
	n := len(problems)
	text := strings.Join(problems[:min(n, mostProblems)], "; ")
	if n > mostProblems {
		text += "; and more"
	}
	return sp.Errorf(sp.CodeInput, "sallyport check lists all that is wrong with it", "the plan cannot be played: %s", text)
}
