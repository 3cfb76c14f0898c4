package worksheets

// sampleSheet is a sheet with every kind of block, for an invented workshop.
func sampleSheet(style Style, learner string) Sheet {
	square := Group{Class: "square", Title: "A square with its side", Desc: "A square of 20 mm.", Scale: 2, Items: []Item{
		Rect{Box: Box{0, 0, 40, 40}, Stroke: Edge},
		Line{A: Point{-4, 20}, B: Point{44, 20}, Stroke: Centre, Class: "axis"},
		Circle{Centre: Point{20, 20}, Radius: 12, Stroke: Hidden, Fill: Shade},
		Polyline{Points: []Point{{5, 35}, {12, 8}, {20, 35}, {28, 8}, {35, 35}}, Stroke: Fine},
		Arc{Centre: Point{20, 20}, Radius: 17, From: 30, To: 150, Stroke: Centre},
	}}
	exercise := func(name string) Block {
		return Keep{Name: name, Body: []Block{
			Heading{Text: name + ": offsets of a two-start thread", Level: 3},
			Columns{Weights: []float64{3, 2}, Parts: [][]Block{
				{
					Para("Cut M24 × Ph6 P3, right-hand, on the lathe below. The leadscrew is 6 mm and the compound lies along the axis; its collar is graduated in 0.05 mm."),
					AnswerLine{Label: "Pitch", Unit: "mm", Marks: 1},
					AnswerLine{Label: "How far behind start 1 does start 2 lie?", Unit: "mm", Marks: 2},
				},
				{Figure{Drawing: square, Caption: "Not a real part"}},
			}},
			WorkSpace{Steps: 3},
		}}
	}
	return Sheet{
		Owner: learner,
		Style: style,
		Running: Running{
			Title:  "Multi-start threads, set 3",
			Lines:  []string{"Name: " + learner, "Class: evening group    Date: ____________"},
			Code:   "HN3-7KQ2-M5",
			Footer: "The figures are for teaching. The machine's manual, local rules and the shop's qualified supervisor come first.",
		},
		Body: []Block{
			Heading{Text: "Your lathe", Level: 2},
			Table{
				Columns: []Column{{Title: "What"}, {Title: "Value", Align: Right}, {Title: "Note"}},
				Rows: [][]string{
					{"Leadscrew lead", "6 mm", "one start"},
					{"Thread dial", "28 teeth, 4 lines", "numbers run clockwise"},
					{"Compound collar", "0.05 mm", "reads what the slide moves"},
				},
			},
			Boxed{Title: "⚠ Before you cut", Body: []Block{
				List{Entries: []string{
					"Before the first pass on every new start wind the infeed back to its starting reading.",
					"Spindle stopped and isolated before the work is turned in the dog or the train is opened.",
				}},
			}},
			exercise("Exercise 1"),
			exercise("Exercise 2"),
			Rule{},
			Heading{Text: "Notes", Level: 2},
			Paragraph{Spans: []Span{{Text: "Lead is pitch times starts: "}, {Text: "L = n·P", Face: Bold}, {Text: ", and the offsets are whole pitches."}}},
			List{Numbered: true, Entries: []string{"Write the lead.", "Divide by the starts.", "Add the unit."}},
		},
	}
}
