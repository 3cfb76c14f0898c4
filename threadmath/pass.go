package threadmath

import (
	"math"
	"strconv"
)

// maxPasses bounds an infeed plan; nobody cuts a thread in more.
const maxPasses = 500

// Pass is one cut; Depth is radial and Slide along the slide, both so far.
type Pass struct {
	Pass  int       `json:"pass"`
	Depth Dimension `json:"depth"`
	Slide Dimension `json:"slide"`
	// Step is the radial depth added by this pass.
	Step   Dimension `json:"step"`
	Collar *Collar   `json:"collar,omitempty"`
}

// Collar is a setting as that collar reads it, rounded from zero to its nearest
// division.
type Collar struct {
	Turns     int       `json:"turns"`
	Divisions int       `json:"divisions"`
	Reading   Dimension `json:"reading"`
}

// chipArea returns A(x) = f·x + x²·(tan α1 + tan α2)/2, the area in mm² of a
// groove cut x mm deep by a tool whose nose is f mm wide.
func chipArea(x, flat, slope float64) float64 { return flat*x + x*x*slope/2 }

// depthOfArea returns the depth at which chipArea reaches area: the positive
// root, written so that neither a sharp nose nor straight flanks divide by 0.
func depthOfArea(area, flat, slope float64) float64 {
	if area <= 0 {
		return 0
	}
	return 2 * area / (flat + math.Sqrt(flat*flat+2*slope*area))
}

// passDepths returns the depth in mm after each pass of equal chip area:
//
//	N = ⌈A(h)/A(first cut)⌉, A(depth i) = i·A(h)/N
//
// so the first pass takes at most the first cut. Once a step would fall under
// the smallest useful cut (0: none) steps equal that cut, and a remainder under
// half of it joins the last. Before the last `finishing` cuts of exactly the
// smallest cut the rest is roughed. Lengths in mm, error below 1e-12 of h; the
// last depth is h itself. ok is false for more than 500 passes.
func passDepths(h, first, least, flat, slope float64, finishing int) (depths []float64, ok bool) {
	rough := h - float64(finishing)*least
	area := chipArea(rough, flat, slope)
	// A whole number of first cuts may come out a hair above itself.
	n := math.Max(1, math.Ceil(area/chipArea(first, flat, slope)-1e-9))
	done := 0.0
	for i := 1.0; i <= n; i++ {
		next := rough
		if i < n {
			next = depthOfArea(i*area/n, flat, slope)
		}
		if next-done < least*(1-1e-9) {
			depths = leastSteps(depths, done, rough, least)
			break
		}
		depths, done = append(depths, next), next
		if len(depths) > maxPasses {
			return nil, false
		}
	}
	for i := finishing - 1; i >= 0; i-- {
		depths = append(depths, h-float64(i)*least)
	}
	return depths, len(depths) <= maxPasses
}

// leastSteps goes from done to the end in steps of the smallest cut.
func leastSteps(depths []float64, done, end, least float64) []float64 {
	left := end - done
	count := math.Floor(left/least + 1e-9)
	if count > maxPasses {
		return make([]float64, maxPasses+1) // refused by the caller
	}
	if left-count*least >= least/2 {
		count++
	}
	if count == 0 {
		// Too little for a pass of its own: the pass before takes it.
		if len(depths) == 0 {
			return []float64{end}
		}
		depths[len(depths)-1] = end
		return depths
	}
	for i := 1.0; i < count; i++ {
		depths = append(depths, done+i*least)
	}
	return append(depths, end)
}

// planPasses computes the depths that every infeed plan shares. Without a first
// cut there are none, and a plan says so.
func (j *job) planPasses() error {
	k := &j.cut
	if j.prop == nil || k.firstCut == nil {
		return nil
	}
	least, finishing := 0.0, 0
	if k.leastCut != nil {
		least = k.leastCut.MM()
		if k.leastCut.Cmp(*k.firstCut) > 0 {
			return &DomainError{Quantity: "/cut/least_cut", Value: k.leastCut.Exact(j.system), Reason: "more than the first cut", Range: "up to " + k.firstCut.Exact(j.system)}
		}
	}
	h := j.depthOfCut.mm
	if k.finishingPasses != nil && *k.finishingPasses > 0 {
		finishing = *k.finishingPasses
		if k.leastCut == nil {
			return &DomainError{Quantity: "/cut/finishing_passes", Value: strconv.Itoa(finishing), Reason: "a finishing pass takes the smallest useful cut, which is not given", Range: "0, or with /cut/least_cut"}
		}
		if float64(finishing)*least >= h {
			return &DomainError{Quantity: "/cut/finishing_passes", Value: strconv.Itoa(finishing), Reason: "finishing passes take the whole depth", Range: "fewer than " + formatFloat(math.Ceil(h/least))}
		}
	}
	depths, ok := passDepths(h, k.firstCut.MM(), least, j.flat(), j.flankSlope(), finishing)
	if !ok {
		return &DomainError{Quantity: "/cut/first_cut", Value: k.firstCut.Exact(j.system), Reason: "the thread would need more than " + strconv.Itoa(maxPasses) + " passes", Range: "a heavier cut"}
	}
	j.depths = depths
	return nil
}

// passes returns the passes of a plan whose slide stands at the angle from the
// cross-slide, with the readings of the slide's collar where it is known. A pass
// that the collar does not tell from the one before is taken together with it.
func (j *job) passes(angleDeg float64, s *slide) []Pass {
	var out []Pass
	before := 0.0
	for i, depth := range j.depths {
		p := Pass{Pass: i + 1, Depth: ApproxDimension(depth), Step: ApproxDimension(depth - before)}
		before = depth
		if i == len(j.depths)-1 {
			p.Depth = j.depthOfCut.dimension(j.system)
		}
		p.Slide = alongSlide(p.Depth, angleDeg)
		p.Collar = j.collar(s, p.Slide.MM())
		last, same := len(out)-1, false
		if p.Collar != nil {
			reading := Dimension{}
			if last >= 0 {
				reading = out[last].Collar.Reading
			}
			same = p.Collar.Reading.MM() == reading.MM()
		}
		switch {
		case !same:
			p.Pass = len(out) + 1
			out = append(out, p)
		case last >= 0:
			p.Pass, p.Step = out[last].Pass, ApproxDimension(out[last].Step.MM()+p.Step.MM())
			out[last] = p
		case i == len(j.depths)-1:
			out = append(out, p)
		}
		if same && last < 0 && i < len(j.depths)-1 {
			before -= p.Step.MM() // the next pass takes this step as well
		}
	}
	return out
}

// alongSlide returns depth/cos θ, exact for a slide that feeds straight in.
func alongSlide(depth Dimension, angleDeg float64) Dimension {
	if angleDeg == 0 {
		return depth
	}
	return ApproxDimension(depth.MM() / math.Cos(angleDeg*math.Pi/180))
}

// collar returns the collar setting for a slide moved by mm from zero: rounded
// to the nearest division of the total, never step by step, and doubled where
// the collar reads diameter. Nil where the collar is not known.
func (j *job) collar(s *slide, mm float64) *Collar {
	if s == nil || s.graduation == nil {
		return nil
	}
	if s.readsDiameter {
		mm *= 2
	}
	// A collar sits at 0.1 µm or coarser and a slide moves less than 100 m, so
	// the count is far below 2⁵³.
	// Equal areas do reach exact halves; the hair keeps float noise from deciding.
	k := int(math.Floor(mm/s.graduation.MM() + 0.5 + 1e-9))
	c := &Collar{Divisions: k, Reading: j.dim(s.graduation.Times(k))}
	if s.perTurn != nil {
		if per, whole := s.perTurn.Quo(*s.graduation).Int64(); whole && per > 0 {
			c.Turns, c.Divisions = k/int(per), k%int(per)
		}
	}
	return c
}
