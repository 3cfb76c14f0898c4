package curriculum

// decisionSkills settle what is done and in which order; their answers are
// choices, orders and whole jobs.
var decisionSkills = []Skill{
	{
		Slug: "choose-method", Title: "Which way to the next start", Needs: []string{"axial-offset", "station-index", "thread-dial", "spacing-cost"},
		Purpose: "Not every way of indexing reaches every start on every lathe, and not every one is even enough for the fit.",
		Rule:    "a way serves when it reaches all n starts, the machine has the room for it, and its spacing error is known and no more than the fit allows",
		Wrong: []WrongRule{
			{ID: "does-not-divide", Feedback: "The starts must divide the stations without a remainder, or the grooves are not equally spaced."},
			{ID: "false-path", Feedback: "Whole leadscrew threads do not reach every start here: another closing of the half-nut cuts a false groove."},
			{ID: "too-little-travel", Feedback: "The slide has not the travel for all moves and a reserve."},
			{ID: "teeth-not-whole", Feedback: "The teeth to let by must be a whole number."},
			{ID: "train-shut", Feedback: "The gear train of this lathe cannot be opened."},
			{ID: "too-uneven", Feedback: "It reaches every start, but less evenly than the fit allows."},
			{ID: "error-unknown", Feedback: "An error that nobody has measured is never zero, so nothing can be promised for the fit."},
		},
		Example: Example{
			Prompt: "A three-start thread of 6 mm lead, starts even within 0.005 mm: a chuck with four jaws, a faceplate with six slots good to 0.5°, or the chuck with three jaws good to 0.05°?",
			Lines: []string{
				"four jaws: 4 / 3 is not whole",
				"six slots: 6 × 0.5 / 360 = 0.0083 mm, more than 0.005 mm",
				"three jaws: 6 × 0.05 / 360 = 0.0008 mm",
			}, Answer: "the chuck with three jaws", Source: "arithmetic",
		},
	},
}
