package curriculum

// indexingSkills get from one start to the next. Names in the formulas: k the
// number of the start that is wanted, J stations, p leadscrew lead.
var indexingSkills = []Skill{
	{
		Slug: "axial-offset", Title: "Where the next start lies", Needs: []string{"lead", "starts-from-lead"},
		Purpose: "The slide or the carriage is shifted by this much to begin the next groove.",
		Rule:    "start k lies (k − 1) × P behind start 1; a slide moved with the travel reaches it at (n + 1 − k) × P",
		Wrong: []WrongRule{
			{ID: "whole-lead", Rule: "L", Feedback: "A whole lead drops back into the same groove."},
			{ID: "gaps", Rule: "(k-1)*L/(n-1)", Feedback: "n starts make n equal gaps, not n − 1."},
			{ID: "one-too-many", Rule: "k*P", Feedback: "Start 1 lies at zero, so start k lies k − 1 pitches on."},
			{ID: "against-travel", Rule: "(k-1)*P", Feedback: "That counts against the travel; a slide moved with the travel meets the starts in the other order."},
			{ID: "one-less", Rule: "(n-k)*P", Feedback: "Count the moves again: after n moves with the travel you would be back at start 1."},
		},
		Example: Example{
			Prompt: "A two-start thread has a lead of 1/6 in. How far on does its second start lie?",
			Lines:  []string{"P = 1/6 / 2 = 1/12 in", "start 2: (2 − 1) × 1/12 = 1/12 = 0.0833 in"}, Answer: "1/12 in; a shop reads 0.083", Source: "common practice, no source",
		},
	},
	{
		Slug: "index-angle", Title: "Turning the work to the next start", Needs: []string{"starts-from-lead"},
		Purpose: "Chuck jaws, faceplate slots and index holes turn the work by equal parts of a turn.",
		Rule:    "start k: (k − 1) × 360° / n",
		Wrong: []WrongRule{
			{ID: "by-lead", Rule: "360/L", Feedback: "Divide the turn by the number of starts, not by a length."},
			{ID: "gaps", Rule: "360/(n-1)", Feedback: "n starts split the circle into n parts."},
			{ID: "half-turn", Rule: "180/n", Feedback: "A full turn is 360°."},
			{ID: "backwards", Rule: "360-360/n", Feedback: "That is the same step turned against the rotation."},
			{ID: "one-too-many", Rule: "k*360/n", Feedback: "Start 1 stands at 0°, so start k stands k − 1 steps on."},
		},
		Example: Example{
			Prompt: "How far is the work turned from one start to the next of a three-start thread?", Lines: []string{"360° / 3 = 120°"}, Answer: "120°", Source: "arithmetic",
		},
	},
	{
		Slug: "station-index", Title: "Indexing by jaws, slots and holes", Needs: []string{"index-angle"},
		Purpose: "The dog goes into another slot, or against another jaw, for each start; not every plate serves every number of starts.",
		Rule:    "J stations serve n starts when n divides J; start k uses station 1 + (k − 1) × J / n",
		Wrong: []WrongRule{
			{ID: "gaps", Rule: "J/(n-1)", Feedback: "n starts split the circle into n parts, not n − 1."},
			{ID: "starts-as-step", Rule: "n", Feedback: "That is the number of starts; the step is the stations divided by it."},
			{ID: "difference", Rule: "J-n", Feedback: "Divide the stations by the starts, do not subtract."},
			{ID: "next-station", Feedback: "One station on is a full set of starts only where there are as many stations as starts."},
			{ID: "counted-from-step", Feedback: "Start 1 uses station 1; count the step on from there."},
			{ID: "any-holder", Feedback: "The starts must divide the stations without a remainder, or they are not equally spaced."},
		},
		Example: Example{
			Prompt: "A faceplate has six slots. Which serve three starts?", Lines: []string{"6 / 3 = 2 slots on for each start", "1, 3, 5"}, Answer: "slots 1, 3 and 5", Source: "arithmetic",
		},
	},
	{
		Slug: "pick-up", Title: "May the half-nut be opened?", Needs: []string{"gearbox-setting"},
		Purpose: "Opened in the wrong case, the next pass cuts a false groove across the good one.",
		Rule:    "b = lead / gcd(leadscrew lead, lead) paths; b = 1: close anywhere; else by a dial line that always comes back to the same start; else keep it closed",
		Wrong: []WrongRule{
			{ID: "by-pitch", Rule: "P/gcd(p, P)", Feedback: "The carriage repeats by the lead, not by the pitch.", Charges: "lead"},
			{ID: "turned-round", Rule: "p/gcd(p, L)", Feedback: "That counts leadscrew threads the wrong way round: divide the lead, not the leadscrew's."},
			{ID: "travel-by-pitch", Rule: "lcm(P, p)", Feedback: "The carriage repeats by the lead: take the lead, not the pitch.", Charges: "lead"},
			{ID: "travel-added", Rule: "L+p", Feedback: "Both must come out whole: take the least common multiple of the two, not their sum."},
			{ID: "leadscrew-threads", Rule: "lcm(L, p)/p", Feedback: "That counts the leadscrew's threads: divide the travel by the lead for the turns of the work."},
			{ID: "travel-of-one-lead", Rule: "L", Feedback: "The leadscrew must have come to a whole number of its threads as well."},
			{ID: "dial-serves-all", Feedback: "A dial line serves only where it comes back to the same start on every turn of the dial."},
			{ID: "close-anywhere", Feedback: "The half-nut may be closed anywhere only when the leadscrew's lead is a whole number of leads."},
			{ID: "never-opened", Feedback: "It may be opened here: work out how often the leadscrew meets the thread."},
		},
		Example: Example{
			Prompt: "A leadscrew of 6 mm; a thread of 3 mm lead. May the half-nut be closed anywhere?",
			Lines:  []string{"gcd(6, 3) = 3 mm", "b = 3 / 3 = 1"}, Answer: "yes, anywhere", Source: "arithmetic",
		},
	},
	{
		Slug: "thread-dial", Title: "Thread dial", Needs: []string{"pick-up"},
		Purpose: "The dial tells when the half-nut may be closed to fall into the same groove again, and which line begins the next start.",
		Rule:    "the carriage repeats every lcm(lead, leadscrew lead); only lines at multiples of that serve start 1",
		Wrong: []WrongRule{
			{ID: "by-pitch", Rule: "lcm(P, p)", Feedback: "The carriage repeats by the lead, so take the lead, not the pitch.", Charges: "lead"},
			{ID: "sum", Rule: "L+p", Feedback: "Take the least common multiple of the two, not their sum."},
			{ID: "lead-only", Rule: "L", Feedback: "The leadscrew must come round too: take the least common multiple with its lead."},
			{ID: "lines-by-pitch", Feedback: "Those lines repeat by the pitch and may fall into another start; use the lead.", Charges: "lead"},
			{ID: "every-line", Feedback: "Some of these lines fall between the grooves or into another start."},
			{ID: "start-1-line", Feedback: "That line falls into start 1 again."},
		},
		Example: Example{
			Prompt: "Leadscrew of 6 per inch. How often does a thread of 10 turns per inch catch?",
			Lines:  []string{"lead 1/10 in, leadscrew 1/6 in", "lcm(1/10, 1/6) = 1/2 in"}, Answer: "every 1/2 in of carriage travel", Source: sourceJones,
		},
	},
}

// jobSkills join what the others give. Names in the formulas: e spacing error, A
// flank angle.
var jobSkills = []Skill{
	{
		Slug: "spacing-cost", Title: "What uneven starts cost", Needs: []string{"axial-offset"},
		Purpose: "A start that lies a little off makes the nut bind unless the groove is cut wider: the fit pays for it.",
		Rule:    "a spacing error e takes e / tan(flank angle) from the pitch diameter: 1.732 e at 60°, 3.867 e at 29°, 3.732 e at 30°",
		Wrong: []WrongRule{
			{ID: "as-it-is", Rule: "e", Feedback: "Between sloping flanks an axial error needs more than itself in diameter."},
			{ID: "times-tangent", Rule: "e*tan(A)", Feedback: "Divide by the tangent of the flank angle, do not multiply."},
			{ID: "whole-angle", Rule: "e/tan(2*A)", Feedback: "Take the angle of one flank, half the angle of the thread."},
			{ID: "one-flank", Rule: "e/(2*tan(A))", Feedback: "Both sides of the thread have to give way, so the diameter pays twice that."},
		},
		Example: Example{
			Prompt: "A 60° thread, starts 0.02 mm uneven?", Lines: []string{"0.02 / tan 30° = 0.02 × 1.732"}, Answer: "0.035 mm of pitch diameter", Source: "arithmetic",
		},
	},
}
