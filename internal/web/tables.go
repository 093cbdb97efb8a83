package web

import (
	"bytes"
	"compress/gzip"
	"slices"
	"sync"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/store"
)

// tablesKept is how many drafts and issues are kept ready, the last used first.
const tablesKept = 16

// state names one state of a show: a version of its draft, or an issue.
type state struct {
	show    store.ShowID
	issue   int   // 0: the draft
	version int64 // of the draft
}

// ready is a state with what was worked out of it.
type ready struct {
	state
	mu      sync.Mutex
	content store.Content
	table   *desk.Table // without what says whose it is
	head    desk.Table  // of text: what may change without a new version
	text    []byte
	zipped  []byte

	holding sync.Mutex
	hand    *desk.Hand
}

// tables keeps what was last worked out, so that many who look at one show
// cost no more than one.
type tables struct {
	mu   sync.Mutex
	list []*ready
}

func newTables() *tables { return &tables{} }

// of returns the entry of a state. load gives the content of one that is new.
func (t *tables) of(at state, load func() (store.Content, error)) (*ready, error) {
	if r := t.find(at); r != nil {
		return r, nil
	}
	content, err := load()
	if err != nil {
		return nil, err
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	if i := t.index(at); i >= 0 { // somebody else was quicker
		return t.list[i], nil
	}
	r := &ready{state: at, content: content}
	t.list = slices.Insert(t.list, 0, r)
	t.list = t.list[:min(len(t.list), tablesKept)]
	return r, nil
}

func (t *tables) index(at state) int {
	return slices.IndexFunc(t.list, func(r *ready) bool { return r.state == at })
}

// find returns an entry, which is then the last used; nil when there is none.
func (t *tables) find(at state) *ready {
	t.mu.Lock()
	defer t.mu.Unlock()
	i := t.index(at)
	if i < 0 {
		return nil
	}
	r := t.list[i]
	t.list = slices.Insert(slices.Delete(t.list, i, i+1), 0, r)
	return r
}

// work fills in the table, once. Its mutex is held.
func (r *ready) work() *desk.Table {
	if r.table == nil {
		r.table = desk.NewTable(r.content.Show, r.content.Plan, desk.TableOptions{})
	}
	return r.table
}

// played returns the completed show with what has happened by the plan, and
// the plan; nil when it cannot be played.
func (r *ready) played() (*sallyport.Show, *sallyport.Plan) {
	r.mu.Lock()
	defer r.mu.Unlock()
	show, plan := r.work().Complete, r.content.Plan
	if plan == nil {
		return show, nil
	}
	with, problems := sallyport.ShowWith(show, plan.Happened)
	if len(problems) > 0 {
		return show, nil
	}
	return with, plan
}

// over says whether it would do to put a stay elsewhere.
func (r *ready) over(ask desk.Put) (desk.PutHeld, error) {
	r.holding.Lock()
	defer r.holding.Unlock()
	if r.hand == nil {
		hand, err := desk.NewHand(r.content.Show, r.content.Plan)
		if err != nil {
			return desk.PutHeld{}, err
		}
		r.hand = hand
	}
	held, err := r.hand.Over(ask)
	held.Version = r.version
	return held, err
}

// sameHead reports whether two tables say the same of whose they are.
func sameHead(a, b *desk.Table) bool {
	same := func(x, y *desk.Step) bool { return x == y || x != nil && y != nil && *x == *y }
	return a.Name == b.Name && a.Archived == b.Archived && a.Issued == b.Issued && same(a.Undo, b.Undo) && same(a.Redo, b.Redo)
}

// written returns the table as JSON, plain and compressed. head has what says
// whose table it is.
func (r *ready) written(head desk.Table) (text, zipped []byte, err error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.text != nil && sameHead(&r.head, &head) {
		return r.text, r.zipped, nil
	}
	t := *r.work()
	t.ID, t.Name, t.Version, t.Author, t.Saved = head.ID, head.Name, head.Version, head.Author, head.Saved
	t.Archived, t.Issue, t.Issued, t.Undo, t.Redo = head.Archived, head.Issue, head.Issued, head.Undo, head.Redo
	if text, err = toJSON(&t); err != nil {
		return nil, nil, err
	}
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, gzip.BestSpeed)
	if err != nil {
		return nil, nil, err
	}
	if _, err := z.Write(text); err != nil {
		return nil, nil, err
	}
	if err := z.Close(); err != nil {
		return nil, nil, err
	}
	r.head, r.text, r.zipped = head, text, b.Bytes()
	return r.text, r.zipped, nil
}
