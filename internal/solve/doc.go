// Package solve looks for the plan that costs least: it compiles a show into
// tables (problem.go), decides in which lane every stay is spent (lane.go has
// the exact cost of one lane's history), and writes the choice out as moves.
// The judge is the root package; nothing here decides what is workable.
// docs/algorithm.md explains the method and what was measured.
package solve
