package threadmath

import "strconv"

// The kinds of holders that turn the work by stations.
const (
	ChuckJaws       = "chuck-jaws"
	FaceplateSlots  = "faceplate-slots"
	DrivePlateSlots = "drive-plate-slots"
	IndexHoles      = "index-holes"
)

// holders says which stations serve which start. J stations serve n starts when
// n divides J; start j+1 uses station 1 + j·J/n, in the direction of rotation,
// but for spindle index holes against it, the order in which they reach the pin.
func (j *job) holders() []HolderAnswer {
	if j.lathe.holders == nil {
		return nil
	}
	out := make([]HolderAnswer, 0, len(j.lathe.holders))
	for _, h := range j.lathe.holders {
		out = append(out, j.holder(h))
	}
	return out
}

func (j *job) holder(h holder) HolderAnswer {
	out := HolderAnswer{Kind: h.kind, Stations: h.stations, ErrorDeg: h.errorDeg, Counted: "in the direction of rotation"}
	if h.kind == IndexHoles {
		out.Counted = "against the direction of rotation"
	}
	stations := strconv.Itoa(h.stations) + " stations"
	if h.kind == IndexHoles && j.trainShut() {
		out.Why = trainShut
		return out
	}
	if h.kind != IndexHoles && j.internal {
		out.Why = "a dog drives work between centres, and a bore is not cut there"
		return out
	}
	turns := newSteps(frac(1, int64(h.stations)), j.starts)
	if !turns.all() {
		out.Why = stations + " do not divide into " + strconv.Itoa(j.starts) + " starts"
		return out
	}
	out.Usable = true
	out.StationsOfStarts = make([]int, j.starts)
	for i := range out.StationsOfStarts {
		k, _ := turns.to(i)
		station, _ := k.Int64() // below the number of stations
		out.StationsOfStarts[i] = int(station) + 1
	}
	out.SpacingError = j.angularSpacing(h.errorDeg)
	out.PitchDiameterCost = j.pitchDiameterCost(out.SpacingError)
	return out
}

// angularSpacing is the spacing error L·δ/360° of the largest angular error δ
// between any two stations used; nil where δ is not known, which is not zero.
func (j *job) angularSpacing(deg *float64) *Dimension {
	switch {
	case j.starts == 1:
		return j.dimp(Length{}) // one station only: nothing to space
	case deg == nil:
		return nil
	}
	// δ as the request wrote it, as far as that is an ordinary decimal.
	if text := strconv.FormatFloat(*deg, 'f', -1, 64); len(text) <= 20 {
		if r, err := ParseRatio(text); err == nil {
			return j.dimp(j.lead.Mul(r).Div(360))
		}
	}
	return approx(j.lead.MM() * *deg / 360)
}
