package store

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"halfnut/curriculum"
)

// personal is one table's part of a learner's record.
type personal struct {
	exported // where takes the learner's id as $1
	// told rewrites documents for the learner's eyes.
	told map[string]func(learner, document string) (any, error)
	// signOff says that the rows lead from the record of sign-offs to the learner;
	// they can go alone.
	signOff bool
	// stays says why erasing leaves the rows; empty removes them.
	stays string
}

const (
	ofOwnVariant = `variant_code IN (SELECT code FROM variant WHERE learner_id = $1)`
	ofOwnAttempt = `attempt_id IN (SELECT id FROM attempt WHERE learner_id = $1)`
	// Also of classes that the learner has left.
	ofOwnSession = `class_id IN (SELECT id FROM class WHERE workshop_id = (SELECT workshop_id FROM learner WHERE id = $1))
		AND (spec LIKE '%' || $1 || '%' OR plan LIKE '%' || $1 || '%')`
	idsOnly = "names nobody: the id leads nowhere once the learner is erased"
)

// personalTables is what is kept about a learner. Rows are removed in the reverse
// order, so that what refers to a row goes before it. Every table is here or in
// notPersonal; a test holds that.
var personalTables = []personal{
	{exported: exported{table: "learner", where: `id = $1`, order: `id`, hidden: []string{"pin_hash"}}},
	{exported: exported{table: "enrolment", where: `learner_id = $1`, order: `class_id`}},
	{exported: exported{table: "session", where: `kind = 'learner' AND subject_id = $1`, order: `created_at`, hidden: []string{"token_hash"}}},
	{exported: exported{table: "variant", where: `learner_id = $1`, order: `created_at, code`}},
	{exported: exported{table: "exercise", where: ofOwnVariant, order: `variant_code, position`}, told: told("body", asSeen)},
	{exported: exported{table: "attempt", where: `learner_id = $1`, order: `created_at, id`, documents: []string{"answers"}, hidden: []string{"basis"}}, told: told("verdicts", withoutKey)},
	{exported: exported{table: "remark", where: ofOwnAttempt, order: `attempt_id, number`}, told: told("verdicts", withoutKey)},
	{exported: exported{table: "overrule", where: ofOwnAttempt, order: `created_at, id`, documents: []string{"body"}},
		stays: "decides about the same answer of others; it names nobody"},
	{exported: exported{table: "hint", where: ofOwnVariant, order: `variant_code, position, part, rung`}},
	{exported: exported{table: "mark", where: ofOwnVariant, order: `variant_code, position`}},
	{exported: exported{table: "cell", where: `learner_id = $1`, order: `skill`, documents: []string{"body"}}},
	{exported: exported{table: "folded", where: `learner_id = $1`, order: `learner_id`}},
	{exported: exported{table: "shop_job", where: `learner_id = $1`, order: `class_id`, documents: []string{"body"}}},
	{exported: exported{table: "shop_session", where: ofOwnSession, order: `begins_at, id`, hidden: []string{"spec"}},
		told: told("plan", ownBookings), stays: "is of the whole class; the learner's bookings are taken out of it"},
	{exported: exported{table: "signoff_line", where: `subject IN (SELECT token FROM signoff_name WHERE ref_id = $1)`, order: `workshop_id, seq`, documents: []string{"body"}},
		stays: "the record of sign-offs is only added to; it names nobody"},
	{exported: exported{table: "signoff_name", where: `ref_id = $1`, order: `created_at, token`, hidden: []string{"salt"}}, signOff: true},
	{exported: exported{table: "signoff_card", where: `learner_id = $1`, order: `learner_id`}, signOff: true},
	{exported: exported{table: "sitting", where: `learner_id = $1`, order: `opened_at, id`, documents: []string{"answers"}}, signOff: true,
		told: map[string]func(string, string) (any, error){"exercises": allAsSeen, "verdicts": allWithoutKey}},
	// Answers kept for requests sent again may name whoever they were about.
	{exported: exported{table: "keyed_request", where: `owner = $1 OR body LIKE '%' || $1 || '%'`, order: `created_at, owner, request_key`, hidden: []string{"request_hash", "body"}}},
	// What was said of a class list may quote a name, and files hold whoever was there.
	{exported: exported{table: "work", where: `workshop_id = (SELECT workshop_id FROM learner WHERE id = $1) AND state IN ('done', 'failed')
		AND (result LIKE '%' || (SELECT name FROM learner WHERE id = $1) || '%' OR problem LIKE '%' || (SELECT name FROM learner WHERE id = $1) || '%')`,
		order: `created_at, id`, hidden: []string{"asked_by", "role", "args", "run", "result", "problem"}}},
	{exported: exported{table: "work_file", where: `work_id IN (SELECT id FROM work WHERE workshop_id = (SELECT workshop_id FROM learner WHERE id = $1))`,
		order: `work_id, number`, hidden: []string{"run", "body"}}},
	{exported: exported{table: "event", where: `who = $1 OR about = $1`, order: `at, id`}, stays: idsOnly},
}

// notPersonal are tables that hold nothing about learners, with the reason.
var notPersonal = map[string]string{
	"workshop":     "the workshop's own",
	"person":       "instructors and stewards",
	"lathe_check":  "measured at machines by instructors",
	"passphrase":   "instructors and stewards",
	"api_token":    "instructors and stewards",
	"identity":     "instructors and stewards",
	"lathe":        "machines",
	"logged_time":  "what turns at a lathe took, not whose",
	"class":        "has no learners but by enrolment",
	"class_set":    "what was asked of everybody; a sheet drawn for one learner goes with the learner",
	"course":       "the class's aims",
	"signoff_head": "where the chain ends",
	versionTable:   "the version of the schema",
}

func told(column string, tell func(learner, document string) (any, error)) map[string]func(string, string) (any, error) {
	return map[string]func(string, string) (any, error){column: tell}
}

func asSeen(_, document string) (any, error) {
	var e curriculum.Exercise
	err := json.Unmarshal([]byte(document), &e)
	return e.Public(), err
}

func allAsSeen(_, document string) (any, error) {
	var es []curriculum.Exercise
	err := json.Unmarshal([]byte(document), &es)
	for i := range es {
		es[i] = es[i].Public()
	}
	return es, err
}

func withoutKey(_, document string) (any, error) {
	var vs []curriculum.Verdict
	err := json.Unmarshal([]byte(document), &vs)
	return curriculum.WithoutKey(vs), err
}

func allWithoutKey(_, document string) (any, error) {
	var all [][]curriculum.Verdict
	err := json.Unmarshal([]byte(document), &all)
	for i := range all {
		all[i] = curriculum.WithoutKey(all[i])
	}
	return all, err
}

// ownBookings leaves of a session's plan what is about the learner.
func ownBookings(learner, document string) (any, error) {
	var plan curriculum.ShopPlan
	if err := json.Unmarshal([]byte(document), &plan); err != nil {
		return nil, err
	}
	own := struct {
		Bookings []curriculum.Booking `json:"bookings"`
		Left     []curriculum.LeftOut `json:"left"`
	}{[]curriculum.Booking{}, []curriculum.LeftOut{}}
	for _, b := range plan.Bookings {
		if b.Learner == learner {
			own.Bookings = append(own.Bookings, b)
		}
	}
	for _, l := range plan.Left {
		if l.Learner == learner {
			own.Left = append(own.Left, l)
		}
	}
	return own, nil
}

// LearnerRecord returns everything that is kept about a learner, all of one
// moment. Rows have the columns of the schema, without secrets and keys; times
// are RFC 3339.
func (db *DB) LearnerRecord(ctx context.Context, learner string, now time.Time) (curriculum.LearnerRecord, error) {
	out := curriculum.LearnerRecord{Format: curriculum.LearnerRecordFormat, Learner: learner, At: now.UTC(), Records: map[string][]json.RawMessage{}}
	err := db.snapshot(ctx, func(q querier) error {
		for _, t := range personalTables {
			list := []json.RawMessage{}
			err := t.each(ctx, q, learner, func(r recordRow) error {
				if err := t.tell(learner, &r); err != nil {
					return err
				}
				raw, err := json.Marshal(r)
				list = append(list, raw)
				return err
			})
			if err != nil {
				return fmt.Errorf("record of %s: %w", t.table, err)
			}
			out.Records[t.table] = list
		}
		if len(out.Records["learner"]) == 0 {
			return curriculum.ErrNotFound
		}
		return nil
	})
	return out, err
}

// tell writes a row for its learner: documents rewritten, times readable.
func (t personal) tell(learner string, r *recordRow) error {
	for i, c := range r.columns {
		if tell, ok := t.told[c]; ok {
			document, _ := r.values[i].(string)
			v, err := tell(learner, document)
			if err != nil {
				return fmt.Errorf("column %s: %w", c, err)
			}
			r.values[i] = v
			continue
		}
		if at, ok := r.values[i].(int64); ok && (c == "at" || strings.HasSuffix(c, "_at")) {
			r.values[i] = nil
			if at != 0 {
				r.values[i] = fromMicros(at)
			}
		}
	}
	return nil
}

// EraseLearner removes a learner with everything that names or describes that
// person, all or nothing, and counts what was removed. What stays holds ids that
// lead nowhere any more; the chain of sign-offs stays whole.
func (db *DB) EraseLearner(ctx context.Context, l curriculum.Learner, by string, now time.Time) (curriculum.Erasure, error) {
	out := curriculum.Erasure{Learner: l.ID, At: now.UTC()}
	err := db.update(ctx, func(q querier) error {
		// Sheets that were drawn for this learner alone would be left without one.
		alone, err := rows(ctx, q, scanText, `SELECT v.set_id FROM variant v WHERE v.learner_id = $1
			AND NOT EXISTS (SELECT 1 FROM variant o WHERE o.set_id = v.set_id AND o.learner_id <> $1) ORDER BY v.set_id`, l.ID)
		if err != nil {
			return err
		}
		if err := leaveSessions(ctx, q, l.ID, now); err != nil {
			return err
		}
		if err := beginWorkAnew(ctx, q, l.Workshop); err != nil {
			return err
		}
		if out.Removed, err = forget(ctx, q, l.ID, func(t personal) bool { return t.stays == "" }); err != nil {
			return err
		}
		if out.Removed["learner"] == 0 {
			return curriculum.ErrNotFound
		}
		for _, set := range alone {
			if _, err := q.ExecContext(ctx, `DELETE FROM class_set WHERE id = $1`, set); err != nil {
				return err
			}
		}
		return logEvent(ctx, q, l.Workshop, now, by, "learner erased", l.ID)
	})
	return out, err
}

// forget removes somebody's rows from the tables that are meant, and counts them.
func forget(ctx context.Context, q querier, id string, meant func(t personal) bool) (map[string]int, error) {
	removed := map[string]int{}
	for _, t := range slices.Backward(personalTables) {
		if !meant(t) {
			continue
		}
		res, err := q.ExecContext(ctx, `DELETE FROM `+t.table+` WHERE `+t.where, id)
		if err != nil {
			return nil, fmt.Errorf("erase from %s: %w", t.table, err)
		}
		n, err := res.RowsAffected()
		if err != nil {
			return nil, err
		}
		removed[t.table] = int(n)
	}
	return removed, nil
}

// leaveSessions takes a learner out of the shop sessions of all classes.
func leaveSessions(ctx context.Context, q querier, learner string, now time.Time) error {
	sessions, err := rows(ctx, q, scanShop, `SELECT `+shopColumns+` FROM shop_session WHERE `+ofOwnSession+` ORDER BY id`, learner)
	if err != nil {
		return err
	}
	return leave(ctx, q, sessions, learner, now)
}

// leave takes a learner out of sessions. A plan is not made anew by it: the others
// keep their times.
func leave(ctx context.Context, q querier, sessions []curriculum.ShopSession, learner string, now time.Time) error {
	for _, s := range sessions {
		if !s.Forget(learner) {
			continue
		}
		spec, plan, err := shopTexts(s)
		if err != nil {
			return err
		}
		if _, err := q.ExecContext(ctx, `UPDATE shop_session SET spec = $1, plan = $2, version = version + 1, changed_at = $3 WHERE id = $4`,
			spec, plan, toMicros(now), s.ID); err != nil {
			return err
		}
	}
	return nil
}
