package plan

import (
	"fmt"
	"strconv"
	"strings"

	"halfnut/threadmath"
)

// JobSkills returns the skills that a thread on a lathe needs, from the request
// and what was solved from it: how the lead is made, how deep and in how many
// passes, where the half-nut may close, and how this lathe spaces the starts.
// What the answer does not decide is left out.
func JobSkills(r threadmath.Request, a threadmath.Answer) []string {
	out := []string{"lead", "collar-reading", "pass-schedule", "run-out", "safe-order"}
	add := func(yes bool, skills ...string) {
		if yes {
			out = append(out, skills...)
		}
	}
	add(r.Thread.Designation != "" || a.Designation != "", "designation")
	sixty, inclined := flanks(r.Thread)
	add(sixty, "depth-60")
	add(!sixty && inclined, "depth-trapezoidal")
	add(r.Cut != nil && r.Cut.InfeedAngleDeg != nil && *r.Cut.InfeedAngleDeg > 0, "infeed-angle")
	add(a.Wires != nil, "over-wires")
	if l := r.Lathe; l != nil {
		add(len(l.Gearbox) > 0, "gearbox-setting")
		add(len(l.ChangeGears) > 0 && len(l.Gearbox) == 0, "gear-ratio", "gear-train")
		add(len(l.ThreadDials) > 0, "thread-dial")
		add(l.HalfNut == nil || *l.HalfNut, "pick-up")
	}
	if len(a.Starts) > 1 {
		add(true, "starts-from-lead", "axial-offset", "lead-angle", "tool-flanks")
		usable := 0
		for _, m := range a.Methods {
			if !m.Usable {
				continue
			}
			usable++
			switch m.Method {
			case threadmath.ByChuckJaws, threadmath.ByFaceplateSlots, threadmath.ByDrivePlateSlots, threadmath.ByIndexHoles:
				add(true, "station-index")
			case threadmath.ByStudGear, threadmath.ByLeadscrewGear:
				add(true, "gear-tooth-index")
			}
		}
		add(usable > 1, "choose-method")
	}
	return out
}

// flanks reports whether the form has flanks of 60° together, and whether they
// are inclined at all.
func flanks(t threadmath.Thread) (sixty, inclined bool) {
	slug := t.Form
	if t.Designation != "" {
		if d, err := threadmath.ParseDesignation(t.Designation); err == nil {
			slug = d.Form
		}
	}
	f, err := threadmath.FormOf(slug)
	if err != nil {
		return false, false
	}
	sum := f.LoadFlankDeg + f.ClearanceFlankDeg
	return sum == 60, sum > 0
}

// JobPoint writes the course's own number for a skill, "lead 6 mm = 3 × 2 mm",
// or nothing where the answer has none.
func JobPoint(skill string, a threadmath.Answer) string {
	n := len(a.Starts)
	size := func(d threadmath.Dimension) string {
		if l, ok := d.Exact(); ok {
			if text := l.Exact(d.System()); len(text) <= 12 {
				return text
			}
		}
		unit := "mm"
		if d.System() == threadmath.Inch {
			unit = "in"
		}
		return strconv.FormatFloat(d.Value(d.System()), 'f', 4, 64) + " " + unit
	}
	switch {
	case skill == "designation" && a.Designation != "":
		return fmt.Sprintf("%s: lead %s, pitch %s, %s", a.Designation, size(a.Lead), size(a.Pitch), starts(n))
	case skill == "lead":
		return fmt.Sprintf("lead = %d × %s = %s", n, size(a.Pitch), size(a.Lead))
	case skill == "starts-from-lead":
		return fmt.Sprintf("%s / %s = %s", size(a.Lead), size(a.Pitch), starts(n))
	case skill == "gearbox-setting" && a.Gearbox != nil && a.Gearbox.Usable:
		return fmt.Sprintf("%s turns per inch; the gearbox is set to %s", a.TurnsPerInch.String(), a.Gearbox.Setting)
	case (skill == "depth-60" || skill == "depth-trapezoidal") && a.Depth != nil:
		return fmt.Sprintf("depth %s (%s)", size(*a.Depth), a.DepthRule)
	case skill == "diameters" && a.MinorDiameter != nil && a.PitchDiameter != nil:
		return fmt.Sprintf("minor diameter %s, pitch diameter %s", size(*a.MinorDiameter), size(*a.PitchDiameter))
	case skill == "axial-offset" && n > 1:
		return "start 2 lies " + size(a.Starts[1].Offset) + " behind start 1"
	case skill == "index-angle" && n > 1:
		return fmt.Sprintf("start 2: turn the work by %s°", strconv.FormatFloat(a.Starts[1].AngleDeg, 'f', -1, 64))
	case skill == "choose-method":
		var usable []string
		for _, m := range a.Methods {
			if m.Usable {
				usable = append(usable, m.Method)
			}
		}
		if len(usable) > 0 {
			return "on this lathe: " + strings.Join(usable, ", ")
		}
	case skill == "run-out" && a.RunOut != nil && a.RunOut.GreatestRPM != nil:
		return fmt.Sprintf("no faster than %.0f rev/min at the end of this thread, and never above what the machine's manual allows", *a.RunOut.GreatestRPM)
	}
	return ""
}

func starts(n int) string {
	if n == 1 {
		return "1 start"
	}
	return strconv.Itoa(n) + " starts"
}
