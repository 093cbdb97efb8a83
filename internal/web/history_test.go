package web

import (
	"reflect"
	"testing"

	"sallyport"
	"sallyport/internal/desk"
)

// TestUndoAndRedo: edits are taken back and made again one by one, each as a
// new version; the table says what the next step would be.
func TestUndoAndRedo(t *testing.T) {
	t.Parallel()
	b := serving(t)
	show := b.planned()
	before := b.table(show)
	if before.Undo != nil || before.Redo != nil {
		t.Errorf("at first there is %v to take back, %v to make again", before.Undo, before.Redo)
	}
	b.bad(422, "POST", show+"/undo", nil, at(1)...)
	placed := good[desk.Table](b, "POST", show+"/place", desk.Put{Unit: "knot", Lane: "A2"}, at(1)...)
	if placed.Undo == nil || placed.Undo.What != "Knot to A2" || placed.Redo != nil {
		t.Fatalf("after an edit: %+v, %+v", placed.Undo, placed.Redo)
	}
	good[desk.Table](b, "POST", show+"/fix", desk.FixAsk{Units: []sallyport.UnitID{"knot"}, Fixed: true}, at(2)...)
	b.bad(412, "POST", show+"/undo", nil, at(2)...)
	b.bad(428, "POST", show+"/undo", nil)
	back := good[desk.Table](b, "POST", show+"/undo", nil, at(3)...)
	if back.Version != 4 || !reflect.DeepEqual(back.Stays, placed.Stays) || back.Redo == nil || back.Redo.What != "Knot fixed" {
		t.Errorf("taken back: version %d, again %+v", back.Version, back.Redo)
	}
	back = good[desk.Table](b, "POST", show+"/undo", nil, at(4)...)
	if !reflect.DeepEqual(back.Stays, before.Stays) || back.Undo != nil {
		t.Errorf("taken back wholly: %+v", back.Undo)
	}
	good[desk.Table](b, "POST", show+"/redo", nil, at(5)...)
	again := good[desk.Table](b, "POST", show+"/redo", nil, at(6)...)
	if again.Redo != nil || again.Show.Vehicles[1].Home.Binding != sallyport.Fixed {
		t.Errorf("made again: %+v", again.Redo)
	}
	b.bad(422, "POST", show+"/redo", nil, at(7)...)
	if list := good[[]StepLine](b, "GET", show+"/history", nil); len(list) != 7 || list[0].Version != 7 {
		t.Errorf("the history is %+v", list)
	}
	b.bad(404, "GET", "/api/shows/9/history", nil)
	b.bad(404, "POST", "/api/shows/9/undo", nil, at(1)...)
	b.bad(404, "POST", "/api/shows/9/redo", nil, at(1)...)
}

// TestRestore: an issue is put back as the next version, and the draft that
// was there is kept as a copy, which can be put back too.
func TestRestore(t *testing.T) {
	t.Parallel()
	b := serving(t)
	show := b.planned()
	good[IssueLine](b, "POST", show+"/issues", NewIssue{"first"}, at(1)...)
	edited := small()
	edited.Name = "Another"
	good[desk.Table](b, "PUT", show+"/show", ShowEdit{"the name", edited}, at(1)...)
	back := good[desk.Table](b, "POST", show+"/restore", Restore{Issue: 1}, at(2)...)
	if back.Version != 3 || back.Show.Name != "Small show" || back.Undo == nil {
		t.Errorf("put back: version %d of %s, %+v", back.Version, back.Show.Name, back.Undo)
	}
	if back = good[desk.Table](b, "POST", show+"/restore", Restore{Copy: 1}, at(3)...); back.Show.Name != "Another" {
		t.Errorf("the copy is of %s", back.Show.Name)
	}
	copies := good[[]CopyLine](b, "GET", show+"/copies", nil)
	if len(copies) != 2 || copies[0].Number != 2 || copies[1].Version != 2 || copies[1].Author != "Planner" || copies[1].Note == "" || copies[1].Kept == "" {
		t.Errorf("the saved copies are %+v", copies)
	}
	b.bad(404, "GET", "/api/shows/9/copies", nil)
	b.bad(404, "POST", show+"/restore", Restore{Issue: 8}, at(4)...)
	b.bad(422, "POST", show+"/restore", Restore{}, at(4)...)
	b.bad(422, "POST", show+"/restore", Restore{Issue: 1, Copy: 1}, at(4)...)
	b.bad(412, "POST", show+"/restore", Restore{Issue: 1}, at(1)...)
	lines := good[[]AuditLine](b, "GET", "/api/audit", nil)
	if len(lines) != 3 || lines[0].Who != "Planner" {
		t.Errorf("the audit trail is %+v", lines)
	}
}
