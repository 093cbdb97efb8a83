package store

import (
	"strings"
	"testing"
	"time"

	"sallyport"
)

// TestUnseenNames: nobody is taken for somebody else by characters that are not
// seen, and no name turns the direction of what stands after it.
func TestUnseenNames(t *testing.T) {
	t.Parallel()
	s := fresh(t)
	ctx := t.Context()
	must(s.AddAccount(ctx, "Orla Fenn", Planner, "h"))(t)
	join := func(code, name string) error {
		must(s.AddJoin(ctx, Crew, "", time.Hour, sum(code)))(t)
		_, err := s.UseJoin(ctx, sum(code), name, sum("token of "+code), nil)
		return err
	}
	for n, name := range []string{"Orla\u200b Fenn", "Orla\u00ad Fenn", "\u2060Orla Fenn", "Orla Fenn\ufe0f", "Orla \u3164 Fenn", "Or\u034fla Fenn"} {
		wants(t, join(strings.Repeat("x", n+1), name), sallyport.CodeInput, "already")
		_, err := s.AddAccount(ctx, name, Crew, "h")
		wants(t, err, sallyport.CodeInput, "already")
	}
	for n, name := range []string{"\u202eneF alrO", "Orla\x07", "\u200b\u2060", "\u3164", "Runa\u2066"} {
		wants(t, join(strings.Repeat("y", n+1), name), sallyport.CodeInput, "cannot be read")
	}
	for n, name := range []string{"می\u200cخواهم", "Zoë Ní Dhálaigh", "Σίσυφος", "山田太郎"} { // the first is spelt with a character that is not seen
		if err := join(strings.Repeat("z", n+1), name); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestAuditInOneLine: a name with line ends in it does not look like a line of
// its own.
func TestAuditInOneLine(t *testing.T) {
	t.Parallel()
	s := fresh(t)
	if err := s.Note(t.Context(), Audit{What: "took a.xlsx\n2027-06-24 Orla\u2028signed\u202e in\r"}); err != nil {
		t.Fatal(err)
	}
	if got := must(s.Audits(t.Context(), 0, 1))(t)[0].What; got != "took a.xlsx 2027-06-24 Orla signed  in " {
		t.Errorf("kept is %q", got)
	}
}
