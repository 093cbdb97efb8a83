package web

import (
	"testing"

	"sallyport"
	"sallyport/internal/desk"
)

// TestSetAside: edits that came second are kept as a saved copy, made on what
// is the draft now, and the draft stays as it is.
func TestSetAside(t *testing.T) {
	t.Parallel()
	b := serving(t)
	show := b.planned()
	edited := small()
	edited.Name = "Another"
	edits := []Edit{
		{Show: edited},
		{Place: &desk.Put{Unit: "dunlin", Lane: "A2"}},
		{Fix: &desk.FixAsk{Units: []sallyport.UnitID{"dunlin"}, At: sallyport.At(1, 6, 0), Fixed: true}},
	}
	line := good[CopyLine](b, "POST", show+"/copies", Aside{"came second", edits})
	if line.Number != 1 || line.Author != "Planner" || line.Note != "came second" || line.Version != 1 {
		t.Errorf("kept is %+v", line)
	}
	if now := b.table(show); now.Version != 1 || now.Show.Name != "Small show" || now.Show.Vehicles[0].Home.Lane != "" {
		t.Errorf("the draft is version %d of %s", now.Version, now.Show.Name)
	}
	back := good[desk.Table](b, "POST", show+"/restore", Restore{Copy: 1}, at(1)...)
	if home := back.Show.Vehicles[0].Home; back.Show.Name != "Another" || home.Lane != "A2" || home.Binding != sallyport.Fixed {
		t.Errorf("put back is %s, Dunlin at home in %+v", back.Show.Name, home)
	}
	b.bad(422, "POST", show+"/copies", Aside{"nothing", nil})
	b.bad(422, "POST", show+"/copies", Aside{"none", []Edit{{}}})
	b.bad(422, "POST", show+"/copies", Aside{"two", []Edit{{Show: edited, Place: edits[1].Place}}})
	b.bad(404, "POST", show+"/copies", Aside{"no such lane", []Edit{{Place: &desk.Put{Unit: "dunlin", Lane: "Z9"}}}})
	b.bad(404, "POST", "/api/shows/9/copies", Aside{"", edits})
	if list := good[[]CopyLine](b, "GET", show+"/copies", nil); len(list) != 2 {
		t.Errorf("what was refused is kept: %+v", list)
	}
}
