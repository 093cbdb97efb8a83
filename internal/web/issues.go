package web

import (
	"net/http"

	"sallyport/internal/store"
)

// IssueLine is an issue in the list.
type IssueLine struct {
	Number    int    `json:"number"`
	Published string `json:"published"`
	Author    string `json:"author"`
	Note      string `json:"note"`
	Version   int64  `json:"version"` // of the draft it was made from
}

func issueLine(i store.Issue) IssueLine {
	return IssueLine{i.Number, stamp(i.Published), i.Author, i.Note, i.Version}
}

// issues lists the issues of a show, the newest first.
func (s *Server) issues(c *call) (answer, error) {
	id, err := c.show()
	if err != nil {
		return answer{}, err
	}
	list, err := s.Store.Issues(c.Context(), id)
	if err != nil {
		return answer{}, err
	}
	lines := make([]IssueLine, len(list))
	for i, x := range list {
		lines[i] = issueLine(x)
	}
	return answer{body: lines}, nil
}

// NewIssue is what is said of an issue.
type NewIssue struct {
	Note string `json:"note"`
}

// publish makes the draft the next issue.
func (s *Server) publish(c *call) (answer, error) {
	id, version, err := c.change()
	if err != nil {
		return answer{}, err
	}
	var ask NewIssue
	if err := c.json(&ask); err != nil {
		return answer{}, err
	}
	made, err := s.Store.Publish(c.Context(), id, version, c.who.Name, ask.Note)
	if err != nil {
		return answer{}, err
	}
	s.Who.Note(c.Request, id, "published Issue %d", made.Number)
	s.hub.tell(id, "issue", numberEvent{made.Number})
	return answer{status: http.StatusCreated, body: issueLine(made)}, nil
}
