package practice

import (
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/google/uuid"

	"halfnut/curriculum"
	"halfnut/curriculum/grade"
	"halfnut/curriculum/mastery"
)

// triesBeforeSolution is how many judged tries a learner has before the worked
// solution is due.
const triesBeforeSolution = 3

const maxAnswerText = 400

// Submission is one try at one exercise.
type Submission struct {
	// ID is chosen by the sender; sent again, it counts once.
	ID       string            `json:"id"`
	Variant  string            `json:"variant"`
	Position int               `json:"position"`
	Answers  map[string]string `json:"answers"`
	// Partial sends the answers although parts are empty: those are then wrong.
	Partial bool `json:"partial"`
}

// Result is what became of a submission.
type Result struct {
	Attempt curriculum.Attempt `json:"attempt"`
	// Due says that the learner may now see the worked solution: the exercise is
	// right, or its tries are used up.
	Due      bool               `json:"due"`
	Solution []curriculum.Lines `json:"solution,omitempty"`
	// TriesLeft counts the tries before the solution is shown.
	TriesLeft int `json:"tries_left"`
}

// Submit judges a learner's answers at once and records the try. Once the
// worked solution has been shown no more tries are taken.
func (s *Service) Submit(ctx context.Context, a Actor, sub Submission) (Result, error) {
	if a.Role != RoleLearner {
		return Result{}, fmt.Errorf("%w: learners answer here; answers from paper go in for a set", curriculum.ErrDenied)
	}
	id, err := uuid.Parse(sub.ID)
	if err != nil {
		return Result{}, &curriculum.FieldError{Path: "/id", Value: sub.ID, Reason: "not a UUID", Allowed: "a UUID made for this try"}
	}
	v, e, err := s.ownExercise(ctx, a, CleanCode(sub.Variant), sub.Position)
	if err != nil {
		return Result{}, err
	}
	before, err := s.store.AttemptsAt(ctx, v.Code, sub.Position)
	if err != nil {
		return Result{}, err
	}
	if i := slices.IndexFunc(before, func(t curriculum.Attempt) bool { return t.ID == id.String() }); i >= 0 {
		return s.result(*e, before[:i+1], a)
	}
	if due(before) {
		return Result{}, fmt.Errorf("%w: the worked solution of this exercise has been shown, so no more answers are taken", curriculum.ErrConflict)
	}
	attempt, err := s.judge(v, *e, sub.Position, sub.Answers, "")
	if err != nil {
		return Result{}, err
	}
	if empty := emptyParts(attempt); len(empty) > 0 && attempt.Judged() && !sub.Partial {
		return Result{}, &curriculum.IncompleteError{Parts: empty}
	}
	attempt.Basis.Closed = true
	overrules, err := s.store.Overrules(ctx, a.Workshop)
	if err != nil {
		return Result{}, err
	}
	attempt = decided(overrules, *e, attempt)
	attempt.ID, attempt.Source, attempt.By = id.String(), curriculum.SourceTyped, a.ID
	kept, err := s.store.RecordAttempts(ctx, []curriculum.Attempt{attempt}, mastery.Fold)
	if err != nil {
		return Result{}, err
	}
	return s.result(*e, append(before, kept[0]), a)
}

// ownExercise returns one exercise of a learner's own variant. The rest of the
// sheet is read only to say what it has instead.
func (s *Service) ownExercise(ctx context.Context, a Actor, code string, position int) (curriculum.Variant, *curriculum.Exercise, error) {
	v, e, err := s.store.VariantAt(ctx, code, position)
	switch {
	case err == nil && v.Learner != a.ID:
		return v, nil, curriculum.ErrNotFound
	case err == nil:
		return v, &e, s.inUse(ctx, a, "sheet", v.Withdrawn)
	case !errors.Is(err, curriculum.ErrNotFound):
		return v, nil, err
	}
	if v, err = s.variant(ctx, a, code); err != nil {
		return v, nil, err
	}
	at, err := exerciseAt(v, position, "")
	return v, at, err
}

// due reports whether the worked solution may be shown after these tries.
func due(tries []curriculum.Attempt) bool { return triesLeft(tries) == 0 }

func triesLeft(tries []curriculum.Attempt) int {
	left := triesBeforeSolution
	for _, t := range tries {
		switch {
		case t.Judged() && t.Marks == t.OutOf:
			return 0
		case t.Judged():
			left--
		}
	}
	return max(left, 0)
}

// result tells what became of the last of the tries; a learner who is not due
// the solution does not get the evidence, which holds the answer.
func (s *Service) result(e curriculum.Exercise, tries []curriculum.Attempt, a Actor) (Result, error) {
	r := Result{Attempt: tries[len(tries)-1], TriesLeft: triesLeft(tries)}
	r.Due = r.TriesLeft == 0
	if r.Due {
		solution, err := Solutions(e)
		if err != nil {
			return Result{}, err
		}
		r.Solution = solution
	} else if a.Role == RoleLearner {
		r.Attempt = withoutEvidence(r.Attempt)
	}
	return r, nil
}

// withoutEvidence leaves in the verdicts only what a learner may see before the
// solution is due.
func withoutEvidence(a curriculum.Attempt) curriculum.Attempt {
	a.Verdicts = curriculum.WithoutKey(a.Verdicts)
	return a
}

// Solutions returns the worked solution of every part.
func Solutions(e curriculum.Exercise) ([]curriculum.Lines, error) {
	out := make([]curriculum.Lines, len(e.Parts))
	for i, p := range e.Parts {
		lines, err := grade.Solution(e, p.ID)
		if err != nil {
			return nil, err
		}
		out[i].Part = p.ID
		for _, l := range lines {
			out[i].Lines = append(out[i].Lines, l.String())
		}
	}
	return out, nil
}

// Hint returns one rung of the hint ladder of a part of a learner's exercise. It
// is remembered that the learner has seen it: a try after a hint is no evidence
// that the skill is held.
func (s *Service) Hint(ctx context.Context, a Actor, code string, position int, part string, rung int) ([]string, error) {
	v, err := s.variant(ctx, a, CleanCode(code))
	if err != nil {
		return nil, err
	}
	e, err := exerciseAt(v, position, "")
	if err != nil {
		return nil, err
	}
	lines, err := grade.Hint(*e, part, rung)
	var out []string
	for _, l := range lines {
		out = append(out, l.String())
	}
	if err == nil && a.Role == RoleLearner {
		err = s.store.RecordHint(ctx, v.Code, position, part, rung, s.now())
	}
	return out, err
}

// Progress returns a learner's tries at each exercise of a variant, oldest
// first, with the solutions that are due.
func (s *Service) Progress(ctx context.Context, a Actor, code string) (map[int]Result, error) {
	v, err := s.variant(ctx, a, CleanCode(code))
	if err != nil {
		return nil, err
	}
	all, err := s.store.Attempts(ctx, v.Code)
	if err != nil {
		return nil, err
	}
	by := map[int][]curriculum.Attempt{}
	for _, t := range all {
		by[t.Position] = append(by[t.Position], t)
	}
	out := map[int]Result{}
	for position, tries := range by {
		if out[position], err = s.result(v.Exercises[position-1], tries, a); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func exerciseAt(v curriculum.Variant, position int, prefix string) (*curriculum.Exercise, error) {
	if position < 1 || position > len(v.Exercises) {
		return nil, &curriculum.FieldError{
			Path: prefix + "/position", Value: strconv.Itoa(position), Reason: "the sheet has no such exercise", Allowed: fmt.Sprintf("1 to %d", len(v.Exercises)),
		}
	}
	return &v.Exercises[position-1], nil
}

func (s *Service) judge(v curriculum.Variant, e curriculum.Exercise, position int, answers map[string]string, prefix string) (curriculum.Attempt, error) {
	if len(answers) == 0 {
		return curriculum.Attempt{}, &curriculum.FieldError{Path: prefix + "/answers", Reason: "nothing is answered"}
	}
	for _, part := range slices.Sorted(maps.Keys(answers)) {
		text := answers[part]
		path := prefix + "/answers/" + part
		name, _, _ := strings.Cut(part, ".")
		if e.Part(name) == nil {
			return curriculum.Attempt{}, &curriculum.FieldError{Path: prefix + "/answers", Value: part, Reason: "the exercise has no such part", Allowed: partIDs(e)}
		}
		if len(text) > maxAnswerText || !utf8.ValidString(text) {
			return curriculum.Attempt{}, &curriculum.FieldError{Path: path, Reason: "too long, or not UTF-8 text", Allowed: fmt.Sprintf("up to %d bytes", maxAnswerText)}
		}
	}
	attempt := curriculum.Attempt{
		Basis: e.BasisOf(), Variant: v.Code, Position: position, Exercise: e.ID, Learner: v.Learner, Numbers: e.Numbers(), Answers: answers, At: s.now(),
		Verdicts: grade.Mark(e, answers, grade.Practice),
	}
	for _, verdict := range attempt.Verdicts {
		attempt.Marks += verdict.Marks
		attempt.OutOf += verdict.OutOf
	}
	return attempt, nil
}

// emptyParts are the parts that nothing was written for.
func emptyParts(a curriculum.Attempt) []string {
	var out []string
	for _, v := range a.Verdicts {
		if v.Outcome == curriculum.Blank {
			out = append(out, v.Part)
		}
	}
	return out
}

func partIDs(e curriculum.Exercise) string {
	ids := make([]string, len(e.Parts))
	for i, p := range e.Parts {
		ids[i] = p.ID
	}
	return strings.Join(ids, ", ")
}

// PaperAnswer is one learner's answers to one exercise, from a sheet.
type PaperAnswer struct {
	Variant  string            `json:"variant"`
	Position int               `json:"position"`
	Answers  map[string]string `json:"answers"`
	// At says where it stood, for messages ("/answers/3", "line 4").
	At string `json:"-"`
}

// EnterPaper records answers from paper for a set, all of them or none. The same
// answers entered twice count once.
func (s *Service) EnterPaper(ctx context.Context, a Actor, set string, answers []PaperAnswer) ([]curriculum.Attempt, error) {
	if _, _, err := s.SetInUse(ctx, a, set); err != nil {
		return nil, err
	}
	variants, err := s.store.Variants(ctx, set)
	if err != nil {
		return nil, err
	}
	if len(answers) == 0 || len(answers) > maxAnswers {
		return nil, &curriculum.FieldError{Path: "/answers", Value: strconv.Itoa(len(answers)) + " answers", Allowed: fmt.Sprintf("1 to %d", maxAnswers)}
	}
	overrules, err := s.store.Overrules(ctx, a.Workshop)
	if err != nil {
		return nil, err
	}
	byCode := map[string]curriculum.Variant{}
	for _, v := range variants {
		byCode[v.Code] = v
	}
	var attempts []curriculum.Attempt
	var wrong []error
	for i, p := range answers {
		at := p.At
		if at == "" {
			at = "/answers/" + strconv.Itoa(i)
		}
		v, ok := byCode[CleanCode(p.Variant)]
		if !ok {
			wrong = append(wrong, &curriculum.FieldError{Path: at + "/variant", Value: p.Variant, Reason: "no sheet of this set has this code"})
			continue
		}
		e, err := exerciseAt(v, p.Position, at)
		if err != nil {
			wrong = append(wrong, err)
			continue
		}
		attempt, err := s.judge(v, *e, p.Position, p.Answers, at)
		if err != nil {
			wrong = append(wrong, err)
			continue
		}
		attempt = decided(overrules, *e, attempt)
		key := []string{v.Code, strconv.Itoa(p.Position)}
		for _, part := range slices.Sorted(maps.Keys(p.Answers)) {
			key = append(key, part, strings.TrimSpace(p.Answers[part]))
		}
		// What a sheet that was handed in leaves empty is empty for good.
		attempt.Basis.Closed = true
		attempt.ID, attempt.Source, attempt.By = contentID(key...), curriculum.SourcePaper, a.ID
		attempts = append(attempts, attempt)
	}
	if len(wrong) > 0 {
		return nil, errors.Join(wrong...)
	}
	return s.store.RecordAttempts(ctx, attempts, mastery.Fold)
}

// TryPaper marks answers as they are typed in from a sheet of a set; nothing is
// recorded.
func (s *Service) TryPaper(ctx context.Context, a Actor, code string, position int, answers map[string]string) ([]curriculum.Verdict, error) {
	if err := a.instructor(); err != nil {
		return nil, err
	}
	v, err := s.variant(ctx, a, CleanCode(code))
	if err != nil {
		return nil, err
	}
	e, err := exerciseAt(v, position, "")
	if err != nil {
		return nil, err
	}
	attempt, err := s.judge(v, *e, position, answers, "")
	return attempt.Verdicts, err
}

// paperColumns head an upload of answers from paper.
var paperColumns = []string{"sheet", "exercise", "part", "answer"}

// ReadPaperCSV reads answers from paper as CSV with the header
// sheet,exercise,part,answer; part may stay empty where an exercise has one.
// Every line that cannot be read is named.
func ReadPaperCSV(r io.Reader) ([]PaperAnswer, error) {
	c := csv.NewReader(r)
	c.FieldsPerRecord = -1
	c.TrimLeadingSpace = true
	var out []PaperAnswer
	var wrong []error
	index := map[string]int{}
	bad := func(line int, reason string) {
		wrong = append(wrong, &curriculum.FieldError{Path: "line " + strconv.Itoa(line), Reason: reason})
	}
	for first := true; ; first = false {
		record, err := c.Read()
		line := 0
		if len(record) > 0 {
			line, _ = c.FieldPos(0)
		}
		var parse *csv.ParseError
		switch {
		case errors.Is(err, io.EOF):
			if first {
				bad(1, "the file is empty")
			}
			return out, errors.Join(wrong...)
		case errors.As(err, &parse):
			bad(parse.Line, parse.Err.Error())
			continue
		case err != nil:
			return nil, err
		}
		if first {
			record[0] = strings.TrimPrefix(record[0], "\ufeff")
			if !slices.EqualFunc(record, paperColumns, func(got, want string) bool { return strings.EqualFold(strings.TrimSpace(got), want) }) {
				return nil, &curriculum.FieldError{Path: "line 1", Value: strings.Join(record, ","), Reason: "not the header", Allowed: strings.Join(paperColumns, ",")}
			}
			continue
		}
		if len(record) != len(paperColumns) {
			bad(line, fmt.Sprintf("has %d columns, not %d", len(record), len(paperColumns)))
			continue
		}
		position, err := strconv.Atoi(strings.TrimSpace(record[1]))
		if err != nil {
			bad(line, `exercise "`+record[1]+`" is not a number`)
			continue
		}
		part := strings.TrimSpace(record[2])
		if part == "" {
			part = "a"
		}
		code := CleanCode(record[0])
		key := code + " " + strconv.Itoa(position)
		i, ok := index[key]
		if !ok {
			i = len(out)
			index[key] = i
			out = append(out, PaperAnswer{Variant: code, Position: position, Answers: map[string]string{}, At: "line " + strconv.Itoa(line)})
		}
		if _, twice := out[i].Answers[part]; twice {
			bad(line, "answers part "+part+" a second time")
			continue
		}
		out[i].Answers[part] = record[3]
	}
}

// MarkTable is how a class stands with a set.
type MarkTable struct {
	Set   curriculum.ClassSet `json:"set"`
	Class curriculum.Class    `json:"class"`
	// OutOf are the marks of each exercise.
	OutOf []int     `json:"out_of"`
	Rows  []MarkRow `json:"rows"`
	// Next is the seat to ask for the page after this one; 0 when there is none.
	Next int `json:"next,omitempty"`
}

// MarkRow is one learner's line.
type MarkRow struct {
	Learner string `json:"learner"`
	Name    string `json:"name"`
	Seat    int    `json:"seat"`
	Variant string `json:"variant"`
	// Marks has one entry for each exercise; nil where it was not tried.
	Marks []*curriculum.Mark `json:"marks"`
	Total int                `json:"total"`
}

// ClassMarks returns the marks of a set, learners in seat order.
func (s *Service) ClassMarks(ctx context.Context, a Actor, set string) (MarkTable, error) {
	return s.ClassMarksPage(ctx, a, set, 0, maxLearners)
}

// ClassMarksPage returns the marks of up to most learners whose seat is above
// after. Next tells where the following page begins, 0 when there is none.
func (s *Service) ClassMarksPage(ctx context.Context, a Actor, set string, after, most int) (MarkTable, error) {
	if most < 1 || most > maxLearners {
		return MarkTable{}, &curriculum.FieldError{Path: "?limit", Value: strconv.Itoa(most), Allowed: fmt.Sprintf("1 to %d", maxLearners)}
	}
	if after < 0 || after > math.MaxInt32 {
		return MarkTable{}, &curriculum.FieldError{Path: "?after", Value: strconv.Itoa(after), Reason: "not a seat"}
	}
	cs, c, err := s.Set(ctx, a, set)
	if err != nil {
		return MarkTable{}, err
	}
	variants, err := s.store.Seats(ctx, set, after, most+1)
	if err != nil {
		return MarkTable{}, err
	}
	t := MarkTable{Set: cs, Class: c, OutOf: make([]int, cs.Spec.Count), Rows: []MarkRow{}}
	if len(variants) == 0 {
		return t, nil
	}
	if len(variants) > most {
		variants = variants[:most]
		t.Next = variants[most-1].Seat
	}
	// The sheets of a set ask the same skills in the same order, so one tells what
	// each exercise is worth.
	sheet, err := s.store.Variant(ctx, variants[0].Code)
	if err != nil {
		return MarkTable{}, err
	}
	for p, e := range sheet.Exercises {
		for _, part := range e.Parts {
			t.OutOf[p] += part.Marks
		}
	}
	at := map[string]int{}
	for i, v := range variants {
		at[v.Code] = i
		t.Rows = append(t.Rows, MarkRow{Learner: v.Learner, Name: v.Name, Seat: v.Seat, Variant: v.Code, Marks: make([]*curriculum.Mark, len(sheet.Exercises))})
	}
	marks, err := s.store.MarksOfSeats(ctx, set, after, variants[len(variants)-1].Seat)
	if err != nil {
		return MarkTable{}, err
	}
	for _, m := range marks {
		row := &t.Rows[at[m.Variant]]
		row.Marks[m.Position-1] = &m
		row.Total += m.Best
	}
	return t, nil
}

func isNotFound(err error) bool { return errors.Is(err, curriculum.ErrNotFound) }
