package store_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

// TestEventsByPages: the log cut into pages is the log, also where events share
// their millisecond; filters take what they name and nothing of another workshop.
func TestEventsByPages(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		ctx := t.Context()
		s, other := fill(t, db), fill(t, db)
		for i := range 20 {
			s.class.Version, s.class.Name = i+1+1, fmt.Sprintf("Class %d", i) // the learners made it 2
			require.NoError(t, db.UpdateClass(ctx, s.class, s.person.ID, at.Add(time.Duration(i/3)*time.Millisecond)))
			require.NoError(t, db.AddLatheCheck(ctx, curriculum.LatheCheck{ID: store.NewID(), Lathe: s.lathe.ID, By: "somebody", At: at.Add(time.Duration(i/3) * time.Millisecond)}, s.workshop.ID))
		}
		read := func(ask curriculum.EventQuery) []curriculum.Event {
			ask.Workshop = s.workshop.ID
			events, err := db.Events(ctx, ask)
			require.NoError(t, err)
			return events
		}
		whole := read(curriculum.EventQuery{Most: 1000})
		assert.Len(t, whole, 45)
		assert.True(t, slices.IsSortedFunc(whole, func(a, b curriculum.Event) int {
			if d := b.At.Compare(a.At); d != 0 {
				return d
			}
			return strings.Compare(b.ID, a.ID)
		}))
		for _, filter := range []curriculum.EventQuery{
			{}, {Who: s.person.ID}, {About: s.class.ID}, {Who: s.person.ID, About: s.class.ID}, {Since: at.Add(2 * time.Millisecond)}, {Until: at.Add(2 * time.Millisecond)},
			{Who: "somebody", Since: at.Add(time.Millisecond), Until: at.Add(4 * time.Millisecond)}, {Who: "nobody"}, {Who: other.person.ID}, {About: other.class.ID},
		} {
			var want, got []curriculum.Event
			for _, e := range whole {
				if (filter.Who == "" || e.Who == filter.Who) && (filter.About == "" || e.About == filter.About) &&
					(filter.Since.IsZero() || !e.At.Before(filter.Since.Truncate(time.Millisecond))) && (filter.Until.IsZero() || e.At.Before(filter.Until.Truncate(time.Millisecond))) {
					want = append(want, e)
				}
			}
			for filter.Most = 4; ; {
				page := read(filter)
				got = append(got, page...)
				if len(page) < filter.Most {
					break
				}
				filter.After = page[len(page)-1].ID
			}
			assert.Equal(t, want, got, "%+v", filter)
		}
		foreign, err := db.Events(ctx, curriculum.EventQuery{Workshop: other.workshop.ID, Most: 1})
		require.NoError(t, err)
		for _, after := range []string{"none", foreign[0].ID} {
			_, err = db.Events(ctx, curriculum.EventQuery{Workshop: s.workshop.ID, Most: 1, After: after})
			require.ErrorIs(t, err, curriculum.ErrNotFound)
		}

		named := map[string]curriculum.Event{}
		for _, e := range whole {
			named[e.What] = e
		}
		for what, want := range map[string][3]string{
			"workshop created": {"Instructor", "workshop", "Shed Nine"}, "lathe added": {"Instructor", "lathe", "Lathe 1"}, "class renamed": {"Instructor", "class", "Class 19"},
			"lathe checked": {"", "lathe", "Lathe 1"}, "class set built": {"Instructor", "set", "Leads"}, "2 learners added": {"Instructor", "class", "Class 19"},
		} {
			assert.Equal(t, want, [3]string{named[what].WhoName, named[what].AboutKind, named[what].AboutName}, what)
		}
	})
}

// TestEventsForgetWhoWasErased: an event of an erased learner names nobody.
func TestEventsForgetWhoWasErased(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		ctx := t.Context()
		s := fill(t, db)
		l := s.learners[0]
		require.NoError(t, db.ChoosePIN(ctx, l, "hash", at.Add(time.Second)))
		newest := func() curriculum.Event {
			events, err := db.Events(ctx, curriculum.EventQuery{Workshop: s.workshop.ID, Most: 1})
			require.NoError(t, err)
			return events[0]
		}
		e := newest()
		assert.Equal(t, [4]string{"PIN chosen", l.Name, "learner", l.Name}, [4]string{e.What, e.WhoName, e.AboutKind, e.AboutName})
		_, err := db.EraseLearner(ctx, l, s.person.ID, at.Add(2*time.Second))
		require.NoError(t, err)
		e = newest()
		assert.Equal(t, [4]string{"learner erased", l.ID, "", ""}, [4]string{e.What, e.About, e.AboutKind, e.AboutName})
	})
}
