package paper

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"os"
	"regexp"
	"strings"
	"testing"

	"sallyport"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// small returns the invented show and plan that the pictures are tested with.
func small(t *testing.T) Input {
	t.Helper()
	var show sallyport.Show
	var plan sallyport.Plan
	read(t, "../picture/testdata/small.show.json", &show)
	read(t, "../picture/testdata/small.plan.json", &plan)
	full := sallyport.Complete(&show)
	report := sallyport.Check(full, &plan)
	return Input{Show: full, Plan: &plan, Report: report, Verdict: []string{"Workable: said by desk.", "2 moves aside."}, Drawing: Drawing{Draw: sketch}}
}

func read(t *testing.T, path string, into any) {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, into); err != nil {
		t.Fatalf("%s: %v", path, err)
	}
}

// sketch stands for a picture: who is due, how many moves, who is where.
func sketch(title string, state sallyport.State, due []sallyport.UnitID, moves []sallyport.Move) []byte {
	text, err := json.Marshal(map[string]any{"title": title, "due": due, "moves": len(moves), "lanes": state.Lanes})
	if err != nil {
		return nil
	}
	var out bytes.Buffer
	out.WriteString("<svg><text>")
	if err := xml.EscapeText(&out, text); err != nil {
		return nil
	}
	out.WriteString("</text></svg>")
	return out.Bytes()
}

// write returns the page.
func write(t *testing.T, in Input) string {
	t.Helper()
	var out bytes.Buffer
	if err := HTML(&out, in); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// inline are the elements that do not part words.
var inline = map[string]bool{"bdi": true, "b": true, "span": true, "a": true}

// parse reads a page to its end as forgivingly as HTML is read, checks that
// what is opened is closed, and returns its text.
func parse(t *testing.T, page string) string {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(page))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	var text strings.Builder
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return text.String()
		}
		if err != nil {
			t.Fatalf("the page does not parse: %v", err)
		}
		switch x := token.(type) {
		case xml.CharData:
			text.Write(x)
		case xml.EndElement:
			if !inline[x.Name.Local] {
				text.WriteByte(' ')
			}
		}
	}
}

var styleElement = regexp.MustCompile(`(?s)<style>.*</style>`)

func TestGolden(t *testing.T) {
	in := small(t)
	in.Explanations = []Explanation{{
		Title: "Bittern is moved aside at 10:00", Why: []string{"It stands before Avocet, which is due in S1."},
		Cure: "Bittern in B2 from the start.", Saves: 1234,
	}}
	got := styleElement.ReplaceAllString(write(t, in), "<style></style>")
	const path = "testdata/small.html"
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s differs from the page written now; look at it and run with -update if it is right", path)
	}
}

// TestNothingLost holds that every move stands in exactly one list, columns
// aside, and that every unit, entry and assumption is named.
func TestNothingLost(t *testing.T) {
	in := small(t)
	in.Plan.Moves = append(in.Plan.Moves,
		sallyport.Move{ID: "odd1", Kind: sallyport.MovePullOut, Unit: "avocet", Serial: "no such serial", Start: sallyport.At(9, 10, 0)},
		sallyport.Move{ID: "odd2", Kind: sallyport.MoveReset, Unit: "curlew", Window: "no such window"},
		sallyport.Move{ID: "odd3", Kind: sallyport.MoveOut, Units: []sallyport.UnitID{"avocet"}, Start: sallyport.At(1, 9, 0)},
		sallyport.Move{ID: "odd4", Kind: "levitate", Unit: "stranger", Start: sallyport.At(2, 9, 0)},
		sallyport.Move{ID: "odd5", Kind: sallyport.MoveArrive, Unit: "heron", Serial: "S1", Start: sallyport.At(1, 9, 0)},
	)
	page := write(t, in)
	for _, m := range in.Plan.Moves {
		want := 1
		if (m.Kind == sallyport.MoveOut || m.Kind == sallyport.MoveHome) && m.ID != "odd3" {
			want = 0
		}
		if n := strings.Count(page, `data-move="`+string(m.ID)+`"`); n != want {
			t.Errorf("move %s (%s) stands in %d lists, not %d", m.ID, m.Kind, n, want)
		}
	}
	text := parse(t, page)
	for _, v := range in.Show.Vehicles {
		if !strings.Contains(text, v.Name) {
			t.Errorf("%s is not on the page", v.Name)
		}
	}
	for _, a := range append(in.Report.NotChecked, assumed(in)...) {
		if !strings.Contains(text, a) {
			t.Errorf("%q is not on the page", a)
		}
	}
}

func assumed(in Input) []string {
	var out []string
	for _, a := range in.Report.Assumed {
		out = append(out, a.Value, a.Why)
	}
	return out
}

func TestWords(t *testing.T) {
	in := small(t)
	in.Plan.Unserved = []sallyport.EntryID{"S2.2"}
	in.Plan.Moves[15].After = append(in.Plan.Moves[15].After, sallyport.Wait{Move: "m12"}) // m16
	in.Plan.Moves[18].After = append(in.Plan.Moves[18].After, sallyport.Wait{Move: "m15"}) // m19
	text := strings.Join(strings.Fields(parse(t, write(t, in))), " ")
	for _, want := range []string{
		"Friday, 6 August 2027 to Saturday, 7 August 2027",
		"Workable: said by desk.", "2 moves aside.",
		"number 1, Bittern; Long Causeway empty", "the column is back", "move aside Bittern S 2", "put back Bittern",
		"B1 → Long Causeway", "in reverse, up to Dunlin, held back on the line until 11:20, 2 marshal teams",
		"by hand, 4 people", "12:40 2 min", "number 1, Curlew; Curlew is in A2 (11:22)",
		"number 2, Dunlin; Bittern is away on duty (11:52)", "the column is back; Dunlin is out of A2 (13:04)",
		"T. Ames", "R. Bell & Co", "Reset, 18:00 to 19:30 at the latest",
		"Loading hard → B2, by its tail", "B2 → Loading hard", "nose first, to the mouth", "in reverse, to the closed end", "in reverse, up to Heron",
		"The line is filled from the tail only", "The column leaves the line at 10:38. It is back on the line at 11:02.",
		"Egret not served", "Repeatable by version 1, seed 7, steps 1000, show c0ffee.",
		"Avocet S 1 From the start in A1 Saturday 10:02 out of A1 for S1; 11:02 home to A3",
		"Friday 15:00 arrives, into B2, by its tail", "19:40 leaves B2 for home",
		"Not checked", "Assumed",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is missing", want)
		}
	}
	if t.Failed() {
		t.Log(text)
	}
}

// TestSharedWaits holds that what several moves of a list wait for is said
// once above it, and what one waits for in its row.
func TestSharedWaits(t *testing.T) {
	in := small(t)
	for i := range in.Plan.Moves {
		m := &in.Plan.Moves[i]
		if m.ID == "m4" || m.ID == "m6" {
			m.After = append(m.After, sallyport.Wait{Line: "long"}, sallyport.Wait{Clear: "quay"})
		}
	}
	text := parse(t, write(t, in))
	for say, times := range map[string]int{
		"Nobody goes onto Long Causeway before the last column has left it.": 1,
		"Nothing moves in Quay before it is declared clear.":                 1,
		"Long Causeway empty": 0,
		"Quay declared clear": 0,
		"number 2, Avocet":    2,
	} {
		if n := strings.Count(text, say); n != times {
			t.Errorf("%q is said %d times, not %d", say, n, times)
		}
	}
}

func TestEscaped(t *testing.T) {
	const bad = `<script>alert("x")</script>'&`
	in := small(t)
	in.Title = bad
	in.Show.Name, in.Show.Days[1].Name, in.Show.FirstDate = bad, bad, bad
	for i := range in.Show.Vehicles {
		in.Show.Vehicles[i].Name, in.Show.Vehicles[i].Number = bad, bad
	}
	for i := range in.Show.Serials {
		in.Show.Serials[i].Name, in.Show.Serials[i].Note = bad, bad
	}
	for i := range in.Show.Park.Lanes {
		in.Show.Park.Lanes[i].Name = bad
	}
	in.Show.Park.Lines[0].Name, in.Show.People[0].Name = bad, bad
	in.Plan.Moves[0].ID, in.Plan.Key.Show = bad, bad
	in.Report.NotChecked, in.Verdict = []string{bad}, []string{bad, bad}
	in.Report.Assumed = []sallyport.Assumption{{Subject: bad, Field: bad, Value: bad, Why: bad, Effect: bad}}
	in.Report.Faults = []sallyport.Fault{{Rule: bad, Sentence: bad}}
	in.Report.Cost.Terms = []sallyport.CostTerm{{Name: bad, Count: 1, Items: []sallyport.CostItem{{Why: bad}}}}
	in.Explanations = []Explanation{{Title: bad, Why: []string{bad}, Cure: bad}}
	page := write(t, in)
	if strings.Contains(page, "<script") || strings.Contains(page, `alert("`) {
		t.Error("text of the input came through as markup")
	}
	parse(t, page)
}

// TestSelfContained holds that the page fetches nothing and runs nothing.
func TestSelfContained(t *testing.T) {
	page := write(t, small(t))
	for _, bad := range []string{"<script", "src=", "@import", "http://", "https://", "<link rel=\"stylesheet", "onload", "<iframe"} {
		if strings.Contains(page, bad) {
			t.Errorf("the page has %q", bad)
		}
	}
}

func TestUnusualInput(t *testing.T) {
	var out bytes.Buffer
	if err := HTML(&out, Input{}); err == nil {
		t.Error("a page without show and plan was written")
	}
	text := parse(t, write(t, Input{Show: &sallyport.Show{}, Plan: &sallyport.Plan{}}))
	for _, want := range []string{"Plan", "Nobody arrives", "Nothing was assumed."} {
		if !strings.Contains(text, want) {
			t.Errorf("the empty page lacks %q", want)
		}
	}
	in := small(t)
	in.Drawing = Drawing{}
	if strings.Contains(write(t, in), "<figure") {
		t.Error("a page without drawing has figures")
	}
}

// TestVerdict holds that the first sentence stands out, and differently when
// the plan breaks rules.
func TestVerdict(t *testing.T) {
	in := small(t)
	if !strings.Contains(write(t, in), `<p class="verdict"><bdi>Workable: said by desk.</bdi></p>`) {
		t.Error("the verdict does not stand out")
	}
	in.Report.Faults = []sallyport.Fault{{Rule: "blocked", Sentence: "s"}}
	in.Verdict = []string{"Not workable: 1 fault."}
	if !strings.Contains(write(t, in), `<p class="verdict no"><bdi>Not workable: 1 fault.</bdi></p>`) {
		t.Error("a plan that is not workable is not marked")
	}
}

func TestReasonsAreCutOpenly(t *testing.T) {
	term := sallyport.CostTerm{Name: "moves aside"}
	for i := range 15 {
		term.Items = append(term.Items, sallyport.CostItem{Amount: sallyport.Amount(i), Why: "because"})
	}
	got := reasons(sallyport.Cost{Terms: []sallyport.CostTerm{term, {Name: "resets"}}})
	if len(got) != 1 || len(got[0].Items) != reasonsShown || got[0].Items[0].Amount != "14" || got[0].Rest != "3 smaller reasons left out here, 3 together." {
		t.Errorf("reasons are %+v", got)
	}
}

// TestColours holds that the page has the colours of docs/looks.md.
func TestColours(t *testing.T) {
	doc, err := os.ReadFile("../../docs/looks.md")
	if err != nil {
		t.Fatal(err)
	}
	css, err := style()
	if err != nil {
		t.Fatal(err)
	}
	rows := regexp.MustCompile("(?m)^\\| (\\w+) \\| `(#\\w+)` \\| `(#\\w+)` \\| `(#\\w+)` \\|").FindAllStringSubmatch(string(doc), -1)
	if len(rows) != 7 {
		t.Fatalf("docs/looks.md has %d colours", len(rows))
	}
	for _, r := range rows {
		for i, value := range r[2:] {
			found := regexp.MustCompile(`--`+r[1]+`:(#\w+)`).FindAllStringSubmatch(css, -1)
			if len(found) != 3 || found[i][1] != value {
				t.Errorf("--%s of the style sheet is %v, in docs/looks.md %v", r[1], found, r[2:])
			}
		}
	}
}

// TestWaitsOfAnotherDay holds that a time of another day says the day.
func TestWaitsOfAnotherDay(t *testing.T) {
	in := small(t)
	var arrival sallyport.Move
	for _, m := range in.Plan.Moves {
		if m.Kind == sallyport.MoveArrive {
			arrival = m
		}
	}
	for i := range in.Plan.Moves {
		if m := &in.Plan.Moves[i]; m.ID == "m4" {
			if m.Start.Day() == arrival.Start.Day() {
				t.Fatalf("%s moves on the day %s arrives", m.Unit, arrival.Unit)
			}
			m.After = append(m.After, sallyport.Wait{Move: arrival.ID})
		}
	}
	text, want := parse(t, write(t, in)), " is in "+arrival.To.ID+" (Friday "+arrival.Ends().Clock()+")"
	if !strings.Contains(text, want) {
		t.Errorf("%q is missing", want)
	}
}
