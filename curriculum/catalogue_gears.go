package curriculum

// gearSkills set the change gears. Names in the formulas: p leadscrew lead, r
// turns of the stud for one turn of the spindle, A and C the drivers, B and D
// the driven wheels, in the order in which they mesh.
var gearSkills = []Skill{
	{
		Slug: "gear-ratio", Title: "Change-gear ratio", Needs: []string{"tpi-pitch", "lead"},
		Purpose: "Before any wheel is chosen, the ratio says how far the leadscrew must turn while the work turns once.",
		Rule:    "drivers / driven = L / (p × r), both leads in the same unit; r is 1 where the stud turns with the spindle",
		Wrong: []WrongRule{
			{ID: "inverted", Rule: "p*r/L", Feedback: "Inverted: a longer lead must turn the leadscrew faster, so the lead stands on top."},
			{ID: "geared-for-pitch", Rule: "P/(p*r)", Feedback: "Gear for the lead; the pitch comes from indexing.", Charges: "lead"},
			{ID: "stud-left-out", Rule: "L/p", Feedback: "The stud does not turn with the spindle here: divide by its turns for each turn of the spindle."},
			{ID: "twenty-five", Rule: "L*25/(25.4*p*r)", Feedback: "25 for 25.4 makes the lead 1.6 % wrong; use exactly 25.4.", Charges: "inch-mm"},
			{ID: "train-inverted", Rule: "p*r*B/A", Feedback: "The driver is multiplied by and the driven wheel divided by, not the other way round."},
			{ID: "train-stud-left-out", Rule: "p*A/B", Feedback: "The stud does not turn with the spindle here: multiply by its turns for each turn of the spindle."},
			{ID: "wheels-only", Rule: "A/B", Feedback: "That is the ratio of the wheels; the carriage moves by the leadscrew's lead times it."},
		},
		Example: Example{
			Prompt: "A leadscrew of 2 per inch; 5 turns per inch are to be cut. What ratio?",
			Lines:  []string{"L = 1/5 in, p = 1/2 in", "L / p = 2/5, for instance 40 driving 100"}, Answer: "2/5; the screw's wheel to the spindle's is 100/40", Source: "trade books of the 19th century",
		},
	},
	{
		Slug: "gear-train", Title: "A train from the wheels on hand", Needs: []string{"inch-mm", "gear-ratio"},
		Purpose: "The wheels in the drawer decide which leads the lathe cuts; a wheel of 127 teeth joins inches and millimetres exactly.",
		Rule:    "(A × C) / (B × D) = L / (p × r); 25.4 = 127/5, so that only a wheel of 127 teeth, or a multiple, is exact between inches and millimetres",
		Wrong: []WrongRule{
			{ID: "one-pair", Rule: "p*r*A/B", Feedback: "Multiply both pairs of the train."},
			{ID: "inverted", Rule: "p*r*B*D/(A*C)", Feedback: "The drivers are multiplied by and the driven wheels divided by."},
			{ID: "stud-left-out", Rule: "p*A*C/(B*D)", Feedback: "The stud does not turn with the spindle here: its turns for each turn of the spindle belong to the ratio.", Charges: "gear-ratio"},
			{ID: "twenty-five", Rule: "p*r*A*C/(B*D)*25/25.4", Feedback: "25 for 25.4 makes the lead 1.6 % wrong; a wheel of 127 teeth makes it exact.", Charges: "inch-mm"},
			{ID: "last-inverted", Rule: "A*C*L/(p*r*B)", Feedback: "The last wheel is driven: divide the drivers by the ratio and the other driven wheel."},
			{ID: "last-one-pair", Rule: "C*p*r/L", Feedback: "Both pairs make the ratio; the first pair has changed it already."},
			{ID: "last-for-pitch", Rule: "A*C*p*r/(B*P)", Feedback: "Gear for the lead; the pitch comes from indexing.", Charges: "lead"},
			{ID: "last-stud-left-out", Rule: "A*C*p/(B*L)", Feedback: "The stud does not turn with the spindle here: its turns for each turn of the spindle belong to the ratio.", Charges: "gear-ratio"},
			{ID: "last-twenty-five", Rule: "A*C*p*r*25.4/(B*L*25)", Feedback: "25 for 25.4 asks for a wheel that makes the lead 1.6 % wrong; 25.4 is exactly 127/5.", Charges: "inch-mm"},
			{ID: "set-for-pitch", Feedback: "That set cuts the pitch; gear for the lead, and the pitch comes from indexing.", Charges: "lead"},
			{ID: "set-stud-left-out", Feedback: "That set would cut the lead if the stud turned with the spindle: its turns belong to the ratio.", Charges: "gear-ratio"},
			{ID: "set-inverted", Feedback: "That set has drivers and driven wheels changed over.", Charges: "gear-ratio"},
			{ID: "set-one-pair", Feedback: "One pair of that set makes the ratio, and the other pair spoils it."},
			{ID: "set-near", Feedback: "That set is near but not exact, and the error grows along the thread."},
		},
		Example: Example{
			Prompt: "A leadscrew of 4 per inch; 25 turns per inch are to be cut from 40, 20, 50 and 100.",
			Lines:  []string{"L / p = (1/25) / (1/4) = 4/25", "(40 × 20) / (50 × 100) = 800/5000 = 4/25"}, Answer: "40/50 × 20/100", Source: "trade books of the 19th century",
		},
	},
}

// toothSkills index by the teeth of the train. Z is the number of teeth of the
// wheel on the stud.
var toothSkills = []Skill{
	{
		Slug: "gear-tooth-index", Title: "Indexing by gear teeth", Needs: []string{"index-angle", "gear-ratio"},
		Purpose: "With the train opened and the half-nut closed, the spindle is turned on by whole teeth of the stud wheel and the train meshed again: a way to the next start that needs no slots.",
		Rule:    "teeth for each start: t = Z × r / n, which must be whole; a tooth is worth L / (Z × r) along the work",
		Wrong: []WrongRule{
			{ID: "stud-left-out", Rule: "Z/n", Feedback: "The stud does not turn with the spindle here: its wheel passes Z × r teeth in a turn of the spindle."},
			{ID: "stud-upside-down", Rule: "Z/(r*n)", Feedback: "Multiply by the stud's turns for each turn of the spindle, do not divide."},
			{ID: "gaps", Rule: "Z*r/(n-1)", Feedback: "n starts split the turn into n parts, not n − 1."},
			{ID: "whole-turn", Rule: "Z*r", Feedback: "After a whole turn of the spindle you are back in the same groove."},
			{ID: "degrees", Rule: "360/n", Feedback: "Those are degrees; here the teeth of the wheel are counted.", Charges: "index-angle"},
			{ID: "one-too-many", Rule: "k*a", Feedback: "Start 1 is at no teeth, so start k is k − 1 steps on."},
			{ID: "one-step", Rule: "a", Feedback: "That is one step; count it once for each start that is passed."},
			{ID: "rounded", Feedback: "Its teeth do not divide by the starts; a rounded count puts every next start off by part of a tooth."},
			{ID: "tooth-stud-left-out", Rule: "L/Z", Feedback: "In a turn of the spindle Z × r teeth pass, because the stud does not turn with it."},
			{ID: "tooth-of-pitch", Rule: "P/(Z*r)", Feedback: "The teeth of a whole turn share the lead, not the pitch.", Charges: "lead"},
		},
		Example: Example{
			Prompt: "A stud wheel of 60 teeth turns with the spindle. How many teeth for each start of a four-start thread?",
			Lines:  []string{"60 × 1 / 4 = 15"}, Answer: "15 teeth", Source: "arithmetic",
		},
	},
}
