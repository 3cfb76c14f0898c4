// Command halfnut works out multi-start threads for a manual lathe, draws and
// marks exercises about them, prints worksheets, and serves all of it to a
// class.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], console{os.Stdin, os.Stdout, os.Stderr})
	stop()
	os.Exit(code)
}

// console is where a command reads and writes.
type console struct {
	in       io.Reader
	out, err io.Writer
}

// command is one of the words after halfnut.
type command struct {
	name string
	// args shows what follows the name; summary is its line in the list.
	args, summary string
	// help is what it does, in a few sentences; example is one that runs as it stands
	// in the repository.
	help, example string
	// environment names the flags that a variable stands in for when they are left
	// out; everyFlag names all.
	environment []string
	// flags declares the command's flags and returns what runs after they are read.
	flags func(*flag.FlagSet) action
}

// action runs a command with what is left of its arguments.
type action func(ctx context.Context, c console, args []string) error

// The exit statuses.
const (
	exitOK      = 0
	exitMissed  = 1 // checks found a miss
	exitRefused = 2 // what was asked cannot be done
)

// errMissed makes the exit status exitMissed.
var errMissed = errors.New("checks missed")

func commands() []command {
	return []command{solveCommand(), exercisesCommand(), gradeCommand(), skillsCommand(), worksheetCommand(), benchCardCommand(), posterCommand(), surveyCommand(), checksCommand(), serveCommand(),
		configCommand(), backupCommand(), restoreCommand(), checkCommand(), auditCommand(), exportCommand(), healthcheckCommand(), recomputeCommand(), simulateCommand()}
}

func run(ctx context.Context, args []string, c console) int {
	err := dispatch(ctx, args, c)
	switch {
	case err == nil:
		return exitOK
	case errors.Is(err, errMissed):
		return exitMissed
	}
	// One line, whatever the error holds.
	_, _ = fmt.Fprintln(c.err, "halfnut: "+strings.Join(strings.FieldsFunc(err.Error(), func(r rune) bool { return r == '\n' || r == '\r' }), "; "))
	return exitRefused
}

func dispatch(ctx context.Context, args []string, c console) error {
	if len(args) == 0 {
		return overview(c.out)
	}
	name, rest := args[0], args[1:]
	switch name {
	case "help", "-h", "-help", "--help":
		if len(rest) == 0 {
			return overview(c.out)
		}
		for _, cmd := range commands() {
			if cmd.name == rest[0] {
				return describe(c.out, cmd)
			}
		}
		return unknown(rest[0])
	}
	for _, cmd := range commands() {
		if cmd.name != name {
			continue
		}
		flags := flag.NewFlagSet(name, flag.ContinueOnError)
		flags.SetOutput(io.Discard)
		act := cmd.flags(flags)
		// Flags may stand before, between and after the other arguments.
		var words []string
		for left := rest; ; {
			if err := flags.Parse(left); err != nil {
				if errors.Is(err, flag.ErrHelp) {
					return describe(c.out, cmd)
				}
				return fmt.Errorf("%s: %w; see halfnut help %s", name, err, name)
			}
			if flags.NArg() == 0 {
				break
			}
			words, left = append(words, flags.Arg(0)), flags.Args()[1:]
		}
		if len(cmd.environment) > 0 {
			if _, err := fromEnvironment(flags, cmd.environment); err != nil {
				return fmt.Errorf("%s: %w", name, err)
			}
		}
		if err := act(ctx, c, words); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		return nil
	}
	return unknown(name)
}

func unknown(name string) error {
	return fmt.Errorf("there is no command %q; halfnut help lists them", name)
}

func overview(w io.Writer) error {
	var b strings.Builder
	b.WriteString("halfnut works out multi-start threads for your own lathes, sets and marks exercises\nabout them, prints worksheets, and serves a class.\n\n")
	for _, cmd := range commands() {
		fmt.Fprintf(&b, "  %-11s %s\n", cmd.name, cmd.summary)
	}
	b.WriteString("\nhalfnut help COMMAND tells more, with an example. Errors are one line on standard\nerror and exit status 2.\n")
	b.WriteString("\nThe figures are for teaching. The machine's manual, local rules and the shop's\nqualified supervisor come first.\n")
	_, err := io.WriteString(w, b.String())
	return err
}

func describe(w io.Writer, cmd command) error {
	var b strings.Builder
	fmt.Fprintf(&b, "halfnut %s %s\n\n%s\n", cmd.name, cmd.args, cmd.help)
	flags := flag.NewFlagSet(cmd.name, flag.ContinueOnError)
	cmd.flags(flags)
	first := true
	flags.VisitAll(func(f *flag.Flag) {
		if first {
			b.WriteString("\nFlags:\n")
			first = false
		}
		value, usage := flag.UnquoteUsage(f)
		// The value's name leads the usage text; it stands on the line above.
		fmt.Fprintf(&b, "  --%s %s\n      %s", f.Name, value, strings.TrimSpace(strings.TrimPrefix(usage, value)))
		if f.DefValue != "" && f.DefValue != "false" && f.DefValue != "0" {
			fmt.Fprintf(&b, " (default %s)", f.DefValue)
		}
		b.WriteString("\n")
	})
	fmt.Fprintf(&b, "\nExample:\n  %s\n", strings.ReplaceAll(cmd.example, "\n", "\n  "))
	_, err := io.WriteString(w, b.String())
	return err
}

// maxInput bounds what is read from a file or from standard input.
const maxInput = 64 << 20

// readInput returns the contents of a file, or of standard input for "-".
func readInput(c console, name string) ([]byte, error) {
	in := c.in
	if name != "-" {
		f, err := os.Open(name)
		if err != nil {
			return nil, err
		}
		defer func() { _ = f.Close() }()
		in = f
	}
	data, err := io.ReadAll(io.LimitReader(in, maxInput+1))
	if err != nil {
		return nil, err
	}
	if len(data) > maxInput {
		return nil, fmt.Errorf("%s: more than %d MiB", name, maxInput>>20)
	}
	return data, nil
}

// exactly refuses a wrong number of arguments.
func exactly(n int, args []string, want string) error {
	if len(args) != n {
		return fmt.Errorf("give %s, not %d arguments", want, len(args))
	}
	return nil
}
