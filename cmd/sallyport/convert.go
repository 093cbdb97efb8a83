package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"sallyport"
	"sallyport/internal/workbook"
)

var convertCommand = command{
	name: "convert",
	help: "Write a show in another format: workbook, CSV files or JSON.",
	args: func() arguments { return &convertArgs{} },
}

type convertArgs struct {
	From string `arg:"" help:"The show: a workbook, a folder of CSV files or JSON."`
	To   string `arg:"" help:"Where to: a file ending in .xlsx or .json, or a folder for CSV files."`
	outFlags
}

func (a *convertArgs) Help() string {
	return `What is not given stays not given: nothing is assumed. What is read from the
result is the same show.

Examples:

  sallyport convert show.xlsx show.json
  sallyport convert show.json csv/`
}

func (a *convertArgs) Run(c *console) error {
	in, err := c.read(a.From)
	if err != nil {
		return err
	}
	if in.Show == nil {
		return sallyport.Errorf(sallyport.CodeInput, "sallyport plan --out writes plans", "%s holds a plan, not a show", a.From)
	}
	if in.Show.Name != "" {
		c.say(in.Show.Name + ":")
	}
	c.answer.Result = map[string]int{"vehicles": len(in.Show.Vehicles), "lanes": len(in.Show.Park.Lanes), "serials": len(in.Show.Serials)}
	c.say(fmt.Sprintf("Vehicles: %d. Lanes: %d. Serials: %d.", len(in.Show.Vehicles), len(in.Show.Park.Lanes), len(in.Show.Serials)))
	switch ext := strings.ToLower(filepath.Ext(a.To)); ext {
	case ".xlsx":
		return a.write(c, a.To, "the show as a workbook", func(w io.Writer) error { return workbook.WriteXLSX(w, in.Show, in.Sketch) })
	case ".json":
		if len(in.Sketch) > 0 {
			c.answer.Notes = append(c.answer.Notes, "the sheet of places is not part of the JSON format; sallyport plan --keep --at-most 0 --out plan.json keeps it")
		}
		return a.write(c, a.To, "the show as JSON", func(w io.Writer) error { return workbook.WriteJSON(w, in.Show) })
	case "":
		return a.csv(c, in)
	default:
		return sallyport.Errorf(sallyport.CodeInput, "give a name ending in .xlsx or .json, or a folder", "no show is written as %s", ext)
	}
}

// csv writes a folder of CSV files; one that holds anything is left alone
// unless it may be written over.
func (a *convertArgs) csv(c *console, in *workbook.Input) error {
	if list, err := os.ReadDir(a.To); err == nil && len(list) > 0 && !a.Force {
		return sallyport.Errorf(sallyport.CodeInput, "give another folder, or --force to write into it", "%s is not empty", a.To)
	}
	if err := folder(a.To); err != nil {
		return err
	}
	if err := workbook.WriteCSV(a.To, in.Show, in.Sketch); err != nil {
		return err
	}
	c.answer.Files = append(c.answer.Files, file{Path: a.To, What: "the show as a folder of CSV files"})
	return nil
}
