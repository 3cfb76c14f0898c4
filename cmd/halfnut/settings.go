package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"net/url"
	"os"
	"slices"
	"strings"
	"text/tabwriter"

	"halfnut/curriculum/store"
)

// variablePrefix begins the name of every environment variable that stands in
// for a flag.
const variablePrefix = "HALFNUT_"

// variable returns the environment variable that stands in for a flag:
// HALFNUT_PASSWORD_FILE for --password-file.
func variable(name string) string {
	return variablePrefix + strings.ToUpper(strings.ReplaceAll(name, "-", "_"))
}

// What a command takes from the environment. That of a service is often set for
// a whole machine, so other commands take no more from it than where the
// records are: never what they overwrite.
var (
	everyFlag         = []string{"*"}
	databaseFlagNames = []string{"data", "database", "password-file"}
)

// fromEnvironment sets the flags that the command line left out from their
// variables, and returns their names. Read after parsing and not made defaults,
// so that help never prints what a variable holds.
func fromEnvironment(f *flag.FlagSet, names []string) (set []string, err error) {
	given := map[string]bool{}
	f.Visit(func(x *flag.Flag) { given[x.Name] = true })
	f.VisitAll(func(x *flag.Flag) {
		value := os.Getenv(variable(x.Name))
		if !slices.Contains(names, x.Name) && names[0] != everyFlag[0] {
			return
		}
		if err != nil || given[x.Name] || value == "" {
			return
		}
		if f.Set(x.Name, value) != nil {
			err = fmt.Errorf("%s: the value cannot be used for --%s", variable(x.Name), x.Name)
			return
		}
		set = append(set, x.Name)
	})
	return set, err
}

// databaseFlags say which database a command works on.
type databaseFlags struct {
	data, database, passwordFile string
}

func (d *databaseFlags) declare(f *flag.FlagSet) {
	f.StringVar(&d.data, "data", "halfnut.db", "`FILE` the database file")
	f.StringVar(&d.database, "database", "", "`URL` a postgres:// address, in place of the file")
	f.StringVar(&d.passwordFile, "password-file", "", "`FILE` that holds the password for --database, so that no list of processes shows it")
}

// address returns the file or the address of the database, password included.
func (d *databaseFlags) address() (string, error) {
	if d.database == "" {
		if d.passwordFile != "" {
			return "", errors.New("--password-file: goes with --database")
		}
		return d.data, nil
	}
	if !store.IsPostgres(d.database) {
		return "", errors.New("--database: not a postgres:// address")
	}
	if d.passwordFile == "" {
		return d.database, nil
	}
	u, err := url.Parse(d.database)
	if err != nil {
		return "", errors.New("--database: the postgres:// address cannot be read")
	}
	secret, err := os.ReadFile(d.passwordFile)
	if err != nil {
		return "", fmt.Errorf("--password-file: %w", err)
	}
	u.User = url.UserPassword(u.User.Username(), strings.TrimRight(string(secret), "\r\n"))
	return u.String(), nil
}

// masked returns a flag's value as it may be shown.
func masked(name, value string) string {
	if name != "database" || value == "" {
		return value
	}
	u, err := url.Parse(value)
	if err != nil {
		return "(cannot be read)"
	}
	query := u.Query()
	for _, secret := range []string{"password", "sslpassword"} {
		if query.Has(secret) {
			query.Set(secret, "xxxxx")
			u.RawQuery = query.Encode()
		}
	}
	return u.Redacted()
}

func configCommand() command {
	var s serveFlags
	return command{
		name: "config", args: "[flags of serve]", summary: "show the settings that serve would use, and where each comes from",
		help: "Prints every setting of halfnut serve with the value in force and its origin: the\n" +
			"command line, the environment or the default. Passwords are masked. Variables that\n" +
			"begin with HALFNUT_ and mean nothing are listed, since they are most likely misspelt.",
		example: "halfnut config --address 127.0.0.1:9000",
		flags: func(f *flag.FlagSet) action {
			s.declare(f)
			return func(_ context.Context, c console, args []string) error {
				if err := exactly(0, args, "flags only"); err != nil {
					return err
				}
				return writeConfig(c, f)
			}
		},
	}
}

func writeConfig(c console, f *flag.FlagSet) error {
	origin := map[string]string{}
	f.Visit(func(x *flag.Flag) { origin[x.Name] = "command line" })
	set, err := fromEnvironment(f, everyFlag)
	if err != nil {
		return err
	}
	for _, name := range set {
		origin[name] = "environment"
	}
	var known []string
	w := tabwriter.NewWriter(c.out, 0, 0, 2, ' ', 0)
	_, _ = fmt.Fprintln(w, "setting\tvalue\tfrom\tvariable") // the error is Flush's
	f.VisitAll(func(x *flag.Flag) {
		known = append(known, variable(x.Name))
		from := origin[x.Name]
		if from == "" {
			from = "default"
		}
		value := masked(x.Name, x.Value.String())
		if value == "" {
			value = "-"
		}
		_, _ = fmt.Fprintf(w, "--%s\t%s\t%s\t%s\n", x.Name, value, from, variable(x.Name))
	})
	if err := w.Flush(); err != nil {
		return err
	}
	for _, pair := range os.Environ() {
		name, _, _ := strings.Cut(pair, "=")
		if strings.HasPrefix(name, variablePrefix) && !strings.HasPrefix(name, variablePrefix+"TEST_") && !slices.Contains(known, name) {
			if _, err := fmt.Fprintf(c.out, "%s means nothing to halfnut serve\n", name); err != nil {
				return err
			}
		}
	}
	return nil
}
