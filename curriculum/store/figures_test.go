package store_test

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/mastery"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

// figures makes TestFigures measure; without it there is nothing to check, since
// times are no verdict.
//
//	go test ./curriculum/store -run TestFigures -figures -v -timeout 1h
var figures = flag.Bool("figures", false, "measure what DEVELOPERS.md states of the store")

// bigClass fills a database with a class, and sets of 40 exercises for everybody
// in it.
func bigClass(t *testing.T, db *store.DB, learners, sets int) shop {
	t.Helper()
	ctx := t.Context()
	s := fill(t, db)
	class := curriculum.Class{ID: store.NewID(), Workshop: s.workshop.ID, Name: "Everybody", JoiningCode: "ALL-" + store.NewID()[24:], Created: at}
	require.NoError(t, db.CreateClass(ctx, class, s.person.ID))
	var names []curriculum.Learner
	for i := range learners {
		names = append(names, curriculum.Learner{ID: store.NewID(), Name: fmt.Sprintf("Learner %d", i+1)})
	}
	kept, err := db.AddLearners(ctx, class, names, s.person.ID, at)
	require.NoError(t, err)
	e := s.variants[0].Exercises[0]
	s.class, s.learners, s.variants = class, kept, nil
	for i := range sets {
		set := s.set
		set.ID, set.Class = store.NewID(), class.ID
		var variants []curriculum.Variant
		for _, l := range kept {
			v := curriculum.Variant{Code: fmt.Sprintf("S%d-%d", i, l.Seat), Set: set.ID, Learner: l.ID, Seat: l.Seat, Created: at}
			for range 40 {
				v.Exercises = append(v.Exercises, e)
			}
			variants = append(variants, v)
		}
		require.NoError(t, db.CreateSet(ctx, set, variants, s.workshop.ID, s.person.ID))
		s.set = set
		s.variants = append(s.variants, variants...)
	}
	return s
}

// record sends answers from clients, three tries at each exercise, for a while,
// and returns the rate and the times of each.
func record(t *testing.T, db *store.DB, s shop, clients int, from, to time.Duration) (perSecond float64, times []time.Duration) {
	t.Helper()
	var mu sync.Mutex
	var wait sync.WaitGroup
	begun := time.Now()
	learners := len(s.learners)
	for c := range clients {
		wait.Go(func() {
			var own []time.Duration
			for n := 0; time.Since(begun) < to; n++ {
				exercise := n / 3
				variant := (exercise/40)*learners + c
				if variant >= len(s.variants) {
					break
				}
				a := s.attempt(variant, exercise%40+1, 1, curriculum.Rounding, n)
				sent := time.Now()
				if _, err := db.RecordAttempts(context.Background(), []curriculum.Attempt{a}, mastery.Fold); err != nil {
					t.Error(err)
					return
				}
				if sent.Sub(begun) > from {
					own = append(own, time.Since(sent))
				}
			}
			mu.Lock()
			defer mu.Unlock()
			times = append(times, own...)
		})
	}
	wait.Wait()
	slices.Sort(times)
	return float64(len(times)) / (time.Since(begun) - from).Seconds(), times
}

// statements are those of one answer, for pgbench and for the C library, with
// the texts of a real one. ID, VARIANT, POSITION and LEARNER stand for values.
func statements(t *testing.T, db *store.DB, s shop) []string {
	t.Helper()
	a := s.attempt(0, 1, 1, curriculum.Rounding, 0)
	verdicts, err := json.Marshal(a.Verdicts)
	require.NoError(t, err)
	_, err = db.RecordAttempts(t.Context(), []curriculum.Attempt{a}, mastery.Fold)
	require.NoError(t, err)
	cells, err := db.Cells(t.Context(), a.Learner)
	require.NoError(t, err)
	cell, err := json.Marshal(cells[0])
	require.NoError(t, err)
	columns := `a.id, a.answers, a.verdicts, a.marks, a.created_at, e.body FROM attempt a JOIN exercise e ON e.variant_code = a.variant_code AND e.position = a.position`
	return []string{
		`INSERT INTO folded (learner_id, last_at, last_id) VALUES (LEARNER, 0, '') ON CONFLICT (learner_id) DO UPDATE SET last_id = folded.last_id RETURNING last_at, last_id`,
		`INSERT INTO mark (variant_code, position, tries, first_marks, best_marks, out_of, last_outcome) VALUES (VARIANT, POSITION, 0, 0, 0, 2, '') ON CONFLICT (variant_code, position) DO UPDATE SET out_of = excluded.out_of RETURNING tries, first_marks, best_marks, last_outcome, (SELECT COUNT(*) FROM hint h WHERE h.variant_code = VARIANT AND h.position = POSITION)`,
		`SELECT ` + columns + ` WHERE a.variant_code = VARIANT AND a.position = POSITION ORDER BY a.created_at, a.id`,
		`SELECT body FROM cell WHERE learner_id = LEARNER AND skill IN ('lead')`,
		`INSERT INTO attempt (id, variant_code, position, learner_id, source, answers, verdicts, marks, out_of, try, entered_by, created_at, numbers, hinted) VALUES (ID, VARIANT, POSITION, LEARNER, 'typed', '{"a":"6 mm"}', '` + string(verdicts) + `', 1, 2, 1, LEARNER, 1772472600123000, '', 0)`,
		`UPDATE mark SET tries = tries + 1, best_marks = 1 WHERE variant_code = VARIANT AND position = POSITION`,
		`INSERT INTO cell (learner_id, skill, body) VALUES (LEARNER, 'lead', '` + string(cell) + `') ON CONFLICT (learner_id, skill) DO UPDATE SET body = excluded.body`,
		`UPDATE folded SET last_at = 1772472600123000, last_id = ID WHERE learner_id = LEARNER`,
	}
}

// pgbench runs the statements of one answer in the same database.
func pgbench(t *testing.T, address string, s shop, seconds int, all []string) float64 {
	t.Helper()
	folder := t.TempDir()
	var load strings.Builder
	load.WriteString("CREATE TABLE bench (n BIGINT PRIMARY KEY, learner TEXT NOT NULL);\n")
	for i, l := range s.learners {
		fmt.Fprintf(&load, "INSERT INTO bench VALUES (%d, '%s');\n", i, l.ID)
	}
	_, err := rawPool(t, address).ExecContext(t.Context(), load.String())
	require.NoError(t, err)
	fill := strings.NewReplacer("LEARNER", "(SELECT learner FROM bench WHERE n = :client_id + 32)", "VARIANT", "'S' || :set || '-' || (:client_id + 33)", "POSITION", ":position", "ID", "'b' || :id")
	var script strings.Builder
	script.WriteString("\\set id random(1, 9000000000000000)\n\\set position random(1, 40)\n\\set set random(0, 3)\nBEGIN;\n")
	for _, q := range all {
		script.WriteString(noVariable(fill.Replace(q)) + ";\n")
	}
	script.WriteString("COMMIT;\n")
	file := filepath.Join(folder, "answer.sql")
	require.NoError(t, os.WriteFile(file, []byte(script.String()), 0o600))
	out, err := exec.Command("pgbench", "-n", "-M", "prepared", "-c", "16", "-j", "2", "-T", strconv.Itoa(seconds), "-f", file, address).CombinedOutput()
	require.NoError(t, err, string(out))
	m := regexp.MustCompile(`tps = ([0-9.]+)`).FindSubmatch(out)
	require.NotNil(t, m, string(out))
	tps, err := strconv.ParseFloat(string(m[1]), 64)
	require.NoError(t, err)
	return tps
}

// noVariable keeps pgbench from taking "marks":1 for a variable.
func noVariable(q string) string { return strings.ReplaceAll(q, `":`, `": `) }

// cLibrary runs the statements of one answer through the C library, a commit for
// each, on one connection with full durability.
func cLibrary(t *testing.T, path string, s shop, seconds int, all []string) float64 {
	t.Helper()
	fill := strings.NewReplacer("LEARNER", ":learner", "VARIANT", ":variant", "POSITION", ":position", "ID", ":id")
	job := map[string]any{"path": path, "seconds": seconds}
	var filled []string
	for _, q := range all {
		filled = append(filled, fill.Replace(q))
	}
	job["statements"] = filled
	var ids []string
	for _, l := range s.learners {
		ids = append(ids, l.ID)
	}
	job["learners"] = ids
	data, err := json.Marshal(job)
	require.NoError(t, err)
	const program = `
import json, sqlite3, sys, time
job = json.load(sys.stdin)
db = sqlite3.connect(job["path"], isolation_level=None)
for p in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=1"):
    db.execute("PRAGMA " + p)
n, begun = 0, time.time()
while time.time() - begun < job["seconds"]:
    e = n // 3
    learner = (e // 160) % len(job["learners"])
    v = {"id": "c%d" % n, "position": e % 40 + 1, "variant": "S%d-%d" % (e // 40 % 4, learner + 1), "learner": job["learners"][learner]}
    db.execute("BEGIN IMMEDIATE")
    for q in job["statements"]:
        db.execute(q, v).fetchall()
    db.execute("COMMIT")
    n += 1
print(n / (time.time() - begun))
`
	cmd := exec.Command("python3", "-c", program)
	cmd.Stdin = strings.NewReader(string(data))
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, string(out))
	rate, err := strconv.ParseFloat(strings.TrimSpace(string(out)), 64)
	require.NoError(t, err, string(out))
	return rate
}

func median(x []float64) float64 {
	slices.Sort(x)
	return x[len(x)/2]
}

func spread(x []float64) string {
	slices.Sort(x)
	return fmt.Sprintf("%.2f [%.2f..%.2f]", median(x), x[0], x[len(x)-1])
}

const figureSeconds = 4

func TestFigures(t *testing.T) {
	if !*figures {
		t.Skip("measures only with -figures")
	}
	t.Run("answers, PostgreSQL", func(t *testing.T) {
		var ours, theirs, ratio []float64
		for range 3 {
			address := storetest.Postgres(t)
			db := storetest.OpenAddress(t, address)
			s := bigClass(t, db, 64, 12)
			all := statements(t, db, s)
			b := pgbench(t, address, s, figureSeconds, all)
			a, _ := record(t, db, s, 16, time.Second, (figureSeconds+1)*time.Second)
			ours, theirs, ratio = append(ours, a), append(theirs, b), append(ratio, a/b)
		}
		t.Logf("16 clients %.0f/s, pgbench with the same statements %.0f/s, ratio %s (goal 0.8)", median(ours), median(theirs), spread(ratio))
	})
	t.Run("answers, SQLite", func(t *testing.T) {
		var ours, theirs, ratio, p99 []float64
		for range 3 {
			path := storetest.SQLite(t)
			db, err := store.Open(t.Context(), path)
			require.NoError(t, err)
			s := bigClass(t, db, 64, 12)
			all := statements(t, db, s)
			b := cLibrary(t, path, s, figureSeconds, all)
			a, times := record(t, db, s, 64, time.Second, (figureSeconds+1)*time.Second)
			require.NoError(t, db.Close())
			ours, theirs, ratio = append(ours, a), append(theirs, b), append(ratio, a/b)
			p99 = append(p99, float64(times[len(times)*99/100].Microseconds())/1000)
		}
		t.Logf("64 clients %.0f/s, C library with a commit each %.0f/s, ratio %s (goal 2), p99 %s ms (goal 40)", median(ours), median(theirs), spread(ratio), spread(p99))
	})
	t.Run("class marks and backup", func(t *testing.T) {
		for engine, address := range engines {
			db := storetest.OpenAddress(t, address(t))
			s := bigClass(t, db, 30, 1)
			for i := range s.variants {
				for p := range 40 {
					_, err := db.RecordAttempts(t.Context(), []curriculum.Attempt{s.attempt(i, p+1, 1, curriculum.Rounding, p)}, mastery.Fold)
					require.NoError(t, err)
				}
			}
			var ms []float64
			for range 50 {
				begun := time.Now()
				marks, err := db.Marks(t.Context(), s.set.ID)
				require.NoError(t, err)
				require.Len(t, marks, 1200)
				ms = append(ms, float64(time.Since(begun).Microseconds())/1000)
			}
			t.Logf("%s: marks of 30 learners and 40 exercises %s ms (goal 20)", engine, spread(ms))
		}
	})
	t.Run("page of 50", func(t *testing.T) {
		for engine, address := range engines {
			where := address(t)
			db := storetest.OpenAddress(t, where)
			s := bigClass(t, db, 3000, 0)
			// Rows as RecordAttempts leaves them, 13 sets of 40 exercises answered by
			// everybody; made by SQL, since 1.5 million transactions would take longer
			// than the rest.
			raw := rawPool(t, where)
			set := s.set
			set.Class = s.class.ID
			for i := range 13 {
				set.ID = store.NewID()
				require.NoError(t, db.CreateSet(t.Context(), set, nil, s.workshop.ID, s.person.ID))
				prefix := fmt.Sprintf("P%d-", i)
				for _, q := range []string{
					`INSERT INTO variant (code, set_id, learner_id, seat, created_at) SELECT '` + prefix + `' || seat, '` + set.ID + `', learner_id, seat, 1 FROM enrolment WHERE class_id = '` + s.class.ID + `'`,
					`INSERT INTO exercise (variant_code, position, skill, model, model_version, body) WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 40)
						SELECT v.code, n.i, 'lead', 'lead/basic', 3, '{"id":"x"}' FROM variant v, n WHERE v.set_id = '` + set.ID + `'`,
					`INSERT INTO mark (variant_code, position, tries, first_marks, best_marks, out_of, last_outcome) SELECT e.variant_code, e.position, 1, 1, 1, 2, 'rounding'
						FROM exercise e JOIN variant v ON v.code = e.variant_code WHERE v.set_id = '` + set.ID + `'`,
				} {
					_, err := raw.ExecContext(t.Context(), q)
					require.NoError(t, err)
				}
			}
			_, err := raw.ExecContext(t.Context(), `ANALYZE`)
			require.NoError(t, err)
			var ms []float64
			for i := range 40 {
				begun := time.Now()
				after := i * 70
				seats, err := db.Seats(t.Context(), set.ID, after, 51)
				require.NoError(t, err)
				require.Len(t, seats, 51)
				marks, err := db.MarksOfSeats(t.Context(), set.ID, after, after+50)
				require.NoError(t, err)
				require.Len(t, marks, 50*40)
				ms = append(ms, float64(time.Since(begun).Microseconds())/1000)
			}
			t.Logf("%s: page of 50 of 3,000 learners with 520 answers each, 40 marks a learner: %s ms (goal 15)", engine, spread(ms))
		}
	})
	t.Run("backup under writes", func(t *testing.T) {
		path := storetest.SQLite(t)
		db := storetest.OpenAddress(t, path)
		s := bigClass(t, db, 64, 12)
		_, err := rawPool(t, path).ExecContext(t.Context(), `INSERT INTO event (id, workshop_id, at, who, what, about)
			WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 300000)
			SELECT 'bulk' || i, $1, i, 'p', hex(randomblob(400)), '' FROM n`, s.workshop.ID)
		require.NoError(t, err)
		done := make(chan []time.Duration)
		go func() {
			_, times := record(t, db, s, 4, 0, 8*time.Second)
			done <- times
		}()
		time.Sleep(500 * time.Millisecond)
		begun := time.Now()
		size, err := db.Backup(t.Context(), filepath.Join(t.TempDir(), "copy.db"))
		require.NoError(t, err)
		took := time.Since(begun)
		times := <-done
		t.Logf("%.0f MB in %.1f s with its check: %.0f MB/s (goal 100); worst answer meanwhile %.2f s (goal 1)",
			float64(size)/1e6, took.Seconds(), float64(size)/1e6/took.Seconds(), times[len(times)-1].Seconds())
	})
}
