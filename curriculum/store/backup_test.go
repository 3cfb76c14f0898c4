package store_test

import (
	"bufio"
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/mastery"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

// engines are the addresses of empty databases.
var engines = map[string]func(testing.TB) string{"sqlite": storetest.SQLite, "postgres": storetest.Postgres}

// export returns a workshop's export without its first line, which holds the
// time.
func export(t *testing.T, db *store.DB, workshop string) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, db.Export(t.Context(), workshop, &b, at))
	_, rest, ok := strings.Cut(b.String(), "\n")
	require.True(t, ok)
	return rest
}

// TestBackupUnderWritesIsOneMoment backs up while writers write, restores into
// another database, and finds it whole: marks equal to a rebuild, no row that
// hangs in the air, and nothing that was acknowledged before the backup began
// missing.
func TestBackupUnderWritesIsOneMoment(t *testing.T) {
	t.Parallel()
	for engine, address := range engines {
		t.Run(engine, func(t *testing.T) {
			t.Parallel()
			ctx := t.Context()
			db := storetest.OpenAddress(t, address(t))
			s := fill(t, db)
			writing, stop := context.WithCancel(ctx)
			defer stop()
			var wait sync.WaitGroup
			first := make(chan string, 4)
			for w := range 4 {
				wait.Go(func() {
					for i := 0; writing.Err() == nil; i++ {
						a := s.attempt(w%2, 1+w/2, 1, curriculum.Rounding, i)
						_, err := db.RecordAttempts(ctx, []curriculum.Attempt{a}, mastery.Fold)
						assert.NoError(t, err)
						if i == 0 {
							first <- a.ID
						}
					}
				})
			}
			acknowledged := []string{<-first, <-first, <-first, <-first}
			file := filepath.Join(t.TempDir(), "copy")
			size, err := db.Backup(ctx, file)
			stop()
			wait.Wait()
			require.NoError(t, err)
			assert.Positive(t, size)
			_, err = db.Backup(ctx, file)
			require.ErrorIs(t, err, curriculum.ErrConflict, "a backup overwrites nothing")
			left, err := filepath.Glob(filepath.Join(filepath.Dir(file), ".halfnut*"))
			require.NoError(t, err)
			assert.Empty(t, left)

			to := address(t)
			kept, err := store.Restore(ctx, file, to, false, at)
			require.NoError(t, err)
			assert.Empty(t, kept)
			again, err := store.OpenExisting(ctx, to)
			require.NoError(t, err)
			report, err := again.Check(ctx, mastery.Fold)
			require.NoError(t, err)
			assert.Empty(t, report.Faults)
			assert.Equal(t, 4, report.Marks)
			var ids []string
			for _, v := range s.variants {
				as, err := again.Attempts(ctx, v.Code)
				require.NoError(t, err)
				for _, a := range as {
					ids = append(ids, a.ID)
				}
			}
			assert.Subset(t, ids, acknowledged)
			require.NoError(t, again.Close())

			// It serves on: new records go in.
			open := storetest.OpenAddress(t, to)
			_, err = open.RecordAttempts(ctx, []curriculum.Attempt{s.attempt(0, 1, 2, curriculum.Right, 900)}, mastery.Fold)
			require.NoError(t, err)
		})
	}
}

func TestRestoreOverwritesOnlyWhenTold(t *testing.T) {
	t.Parallel()
	for engine, address := range engines {
		t.Run(engine, func(t *testing.T) {
			t.Parallel()
			ctx := t.Context()
			where := address(t)
			db, err := store.Open(ctx, where)
			require.NoError(t, err)
			s := fill(t, db)
			before := export(t, db, s.workshop.ID)
			file := filepath.Join(t.TempDir(), "copy")
			_, err = db.Backup(ctx, file)
			require.NoError(t, err)
			_, err = db.RecordAttempts(ctx, []curriculum.Attempt{s.attempt(0, 1, 2, curriculum.Right, 0)}, mastery.Fold)
			require.NoError(t, err)
			after := export(t, db, s.workshop.ID)
			require.NotEqual(t, before, after)

			_, err = store.Restore(ctx, file, where, false, at)
			require.ErrorIs(t, err, curriculum.ErrConflict)
			if engine == "sqlite" {
				_, err = store.Restore(ctx, file, where, true, at)
				require.ErrorContains(t, err, "in use")
			}
			assert.Equal(t, after, export(t, db, s.workshop.ID), "refused, nothing has changed")

			damaged := filepath.Join(t.TempDir(), "damaged")
			whole, err := os.ReadFile(file)
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(damaged, whole[:len(whole)/2], 0o600))
			require.NoError(t, db.Close())
			_, err = store.Restore(ctx, damaged, where, true, at)
			require.Error(t, err)
			_, err = store.Restore(ctx, file+".none", where, true, at)
			require.ErrorIs(t, err, curriculum.ErrNotFound)
			db = storetest.OpenAddress(t, where)
			assert.Equal(t, after, export(t, db, s.workshop.ID), "a damaged backup changes nothing")
			require.NoError(t, db.Close())

			kept, err := store.Restore(ctx, file, where, true, at)
			require.NoError(t, err)
			db, err = store.Open(ctx, where)
			require.NoError(t, err)
			assert.Equal(t, before, export(t, db, s.workshop.ID))
			require.NoError(t, db.Close())
			if engine == "sqlite" {
				old := storetest.OpenAddress(t, kept)
				assert.Equal(t, after, export(t, old, s.workshop.ID), "the old file is kept, with what stood in its log")
			}
		})
	}
}

// TestCheckFindsFaults plants one fault of each kind that Check looks for.
func TestCheckFindsFaults(t *testing.T) {
	t.Parallel()
	for engine, address := range engines {
		t.Run(engine, func(t *testing.T) {
			t.Parallel()
			ctx := t.Context()
			where := address(t)
			db := storetest.OpenAddress(t, where)
			s := fill(t, db)
			_, err := db.RecordAttempts(ctx, []curriculum.Attempt{s.attempt(0, 1, 2, curriculum.Right, 0)}, mastery.Fold)
			require.NoError(t, err)
			faults := func() []string {
				r, err := db.Check(ctx, mastery.Fold)
				require.NoError(t, err)
				return r.Faults
			}
			require.Empty(t, faults())
			raw := rawPool(t, where)
			for _, c := range []struct{ plant, mend, says string }{
				{`UPDATE mark SET tries = 2`, `UPDATE mark SET tries = 1`, "differ"},
				{`UPDATE exercise SET body = '{' WHERE position = 2`, `UPDATE exercise SET body = '{}' WHERE position = 2`, s.set.ID},
				{`INSERT INTO signoff_head (workshop_id, seq, digest) SELECT id, 3, 'x' FROM workshop`, `DELETE FROM signoff_head`, "sign-offs"},
				{`DELETE FROM cell`, ``, "cells differ"},
				{`INSERT INTO goose_db_version (version_id, is_applied) VALUES (99999, TRUE)`, `DELETE FROM goose_db_version WHERE version_id = 99999`, "newer"},
			} {
				_, err := raw.ExecContext(ctx, c.plant)
				require.NoError(t, err)
				got := faults()
				require.NotEmpty(t, got, c.plant)
				assert.Contains(t, got[0], c.says)
				if c.mend == "" {
					_, err = db.CompareCells(ctx, mastery.Fold, true, func(store.Difference) error { return nil })
				} else {
					_, err = raw.ExecContext(ctx, c.mend)
				}
				require.NoError(t, err)
				require.Empty(t, faults(), c.mend)
			}
			if engine == "sqlite" {
				_, err := raw.ExecContext(ctx, `INSERT INTO enrolment (class_id, learner_id, seat, created_at) VALUES ('nowhere', 'nobody', 1, 1)`)
				require.NoError(t, err)
				assert.Len(t, faults(), 2, "two references lead nowhere")
			}
		})
	}
}

// rawPool reaches the database beside the store, on SQLite without references
// being held.
func rawPool(t *testing.T, where string) *sql.DB {
	t.Helper()
	driver := "sqlite"
	if store.IsPostgres(where) {
		driver = "pgx"
	} else {
		where = "file:" + where + "?_pragma=busy_timeout(5000)"
	}
	raw, err := sql.Open(driver, where)
	require.NoError(t, err)
	t.Cleanup(func() { _ = raw.Close() })
	return raw
}

func TestANewerDatabaseIsLeftAlone(t *testing.T) {
	t.Parallel()
	for engine, address := range engines {
		t.Run(engine, func(t *testing.T) {
			t.Parallel()
			where := address(t)
			db, err := store.Open(t.Context(), where)
			require.NoError(t, err)
			require.NoError(t, db.Close())
			_, err = rawPool(t, where).ExecContext(t.Context(), `INSERT INTO goose_db_version (version_id, is_applied) VALUES (99999, TRUE)`)
			require.NoError(t, err)
			_, err = store.Open(t.Context(), where)
			require.ErrorContains(t, err, "use a newer halfnut")
		})
	}
}

func TestNothingIsMadeByLooking(t *testing.T) {
	t.Parallel()
	where := storetest.SQLite(t)
	_, err := store.OpenExisting(t.Context(), where)
	require.ErrorIs(t, err, curriculum.ErrNotFound)
	assert.NoFileExists(t, where)

	empty := storetest.Postgres(t)
	db, err := store.OpenExisting(t.Context(), empty)
	require.NoError(t, err)
	defer func() { require.NoError(t, db.Close()) }()
	r, err := db.Check(t.Context(), mastery.Fold)
	require.NoError(t, err)
	assert.Equal(t, []string{"no records of halfnut are kept here"}, r.Faults)
}

// TestExportHoldsEverythingButSecrets reads an export back: every table is
// there or named as left out, no hash of a secret is in it, documents are
// documents, and another workshop's records are not.
func TestExportHoldsEverythingButSecrets(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		ctx := t.Context()
		s := fill(t, db)
		other := fill(t, db)
		require.NoError(t, db.ChoosePIN(ctx, s.learners[0], "the-hash-of-a-pin", time.Now()))
		_, err := db.RecordAttempts(ctx, []curriculum.Attempt{s.attempt(0, 1, 2, curriculum.Right, 0)}, mastery.Fold)
		require.NoError(t, err)
		var b bytes.Buffer
		require.NoError(t, db.Export(ctx, s.workshop.ID, &b, at))
		assert.NotContains(t, b.String(), "the-hash-of-a-pin")
		assert.NotContains(t, b.String(), other.workshop.ID)
		rows := map[string]int{}
		lines := bufio.NewScanner(&b)
		lines.Buffer(nil, 1<<20)
		require.True(t, lines.Scan())
		var head struct {
			Format, Workshop string
			At               int64
		}
		require.NoError(t, json.Unmarshal(lines.Bytes(), &head))
		assert.Equal(t, store.ExportFormat, head.Format)
		assert.Equal(t, at.Truncate(time.Millisecond).UnixMicro(), head.At)
		for lines.Scan() {
			var l struct {
				Table string
				Row   map[string]any
			}
			require.NoError(t, json.Unmarshal(lines.Bytes(), &l))
			rows[l.Table]++
			if l.Table == "exercise" {
				assert.Contains(t, l.Row["body"], "prompt")
			}
		}
		require.NoError(t, lines.Err())
		for table, want := range map[string]int{"workshop": 1, "person": 1, "lathe": 1, "class": 1, "learner": 2, "enrolment": 2, "class_set": 1, "variant": 2, "exercise": 4, "attempt": 1} {
			assert.Equal(t, want, rows[table], table)
		}
		missing, err := store.TablesOutsideExport(ctx, db)
		require.NoError(t, err)
		assert.Empty(t, missing, "put a new table into exportedTables, or into notExported with the reason")
		require.ErrorIs(t, db.Export(ctx, "nowhere", &b, at), curriculum.ErrNotFound)
	})
}
