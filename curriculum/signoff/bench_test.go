package signoff_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/signoff"
)

// BenchmarkToday reads the lines of one lathe with 3,000 learners who were signed
// off and checked in ten times each, and asks who may use it: the page at the
// door.
func BenchmarkToday(b *testing.B) {
	now := time.Date(2026, 3, 2, 18, 0, 0, 0, time.UTC)
	var lines []curriculum.Line
	add := func(who, kind string, at time.Time, body any) {
		data, err := curriculum.Canonical(body)
		require.NoError(b, err)
		lines = append(lines, curriculum.Line{Seq: int64(len(lines) + 1), At: at, Kind: kind, Subject: who, By: "x", Lathe: "lathe", Operation: signoff.Turning, Body: data})
	}
	for i := range 3000 {
		who := fmt.Sprint("learner ", i)
		add(who, signoff.KindDecision, now.Add(-time.Hour), signoff.Decision{Granted: true, Expires: now.AddDate(1, 0, 0).UnixMilli()})
		for range 10 {
			add(who, signoff.KindCheckIn, now.Add(-time.Minute), signoff.CheckIn{Job: "practice", Dress: []string{"eyes"}})
		}
	}
	for b.Loop() {
		r, err := signoff.Read(lines, nil)
		require.NoError(b, err)
		may := 0
		for _, s := range r.Subjects("lathe") {
			if r.State(s, "lathe", signoff.Turning, now).MayUse {
				may++
			}
		}
		require.Equal(b, 3000, may)
	}
}
