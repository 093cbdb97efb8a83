package clear

// memo remembers positions from which no answer was found within so many
// moves. It grows to its limit; then what was met longest ago in its
// neighbourhood is forgotten, which costs time but changes no answer.
type memo struct {
	slots []known
	count int
	limit int
}

type known struct {
	key  key
	left int32 // moves that were not enough, plus one; 0: free
}

const probes = 4

// newMemo returns a memo for at most limit positions, rounded up to a power
// of two.
func newMemo(limit int) *memo { return &memo{slots: make([]known, 1<<12), limit: limit} }

// enough reports whether a position is worth a look with so many moves left,
// and notes it.
func (m *memo) enough(k key, left int) bool {
	if m.count*2 > len(m.slots) && len(m.slots) < m.limit {
		m.grow()
	}
	slot, found := m.find(k)
	if found && int(slot.left) > left {
		return false
	}
	if slot.left == 0 {
		m.count++
	}
	*slot = known{k, int32(left) + 1}
	return true
}

// find returns the slot of a key, or the one it is to have.
func (m *memo) find(k key) (*known, bool) {
	mask := uint64(len(m.slots) - 1)
	var worst *known
	for i := range uint64(probes) {
		slot := &m.slots[(k.a+i)&mask]
		if slot.left == 0 || slot.key == k {
			return slot, slot.left != 0
		}
		if worst == nil || slot.left < worst.left {
			worst = slot
		}
	}
	return worst, false
}

func (m *memo) grow() {
	old := m.slots
	m.slots, m.count = make([]known, 2*len(old)), 0
	for _, s := range old {
		if s.left == 0 {
			continue
		}
		slot, _ := m.find(s.key)
		if slot.left == 0 {
			m.count++
		}
		*slot = s
	}
}
