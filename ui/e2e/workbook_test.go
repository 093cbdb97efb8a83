package e2e

import (
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/xuri/excelize/v2"
)

// faulty changes cells of the workbook that a server gives out and returns the
// path of the file.
func faulty(t *testing.T, s *server, cells map[[2]string]any) string {
	t.Helper()
	a, err := http.Get(s.url + "/api/shows/1/show.xlsx")
	if err != nil {
		t.Fatal(err)
	}
	content, err := io.ReadAll(a.Body)
	if err != nil {
		t.Fatal(err)
	}
	if err := a.Body.Close(); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "midsummer.xlsx")
	if err := os.WriteFile(path, content, 0o600); err != nil {
		t.Fatal(err)
	}
	book, err := excelize.OpenFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for at, value := range cells {
		if err := book.SetCellValue(at[0], at[1], value); err != nil {
			t.Fatal(err)
		}
	}
	if err := book.Save(); err != nil {
		t.Fatal(err)
	}
	return path
}

// TestFaultyWorkbook brings in a workbook with four faults, sees them all with
// sheet, row and column, nothing of it in the draft; then one without.
func TestFaultyWorkbook(t *testing.T) {
	s, w := serve(t), open(t)
	before := s.table(t)
	w.goes(s, "#/1/register", "Register")
	w.press("Workbook")
	bad := faulty(t, s, map[[2]string]any{
		{"Vehicles", "H3"}:  "three metres",
		{"Vehicles", "L5"}:  "winged",
		{"Serials", "G4"}:   "25:90",
		{"Entries", "C4"}:   "Nightjar",
		{"Vehicles", "A12"}: "Curlew with a new name",
	})
	do(w, chromedp.SetUploadFiles(chromedp.CSS(`input[type=file][accept*=".xlsx"]`), []string{bad}))
	for _, fault := range [][2]string{
		{"Vehicles H3", "three metres"}, {"Vehicles L5", "winged"}, {"Serials G4", "25:90"}, {"Entries C4", "Nightjar"},
	} {
		w.until(fmt.Sprintf("%q is told with its place", fault), fmt.Sprintf(
			`[...document.querySelectorAll('.problems li')].some((l) => l.innerText.startsWith(%q) && l.innerText.includes(%q))`, fault[0], fault[1]))
	}
	if js[bool](w, `!!e2e.control('Take it into the draft')`) {
		t.Error("a faulty workbook can be taken")
	}
	if got := s.table(t); got.Version != before.Version {
		t.Errorf("looking at a workbook made version %d", got.Version)
	}
	good := faulty(t, s, map[[2]string]any{{"Vehicles", "H3"}: 3.75})
	do(w, chromedp.SetUploadFiles(chromedp.CSS(`input[type=file][accept*=".xlsx"]`), []string{good}))
	w.until("what changes is shown", `[...document.querySelectorAll('main table tr')].some((r) => r.innerText.includes('Dunlin') && r.innerText.includes('3.45') && r.innerText.includes('3.75'))`)
	w.press("Take it into the draft")
	w.sees("The workbook is in the draft.")
	got := s.table(t)
	if length := got.Show.Vehicles[1].Length; length != 375 {
		t.Errorf("the draft has a length of %d cm", length)
	}
}
