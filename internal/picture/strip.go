package picture

import "sallyport"

// Strip returns a day, or any run of moments, as one SVG: a picture for each,
// one under the other (Options.Columns side by side), and the key once at the
// end. Options.Title is the title of the whole; Due and Moves come from the
// moments.
func Strip(show *sallyport.Show, moments []Moment, o Options) []byte {
	columns := max(1, min(o.Columns, len(moments)))
	title := o.Title
	if title == "" {
		title = show.Name
	}
	panels := make([]panel, len(moments))
	width, key := leastWidth, &sheet{}
	for i, m := range moments {
		panels[i] = draw(show, m.State, Options{Title: m.Title, Due: m.Due, Moves: m.Moves})
		width = max(width, panels[i].width)
		key = panels[i].sheet
	}
	const head = 56.0
	var body writer
	y := head
	for i := 0; i < len(panels); i += columns {
		row := panels[i:min(i+columns, len(panels))]
		tall := 0.0
		for j, p := range row {
			body.open("g", attribute{"transform", "translate(" + number(float64(j)*width) + " " + number(y) + ")"})
			body.path("side", move(margin, 0), line(width-margin, 0))
			body.WriteString("\n")
			body.Write(p.body)
			body.WriteString("</g>\n")
			tall = max(tall, p.height)
		}
		y += tall + 10
	}
	marks, y := key.key(width, y)
	foot, y := footOf(o.Foot, y)
	var w writer
	w.document(title, width*float64(columns), y+margin)
	l := fit(oneLine(title), width*float64(columns)-2*margin, 30, 9, 26, "")
	w.startAt(l.lines[0], "l h", margin, margin+12, l.size)
	w.Write(body.Bytes())
	w.Write(marks)
	w.Write(foot)
	w.WriteString("</svg>\n")
	return w.Bytes()
}
