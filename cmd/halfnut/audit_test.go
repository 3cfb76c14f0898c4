package main

import (
	"database/sql"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/signoff"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

// TestAudit: the command tells a whole record from one that was tampered with,
// and a kept end finds a record that was cut off cleanly; on both engines.
func TestAudit(t *testing.T) {
	t.Parallel()
	for engine, where := range map[string]func(t *testing.T) (flag, address string){
		"sqlite":   func(t *testing.T) (string, string) { return "--data", filepath.Join(t.TempDir(), "a.db") },
		"postgres": func(t *testing.T) (string, string) { return "--database", storetest.Postgres(t) },
	} {
		t.Run(engine, func(t *testing.T) {
			t.Parallel()
			ctx := t.Context()
			flag, address := where(t)
			db, err := store.Open(ctx, address)
			require.NoError(t, err)
			service := practice.New(db, practice.Options{Random: storetest.Random(t)})
			w, p, err := service.Begin(ctx, "Kiln Row Workshop", "Instructor", "mm")
			require.NoError(t, err)
			for mark := 80; mark < 84; mark++ {
				rules := signoff.DefaultSettings()
				rules.PassMark = mark
				require.NoError(t, service.SetSignOffRules(ctx, practice.Actor{ID: p.ID, Workshop: w.ID, Role: curriculum.RoleInstructor}, rules))
			}
			require.NoError(t, db.Close())

			out, errs, code := halfnut(t, "", "audit", flag, address)
			require.Equal(t, exitOK, code, errs)
			assert.Contains(t, out, "nothing at fault")
			end := regexp.MustCompile(`4:[0-9a-f]{64}`).FindString(out)
			require.NotEmpty(t, end, out)
			_, _, code = halfnut(t, "", "audit", flag, address, "--kept", strings.ToUpper(end[:20])+" "+end[20:])
			assert.Equal(t, exitOK, code)
			_, errs, code = halfnut(t, "", "audit", flag, address, "--kept", "4:beef")
			assert.Equal(t, exitRefused, code)
			assert.Contains(t, errs, "64 hexadecimal digits")

			driver := map[string]string{"sqlite": "sqlite", "postgres": "pgx"}[engine]
			raw, err := sql.Open(driver, address)
			require.NoError(t, err)
			raw.SetMaxOpenConns(1)
			defer func() { require.NoError(t, raw.Close()) }()
			drop := []string{`DROP TRIGGER signoff_line_no_update`, `DROP TRIGGER signoff_line_no_delete`}
			if engine == "postgres" {
				drop = []string{`DROP TRIGGER signoff_line_no_change ON signoff_line`}
			}
			do := func(statements ...string) {
				t.Helper()
				for _, s := range statements {
					_, err := raw.ExecContext(ctx, s)
					require.NoError(t, err, s)
				}
			}
			do(drop...)
			do(`UPDATE signoff_name SET name = 'Somebody else'`)
			out, _, code = halfnut(t, "", "audit", flag, address)
			assert.Equal(t, exitMissed, code)
			assert.Contains(t, out, `the name "Somebody else" is not the one`)
			do(`UPDATE signoff_name SET name = 'Instructor'`)

			do(`DELETE FROM signoff_line WHERE seq > 2`)
			out, _, code = halfnut(t, "", "audit", flag, address)
			assert.Equal(t, exitMissed, code)
			assert.Contains(t, out, "line 3: cut off")
			do(`UPDATE signoff_head SET seq = 2, digest = (SELECT digest FROM signoff_line WHERE seq = 2)`)
			_, _, code = halfnut(t, "", "audit", flag, address)
			assert.Equal(t, exitOK, code, "cut off together with the recorded end: nothing here can tell")
			out, _, code = halfnut(t, "", "audit", flag, address, "--kept", end)
			assert.Equal(t, exitMissed, code)
			assert.Contains(t, out, "cut off or written anew")
			do(`UPDATE signoff_line SET body = '{}' WHERE seq = 1`)
			out, _, code = halfnut(t, "", "audit", flag, address)
			assert.Equal(t, exitMissed, code)
			assert.Contains(t, out, "line 1: changed")
		})
	}
}
