package main

import (
	"encoding/json"
	"io"
)

// program is a 0-1 program, the form in which both rivals get their models:
// choose true or false for every variable so that the costs of the true ones
// sum up to as little as can be. A literal is a variable, or its complement
// (^v) for "not v".
type program struct {
	Costs   []int64 `json:"costs"`   // of each variable when true
	Exactly [][]int `json:"exactly"` // variables of which exactly one is true
	Clauses [][]int `json:"clauses"` // literals of which at least one is true
	Rows    []row   `json:"rows"`
	Hint    []int   `json:"hint,omitempty"` // literals that are true in a known solution, not necessarily all
}

// row says that the coefficients of its true variables sum up to at most Most.
type row struct {
	Vars  []int   `json:"vars"`
	Coefs []int64 `json:"coefs"`
	Most  int64   `json:"most"`
}

// add adds a variable and returns it.
func (p *program) add(cost int64) int {
	p.Costs = append(p.Costs, cost)
	return len(p.Costs) - 1
}

func (p *program) clause(literals ...int) { p.Clauses = append(p.Clauses, literals) }

// broken returns how many constraints the values break.
func (p *program) broken(values []bool) int {
	n := 0
	for _, list := range p.Exactly {
		true1 := 0
		for _, v := range list {
			if values[v] {
				true1++
			}
		}
		if true1 != 1 {
			n++
		}
	}
	for _, list := range p.Clauses {
		ok := false
		for _, lit := range list {
			ok = ok || holds(values, lit)
		}
		if !ok {
			n++
		}
	}
	for _, r := range p.Rows {
		var sum int64
		for i, v := range r.Vars {
			if values[v] {
				sum += r.Coefs[i]
			}
		}
		if sum > r.Most {
			n++
		}
	}
	return n
}

func holds(values []bool, literal int) bool {
	if literal < 0 {
		return !values[^literal]
	}
	return values[literal]
}

// cost is the cost of the values.
func (p *program) cost(values []bool) int64 {
	var sum int64
	for v, c := range p.Costs {
		if values[v] {
			sum += c
		}
	}
	return sum
}

// hint sets all values as the hint.
func (p *program) hint(values []bool) {
	p.Hint = p.Hint[:0]
	for v, is := range values {
		if !is {
			v = ^v
		}
		p.Hint = append(p.Hint, v)
	}
}

func (p *program) write(w io.Writer) error { return json.NewEncoder(w).Encode(p) }
