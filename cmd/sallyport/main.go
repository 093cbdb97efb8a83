// Command sallyport plans the vehicle park of a live show from a workbook:
// where every vehicle stands, and every move of all days, so that each serial
// can be pulled out, formed up, brought home and put away with nobody blocked.
//
// Every command is a value in the list commands, with a file of its own;
// docs/commands.md describes them, their exit codes and the JSON they print.
package main

import (
	"context"
	"io"
	"os"
	"os/signal"
	"slices"
	"syscall"

	"github.com/alecthomas/kong"
)

// commands lists every command in the order in which help shows them.
var commands = []command{
	demoCommand, planCommand, checkCommand, explainCommand, adviseCommand, failuresCommand, replanCommand, clearCommand, drawCommand,
	serveCommand, backupCommand, restoreCommand, templateCommand, schemaCommand, convertCommand, versionCommand,
}

// command is one command of the program.
type command struct {
	name string
	help string           // one line
	args func() arguments // its arguments, at their defaults
}

// arguments is a parsed command. Its Help method gives the long help with an
// example; Run does the work and leaves what is to be printed in the console's answer.
type arguments interface {
	Help() string
	Run(c *console) error
}

// root holds the flags that all commands have.
type root struct {
	JSON bool `name:"json" help:"Print one JSON object in place of words (docs/commands.md describes it)."`
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	// After the first signal the best plan so far is written; a second one ends
	// the program at once.
	context.AfterFunc(ctx, stop)
	os.Exit(run(ctx, os.Args[1:], os.Stdout, os.Stderr))
}

// run runs the command named in args and returns the exit code.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	c := &console{ctx: ctx, stdout: stdout, stderr: stderr, json: slices.Contains(args, "--json")} // also when the rest cannot be parsed
	helped := -1
	parser, byName, err := newParser(stdout, stderr, func(code int) { helped = code })
	if err != nil {
		return c.finish(err)
	}
	parsed, err := parser.Parse(args)
	switch {
	case helped >= 0:
		return helped
	case err != nil:
		return c.finish(usage(err))
	}
	c.answer.Command = parsed.Selected().Name
	return c.finish(byName[c.answer.Command].Run(c))
}

// newParser returns a parser of command lines and the arguments that it fills
// in, by command. exit is called when help was asked for and printed.
func newParser(stdout, stderr io.Writer, exit func(code int)) (*kong.Kong, map[string]arguments, error) {
	options := []kong.Option{
		kong.Name("sallyport"),
		kong.Description("Plans the vehicle park of a live show: who stands where, and every move, with nobody blocked."),
		kong.Writers(stdout, stderr),
		kong.Exit(exit),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true}),
	}
	byName := map[string]arguments{}
	for _, cmd := range commands {
		byName[cmd.name] = cmd.args()
		options = append(options, kong.DynamicCommand(cmd.name, cmd.help, "", byName[cmd.name]))
	}
	parser, err := kong.New(&root{}, options...)
	return parser, byName, err
}
