package shop_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"halfnut/curriculum"
	"halfnut/curriculum/shop"
)

func lathes(n int) []string {
	out := make([]string, n)
	for i := range out {
		out[i] = fmt.Sprintf("lathe-%d", i+1)
	}
	return out
}

// same are n learners whose job takes the same minutes on every lathe.
func same(n, minutes int, on []string) []shop.Learner {
	out := make([]shop.Learner, n)
	for i := range out {
		out[i].ID = fmt.Sprintf("learner-%d", i+1)
		for _, l := range on {
			out[i].On = append(out[i].On, shop.Option{Lathe: l, Minutes: minutes})
		}
	}
	return out
}

func spec(minutes, opening, closing, n int) curriculum.ShopSpec {
	s := shop.Defaults(curriculum.ShopSpec{Minutes: minutes, Opening: opening, Closing: closing, Lathes: lathes(n)})
	return s
}

// sound checks what holds for every plan: nobody and nothing booked twice, all
// within the session, job minutes as asked, everybody accounted for.
func sound(t require.TestingT, s curriculum.ShopSpec, ls []shop.Learner, p curriculum.ShopPlan) {
	minutes := map[[2]string]int{}
	for _, l := range ls {
		for _, o := range l.On {
			minutes[[2]string{l.ID, o.Lathe}] = o.Minutes
		}
	}
	stations := map[string]curriculum.Station{}
	for _, st := range s.Stations {
		stations[st.ID] = st
	}
	use := map[string][]int{} // learner, place or instructor → bookings at each minute
	book := func(key string, b curriculum.Booking, most int) {
		if use[key] == nil {
			use[key] = make([]int, s.Minutes+1)
		}
		for m := b.Begin; m < b.End; m++ {
			use[key][m]++
			require.LessOrEqual(t, use[key][m], most, "%s at minute %d", key, m)
		}
	}
	turns, together := map[string]int{}, map[string]int{}
	for _, b := range p.Bookings {
		require.GreaterOrEqual(t, b.Begin, s.Opening)
		require.LessOrEqual(t, b.End, s.Minutes-s.Closing)
		require.Less(t, b.Begin, b.End)
		book("learner "+b.Learner, b, 1)
		switch b.Kind {
		case curriculum.BookedLathe:
			book("lathe "+b.Place, b, 1)
			turns[b.Learner]++
			if !b.Fixed {
				require.Equal(t, minutes[[2]string{b.Learner, b.Place}], b.End-b.Begin)
			}
		case curriculum.BookedCheck:
			book("instructor "+b.Place, b, 1)
			require.Equal(t, s.CheckMinutes, b.End-b.Begin)
		case curriculum.BookedStation:
			st := stations[b.Place]
			book("station "+b.Place, b, st.Places)
			if st.Together > 1 && !b.Fixed {
				together[fmt.Sprint(b.Place, b.Begin)]++
			}
		}
	}
	for _, n := range together {
		require.Zero(t, n%2, "a station for two begins with two")
	}
	left := map[string]bool{}
	for _, l := range p.Left {
		require.NotEmpty(t, l.Why)
		left[l.Learner] = true
	}
	for _, l := range ls {
		require.Equal(t, !left[l.ID], turns[l.ID] == 1, "%s has one turn or is left out", l.ID)
		if l.Why != "" {
			require.True(t, left[l.ID], "%s must not get machine time: %s", l.ID, l.Why)
		}
	}
	require.LessOrEqual(t, p.Bound.Minutes, p.Makespan)
	for _, i := range p.Idle.Learners {
		require.GreaterOrEqual(t, i.Minutes, 0)
	}
	for _, i := range p.Idle.Lathes {
		require.GreaterOrEqual(t, i.Minutes, 0)
	}
}

// 16 learners, 6 lathes, 45 minutes a job, 150 minutes of which 20 and 15 are
// demonstration and cleaning: two rotations, 12 turns, two sessions (the worked
// example sessions = ⌈N/(M·⌊(S − demo − clean)/T⌋)⌉).
func TestTwoRotations(t *testing.T) {
	t.Parallel()
	s := spec(150, 20, 15, 6)
	ls := same(16, 45, s.Lathes)
	p, err := shop.Plan(s, ls)
	require.NoError(t, err)
	sound(t, s, ls, p)
	assert.Len(t, p.Left, 4)
	assert.Equal(t, 2, p.Sessions)
	assert.Equal(t, 90, p.Makespan)
	assert.Equal(t, 90, p.Bound.Minutes)
	assert.InDelta(t, 2.0, p.Waiting.Minutes, 0.05)
	s.First = []string{"learner-16", "learner-15"}
	p, err = shop.Plan(s, ls)
	require.NoError(t, err)
	for _, l := range p.Left {
		assert.NotContains(t, s.First, l.Learner, "those who are to be first get a turn")
	}
}

func TestCheckOffLoad(t *testing.T) {
	t.Parallel()
	s := spec(150, 20, 15, 6)
	s.CheckMinutes = 5
	p, err := shop.Plan(s, same(12, 45, s.Lathes))
	require.NoError(t, err)
	assert.Equal(t, 60.0, p.CheckOff.Needs)
	assert.InDelta(t, 115*(1-p.Waiting.Busy), p.CheckOff.Has, 1e-9)
	assert.False(t, p.CheckOff.Fits, "six lathes leave an instructor about 25 minutes of 115")
	assert.Contains(t, p.CheckOff.Why, "split")
	assert.NotEmpty(t, p.Unchecked, "the second rotation ends at 110 and the closing begins at 135: five of six check-offs fit")
	assert.Len(t, p.Unchecked, 1)
}

func TestPlansAreSound(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n, m := rapid.IntRange(0, 10).Draw(t, "learners"), rapid.IntRange(1, 5).Draw(t, "lathes")
		s := spec(rapid.IntRange(60, 240).Draw(t, "minutes"), 20, 10, m)
		s.CheckMinutes = rapid.IntRange(0, 8).Draw(t, "check")
		s.Instructors = rapid.IntRange(1, 2).Draw(t, "instructors")
		ls := same(n, 0, nil)
		for i := range ls {
			if rapid.IntRange(0, 5).Draw(t, "no card") == 0 {
				ls[i].Why = "no job card"
			}
			for _, l := range s.Lathes {
				if rapid.Bool().Draw(t, "can") {
					ls[i].On = append(ls[i].On, shop.Option{Lathe: l, Minutes: rapid.IntRange(15, 80).Draw(t, "minutes")})
				}
			}
		}
		p, err := shop.Plan(s, ls)
		require.NoError(t, err)
		sound(t, s, ls, p)
		again, err := shop.Plan(s, ls)
		require.NoError(t, err)
		require.Equal(t, p, again, "the same session gives the same plan")
		// Fixing what was planned, in part, is always possible and keeps it.
		fixed := s
		for _, b := range p.Bookings {
			if b.Kind != curriculum.BookedCheck && rapid.Bool().Draw(t, "fix") {
				fixed.Fixed = append(fixed.Fixed, curriculum.Fixed{Learner: b.Learner, Place: b.Place, Begin: &b.Begin, Minutes: b.End - b.Begin})
			}
		}
		q, err := shop.Plan(fixed, ls)
		require.NoError(t, err)
		sound(t, fixed, ls, q)
		kept := 0
		for _, b := range q.Bookings {
			if b.Fixed {
				kept++
			}
		}
		require.Equal(t, len(fixed.Fixed), kept)
	})
}

// shortest tries every assignment and every order, and returns the soonest end
// of all turns and check-offs, counted from the opening. It knows nothing of the
// planner: check-offs go in the order turns end, which is best for one length.
func shortest(s curriculum.ShopSpec, ls []shop.Learner) int {
	best := 1 << 30
	at := map[string]int{}
	var ends []int
	var walk func(left []shop.Learner)
	walk = func(left []shop.Learner) {
		if len(left) == 0 {
			free := make([]int, s.Instructors)
			last := 0
			sorted := append([]int(nil), ends...)
			for i := range sorted {
				for j := i + 1; j < len(sorted); j++ {
					if sorted[j] < sorted[i] {
						sorted[i], sorted[j] = sorted[j], sorted[i]
					}
				}
			}
			for _, e := range sorted {
				k := 0
				for i := range free {
					if free[i] < free[k] {
						k = i
					}
				}
				free[k] = max(free[k], e) + s.CheckMinutes
				last = max(last, free[k])
			}
			best = min(best, last)
			return
		}
		for i, l := range left {
			rest := append(append([]shop.Learner(nil), left[:i]...), left[i+1:]...)
			for _, o := range l.On {
				at[o.Lathe] += o.Minutes
				ends = append(ends, at[o.Lathe])
				walk(rest)
				ends = ends[:len(ends)-1]
				at[o.Lathe] -= o.Minutes
			}
		}
	}
	walk(ls)
	return best
}

// TestAgainstEveryPlan compares with an exhaustive search on small sessions.
func TestAgainstEveryPlan(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(3, 5))
	const cases = 80
	longer, above := 0, 0.0
	for c := range cases {
		m := 1 + random.IntN(3)
		s := spec(600, 25, 10, m)
		s.CheckMinutes = random.IntN(12)
		s.Instructors = 1 + random.IntN(2)
		ls := same(2+random.IntN(5), 0, nil)
		for i := range ls {
			for k, l := range s.Lathes {
				if k == i%m || random.IntN(3) > 0 {
					ls[i].On = append(ls[i].On, shop.Option{Lathe: l, Minutes: 20 + random.IntN(60)})
				}
			}
		}
		p, err := shop.Plan(s, ls)
		require.NoError(t, err)
		sound(t, s, ls, p)
		require.Empty(t, p.Left)
		exact := shortest(s, ls)
		require.GreaterOrEqual(t, p.Makespan, exact, "case %d: shorter than the shortest", c)
		require.LessOrEqual(t, p.Bound.Minutes, exact, "case %d: the bound bounds every plan", c)
		if p.Makespan > exact {
			longer++
			above = max(above, float64(p.Makespan)/float64(exact)-1)
		}
	}
	t.Logf("%d of %d plans longer than the shortest, by at most %.1f %%", longer, cases, 100*above)
	assert.Zero(t, longer, "on up to six learners the search finds the shortest plan")
}

func TestHandMadeDecisions(t *testing.T) {
	t.Parallel()
	s := spec(150, 25, 10, 2)
	ls := same(4, 40, s.Lathes)
	ls[3].Why = "no job card"
	at := func(n int) *int { return &n }
	for name, c := range map[string]struct {
		fixed  []curriculum.Fixed
		path   string
		reason string
	}{
		"stranger":       {[]curriculum.Fixed{{Learner: "x", Place: "lathe-1", Begin: at(30)}}, "/spec/fixed/0/learner", "not in this session"},
		"no such place":  {[]curriculum.Fixed{{Learner: "learner-1", Place: "x", Begin: at(30)}}, "/spec/fixed/0/place", "no lathe or station"},
		"no card":        {[]curriculum.Fixed{{Learner: "learner-4", Place: "lathe-1", Begin: at(30)}}, "/spec/fixed/0/learner", "no job card"},
		"before opening": {[]curriculum.Fixed{{Learner: "learner-1", Place: "lathe-1", Begin: at(20)}}, "/spec/fixed/0/begin", "outside"},
		"after closing":  {[]curriculum.Fixed{{Learner: "learner-1", Place: "lathe-1", Begin: at(110)}}, "/spec/fixed/0/begin", "outside"},
		"lathe twice":    {[]curriculum.Fixed{{Learner: "learner-1", Place: "lathe-1", Begin: at(30)}, {Learner: "learner-2", Place: "lathe-1", Begin: at(69)}}, "/spec/fixed/1", "is full"},
		"learner twice":  {[]curriculum.Fixed{{Learner: "learner-1", Place: "lathe-1", Begin: at(30)}, {Learner: "learner-1", Place: "measure", Begin: at(60)}}, "/spec/fixed/1", "is already at lathe-1"},
		"two turns":      {[]curriculum.Fixed{{Learner: "learner-1", Place: "lathe-1", Begin: at(30)}, {Learner: "learner-1", Place: "lathe-2", Begin: at(80)}}, "/spec/fixed/1", "already has a fixed turn"},
		"no beginning":   {[]curriculum.Fixed{{Learner: "learner-1", Place: "measure"}}, "/spec/fixed/0/begin", "needs its beginning"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := s
			s.Fixed = c.fixed
			_, err := shop.Plan(s, ls)
			var field *curriculum.FieldError
			require.ErrorAs(t, err, &field)
			assert.Equal(t, c.path, field.Path)
			assert.Contains(t, field.Reason, c.reason)
		})
	}
	s.Fixed = []curriculum.Fixed{{Learner: "learner-1", Place: "lathe-2"}, {Learner: "learner-2", Place: "lathe-2", Begin: at(30), Minutes: 50}}
	p, err := shop.Plan(s, ls)
	require.NoError(t, err)
	sound(t, s, ls, p)
	for _, b := range p.Bookings {
		if b.Kind == curriculum.BookedLathe && b.Learner == "learner-1" {
			assert.Equal(t, "lathe-2", b.Place)
			assert.Equal(t, 80, b.Begin, "after the turn that was fixed there")
		}
	}
}

func TestWhoCannot(t *testing.T) {
	t.Parallel()
	s := spec(100, 20, 10, 1)
	ls := []shop.Learner{
		{ID: "long", On: []shop.Option{{Lathe: "lathe-1", Minutes: 71}}},
		{ID: "elsewhere", On: []shop.Option{{Lathe: "lathe-9", Minutes: 20}}},
		{ID: "a", On: []shop.Option{{Lathe: "lathe-1", Minutes: 40}}},
		{ID: "b", On: []shop.Option{{Lathe: "lathe-1", Minutes: 30}}},
	}
	p, err := shop.Plan(s, ls)
	require.NoError(t, err)
	sound(t, s, ls, p)
	require.Len(t, p.Left, 2)
	assert.Zero(t, p.Sessions, "one job is longer than any session like this")
	why := map[string]string{}
	for _, l := range p.Left {
		why[l.Learner] = l.Why
	}
	assert.Contains(t, why["long"], "71 minutes, there are 70")
	assert.Contains(t, why["elsewhere"], "no lathe of this session")
}

func BenchmarkThirtyLearnersEightLathes(b *testing.B) {
	for _, c := range []struct {
		name    string
		minutes int
		differ  bool // from lathe to lathe
	}{{"all fit", 240, false}, {"lathes differ", 240, true}, {"not all fit", 120, false}} {
		random := rand.New(rand.NewPCG(1, 2))
		s := spec(c.minutes, 25, 10, 8)
		s.CheckMinutes = 4
		ls := same(30, 0, nil)
		for i := range ls {
			minutes := 30 + random.IntN(40)
			for _, l := range s.Lathes {
				if c.differ {
					minutes = 30 + random.IntN(40)
				}
				ls[i].On = append(ls[i].On, shop.Option{Lathe: l, Minutes: minutes})
			}
		}
		b.Run(c.name, func(b *testing.B) {
			var p curriculum.ShopPlan
			var err error
			for b.Loop() {
				if p, err = shop.Plan(s, ls); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(p.Makespan)/float64(p.Bound.Minutes), "makespan/bound")
			b.ReportMetric(float64(len(p.Left)), "left")
		})
	}
}
