package signoff

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"halfnut/curriculum"
)

// The states of a sign-off.
const (
	None     = "not begun"
	Training = "in training" // evidence is being gathered
	Ready    = "ready"       // all evidence is there; the instructor decides
	Signed   = "signed off"
	Lapsed   = "lapsed" // not used for too long, or a re-check was not passed
	Expired  = "expired"
	Revoked  = "revoked"
)

// State is how a learner stands with an operation on a lathe.
type State struct {
	Subject   string `json:"-"`
	Lathe     string `json:"lathe"`
	Operation string `json:"operation"`
	Status    string `json:"status"`
	// MayUse says whether the learner may use the lathe for it now, which takes
	// that this sign-off and those it needs are in force. It never means alone.
	MayUse bool `json:"may_use"`
	// Why says in one sentence why not.
	Why string `json:"why,omitempty"`
	// Until is when MayUse ends if nothing happens: by expiry or by lapse, of this
	// sign-off or of one it needs.
	Until       time.Time `json:"until,omitzero"`
	Restriction string    `json:"restriction,omitempty"`
	// SignedBy is the token of the instructor who decided, SignedLine the number of
	// that line.
	SignedBy   string    `json:"-"`
	SignedAt   time.Time `json:"signed_at,omitzero"`
	SignedLine int64     `json:"signed_line,omitempty"`
	Expires    time.Time `json:"expires,omitzero"`
	LapsesOn   time.Time `json:"lapses_on,omitzero"`
	LastUse    time.Time `json:"last_use,omitzero"`
	// Steps are what a sign-off takes, in order.
	Steps []Step `json:"steps"`
}

// Step is one thing that a sign-off takes.
type Step struct {
	Name string `json:"name"`
	Done bool   `json:"done"`
	// What says what is there or missing.
	What string `json:"what"`
}

// Record is a workshop's sign-off lines, read.
type Record struct {
	Settings Settings
	of       map[key][]event
	checkIns map[place][]event
	subjects map[string][]string // of a lathe, in the order of their first line
}

// place is a learner at a lathe, key one of their operations there.
type place struct{ subject, lathe string }

type key struct {
	place
	operation string
}

// Read reads lines in the order of Seq. The newest settings line among them
// holds; without one the defaults do. same maps tokens of one person to one of
// them; nil leaves every token by itself.
func Read(lines []curriculum.Line, same func(token string) string) (*Record, error) {
	r := &Record{Settings: DefaultSettings(), of: map[key][]event{}, checkIns: map[place][]event{}, subjects: map[string][]string{}}
	seen := map[place]bool{}
	for _, l := range lines {
		// Check-ins are most of the lines, and only their time counts here.
		e := event{Line: l}
		if l.Kind != KindCheckIn {
			var err error
			if e, err = read(l); err != nil {
				return nil, err
			}
		}
		if s, ok := e.body.(*Settings); ok {
			r.Settings = *s
			continue
		}
		if same != nil {
			e.Subject, e.By = same(e.Subject), same(e.By)
		}
		at := place{e.Subject, e.Lathe}
		r.of[key{at, e.Operation}] = append(r.of[key{at, e.Operation}], e)
		if e.Kind == KindCheckIn {
			r.checkIns[at] = append(r.checkIns[at], e)
		}
		if !seen[at] {
			seen[at] = true
			r.subjects[e.Lathe] = append(r.subjects[e.Lathe], e.Subject)
		}
	}
	return r, nil
}

// Subjects returns the learners who have lines for a lathe, in the order of
// their first line.
func (r *Record) Subjects(lathe string) []string { return slices.Clone(r.subjects[lathe]) }

// evidence is what stands in the lines of one learner, lathe and operation.
type evidence struct {
	// shown was not used for a sign-off yet and is not too old; used is what the
	// sign-off in force was granted on.
	shown, used shown
	tries       []try // of the theory
	rechecks    []try
	decision    *Decision
	decided     event
	restriction string
	revoked     *Reason
	any         bool
}

// shown is what a learner has shown.
type shown struct {
	theory         *Sat
	theoryAt       time.Time
	demonstrations []event // passed ones
	failed         int     // demonstrations not passed
	piece          *TestPiece
	pieceAt        time.Time
}

// try is one sitting: it ends when it is handed in or runs out of time.
type try struct {
	sitting        string
	opened, closes time.Time
	sat            *Sat
}

func (t try) running(now time.Time) bool { return t.sat == nil && now.Before(t.closes) }

// Sittings returns the ids of the sittings about the operation that were opened
// for the learner, on any lathe, oldest first.
func (r *Record) Sittings(subject, operation string) []string {
	var opened []event
	for k, events := range r.of {
		if k.subject != subject || k.operation != operation {
			continue
		}
		for _, e := range events {
			if _, ok := e.body.(*Opened); ok {
				opened = append(opened, e)
			}
		}
	}
	slices.SortFunc(opened, func(a, b event) int { return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.Seq, b.Seq)) })
	out := make([]string, len(opened))
	for i, e := range opened {
		out[i] = e.body.(*Opened).Sitting
	}
	return out
}

func (r *Record) evidence(subject, lathe, operation string, now time.Time) evidence {
	var v evidence
	for _, e := range r.of[key{place{subject, lathe}, operation}] {
		if e.At.After(now) {
			continue
		}
		v.any = true
		switch b := e.body.(type) {
		case *Opened:
			t := try{sitting: b.Sitting, opened: e.At, closes: fromMillis(b.Closes)}
			if e.Kind == KindRecheckOpened {
				v.rechecks = append(v.rechecks, t)
			} else {
				v.tries = append(v.tries, t)
			}
		case *Sat:
			list := v.tries
			if e.Kind == KindRecheck {
				list = v.rechecks
			}
			for i := range list {
				if list[i].sitting == b.Sitting {
					list[i].sat = b
				}
			}
			if e.Kind == KindTheory && b.Passed {
				v.shown.theory, v.shown.theoryAt = b, e.At
			}
		case *Demonstration:
			if b.Passed {
				v.shown.demonstrations = append(v.shown.demonstrations, e)
			} else {
				v.shown.failed++
			}
		case *TestPiece:
			v.shown.piece, v.shown.pieceAt = b, e.At // the newest piece is the one that counts
		case *Decision:
			if b.Granted {
				// A sign-off uses its evidence up: the next one takes new.
				v.used, v.shown = v.shown, shown{}
				v.decision, v.decided, v.restriction, v.revoked = b, e, b.Restriction, nil
			}
		case *Reason:
			if e.Kind == KindRestriction {
				v.restriction = b.Restriction
				break
			}
			// What was shown before an unsafe act does not count after it.
			v = evidence{revoked: b, any: true, tries: v.tries, rechecks: v.rechecks}
		}
	}
	v.shown = v.shown.since(r.Settings.oldest(now))
	return v
}

// since leaves out what is older than t.
func (v shown) since(t time.Time) shown {
	if v.theoryAt.Before(t) {
		v.theory = nil
	}
	v.demonstrations = slices.DeleteFunc(slices.Clone(v.demonstrations), func(e event) bool { return e.At.Before(t) })
	if v.pieceAt.Before(t) {
		v.piece = nil
	}
	return v
}

// lastUse is the last time the operation was practised on the lathe: a check-in
// for it or for one that builds on it, a re-check passed, or the decision.
func (r *Record) lastUse(subject, lathe, operation string, v evidence, now time.Time) time.Time {
	last := v.decided.At
	for _, e := range r.checkIns[place{subject, lathe}] {
		if practises(e.Operation, operation) && e.At.After(last) && !e.At.After(now) {
			last = e.At
		}
	}
	for _, t := range v.rechecks {
		if t.sat != nil && t.sat.Passed && t.opened.After(last) {
			last = t.opened
		}
	}
	return last
}

// State works out how a learner stands at now.
func (r *Record) State(subject, lathe, operation string, now time.Time) State {
	o := operationOf(operation)
	s := State{Subject: subject, Lathe: lathe, Operation: operation, Status: None, Steps: []Step{}}
	if o == nil {
		s.Why = "there is no such operation"
		return s
	}
	v := r.evidence(subject, lathe, operation, now)
	var ready bool
	s.Steps, ready = r.steps(subject, lathe, o, v.shown, v.tries, now)
	switch {
	case v.revoked != nil:
		s.Status, s.Why = Revoked, "revoked: "+v.revoked.Reason
	case v.decision != nil:
		r.signed(&s, v, now)
		if s.Status != Expired {
			s.Steps, _ = r.steps(subject, lathe, o, v.used, nil, now)
		}
	case ready:
		s.Status, s.Why = Ready, "the instructor has not decided yet"
	case v.any:
		s.Status, s.Why = Training, "not signed off yet"
	default:
		s.Why = "not signed off"
	}
	s.MayUse = s.Status == Signed
	if s.MayUse {
		s.Until = earlier(s.Expires, s.LapsesOn)
		for _, need := range o.Needs {
			n := r.State(subject, lathe, need, now)
			if !n.MayUse {
				s.MayUse = false
				s.Why = strings.ToLower(titleOf(need)) + " on this lathe is " + n.Status
				s.Until = time.Time{}
				break
			}
			s.Until = earlier(s.Until, n.Until)
			if n.Restriction != "" && !strings.Contains(s.Restriction, n.Restriction) {
				s.Restriction = strings.TrimPrefix(s.Restriction+"; "+n.Restriction, "; ")
			}
		}
	}
	return s
}

// Barred returns the revocation that keeps a learner from an operation on a lathe:
// of the operation itself, or of one that it needs.
func (r *Record) Barred(subject, lathe, operation string, now time.Time) (State, bool) {
	o := operationOf(operation)
	if o == nil {
		return State{}, false
	}
	for _, slug := range append([]string{operation}, o.Needs...) {
		if s := r.State(subject, lathe, slug, now); s.Status == Revoked {
			return s, true
		}
	}
	return State{}, false
}

// signed works out what became of a sign-off that was granted.
func (r *Record) signed(s *State, v evidence, now time.Time) {
	s.SignedBy, s.SignedAt, s.SignedLine = v.decided.By, v.decided.At, v.decided.Seq
	s.Expires = fromMillis(v.decision.Expires)
	s.LastUse = r.lastUse(s.Subject, s.Lathe, s.Operation, v, now)
	s.LapsesOn = s.LastUse.Add(r.Settings.lapse())
	s.Restriction = v.restriction
	failed := false // the last re-check since the decision, if it is over and was not passed
	for _, t := range v.rechecks {
		if t.opened.After(v.decided.At) && !t.running(now) {
			failed = t.sat == nil || !t.sat.Passed
		}
	}
	switch {
	case !now.Before(s.Expires):
		s.Status, s.Why = Expired, "ran out on "+r.Settings.Day(s.Expires)
	case failed:
		s.Status, s.Why = Lapsed, "the last re-check was not passed; another can be taken after a pause"
	case !now.Before(s.LapsesOn):
		s.Status, s.Why = Lapsed, fmt.Sprintf("not used since %s; a re-check of %d items brings it back", r.Settings.Day(s.LastUse), RecheckItems)
	default:
		s.Status = Signed
	}
}

// RecheckItems is how many cold items a re-check has.
const RecheckItems = 3

// steps lists what a sign-off takes and reports whether all of it is there.
func (r *Record) steps(subject, lathe string, o *Operation, v shown, tries []try, now time.Time) (steps []Step, ready bool) {
	ready = true
	add := func(name string, done bool, what string) {
		steps = append(steps, Step{name, done, what})
		ready = ready && done
	}
	for _, need := range o.Needs {
		n := r.State(subject, lathe, need, now)
		add(titleOf(need), n.MayUse, n.Status)
	}
	what := "not taken yet"
	if n := len(tries); n > 0 {
		switch last := tries[n-1]; {
		case last.running(now):
			what = "a sitting is open until " + last.closes.In(r.Settings.location()).Format("15:04")
		case last.sat == nil:
			what = "the last sitting was not handed in; next try from " + r.stamp(last.opened.Add(r.Settings.wait()))
		default:
			what = fmt.Sprintf("%d of %d marks on %s, not passed; next try from %s", last.sat.Marks, last.sat.OutOf, r.Settings.Day(last.opened), r.stamp(last.opened.Add(r.Settings.wait())))
		}
	}
	if v.theory != nil {
		what = fmt.Sprintf("%d of %d marks on %s", v.theory.Marks, v.theory.OutOf, r.Settings.Day(v.theoryAt))
	}
	add("Theory", v.theory != nil, what)
	add("Demonstrations", r.twice(v), r.twiceText(v))
	switch {
	case v.piece == nil:
		add("Test piece", false, "not measured yet")
	case v.piece.Accepted:
		add("Test piece", true, "accepted on "+r.Settings.Day(v.pieceAt))
	case slices.ContainsFunc(v.piece.Measures, func(m Measure) bool { return m.Result == Outside }):
		add("Test piece", false, "outside its limits on "+r.Settings.Day(v.pieceAt))
	default:
		add("Test piece", false, "too close to a limit to tell: measure again")
	}
	return steps, ready
}

func (r *Record) stamp(t time.Time) string {
	return t.In(r.Settings.location()).Format("2006-01-02 15:04")
}

// twice reports whether two demonstrations on different days are there, of two
// witnesses where the workshop asks for that.
func (r *Record) twice(v shown) bool {
	for i, a := range v.demonstrations {
		for _, b := range v.demonstrations[:i] {
			if r.Settings.Day(a.At) != r.Settings.Day(b.At) && (!r.Settings.SecondWitness || a.By != b.By) {
				return true
			}
		}
	}
	return false
}

func (r *Record) twiceText(v shown) string {
	days := map[string]bool{}
	for _, d := range v.demonstrations {
		days[r.Settings.Day(d.At)] = true
	}
	text := fmt.Sprintf("%d of 2 days", min(len(days), 2))
	if r.Settings.SecondWitness && len(days) >= 2 && !r.twice(v) {
		text += "; the second must be witnessed by somebody else"
	}
	if v.failed > 0 {
		text += ", " + times(v.failed, "demonstration", "demonstrations") + " not passed"
	}
	return text
}

// titleOf returns an operation's title.
func titleOf(slug string) string {
	if o := operationOf(slug); o != nil {
		return o.Title
	}
	return slug
}

func earlier(a, b time.Time) time.Time {
	if b.Before(a) {
		return b
	}
	return a
}
