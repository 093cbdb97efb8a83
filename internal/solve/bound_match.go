package solve

// cheapestMatching returns the least cost of giving every row of a matrix with
// at least as many columns a column of its own. It grows a matching along
// shortest augmenting paths from all free rows at once, which makes every size
// of it cheapest (for the method see Jonker and Volgenant 1987). Entries of
// impossible are no pairs; when rows are left over in the end, the cost of as
// many as can be matched. About rows² · columns steps.
func cheapestMatching(cost [][]int64) int64 {
	m := newMatching(cost)
	var sum int64
	for range cost {
		c, ok := m.augment()
		if !ok {
			break
		}
		sum += c
	}
	return sum
}

// matching is a matching of rows to columns with potentials: every pair costs
// no less than the difference of its column's and its row's.
type matching struct {
	cost     [][]int64
	row, col []int // partner; -1: none
	fromRow  []int64
	toCol    []int64
	rowDist  []int64
	colDist  []int64
	rowOf    []int // by column: the row from which it was reached
	done     []bool
}

func newMatching(cost [][]int64) *matching {
	n, w := len(cost), len(cost[0])
	m := &matching{
		cost: cost, row: make([]int, n), col: make([]int, w), fromRow: make([]int64, n), toCol: make([]int64, w),
		rowDist: make([]int64, n), colDist: make([]int64, w), rowOf: make([]int, w), done: make([]bool, w),
	}
	for i := range m.row {
		m.row[i] = -1
	}
	for j := range m.col {
		m.col[j] = -1
	}
	return m
}

// augment makes one more pair and returns by how much the matching is dearer.
func (m *matching) augment() (int64, bool) {
	for i := range m.row {
		m.rowDist[i] = impossible
	}
	for j := range m.col {
		m.colDist[j], m.rowOf[j], m.done[j] = impossible, -1, false
	}
	// A row that is free keeps its potential, which is what a path from the
	// common source to it costs.
	for i, j := range m.row {
		if j < 0 {
			m.rowDist[i] = 0
			m.scan(i)
		}
	}
	last := -1
	for {
		j := m.nearest()
		if j < 0 {
			break
		}
		m.done[j] = true
		if m.col[j] < 0 {
			if last < 0 || m.trueDist(j) < m.trueDist(last) {
				last = j
			}
			continue
		}
		i := m.col[j]
		m.rowDist[i] = m.colDist[j]
		m.scan(i)
	}
	if last < 0 {
		return 0, false
	}
	gain := m.trueDist(last)
	m.settle()
	for j := last; j >= 0; {
		i := m.rowOf[j]
		next := m.row[i]
		m.row[i], m.col[j] = j, i
		j = next
	}
	return gain, true
}

// trueDist is what the path to column j costs without potentials.
func (m *matching) trueDist(j int) int64 { return m.colDist[j] + m.toCol[j] }

// scan extends paths from row i.
func (m *matching) scan(i int) {
	for j, c := range m.cost[i] {
		if c >= impossible || m.done[j] || m.row[i] == j {
			continue
		}
		if d := m.rowDist[i] + c + m.fromRow[i] - m.toCol[j]; d < m.colDist[j] {
			m.colDist[j], m.rowOf[j] = d, i
		}
	}
}

// nearest returns the column not done with the shortest path; -1: none.
func (m *matching) nearest() int {
	best := -1
	for j, d := range m.colDist {
		if !m.done[j] && d < impossible && (best < 0 || d < m.colDist[best]) {
			best = j
		}
	}
	return best
}

// settle moves the potentials by the lengths of the shortest paths.
func (m *matching) settle() {
	for i := range m.row {
		if m.rowDist[i] < impossible {
			m.fromRow[i] += m.rowDist[i]
		}
	}
	for j := range m.col {
		if m.colDist[j] < impossible {
			m.toCol[j] += m.colDist[j]
		}
	}
}
