package store_test

import (
	"database/sql"
	"encoding/json"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

// eachAddress runs a test on the address of an empty database of every engine.
func eachAddress(t *testing.T, run func(t *testing.T, address string)) {
	t.Helper()
	t.Run("sqlite", func(t *testing.T) {
		t.Parallel()
		run(t, storetest.SQLite(t))
	})
	t.Run("postgres", func(t *testing.T) {
		t.Parallel()
		run(t, storetest.Postgres(t))
	})
}

// raw opens the database past the store, as somebody would who wants to change
// what was signed.
func raw(t *testing.T, address string) *sql.DB {
	t.Helper()
	driver := "sqlite"
	if strings.HasPrefix(address, "postgres") {
		driver = "pgx"
	}
	db, err := sql.Open(driver, address)
	require.NoError(t, err)
	db.SetMaxOpenConns(1)
	t.Cleanup(func() { require.NoError(t, db.Close()) })
	return db
}

func dropTriggers(t *testing.T, db *sql.DB, address string) {
	t.Helper()
	statements := []string{"DROP TRIGGER signoff_line_no_update", "DROP TRIGGER signoff_line_no_delete"}
	if strings.HasPrefix(address, "postgres") {
		statements = []string{"DROP TRIGGER signoff_line_no_change ON signoff_line", "DROP TRIGGER signoff_line_no_truncate ON signoff_line"}
	}
	for _, s := range statements {
		_, err := db.ExecContext(t.Context(), s)
		require.NoError(t, err)
	}
}

func (s shop) token(t *testing.T, db *store.DB, ref, name string) string {
	t.Helper()
	n := curriculum.SignOffName{Workshop: s.workshop.ID, Ref: ref, Name: name, Salt: "5a17", Created: at}
	n.Token = curriculum.NewToken(n.Salt, n.Ref, n.Name)
	kept, err := db.KeepSignOffName(t.Context(), n)
	require.NoError(t, err)
	require.True(t, kept.Proves())
	return kept.Token
}

func (s shop) line(i int, subject string) curriculum.Line {
	return curriculum.Line{
		Workshop: s.workshop.ID, At: at.Add(time.Duration(i) * time.Minute), Kind: "check-in", Subject: subject, By: "by", Lathe: s.lathe.ID, Operation: "turning",
		Body: json.RawMessage(fmt.Sprintf(`{"job":"Ü %d"}`, i)),
	}
}

func TestChainIsKept(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		ctx := t.Context()
		s := fill(t, db)
		lines, head, err := db.Chain(ctx, s.workshop.ID)
		require.NoError(t, err)
		assert.Empty(t, lines)
		assert.Zero(t, head.Seq)
		who := s.learners[0].ID
		token := s.token(t, db, who, "Zoë")
		assert.Equal(t, token, s.token(t, db, who, "Zoë"), "one token for one name")
		other := s.token(t, db, s.learners[1].ID, "Émile")
		for i := range 3 {
			_, err := db.AppendLine(ctx, s.line(i, token), who, int64(max(2*i-1, 0)))
			require.NoError(t, err, i)
			_, err = db.AppendLine(ctx, s.line(i, other), s.learners[1].ID, 99)
			require.NoError(t, err)
		}
		_, err = db.AppendLine(ctx, s.line(9, token), who, 3)
		require.ErrorIs(t, err, curriculum.ErrConflict, "a line about this learner came in between")
		rules := curriculum.Line{Workshop: s.workshop.ID, At: at, Kind: "settings", By: "by", Body: json.RawMessage(`{"pass_mark":90}`)}
		_, err = db.SettingsLine(ctx, s.workshop.ID)
		require.ErrorIs(t, err, curriculum.ErrNotFound)
		_, err = db.AppendLine(ctx, rules, "", 0)
		require.NoError(t, err)
		got, err := db.SettingsLine(ctx, s.workshop.ID)
		require.NoError(t, err)
		assert.Equal(t, int64(7), got.Seq)

		lines, head, err = db.Chain(ctx, s.workshop.ID)
		require.NoError(t, err)
		assert.Len(t, lines, 7)
		assert.Empty(t, curriculum.CheckChain(lines, head, head))
		end, err := db.EndOfChain(ctx, s.workshop.ID)
		require.NoError(t, err)
		assert.Equal(t, head, end)
		of, err := db.LinesOf(ctx, s.workshop.ID, who)
		require.NoError(t, err)
		assert.Equal(t, []curriculum.Line{lines[0], lines[2], lines[4]}, of)
		at, err := db.LinesAt(ctx, s.workshop.ID, s.lathe.ID)
		require.NoError(t, err)
		assert.Equal(t, lines[:6], at)

		// A person is erased; the chain stays whole and says nothing of them.
		require.NoError(t, db.ForgetSignOffName(ctx, s.workshop.ID, who, s.person.ID, time.Now()))
		again, head, err := db.Chain(ctx, s.workshop.ID)
		require.NoError(t, err)
		assert.Equal(t, lines, again)
		assert.Empty(t, curriculum.CheckChain(again, head))
		of, err = db.LinesOf(ctx, s.workshop.ID, who)
		require.NoError(t, err)
		assert.Empty(t, of)
		names, err := db.SignOffNames(ctx, s.workshop.ID)
		require.NoError(t, err)
		require.Len(t, names, 1)
		assert.Equal(t, "Émile", names[0].Name)
		assert.NotContains(t, mustJSON(t, again), who)
	})
}

// TestChainUnderLoad: several copies of the service add lines at the same time;
// the chain has one line of each, and no fork.
func TestChainUnderLoad(t *testing.T) {
	t.Parallel()
	eachAddress(t, func(t *testing.T, address string) {
		const copies, each = 3, 20
		var dbs []*store.DB
		for range copies {
			dbs = append(dbs, storetest.OpenAddress(t, address))
		}
		s := fill(t, dbs[0])
		token := s.token(t, dbs[0], s.learners[0].ID, "Zoë")
		var wg sync.WaitGroup
		for c, db := range dbs {
			for i := range each {
				wg.Go(func() {
					_, err := db.AppendLine(t.Context(), s.line(c*each+i, token), "", 0)
					assert.NoError(t, err)
				})
			}
		}
		wg.Wait()
		lines, head, err := dbs[0].Chain(t.Context(), s.workshop.ID)
		require.NoError(t, err)
		assert.Len(t, lines, copies*each)
		assert.Empty(t, curriculum.CheckChain(lines, head))
		jobs := map[string]bool{}
		for _, l := range lines {
			jobs[string(l.Body)] = true
		}
		assert.Len(t, jobs, copies*each)

		// Of those who have seen the same lines of a learner, one gets through.
		won := make(chan error, copies)
		for i, db := range dbs {
			wg.Go(func() {
				_, err := db.AppendLine(t.Context(), s.line(i, token), s.learners[0].ID, head.Seq)
				won <- err
			})
		}
		wg.Wait()
		close(won)
		through := 0
		for err := range won {
			if err == nil {
				through++
				continue
			}
			assert.ErrorIs(t, err, curriculum.ErrConflict)
		}
		assert.Equal(t, 1, through)
	})
}

func TestLinesAreOnlyAdded(t *testing.T) {
	t.Parallel()
	eachAddress(t, func(t *testing.T, address string) {
		db := storetest.OpenAddress(t, address)
		s := fill(t, db)
		for i := range 2 {
			_, err := db.AppendLine(t.Context(), s.line(i, "x"), "", 0)
			require.NoError(t, err)
		}
		r := raw(t, address)
		for _, statement := range []string{`UPDATE signoff_line SET body = '{}'`, `DELETE FROM signoff_line`, `DELETE FROM signoff_line WHERE seq = 2`} {
			_, err := r.ExecContext(t.Context(), statement)
			assert.ErrorContains(t, err, "only added", statement)
		}
	})
}

// TestTampering changes the database behind the service's back in every way, on
// both engines.
func TestTampering(t *testing.T) {
	t.Parallel()
	cases := map[string]struct {
		statements []string // $1 is the workshop
		want       string   // in the first fault
		kept       bool     // only a head kept elsewhere tells
	}{
		"body":        {[]string{`UPDATE signoff_line SET body = '{"job":"other"}' WHERE workshop_id = $1 AND seq = 3`}, "line 3: changed", false},
		"a blank":     {[]string{`UPDATE signoff_line SET body = body || ' ' WHERE workshop_id = $1 AND seq = 3`}, "line 3: changed", false},
		"time":        {[]string{`UPDATE signoff_line SET at = at + 1000 WHERE workshop_id = $1 AND seq = 3`}, "line 3: changed", false},
		"subject":     {[]string{`UPDATE signoff_line SET subject = 'y' WHERE workshop_id = $1 AND seq = 3`}, "line 3: changed", false},
		"kind":        {[]string{`UPDATE signoff_line SET kind = 'decision' WHERE workshop_id = $1 AND seq = 3`}, "line 3: changed", false},
		"who":         {[]string{`UPDATE signoff_line SET by_token = 'y' WHERE workshop_id = $1 AND seq = 3`}, "line 3: changed", false},
		"lathe":       {[]string{`UPDATE signoff_line SET lathe_id = 'y' WHERE workshop_id = $1 AND seq = 3`}, "line 3: changed", false},
		"operation":   {[]string{`UPDATE signoff_line SET operation = 'multi-start' WHERE workshop_id = $1 AND seq = 3`}, "line 3: changed", false},
		"removed":     {[]string{`DELETE FROM signoff_line WHERE workshop_id = $1 AND seq = 3`}, "line 3: removed", false},
		"closed up":   {[]string{`DELETE FROM signoff_line WHERE workshop_id = $1 AND seq = 3`, `UPDATE signoff_line SET seq = 3 WHERE workshop_id = $1 AND seq = 4`, `UPDATE signoff_line SET seq = 4 WHERE workshop_id = $1 AND seq = 5`, `UPDATE signoff_head SET seq = 4 WHERE workshop_id = $1`}, "line 3: changed or moved", false},
		"put in":      {[]string{`UPDATE signoff_line SET seq = 6 WHERE workshop_id = $1 AND seq = 5`, `INSERT INTO signoff_line SELECT workshop_id, 5, at, kind, subject, by_token, lathe_id, operation, body, 'p', digest FROM signoff_line WHERE workshop_id = $1 AND seq = 4`}, "line 5: changed or moved", false},
		"moved":       {[]string{`UPDATE signoff_line SET seq = 99 WHERE workshop_id = $1 AND seq = 2`, `UPDATE signoff_line SET seq = 2 WHERE workshop_id = $1 AND seq = 3`, `UPDATE signoff_line SET seq = 3 WHERE workshop_id = $1 AND seq = 99`}, "line 2: changed or moved", false},
		"cut off":     {[]string{`DELETE FROM signoff_line WHERE workshop_id = $1 AND seq > 3`}, "line 4: cut off", false},
		"all":         {[]string{`DELETE FROM signoff_line WHERE workshop_id = $1`}, "line 1: cut off", false},
		"no end":      {[]string{`DELETE FROM signoff_head WHERE workshop_id = $1`}, "line 5: stands after the recorded end", false},
		"end and all": {[]string{`DELETE FROM signoff_line WHERE workshop_id = $1 AND seq > 3`, `UPDATE signoff_head SET seq = 3, digest = (SELECT digest FROM signoff_line WHERE workshop_id = $1 AND seq = 3) WHERE workshop_id = $1`}, "line 5: was there when the head", true}}
	eachAddress(t, func(t *testing.T, address string) {
		ctx := t.Context()
		db := storetest.OpenAddress(t, address)
		r := raw(t, address)
		dropTriggers(t, r, address)
		for name, c := range cases {
			s := fill(t, db) // a workshop of its own
			for i := range 5 {
				_, err := db.AppendLine(ctx, s.line(i, "x"), "", 0)
				require.NoError(t, err)
			}
			lines, head, err := db.Chain(ctx, s.workshop.ID)
			require.NoError(t, err)
			require.Empty(t, curriculum.CheckChain(lines, head, head))
			printed := head
			for _, statement := range c.statements {
				_, err := r.ExecContext(ctx, statement, s.workshop.ID)
				require.NoError(t, err, statement)
			}
			lines, head, err = db.Chain(ctx, s.workshop.ID)
			require.NoError(t, err)
			faults := curriculum.CheckChain(lines, head)
			if c.kept {
				require.Empty(t, faults, name)
				faults = curriculum.CheckChain(lines, head, printed)
			}
			if assert.NotEmpty(t, faults, name) {
				assert.Contains(t, faults[0].Error(), c.want, name)
			}
		}
	})
}

func TestSittingIsKept(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		ctx := t.Context()
		s := fill(t, db)
		cut := at.Truncate(time.Millisecond)
		sitting := curriculum.Sitting{
			ID: store.NewID(), Workshop: s.workshop.ID, Kind: "theory", Learner: s.learners[0].ID, Lathe: s.lathe.ID, Operation: "turning", Supervisor: s.person.ID,
			Exercises: s.variants[0].Exercises, Opened: cut, Closes: cut.Add(time.Hour), Answers: []map[string]string{}, Verdicts: [][]curriculum.Verdict{},
		}
		token := s.token(t, db, sitting.Learner, "Zoë")
		_, err := db.OpenSitting(ctx, sitting, s.line(0, token), 0)
		require.NoError(t, err)
		got, err := db.Sitting(ctx, sitting.ID)
		require.NoError(t, err)
		assert.Equal(t, mustJSON(t, sitting), mustJSON(t, got))
		_, err = db.OpenSitting(ctx, sitting, s.line(0, token), 9)
		require.ErrorIs(t, err, curriculum.ErrConflict)
		end, err := db.EndOfChain(ctx, s.workshop.ID)
		require.NoError(t, err)
		assert.Equal(t, int64(1), end.Seq, "an act that fails leaves no line")

		sitting.HandedIn = cut.Add(time.Minute)
		sitting.Answers = []map[string]string{{"a": "6 mm"}, {}}
		sitting.Verdicts = [][]curriculum.Verdict{{{Part: "a", Outcome: curriculum.Right, Marks: 2, OutOf: 2}}, {}}
		_, err = db.HandInSitting(ctx, sitting, s.line(1, token), 9)
		require.NoError(t, err)
		_, err = db.HandInSitting(ctx, sitting, s.line(2, token), 9)
		require.ErrorIs(t, err, curriculum.ErrConflict, "once")
		got, err = db.Sitting(ctx, sitting.ID)
		require.NoError(t, err)
		assert.Equal(t, mustJSON(t, sitting), mustJSON(t, got))

		code, err := db.SignOffCard(ctx, s.workshop.ID, sitting.Learner, "ABCD2345", at)
		require.NoError(t, err)
		again, err := db.SignOffCard(ctx, s.workshop.ID, sitting.Learner, "OTHER234", at)
		require.NoError(t, err)
		assert.Equal(t, code, again)
		who, err := db.SignOffCardLearner(ctx, s.workshop.ID, code)
		require.NoError(t, err)
		assert.Equal(t, sitting.Learner, who)
		_, err = db.SignOffCardLearner(ctx, "another workshop", code)
		require.ErrorIs(t, err, curriculum.ErrNotFound)
		ls, err := db.WorkshopLearners(ctx, s.workshop.ID)
		require.NoError(t, err)
		assert.Len(t, ls, 2)

		require.NoError(t, db.ForgetSignOffName(ctx, s.workshop.ID, sitting.Learner, s.person.ID, at))
		_, err = db.Sitting(ctx, sitting.ID)
		require.ErrorIs(t, err, curriculum.ErrNotFound)
	})
}
