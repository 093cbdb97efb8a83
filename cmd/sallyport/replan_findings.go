package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"sallyport"
	"sallyport/internal/workbook"
)

// file reads findings from a CSV file or a JSON list.
func (h *happenings) file(path string) {
	data, err := os.ReadFile(path)
	if err != nil {
		h.bad(sallyport.Errorf(sallyport.CodeInput, "check the name of the file", "%s cannot be read (%s)", path, plainReason(err)))
		return
	}
	base := filepath.Base(path)
	if data = bytes.TrimPrefix(data, []byte("\ufeff")); strings.EqualFold(filepath.Ext(path), ".json") {
		h.jsonList(base, data)
		return
	}
	rows := csv.NewReader(bytes.NewReader(data))
	rows.FieldsPerRecord, rows.Comma = -1, separator(data)
	table, err := rows.ReadAll()
	if err != nil || len(table) == 0 {
		h.bad(sallyport.Errorf(sallyport.CodeInput, "give a first row of column names, then one finding a row", "%s is no table of findings", base))
		return
	}
	for k := range table[0] {
		name := findingColumn(table[0][k])
		table[0][k] = name
		if name != "" && !slices.Contains(findingColumns, name) {
			h.bad(sallyport.Errorf(sallyport.CodeInput, "the columns are "+strings.Join(findingColumns, ", "), "%s has a column %q, which is none of findings", base, table[0][k]))
		}
	}
	for i, row := range table[1:] {
		cell := make(map[string]string)
		for k, text := range row {
			if k < len(table[0]) {
				cell[table[0][k]] = strings.TrimSpace(text)
			}
		}
		before := len(h.wrong)
		h.row(cell)
		for k := before; k < len(h.wrong); k++ {
			h.wrong[k] = fmt.Errorf("%s row %d: %w", base, i+2, h.wrong[k])
		}
	}
}

// jsonList reads findings from a JSON list. Moments may have the name of their
// day, or be times of the day at hand.
func (h *happenings) jsonList(base string, data []byte) {
	bad := func(err error) {
		h.bad(sallyport.Errorf(sallyport.CodeInput, "docs/commands.md shows such a list", "%s is no list of findings (%s)", base, err))
	}
	var rows []map[string]any
	plain := json.NewDecoder(bytes.NewReader(data))
	plain.UseNumber()
	if err := plain.Decode(&rows); err != nil {
		bad(err)
		return
	}
	before := len(h.wrong)
	for _, row := range rows {
		for _, field := range []string{"at", "until", "from", "to"} {
			if text, ok := row[field].(string); ok {
				row[field] = h.when(strings.TrimSpace(text))
			}
		}
		if other, ok := row["other"].(string); ok {
			if serial, meant := otherDay(other); meant {
				row["other"], row["other_day"] = serial, true
			}
		}
	}
	if len(h.wrong) > before {
		return
	}
	known, err := json.Marshal(rows)
	if err != nil {
		bad(err)
		return
	}
	var list []sallyport.Happening
	dec := json.NewDecoder(bytes.NewReader(known))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&list); err != nil {
		bad(err)
		return
	}
	for i := range list {
		h.named(&list[i])
	}
	h.list = append(h.list, list...)
}

// findingColumns are the columns of a file of findings.
var findingColumns = []string{"kind", "vehicle", "where", "until", "lane", "place", "serial", "other", "minutes", "reserve", "from", "to", "limits"}

// findingColumn returns the column that a name in the first row means.
func findingColumn(text string) string {
	name := strings.ToLower(strings.TrimSpace(text))
	if name == "unit" {
		return "vehicle"
	}
	return name
}

// separator returns what separates the column names in the first line: a comma,
// a semicolon or a tab.
func separator(data []byte) rune {
	first, _, _ := bytes.Cut(data, []byte("\n"))
	most := ','
	for _, r := range []rune{';', '\t'} {
		if bytes.Count(first, []byte(string(r))) > bytes.Count(first, []byte(string(most))) {
			most = r
		}
	}
	return most
}

// kindsOfFinding lists the kinds in words.
func kindsOfFinding() string {
	var kinds []string
	for _, k := range sallyport.HappeningKinds() {
		kinds = append(kinds, string(k))
	}
	return strings.Join(kinds, ", ")
}

// row reads one row of findings; an empty one is none.
func (h *happenings) row(cell map[string]string) {
	kind := strings.ToLower(cell["kind"])
	if kind == "" && cell["vehicle"] == "" && cell["serial"] == "" && cell["lane"] == "" {
		return
	}
	x := sallyport.Happening{Kind: sallyport.HappeningKind(kind)}
	if !slices.Contains(sallyport.HappeningKinds(), x.Kind) {
		h.bad(sallyport.Errorf(sallyport.CodeInput, "the kinds are "+kindsOfFinding(), "%q is no kind of finding", cell["kind"]))
		return
	}
	x.Unit, x.Reserve = sallyport.UnitID(cell["vehicle"]), sallyport.UnitID(cell["reserve"])
	other, meant := otherDay(cell["other"])
	x.Serial, x.Other, x.OtherDay, x.Lane = sallyport.SerialID(cell["serial"]), sallyport.SerialID(other), meant, sallyport.LaneID(cell["lane"])
	if text := cell["limits"]; text != "" {
		l := h.limits(cell["vehicle"], text)
		x.NoReverse, x.MaxRuns = l.NoReverse, l.MaxRuns
	}
	x.Where = sallyport.FailureKind(strings.ToLower(cell["where"]))
	for _, c := range []struct {
		column string
		at     *sallyport.Instant
	}{{"until", &x.Until}, {"from", &x.From}, {"to", &x.To}} {
		if cell[c.column] != "" {
			*c.at = h.when(cell[c.column])
		}
	}
	if text := cell["place"]; text != "" {
		n, err := strconv.Atoi(text)
		if err != nil || n < 1 {
			h.bad(sallyport.Errorf(sallyport.CodeInput, "1 is the nearest to the mouth", "%q is no place in a lane", text))
		}
		x.Place = n
	}
	if text := cell["minutes"]; text != "" {
		by, err := workbook.Span(text)
		h.bad(err)
		x.By = by
	}
	h.named(&x)
	h.list = append(h.list, x)
}

// named puts ids in place of the names in a happening.
func (h *happenings) named(x *sallyport.Happening) {
	for _, id := range []*sallyport.UnitID{&x.Unit, &x.Reserve} {
		if *id != "" {
			*id = h.unit(string(*id))
		}
	}
	for _, id := range []*sallyport.SerialID{&x.Serial, &x.Other} {
		if *id != "" {
			*id = h.serial(string(*id))
		}
	}
	if x.Lane != "" {
		x.Lane = h.lane(string(x.Lane))
	}
}
