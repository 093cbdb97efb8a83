package web

import (
	"context"
	"net/http"
	"slices"

	"sallyport"
	"sallyport/internal/store"
)

// LogLine is one thing that was said to have happened, and how it reads.
type LogLine struct {
	Number    int                 `json:"number"`
	Said      string              `json:"said"`
	Author    string              `json:"author"`
	Happening sallyport.Happening `json:"happening"`
	Says      string              `json:"says"`
}

// logLines puts entries of the log into words, with the names of the draft.
func (s *Server) logLines(ctx context.Context, id store.ShowID, list []store.LogEntry) ([]LogLine, error) {
	d, err := s.Store.Draft(ctx, id)
	if err != nil {
		return nil, err
	}
	ix := sallyport.NewIndex(d.Content.Show)
	lines := make([]LogLine, len(list))
	for i, e := range list {
		lines[i] = LogLine{e.Number, stamp(e.Said), e.Author, e.Happening, e.Happening.Says(ix)}
	}
	return lines, nil
}

// log lists what has been said, in order; ?after=N only what came after N.
func (s *Server) log(c *call) (answer, error) {
	id, err := c.show()
	if err != nil {
		return answer{}, err
	}
	after, err := c.number("after")
	if err != nil {
		return answer{}, err
	}
	list, err := s.Store.Log(c.Context(), id, after)
	if err != nil {
		return answer{}, err
	}
	lines, err := s.logLines(c.Context(), id, list)
	return answer{body: lines}, err
}

// Said is what has happened, in order.
type Said struct {
	Happenings []sallyport.Happening `json:"happenings"`
}

// say adds what has happened to the log.
func (s *Server) say(c *call) (answer, error) {
	id, err := c.show()
	if err != nil {
		return answer{}, err
	}
	var ask Said
	if err := c.json(&ask); err != nil {
		return answer{}, err
	}
	if len(ask.Happenings) == 0 {
		return answer{}, sallyport.Errorf(sallyport.CodeInput, "say at least one thing", "nothing is said to have happened")
	}
	if err := s.sayable(c.Context(), id, ask.Happenings); err != nil {
		return answer{}, err
	}
	made, err := s.Store.Say(c.Context(), id, ask.Happenings, c.who.Name)
	if err != nil {
		return answer{}, err
	}
	s.hub.tell(id, "log", numberEvent{made[len(made)-1].Number})
	lines, err := s.logLines(c.Context(), id, made)
	return answer{status: http.StatusCreated, body: lines}, err
}

// sayable returns an error when something can never have happened, for the log
// would keep it and no replan could go on: it names what neither the draft nor
// the newest issue has. Kinds that are not known the store refuses.
func (s *Server) sayable(ctx context.Context, id store.ShowID, said []sallyport.Happening) error {
	d, err := s.Store.Draft(ctx, id)
	if err != nil {
		return err
	}
	told, err := s.toldContent(ctx, d)
	if err != nil {
		return err
	}
	draft, issue := sallyport.NewIndex(d.Content.Show), sallyport.NewIndex(told.Show)
	var problems []sallyport.Problem
	for i, h := range said {
		if slices.Contains(sallyport.HappeningKinds(), h.Kind) {
			problems = append(problems, sallyport.CheckSaid(i+1, h, draft, issue)...)
		}
	}
	if len(problems) == 0 {
		return nil
	}
	return &refusal{problems: problemsOf(problems), err: sallyport.Errorf(sallyport.CodeInput, problems[0].Advice, "nothing was written down: %s", problems[0].Message)}
}
