package curriculum

import "time"

// Overrule is an instructor's decision that a verdict was wrong. It is kept for
// ever, and covers every answer of the workshop that was judged alike:
//
//   - where the verdict names an explanation (a wrong rule, a unit slip, radius for
//     diameter, the other sign), every answer to the same part of the same item
//     model and version that was explained in the same way, whatever its numbers;
//   - otherwise every answer that reads the same to the same task.
//
// Answers that come later are judged by it as well.
type Overrule struct {
	ID       string    `json:"id"`
	Workshop string    `json:"workshop"`
	By       string    `json:"by"`
	At       time.Time `json:"at"`
	// Attempt and Part are what it was decided on.
	Attempt string `json:"attempt"`
	Part    string `json:"part"`
	// Skill, Model and ModelVersion are those of the exercise.
	Skill        string `json:"skill"`
	Model        string `json:"model"`
	ModelVersion int    `json:"model_version"`
	// Was is the outcome that is overruled; With the explanation that fitted, empty
	// where none was named, and then Numbers and Read say which answer.
	Was     Outcome `json:"was"`
	With    string  `json:"with,omitempty"`
	Numbers string  `json:"numbers,omitempty"`
	Read    string  `json:"read,omitempty"`
	// To is the outcome that takes its place: Right, Rounding or Unknown.
	To     Outcome `json:"to"`
	Reason string  `json:"reason"`
}

// Remark is one answer that an overrule touched.
type Remark struct {
	Attempt  string `json:"attempt"`
	Learner  string `json:"learner"`
	Name     string `json:"name"`
	Variant  string `json:"variant"`
	Position int    `json:"position"`
	// Before and After are the marks of the attempt.
	Before int `json:"before"`
	After  int `json:"after"`
}

// NewOverrule returns the overrule of one verdict of an attempt at an exercise
// with what it covers; ids, time and reason are left to the caller.
func NewOverrule(e Exercise, a Attempt, v Verdict, to Outcome) Overrule {
	o := Overrule{Attempt: a.ID, Part: v.Part, Skill: e.Skill, Model: e.Model, ModelVersion: e.ModelVersion, Was: v.Outcome, To: to}
	if o.With = explanation(v); o.With == "" {
		o.Numbers, o.Read = a.Numbers, v.Evidence.Read
	}
	return o
}

// explanation names what a verdict explains the answer by; the earlier values
// of a learner make no other mistake of it.
func explanation(v Verdict) string {
	switch v.Outcome {
	case WrongRuleUsed:
		return v.WrongRule
	case UnitSlip, RadiusDiameter, SignOrHand:
		for _, c := range v.Evidence.Compared {
			if c.Fits {
				return c.With
			}
		}
	}
	return ""
}

// Covers reports whether the overrule is about a verdict on an exercise of its
// skill and model; numbers are the exercise's.
func (o Overrule) Covers(numbers string, v Verdict) bool {
	if v.Part != o.Part || v.Outcome != o.Was {
		return false
	}
	if o.With != "" {
		return explanation(v) == o.With
	}
	return numbers == o.Numbers && v.Evidence.Read == o.Read && explanation(v) == ""
}

// Apply returns the attempt with the verdicts that the overrule covers changed,
// and whether there were any. The evidence stays.
func (o Overrule) Apply(a Attempt) (Attempt, bool) {
	touched := false
	verdicts := make([]Verdict, len(a.Verdicts))
	for i, v := range a.Verdicts {
		if o.Covers(a.Numbers, v) {
			touched = true
			v.Overruled, v.Was = o.ID, v.Outcome
			v.Outcome, v.WrongRule, v.Charges = o.To, "", ""
			a.Marks -= v.Marks
			v.Marks = 0
			if o.To.Credit() {
				v.Marks = v.OutOf
			}
			a.Marks += v.Marks
			v.Reason = "An instructor decided: " + o.Reason
		}
		verdicts[i] = v
	}
	if touched {
		a.Verdicts = verdicts
	}
	return a, touched
}
