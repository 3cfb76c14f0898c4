// Package simulate lets invented classes, of which everything is known, practise
// by the plans of package plan and be judged by the gates of package mastery: how
// often somebody passes who does not hold the skill, and whether the forecast of
// who will be ready comes true.
//
// The learners differ from one another and from the fixed parameters that the
// models use: each has a rate of learning, of slips and of guesses of their own,
// and some do not only guess but hold a wrong rule until they learn the right
// one. What they know is known to the simulation alone. Nobody forgets, nobody
// misses a sitting, and what is learned stays learned; the spans are this
// project's own choice, no source.
package simulate

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"time"

	"halfnut/curriculum"
	"halfnut/curriculum/mastery"
	"halfnut/curriculum/plan"
)

// Config says what is simulated.
type Config struct {
	Learners, Weeks int
	// Every is the number of days from sitting to sitting, Size the exercises of
	// each.
	Every, Size int
	Skills      []string
	Seed        uint64
	// Runs is the number of imagined runs of each forecast.
	Runs int
}

// Default is a course of ten weeks for multi-start threading: the ten skills of
// its theory test with all they build on, twelve exercises every second day.
func Default() Config {
	return Config{
		Learners: 600, Weeks: 10, Every: 2, Size: 12, Seed: 1, Runs: 100,
		Skills: []string{
			"run-out", "lead", "gearbox-setting", "pick-up", "thread-dial", "axial-offset", "station-index", "collar-reading", "depth-60", "tool-flanks",
		},
	}
}

// spans of what differs between learners, from one end to the other with equal
// probability.
var (
	learnSpan = [2]float64{0.08, 0.22}
	slipSpan  = [2]float64{0.03, 0.12}
	guessSpan = [2]float64{0.01, 0.07}
	// startSpan multiplies the share that holds a skill before it is met.
	startSpan = [2]float64{0.5, 1.5}
	// misledShare of those who do not hold a skill go by one wrong rule.
	misledShare = 0.3
	// pool is the number of different tasks that a skill's exercises are drawn from.
	pool = 30
)

// learner is an invented person.
type learner struct {
	learn, slip, guess float64
	holds, misled      map[string]bool
	cells              curriculum.Cells
	passed             map[string]bool // through the machine's gate, ever
}

// Result is what came of it.
type Result struct {
	Config Config
	// Answers counts first tries. Passed counts the skills that learners took
	// through the machine's gate, Wrongly those that they did not hold when they did.
	Answers, Passed, Wrongly int
	// Tries is the mean number of first tries at a skill until it passed.
	Tries float64
	// Ready is the share of learners for whom every gate was open on the day.
	Ready float64
	// Forecast is the mean chance given half-way, Brier its mean squared error
	// against what came true, Skill the gain on giving everybody the same chance (1
	// is perfect, 0 no gain). Bins compare both by fifths; Off is the mean distance
	// between them, each bin counted by its learners.
	Forecast, Brier, Skill, Off float64
	Bins                        []Bin
}

// Bin gathers the learners whose forecast lay in a fifth of the scale.
type Bin struct {
	From, To float64
	Learners int
	// Forecast and Ready are the mean chance and the share that was ready.
	Forecast, Ready float64
}

// WronglyShare is the share of passes that were wrong.
func (r Result) WronglyShare() float64 { return float64(r.Wrongly) / math.Max(1, float64(r.Passed)) }

// bins is into how many parts the scale of forecasts is cut.
const bins = 5

var begin = time.Date(2026, 1, 5, 18, 0, 0, 0, time.UTC)

// Run simulates the learners one after another; the same configuration gives the
// same result.
func Run(c Config) (Result, error) {
	if c.Learners < 1 || c.Weeks < 1 || c.Every < 1 || c.Size < 1 || c.Runs < 1 || len(plan.Wanted(c.Skills)) == 0 {
		return Result{}, fmt.Errorf("%w: a simulation needs learners, weeks, sittings and skills", curriculum.ErrInvalid)
	}
	gate := begin.AddDate(0, 0, 7*c.Weeks)
	aim := plan.Aim{Skills: c.Skills, Gate: gate, Size: c.Size}
	var days []time.Time
	for at := begin; at.Before(gate); at = at.AddDate(0, 0, c.Every) {
		days = append(days, at)
	}
	r := Result{Config: c, Bins: make([]Bin, bins)}
	var tries int
	forecasts, outcomes := make([]float64, c.Learners), make([]float64, c.Learners)
	for n := range c.Learners {
		random := rand.New(rand.NewPCG(c.Seed, uint64(n)))
		l := newLearner(c, random)
		half := len(days) / 2
		for d, at := range days {
			if d == half {
				forecasts[n] = plan.Forecast(l.cells, aim, days[half:], c.Runs, random)
			}
			for k, item := range plan.Next(l.cells, aim, at) {
				l.answer(item.Skill, at.Add(time.Duration(k)*time.Minute), d*1000+k, random)
				r.Answers++
				cell := l.cells[item.Skill]
				if l.passed[item.Skill] || !mastery.Machine.Open(*cell) {
					continue
				}
				l.passed[item.Skill] = true
				r.Passed++
				tries += cell.Chances
				if !l.holds[item.Skill] {
					r.Wrongly++
				}
			}
		}
		outcomes[n] = l.ready(c)
	}
	r.Tries = float64(tries) / math.Max(1, float64(r.Passed))
	r.compare(forecasts, outcomes)
	return r, nil
}

func newLearner(c Config, random *rand.Rand) *learner {
	between := func(s [2]float64) float64 { return s[0] + (s[1]-s[0])*random.Float64() }
	l := &learner{
		learn: between(learnSpan), slip: between(slipSpan), guess: between(guessSpan),
		holds: map[string]bool{}, misled: map[string]bool{}, passed: map[string]bool{}, cells: curriculum.Cells{},
	}
	brings := between(startSpan)
	for _, skill := range plan.Wanted(c.Skills) {
		l.holds[skill] = random.Float64() < min(1, brings*mastery.ParamsOf(skill, 0).Start)
		l.misled[skill] = !l.holds[skill] && random.Float64() < misledShare
	}
	return l
}

// answer is one first try at an exercise; it may teach the skill.
func (l *learner) answer(skill string, at time.Time, n int, random *rand.Rand) {
	v := curriculum.Verdict{Part: "a", Skill: skill, Outcome: curriculum.Unknown}
	right := random.Float64() < l.guess
	if l.holds[skill] {
		right = random.Float64() >= l.slip
	}
	switch {
	case right:
		v.Outcome = curriculum.Right
	case !l.holds[skill] && l.misled[skill]:
		v.Outcome, v.WrongRule = curriculum.WrongRuleUsed, "a-rule"
	}
	mastery.Fold(l.cells, nil, curriculum.Attempt{
		ID: strconv.Itoa(n), Variant: "sheet", Position: n, Numbers: strconv.Itoa(random.IntN(pool)), Verdicts: []curriculum.Verdict{v}, At: at,
	})
	l.holds[skill] = l.holds[skill] || random.Float64() < l.learn
}

// ready is 1 when every gate is open, else 0.
func (l *learner) ready(c Config) float64 {
	for _, skill := range c.Skills {
		if cell := l.cells[skill]; cell == nil || !mastery.Machine.Open(*cell) {
			return 0
		}
	}
	return 1
}

func (r *Result) compare(forecasts, outcomes []float64) {
	n := float64(len(forecasts))
	for i, f := range forecasts {
		r.Forecast += f / n
		r.Ready += outcomes[i] / n
		r.Brier += (f - outcomes[i]) * (f - outcomes[i]) / n
		b := &r.Bins[min(int(f*float64(len(r.Bins))), len(r.Bins)-1)]
		b.Learners++
		b.Forecast += f
		b.Ready += outcomes[i]
	}
	if same := r.Ready * (1 - r.Ready); same > 0 {
		r.Skill = 1 - r.Brier/same
	}
	for i := range r.Bins {
		b := &r.Bins[i]
		b.From, b.To = float64(i)/float64(len(r.Bins)), float64(i+1)/float64(len(r.Bins))
		if b.Learners > 0 {
			b.Forecast /= float64(b.Learners)
			b.Ready /= float64(b.Learners)
			r.Off += float64(b.Learners) / n * math.Abs(b.Forecast-b.Ready)
		}
	}
}
