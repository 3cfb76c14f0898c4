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

// RunOut is what the end of the thread asks for. Its speed is a ceiling, not a
// recommendation. Places are of the tool, along the axis from the end at which the
// thread begins.
type RunOut struct {
	CarriageMMPerS *float64 `json:"carriage_mm_per_s,omitempty"`
	// UsableWidth is the part of the groove that is left for the overrun.
	UsableWidth *Dimension `json:"usable_width,omitempty"`
	// ToolWidth is the tool's width at the surface of the work at full depth.
	ToolWidth *Dimension `json:"tool_width,omitempty"`
	// Room is what lies beyond the full thread: the usable width, the request's
	// room, or the smaller of both.
	Room *Dimension `json:"room,omitempty"`
	// ActAt is where the hand begins to act, StillBy where the tool stands at the
	// latest, Limit where the room ends. StillBy may not pass Limit.
	ActAt   *Dimension `json:"act_at,omitempty"`
	StillBy *Dimension `json:"still_by,omitempty"`
	Limit   *Dimension `json:"limit,omitempty"`
	// Overrun is how far the carriage runs on at the given speed.
	Overrun *Dimension `json:"overrun,omitempty"`
	// Fits says whether the tool stands before the room ends.
	Fits         *bool    `json:"fits,omitempty"`
	GreatestRPM  *float64 `json:"greatest_rpm,omitempty"`
	NextLowerRPM *float64 `json:"next_lower_rpm,omitempty"`
	ReactionS    float64  `json:"reaction_s"`
	// WithdrawalMark is where the tool is withdrawn, from the thread's beginning.
	WithdrawalMark *Dimension `json:"withdrawal_mark,omitempty"`
	// StartingGroove is the least width of the groove in which a left-hand thread
	// begins.
	StartingGroove *Dimension `json:"starting_groove,omitempty"`
	// HalfNut is how the thread ends, "opened" or "kept-closed".
	HalfNut string `json:"half_nut,omitempty"`
	// End is where the tool runs out.
	End string `json:"end"`
	Why string `json:"why,omitempty"`
}

// runOut returns what the end of the thread asks for; nil where the request tells
// neither speed, groove, room nor leadscrew.
//
//	carriage speed = L·N/60
//	usable width w = min(groove/2, groove − tool width at the surface)
//	half-nut opened:      overrun = L·N·t/60, N ≤ 60·(ℓ + room − m)/(L·t)
//	half-nut kept closed: overrun = L·(N·t/60 + coast turns)
//	act at m ≥ ℓ, still by m + overrun ≤ ℓ + room
//
// with ℓ the length of full thread and m the mark, or ℓ where none is given. The
// room is the groove's usable width, or what the request says lies beyond the
// thread; where neither is known nothing fits. The coast belongs to the speed it was
// measured at, so a half-nut kept closed has an overrun and no greatest speed. pick
// says whether the half-nut may be opened between passes; nil is not known. Floats,
// error below 1e-12 of the value; nothing is rounded.
func (j *job) runOut(pick *PickUp) *RunOut {
	k, m := &j.cut, &j.lathe
	if k.rpm == nil && k.groove == nil && k.room == nil && m.leadscrew == nil {
		return nil
	}
	r := &RunOut{ReactionS: reactionStart, End: j.runOutEnd()}
	if k.reactionS != nil {
		r.ReactionS = *k.reactionS
	}
	if k.mark != nil {
		r.WithdrawalMark = j.dimp(*k.mark)
	}
	if k.rpm != nil {
		v := j.lead.MM() * *k.rpm / 60
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
	j.startingGroove(r)
	j.roomBeyond(r)
	j.places(r)
	return r
}

func (j *job) runOutEnd() string {
	switch {
	case j.left:
		return "tailstock end"
	case j.internal && j.cut.blind:
		return "bottom of the blind bore"
	}
	return "headstock end"
}

// roomBeyond settles what lies beyond the full thread.
func (j *job) roomBeyond(r *RunOut) {
	k := &j.cut
	if r.UsableWidth != nil {
		r.Room = r.UsableWidth
	}
	if k.room != nil && (k.groove == nil || r.Room != nil && k.room.MM() < r.Room.MM()) {
		r.Room = j.dimp(*k.room)
	}
	if r.Room == nil && k.groove == nil {
		r.Why = joinWhy(r.Why, "what room lies beyond the thread is not known: give the groove, or the room to the first solid thing")
	}
}

// places says where the hand acts, where the tool stands and where the room ends,
// and from that whether it fits.
func (j *job) places(r *RunOut) {
	k := &j.cut
	late := 0.0 // how far past the end of full thread the hand acts
	switch {
	case k.mark != nil && j.length == nil:
		r.Why = joinWhy(r.Why, "a mark says nothing without the length of the thread")
		return
	case k.mark != nil:
		late = k.mark.Sub(*j.length).MM()
		r.ActAt = j.dimp(*k.mark)
	case j.length != nil:
		r.ActAt = j.dimp(*j.length)
	}
	if r.ActAt != nil && r.Overrun != nil {
		r.StillBy = approx(r.ActAt.MM() + r.Overrun.MM())
	}
	if r.Room == nil {
		return
	}
	if j.length != nil {
		r.Limit = approx(j.length.MM() + r.Room.MM())
	}
	left := r.Room.MM() - late
	if r.Overrun != nil {
		fits := r.Overrun.MM() <= left
		r.Fits = &fits
		switch {
		case left <= 0:
			r.Why = joinWhy(r.Why, "the mark lies where the room already ends")
		case !fits:
			r.Why = joinWhy(r.Why, "the overrun passes the room: run slower")
			if r.HalfNut == HalfNutKeptClosed {
				r.Why += ", and measure the coast at that speed"
			}
		}
	}
	if r.HalfNut != HalfNutOpened || left <= 0 {
		return
	}
	most := 60 * left / (j.lead.MM() * r.ReactionS)
	r.GreatestRPM = &most
	r.NextLowerRPM = j.nextLower(most)
	if j.lathe.speeds != nil && r.NextLowerRPM == nil {
		r.Why = joinWhy(r.Why, "no speed of this lathe is slow enough")
	}
}

// startingGroove is the least width of the groove in which the tool stands before a
// left-hand thread: its own width at the surface, and one lead in which the slack of
// the leadscrew is taken up and the half-nut closes (common practice, no source).
// With the half-nut kept closed the spindle is stopped in reverse one lead before the
// work, and overruns there as it does at the end.
func (j *job) startingGroove(r *RunOut) {
	if !j.left || j.form == nil {
		return
	}
	width := j.toolWidthAtSurface()
	if j.cut.toolWidth != nil {
		width = j.cut.toolWidth.MM()
	}
	width += j.lead.MM()
	if r.HalfNut == HalfNutKeptClosed && r.Overrun != nil {
		width += r.Overrun.MM()
	}
	r.StartingGroove = approx(width)
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
	case k.groove == nil:
		return
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
// crosses the work's surface at full depth: f + x·(tan α1 + tan α2).
func (j *job) toolWidthAtSurface() float64 {
	return j.flat() + j.depthOfCut.mm*j.flankSlope()
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
