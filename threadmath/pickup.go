package threadmath

import "strconv"

// pickUp answers the first question at the lathe: may the half-nut be opened
// between passes on one start? With p′/L = a/b it may anywhere when b is 1;
// otherwise on the dial lines that always come back to the start they were
// closed on, which a dial has when b divides its teeth; otherwise it stays
// closed. A line that varies is never used.
func (j *job) pickUp(nut *nut, dials []DialAnswer) *PickUp {
	switch {
	case nut == nil:
		return nil
	case !nut.has:
		return &PickUp{Rule: PickUpKeepClosed, Why: "the lathe has no half-nut: stop, withdraw the tool, then reverse"}
	case nut.paths().Equal(Int(1)):
		return &PickUp{Rule: PickUpAnywhere, Why: "the lead " + j.lead.Exact(j.system) + " divides the travel from one leadscrew thread to the next whole: every closing finds the groove"}
	}
	out := &PickUp{Rule: PickUpKeepClosed}
	oneIn := "only one leadscrew thread in " + nut.paths().String()
	for _, d := range dials {
		p := PickUpDial{Teeth: d.Teeth, Graduations: d.Graduations, Lines: []int{}, Starts: []StartLine{}}
		byStart := make([][]int, j.starts)
		for _, l := range d.Lines {
			if l.Catches == CatchesStart {
				byStart[l.Start-1] = append(byStart[l.Start-1], l.Line)
			}
		}
		for i, lines := range byStart {
			if len(lines) > 0 {
				p.Starts = append(p.Starts, StartLine{Start: i + 1, Lines: lines})
			}
		}
		if len(byStart[0]) > 0 {
			p.Lines = byStart[0]
			out.Rule = PickUpLines
		}
		out.Dials = append(out.Dials, p)
	}
	if out.Rule == PickUpLines {
		out.Why = oneIn + " finds the groove again: close on the lines listed, counted from the one the start was cut on"
		return out
	}
	out.Dials = nil
	const keep = ": keep the half-nut closed, stop, withdraw the tool, then reverse"
	switch {
	case j.lathe.dials == nil:
		out.Why = oneIn + " finds the groove again and no thread dial is given" + keep
	case len(dials) == 0:
		out.Why = oneIn + " finds the groove again and the lathe has no thread dial" + keep
	default:
		out.Why = "no dial line comes back to the same groove on every turn: " + nut.paths().String() + " does not divide the teeth of " + dialNames(dials) + keep
	}
	return out
}

func dialNames(dials []DialAnswer) string {
	if len(dials) == 1 {
		return "the dial (" + strconv.Itoa(dials[0].Teeth) + ")"
	}
	s := ""
	for i, d := range dials {
		if i > 0 {
			s += ", "
		}
		s += strconv.Itoa(d.Teeth)
	}
	return "any dial (" + s + ")"
}
