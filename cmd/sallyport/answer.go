package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"sallyport"
)

// formatAnswer is the format string of what --json prints.
const formatAnswer = "sallyport-answer/1"

// exitCodes maps what went wrong to the exit code; nothing wrong is 0.
var exitCodes = map[sallyport.Code]int{
	"":                        0,
	sallyport.CodeInternal:    1,
	sallyport.CodeInput:       2,
	sallyport.CodeNotWorkable: 3,
	sallyport.CodeInterrupted: 4,
	sallyport.CodeNotFound:    5,
	sallyport.CodeConflict:    6,
}

// answer is what a command has to say. With --json it is printed as it is,
// the same shape for every command; else in words.
type answer struct {
	Format     string                 `json:"format"`
	Command    string                 `json:"command"`
	Exit       int                    `json:"exit"`              // the exit code
	Code       sallyport.Code         `json:"code,omitempty"`    // why the exit code is not 0
	Error      *failure               `json:"error,omitempty"`   // when the command could not do its work
	Summary    []string               `json:"summary,omitempty"` // sentences
	Notes      []string               `json:"notes,omitempty"`   // what is worth a look in what was read
	Files      []file                 `json:"files,omitempty"`   // what was written
	NotChecked []string               `json:"not_checked,omitempty"`
	Assumed    []sallyport.Assumption `json:"assumed,omitempty"`
	Result     any                    `json:"result,omitempty"` // what is special to the command

	raw []byte // in words: printed as it is, in place of the summary
}

// failure is an error in JSON.
type failure struct {
	Message string `json:"message"`
	Hint    string `json:"hint,omitempty"`
}

// file is one file that was written.
type file struct {
	Path string `json:"path"`
	What string `json:"what"`
}

// console is one run of one command: its output and its flags.
type console struct {
	ctx    context.Context // ends when the user interrupts
	stdout io.Writer
	stderr io.Writer
	json   bool
	answer answer
}

// usage returns an error in the command line as an input error.
func usage(err error) error {
	return sallyport.Errorf(sallyport.CodeInput, "sallyport --help lists the commands, sallyport COMMAND --help shows one with an example", "%s", err)
}

// finish prints the answer, or the error in its place, and returns the exit
// code.
func (c *console) finish(err error) int {
	if err != nil {
		f := failure{Message: err.Error()}
		c.answer.Code = sallyport.CodeInternal
		var known *sallyport.Error
		if errors.As(err, &known) {
			f = failure{Message: known.Message, Hint: known.Hint}
			c.answer.Code = known.Code
		}
		c.answer.Error = &f
	}
	exit, ok := exitCodes[c.answer.Code]
	if !ok {
		exit = exitCodes[sallyport.CodeInternal]
	}
	c.answer.Format, c.answer.Exit = formatAnswer, exit
	if werr := c.write(); werr != nil {
		fmt.Fprintf(c.stderr, "sallyport: the answer could not be written: %s\n", werr)
		return exitCodes[sallyport.CodeInternal]
	}
	return exit
}

// write prints the answer.
func (c *console) write() error {
	if c.json {
		enc := json.NewEncoder(c.stdout)
		enc.SetEscapeHTML(false)
		enc.SetIndent("", "  ")
		return enc.Encode(c.answer)
	}
	if err := c.notes(); err != nil {
		return err
	}
	if f := c.answer.Error; f != nil {
		if _, err := fmt.Fprintf(c.stderr, "sallyport: %s\n", f.Message); err != nil {
			return err
		}
		if f.Hint == "" {
			return nil
		}
		_, err := fmt.Fprintf(c.stderr, "  %s\n", f.Hint)
		return err
	}
	if c.answer.raw != nil {
		_, err := c.stdout.Write(c.answer.raw)
		return err
	}
	return c.words()
}

// lineWidth is how wide sentences are printed.
const lineWidth = 100

// wrap breaks a sentence into lines, each but the first two columns further in.
// Spaces within a line stay as they are: it may be one of a table.
func wrap(line string) string {
	text := strings.TrimLeft(line, " ")
	indent := strings.Repeat(" ", len(line)-len(text))
	if utf8.RuneCountInString(line) <= lineWidth {
		return line
	}
	var b strings.Builder
	b.WriteString(indent)
	at := len(indent)
	gap := 0
	for i, word := range strings.Split(text, " ") {
		n := utf8.RuneCountInString(word)
		switch {
		case i == 0:
		case word == "":
			gap++
			continue
		case at+1+gap+n > lineWidth:
			b.WriteString("\n" + indent + "  ")
			at = len(indent) + 2
		default:
			b.WriteString(strings.Repeat(" ", 1+gap))
			at += 1 + gap
		}
		gap = 0
		b.WriteString(word)
		at += n
	}
	return b.String()
}

// notesSaid is how many notes are printed in words.
const notesSaid = 12

// notes prints what is worth a look, apart from the answer.
func (c *console) notes() error {
	for i, n := range c.answer.Notes {
		if i == notesSaid {
			_, err := fmt.Fprintf(c.stderr, "… and %d more to look at; --json lists all\n", len(c.answer.Notes)-notesSaid)
			return err
		}
		if _, err := fmt.Fprintln(c.stderr, wrap("To look at: "+n)); err != nil {
			return err
		}
	}
	return nil
}

// words prints the answer as sentences.
func (c *console) words() error {
	for _, line := range c.answer.Summary {
		if _, err := fmt.Fprintln(c.stdout, wrap(line)); err != nil {
			return err
		}
	}
	for i, f := range c.answer.Files {
		if i == 0 {
			if _, err := fmt.Fprintln(c.stdout, "\nWritten:"); err != nil {
				return err
			}
		}
		if _, err := fmt.Fprintf(c.stdout, "  %s  (%s)\n", f.Path, f.What); err != nil {
			return err
		}
	}
	return nil
}
