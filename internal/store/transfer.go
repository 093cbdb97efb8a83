package store

import (
	"archive/zip"
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"sallyport"
)

// FormatExport is the format string of a show exported as one file: a ZIP of
// show.json (an exported) and the content of its draft, issues and copies as
// JSON of the root package. docs/store.md describes it.
const FormatExport = "sallyport-export/1"

// Limits of what is imported.
const (
	maxVersion = 1 << 53 // so that it can still go up
	maxExport  = 1 << 30 // bytes of all files together
	maxFiles   = 20_000  // files: a state has two
	maxWrong   = 1000    // problems that are told
)

// listFile is the file in an export that lists all others.
const listFile = "show.json"

// exported is listFile.
type exported struct {
	Format   string          `json:"format"`
	Name     string          `json:"name"`
	Created  time.Time       `json:"created"`
	Exported time.Time       `json:"exported"`
	Draft    exportedState   `json:"draft"`
	Issues   []exportedState `json:"issues"`
	Copies   []exportedState `json:"copies"`
	Log      []exportedEntry `json:"log"`
}

// exportedState is a draft, an issue or a saved copy. ShowFile and PlanFile
// name files beside the list.
type exportedState struct {
	Number   int       `json:"number,omitempty"` // none of a draft
	Version  int64     `json:"version"`
	At       time.Time `json:"at"`
	Author   string    `json:"author"`
	Note     string    `json:"note,omitempty"`
	ShowFile string    `json:"show"`
	PlanFile string    `json:"plan,omitempty"`
}

// exportedEntry is an entry of the log; its number is its place.
type exportedEntry struct {
	At        time.Time           `json:"at"`
	Author    string              `json:"author"`
	Happening sallyport.Happening `json:"happening"`
}

// Export writes one show with all that is kept of it, as one file.
func (s *Store) Export(ctx context.Context, id ShowID, w io.Writer) error {
	now := timeOf(s.stamp())
	return s.read(ctx, func(tx *sql.Tx) error {
		show, err := getShow(ctx, tx, id)
		if err != nil {
			return err
		}
		x := exporter{zip: zip.NewWriter(w), at: now, list: exported{
			Format: FormatExport, Name: show.Name, Created: show.Created, Exported: now,
			Issues: []exportedState{}, Copies: []exportedState{}, Log: []exportedEntry{},
		}}
		if err := x.all(ctx, tx, show); err != nil {
			return err
		}
		text, err := json.MarshalIndent(x.list, "", "  ")
		if err != nil {
			return err
		}
		if err := errors.Join(x.file(listFile, string(text)), x.zip.Close()); err != nil {
			return sallyport.Errorf(sallyport.CodeInput, "check the disk it is written to", "%s cannot be exported (%s)", show.Name, err)
		}
		return nil
	})
}

// exporter writes an export.
type exporter struct {
	zip  *zip.Writer
	at   time.Time
	list exported
}

func (x *exporter) file(name, text string) error {
	f, err := x.zip.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: x.at})
	if err == nil {
		_, err = io.WriteString(f, text)
	}
	return err
}

// state writes the content of a state and completes what is said of it.
func (x *exporter) state(name string, e exportedState, w written) (exportedState, error) {
	e.ShowFile = name + "-show.json"
	err := x.file(e.ShowFile, w.show)
	if err == nil && w.plan.Valid {
		e.PlanFile = name + "-plan.json"
		err = x.file(e.PlanFile, w.plan.String)
	}
	return e, err
}

func (x *exporter) all(ctx context.Context, tx *sql.Tx, show Show) error {
	d, err := getDraft(ctx, tx, show.ID)
	if err != nil {
		return err
	}
	if x.list.Draft, err = x.state("draft", exportedState{Version: d.version, At: timeOf(d.saved), Author: d.author}, d.written); err != nil {
		return err
	}
	for n := 1; n <= show.Issues; n++ {
		i, w, err := getIssue(ctx, tx, show.ID, n)
		if err != nil {
			return err
		}
		e, err := x.state(fmt.Sprintf("issue-%d", n), exportedState{Number: n, Version: i.Version, At: i.Published, Author: i.Author, Note: i.Note}, w)
		if err != nil {
			return err
		}
		x.list.Issues = append(x.list.Issues, e)
	}
	for n := 1; n <= show.Copies; n++ {
		c, w, err := getCopy(ctx, tx, show.ID, n)
		if err != nil {
			return err
		}
		e, err := x.state(fmt.Sprintf("copy-%d", n), exportedState{Number: n, Version: c.Version, At: c.Kept, Author: c.Author, Note: c.Note}, w)
		if err != nil {
			return err
		}
		x.list.Copies = append(x.list.Copies, e)
	}
	log, err := getLog(ctx, tx, show.ID, 0)
	for _, l := range log {
		x.list.Log = append(x.list.Log, exportedEntry{l.Said, l.Author, l.Happening})
	}
	return err
}

// Import reads an exported show as a new one, which is not archived. When
// anything is wrong with the file nothing is kept, and the problems list all
// of it.
func (s *Store) Import(ctx context.Context, r io.ReaderAt, size int64) (Show, []sallyport.Problem, error) {
	in := readExport(r, size)
	if len(in.problems) > 0 {
		first := in.problems[0].String()
		if n := len(in.problems); n > 1 {
			first = fmt.Sprintf("%d problems, the first: %s", n, first)
		}
		return Show{}, in.problems, sallyport.Errorf(sallyport.CodeInput, "export the show again", "nothing was imported: %s", first)
	}
	var made Show
	now := s.stamp()
	err := s.write(ctx, func(tx *sql.Tx) error {
		id, err := addShow(ctx, tx, in.list.Name, in.list.Created.UnixMicro(), now)
		if err == nil {
			err = in.addTo(ctx, tx, id, now)
		}
		if err == nil {
			made, err = getShow(ctx, tx, id)
		}
		return err
	})
	return made, nil, err
}

// addTo adds all that was read to a new show.
func (in *importing) addTo(ctx context.Context, tx *sql.Tx, id ShowID, now int64) error {
	d := in.list.Draft
	if err := addDraft(ctx, tx, id, d.Version, d.At.UnixMicro(), d.Author, in.content[d.ShowFile]); err != nil {
		return err
	}
	for _, e := range in.list.Issues {
		if err := addIssue(ctx, tx, Issue{id, e.Number, e.At, e.Author, e.Note, e.Version, Content{}}, in.content[e.ShowFile]); err != nil {
			return err
		}
	}
	for _, e := range in.list.Copies {
		if err := addCopy(ctx, tx, Copy{id, e.Number, e.At, e.Author, e.Note, e.Version, Content{}}, in.content[e.ShowFile]); err != nil {
			return err
		}
	}
	for i, e := range in.list.Log {
		if err := addLog(ctx, tx, LogEntry{id, i + 1, e.At, e.Author, e.Happening}); err != nil {
			return err
		}
	}
	_, err := tx.ExecContext(ctx, `UPDATE show SET issues = $2, copies = $3, said = $4, changed = $5 WHERE id = $1`,
		id, len(in.list.Issues), len(in.list.Copies), len(in.list.Log), now)
	return err
}

// importing is an export being read.
type importing struct {
	files    map[string]*zip.File
	list     exported
	content  map[string]written // by name of the show's file
	named    map[string]bool    // files that the list names
	problems []sallyport.Problem
	size     int // of all that was read
}

func (in *importing) problem(file, field, message, advice string) {
	if len(in.problems) >= maxWrong {
		return
	}
	in.problems = append(in.problems, sallyport.Problem{
		Severity: sallyport.Stop, Kind: "file", ID: file, Subject: "file " + file, Field: field, Message: file + ": " + message, Advice: advice,
	})
}

// readExport reads a file and notes all that is wrong with it.
func readExport(r io.ReaderAt, size int64) *importing {
	in := &importing{files: map[string]*zip.File{}, content: map[string]written{}, named: map[string]bool{listFile: true}}
	z, err := zip.NewReader(r, size)
	if err != nil {
		in.problem("the file", "", "this is no exported show, or it is cut off or damaged", "")
		return in
	}
	if n := len(z.File); n > maxFiles {
		in.problem("the file", "", fmt.Sprintf("it holds %d files, %d at most are read", n, maxFiles), "")
		return in
	}
	for _, f := range z.File {
		if in.files[f.Name] != nil {
			in.problem(f.Name, "", "it is in the export twice", "")
		}
		in.files[f.Name] = f
	}
	if !in.decode(listFile, &in.list) {
		return in
	}
	if in.list.Format != FormatExport {
		in.problem(listFile, "format", fmt.Sprintf("the format %q is not known to this version", in.list.Format), "it reads "+FormatExport)
		return in
	}
	in.text("name", in.list.Name, maxName, true)
	in.when("created", in.list.Created)
	in.state("draft", 0, in.list.Draft)
	for i, e := range in.list.Issues {
		in.state(fmt.Sprintf("issues/%d", i), i+1, e)
	}
	for i, e := range in.list.Copies {
		in.state(fmt.Sprintf("copies/%d", i), i+1, e)
	}
	for i, e := range in.list.Log {
		field := fmt.Sprintf("log/%d/", i)
		in.text(field+"author", e.Author, maxName, false)
		in.when(field+"at", e.At)
		if !knownKind(e.Happening) {
			in.problem(listFile, field+"happening", fmt.Sprintf("%q is no kind of happening", e.Happening.Kind), "")
		}
	}
	for _, f := range z.File {
		switch {
		case !in.named[f.Name]:
			in.problem(f.Name, "", "nothing names this file", "")
		case strings.ContainsAny(f.Name, `/\:`) || strings.HasPrefix(f.Name, "."):
			// Nothing is written under it, but who unpacks the file by hand would be surprised.
			in.problem(f.Name, "", "an export has no folders, and no names like this", "")
		}
	}
	return in
}

func (in *importing) text(field, text string, most int, needed bool) {
	if err := checkText(field, text, most, needed); err != nil {
		in.problem(listFile, field, err.Error(), "")
	}
}

func (in *importing) when(field string, t time.Time) {
	if t.Year() < 1900 || t.Year() > 9999 {
		in.problem(listFile, field, fmt.Sprintf("%s: %s is no time of a show", field, t.Format(time.RFC3339)), "")
	}
}

// state checks one state and reads its content.
func (in *importing) state(field string, number int, e exportedState) {
	if e.Number != number {
		in.problem(listFile, field+"/number", fmt.Sprintf("%s has number %d in place of %d", field, e.Number, number), "")
	}
	if e.Version < 0 || e.Version > maxVersion || e.Version == 0 && field == "draft" {
		in.problem(listFile, field+"/version", fmt.Sprintf("%s has version %d", field, e.Version), "")
	}
	in.text(field+"/author", e.Author, maxName, false)
	in.text(field+"/note", e.Note, maxText, false)
	in.when(field+"/at", e.At)
	for _, file := range []string{e.ShowFile, e.PlanFile} {
		in.named[file] = in.named[file] || file != ""
	}
	if _, twice := in.content[e.ShowFile]; twice {
		in.problem(listFile, field+"/show", fmt.Sprintf("%s names %s, which another does too", field, e.ShowFile), "")
		return
	}
	c := Content{Show: &sallyport.Show{}}
	good := in.decode(e.ShowFile, c.Show) && in.format(e.ShowFile, c.Show.Format, sallyport.FormatShow)
	if e.PlanFile != "" {
		c.Plan = &sallyport.Plan{}
		good = in.decode(e.PlanFile, c.Plan) && in.format(e.PlanFile, c.Plan.Format, sallyport.FormatPlan) && good
	}
	if !good {
		return
	}
	w, err := c.write()
	if err != nil {
		in.problem(e.ShowFile, "", err.Error(), "")
	}
	in.content[e.ShowFile] = w
}

func (in *importing) format(file, got, want string) bool {
	if got != want {
		in.problem(file, "format", fmt.Sprintf("the format %q is not known to this version", got), "it reads "+want)
	}
	return got == want
}

// decode reads one file of JSON; a field that is not known is a problem, for
// it would be lost.
func (in *importing) decode(name string, v any) bool {
	f := in.files[name]
	if f == nil {
		in.problem(name, "", "it is missing", "")
		return false
	}
	if in.size > maxExport {
		in.problem(name, "", fmt.Sprintf("it was not read: the files have more than %d MB together", maxExport>>20), "")
		return false
	}
	data, err := unzip(f)
	in.size += len(data)
	switch {
	case err != nil:
		in.problem(name, "", "it is damaged ("+err.Error()+")", "")
		return false
	case len(data) > maxContent:
		in.problem(name, "", fmt.Sprintf("it has more than %d MB", maxContent>>20), "")
		return false
	}
	if err = sallyport.CheckListed(data); err == nil {
		d := json.NewDecoder(bytes.NewReader(data))
		d.DisallowUnknownFields()
		if err = d.Decode(v); err == nil && d.More() {
			err = errors.New("something follows its end")
		}
	}
	if err != nil {
		in.problem(name, "", "it cannot be read: "+strings.TrimPrefix(err.Error(), "json: "), "")
	}
	return err == nil
}

// unzip returns what a file in a ZIP holds, up to one byte more than can be
// kept.
func unzip(f *zip.File) ([]byte, error) {
	r, err := f.Open()
	if err != nil {
		return nil, err
	}
	data, err := io.ReadAll(io.LimitReader(r, maxContent+1))
	return data, errors.Join(err, r.Close())
}
