package main

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// node runs the rivals' solvers: solve.mjs in a folder with their packages.
type node struct {
	program string // node
	folder  string // of solve.mjs and node_modules
}

// findNode returns an error that says what is missing, if anything is.
func findNode(folder string) (node, error) {
	program, err := exec.LookPath("node")
	if err != nil {
		return node{}, errors.New("there is no Node.js: the rivals' solvers run in it (version 20)")
	}
	for _, name := range []string{"solve.mjs", "node_modules/or-tools-wasm/package.json", "node_modules/highs/package.json"} {
		if _, err := os.Stat(filepath.Join(folder, name)); err != nil {
			return node{}, fmt.Errorf("%s is not in %s: run npm ci there", name, folder)
		}
	}
	return node{program, folder}, nil
}

// said is one line that solve.mjs prints.
type said struct {
	T        float64  `json:"t"`
	Cost     *float64 `json:"cost"`
	Bound    *float64 `json:"bound"`
	Solution []int    `json:"solution"`
	Done     bool     `json:"done"`
	Status   string   `json:"status"`
}

// solved is what a solver made of a program.
type solved struct {
	values []bool // of the best solution; nil: none
	cost   int64
	bound  int64   // no solution costs less
	used   float64 // seconds
	status string
}

// graceSeconds is how much longer than it was told a solver may take.
const graceSeconds = 120

// solve gives the program, kept as a file, to a solver for so many seconds of
// its own; better hears of every better solution.
func (n node) solve(ctx context.Context, solver string, p *program, file string, seconds float64, parameters string, better func(seconds float64, values []bool)) (solved, error) {
	if err := writeFile(file, p.write); err != nil {
		return solved{}, err
	}
	ctx, cancel := context.WithTimeout(ctx, time.Duration((seconds+graceSeconds)*float64(time.Second)))
	defer cancel()
	cmd := exec.CommandContext(ctx, n.program, "solve.mjs", solver, absolute(file), strconv.FormatFloat(seconds, 'f', 2, 64), parameters)
	cmd.Dir = n.folder
	var problems strings.Builder
	cmd.Stderr = &problems
	out, err := cmd.StdoutPipe()
	if err != nil {
		return solved{}, err
	}
	if err := cmd.Start(); err != nil {
		return solved{}, err
	}
	s, ended, err := listen(out, p, better)
	if wait := cmd.Wait(); err == nil && wait != nil && !ended {
		err = fmt.Errorf("%s: %w: %s", solver, wait, strings.TrimSpace(problems.String()))
	}
	return s, err
}

// listen reads what a solver says until it ends, and checks its solutions.
func listen(out io.Reader, p *program, better func(float64, []bool)) (s solved, ended bool, err error) {
	lines := bufio.NewScanner(out)
	lines.Buffer(nil, 1<<24)
	for lines.Scan() {
		var l said
		if err := json.Unmarshal(lines.Bytes(), &l); err != nil {
			return s, false, fmt.Errorf("solve.mjs said %q", lines.Text())
		}
		s.used = max(s.used, l.T)
		if l.Bound != nil {
			s.bound = max(s.bound, ceiling(*l.Bound))
		}
		if l.Done {
			s.status, ended = l.Status, true
		}
		if l.Cost == nil {
			continue
		}
		values := make([]bool, len(p.Costs))
		for _, v := range l.Solution {
			values[v] = true
		}
		cost := p.cost(values)
		if p.broken(values) > 0 || s.values != nil && cost >= s.cost {
			continue // a solution only within the solver's tolerance is none
		}
		s.values, s.cost = values, cost
		better(l.T, values)
	}
	return s, ended, lines.Err()
}

// ceiling rounds a bound up to a whole number, less what the solver's
// arithmetic may be wrong by.
func ceiling(bound float64) int64 {
	const tolerance = 1e-4
	if bound <= 0 || bound > 1e15 {
		return 0
	}
	n := int64(bound - tolerance)
	if float64(n) < bound-tolerance {
		n++
	}
	return n
}

func absolute(file string) string {
	if full, err := filepath.Abs(file); err == nil {
		return full
	}
	return file
}

// writeFile writes a file whole or not at all.
func writeFile(name string, write func(io.Writer) error) error {
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		return err
	}
	f, err := os.CreateTemp(filepath.Dir(name), "part-*")
	if err != nil {
		return err
	}
	err = errors.Join(write(f), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), name)
	}
	if err != nil {
		return errors.Join(err, os.Remove(f.Name()))
	}
	return nil
}
