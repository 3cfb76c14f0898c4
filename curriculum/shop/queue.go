package shop

import "halfnut/curriculum"

// Help returns what a call for help costs while lathes lathes run: each calls
// after callEvery minutes of running on average, an instructor helps for help
// minutes on average, and instructors of them answer calls in the order they
// come. It is the finite-source queue with exponential times (machine
// interference; Palm 1947, Feller vol. 1 ch. XVII.7):
//
//	p(i) ∝ C(K, i)·ρ^i            for i ≤ c,   ρ = help/callEvery
//	p(i) ∝ C(K, i)·ρ^i·i!/(c!·c^(i−c))  beyond
//	wait = (Σ i·p(i))/calls a minute − help
//
// Arguments must be positive; with as many instructors as lathes nobody waits.
// Floats, error below 1e-12 of the value for up to 1000 lathes.
func Help(lathes int, callEvery, help float64, instructors int) curriculum.Waiting {
	if lathes <= 0 || callEvery <= 0 || help <= 0 || instructors <= 0 {
		return curriculum.Waiting{}
	}
	down, working := waiting(lathes, help/callEvery, instructors)
	calls := working / help // answered a minute
	// An arriving call sees the shop as it is without the caller (arrival theorem).
	mustWait := 0.0
	if lathes > instructors {
		p := states(lathes-1, help/callEvery, instructors)
		for _, x := range p[instructors:] {
			mustWait += x
		}
	}
	return curriculum.Waiting{Minutes: max(0, down/calls-help), Busy: working / float64(instructors), MustWait: mustWait}
}

// waiting returns the mean number of lathes that stand and of instructors at work.
func waiting(lathes int, rho float64, instructors int) (down, working float64) {
	for i, x := range states(lathes, rho, instructors) {
		down += float64(i) * x
		working += float64(min(i, instructors)) * x
	}
	return down, working
}

// states returns the probabilities that 0, 1 … lathes of them stand.
func states(lathes int, rho float64, instructors int) []float64 {
	p := make([]float64, lathes+1)
	p[0] = 1
	sum := 1.0
	for i := 1; i <= lathes; i++ {
		p[i] = p[i-1] * float64(lathes-i+1) * rho / float64(min(i, instructors))
		sum += p[i]
		if sum > 1e200 { // keep within range for many lathes and short runs
			for k := range i + 1 {
				p[k] /= sum
			}
			sum = 1
		}
	}
	for i := range p {
		p[i] /= sum
	}
	return p
}
