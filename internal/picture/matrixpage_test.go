package picture

import (
	"strings"
	"testing"
)

// The page of a matrix has every row with every kind of failure, says the same
// figures as the drawing, keeps names in view and lets nothing through that a
// name could smuggle in.
func TestMatrixPage(t *testing.T) {
	show, m := failed()
	page := string(MatrixPage(show, m, 2))
	for want, times := range map[string]int{
		`<th scope="row">`: len(m.Rows),
		"<td>":             7 * len(m.Rows),
		"<li>":             2,
		`<th scope="row">Knot &#34;&amp; sons&#34;</th>`: 1,
		"1 of 3":   2, // in the list and in its cell
		">23 min<": 1,
		">7 min<":  1,
		"Small &lt;show&gt; &amp; co: what failures do": 2,
		"<show>":                       0,
		"Not checked: two at a time.":  1,
		"Assumed: a slave lead 5 min.": 1,
		"{{":                           0,
		`class="gone"`:                 1,
		`class="kept"`:                 1, // a late start has minutes only
	} {
		if n := strings.Count(page, want); n != times {
			t.Errorf("%q stands there %d times, want %d", want, n, times)
		}
	}
	if !strings.Contains(page, "th:first-child{position:sticky;left:0") {
		t.Error("names do not stay in view")
	}
}
