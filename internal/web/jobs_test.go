package web

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/fenmoor"
)

// ended waits for the end of a job.
func (b *bench) ended(id string) Job {
	b.Helper()
	for end := time.Now().Add(2 * time.Minute); time.Now().Before(end); time.Sleep(10 * time.Millisecond) {
		if j := good[Job](b, "GET", "/api/jobs/"+id, nil); j.Ended != "" {
			return j
		}
	}
	b.Fatalf("job %s does not end", id)
	return Job{}
}

func TestPlanJob(t *testing.T) {
	t.Parallel()
	b := serving(t)
	s := good[ShowLine](b, "POST", "/api/shows", map[string]any{"from": "demo"})
	if s.Version != 1 || s.Name != "Small show" {
		t.Fatalf("made is %+v", s)
	}
	next, _ := b.listen("/api/shows/1/events", "")
	j := good[Job](b, "POST", "/api/shows/1/jobs", JobAsk{Kind: "plan", Steps: 20_000})
	j = b.ended(j.ID)
	if j.State != jobDone || j.Saved != 2 || !j.Workable || j.Cost == nil {
		t.Errorf("ended as %+v", j)
	}
	if h := hear(t, next, "job"); !strings.Contains(h.data, j.ID) {
		t.Errorf("heard %s", h.data)
	}
	table := b.table("/api/shows/1")
	if table.Version != 2 || !table.Workable || table.Plan == nil {
		t.Errorf("the table is of version %d, workable %v", table.Version, table.Workable)
	}
	r := good[planBody](b, "GET", "/api/jobs/"+j.ID+"/result", nil)
	if !r.Workable || r.Cost.Total != table.Cost.Total {
		t.Errorf("the result costs %d, the table's plan %d", r.Cost.Total, table.Cost.Total)
	}
	// Planned again, there is nothing better: the draft stays as it is.
	again := b.ended(good[Job](b, "POST", "/api/shows/1/jobs", JobAsk{Kind: "plan", Steps: 20_000}).ID)
	if again.State != jobDone || again.Saved != 0 || b.table("/api/shows/1").Version != 2 {
		t.Errorf("planned again: %+v", again)
	}
	if list := good[[]Job](b, "GET", "/api/shows/1/jobs", nil); len(list) != 2 || list[0].ID != again.ID {
		t.Errorf("the list of jobs is %+v", list)
	}
}

// TestJobBesideAnEdit: a draft that was changed while a plan was looked for is
// not written over; the plan is kept beside it.
func TestJobBesideAnEdit(t *testing.T) {
	t.Parallel()
	b := serving(t)
	good[ShowLine](b, "POST", "/api/shows", map[string]any{"from": "demo"})
	d := must(b.kept.Draft(t.Context(), 1))(t)
	do := must(b.s.planJob(jobInput{ask: JobAsk{Kind: "plan", Steps: 20_000}, draft: d, author: "Orla"}))(t)
	edited := small()
	edited.Vehicles[0].Name = "Dunlin the second"
	good[desk.Table](b, "PUT", "/api/shows/1/show", ShowEdit{"the name", edited}, at(1)...)
	j := b.ended(must(b.s.jobs.add(Job{Kind: "plan", Show: 1, Version: 1}, do))(t).ID)
	if j.Saved != 0 || j.Kept != 1 {
		t.Fatalf("ended as %+v", j)
	}
	if now := b.table("/api/shows/1"); now.Version != 2 || now.Show.Vehicles[0].Name != "Dunlin the second" {
		t.Errorf("the draft is version %d", now.Version)
	}
	if c := must(b.kept.Copy(t.Context(), 1, 1))(t); c.Plan == nil || c.Version != 1 {
		t.Errorf("the copy is of version %d", c.Version)
	}
}

// TestPlanThatCannotBeKept: what an hour's search has found can be read also
// when it could not be kept, as when the show has been archived meanwhile.
func TestPlanThatCannotBeKept(t *testing.T) {
	t.Parallel()
	b := serving(t)
	b.planned()
	d := must(b.kept.Draft(t.Context(), 1))(t)
	d.Plan = nil
	do := must(b.s.planJob(jobInput{ask: JobAsk{Kind: "plan", Steps: 1000}, draft: d, author: "Orla"}))(t)
	must(b.kept.Archive(t.Context(), 1))(t)
	j := b.ended(must(b.s.jobs.add(Job{Kind: "plan", Show: 1}, do))(t).ID)
	if j.State != jobFailed || j.Trouble == nil || !strings.Contains(j.Trouble.Detail, "archived") {
		t.Errorf("ended as %+v", j)
	}
	if x := good[planBody](b, "GET", "/api/jobs/"+j.ID+"/result", nil); x.Plan == nil || !x.Workable {
		t.Errorf("found %+v", x)
	}
}

func TestJobAsks(t *testing.T) {
	t.Parallel()
	b := serving(t)
	show := b.planned()
	for _, x := range []struct {
		ask  string
		says string
	}{
		{`{"kind":"dance"}`, `"dance" is no kind of job`},
		{`{"kind":"plan","seconds":-1}`, "-1 seconds"},
		{`{"kind":"plan","seconds":99999}`, "no time to search"},
		{`{"kind":"plan","steps":-4}`, "cannot be negative"},
		{`{"kind":"replan"}`, "at says"},
		{`{"kind":"advise","most":9}`, "9 is no number"},
	} {
		if got := b.bad(422, "POST", show+"/jobs", []byte(x.ask)); !strings.Contains(got.Detail, x.says) {
			t.Errorf("%s: %s", x.ask, got.Detail)
		}
	}
	b.bad(400, "POST", show+"/jobs", []byte(`{"kind":"replan","at":"soon"}`))
	b.bad(404, "POST", "/api/shows/9/jobs", JobAsk{Kind: "plan"})
	b.bad(404, "GET", "/api/shows/9/jobs", nil)
}

// TestResults runs each kind of job on a small show and reads its result.
func TestResults(t *testing.T) {
	if testing.Short() {
		t.Skip("plans again and again")
	}
	t.Parallel()
	b := serving(t)
	show := b.planned()
	result := func(ask JobAsk) (Job, map[string]json.RawMessage) {
		j := b.ended(good[Job](b, "POST", show+"/jobs", ask).ID)
		if j.State != jobDone {
			t.Fatalf("%s ended as %+v", ask.Kind, j)
		}
		return j, good[map[string]json.RawMessage](b, "GET", "/api/jobs/"+j.ID+"/result", nil)
	}
	has := func(kind string, r map[string]json.RawMessage, fields ...string) {
		for _, f := range fields {
			if len(r[f]) == 0 || string(r[f]) == "null" {
				t.Errorf("the result of %s has no %s", kind, f)
			}
		}
	}
	version := b.table(show).Version
	j, r := result(JobAsk{Kind: "variants", Steps: 10_000})
	has("variants", r, "rows", "answers")
	taken := good[desk.Table](b, "POST", "/api/jobs/"+j.ID+"/choose", Choice{Variant: 1}, at(version)...)
	if taken.Version != version+1 || taken.Plan == nil {
		t.Errorf("a variant was taken: version %d", taken.Version)
	}
	b.bad(422, "POST", "/api/jobs/"+j.ID+"/choose", Choice{Variant: 7}, at(taken.Version)...)
	b.bad(412, "POST", "/api/jobs/"+j.ID+"/choose", Choice{Variant: 1}, at(version)...)
	b.bad(428, "POST", "/api/jobs/"+j.ID+"/choose", Choice{Variant: 1})
	other := small()
	other.Vehicles[0].Name = "Dunlin the second"
	edited := good[desk.Table](b, "PUT", show+"/show", ShowEdit{"a name", other}, at(taken.Version)...)
	b.bad(409, "POST", "/api/jobs/"+j.ID+"/choose", Choice{Variant: 1}, at(edited.Version)...) // it would undo the name
	taken = good[desk.Table](b, "POST", show+"/undo", nil, at(edited.Version)...)
	_, r = result(JobAsk{Kind: "failures"})
	has("failures", r, "rows", "worst", "says", "svg", "not_checked", "assumed")
	j, r = result(JobAsk{Kind: "explain", Steps: 10_000})
	has("explain", r, "cost", "reasons", "says", "not_checked")
	b.bad(422, "POST", "/api/jobs/"+j.ID+"/choose", Choice{}, at(taken.Version)...)
	_, r = result(JobAsk{Kind: "advise", Steps: 50_000, Most: 1})
	has("advise", r, "present", "base", "says")

	good[IssueLine](b, "POST", show+"/issues", NewIssue{"told"}, at(taken.Version)...)
	late := sallyport.Happening{Kind: sallyport.HappenDoNotMove, Unit: "stint", At: sallyport.At(1, 8, 30)}
	good[[]LogLine](b, "POST", show+"/log", Said{[]sallyport.Happening{late}})
	j, r = result(JobAsk{Kind: "replan", At: sallyport.At(1, 8, 30), Steps: 10_000})
	has("replan", r, "at", "happened", "notices", "says", "plan", "not_checked")
	var notices []noticeBody
	if err := json.Unmarshal(r["notices"], &notices); err != nil || len(notices) == 0 || !strings.Contains(notices[0].Line, "Stint") {
		t.Errorf("what is to be told: %s", r["notices"])
	}
	gone := good[desk.Table](b, "POST", "/api/jobs/"+j.ID+"/choose", Choice{}, at(taken.Version)...)
	if gone.Plan.From == nil {
		t.Error("the continuation was not taken")
	}
	if strings.HasPrefix(gone.Verdict[0], "Workable for what is left") != gone.Workable {
		t.Errorf("workable %v, but %q", gone.Workable, gone.Verdict[0])
	}
	// A plan of the whole show would forget what has happened.
	for _, kind := range []string{"plan", "variants"} {
		b.bad(422, "POST", show+"/jobs", JobAsk{Kind: kind, Steps: 1000})
	}
	good[IssueLine](b, "POST", show+"/issues", NewIssue{"gone on"}, at(gone.Version)...)
	// What the log says is taken in once.
	_, r = result(JobAsk{Kind: "replan", At: sallyport.At(1, 8, 40), Steps: 10_000})
	if string(r["happened"]) != "[]" {
		t.Errorf("taken in again: %s", r["happened"])
	}
	b.bad(422, "POST", show+"/place", desk.Put{Unit: "knot", Lane: "A2"}, at(gone.Version)...)
}

// TestPlanJobFillsIn: a plan looked for on a table with a vehicle at the gate
// puts it in, and leaves what is fixed where it is.
func TestPlanJobFillsIn(t *testing.T) {
	t.Parallel()
	b := serving(t)
	show := b.planned()
	home := sallyport.LaneID("")
	for _, s := range b.table(show).Stays {
		if s.Unit == "stint" && s.After == "" {
			home = s.Lane
		}
	}
	good[desk.Table](b, "POST", show+"/fix", desk.FixAsk{Units: []sallyport.UnitID{"stint"}, Fixed: true}, at(1)...)
	out := good[desk.Table](b, "POST", show+"/place", desk.Put{Unit: "knot"}, at(2)...)
	if out.Workable || out.Undo.What != "Knot to the gate" {
		t.Fatalf("taken out: workable %v, %+v", out.Workable, out.Undo)
	}
	j := b.ended(good[Job](b, "POST", show+"/jobs", JobAsk{Kind: "plan", Steps: 10_000}).ID)
	if j.Saved != 4 {
		t.Fatalf("ended as %+v", j)
	}
	now := b.table(show)
	if !now.Workable {
		t.Errorf("planned: %v", now.Verdict)
	}
	for _, s := range now.Stays {
		if s.Lane == "" || s.Unit == "stint" && s.Lane != home {
			t.Errorf("%s stands in %q", s.Unit, s.Lane)
		}
	}
}

// TestPlanIsCancelled: a search that is stopped keeps the best plan it has, in
// the draft.
func TestPlanIsCancelled(t *testing.T) {
	if testing.Short() {
		t.Skip("plans a whole show")
	}
	t.Parallel()
	b := serving(t, func(o *Options) { o.Demo, o.Workers = fenmoor.Show, 1 })
	good[ShowLine](b, "POST", "/api/shows", map[string]any{"from": "demo"})
	j := good[Job](b, "POST", "/api/shows/1/jobs", JobAsk{Kind: "plan", Steps: 1 << 40})
	for end := time.Now().Add(2 * time.Minute); !j.Workable; time.Sleep(20 * time.Millisecond) {
		if j = good[Job](b, "GET", "/api/jobs/"+j.ID, nil); j.Ended != "" || time.Now().After(end) {
			t.Fatalf("no workable plan comes: %+v", j)
		}
	}
	good[Job](b, "DELETE", "/api/jobs/"+j.ID, nil)
	j = b.ended(j.ID)
	if j.State != jobStopped || j.Saved != 2 || j.Cost == nil {
		t.Fatalf("stopped as %+v", j)
	}
	if now := b.table("/api/shows/1"); now.Plan == nil || !now.Workable || now.Undo == nil || now.Undo.What != "planned, stopped early" {
		t.Errorf("the draft after it: workable %v, %+v", now.Workable, now.Undo)
	}
}
