package curriculum

// settingSkills set the slides for what the usual thread does not ask. Names in the
// formulas: A infeed angle from the cross-slide, B where the base really stands, s
// way along the slide, w way of the cross-slide, m moves of one pitch.
var settingSkills = []Skill{
	{
		Slug: "angled-slide", Title: "The slide left at the infeed angle", Needs: []string{"axial-offset", "infeed-angle", "collar-reading"},
		Purpose: "Left at the infeed angle, the compound slide can both feed and move to the next start; but it goes in as it goes along, and the cross-slide has to take that back.",
		Rule:    "one pitch along the axis: P / sin A along the slide, and the cross-slide drawn back by P / tan A",
		Wrong: []WrongRule{
			{ID: "straight", Rule: "P", Feedback: "Only a slide parallel to the axis moves the tool along by all that it moves itself."},
			{ID: "times-sine", Rule: "P*sin(A)", Feedback: "The slanted way is longer than the pitch: divide by the sine."},
			{ID: "cosine", Rule: "P/cos(A)", Feedback: "The angle is measured from the cross-slide, so the way along the axis goes by the sine."},
			{ID: "lead-for-pitch", Rule: "n*P/sin(A)", Feedback: "From one start to the next is one pitch, not a lead.", Charges: "axial-offset"},
			{ID: "against-travel", Rule: "(k-1)*P/sin(A)", Feedback: "That counts against the travel; a slide moved with the travel meets the starts in the other order.", Charges: "axial-offset"},
			{ID: "not-withdrawn", Rule: "0", Feedback: "Without it the tool goes in by P / tan A with each pitch, and breaks in the uncut metal."},
			{ID: "by-slide-way", Rule: "P/sin(A)", Feedback: "That is the way along the slide; the cross-slide takes back only the part of it that goes in."},
			{ID: "times-tangent", Rule: "P*tan(A)", Feedback: "Along goes with the sine and in with the cosine, so the withdrawal is the pitch divided by the tangent."},
			{ID: "once-only", Rule: "P/tan(A)", Feedback: "Each pitch moves the tool in again: count the withdrawal from zero, once for every move."},
			{ID: "as-radius", Rule: "m*P/tan(A)", Feedback: "A collar that reads diameter shows twice what its slide moves.", Charges: "collar-reading"},
			{ID: "angle-no-matter", Rule: "P", Feedback: "The way along the axis depends on where the base really stands."},
			{ID: "turned-over", Rule: "P*sin(A)/sin(B)", Feedback: "What was set belongs to the wanted angle, what comes of it to the real one: the real sine stands on top."},
			{ID: "by-cosine", Rule: "P*cos(B)/cos(A)", Feedback: "Along the axis goes the sine of the angle from the cross-slide."},
			{ID: "one-gap", Rule: "abs(a-P)", Feedback: "The error adds up from start to start: the last lies off by that of all moves."},
			{ID: "one-gap-too-many", Rule: "n*abs(a-P)", Feedback: "Start 1 was cut where it belongs; the moves are one less than the starts."},
		},
		Example: Example{
			Prompt: "A three-start thread of 2 mm pitch; the compound slide stands at 30° from the cross-slide. What brings the tool to the next start?",
			Lines:  []string{"along the slide: 2 / sin 30° = 4.00 mm", "cross-slide back: 2 / tan 30° = 3.46 mm"}, Answer: "4.00 mm along the slide, with the travel, and the cross-slide 3.46 mm back", Source: "arithmetic",
		},
	},
	{
		Slug: "left-hand", Title: "Left-hand threads", Needs: []string{"axial-offset", "infeed-angle", "thread-dial"},
		Purpose: "A left-hand thread is cut away from the headstock: where a pass begins, which way the slides go and in which order the dial lines come are all the other way round.",
		Rule:    "spindle forward, the tool travels towards the headstock for a right-hand thread and away from it for a left-hand one; the compound slide is swung the other way for a left hand, and once more for an internal thread",
		Wrong: []WrongRule{
			{ID: "right-hand-travel", Feedback: "With the spindle forward and the tool the same side up, only the other direction of travel turns the other hand."},
			{ID: "begins-where-it-ends", Feedback: "A pass begins at the end that the tool comes from, and runs out at the other."},
			{ID: "swung-one-turn-over", Feedback: "Left hand turns the swing over once and an internal thread once more: together they leave it as it was."},
			{ID: "as-given", Rule: "A", Feedback: "That counts from the cross-slide; a base that counts from the axis shows what is left to 90°."},
			{ID: "added", Rule: "90+A", Feedback: "The two ways of counting make 90° together: take the angle away."},
			{ID: "against-travel", Rule: "(k-1)*P", Feedback: "That counts against the travel; a slide moved with the travel meets the starts in the other order, whatever the hand.", Charges: "axial-offset"},
			{ID: "whole-lead", Rule: "L", Feedback: "A whole lead drops back into the same groove.", Charges: "axial-offset"},
			{ID: "slide-against-travel", Feedback: "Moved that way its backlash lies on the wrong side, and the cutting force pushes the tool off its place."},
			{ID: "counted-up", Rule: "j+1", Feedback: "Moved with the travel, the slide meets the last start first and start 2 last."},
			{ID: "right-hand-lines", Feedback: "Those are the lines for a right-hand thread: for a left-hand one the leadscrew, and the dial with it, turns the other way."},
			{ID: "tool-forgotten", Rule: "s+v", Feedback: "The tool stands in the groove with its whole width before it moves at all."},
			{ID: "slack-forgotten", Rule: "T+v", Feedback: "Before it cuts true, the carriage takes up the slack of half-nut and train: that way needs room as well."},
			{ID: "closing-forgotten", Rule: "T+s", Feedback: "The tool moves on until the half-nut is fully home: that way needs room as well."},
			{ID: "half-tool", Rule: "T/2+s+v", Feedback: "Both edges of the tool lie in the groove: count its whole width."},
		},
		Example: Example{
			Prompt: "A left-hand thread of three starts, pitch 2 mm, is cut with the compound slide parallel to the axis. Which way is the slide moved, and how far to start 2?",
			Lines:  []string{"left hand: the tool travels away from the headstock, and the slide is moved that way", "start 2: (3 + 1 − 2) × 2 mm = 4 mm"}, Answer: "4 mm towards the tailstock", Source: "arithmetic",
		},
	},
}
