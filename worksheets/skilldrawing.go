package worksheets

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// skillDrawings names the drawing of skills whose exercises may name none themselves. A safe order has none: it is
// words to put in order, and any picture would show a step in its place.
var skillDrawings = map[string]string{
	"choose-method": "ways",
	"run-out":       "run-out",
	"tool-flanks":   "flanks",
	"over-wires":    "wires",
}

// drawingName returns the name of the drawing that helps with the exercise; empty where there is none.
func drawingName(e curriculum.Exercise) string { return cmp.Or(e.Drawing, skillDrawings[e.Skill]) }

// compoundGivens shows the compound at the angle that is given.
func compoundGivens(e curriculum.Exercise, width, text float64) (Group, bool, error) {
	r := e.Givens.Solve
	if r == nil || r.Cut == nil || r.Cut.InfeedAngleDeg == nil {
		return Group{}, false, nil
	}
	deg := *r.Cut.InfeedAngleDeg
	g, err := CompoundView(CompoundSpec{
		AngleDeg: deg, LeftHand: r.Thread.Hand == "left", Internal: r.Thread.Side == "internal",
		Width: max(width, 60), Text: text, AngleLabel: strconv.FormatFloat(deg, 'f', -1, 64) + "°",
	})
	return g, err == nil, err
}

// flankGivens shows what is ground where. It takes angles of its own: the true ones could be measured.
func flankGivens(e curriculum.Exercise, width, text float64) (Group, bool, error) {
	left := false
	if r := e.Givens.Solve; r != nil {
		left = r.Thread.Hand == "left"
	}
	relief, given := e.Givens.Values["R"]
	if !given {
		relief = "?"
	}
	g, err := FlankView(FlankSpec{
		LeadMinorDeg: 8, LeadMajorDeg: 6, ReliefDeg: 9, LeftHand: left, Width: max(width, 60), Text: text,
		LeadingLabel: "?", TrailingLabel: "?", ReliefLabel: relief,
	})
	return g, err == nil, err
}

// runOutGivens shows groove and tool as given, to scale.
func runOutGivens(e curriculum.Exercise, width, text float64) (Group, bool, error) {
	groove, tool, pitch := e.Givens.Values["G"], e.Givens.Values["T"], e.Givens.Values["P"]
	g, ok1 := givenMM(groove)
	t, ok2 := givenMM(tool)
	if !ok1 || !ok2 || t > g {
		return Group{}, false, nil
	}
	p := t
	if l, _, err := threadmath.ParsePitch(pitch); err == nil && l.Sign() > 0 {
		p = l.MM()
	}
	left, internal := false, false
	if r := e.Givens.Solve; r != nil {
		left, internal = r.Thread.Hand == "left", r.Thread.Side == "internal"
	}
	out, err := RunOutView(RunOutSpec{
		Groove: g, ToolWidth: t, Depth: min(t, p) * 0.6, Pitch: p, LeftHand: left, Internal: internal,
		Width: max(width, 50), Text: text, GrooveLabel: groove, ToolLabel: tool,
	})
	return out, err == nil, err
}

// wireGivens shows a wire in a groove. The groove has a pitch of its own, so that the wire cannot be measured.
func wireGivens(e curriculum.Exercise, width, text float64) (Group, bool, error) {
	pitch, _, err := threadmath.ParseLength("3 mm")
	if err != nil {
		return Group{}, false, err
	}
	profile, err := threadmath.Profile("iso-metric", pitch, false)
	if err != nil {
		return Group{}, false, fmt.Errorf("wires: %w", err)
	}
	form := make([]Point, len(profile))
	for i, p := range profile {
		form[i] = Point(p)
	}
	label := "P"
	if text, given := e.Givens.Values["P"]; given {
		label = "P = " + text
	}
	g, err := WiresView(WiresSpec{
		Form: form, FlankDeg: 30, Wire: 1.9, Starts: 1, DetailOnly: true, Width: max(width, 60), Height: 70, Text: text,
		WireLabel: "w = ?", PitchLabel: label,
	})
	return g, err == nil, err
}

// collarDivisions are on the collar that is drawn where an exercise says what one division is and not how many there are.
const collarDivisions = 100

// collarGivens shows the collar at the zero it begins from, with its division as given; where it is to stand at the end
// is asked.
func collarGivens(e curriculum.Exercise, width, text float64) (Group, bool, error) {
	label := "begun from zero"
	if g, given := e.Givens.Values["g"]; given {
		label = "one division: " + g
	}
	g, err := CollarView(CollarSpec{Divisions: collarDivisions, Blank: true, Width: max(width, 55), Text: text, Label: label})
	return g, err == nil, err
}

// passGivens shows the passes as stairs with the whole depth as given and a question mark under the pass that is asked.
// The stairs are of a rule of their own, neither the right one nor that of a known mistake, so that nothing can be
// measured.
func passGivens(e curriculum.Exercise, width, text float64) (Group, bool, error) {
	n, err1 := strconv.Atoi(e.Givens.Values["N"])
	k, err2 := strconv.Atoi(e.Givens.Values["k"])
	if err1 != nil || err2 != nil || k < 1 || k > n {
		return Group{}, false, nil
	}
	depths := make([]float64, n)
	for i := range depths {
		depths[i] = math.Pow(float64(i+1)/float64(n), 0.7)
	}
	g, err := PassStaircase(StaircaseSpec{Depths: depths, Untold: true, Width: max(width, 60), Height: 40 + 1.6*text, Text: text, DepthLabel: "h = " + e.Givens.Values["h"]})
	if err != nil {
		return Group{}, false, err
	}
	size := textSize(text)
	for _, it := range g.Find(fmt.Sprintf("tread:%d", k)) {
		b := it.Bounds()
		g.add(Text{At: Point{b.X + b.W/2, b.Y + size*1.1/pointsPerMM}, Text: "?", Face: Bold, Size: size, Anchor: Middle, Class: "asked"})
	}
	return g, true, nil
}

// wayGivens shows the dial of the lathe with its lines unmarked, or else what turns the work with its stations, where
// one of the ways to choose from is by it: what a way is judged by, and nothing of how it is judged.
func wayGivens(e curriculum.Exercise, width, text float64) (Group, bool, error) {
	if e.Givens.Solve == nil {
		return Group{}, false, nil
	}
	a, err := threadmath.Solve(*e.Givens.Solve)
	if err != nil {
		return Group{}, false, fmt.Errorf("drawing of %s: %w", e.ID, err)
	}
	var g Group
	holders := slices.DeleteFunc(slices.Clone(a.Holders), func(h threadmath.HolderAnswer) bool { return !offers(e, stationsText(h)) })
	switch {
	case len(a.ThreadDials) == 1 && offers(e, "thread dial"):
		g, err = dialGivens(a.ThreadDials[0], width, text)
	case len(holders) == 1: // of several one would look like a hint
		g, err = stationGivens(holders[0], width, text)
	default:
		return Group{}, false, nil
	}
	return g, err == nil, err
}

// offers reports whether one of the choices has the words in it.
func offers(e curriculum.Exercise, words string) bool {
	for _, p := range e.Parts {
		for _, c := range p.Choices {
			if strings.Contains(c.Text, words) {
				return true
			}
		}
	}
	return false
}

// stationsText is how a choice counts what turns the work.
func stationsText(h threadmath.HolderAnswer) string {
	switch h.Kind {
	case threadmath.ChuckJaws:
		return fmt.Sprintf(" chuck with %d jaws", h.Stations)
	case threadmath.IndexHoles:
		return fmt.Sprintf(" ring of %d index holes", h.Stations)
	case threadmath.DrivePlateSlots:
		return fmt.Sprintf(" drive plate with %d slots", h.Stations)
	}
	return fmt.Sprintf(" faceplate with %d slots", h.Stations)
}

// givenMM returns a given length in millimetres.
func givenMM(text string) (float64, bool) {
	l, _, err := threadmath.ParseLength(strings.TrimSpace(text))
	if err != nil {
		return 0, false
	}
	return l.MM(), l.Sign() > 0
}
