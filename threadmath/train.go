package threadmath

import (
	"cmp"
	"math"
	"slices"
	"strconv"
)

// GearTrain is one set of change gears between the stud and the leadscrew.
//
// A simple train has one driver and one driven wheel, joined by any idler. A
// compound train has two of each: Drivers[0] on the stud meshes with Driven[0],
// which is keyed to Drivers[1], which meshes with Driven[1] on the leadscrew.
type GearTrain struct {
	Drivers []int `json:"drivers"`
	Driven  []int `json:"driven"`
	// Lead is what the train cuts: p·ρ·Πdrivers/Πdriven, exact.
	Lead Dimension `json:"lead"`
	// ErrorPPM is (Lead − L)/L in millionths; 0 only where the train is exact.
	ErrorPPM float64 `json:"error_ppm"`
	// Drift is the error of lead over the threaded length.
	Drift *Dimension `json:"drift,omitempty"`
	// PitchDiameterCost is what the drift takes from the pitch diameter.
	PitchDiameterCost *Dimension `json:"pitch_diameter_cost,omitempty"`
	Note              string     `json:"note,omitempty"`
}

// Rules of the search for trains.
const (
	// meshClearance is how many teeth a meshing pair must exceed the wheel beside
	// it, so that its rim clears the stud next to it (common practice, no source).
	meshClearance = 15
	// trainsListed and exactListed bound the answer: the best few, simple first.
	trainsListed = 12
	exactListed  = 8
	// nearestTrain is the error beyond which a train is of no use to anybody.
	nearestTrain = 0.01
)

// train is a candidate of the search for the best.
type train struct {
	TrainWheels
	// drivers and driven are the products of their wheels.
	drivers, driven int64
	// quotient is drivers/driven rounded once; equal ratios have equal quotients,
	// and different ones of wheels up to 1000 teeth differ by far more than that
	// rounding. It ranks trains; exactness is decided on integers.
	quotient, miss float64
	exact          bool
}

// gearTrains returns the change-gear trains for the lead, best first: exact
// ones, then near ones by their error; nil where wheels or leadscrew are not
// known, empty where nothing lies within 1 %.
//
//	ρ·Πdrivers/Πdriven = L/p
//
// with ρ the turns of the stud per spindle turn (1 where not said) and p the
// leadscrew's lead. Exactness is integer cross-multiplication. The search takes
// in every simple and every four-wheel train from the wheels on hand, each used
// as often as it is there; a wheel that would both drive and be driven is left
// out, because it cancels. A compound train a/b × c/d must clear its studs:
// a + b ≥ c + 15 and c + d ≥ b + 15 teeth (common practice, no source; the
// lathe's own bracket decides), and with bracket limits its wheels must come to
// a number of teeth between them. Trains of the same ratio are listed once,
// exact ones up to eight times, simple and small first.
func (j *job) gearTrains() []GearTrain {
	m := &j.lathe
	if m.changeGears == nil || m.leadscrew == nil {
		return nil
	}
	rho := Int(1)
	if m.stud != nil {
		rho = m.stud.turns
	}
	target := j.lead.Quo(*m.leadscrew).Quo(rho)
	found := searchTrains(m.changeGears, target, m.bracket)
	note := missingFactor(m.changeGears, target)
	out := make([]GearTrain, len(found))
	for i, t := range found {
		g := GearTrain{Drivers: []int{t.A}, Driven: []int{t.B}}
		if !t.Simple() {
			g.Drivers, g.Driven = append(g.Drivers, t.C), append(g.Driven, t.D)
		}
		// (lead − L)/L = ratio/target − 1.
		deviation := frac(t.drivers, t.driven).Quo(target).Sub(Int(1))
		g.Lead = j.dim(j.lead.Mul(deviation.Add(Int(1))))
		g.ErrorPPM = deviation.Mul(Int(1_000_000)).Float64()
		if j.length != nil {
			drift := j.length.Mul(deviation)
			g.Drift = j.dimp(drift)
			g.PitchDiameterCost = j.axialCost(math.Abs(drift.MM()))
		}
		if !t.exact {
			g.Note = note
		}
		out[i] = g
	}
	return out
}

// searchTrains returns the listed trains of the wheels for the ratio.
func searchTrains(wheels []int, target Ratio, limits *bracket) []train {
	return newChangeGears(wheels, limits).best(target)
}

func (g *ChangeGears) best(target Ratio) []train {
	ratio := newTrainRatio(target)
	list := trainList{worst: nearestTrain * (1 + 1e-12)} // 1 % itself counts, whatever the rounding
	g.twos(func(t train) {
		if ratio.rate(&t); t.miss <= list.worst {
			list.add(t)
		}
	})
	// A little wider than nearestTrain; the list draws the line itself.
	g.fours(ratio, 2*nearestTrain, func(dr, dn wheelPair) {
		t := train{drivers: dr.product, driven: dn.product}
		if ratio.rate(&t); t.miss <= list.worst && t.arrange(dr, dn, g) {
			list.add(t)
		}
	})
	list.reduce()
	return list.trains
}

// trainList gathers trains and keeps those that may still be listed, so that a
// box of wheels of nearly one size costs time but no memory.
type trainList struct {
	trains []train
	// worst is the miss beyond which a train is not listed.
	worst float64
}

func (l *trainList) add(t train) {
	l.trains = append(l.trains, t)
	if len(l.trains) >= 512 {
		l.reduce()
	}
}

// reduce sorts the trains, best first, and drops what cannot be listed. What is
// dropped now would be dropped later too, so it may run at any time.
func (l *trainList) reduce() {
	slices.SortFunc(l.trains, func(x, y train) int {
		return cmp.Or(
			cmp.Compare(x.miss, y.miss),
			cmp.Compare(x.quotient, y.quotient),
			boolFirst(x.Simple(), y.Simple()),
			cmp.Compare(x.teeth(), y.teeth()),
			cmp.Compare(x.A, y.A), cmp.Compare(x.B, y.B), cmp.Compare(x.C, y.C),
		)
	})
	kept := l.trains[:0]
	last := math.NaN()
	for _, t := range l.trains {
		if t.exact && len(kept) < exactListed || !t.exact && t.quotient != last {
			kept, last = append(kept, t), t.quotient
		}
		if len(kept) == trainsListed {
			l.worst = kept[trainsListed-1].miss
			break
		}
	}
	l.trains = kept
}

func boolFirst(x, y bool) int {
	switch {
	case x == y:
		return 0
	case x:
		return -1
	}
	return 1
}

// arrange puts two drivers and two driven wheels on their studs with the most
// room between rim and stud, and reports whether that is enough.
func (t *train) arrange(dr, dn wheelPair, gears *ChangeGears) (fits bool) {
	for i, w := range orders(dr, dn) {
		if i == 0 || w.room() > t.room() {
			t.TrainWheels = w
		}
	}
	return gears.clears(t.TrainWheels)
}

// missingFactor says which prime factor of the ratio no wheel has, the reason
// why an inch screw cuts a metric lead exactly only with a wheel of 127 teeth
// (or a multiple); empty where factors are not what is missing.
func missingFactor(wheels []int, target Ratio) string {
	ratio := newTrainRatio(target)
	if !ratio.reachable {
		return "no two pairs of wheels make L/p = " + target.String() + " exactly"
	}
	for _, n := range [2]int64{ratio.num, ratio.den} {
		for prime := int64(2); n > 1; prime++ {
			if prime*prime > n {
				prime = n // what is left is prime
			}
			if n%prime != 0 {
				continue
			}
			for n%prime == 0 {
				n /= prime
			}
			if !slices.ContainsFunc(wheels, func(w int) bool { return int64(w)%prime == 0 }) {
				return "an exact train needs the factor " + strconv.FormatInt(prime, 10) + " (ratio " + target.String() + "), which no wheel on hand has"
			}
		}
	}
	return ""
}
