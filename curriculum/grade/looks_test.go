package grade_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/grade"
)

// TestLooksAreTakenForTheirMistake: what a key says a mistake looks like, written
// on a sheet, is marked as that mistake and never as right.
func TestLooksAreTakenForTheirMistake(t *testing.T) {
	t.Parallel()
	eachExercise(t, 3, func(t *testing.T, e curriculum.Exercise) {
		looks, err := grade.Looks(e)
		require.NoError(t, err, e.Prompt)
		for _, l := range looks {
			assert.NotEmpty(t, l.Feedback)
			p := e.Part(l.Part)
			if l.Shows == "" || p.Accept == nil {
				continue // choices, orders and lists are written by their ids
			}
			answers := map[string]string{}
			for _, before := range e.Parts {
				if before.ID == l.Part {
					break
				}
				answers[before.ID] = before.Answer.String()
			}
			answers[l.Part] = l.Shows
			for _, v := range grade.Mark(e, answers, grade.Practice) {
				if v.Part == l.Part {
					assert.NotEqual(t, curriculum.Right, v.Outcome, "%s: %s looks like %s", e.Prompt, l.ID, l.Shows)
				}
			}
		}
	})
}
