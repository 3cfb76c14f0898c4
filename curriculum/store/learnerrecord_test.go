package store_test

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/mastery"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

// beside are rows about the learner "Zoë" and about another, in tables where
// testdata/versions has none, or none that says who.
const beside = `
INSERT INTO learner (id, workshop_id, name, pin_hash, created_at) VALUES ('s2', 'w1', 'Émile', '', 1000);
INSERT INTO enrolment (class_id, learner_id, seat, created_at) VALUES ('c1', 's2', 2, 1000);
INSERT INTO variant (code, set_id, learner_id, seat, created_at) VALUES ('W2222', 't1', 's2', 2, 1000);
INSERT INTO class_set (id, class_id, spec, lathe_name, profile, seed, created_at) VALUES ('t2', 'c1', '{"title":"Practice","skills":["lead"],"count":1,"lathe":"l1","units":"mm","for":"s1"}', 'Lathe 1', '{"leadscrew":"6 mm"}', 7, 1000);
INSERT INTO variant (code, set_id, learner_id, seat, created_at) VALUES ('V0ALONE', 't2', 's1', 1, 1000);
INSERT INTO exercise (variant_code, position, skill, model, model_version, body) VALUES ('V0ALONE', 1, 'lead', 'lead/basic', 3, '{"id":"lead-2","skill":"lead","model":"lead/basic","model_version":3,"seed":4711,"units":"mm","prompt":"What is the lead?","givens":{},"margin":31.25,"parts":[{"id":"a","kind":"length","unit":"mm","accept":{"low":5.99,"high":6.01}}]}');
INSERT INTO session (token_hash, kind, subject_id, workshop_id, created_at, expires_at) VALUES ('h2', 'learner', 's1', 'w1', 1000, 9000);
INSERT INTO event (id, workshop_id, at, who, what, about) VALUES ('e2', 'w1', 1000, 'p1', 'PIN cleared', 's1');
INSERT INTO signoff_name (token, workshop_id, ref_id, name, salt, created_at) VALUES ('tok-s1', 'w1', 's1', 'Zoë', 'grain', 1000);
INSERT INTO signoff_line (workshop_id, seq, at, kind, subject, by_token, lathe_id, operation, body, prev, digest) VALUES ('w1', 2, 1000, 'check-in', 'tok-s1', 'tok', 'l1', 'threading', '{"job":"M30"}', 'd1', 'd2');
INSERT INTO keyed_request (owner, request_key, request_hash, status, location, etag, body, created_at) VALUES ('p1', 'k2', 'ab', 201, '', '', '{"learners":[{"id":"s1","name":"Zoë"},{"id":"s2","name":"Émile"}]}', 5000);
INSERT INTO work (id, workshop_id, kind, title, asked_by, role, args, state, run, tries, done, total, result, problem, created_at, started_at, beat_at, finished_at) VALUES
	('k2', 'w1', 'roster', 'Tuesday', 'p1', 'instructor', '', 'failed', 'r2', 1, 0, 0, '', 'conflict: the class already has a learner called "Zoë"', 6000, 6000, 6000, 7000);
INSERT INTO shop_session (id, class_id, begins_at, spec, plan, version, created_at, changed_at) VALUES ('ss2', 'c1', 5000,
	'{"title":"Evening","away":["s2"],"first":["s1"],"fixed":[{"learner":"s1","place":"l1"}]}',
	'{"bookings":[{"kind":"lathe","learner":"s1","place":"l1","begin":0,"end":20},{"kind":"lathe","learner":"s2","place":"l1","begin":20,"end":40}],"left":[],"unchecked":["s1"],"idle":{"learners":[{"learner":"s1","minutes":3}]}}', 1, 1000, 1000);
`

// withLearners is a database of the newest version with every table filled.
func withLearners(t *testing.T, where string) *store.DB {
	t.Helper()
	versions, err := store.Versions()
	require.NoError(t, err)
	raw := rawPool(t, where)
	bringUp(t, raw, where, versions)
	_, err = raw.ExecContext(t.Context(), beside)
	require.NoError(t, err)
	require.NoError(t, raw.Close())
	db, err := store.Open(t.Context(), where)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, db.Close()) })
	_, err = db.CompareCells(t.Context(), mastery.Fold, true, func(store.Difference) error { return nil })
	require.NoError(t, err)
	return db
}

func TestLearnerRecord(t *testing.T) {
	t.Parallel()
	for engine, address := range engines {
		t.Run(engine, func(t *testing.T) {
			t.Parallel()
			db := withLearners(t, address(t))
			record, err := db.LearnerRecord(t.Context(), "s1", at)
			require.NoError(t, err)
			assert.Equal(t, curriculum.LearnerRecordFormat, record.Format)
			for table, n := range map[string]int{
				"learner": 1, "enrolment": 1, "variant": 2, "exercise": 2, "attempt": 1, "remark": 1, "overrule": 1, "hint": 1, "mark": 1, "cell": 1, "folded": 1,
				"session": 1, "shop_job": 1, "shop_session": 1, "signoff_line": 1, "signoff_name": 1, "signoff_card": 1, "sitting": 1, "event": 1, "keyed_request": 1, "work": 1, "work_file": 1,
			} {
				assert.Len(t, record.Records[table], n, table)
			}
			for table, list := range record.Records {
				assert.NotEmpty(t, list, "%s: no row here puts it to the test", table)
			}
			all := mustJSON(t, record)
			assert.Contains(t, all, "Zoë")
			assert.Contains(t, all, `"created_at":"1970-01-01T00:00:00.001Z"`)
			assert.Contains(t, all, `"end":20}`, "the learner's own booking")
			for _, secret := range []string{"4711", "31.25", "5.99", "hash", "grain", "h2", "Émile", `"s2"`} {
				assert.NotContains(t, all, secret)
			}
			_, err = db.LearnerRecord(t.Context(), "nobody", at)
			require.ErrorIs(t, err, curriculum.ErrNotFound)
		})
	}
}

func TestEraseLearner(t *testing.T) {
	t.Parallel()
	for engine, address := range engines {
		t.Run(engine, func(t *testing.T) {
			t.Parallel()
			where := address(t)
			db := withLearners(t, where)
			learner, err := db.Learner(t.Context(), "s1")
			require.NoError(t, err)
			erased, err := db.EraseLearner(t.Context(), learner, "p1", at)
			require.NoError(t, err)
			assert.Equal(t, 2, erased.Removed["variant"])
			assert.Equal(t, 1, erased.Removed["attempt"])

			tables, err := store.Tables(t.Context(), db)
			require.NoError(t, err)
			// What may still hold the id, which now leads nowhere.
			logs := map[string]bool{"event": true}
			for table, rows := range contents(t, rawPool(t, where), tables) {
				for _, row := range rows {
					for column, value := range row {
						assert.NotContains(t, value, "Zoë", "%s.%s", table, column)
						if !logs[table] && !(table == "identity" && column == "subject") { // a subject of another service
							assert.NotContains(t, strings.Split(value, `"`), "s1", "%s.%s", table, column)
						}
					}
				}
			}
			_, err = db.Learner(t.Context(), "s1")
			require.ErrorIs(t, err, curriculum.ErrNotFound)
			_, err = db.Set(t.Context(), "t2")
			require.ErrorIs(t, err, curriculum.ErrNotFound, "a sheet drawn for this learner alone")
			lines, _, err := db.Chain(t.Context(), "w1")
			require.NoError(t, err)
			assert.Len(t, lines, 2, "nothing leaves the chain")
			assert.Equal(t, json.RawMessage(`{"job":"M30"}`), lines[1].Body)
			decisions, err := db.Overrules(t.Context(), "w1")
			require.NoError(t, err)
			assert.Len(t, decisions, 1, "a decision covers others as well")
			session, err := db.ShopSession(t.Context(), "ss2")
			require.NoError(t, err)
			assert.Equal(t, 2, session.Version)
			assert.Equal(t, []curriculum.Booking{{Kind: "lathe", Learner: "s2", Place: "l1", Begin: 20, End: 40}}, session.Plan.Bookings)
			assert.Equal(t, []string{"s2"}, session.Spec.Away)
			others, err := db.Learners(t.Context(), "c1")
			require.NoError(t, err)
			assert.Len(t, others, 1)
			report, err := db.Check(t.Context(), mastery.Fold)
			require.NoError(t, err)
			for _, fault := range report.Faults {
				assert.Contains(t, fault, "sign-offs of workshop w1", "only the lines made up here do not add up")
			}

			_, err = db.EraseLearner(t.Context(), learner, "p1", at)
			require.ErrorIs(t, err, curriculum.ErrNotFound)
		})
	}
}

// TestEveryTableIsPersonalOrNot fails for a new table of which nobody has said
// whether it is about learners.
func TestEveryTableIsPersonalOrNot(t *testing.T) {
	t.Parallel()
	db, err := store.Open(t.Context(), storetest.SQLite(t))
	require.NoError(t, err)
	defer func() { require.NoError(t, db.Close()) }()
	missing, err := store.TablesOutsideRecord(t.Context(), db)
	require.NoError(t, err)
	assert.Empty(t, missing, "put a new table into personalTables, or into notPersonal with the reason")
}
