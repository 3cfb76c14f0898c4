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
	{
		Slug: "safe-order", Title: "A safe order", Needs: []string{"run-out"}, Safety: true,
		Purpose: "The same actions in another order break the tool, spoil the thread or catch a hand: this part of the trade has no numbers and no second try.",
		Rule:    "stop, withdraw, then reverse; stop and isolate before hands go near; wind back, clear and scratch again after every index; measure before the real cut",
		Wrong: []WrongRule{
			{ID: "overrun", Feedback: "The carriage goes on by one lead in every turn: stop the spindle at the mark, or tool and carriage run into shoulder or chuck."},
			{ID: "reversed-in-cut", Feedback: "Reversed with the tool in the groove, backlash takes it off its track: it breaks or tears the thread."},
			{ID: "set-in-before-return", Feedback: "Set in before the carriage is back, the tool is dragged along the thread."},
			{ID: "set-in-reversing", Feedback: "Never feed in while the work turns backwards: let the spindle stand first, the tool beyond the work."},
			{ID: "fed-in-late", Feedback: "Fed in with the carriage already running, the tool meets the work at a depth that nobody chose."},
			{ID: "run-out-unchecked", Feedback: "Without the run-out figure the carriage may be at the shoulder before the half-nut is open."},
			{ID: "too-fast", Feedback: "Above the run-out figure the carriage cannot be stopped in the room that is left: set the speed before anything runs."},
			{ID: "no-dry-pass", Feedback: "Met for the first time with the tool in the metal, the speed of the carriage leaves no second try: run it dry first."},
			{ID: "no-scratch", Feedback: "The scratch shows a wrong lead while nothing is lost: it comes before measuring and before any real cut."},
			{ID: "measured-running", Feedback: "Rule, gauge and fingers stay away from work that turns: stop first."},
			{ID: "lead-unchecked", Feedback: "Cut before the lead was measured, a wrong gear or lever spoils the work and can jam the tool."},
			{ID: "hands-at-turning-work", Feedback: "Never reach for dog, chuck, work or wheels while they turn."},
			{ID: "not-isolated", Feedback: "With the lathe only stopped, a knock on the lever turns the spindle on your hands: isolate it first."},
			{ID: "teeth-not-marked", Feedback: "Out of mesh and unmarked, the train comes back on another tooth, and the next pass cuts a false groove."},
			{ID: "index-late", Feedback: "Clearance, starting reading and scratch are done again after every index: the work stands differently now."},
			{ID: "guard-open", Feedback: "Running with the train open draws in fingers and sleeves: mesh it and close the guard before anything turns."},
			{ID: "infeed-not-back", Feedback: "A full-depth cut on uncut metal breaks the tool or throws the work: wind the infeed back first."},
			{ID: "no-scratch-of-start", Feedback: "The scratch of the new start shows where it will lie before any metal is lost."},
			{ID: "spacing-unchecked", Feedback: "A start cut in the wrong place cannot be put back: measure its scratch before the first real pass."},
			{ID: "tool-changed-running", Feedback: "Hands go to the tool only with the spindle stopped and isolated."},
			{ID: "squared-late", Feedback: "Squared after it was brought into the groove, the tool stands beside the groove again."},
			{ID: "slack-left", Feedback: "With slack still in the train, the tool is set beside the track on which it will cut."},
			{ID: "collar-before-groove", Feedback: "The collars say nothing about the new tool until it stands in the groove."},
			{ID: "old-collar", Feedback: "The old readings belong to the old tool: the next pass would go in too deep."},
			{ID: "no-light-pass", Feedback: "A light pass shows a tool that is off the groove; at full depth it breaks there."},
		},
		Example: Example{
			Prompt: "The tool is at its mark, the half-nut must stay closed: reverse, withdraw, stop. In which order?",
			Lines:  []string{"Stop: the carriage must not run on.", "Withdraw: backlash would take the tool off its track.", "Then reverse."}, Answer: "stop, withdraw, reverse", Source: sourceJones,
		},
	},
	{
		Slug: "whole-job", Title: "A whole part", Needs: []string{"axial-offset", "collar-reading", "infeed-angle", "lead-angle", "pass-schedule", "pick-up", "run-out", "station-index"},
		Purpose: "At the lathe the numbers come one after the other, and an early slip runs through all that follows.",
		Rule:    "drawing → lead → depth and diameters → lead angle → half-nut and speed → collar → passes → next start",
		Example: Example{
			Prompt: "Three-start ISO metric external thread, 30 mm, pitch 2 mm; the cross-slide collar reads diameter; a faceplate with six slots. What is set, from first to last?",
			Lines: []string{
				"lead 3 × 2 = 6 mm", "depth 0.6134 × 2 = 1.227 mm", "pitch diameter 30 − 0.6495 × 2 = 28.70 mm", "lead angle: tan = 6 / (π × 28.70), 3.8°",
				"collar at full depth 2 × 1.227 = 2.45 mm", "start 2 lies 6 / 3 = 2 mm behind start 1, or 6 / 3 = 2 slots on",
			}, Answer: "6 mm, 1.23 mm, 28.70 mm, 3.8°, 2.45 mm, 2 mm, 2 slots", Source: "ISO 68-1 proportions; arithmetic",
		},
	},
}
