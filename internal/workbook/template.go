package workbook

import (
	"io"
	"strings"

	sp "sallyport"
)

// Template writes a workbook to be filled in: every sheet with its headers, a
// remark above them that says what belongs there, and example rows that are
// remarks too. Rows that start with # and a space are never read.
func Template(w io.Writer) error {
	b, err := newBookWriter()
	if err != nil {
		return err
	}
	empty := newWriting(&sp.Show{}, nil)
	for i := range sheetKinds {
		k := &sheetKinds[i]
		s := writtenSheet{kind: k, headers: k.headers(empty)}
		remarks := []string{"# " + k.note + " Rows that start with # are remarks."}
		var examples [][]string
		if k.upright {
			s.rows = k.settingRows()
		} else {
			s = s.withoutEmpty()
			examples = k.exampleRows(s.headers)
		}
		if err := b.add(s, remarks, examples); err != nil {
			return err
		}
	}
	return b.finish(w)
}

// settingRows lists the settings with their explanation in the third column.
func (k *sheetKind) settingRows() [][]cell {
	var rows [][]cell
	for _, t := range k.titles {
		help := cell{}
		if t.help != "" {
			help = textCell("# " + t.help)
		}
		rows = append(rows, []cell{textCell(t.header), {}, help})
	}
	return rows
}

// exampleRows returns a row that explains the columns and the examples, laid
// out under the headers and marked as remarks.
func (k *sheetKind) exampleRows(headers []string) [][]string {
	help := make([]string, len(headers))
	for i, header := range headers {
		for _, t := range k.titles {
			if t.header != header {
				continue
			}
			help[i] = t.help
			if len(t.choices) > 0 {
				help[i] = strings.Join(t.choices, ", ")
			}
		}
	}
	rows := [][]string{help}
	for _, example := range k.examples {
		row := make([]string, len(headers))
		copy(row, example)
		rows = append(rows, row)
	}
	for i := range rows {
		rows[i][0] = strings.TrimSpace("# " + rows[i][0])
	}
	return rows
}
