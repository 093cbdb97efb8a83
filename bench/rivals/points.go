package main

import (
	"cmp"
	"math"
	"slices"
)

// point is a plan found after some seconds.
type point struct {
	T    float64 `json:"t"`
	Cost int64   `json:"cost"`
}

// merged puts points in order of time and leaves only those that cost less
// than all before.
func merged(lists ...[]point) []point {
	all := slices.Concat(lists...)
	slices.SortStableFunc(all, func(a, b point) int { return cmp.Or(cmp.Compare(a.T, b.T), cmp.Compare(a.Cost, b.Cost)) })
	var better []point
	for _, p := range all {
		if len(better) == 0 || p.Cost < better[len(better)-1].Cost {
			better = append(better, p)
		}
	}
	return better
}

// reached returns after how many seconds points had reached a cost; infinity
// when they never did.
func reached(points []point, cost int64) float64 {
	for _, p := range points {
		if p.Cost <= cost {
			return p.T
		}
	}
	return math.Inf(1)
}

// costAt returns the cost reached after some seconds; false without a plan.
func costAt(points []point, seconds float64) (int64, bool) {
	found, cost := false, int64(0)
	for _, p := range points {
		if p.T <= seconds {
			found, cost = true, p.Cost
		}
	}
	return cost, found
}
