package desk

import (
	"fmt"

	"sallyport"
	"sallyport/internal/workbook"
)

// Preview is what taking a file would change in a show.
type Preview struct {
	Token       string                `json:"token"` // filled in by who keeps what was read
	File        string                `json:"file"`
	Problems    []Problem             `json:"problems"` // any: it cannot be taken
	Notes       []string              `json:"notes"`    // what was read in one of several ways, or left out, or is worth a look
	Differences []workbook.Difference `json:"differences"`
}

// mostTaken is how many vehicles, serials, duties, lanes and people together a
// file may have that is taken: many times what a show has. More would only be
// rows that do not belong to it, and takes minutes to compare.
const mostTaken = 10_000

// NewPreview says what taking a show that was read from a file would change in
// the present one, and all that is wrong with it at once, with sheet and cell.
func NewPreview(file string, present *sallyport.Show, in *workbook.Input) Preview {
	p := Preview{File: file, Problems: []Problem{}, Notes: []string{}, Differences: []workbook.Difference{}}
	if in.Show == nil && in.Plan != nil {
		p.Problems = append(p.Problems, Problem{Message: "the file holds a plan, not a show", Hint: "give the workbook or the show"})
		return p
	}
	for _, x := range in.Problems {
		p.take(x)
	}
	if in.Show == nil {
		return p
	}
	if n := rows(in.Show); n > mostTaken {
		p.Problems = append(p.Problems, Problem{
			Message: fmt.Sprintf("the file has %d vehicles, serials, duties, lanes and people together, %d at most can be taken", n, mostTaken),
			Hint:    "take out the rows that do not belong to the show",
		})
		return p
	}
	if len(p.Problems) == 0 { // else those that matter are among them already
		for _, x := range in.Contradictions() {
			p.take(x)
		}
	}
	p.Differences = workbook.Differences(present, in.Show)
	return p
}

func rows(s *sallyport.Show) int {
	return len(s.Vehicles) + len(s.Serials) + len(s.Duties) + len(s.Park.Lanes) + len(s.People)
}

// take files one finding under problems or notes.
func (p *Preview) take(x workbook.Problem) {
	if x.Severity == workbook.Stop {
		p.Problems = append(p.Problems, fileProblem(x))
		return
	}
	p.Notes = append(p.Notes, x.String())
}

// fileProblem returns a finding in a source as the table has it.
func fileProblem(x workbook.Problem) Problem {
	p := Problem{Message: x.Message, Hint: x.Advice, Field: x.Field, Where: x.Sheet}
	if x.Cell != "" {
		p.Where += " " + x.Cell
	}
	if x.Value != "" {
		p.Message = fmt.Sprintf("%q: %s", x.Value, x.Message)
	}
	return p
}

// Pasted is what rows copied from a spreadsheet make of a show; nothing is
// kept.
type Pasted struct {
	Show     *sallyport.Show `json:"show"`
	Problems []Problem       `json:"problems"`
}

// Paste reads rows copied from a spreadsheet as serials and entries of a show,
// as workbook.Paste says. Each problem names the row and column of what was
// pasted.
func Paste(show *sallyport.Show, day int, text string) Pasted {
	read := workbook.Paste(show, day, text)
	out := Pasted{Show: read.Show, Problems: []Problem{}}
	for _, x := range read.Problems {
		p := fileProblem(x)
		p.Where = ""
		if x.Row > 0 {
			p.Where = fmt.Sprintf("row %d, column %d", x.Row, x.Column)
		}
		out.Problems = append(out.Problems, p)
	}
	return out
}
