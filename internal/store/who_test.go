package store

import (
	"context"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"sallyport"
)

// sum stands for the sum of a token or code.
func sum(text string) []byte { return []byte(text) }

// TestAccounts goes through the life of a few accounts.
func TestAccounts(t *testing.T) {
	s := fresh(t)
	ctx := t.Context()
	if must(s.HasAccounts(ctx))(t) {
		t.Fatal("a new database has accounts")
	}
	_, err := s.AddAccount(ctx, "Runa", Crew, "h1")
	wants(t, err, sallyport.CodeInput, "crew", "planner")
	orla := must(s.AddAccount(ctx, "  Orla \t Fenn ", Planner, "h1"))(t)
	if orla.Name != "Orla Fenn" || orla.Role != Planner || orla.Added.IsZero() || !orla.Last.IsZero() {
		t.Errorf("made %+v", orla)
	}
	for _, name := range []string{"orla fenn", "ORLA  FENN", "Ｏrla Fenn"} { // the last begins with a full-width letter
		_, err := s.AddAccount(ctx, name, Viewer, "h2")
		wants(t, err, sallyport.CodeInput, "already")
	}
	_, err = s.AddAccount(ctx, "  ", "king", "")
	wants(t, err, sallyport.CodeInput, `"king"`, "name is empty", "hash")
	runa := must(s.AddAccount(ctx, "Runa", Crew, "h3"))(t)
	if got := must(s.AccountOf(ctx, " runa "))(t); got != runa {
		t.Errorf("found %+v, want %+v", got, runa)
	}
	_, err = s.AccountOf(ctx, "Sten")
	wants(t, err, sallyport.CodeNotFound, "Sten")
	if list := must(s.Accounts(ctx))(t); len(list) != 2 || list[0] != orla || list[1] != runa {
		t.Errorf("list %+v", list)
	}
	name, role := "Runa Sedge", Marshal
	changed := must(s.ChangeAccount(ctx, runa.ID, AccountChange{Name: &name, Role: &role}))(t)
	if changed.Name != name || changed.Role != role || changed.Password != "h3" {
		t.Errorf("changed to %+v", changed)
	}
	_, err = s.ChangeAccount(ctx, runa.ID, AccountChange{Name: &orla.Name})
	wants(t, err, sallyport.CodeInput, "already")
	_, err = s.ChangeAccount(ctx, 99, AccountChange{})
	wants(t, err, sallyport.CodeNotFound, "99")
}

// TestLastPlanner checks that somebody can always make others' accounts.
func TestLastPlanner(t *testing.T) {
	s := fresh(t)
	ctx := t.Context()
	orla := must(s.AddAccount(ctx, "Orla", Planner, "h"))(t)
	viewer, yes, no := Viewer, true, false
	for _, c := range []AccountChange{{Role: &viewer}, {Blocked: &yes}} {
		_, err := s.ChangeAccount(ctx, orla.ID, c)
		wants(t, err, sallyport.CodeInput, "Orla", "last planner")
	}
	if got := must(s.AccountOf(ctx, "Orla"))(t); got != orla {
		t.Errorf("refused changes left %+v", got)
	}
	runa := must(s.AddAccount(ctx, "Runa", Planner, "h"))(t)
	if got := must(s.ChangeAccount(ctx, orla.ID, AccountChange{Blocked: &yes}))(t); got.Blocked.IsZero() {
		t.Error("not blocked")
	}
	_, err := s.ChangeAccount(ctx, runa.ID, AccountChange{Role: &viewer})
	wants(t, err, sallyport.CodeInput, "Runa")
	if got := must(s.ChangeAccount(ctx, orla.ID, AccountChange{Blocked: &no}))(t); !got.Blocked.IsZero() {
		t.Error("still blocked")
	}
}

// TestSessions checks when a session is good and by what it ends.
func TestSessions(t *testing.T) {
	at := time.Date(2027, 6, 24, 6, 0, 0, 0, time.UTC)
	s, err := Open(t.Context(), filepath.Join(t.TempDir(), "shows.db"), Options{Now: func() time.Time { return at }})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	ctx := t.Context()
	orla := must(s.AddAccount(ctx, "Orla", Planner, "h"))(t)
	runa := must(s.AddAccount(ctx, "Runa", Crew, "h"))(t)
	gone := func(token string) {
		t.Helper()
		_, _, err := s.SessionOf(ctx, sum(token))
		wants(t, err, sallyport.CodeNotFound, "signed in")
	}
	must(s.BeginSession(ctx, orla, sum("o1"), nil))(t)
	must(s.BeginSession(ctx, runa, sum("r1"), nil))(t)
	must(s.BeginSession(ctx, runa, sum("r2"), nil))(t)
	if got, _, err := s.SessionOf(ctx, sum("r1")); err != nil || got.Name != "Runa" || got.Role != Crew || got.Account != runa.ID {
		t.Errorf("r1 is %+v, %v", got, err)
	}
	gone("r3")

	// A new role counts at once.
	marshal := Marshal
	must(s.ChangeAccount(ctx, runa.ID, AccountChange{Role: &marshal}))(t)
	if got, _, err := s.SessionOf(ctx, sum("r1")); err != nil || got.Role != Marshal {
		t.Errorf("after the change r1 is %+v, %v", got, err)
	}

	// Signing in again ends the earlier session of that browser only.
	must(s.BeginSession(ctx, runa, sum("r4"), sum("r1")))(t)
	gone("r1")
	if _, _, err := s.SessionOf(ctx, sum("r2")); err != nil {
		t.Error(err)
	}

	// A new password ends all of the account's, and no others; who has
	// checked the old one meanwhile is too late.
	hash := "h2"
	must(s.ChangeAccount(ctx, runa.ID, AccountChange{Password: &hash}))(t)
	gone("r2")
	gone("r4")
	if _, _, err := s.SessionOf(ctx, sum("o1")); err != nil {
		t.Error(err)
	}
	_, err = s.BeginSession(ctx, runa, sum("r5"), nil)
	wants(t, err, sallyport.CodeNotFound, "Runa")

	// So does a block.
	runa.Password, hash = hash, ""
	must(s.BeginSession(ctx, runa, sum("r6"), nil))(t)
	yes := true
	must(s.ChangeAccount(ctx, runa.ID, AccountChange{Blocked: &yes}))(t)
	gone("r6")
	_, err = s.BeginSession(ctx, runa, sum("r7"), nil)
	wants(t, err, sallyport.CodeNotFound, "Runa")

	// Two weeks without being asked for end it; being used renews it.
	for range 5 {
		at = at.Add(SessionIdle - time.Minute)
		if _, fresh, err := s.SessionOf(ctx, sum("o1")); err != nil || !fresh {
			t.Fatalf("used within two weeks: fresh %v, %v", fresh, err)
		}
	}
	if _, fresh, err := s.SessionOf(ctx, sum("o1")); err != nil || fresh {
		t.Errorf("used again at once: fresh %v, %v", fresh, err)
	}
	at = at.Add(SessionIdle + time.Minute)
	gone("o1")

	must(s.BeginSession(ctx, orla, sum("o2"), nil))(t)
	var kept int
	if err := s.db.QueryRow(`SELECT count(*) FROM session`).Scan(&kept); err != nil || kept != 1 {
		t.Errorf("%d sessions are kept, %v: those that have ended are to be removed", kept, err)
	}
	if err := s.EndSession(ctx, sum("o2")); err != nil {
		t.Error(err)
	}
	gone("o2")
	if err := s.EndSession(ctx, sum("o2")); err != nil {
		t.Error(err)
	}
}

// TestJoins checks that a link is good once, until its end, and not when it
// was withdrawn.
func TestJoins(t *testing.T) {
	at := time.Date(2027, 6, 24, 6, 0, 0, 0, time.UTC)
	s, err := Open(t.Context(), filepath.Join(t.TempDir(), "shows.db"), Options{Now: func() time.Time { return at }})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	ctx := t.Context()
	must(s.AddAccount(ctx, "Orla", Planner, "h"))(t)
	add := func(code string) Join { return must(s.AddJoin(ctx, Marshal, "gate", time.Hour, sum(code)))(t) }
	use := func(code, name, token string) error {
		_, err := s.UseJoin(ctx, sum(code), name, sum(token), nil)
		return err
	}
	add("a")
	wants(t, use("x", "Sten", "t0"), sallyport.CodeNotFound, "mistyped")
	wants(t, use("a", " ", "t0"), sallyport.CodeInput, "name")
	wants(t, use("a", "ORLA", "t0"), sallyport.CodeInput, "already")
	if err := use("a", "Sten", "t1"); err != nil {
		t.Fatal(err)
	}
	wants(t, use("a", "Tove", "t2"), sallyport.CodeNotFound, "used")
	if got, _, err := s.SessionOf(ctx, sum("t1")); err != nil || got.Name != "Sten" || got.Role != Marshal || got.Account != 0 {
		t.Errorf("session %+v, %v", got, err)
	}
	_, err = s.AddAccount(ctx, "sten", Crew, "h")
	wants(t, err, sallyport.CodeInput, "already")

	late := add("b")
	at = at.Add(time.Hour)
	wants(t, use("b", "Tove", "t2"), sallyport.CodeNotFound, "too old")
	withdrawn := add("c")
	if got := must(s.EndJoin(ctx, withdrawn.ID))(t); got.Ended.IsZero() {
		t.Error("not withdrawn")
	}
	wants(t, use("c", "Tove", "t2"), sallyport.CodeNotFound)

	// Ending a used one signs out who used it, and frees the name.
	list := must(s.Joins(ctx))(t)
	if len(list) != 3 || list[1].ID != late.ID || list[2].By != "Sten" || list[2].Used.IsZero() {
		t.Errorf("list %+v", list)
	}
	must(s.EndJoin(ctx, list[2].ID))(t)
	_, _, err = s.SessionOf(ctx, sum("t1"))
	wants(t, err, sallyport.CodeNotFound)
	must(s.AddAccount(ctx, "sten", Crew, "h"))(t)
	_, err = s.EndJoin(ctx, 99)
	wants(t, err, sallyport.CodeNotFound, "99")
	for _, good := range []time.Duration{0, -time.Hour, 61 * 24 * time.Hour} {
		_, err := s.AddJoin(ctx, Crew, "", good, sum("z"))
		wants(t, err, sallyport.CodeInput, "hours")
	}
}

// TestJoinRace lets many use one link at once: one of them comes in.
func TestJoinRace(t *testing.T) {
	s := fresh(t)
	must(s.AddJoin(t.Context(), Crew, "", time.Hour, sum("a")))(t)
	var wg sync.WaitGroup
	came := make(chan string, 20)
	for i := range 20 {
		wg.Go(func() {
			name := strings.Repeat("x", i+1)
			if _, err := s.UseJoin(context.Background(), sum("a"), name, sum(name), nil); err == nil {
				came <- name
			}
		})
	}
	wg.Wait()
	if len(came) != 1 {
		t.Errorf("%d came in by one link", len(came))
	}
}

// TestAudit checks that the trail is only added to, and read page by page.
func TestAudit(t *testing.T) {
	s := fresh(t)
	ctx := t.Context()
	show := must(s.Create(ctx, "", named("show"), "Orla"))(t)
	for _, what := range []string{"one", "two", "three"} {
		if err := s.Note(ctx, Audit{Who: "Orla", Role: Planner, From: "192.0.2.7", What: what, Show: show.ID}); err != nil {
			t.Fatal(err)
		}
	}
	list := must(s.Audits(ctx, 0, 2))(t)
	if len(list) != 2 || list[0].What != "three" || list[0].Number != 3 || list[1].What != "two" || list[0].Show != show.ID || list[0].From != "192.0.2.7" {
		t.Errorf("newest two: %+v", list)
	}
	if rest := must(s.Audits(ctx, 2, 9))(t); len(rest) != 1 || rest[0].What != "one" {
		t.Errorf("before the second: %+v", rest)
	}
	for _, text := range []string{`UPDATE audit SET what = 'nothing'`, `DELETE FROM audit`} {
		if _, err := s.db.Exec(text); err == nil || !strings.Contains(err.Error(), "only added to") {
			t.Errorf("%s: %v", text, err)
		}
	}
	wants(t, s.Note(ctx, Audit{}), sallyport.CodeInput, "empty")
}
