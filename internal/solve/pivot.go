package solve

import "math"

// exchange brings a column into the basis of a linear programme of m rows in
// which all is to be at least zero: inverse is that of the basis (m×m, row
// after row), x the values of its columns, y the prices of the rows, rc the
// reduced cost of the new column. column returns the product of a row of the
// inverse with it; entry is room for m figures. It returns the place in the
// basis that becomes free, -1 when none does; then nothing has changed. Of
// equal steps the one with the largest figure is taken, for the sake of the
// arithmetic. Products are rounded by themselves, so that all machines agree.
func exchange(inverse, x, y, entry []float64, rc float64, column func(row []float64) float64) int {
	m := len(x)
	out, step := -1, math.Inf(1)
	for r := range m {
		d := column(inverse[r*m : r*m+m])
		entry[r] = d
		if d > 1e-9 {
			if t := x[r] / d; t < step || t == step && d > entry[out] {
				out, step = r, t
			}
		}
	}
	if out < 0 {
		return out
	}
	pivot := entry[out]
	row := inverse[out*m : out*m+m]
	for k := range row {
		row[k] /= pivot
	}
	for r := range m {
		d := entry[r]
		if r == out || d == 0 {
			continue
		}
		other := inverse[r*m : r*m+m]
		for k, v := range row {
			if v != 0 {
				other[k] -= float64(d * v)
			}
		}
		x[r] -= float64(step * d)
	}
	x[out] = step
	for k, v := range row {
		y[k] += float64(rc * v)
	}
	return out
}
