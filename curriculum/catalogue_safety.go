package curriculum

// safetySkills ask about the situations of the bank, one skill for each operation
// that is signed off; their mistakes are the bank's wrong actions.
var safetySkills = []Skill{
	{
		Slug: SafeTurning, Title: "Safe at the lathe", Needs: []string{}, Safety: true,
		Purpose: "Most of what has killed people at lathes needs no calculation to avoid: clothes, hands, bar ends, keys, and nobody there to stop the spindle.",
		Rule:    "nothing loose near what turns; stop, wait until it stands, isolate, then reach; hold, support and guard the work; know the stop; never alone",
		Wrong:   temptations(SafeTurning),
		Example: Example{
			Prompt: "Long chips turn with the work. Which is right: pull them off with gloves, with the hook at low speed, or with the hook when the spindle stands?",
			Lines:  []string{"gloves are caught whole, with the hand in them", "a hook that is caught takes the hand round", "what stands catches nothing"}, Answer: "with the hook, when the spindle stands", Source: sourceWI,
		},
	},
	{
		Slug: SafeThreading, Title: "Safe threading", Needs: []string{}, Safety: true,
		Purpose: "A thread drives the carriage many times faster than a feed does, towards a shoulder or the chuck, and both hands are taken.",
		Rule:    "run-out before speed; groove, or a mark at which the tool is withdrawn; dry passes; in front of a groove stop, withdraw, reverse; nothing is forced; hands at lever and cross-slide",
		Wrong:   temptations(SafeThreading),
		Example: Example{
			Prompt: "The half-nut stays closed and the tool is in the groove in front of the shoulder: withdraw first, or stop first?",
			Lines:  []string{"while the hand winds, the carriage goes on by a lead in every turn", "in the groove the tool harms nothing"}, Answer: "stop, withdraw, then reverse", Source: sourceJones,
		},
	},
	{
		Slug: SafeMultiStart, Title: "Safe from start to start", Needs: []string{}, Safety: true,
		Purpose: "Each new start begins on uncut metal in a set-up that has just been changed: what was safe for the last pass is not safe for the next.",
		Rule:    "stop, withdraw and isolate before indexing; wind the infeed back; look that all clears; scratch and measure before cutting; leave train and dial alone until the last start is done",
		Wrong:   temptations(SafeMultiStart),
		Example: Example{
			Prompt: "Start 1 is at depth and the work is turned on: at which reading does start 2 begin?",
			Lines:  []string{"start 2 meets uncut metal", "a full-depth cut there breaks the tool or throws the work"}, Answer: "at the starting reading of start 1", Source: CommonPractice,
		},
	},
}
