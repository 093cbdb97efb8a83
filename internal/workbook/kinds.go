package workbook

import "slices"

// sheetKinds lists every kind of sheet, in the order in which they are read
// and written. A new kind is a table and a line here.
var sheetKinds []sheetKind

func init() {
	sheetKinds = []sheetKind{
		asSettings(showSettings), asKind(dayTable), asKind(vehicleTable), asKind(combinationTable), asKind(laneTable),
		asKind(serialTable), asKind(entryTable), asKind(dutyTable), asKind(zoneTable), asKind(stretchTable), asKind(lineTable),
		asKind(foulTable), asKind(spotTable), asKind(personTable), asKind(closingTable), asKind(resetTable), asKind(placeTable),
		asKind(classTable), asKind(paceTable), asSettings(weightSettings),
	}
}

// pointers returns pointers to the elements of a list.
func pointers[T any](list []T) []*T {
	out := make([]*T, len(list))
	for i := range list {
		out[i] = &list[i]
	}
	return out
}

// values returns the elements that pointers point to; nil for none.
func values[T any](list []*T) []T {
	var out []T
	for _, p := range list {
		out = append(out, *p)
	}
	return out
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
