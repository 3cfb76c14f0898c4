package threadmath

import "sort"

// reactionStart is the time in seconds from seeing the mark to the half-nut
// open, a start value without a source; a shop measures its own.
const reactionStart = 0.7

// What happens to the half-nut at the end of the thread.
const (
	HalfNutOpened     = "opened"
	HalfNutKeptClosed = "kept-closed"
)

// RunOut is the speed limit that the end of the thread sets. It is a ceiling,
// not a recommendation.
type RunOut struct {
	CarriageMMPerS *float64   `json:"carriage_mm_per_s,omitempty"`
	UsableWidth    *Dimension `json:"usable_width,omitempty"`
	// ToolWidth is the tool's width at the surface of the work at full depth.
	ToolWidth *Dimension `json:"tool_width,omitempty"`
	// Overrun is how far the carriage runs on at the given speed.
	Overrun *Dimension `json:"overrun,omitempty"`
	// Fits says whether the overrun stays within the usable width.
	Fits         *bool    `json:"fits,omitempty"`
	GreatestRPM  *float64 `json:"greatest_rpm,omitempty"`
	NextLowerRPM *float64 `json:"next_lower_rpm,omitempty"`
	ReactionS    float64  `json:"reaction_s"`
	// WithdrawalMark is where the tool is withdrawn, from the thread's beginning.
	WithdrawalMark *Dimension `json:"withdrawal_mark,omitempty"`
	// HalfNut is how the thread ends, "opened" or "kept-closed".
	HalfNut string `json:"half_nut,omitempty"`
	// End is where the tool runs out.
	End string `json:"end"`
	Why string `json:"why,omitempty"`
}

// runOut returns the limit of speed at the end of the thread; nil where the
// request tells neither speed, groove nor leadscrew.
//
//	carriage speed = L·N/60
//	usable width w = min(groove/2, groove − tool width at the surface)
//	half-nut opened:      overrun = L·N·t/60, N ≤ 60·w/(L·t)
//	half-nut kept closed: overrun = L·(N·t/60 + coast turns)
//
// The coast belongs to the speed it was measured at, so a half-nut kept closed
// has an overrun and no greatest speed. pick says whether the half-nut may be
// opened between passes; nil is not known. Floats, error below 1e-12 of the
// value; nothing is rounded.
func (j *job) runOut(pick *PickUp) *RunOut {
	k, m := &j.cut, &j.lathe
	if k.rpm == nil && k.groove == nil && m.leadscrew == nil {
		return nil
	}
	r := &RunOut{ReactionS: reactionStart, End: "headstock end"}
	if k.reactionS != nil {
		r.ReactionS = *k.reactionS
	}
	if j.left {
		r.End = "tailstock end"
	}
	if j.internal && k.blind && !j.left {
		r.End = "bottom of the blind bore"
	}
	if k.mark != nil {
		r.WithdrawalMark = j.dimp(*k.mark)
	}
	lead := j.lead.MM()
	if k.rpm != nil {
		v := lead * *k.rpm / 60
		r.CarriageMMPerS = &v
	}
	switch {
	case m.halfNut != nil && !*m.halfNut, pick != nil && pick.Rule == PickUpKeepClosed:
		r.HalfNut = HalfNutKeptClosed
		j.overrunClosed(r)
	case pick != nil:
		r.HalfNut = HalfNutOpened
		j.overrunOpened(r)
	default:
		r.Why = "not known whether the half-nut may be opened: give the leadscrew"
	}
	j.usableWidth(r)
	if r.UsableWidth == nil {
		return r
	}
	w := r.UsableWidth.MM()
	if r.Overrun != nil {
		fits := r.Overrun.MM() <= w
		r.Fits = &fits
		if !fits {
			r.Why = joinWhy(r.Why, "the overrun passes the usable width: run slower")
			if r.HalfNut == HalfNutKeptClosed {
				r.Why += ", and measure the coast at that speed"
			}
		}
	}
	if r.HalfNut == HalfNutOpened {
		most := 60 * w / (lead * r.ReactionS)
		r.GreatestRPM = &most
		r.NextLowerRPM = j.nextLower(most)
		if m.speeds != nil && r.NextLowerRPM == nil {
			r.Why = joinWhy(r.Why, "no speed of this lathe is slow enough")
		}
	}
	return r
}

func (j *job) overrunOpened(r *RunOut) {
	if j.cut.rpm != nil {
		r.Overrun = approx(j.lead.MM() * *j.cut.rpm * r.ReactionS / 60)
	}
}

func (j *job) overrunClosed(r *RunOut) {
	k := &j.cut
	switch {
	case k.coastTurns == nil:
		r.Why = "the half-nut stays closed and the coast of the spindle is not known: measure the turns it coasts at that speed"
	case k.rpm == nil:
		r.Why = "the half-nut stays closed: an overrun needs the speed at which the coast was measured"
	default:
		r.Overrun = approx(j.lead.MM() * (*k.rpm*r.ReactionS/60 + *k.coastTurns))
	}
}

// usableWidth fills in the tool's width at the surface and the width of the
// groove that is left for the overrun.
func (j *job) usableWidth(r *RunOut) {
	k := &j.cut
	switch {
	case k.groove != nil:
	case k.mark != nil:
		r.Why = joinWhy(r.Why, "no groove given: the tool is withdrawn at the mark")
		return
	default:
		r.Why = joinWhy(r.Why, "no groove given: state a mark at which the tool is withdrawn")
		return
	}
	switch {
	case k.toolWidth != nil:
		r.ToolWidth = j.dimp(*k.toolWidth)
		w := k.groove.Sub(*k.toolWidth)
		if h := half(*k.groove); h.Cmp(w) < 0 {
			w = h
		}
		if w.Sign() > 0 {
			r.UsableWidth = j.dimp(w)
		}
	case j.form != nil:
		width := j.toolWidthAtSurface()
		r.ToolWidth = approx(width)
		if w := min(k.groove.MM()/2, k.groove.MM()-width); w > 0 {
			r.UsableWidth = approx(w)
		}
	default:
		r.Why = joinWhy(r.Why, "the width of the tool is not known")
		return
	}
	if r.UsableWidth == nil {
		r.Why = joinWhy(r.Why, "the tool is as wide as the groove")
	}
}

// toolWidthAtSurface is the width in mm of a tool ground to the form where it
// crosses the work's surface at full depth: f + h·(tan α1 + tan α2).
func (j *job) toolWidthAtSurface() float64 {
	flat := j.nose()
	if j.cut.toolFlat != nil {
		flat = j.cut.toolFlat.MM()
	}
	return flat + j.prop.depth.mm*j.flankSlope()
}

// nextLower returns the greatest speed of the lathe that is not above rpm; nil
// where there is none or the speeds are not known.
func (j *job) nextLower(rpm float64) *float64 {
	speeds := j.lathe.speeds // ascending
	i := sort.Search(len(speeds), func(i int) bool { return speeds[i] > rpm })
	if i == 0 {
		return nil
	}
	v := speeds[i-1]
	return &v
}

func joinWhy(why, more string) string {
	if why == "" {
		return more
	}
	return why + "; " + more
}
