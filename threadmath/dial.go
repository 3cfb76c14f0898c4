package threadmath

// threadDials says what every line of every dial catches, over all turns of the
// dial. A dial wheel of T teeth on a leadscrew of closing p′ moves one tooth for
// every leadscrew thread that passes, so that line m of M comes up m·T/M threads
// on and the whole dial turns in T·p′.
func (j *job) threadDials(n *nut) []DialAnswer {
	if j.lathe.dials == nil || n == nil {
		return nil
	}
	out := make([]DialAnswer, 0, len(j.lathe.dials))
	for _, d := range j.lathe.dials {
		out = append(out, j.threadDial(n, d))
	}
	return out
}

func (j *job) threadDial(n *nut, d dial) DialAnswer {
	out := DialAnswer{Teeth: d.teeth, Graduations: d.graduations, Runs: d.runs, Lines: make([]DialLine, d.graduations)}
	starts := int64(j.starts)
	var a, b int64
	onStarts := false
	if n.has {
		// T·p′ is a multiple of P, so that a line that is once on a start is always
		// on one, exactly when b divides n·T.
		a, b, onStarts = n.small(starts * int64(d.teeth))
	}
	for m := range out.Lines {
		l := &out.Lines[m]
		l.Line = m
		k, whole := j.threadsTo(d, m)
		switch {
		case !n.has || !whole:
			l.Catches = CatchesNoClose
		case !onStarts || k*a%b*starts%b != 0:
			l.Catches = CatchesOff
		default:
			start := k * a % b * starts / b
			turn := int64(d.teeth) * a % b * starts / b // starts by which a turn of the dial moves on
			if turn == 0 {
				l.Catches, l.Start = CatchesStart, int(start)+1
				continue
			}
			l.Catches = CatchesVaries
			step := gcd(turn, starts)
			for s := start % step; s < starts; s += step {
				l.Starts = append(l.Starts, int(s)+1)
			}
		}
	}
	out.Between = j.betweenLines(n, d, out.Lines)
	return out
}

// threadsTo returns how many leadscrew threads pass until line m is up, and
// whether the half-nut can close there. A dial whose numbers run down shows
// line M−m where another shows m.
func (j *job) threadsTo(d dial, m int) (threads int64, whole bool) {
	if j.runsDown(d) {
		m = (d.graduations - m) % d.graduations
	}
	t := int64(m) * int64(d.teeth)
	return t / int64(d.graduations), t%int64(d.graduations) == 0
}

// runsDown says whether the dial's numbers come up in falling order on this
// job. A left-hand thread turns the leadscrew, and with it the dial, the other
// way. Where the request does not say how the numbers run, lines are counted as
// they come up.
func (j *job) runsDown(d dial) bool { return d.runs != "" && (d.runs == DialRunsDown) != j.left }

// betweenLines finds, for each start that no line catches although the half-nut
// reaches it, the fewest leadscrew threads past a usable line.
func (j *job) betweenLines(n *nut, d dial, lines []DialLine) []BetweenLines {
	if !n.has {
		return nil
	}
	_, b, fixed := n.small(int64(d.teeth))
	if !fixed {
		return nil
	}
	caught := make([]bool, j.starts)
	for _, l := range lines {
		if l.Catches == CatchesStart {
			caught[l.Start-1] = true
		}
	}
	var out []BetweenLines
	for i := range j.starts {
		k, ok := n.to(i)
		if !ok || caught[i] {
			continue
		}
		threads, _ := k.Int64() // below b, which divides the teeth
		best := BetweenLines{Start: i + 1, LeadscrewThreads: b}
		for _, l := range lines {
			if l.Catches != CatchesStart {
				continue
			}
			at, _ := j.threadsTo(d, l.Line)
			if past := ((threads-at)%b + b) % b; past < best.LeadscrewThreads {
				best.PastLine, best.LeadscrewThreads = l.Line, past
			}
		}
		best.Lines = frac(best.LeadscrewThreads*int64(d.graduations), int64(d.teeth))
		out = append(out, best)
	}
	return out
}
