package practice_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/signoff"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

// situationsOf are the situations that a sitting asks about.
func situationsOf(s curriculum.Sitting) []string {
	var out []string
	for _, e := range s.Exercises {
		if id := e.Givens.Values[curriculum.GivenSituation]; id != "" {
			out = append(out, id)
		}
	}
	return out
}

// TestTheoryAsksAboutSafety: every theory test holds five situations of its own
// operation, basic turning too; one of them wrong fails it, whatever the marks; a
// retry asks about others, and once the bank holds no more the record says so.
func TestTheoryAsksAboutSafety(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		f := begin(t, db)
		ctx := t.Context()
		f.master(t, db, 0)
		for _, o := range signoff.Operations() {
			p := f.place(0, o.Slug)
			open := practice.OpeningSitting{Place: p, Kind: signoff.SittingTheory}
			drawer, err := generate.NewDrawer(f.lathe.Profile)
			require.NoError(t, err)
			bank := drawer.Situations(curriculum.SafetySkillOf(o.Slug))
			met := map[string]bool{}
			tries := len(bank)/signoff.SafetyItems + 1
			for try := range tries {
				f.now = f.now.Add(25 * time.Hour)
				sitting, err := f.OpenSitting(ctx, f.instructor, open)
				require.NoError(t, err)
				asked := situationsOf(sitting)
				assert.Len(t, asked, signoff.SafetyItems, o.Slug)
				again := 0
				seen := map[string]bool{}
				for _, id := range asked {
					assert.Contains(t, bank, id, "%s: a situation of another operation", o.Slug)
					assert.False(t, seen[id], "%s: %s twice in one test", o.Slug, id)
					if met[id] {
						again++
					}
					seen[id], met[id] = true, true
				}
				assert.Equal(t, max(0, signoff.SafetyItems*(try+1)-len(bank)), again, "%s, try %d of a bank of %d", o.Slug, try+1, len(bank))
				answers := make([]map[string]string, len(sitting.Exercises))
				full, err := f.Sitting(ctx, f.instructor, sitting.ID)
				require.NoError(t, err)
				for i, e := range full.Exercises {
					answers[i] = right(e)
				}
				if try < tries-1 { // one situation wrong, all else right
					answers[try%signoff.SafetyItems] = map[string]string{}
				}
				got, err := f.HandIn(ctx, f.instructor, sitting.ID, answers)
				require.NoError(t, err)
				assert.Equal(t, try == tries-1, got.Result.Passed, "%s, try %d", o.Slug, try+1)
				if try < tries-1 {
					assert.Equal(t, []string{curriculum.SafetySkillOf(o.Slug)}, got.Result.Missed, "%d of %d marks are enough, but for safety", got.Result.Marks, got.Result.OutOf)
					assert.GreaterOrEqual(t, got.Result.Marks*100, got.Result.PassMark*got.Result.OutOf)
				}
			}
		}
		lines, err := db.LinesOf(ctx, f.instructor.Workshop, f.learners[0].ID)
		require.NoError(t, err)
		said := 0
		for _, l := range lines {
			if strings.Contains(signoff.Describe(l), "met before, as the bank holds no more") {
				said++
			}
		}
		assert.Positive(t, said, "the record says that situations came again")
	})
}
