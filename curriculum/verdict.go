package curriculum

import "slices"

// Outcome is what became of an answer.
type Outcome string

// The outcomes, in the order in which they are tried.
const (
	Right          Outcome = "right"
	Rounding       Outcome = "rounding"
	FollowThrough  Outcome = "follow-through"
	UnitSlip       Outcome = "unit-slip"
	RadiusDiameter Outcome = "radius-diameter"
	SignOrHand     Outcome = "sign-or-hand"
	WrongRuleUsed  Outcome = "wrong-rule"
	Unknown        Outcome = "unknown"
	// Blank, Unreadable and AskBack cost no try: nothing was judged.
	Blank      Outcome = "blank"
	Unreadable Outcome = "unreadable"
	AskBack    Outcome = "ask-back"
)

// Judged reports whether the answer counts as a try.
func (o Outcome) Judged() bool { return o != Blank && o != Unreadable && o != AskBack }

// Credit reports whether the outcome is evidence that the skill is held.
func (o Outcome) Credit() bool { return o == Right || o == Rounding || o == FollowThrough }

// Verdict is the judgement of one part, with what it was judged by.
type Verdict struct {
	Part    string  `json:"part"`
	Skill   string  `json:"skill"`
	Outcome Outcome `json:"outcome"`
	Marks   int     `json:"marks"`
	OutOf   int     `json:"out_of"`
	// Reason is one sentence for the learner; never only "wrong".
	Reason string `json:"reason"`
	// WrongRule is the id of the rule that gives the learner's value, and Charges
	// the skill it belongs to, where that is another.
	WrongRule string `json:"wrong_rule,omitempty"`
	Charges   string `json:"charges,omitempty"`
	// Options counts the answers that there were to choose from; 0 where the answer
	// was typed.
	Options int `json:"options,omitempty"`
	// Overruled is the id of the overrule that this verdict follows, and Was the
	// outcome before.
	Overruled string   `json:"overruled,omitempty"`
	Was       Outcome  `json:"was,omitempty"`
	Evidence  Evidence `json:"evidence"`
}

// Evidence keeps what was compared with what, so that a person can overrule it.
// It holds the answer: instructors only until the learner is due it.
type Evidence struct {
	Given    string       `json:"given"`
	Read     string       `json:"read,omitempty"`
	Expected string       `json:"expected,omitempty"`
	Accept   *Band        `json:"accept,omitempty"`
	Compared []Comparison `json:"compared,omitempty"`
}

// Comparison is one explanation that was tried.
type Comparison struct {
	With  string  `json:"with"`
	Value float64 `json:"value"`
	Fits  bool    `json:"fits"`
}

// WithoutKey returns the verdicts with what a learner may see before the solution
// is due: of the evidence only what was given and how it was read.
func WithoutKey(vs []Verdict) []Verdict {
	out := slices.Clone(vs)
	for i := range out {
		out[i].Evidence = Evidence{Given: out[i].Evidence.Given, Read: out[i].Evidence.Read}
	}
	return out
}
