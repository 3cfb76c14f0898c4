package curriculum

// basicSkills read a thread and turn its numbers into what a lathe is set to.
// Names in the formulas: N threads per inch, P pitch, L lead, n starts, x the
// number that is given, d diameter, p leadscrew lead.
var basicSkills = []Skill{
	{
		Slug: "designation", Title: "Read a thread designation",
		Purpose: "The drawing says M24xPh6P2 or Tr 40x14 P7: everything that is set at the lathe starts from its lead, pitch and number of starts.",
		Rule:    "After x stands the lead; P names the pitch; starts = lead / pitch. With one number only, lead and pitch are the same. In inches: size, threads per inch N, and the starts n by number; P = 1 / N, L = n / N.",
		Wrong: []WrongRule{
			{ID: "lead-as-pitch", Rule: "L", Feedback: "The first number after x is the lead; P names the pitch."},
			{ID: "pitch-as-lead", Rule: "P", Feedback: "P names the pitch; the lead is the number after x."},
			{ID: "starts-as-pitch", Rule: "P", Feedback: "Starts are lead divided by pitch, not the pitch itself."},
			{ID: "diameter-as-lead", Rule: "d", Feedback: "The number before x is the diameter."},
			{ID: "threads-as-lead", Rule: "1/(n*N)", Feedback: "The threads per inch count every groove, so one inch divided by them is the pitch already."},
			{ID: "threads-as-pitch", Rule: "N", Feedback: "That counts threads per inch; one pitch is an inch divided by it."},
			{ID: "one-groove", Rule: "P", Feedback: "That is one groove; the lead is the pitch times the number of starts."},
			{ID: "shared", Rule: "P/n", Feedback: "Several starts make the lead longer than the pitch, not shorter."},
			{ID: "turns-as-threads", Rule: "N", Feedback: "That counts grooves; a turn passes all starts at once."},
			{ID: "turns-multiplied", Rule: "N*n", Feedback: "A longer lead needs fewer turns for an inch: divide by the starts."},
		},
		Example: Example{
			Prompt: "Read Tr 40x14 P7.",
			Lines:  []string{"Diameter 40 mm.", "Lead 14 mm, the number after x.", "Pitch 7 mm, the number after P.", "Starts: 14 / 7 = 2."},
			Answer: "two starts",
		},
	},
	{
		Slug: "fractions", Title: "Fractions into thousandths",
		Purpose: "Drawings and rules give inch sizes as fractions; collars and micrometers read decimals.",
		Rule:    "decimal = whole + top / bottom",
		Wrong: []WrongRule{
			{ID: "run-together", Rule: "w + (a*10^2 + b)/10^3", Feedback: "Divide the top by the bottom before adding it to the whole number."},
			{ID: "upside-down", Rule: "w + b/a", Feedback: "The top is divided by the bottom."},
			{ID: "whole-lost", Rule: "a/b", Feedback: "The whole inches belong to the size as well."},
			{ID: "hundredths", Rule: "round(100*x)", Feedback: "Those are hundredths; an inch has 64 sixty-fourths, so multiply by 64."},
			{ID: "thirty-seconds", Rule: "round(32*x)", Feedback: "Those are thirty-seconds; multiply by 64 for sixty-fourths."},
		},
		Example: Example{
			Prompt: "Write 1 3/64 in as a decimal.", Lines: []string{"3 / 64 = 0.046875", "1 + 0.046875 = 1.046875"}, Answer: "1.047 in to the nearest thousandth",
		},
	},
	{
		Slug: "inch-mm", Title: "Inches and millimetres", Needs: []string{"fractions"},
		Purpose: "An inch thread is measured with a metric micrometer, or a metric one cut on an inch lathe.",
		Rule:    "mm = 25.4 × in, exactly; in = mm / 25.4",
		Wrong: []WrongRule{
			{ID: "divided", Rule: "x/25.4", Feedback: "Millimetres are smaller, so the number of millimetres must be the larger: multiply."},
			{ID: "multiplied", Rule: "x*25.4", Feedback: "Inches are larger, so the number of inches must be the smaller: divide."},
			{ID: "twenty-five", Rule: "25*x", Feedback: "25 is a memory aid; use exactly 25.4."},
			{ID: "by-twenty-five", Rule: "x/25", Feedback: "25 is a memory aid; use exactly 25.4."},
		},
		Example: Example{
			Prompt: "How many millimetres are 0.375 in?", Lines: []string{"0.375 × 25.4 = 9.525"}, Answer: "9.525 mm",
			Source: "1 in = 25.4 mm exactly: international yard and pound agreement, 1959",
		},
	},
	{
		Slug: "tpi-pitch", Title: "Threads per inch and pitch", Needs: []string{"fractions", "inch-mm"},
		Purpose: "Gauges and gearboxes count threads per inch; depth and spacing need the pitch.",
		Rule:    "P = 1 / N in = 25.4 / N mm",
		Wrong: []WrongRule{
			{ID: "inverted", Rule: "N/25.4", Feedback: "You inverted it: more threads per inch mean a smaller pitch."},
			{ID: "inch-as-mm", Rule: "1/N", Feedback: "One over the threads per inch is in inches; times 25.4 makes it millimetres."},
			{ID: "twenty-five", Rule: "25/N", Feedback: "25 is a memory aid; use exactly 25.4."},
			{ID: "whole-inch", Rule: "N", Feedback: "That is how many pitches make an inch; one pitch is an inch divided by it."},
			{ID: "inverted-back", Rule: "P/25.4", Feedback: "You inverted it: the smaller the pitch, the more threads fit into an inch."},
			{ID: "one-over-mm", Rule: "1/P", Feedback: "That is threads per millimetre; an inch holds 25.4 times as many."},
			{ID: "twenty-five-back", Rule: "25/P", Feedback: "25 is a memory aid; use exactly 25.4."},
			{ID: "mm-as-inch", Rule: "25.4/N", Feedback: "That is the pitch in millimetres; in inches it is one divided by the threads per inch."},
			{ID: "mm-back", Rule: "round(25.4/P)", Feedback: "The pitch is in inches already: divide one by it, not 25.4."},
			{ID: "nine-gaps", Rule: "round(9/m)", Feedback: "From the first groove to the eleventh are ten pitches, not nine."},
		},
		Example: Example{
			Prompt: "What is the pitch of 8 threads per inch?", Lines: []string{"1 / 8 = 0.125 in", "25.4 / 8 = 3.175 mm"}, Answer: "0.125 in, 3.175 mm",
		},
	},
	{
		Slug: "lead", Title: "Lead", Needs: []string{"designation"},
		Purpose: "The carriage must travel one lead in one turn of the work: the gears are set for it.",
		Rule:    "L = n × P",
		Wrong: []WrongRule{
			{ID: "pitch-for-lead", Rule: "P", Feedback: "That is one groove; the nut advances past all n grooves in a turn."},
			{ID: "divided", Rule: "P/n", Feedback: "More starts make the lead longer, not shorter."},
			{ID: "added", Rule: "n+P", Feedback: "Multiply starts and pitch, do not add them."},
		},
		Example: Example{
			Prompt: "A double thread has 8 threads per inch. What is its lead?",
			Lines:  []string{"P = 1 / 8 = 0.125 in", "L = 2 × 0.125 = 0.250 in"}, Answer: "1/4 in; the lathe is geared for 4 turns per inch", Source: sourceTM1420,
		},
	},
	{
		Slug: "starts-from-lead", Title: "Starts and pitch from the lead", Needs: []string{"lead"},
		Purpose: "A worn part shows its lead with a rule and its pitch with a gauge; together they tell how many grooves to cut.",
		Rule:    "n = L / P and P = L / n",
		Wrong: []WrongRule{
			{ID: "inverted", Rule: "P/L", Feedback: "The lead is the longer one, so put it on top."},
			{ID: "difference", Rule: "L-P", Feedback: "Starts are a ratio, not a difference."},
			{ID: "lead-for-pitch", Rule: "L", Feedback: "That is the lead; the pitch is one groove of it."},
			{ID: "multiplied", Rule: "L*n", Feedback: "The starts share the lead between them: divide."},
			{ID: "starts-on-top", Rule: "n/L", Feedback: "The lead is divided by the starts, not the starts by the lead."},
		},
		Example: Example{
			Prompt: "A double thread has a lead of 1/2 in. What is its pitch?", Lines: []string{"P = 1/2 / 2 = 1/4 in"}, Answer: "0.25 in", Source: sourceJones,
		},
	},
	{
		Slug: "gearbox-setting", Title: "Gearbox setting", Needs: []string{"tpi-pitch", "lead"},
		Purpose: "The gearbox is set to the lead, as turns per inch or as millimetres per turn, never to the grooves that a gauge counts.",
		Rule:    "turns per inch = N / n; metric: setting = n × P",
		Wrong: []WrongRule{
			{ID: "grooves", Rule: "N", Feedback: "The gearbox must make the lead, so divide the grooves per inch by the starts."},
			{ID: "multiplied", Rule: "N*n", Feedback: "Multiplying gives a finer feed; a multi-start thread needs a coarser one."},
			{ID: "pitch-set", Rule: "P", Feedback: "The gearbox must make the lead: all starts, not one groove."},
			{ID: "divided", Rule: "P/n", Feedback: "More starts need a coarser setting, not a finer one."},
		},
		Example: Example{
			Prompt: "A two-start thread has 8 grooves per inch. What is the gearbox set to?", Lines: []string{"8 / 2 = 4"}, Answer: "4 turns per inch", Source: sourceTM1420,
		},
	},
}
