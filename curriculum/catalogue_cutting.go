package curriculum

// cuttingSkills size the thread and feed the tool. Names in the formulas: h
// single depth, K the form's constant, A infeed angle from the cross-slide, c
// travel of the slide.
var cuttingSkills = []Skill{
	{
		Slug: "depth-60", Title: "Depth of a 60° thread", Needs: []string{"tpi-pitch"},
		Purpose: "How deep the tool goes; it depends on the spacing of the grooves, whatever the number of starts.",
		Rule:    "h = K × P; ISO metric and Unified external K = 0.6134, internal 0.5413; American National 0.6495",
		Wrong: []WrongRule{
			{ID: "lead-for-pitch", Rule: "K*n*P", Feedback: "Depth follows the spacing of the grooves, the pitch; with the lead you cut n times too deep."},
			{ID: "sharp-v", Rule: "sqrt(3)/2*P", Feedback: "That is the sharp V, before the flats or the radius at the root."},
			{ID: "internal-height", Rule: "5*sqrt(3)/16*P", Feedback: "That is the height of the internal thread."},
			{ID: "external-height", Rule: "17*sqrt(3)/48*P", Feedback: "That is the depth of the external thread."},
			{ID: "divided", Rule: "P/K", Feedback: "The depth is less than the pitch: multiply by the constant."},
		},
		Example: Example{
			Prompt: "A two-start American National thread has 12 grooves per inch. How deep is it?",
			Lines:  []string{"P = 1 / 12 = 0.0833 in", "h = 0.6495 × 0.0833 = 0.0541 in"}, Answer: "0.054 in", Source: "common practice, no source",
		},
	},
	{
		Slug: "infeed-angle", Title: "Travel along the compound slide", Needs: []string{"depth-60"},
		Purpose: "With the compound slide swung to the infeed angle, its collar is read along the slanted path, which is longer than the depth.",
		Rule:    "c = h / cos A, with A measured from the cross-slide",
		Wrong: []WrongRule{
			{ID: "multiplied", Rule: "h*cos(A)", Feedback: "The slanted path is longer than the depth: divide by the cosine."},
			{ID: "sine", Rule: "h/sin(A)", Feedback: "The angle is measured from the cross-slide's line, so the cosine belongs here."},
			{ID: "straight", Rule: "h", Feedback: "Only a straight plunge with the cross-slide equals the depth."},
			{ID: "lead-for-pitch", Rule: "K*n*P/cos(A)", Feedback: "Depth follows the pitch; with the lead you cut n times too deep.", Charges: "depth-60"},
		},
		Example: Example{
			Prompt: "8 threads per inch, American National, compound at 29°. How far does the slide travel?",
			Lines:  []string{"h = 0.6495 / 8 = 0.0812 in", "c = 0.0812 / cos 29° = 0.0928 in"}, Answer: "0.093 in", Source: "workshop threading reference table, depth at 29°: 0.0928 in",
		},
	},
	{
		Slug: "depth-trapezoidal", Title: "Depth of Acme and trapezoidal threads", Needs: []string{"tpi-pitch"},
		Purpose: "These forms bind on their crests unless the groove is deeper than half the pitch by a clearance.",
		Rule:    "h = P / 2 + c; c is 0.010 in (Acme, 10 per inch and coarser) or 0.005 in, or a_c of the metric table",
		Wrong: []WrongRule{
			{ID: "no-clearance", Rule: "P/2", Feedback: "Add the root clearance, or the nut binds."},
			{ID: "lead-for-pitch", Rule: "n*P/2 + c", Feedback: "Depth follows the pitch, the spacing of the grooves; not the lead."},
			{ID: "both-sides", Rule: "P + 2*c", Feedback: "That is what the diameter loses; the depth is one side of it."},
			{ID: "clearance-twice", Rule: "P/2 + 2*c", Feedback: "The clearance is added once to the depth of one thread."},
		},
		Example: Example{
			Prompt: "An Acme thread has 5 per inch. How deep is its groove?", Lines: []string{"P / 2 = 0.2 / 2 = 0.100 in", "h = 0.100 + 0.010 = 0.110 in"},
			Answer: "0.110 in", Source: "rule of depth: " + sourceJones,
		},
	},
	{
		Slug: "diameters", Title: "Minor and pitch diameter", Needs: []string{"depth-60"},
		Purpose: "The core that is left decides whether the work is strong enough; the pitch diameter decides the fit.",
		Rule:    "minor diameter = d − 2 × h; pitch diameter = d − 0.6495 × P",
		Wrong: []WrongRule{
			{ID: "one-side", Rule: "d - K*P", Feedback: "Depth is taken off both sides of the diameter."},
			{ID: "lead-for-pitch", Rule: "d - 2*K*n*P", Feedback: "Use the pitch, not the lead."},
			{ID: "sharp-v", Rule: "d - sqrt(3)*P", Feedback: "That takes the depth of the sharp V; this form has flats or a radius."},
			{ID: "added", Rule: "d + 2*K*P", Feedback: "The groove goes into the metal: the minor diameter is the smaller one."},
			{ID: "minor-for-pitch", Rule: "d - 2*K*P", Feedback: "That is the minor diameter; the pitch diameter lies half-way down the triangle, d − 0.6495 P."},
			{ID: "pitch-lead", Rule: "d - 3*sqrt(3)/8*n*P", Feedback: "Use the pitch, not the lead."},
		},
		Example: Example{
			Prompt: "M24xPh6P2: what are its minor and pitch diameter?", Lines: []string{"24 − 1.2269 × 2 = 21.546 mm", "24 − 0.6495 × 2 = 22.701 mm"}, Answer: "21.55 mm and 22.70 mm", Source: "ISO 68-1 proportions",
		},
	},
	{
		Slug: "collar-reading", Title: "What the collar shows", Needs: []string{"depth-60"},
		Purpose: "One cross-slide collar shows what the slide moves, the next what the diameter loses; taken for the other, the thread is half as deep, or twice.",
		Rule:    "a collar that reads radius shows h, one that reads diameter shows 2 × h, whole turns of it counted in",
		Wrong: []WrongRule{
			{ID: "as-radius", Rule: "h", Feedback: "This collar reads diameter: it shows twice what the slide moves."},
			{ID: "as-diameter", Rule: "2*h", Feedback: "This collar reads radius: it shows what the slide moves, once."},
			{ID: "halved", Rule: "h/2", Feedback: "Going in by h takes h off the radius; no collar shows half of it."},
			{ID: "four-times", Rule: "4*h", Feedback: "Double it once only: the collar already reads diameter."},
			{ID: "divided", Rule: "g/r", Feedback: "Divide the reading by one division, not the other way round."},
			{ID: "multiplied", Rule: "r*g", Feedback: "Divisions are the reading divided by what one of them stands for."},
		},
		Example: Example{
			Prompt: "A depth of 1.23 mm on a collar of 0.02 mm that reads diameter?", Lines: []string{"2 × 1.23 = 2.46 mm", "2.46 / 0.02 = 123 divisions"}, Answer: "2.46 mm, 123 divisions", Source: "arithmetic",
		},
	},
	{
		Slug: "lead-angle", Title: "Lead angle", Needs: []string{"lead", "diameters"},
		Purpose: "A multi-start helix is steep: the tool is ground and set for its angle, and steep screws do not hold a load by themselves.",
		Rule:    "tan of the angle = L / (π × pitch diameter)",
		Wrong: []WrongRule{
			{ID: "pitch-for-lead", Rule: "atan(P/(pi*m))", Feedback: "The helix climbs one lead in a turn, not one pitch."},
			{ID: "no-pi", Rule: "atan(L/m)", Feedback: "Unroll the circumference: π times the diameter."},
			{ID: "major-diameter", Rule: "atan(L/(pi*d))", Feedback: "Use the pitch diameter, not the outside one."},
			{ID: "turned-over", Rule: "atan(pi*m/L)", Feedback: "That is the angle to the axis; the lead angle is measured from the square cut."},
		},
		Example: Example{
			Prompt: "Tr 40x14 P7: what is its lead angle at the pitch diameter?", Lines: []string{"pitch diameter 40 − 3.5 = 36.5 mm", "tan φ = 14 / (π × 36.5) = 0.1221"}, Answer: "6.96°", Source: "arithmetic",
		},
	},
	{
		Slug: "tool-flanks", Title: "Flanks of the tool", Needs: []string{"lead-angle"},
		Purpose: "The leading flank of the tool runs into the rising helix and rubs unless it is ground for it.",
		Rule:    "leading = relief + angle at the minor diameter; trailing = relief − angle at the major diameter",
		Wrong: []WrongRule{
			{ID: "leading-less", Rule: "R - u", Feedback: "The leading flank runs into the rising helix and needs the extra angle."},
			{ID: "relief-only", Rule: "R", Feedback: "A steep helix changes the clearance: take the lead angle into account."},
			{ID: "leading-major", Rule: "R + v", Feedback: "The helix is steepest at the minor diameter; take the angle there."},
			{ID: "trailing-more", Rule: "R + v", Feedback: "The helix runs away from the trailing flank: it needs less angle, not more."},
			{ID: "trailing-minor", Rule: "R - u", Feedback: "On the trailing side the angle at the major diameter counts."},
		},
		Example: Example{
			Prompt: "Relief 8°, lead angle 7.7° at the minor diameter and 6.4° at the major?", Lines: []string{"leading 8 + 7.7 = 15.7°", "trailing 8 − 6.4 = 1.6°"}, Answer: "15.7° and 1.6°", Source: "arithmetic",
		},
	},
	{
		Slug: "pass-schedule", Title: "Passes that get lighter", Needs: []string{"depth-60"},
		Purpose: "The groove gets wider as it gets deeper: equal steps would overload the last cuts and tear the thread.",
		Rule:    "passes of equal chip: depth after pass k of N with a sharp tool = h × √(k / N); its step is the difference to the pass before",
		Wrong: []WrongRule{
			{ID: "equal-steps", Rule: "h*k/N", Feedback: "Equal steps overload the last, widest cuts."},
			{ID: "squared", Rule: "h*(k/N)^2", Feedback: "Area grows with the square of the depth, so the depth grows with the root of the area."},
			{ID: "no-root", Rule: "h*sqrt(k)", Feedback: "Divide by the number of passes under the root."},
			{ID: "total-as-step", Rule: "h*sqrt(k/N)", Feedback: "That is the whole depth so far; subtract the depth after the pass before."},
			{ID: "even-step", Rule: "h/N", Feedback: "That would be equal steps; the cuts get lighter."},
		},
		Example: Example{
			Prompt: "Depth 1.23 mm in 9 passes: how deep after pass 4?", Lines: []string{"1.23 × √(4 / 9) = 1.23 × 0.6667"}, Answer: "0.82 mm", Source: "arithmetic",
		},
	},
	{
		Slug: "run-out", Title: "How fast may the spindle turn?", Needs: []string{"lead"}, Safety: true,
		Purpose: "The carriage runs one lead in every turn; the spindle may turn only so fast that the half-nut is open before the groove ends.",
		Rule:    "rev/min ≤ 60 × w / (L × t), w the usable width of the groove, t the time to open the half-nut; always rounded down",
		Wrong: []WrongRule{
			{ID: "pitch-for-lead", Rule: "60*w/(P*t)", Feedback: "The carriage moves one lead in a turn, not one pitch: that speed would run it into the shoulder."},
			{ID: "per-second", Rule: "w/(L*t)", Feedback: "That is turns in a second; a minute has 60."},
			{ID: "whole-groove", Rule: "60*G/(L*t)", Feedback: "Only half the groove counts, and no more than the tool leaves free."},
			{ID: "tool-width", Rule: "60*T/(L*t)", Feedback: "That is the tool's width; what counts is the room that is left."},
			{ID: "pitch-overrun", Rule: "P*(S*t/60 + c)", Feedback: "The carriage runs on by one lead in a turn, not by one pitch: it goes n times as far."},
			{ID: "coast-left-out", Rule: "L*S*t/60", Feedback: "The spindle coasts on after it is switched off, and the closed half-nut takes the carriage along."},
			{ID: "turns-a-minute", Rule: "L*(S*t + c)", Feedback: "The speed is in turns a minute: divide by 60 for the turns in a second."},
		},
		Example: Example{
			Prompt: "Lead 6 mm, groove 8 mm, tool 3 mm, 0.7 s to open the half-nut?",
			Lines:  []string{"w = the smaller of 8 / 2 = 4 and 8 − 3 = 5: 4 mm", "60 × 4 / (6 × 0.7) = 57.1"}, Answer: "57 rev/min at most, then the next lower speed", Source: "common practice, no source",
		},
	},
	{
		Slug: "job-time", Title: "Minutes at the lathe", Needs: []string{"lead", "pass-schedule"},
		Purpose: "An evening has so many lathe minutes: who gets a turn depends on how long a job takes.",
		Rule:    "cutting minutes = n × passes × (l + L) / (L × rev/min)",
		Wrong: []WrongRule{
			{ID: "one-start", Rule: "N*(l+L)/(L*S)", Feedback: "Every start needs the full set of passes."},
			{ID: "pitch-time", Rule: "n*N*(l+P)/(P*S)", Feedback: "Time a pass with the lead: the carriage moves one lead in a turn."},
			{ID: "one-pass", Rule: "n*(l+L)/(L*S)", Feedback: "That is one pass a start; take all of them."},
			{ID: "speed-lost", Rule: "n*N*(l+L)/L", Feedback: "Those are turns; divide by the turns in a minute."},
		},
		Example: Example{
			Prompt: "Two starts, lead 6 mm, 30 mm long, 12 passes each at 60 rev/min?", Lines: []string{"2 × 12 × (30 + 6) / (6 × 60)"}, Answer: "2.4 min of cutting", Source: "arithmetic",
		},
	},
	{
		Slug: "over-wires", Title: "Measuring over wires", Needs: []string{"diameters"},
		Purpose: "Three wires and a micrometer tell the pitch diameter of a thread that no gauge fits.",
		Rule:    "best wire w = 0.5774 × P; over wires M = pitch diameter + 3 × w − 0.8660 × P + lead term",
		Wrong: []WrongRule{
			{ID: "wire-of-lead", Rule: "n*P/sqrt(3)", Feedback: "Wires sit in neighbouring grooves, one pitch apart."},
			{ID: "half-pitch", Rule: "P/2", Feedback: "A 60° groove asks for P divided by twice the cosine of 30°."},
			{ID: "sine", Rule: "P", Feedback: "Divide by twice the cosine of the flank angle, not by twice its sine."},
			{ID: "over-lead", Rule: "m + 3*w - sqrt(3)/2*n*P + c", Feedback: "Wires sit in neighbouring grooves, one pitch apart: use the pitch."},
			{ID: "major-constant", Rule: "m + 3*w - 7*sqrt(3)/8*P + c", Feedback: "That constant goes with the major diameter; with the pitch diameter it is 0.8660."},
			{ID: "two-wires", Rule: "m + 2*w - sqrt(3)/2*P + c", Feedback: "The wire's slope adds one more: three times its diameter."},
		},
		Example: Example{
			Prompt: "Pitch diameter 22.701 mm, P 2 mm, wires 1.155 mm, lead term 0.003 mm?", Lines: []string{"22.701 + 3 × 1.155 − 0.8660 × 2 + 0.003"}, Answer: "24.437 mm", Source: "three-wire formula of NBS Handbook H28 as quoted by gauge makers",
		},
	},
}
