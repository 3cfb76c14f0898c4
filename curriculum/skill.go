package curriculum

// Skill is one thing to be able to do, as the catalogue describes it.
type Skill struct {
	Slug  string `json:"slug"`
	Title string `json:"title"`
	// Purpose says what it is for at the machine.
	Purpose string   `json:"purpose"`
	Needs   []string `json:"needs"`
	// Rule is the right rule in words and symbols.
	Rule string `json:"rule"`
	// Wrong are the known mistakes, as formulas over the names of Rule where the
	// answer is a number.
	Wrong []WrongRule `json:"wrong"`
	// Example is one worked example.
	Example Example `json:"example"`
	// Safety marks skills whose every item must be right at the gate.
	Safety bool `json:"safety,omitempty"`
}

// Example is a worked example in lines.
type Example struct {
	Prompt string   `json:"prompt"`
	Lines  []string `json:"lines"`
	Answer string   `json:"answer"`
	// Source names where the numbers were published, or is empty.
	Source string `json:"source,omitempty"`
}
