package generate

import (
	"fmt"
	"slices"
	"strconv"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

var chooseModels = []*model{
	{skill: "choose-method", name: "spacing-allowed", version: 4, weight: 2, serve: servesWays(bySpacing), draw: chooseBySpacing},
	{skill: "choose-method", name: "fit-allowed", version: 4, weight: 1, serve: servesWays(byFit), draw: chooseByFit},
}

// limit is what a job allows: uneven spacing, or what it takes from the pitch
// diameter.
type limit int

const (
	bySpacing limit = iota
	byFit
)

// allowed are the limits that are asked about.
var allowed = map[threadmath.System][]string{
	threadmath.Metric: {"0.002 mm", "0.005 mm", "0.01 mm", "0.02 mm", "0.03 mm", "0.05 mm"},
	threadmath.Inch:   {"0.0001 in", "0.0002 in", "0.0005 in", "0.001 in", "0.0015 in", "0.002 in"},
}

// clearOfLimit is how far an error must stay from the limit, as a factor, so that
// rounding decides nothing.
const clearOfLimit = 1.25

// mostWrong is how many ways that do not serve stand beside the one that does.
const mostWrong = 3

// way is one way of indexing on a lathe, judged for a thread.
type way struct {
	words  string
	usable bool
	why    string
	// mistake is the catalogue's id for taking it where it is not usable.
	mistake string
	// family joins ways that serve or fail together.
	family string
	// errors are spacing error and pitch-diameter cost in mm; nil is not known.
	errors [2]*float64
	// least and most are what the errors may come to as parts of themselves: a
	// collar that stands half-way between two divisions may be set to either.
	least, most float64
	// unsettled says that something which the learner is not told decides whether
	// the way is usable.
	unsettled bool
}

// serves reports whether the way keeps to the limit, in mm, and why it does not.
// near is set where the error lies too close to it for a question.
func (w way) serves(by limit, most float64) (ok bool, mistake string, near bool) {
	e := w.errors[by]
	switch {
	case w.unsettled:
		return false, w.mistake, true
	case !w.usable:
		return false, w.mistake, false
	case e == nil:
		return false, "error-unknown", false
	case *e > most:
		return false, "too-uneven", *e*w.least < most*clearOfLimit
	}
	return true, "", *e*w.most*clearOfLimit > most
}

// halfDivisions sets how unevenly a slide may space the starts where a move ends
// half-way between two divisions of its collar: turned on or back every time, or
// now on and now back.
func (w *way) halfDivisions(s *threadmath.ParallelSlide, division threadmath.Length) {
	if w.errors[bySpacing] == nil || *w.errors[bySpacing] == 0 {
		return
	}
	half := division.Div(2)
	var low, high threadmath.Length // of the moves that leave no choice
	halves := 0
	for _, m := range s.Moves {
		e, exact := m.Error.Exact()
		switch {
		case !exact:
		case e.Equal(half), e.Equal(half.Neg()):
			halves++
		case e.Cmp(low) < 0:
			low = e
		case e.Cmp(high) > 0:
			high = e
		}
	}
	if halves == 0 {
		return
	}
	on, back := half.Sub(low).MM(), high.Add(half).MM()
	worst := max(on, back)
	if halves > 1 {
		worst = division.MM()
	}
	e := *w.errors[bySpacing]
	w.least, w.most = min(on, back)/e, worst/e
}

// wayCell is a thread and a limit for which some of a lathe's ways serve and at
// least two do not.
type wayCell struct {
	starts   int
	spacing  spacing
	limit    string
	yes, no  []int // of ways
	ways     []way
	decisive bool // one of no fails by its error
}

// wayRequest is a 60° thread on the lathe, of the form that the units use.
func (m *machine) wayRequest(s spacing, n int) threadmath.Request {
	f := isoExternal
	if s.system == threadmath.Inch {
		f = national
	}
	l := m.ways
	return threadmath.Request{Thread: f.request(s, n), Lathe: &l}
}

// waysOf judges every way of indexing that the request says enough about.
func waysOf(r threadmath.Request) ([]way, error) {
	a, err := threadmath.Solve(r)
	if err != nil {
		return nil, reject("not solvable: %v", err)
	}
	mm := func(d *threadmath.Dimension) *float64 {
		if d == nil {
			return nil
		}
		v := d.MM()
		return &v
	}
	var out []way
	for _, m := range a.Methods {
		if m.Bound != "" {
			continue // true arithmetic that no shop would do is neither right nor a mistake
		}
		w := way{usable: m.Usable, why: m.Why, family: m.Method, errors: [2]*float64{mm(m.SpacingError), mm(m.PitchDiameterCost)}, least: 1, most: 1}
		switch m.Method {
		case threadmath.ByThreadDial:
			w.words, w.mistake = "the lines of the thread dial", "false-path"
			if len(r.Lathe.ThreadDials) == 0 {
				continue
			}
		case threadmath.ByHalfNut:
			w.words, w.mistake = "the half-nut, closed a counted number of leadscrew threads later", "false-path"
			w.family = "leadscrew"
			if a.HalfNut == nil || r.Lathe.HalfNut != nil && !*r.Lathe.HalfNut {
				continue
			}
		case threadmath.ByCarriageShift:
			w.words, w.mistake = "the carriage, half-nut open, shifted by whole leadscrew threads", "false-path"
			w.family = "leadscrew"
			if a.CarriageShift == nil || r.Lathe.HalfNut != nil && !*r.Lathe.HalfNut {
				continue
			}
		case threadmath.ByCompoundParallel:
			if a.CompoundSlide == nil {
				continue
			}
			w.words, w.mistake = "the compound slide set parallel to the axis, "+slideText(r.Lathe.CompoundSlide), "too-little-travel"
			if err := w.judgeSlide(a.CompoundSlide, r.Lathe.CompoundSlide); err != nil {
				return nil, err
			}
		case threadmath.ByStudGear, threadmath.ByLeadscrewGear:
			var ok bool
			if w.words, ok = gearText(m.Method, r.Lathe); !ok {
				continue
			}
			w.mistake = "teeth-not-whole"
			if r.Lathe.TrainOpens != nil && !*r.Lathe.TrainOpens {
				w.mistake = "train-shut"
			}
		default:
			continue // holders are judged one by one
		}
		out = append(out, w)
	}
	for i, h := range a.Holders {
		w := way{usable: h.Usable, why: h.Why, mistake: "does-not-divide", family: h.Kind + strconv.Itoa(h.Stations), errors: [2]*float64{mm(h.SpacingError), mm(h.PitchDiameterCost)}, least: 1, most: 1}
		w.words = holderWords(r.Lathe.Holders[i]) + ", "
		if h.ErrorDeg == nil {
			w.words += "their angles never measured"
		} else {
			w.words += "true within " + strconv.FormatFloat(*h.ErrorDeg, 'f', -1, 64) + "° between any two"
		}
		if h.Kind == threadmath.IndexHoles && r.Lathe.TrainOpens != nil && !*r.Lathe.TrainOpens {
			w.mistake = "train-shut"
		}
		out = append(out, w)
	}
	return out, nil
}

// judgeSlide sets what the words of the slide leave open: the way of half a
// division, and whether it has room where only the reserve decides about that.
func (w *way) judgeSlide(s *threadmath.ParallelSlide, slide *threadmath.Slide) error {
	c, err := readCollar(slide)
	if err != nil {
		return err
	}
	if last, ok := s.Moves[len(s.Moves)-1].Distance.Exact(); ok && c.travel != nil {
		w.unsettled = !s.Usable && c.travel.Cmp(last) >= 0
	}
	if c.graduation == nil {
		return nil
	}
	division := *c.graduation
	if c.readsDiameter {
		division = division.Div(2)
	}
	w.halfDivisions(s, division)
	return nil
}

func slideText(s *threadmath.Slide) string {
	text := "its collar not graduated"
	if s.Graduation != "" {
		text = "divisions of " + s.Graduation
	}
	if s.Travel != "" {
		text += ", travel " + s.Travel
	}
	return text
}

// gearText describes the gear that is indexed by, if the lathe names it.
func gearText(method string, l *threadmath.Lathe) (string, bool) {
	shut := l.TrainOpens != nil && !*l.TrainOpens
	switch {
	case method == threadmath.ByStudGear && l.StudGear == nil && shut:
		return "the teeth of the first gear, counted with the train opened", true
	case method == threadmath.ByStudGear && l.StudGear != nil:
		turns := string(l.StudGear.TurnsPerSpindleTurn)
		if turns == "" || turns == "1" {
			return fmt.Sprintf("the stud gear of %d teeth, which turns with the spindle, train opened", l.StudGear.Teeth), true
		}
		return fmt.Sprintf("the stud gear of %d teeth, %s turn to one of the spindle, train opened", l.StudGear.Teeth, turns), true
	case method == threadmath.ByLeadscrewGear && l.LeadscrewGear != nil:
		return fmt.Sprintf("the leadscrew gear of %d teeth, train opened, spindle still", l.LeadscrewGear.Teeth), true
	}
	return "", false
}

// knownWays are the cells of each limit.
var knownWays [2]cellCache[*wayCell]

func (m *machine) wayCells(by limit, units threadmath.System) []*wayCell {
	return knownWays[by].of(m, units, func() []*wayCell { return m.findWayCells(by, units) })
}

func (m *machine) findWayCells(by limit, units threadmath.System) []*wayCell {
	var out []*wayCell
	for n := 2; n <= 6; n++ {
		for _, s := range spacings[units] {
			if !m.cuts(s.length.Times(n)) {
				continue
			}
			ways, err := waysOf(m.wayRequest(s, n))
			if err != nil {
				continue
			}
			for _, text := range allowed[units] {
				if c, ok := newWayCell(by, n, s, text, ways); ok {
					out = append(out, &c)
				}
			}
		}
	}
	return out
}

// newWayCell parts the ways by a limit; ok is false where that makes no
// question.
func newWayCell(by limit, n int, s spacing, text string, ways []way) (c wayCell, ok bool) {
	most, _, err := threadmath.ParseLength(text)
	if err != nil {
		return c, false
	}
	c = wayCell{starts: n, spacing: s, limit: text, ways: ways}
	for i, w := range ways {
		good, mistake, near := w.serves(by, most.MM())
		switch {
		case near:
		case good:
			c.yes = append(c.yes, i)
		default:
			c.no = append(c.no, i)
			c.decisive = c.decisive || w.usable && mistake != ""
		}
	}
	return c, len(c.yes) > 0 && len(c.no) > 1
}

func servesWays(by limit) func(*machine, threadmath.System) string {
	return func(m *machine, units threadmath.System) string {
		if len(m.wayCells(by, units)) == 0 {
			return "no two ways of indexing that a job could decide between"
		}
		return ""
	}
}

func chooseBySpacing(d *draw) (*item, error) {
	return chooseWay(d, bySpacing, "The starts may lie unevenly by at most %s.")
}

func chooseByFit(d *draw) (*item, error) {
	return chooseWay(d, byFit, "Uneven starts may use up at most %s of the pitch diameter.")
}

// chooseWay asks which of a lathe's ways serves a thread within a limit. Cells in
// which an error decides are preferred: they need the sum, not only a look.
func chooseWay(d *draw, by limit, demand string) (*item, error) {
	cells := d.machine.wayCells(by, d.units)
	n, err := d.starts(startsThat(func(n int) bool {
		return slices.ContainsFunc(cells, func(c *wayCell) bool { return c.starts == n })
	}))
	if err != nil {
		return nil, err
	}
	cells = slices.DeleteFunc(slices.Clone(cells), func(c *wayCell) bool { return c.starts != n })
	c := pick(d.rng, cells, func(c *wayCell) int {
		if c.decisive {
			return 4
		}
		return 1
	})
	s := c.spacing
	f := isoExternal.words
	if d.units == threadmath.Inch {
		f = national.words
	}
	screw := ""
	if d.machine.leadscrew != nil {
		screw = ", whose leadscrew is " + d.screwWords()
	}
	shut := ""
	if d.machine.gears.shut {
		shut = " Its gear train cannot be opened."
	}
	it := d.item(fmt.Sprintf("%s %s with %s is cut on %s%s. %s%s %s",
		capital(article(startWords[n])), f, s.words(), d.latheName(), screw, d.dialWords(), shut, fmt.Sprintf(demand, c.limit)))
	s.give(it)
	it.given("n", "starts", itoa(n))
	it.given("e", map[limit]string{bySpacing: "spacing error allowed", byFit: "pitch diameter that may be used up"}[by], c.limit)
	it.solve(d.machine.wayRequest(s, n))
	options := d.options(c)
	p := curriculum.Part{
		ID: "a", Kind: curriculum.KindChoice, Ask: "Which of these ways from one start to the next serves?", Marks: 2,
		Steps: []curriculum.Step{{Name: "a", Say: "Ask of each way in turn: does it reach every start, has the machine the room for it, and is its error known and small enough?"}},
	}
	most, _, err := threadmath.ParseLength(c.limit)
	if err != nil {
		return nil, err
	}
	for i, o := range options {
		w, id := c.ways[o], string(rune('A'+i))
		p.Choices = append(p.Choices, curriculum.Choice{ID: id, Text: w.words})
		ok, mistake, _ := w.serves(by, most.MM())
		if ok {
			p.Answer = curriculum.TextValue(id)
			p.Steps = append(p.Steps, curriculum.Step{Say: sentenceOf(w.words + ": " + w.amount(by, d.units) + ", no more than " + c.limit)})
			continue
		}
		wrong := mistakeWith("choose-method", mistake, "", curriculum.TextValue(id))
		wrong.Feedback = w.reason(by, mistake, c.limit, d.units)
		p.Wrong = append(p.Wrong, wrong)
		p.Steps = append(p.Steps, curriculum.Step{Say: sentenceOf(w.words + ": " + wrong.Feedback)})
	}
	it.part(p)
	it.part(d.exchanged(by))
	return it, nil
}

// exchanged asks what the limit is worth in the other measure: a choice alone does
// not show that the limit was understood.
func (d *draw) exchanged(by limit) curriculum.Part {
	ask, rule, turned := "How much pitch diameter do starts as uneven as that use up?", "sqrt(3)*e", "e/sqrt(3)"
	if by == byFit {
		ask, rule, turned = "How uneven may the starts lie, then, at most?", "e/sqrt(3)", "sqrt(3)*e"
	}
	decimals := 4
	if d.units == threadmath.Inch {
		decimals = 5
	}
	p := curriculum.Part{
		ID: "b", Kind: curriculum.KindLength, Ask: ask, Unit: d.units.String(), Decimals: decimals,
		Steps: []curriculum.Step{{Name: "c", Say: "Between flanks of 60° an axial error takes 1.732 times itself from the pitch diameter: 1 divided by the tangent of 30°.", Rule: rule, Unit: d.units.String()}},
		Wrong: mistakes("spacing-cost", "as-it-is", "times-tangent"),
	}
	for i := range p.Wrong {
		p.Wrong[i].Charges = "spacing-cost"
	}
	p.Wrong[1].Rule = turned
	return p
}

// options draws one way that serves and up to three that do not, no two of a
// family that serves or fails together.
func (d *draw) options(c *wayCell) []int {
	yes := oneOf(d, c.yes)
	out := []int{yes}
	no := slices.Clone(c.no)
	d.rng.Shuffle(len(no), func(i, j int) { no[i], no[j] = no[j], no[i] })
	// Those that fail by their error come first: they are what the limit is for.
	slices.SortStableFunc(no, func(a, b int) int {
		return btoi(!c.ways[a].usable) - btoi(!c.ways[b].usable)
	})
	for _, o := range no {
		same := slices.ContainsFunc(out, func(x int) bool { return c.ways[x].family == c.ways[o].family })
		if len(out) <= mostWrong && !same {
			out = append(out, o)
		}
	}
	d.rng.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// amount says what the way's error comes to.
func (w way) amount(by limit, units threadmath.System) string {
	e := threadmath.ApproxDimension(*w.errors[by]).Value(units)
	if e == 0 {
		return "exact"
	}
	text := strconv.FormatFloat(e, 'f', significant(e, 3), 64) + " " + units.String()
	if by == byFit {
		return "its spacing uses up " + text + " of the pitch diameter"
	}
	return "its starts lie uneven by up to " + text
}

// reason is the feedback for taking the way: what the solver says against it.
func (w way) reason(by limit, mistake, most string, units threadmath.System) string {
	switch mistake {
	case "error-unknown":
		return mistakes("choose-method", mistake)[0].Feedback
	case "too-uneven":
		return sentenceOf(w.amount(by, units) + ", more than the " + most + " allowed")
	}
	return sentenceOf(w.why)
}

// sentenceOf begins with a capital letter and ends with one stop.
func sentenceOf(s string) string {
	s = capital(s)
	if s[len(s)-1] != '.' {
		s += "."
	}
	return s
}
