package web

import (
	"fmt"
	"html/template"
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"halfnut/threadmath"
	"halfnut/worksheets"
)

// benchData is a job as it was typed, and its answer.
type benchData struct {
	Forms  []threadmath.Form
	Answer *threadmath.Answer
	// System is the one the pitch was typed in: it stands first.
	System threadmath.System
	Starts template.HTML
	Dials  []template.HTML
}

// bench shows the answer of a typed-in job. The whole job stands in the address,
// so that it can be kept and passed on.
func (w *Pages) bench(c *gin.Context) error {
	q := c.Request.URL.Query()
	v := view{Title: "Bench", Form: q, Data: benchData{Forms: threadmath.Forms()}}
	if !q.Has("pitch") && !q.Has("lead") {
		w.show(c, http.StatusOK, "bench.html", v)
		return nil
	}
	r, err := benchRequest(q.Get)
	var a threadmath.Answer
	if err == nil {
		a, err = threadmath.Solve(r)
	}
	if err != nil {
		c.Request.PostForm = q
		return w.again(c, err, "bench.html", v)
	}
	d := benchData{Forms: threadmath.Forms(), Answer: &a, System: a.Pitch.System(), Starts: startsDrawing(a, r)}
	for _, dial := range a.ThreadDials {
		d.Dials = append(d.Dials, dialDrawing(dial))
	}
	v.Data = d
	w.show(c, http.StatusOK, "bench.html", v)
	return nil
}

// benchRequest makes a solve request of the form's fields. Names are the
// contract's; a field left empty is not known.
func benchRequest(get func(string) string) (threadmath.Request, error) {
	text := func(name string) string { return strings.TrimSpace(get(name)) }
	var r threadmath.Request
	whole := func(name, path string) (*threadmath.Count, error) {
		t := text(name)
		if t == "" {
			return nil, nil
		}
		n, err := strconv.Atoi(t)
		if err != nil {
			return nil, &threadmath.DomainError{Quantity: path, Value: t, Reason: "not a whole number"}
		}
		c := threadmath.Count(n)
		return &c, nil
	}
	var err error
	r.Thread = threadmath.Thread{
		Form: text("form"), Side: text("side"), Hand: text("hand"), Diameter: text("diameter"),
		Pitch: text("pitch"), Lead: text("lead"), Length: text("length"), Class: text("class"),
	}
	if r.Thread.Starts, err = whole("starts", "/thread/starts"); err != nil {
		return r, err
	}
	var l threadmath.Lathe
	l.Leadscrew = text("leadscrew")
	teeth, err := whole("dial_teeth", "/lathe/thread_dials/0/teeth")
	if err != nil {
		return r, err
	}
	lines, err := whole("dial_lines", "/lathe/thread_dials/0/graduations")
	if err != nil {
		return r, err
	}
	if teeth != nil || lines != nil {
		d := threadmath.ThreadDial{}
		if teeth != nil {
			d.Teeth = *teeth
		}
		if lines != nil {
			d.Graduations = *lines
		}
		l.ThreadDials = []threadmath.ThreadDial{d}
	}
	if g := text("graduation"); g != "" {
		l.CompoundSlide = &threadmath.Slide{Graduation: g, PerTurn: text("per_turn"), Travel: text("travel")}
	}
	jaws, err := whole("jaws", "/lathe/holders/0/stations")
	if err != nil {
		return r, err
	}
	if jaws != nil {
		l.Holders = []threadmath.Holder{{Kind: "chuck-jaws", Stations: *jaws}}
	}
	if l.Leadscrew != "" || l.ThreadDials != nil || l.CompoundSlide != nil || l.Holders != nil {
		r.Lathe = &l
	}
	cut := threadmath.Cut{FirstCut: text("first_cut"), LeastCut: text("least_cut"), Groove: text("groove"), ToolWidth: text("tool_width")}
	if t := text("spindle_rpm"); t != "" {
		rpm, err := strconv.ParseFloat(t, 64)
		if err != nil {
			return r, &threadmath.DomainError{Quantity: "/cut/spindle_rpm", Value: t, Reason: "not a number"}
		}
		cut.SpindleRPM = &rpm
	}
	if cut != (threadmath.Cut{}) {
		r.Cut = &cut
	}
	return r, nil
}

// startsDrawing unrolls the thread over one turn.
func startsDrawing(a threadmath.Answer, r threadmath.Request) template.HTML {
	diameter := max(a.Lead.MM()*0.45, 1)
	if a.PitchDiameter != nil {
		diameter = a.PitchDiameter.MM()
	}
	short := func(d threadmath.Dimension) string {
		if e, ok := d.Exact(); ok {
			return e.Exact(d.System())
		}
		return fmt.Sprintf("%.3f mm", d.MM())
	}
	spec := worksheets.DevelopedSpec{
		Starts: len(a.Starts), Pitch: a.Pitch.MM(), Diameter: diameter, LeftHand: r.Thread.Hand == "left",
		Width: 150, Height: 90, PitchLabel: "P = " + short(a.Pitch), LeadLabel: "L = " + short(a.Lead),
	}
	if a.LeadAngleDeg != nil {
		spec.AngleLabel = strconv.FormatFloat(a.LeadAngleDeg.Pitch, 'f', 2, 64) + "°"
	}
	g, err := worksheets.Developed(spec)
	if err != nil {
		return ""
	}
	return svg(g)
}

// dialDrawing marks what each line of a dial catches.
func dialDrawing(d threadmath.DialAnswer) template.HTML {
	marks := map[string]worksheets.DialMark{
		threadmath.CatchesStart: worksheets.DialCatches, threadmath.CatchesVaries: worksheets.DialVaries,
		threadmath.CatchesOff: worksheets.DialOff, threadmath.CatchesNoClose: worksheets.DialNoClose,
	}
	spec := worksheets.DialFaceSpec{Width: 80, CounterClockwise: d.Runs == threadmath.DialRunsDown}
	for _, l := range d.Lines {
		spec.Lines = append(spec.Lines, worksheets.DialLine{Number: strconv.Itoa(l.Line), Mark: marks[l.Catches], Start: max(l.Start, 1)})
	}
	g, err := worksheets.DialFace(spec)
	if err != nil {
		return ""
	}
	return svg(g)
}
