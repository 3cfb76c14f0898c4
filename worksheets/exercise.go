package worksheets

import (
	"fmt"
	"strconv"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// ExerciseDrawing returns the drawing that helps with an exercise, made from its
// givens alone so that it gives no answer away; ok is false where there is none.
// width is millimetres of paper, text the size of its lettering in points.
func ExerciseDrawing(e curriculum.Exercise, width, text float64) (g Group, ok bool, err error) {
	switch drawingName(e) {
	case "collar":
		return collarGivens(e, width, text)
	case "passes":
		return passGivens(e, width, text)
	case "ways":
		return wayGivens(e, width, text)
	case "compound":
		return compoundGivens(e, width, text)
	case "flanks":
		return flankGivens(e, width, text)
	case "run-out":
		return runOutGivens(e, width, text)
	case "wires":
		return wireGivens(e, width, text)
	}
	request := e.Givens.Solve
	if request == nil || e.Drawing == "" {
		return Group{}, false, nil
	}
	job := *request
	if e.Drawing == "starts" || e.Drawing == "profile" {
		job = threadmath.Request{Thread: request.Thread} // the thread alone is drawn, and solved in a fraction of the time
	}
	a, err := threadmath.Solve(job)
	if err != nil {
		return Group{}, false, fmt.Errorf("drawing of %s: %w", e.ID, err)
	}
	switch e.Drawing {
	case "starts":
		g, err = developedGivens(e, a, width, text)
	case "dial":
		if len(a.ThreadDials) != 1 {
			return Group{}, false, nil
		}
		g, err = dialGivens(a.ThreadDials[0], width, text)
	case "end-view":
		if len(a.Holders) != 1 {
			return Group{}, false, nil
		}
		g, err = stationGivens(a.Holders[0], width, text)
	case "profile":
		g, err = profileGivens(request.Thread, a, width, text)
	default:
		return Group{}, false, nil
	}
	return g, err == nil, err
}

// DrawingNote returns what must be said below an exercise's drawing; empty where
// it needs no word. The unrolled view takes a diameter of its own, so that its
// angle gives nothing away and must not be measured; tool flanks and wires are drawn
// to numbers of their own for the same reason.
func DrawingNote(e curriculum.Exercise) string {
	switch drawingName(e) {
	case "starts":
		return "The turn is not to scale."
	case "flanks", "wires":
		return "Not drawn to these numbers."
	case "passes":
		return "The steps are not to scale."
	case "collar":
		return "How many divisions there are is not this collar's."
	}
	return ""
}

// developedGivens shows the starts with only those dimensions that are given.
// The diameter is not: one is taken that shows the grooves well.
func developedGivens(e curriculum.Exercise, a threadmath.Answer, width, text float64) (Group, error) {
	label := func(name, symbol string) string {
		if text, given := e.Givens.Values[name]; given {
			return symbol + " = " + text
		}
		return symbol + " = ?"
	}
	return Developed(DevelopedSpec{
		Starts: len(a.Starts), Pitch: a.Pitch.MM(), Diameter: max(a.Lead.MM()*0.45, leastDiameter), LeftHand: e.Givens.Solve.Thread.Hand == "left",
		Width: max(width, 60), Height: 44 + 1.6*text, Text: text,
		PitchLabel: label("P", "P"), LeadLabel: label("L", "L"),
	})
}

// dialGivens shows the dial's lines with their numbers, unmarked.
func dialGivens(d threadmath.DialAnswer, width, text float64) (Group, error) {
	lines := make([]DialLine, len(d.Lines))
	for i, l := range d.Lines {
		lines[i] = DialLine{Number: strconv.Itoa(l.Line), Mark: DialUnmarked}
	}
	return DialFace(DialFaceSpec{Lines: lines, Width: max(width, 45), Text: text, NoKey: true})
}

// stationGivens shows the stations from the tailstock, start 1 on the first.
func stationGivens(h threadmath.HolderAnswer, width, text float64) (Group, error) {
	return EndView(EndViewSpec{Starts: 1, Stations: h.Stations, Use: []int{1}, AgainstRotation: h.Kind == threadmath.IndexHoles, Width: max(width, 55), Text: text})
}

// profileGivens shows the form in section with its pitch, and its depth asked.
func profileGivens(t threadmath.Thread, a threadmath.Answer, width, text float64) (Group, error) {
	name := t.Form
	if d, err := threadmath.ParseDesignation(t.Designation); err == nil {
		name = d.Form
	}
	pitch, _ := a.Pitch.Exact()
	internal := t.Side == "internal"
	profile, err := threadmath.Profile(name, pitch, internal)
	if err != nil {
		return Group{}, fmt.Errorf("thread profile: %w", err)
	}
	form := make([]Point, len(profile))
	for i, p := range profile {
		form[i] = Point(p)
	}
	return ProfileView(ProfileSpec{
		Form: form, Internal: internal, Turns: 3, Width: max(width, 60), Height: 42 + 1.6*text, Text: text,
		PitchLabel: "P", DepthLabel: "h = ?", AngleLabel: strconv.FormatFloat(a.Tool.IncludedDeg, 'g', 4, 64) + "°",
	})
}
