package main

import (
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// mayImport is the import table: what each of our packages may import of the
// others. Loosening it needs a reason in the commit.
var mayImport = map[string][]string{
	"threadmath":                 {},
	"threadmath/lathesim":        {},
	"threadmath/checks":          {"threadmath", "testdata"},
	"migrations":                 {},
	"testdata":                   {},
	"testdata/workshop":          {"threadmath"},
	"curriculum/formula":         {"threadmath"},
	"curriculum":                 {"threadmath", "curriculum/formula"},
	"curriculum/generate":        {"threadmath", "curriculum", "curriculum/formula"},
	"curriculum/grade":           {"threadmath", "curriculum", "curriculum/formula"},
	"curriculum/mastery":         {"curriculum"},
	"curriculum/plan":            {"threadmath", "curriculum", "curriculum/mastery"},
	"curriculum/statistics":      {"curriculum"},
	"curriculum/simulate":        {"threadmath", "curriculum", "curriculum/generate", "curriculum/grade", "curriculum/mastery", "curriculum/plan"}, // its strangers answer real draws
	"curriculum/practice":        {"threadmath", "curriculum", "curriculum/shop", "curriculum/generate", "curriculum/grade", "curriculum/mastery", "curriculum/plan", "curriculum/statistics", "curriculum/signoff"},
	"curriculum/shop":            {"threadmath", "curriculum"},
	"curriculum/shop/obey":       {"threadmath", "threadmath/lathesim", "curriculum"},
	"curriculum/signoff":         {"threadmath", "curriculum"},
	"curriculum/demo":            {"threadmath", "curriculum", "curriculum/practice", "curriculum/signoff", "testdata/workshop"},
	"curriculum/store":           {"curriculum", "migrations"},
	"worksheets":                 {"threadmath", "curriculum"},
	"api/problem":                {"threadmath", "curriculum", "worksheets"},
	"api/openapi":                {"curriculum"},
	"api/web":                    {"threadmath", "curriculum", "curriculum/generate", "curriculum/practice", "curriculum/shop", "curriculum/signoff", "curriculum/statistics", "worksheets", "api/problem"},
	"api":                        {"threadmath", "curriculum", "curriculum/generate", "curriculum/practice", "curriculum/shop", "curriculum/signoff", "worksheets", "api/problem", "api/openapi", "api/web"},
	"cmd/halfnut":                nil, // joins them all
	"curriculum/store/storetest": {"curriculum/store"},
}

// standardOnly are the packages that import nothing but the standard library and
// each other; threadmath not even these parts of it.
var standardOnly = []string{"threadmath", "threadmath/lathesim", "threadmath/checks", "migrations", "testdata", "testdata/workshop", "curriculum/formula"}

var impure = []string{"time", "os", "net", "net/http", "math/rand", "math/rand/v2", "crypto/rand"}

// onlyIn names the packages that alone may import a module.
var onlyIn = map[string][]string{
	"github.com/gin-gonic/gin":      {"api", "api/web"},
	"github.com/signintech/gopdf":   {"worksheets"},
	"github.com/jackc/pgx/v5":       {"curriculum/store"},
	"modernc.org/sqlite":            {"curriculum/store"},
	"github.com/pressly/goose/v3":   {"curriculum/store"},
	"github.com/riverqueue/river":   {"curriculum/store"}, // the queue is of the database: a work and its place in it are one transaction
	"golang.org/x/crypto/argon2":    {"curriculum/practice"},
	"golang.org/x/time/rate":        {"api"},
	"github.com/go-fonts/dejavu":    {"worksheets"},
	"github.com/arran4/golang-ical": {"api"},

	"github.com/santhosh-tekuri/jsonschema/v6": {"api/openapi"},
}

func TestImportDirection(t *testing.T) {
	t.Parallel()
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`, "halfnut/...", "halfnut/testdata", "halfnut/testdata/workshop").Output()
	require.NoError(t, err)
	seen := map[string]bool{}
	for line := range strings.Lines(string(out)) {
		fields := strings.Fields(line)
		pkg := strings.TrimPrefix(fields[0], "halfnut/")
		seen[pkg] = true
		allowed, known := mayImport[pkg]
		if !assert.True(t, known, "%s is not in the import table", pkg) {
			continue
		}
		for _, imp := range fields[1:] {
			if ours, ok := strings.CutPrefix(imp, "halfnut/"); ok {
				assert.True(t, allowed == nil || slices.Contains(allowed, ours), "%s may not import %s", pkg, ours)
				continue
			}
			host, _, _ := strings.Cut(imp, "/")
			if slices.Contains(standardOnly, pkg) {
				assert.NotContains(t, host, ".", "%s may import the standard library only, not %s", pkg, imp)
			}
			if pkg == "threadmath" {
				assert.NotContains(t, impure, imp, "threadmath computes; it does not look at %s", imp)
			}
			for module, where := range onlyIn {
				if imp == module || strings.HasPrefix(imp, module+"/") {
					assert.Contains(t, where, pkg, "%s is imported in one place", module)
				}
			}
		}
	}
	for pkg := range mayImport {
		assert.True(t, seen[pkg], "%s is in the import table and does not exist", pkg)
	}
}
