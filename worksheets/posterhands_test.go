package worksheets

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/threadmath"
)

// TestPosterSaysTheHand: a lead of 24 mm in four starts on a dial whose numbers run: line
// 1 catches start 2 of a right-hand thread and start 4 of a left-hand one, so that the
// tables differ and each says its hand; without a way that the numbers run one table
// serves either.
func TestPosterSaysTheHand(t *testing.T) {
	t.Parallel()
	l := threadmath.Lathe{Name: "L", Leadscrew: "6 mm", Gearbox: []string{"24 mm"}, ThreadDials: []threadmath.ThreadDial{{Teeth: 16, Graduations: 16, Runs: threadmath.DialRunsUp}}}
	poster := func() string {
		s, err := Poster(l, nil, NewStyle(A4, Options{}))
		require.NoError(t, err)
		return article(t, s)
	}
	text := poster()
	assert.Contains(t, text, "16 lines: right-hand threads")
	assert.Contains(t, text, "16 lines: left-hand threads")
	assert.Contains(t, text, "1: 0,4,8,12; 2: 1,5,9,13; 3: 2,6,10,14; 4: 3,7,11,15")
	assert.Contains(t, text, "1: 0,4,8,12; 2: 3,7,11,15; 3: 2,6,10,14; 4: 1,5,9,13")
	l.ThreadDials[0].Runs = ""
	assert.Contains(t, poster(), "16 lines: threads of either hand")
}
