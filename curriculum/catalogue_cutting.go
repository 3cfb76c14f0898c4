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
			Lines:  []string{"h = 0.6495 / 8 = 0.0812 in", "c = 0.0812 / cos 29° = 0.0928 in"}, Answer: "0.093 in", Source: "common practice, no source",
		},
	},
}
