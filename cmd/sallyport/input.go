package main

import (
	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/workbook"
)

// loaded is a source that was read and is free of contradictions.
type loaded struct {
	show   *sallyport.Show // complete
	given  *sallyport.Show // as given
	sketch []sallyport.Placement
}

// load reads a show. What is worth a look goes into the answer's notes.
func (c *console) load(path string) (*loaded, error) {
	in, err := c.read(path)
	if err != nil {
		return nil, err
	}
	if in.Show == nil {
		return nil, sallyport.Errorf(sallyport.CodeInput, "give the show first, then the plan", "%s holds a plan, not a show", path)
	}
	show, notes, err := desk.Prepare(in.Show, cellOf(in))
	c.answer.Notes = append(c.answer.Notes, notes...)
	if err != nil {
		return nil, err
	}
	return &loaded{show: show, given: in.Show, sketch: in.Sketch}, nil
}

// read reads a source and notes what is worth a look in it.
func (c *console) read(path string) (*workbook.Input, error) {
	in, err := workbook.Read(path)
	if in != nil {
		for _, p := range in.Problems {
			if p.Severity != workbook.Stop {
				c.answer.Notes = append(c.answer.Notes, p.String())
			}
		}
	}
	return in, err
}

// cellOf returns a function that says from which cell of a source a problem
// came.
func cellOf(in *workbook.Input) func(p sallyport.Problem) string {
	return func(p sallyport.Problem) string {
		sheet, cell, ok := in.Where(p.Kind, p.ID, p.Field)
		if !ok {
			return ""
		}
		return sheet + " " + cell
	}
}

// plan reads a plan for a show: from a file of its own, or, when path is
// empty, as it follows from the show's sheet of places. It returns nil when
// there is neither.
func (c *console) plan(l *loaded, path string) (*desk.Answer, error) {
	if path == "" {
		if len(l.sketch) == 0 {
			return nil, nil
		}
		return desk.CheckSketch(c.ctx, l.show, l.sketch)
	}
	in, err := c.read(path)
	if err != nil {
		return nil, err
	}
	switch {
	case in.Plan != nil:
		return desk.Check(c.ctx, l.show, in.Plan)
	case len(in.Sketch) > 0:
		return desk.CheckSketch(c.ctx, l.show, in.Sketch)
	}
	return nil, sallyport.Errorf(sallyport.CodeInput, "sallyport plan makes one; or fill in the sheet of places", "%s holds no plan", path)
}

// planned reads a show and its plan, which there must be.
func (c *console) planned(file, plan string) (*loaded, *desk.Answer, error) {
	l, err := c.load(file)
	if err != nil {
		return nil, nil, err
	}
	x, err := c.plan(l, plan)
	if err == nil && x == nil {
		err = sallyport.Errorf(sallyport.CodeInput, "name a plan after it, or fill in its sheet of places", "%s has no plan made by hand", file)
	}
	return l, x, err
}

// sketch reads where every stay is spent: from a plan, or from the sheet of
// places of a workbook.
func (c *console) sketch(path, show string) ([]sallyport.Placement, error) {
	in, err := c.read(path)
	if err != nil {
		return nil, err
	}
	switch {
	case in.Plan != nil:
		if err := desk.SameShow(in.Plan, show); err != nil {
			return nil, err
		}
		return sallyport.SketchOf(in.Plan), nil
	case len(in.Sketch) > 0:
		return in.Sketch, nil
	}
	return nil, sallyport.Errorf(sallyport.CodeInput, "give a plan, or a workbook with a filled sheet of places", "%s holds no plan", path)
}
