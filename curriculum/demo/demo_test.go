package demo_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/demo"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/signoff"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

// TestFill: every page finds something to show, on both engines, and the record
// of sign-offs is whole.
func TestFill(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		ctx := t.Context()
		require.NoError(t, demo.Fill(ctx, db, time.Now(), storetest.Random(t)))
		s := practice.New(db, practice.Options{})
		workshops, err := s.Workshops(ctx)
		require.NoError(t, err)
		require.Len(t, workshops, 1)
		p, err := s.FirstInstructor(ctx, workshops[0].ID)
		require.NoError(t, err)
		a := practice.Actor{ID: p.ID, Workshop: p.Workshop, Role: p.Role}

		staff, err := s.Staff(ctx, a)
		require.NoError(t, err)
		assert.Equal(t, []string{curriculum.RoleInstructor, curriculum.RoleSteward}, []string{staff[0].Role, staff[1].Role})
		classes, err := s.Classes(ctx, a)
		require.NoError(t, err)
		require.Len(t, classes, 1)
		learners, err := s.Learners(ctx, a, classes[0].ID)
		require.NoError(t, err)
		lathes, err := s.Lathes(ctx, a)
		require.NoError(t, err)
		var states []string
		for _, l := range learners[:5] {
			for _, lathe := range lathes {
				st, err := s.SignOff(ctx, a, l.ID, lathe.ID, signoff.Turning)
				require.NoError(t, err)
				if st.Status != signoff.None {
					states = append(states, st.Status)
				}
			}
		}
		assert.Equal(t, []string{signoff.Signed, signoff.Lapsed, signoff.Signed, signoff.Revoked, signoff.Training}, states)
		audit, err := s.AuditSignOffs(ctx, workshops[0])
		require.NoError(t, err)
		assert.Empty(t, audit.Faults)

		m, err := s.ClassMap(ctx, a, classes[0].ID)
		require.NoError(t, err)
		assert.NotEmpty(t, m.Held, "mistakes that the class holds")
		items, err := s.Statistics(ctx, a, "")
		require.NoError(t, err)
		assert.NotEmpty(t, items)
		plan, err := s.CoursePlan(ctx, a, classes[0].ID)
		require.NoError(t, err)
		assert.NotEmpty(t, plan.Lessons)
		sessions, err := s.ShopSessions(ctx, a, classes[0].ID)
		require.NoError(t, err)
		require.Len(t, sessions, 1)
		assert.NotEmpty(t, sessions[0].Plan.Bookings)
		jobs, err := s.Jobs(ctx, a, classes[0].ID)
		require.NoError(t, err)
		for _, j := range jobs {
			if j.Learner == learners[3].ID {
				assert.Empty(t, j.AllowedBy, "the instructor's tick does not outweigh a revoked sign-off for turning")
				assert.Equal(t, "the sign-off for basic turning on this lathe is revoked: chuck key left in the chuck", j.Why)
			}
		}
		for _, b := range sessions[0].Plan.Bookings {
			assert.False(t, b.Kind == curriculum.BookedLathe && b.Learner == learners[3].ID, "no turn at a lathe either")
		}
	})
}
