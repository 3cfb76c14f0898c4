package practice_test

import (
	"encoding/json"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

// knownIn are the classes of everybody, by name.
func (f *fixture) knownIn(t *testing.T) map[string][]curriculum.Enrolment {
	t.Helper()
	all, err := f.KnownLearners(t.Context(), f.instructor)
	require.NoError(t, err)
	out := map[string][]curriculum.Enrolment{}
	for _, k := range all {
		out[k.Name] = append(out[k.Name], k.Classes...)
	}
	return out
}

// shop plans a session of the class.
func (f *fixture) shop(t *testing.T, begins time.Time) curriculum.ShopSession {
	t.Helper()
	s, err := f.PlanShop(t.Context(), f.instructor, f.class.ID, begins, curriculum.ShopSpec{Title: "Evening", CheckMinutes: 5, Lathes: []string{f.lathe.ID}})
	require.NoError(t, err)
	return s
}

// document is a session as it is kept, to look for who is in it.
func document(t *testing.T, s curriculum.ShopSession) string {
	t.Helper()
	text, err := json.Marshal(s)
	require.NoError(t, err)
	return string(text)
}

// TestWhoComesBackComesWithTheirRecord: a learner leaves a class with nothing lost
// but the places held for them, and goes on in another one as the same person.
func TestWhoComesBackComesWithTheirRecord(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		ctx := t.Context()
		f := begin(t, db)
		who, own := f.learners[2], f.variants[2]
		a := f.join(t, 2, "4711")
		f.answer(t, a, own, 1, right(own.Exercises[0]))
		_, err := f.SetJob(ctx, f.instructor, curriculum.Job{Class: f.class.ID, Learner: who.ID, Lathe: f.lathe.ID, Request: threeStarts(t), Allowed: true})
		require.NoError(t, err)
		held := f.shop(t, f.now.Add(time.Hour))
		planned := f.shop(t, f.now.Add(72*time.Hour))
		require.Contains(t, document(t, held), who.ID)
		before, err := f.Mastery(ctx, f.instructor, who.ID)
		require.NoError(t, err)

		f.now = f.now.Add(24 * time.Hour)
		require.ErrorIs(t, f.LeaveClass(ctx, a, f.class.ID, who.ID), curriculum.ErrDenied, "learners do not take themselves off")
		require.NoError(t, f.LeaveClass(ctx, f.instructor, f.class.ID, who.ID))
		require.ErrorIs(t, f.LeaveClass(ctx, f.instructor, f.class.ID, who.ID), curriculum.ErrNotFound, "who has left cannot leave")

		list, err := f.Learners(ctx, f.instructor, f.class.ID)
		require.NoError(t, err)
		assert.Len(t, list, len(f.learners)-1)
		assert.Empty(t, f.knownIn(t)[who.Name])
		jobs, err := f.Jobs(ctx, f.instructor, f.class.ID)
		require.NoError(t, err)
		assert.Empty(t, jobs)
		held, err = f.ShopSession(ctx, f.instructor, held.ID)
		require.NoError(t, err)
		assert.Contains(t, document(t, held), who.ID, "what was is not changed")
		planned, err = f.ShopSession(ctx, f.instructor, planned.ID)
		require.NoError(t, err)
		assert.NotContains(t, document(t, planned), who.ID)
		_, _, err = f.Join(ctx, f.class.JoiningCode, who.Name, "4711")
		var field *curriculum.FieldError
		require.ErrorAs(t, err, &field)
		assert.Equal(t, "/learner", field.Path)
		table, err := f.ClassMarks(ctx, f.instructor, f.set.ID)
		require.NoError(t, err)
		assert.Equal(t, who.Name, table.Rows[2].Name, "the set keeps the sheet and its marks")
		require.NotNil(t, table.Rows[2].Marks[0])

		other, err := f.AddClass(ctx, f.instructor, "Another evening")
		require.NoError(t, err)
		_, err = f.AddLearners(ctx, f.instructor, other.ID, practice.Adding{Names: []string{"Somebody New", who.Name}})
		require.ErrorAs(t, err, &field)
		assert.Equal(t, "/names/1", field.Path)
		assert.Contains(t, field.Reason, "known here")
		list, err = f.Learners(ctx, f.instructor, other.ID)
		require.NoError(t, err)
		assert.Empty(t, list, "all or none")

		added, err := f.AddLearners(ctx, f.instructor, other.ID, practice.Adding{Names: []string{"Somebody New", who.Name}, Namesakes: practice.NamesakesSame})
		require.NoError(t, err)
		assert.Equal(t, []int{1, 2}, []int{added[0].Seat, added[1].Seat})
		assert.Equal(t, who.ID, added[1].ID)
		_, _, err = f.Join(ctx, other.JoiningCode, who.Name, "4711")
		require.NoError(t, err, "the PIN came along")
		after, err := f.Mastery(ctx, f.instructor, who.ID)
		require.NoError(t, err)
		assert.Equal(t, len(before), len(after))
		assert.Equal(t, standing(t, before, "lead").Chances, standing(t, after, "lead").Chances)

		_, err = f.AddLearners(ctx, f.instructor, other.ID, practice.Adding{Known: []string{who.ID}})
		require.ErrorIs(t, err, curriculum.ErrConflict, "once on a list")
		_, err = f.AddLearners(ctx, f.instructor, other.ID, practice.Adding{Known: []string{"nobody"}})
		require.ErrorAs(t, err, &field)
		assert.Equal(t, "/known/0", field.Path)

		// Another learner of the same name is somebody else, and then it is not clear
		// any more who is meant.
		namesake, err := f.AddLearners(ctx, f.instructor, f.class.ID, practice.Adding{Names: []string{who.Name}, Namesakes: practice.NamesakesOthers})
		require.NoError(t, err)
		assert.NotEqual(t, who.ID, namesake[0].ID)
		third, err := f.AddClass(ctx, f.instructor, "A third evening")
		require.NoError(t, err)
		_, err = f.AddLearners(ctx, f.instructor, third.ID, practice.Adding{Names: []string{who.Name}, Namesakes: practice.NamesakesSame})
		require.ErrorAs(t, err, &field)
		assert.Contains(t, field.Reason, "several")
		_, err = f.AddLearners(ctx, f.instructor, third.ID, practice.Adding{Known: []string{namesake[0].ID}})
		require.NoError(t, err)
		assert.Len(t, f.knownIn(t)[who.Name], 3)

		// Who has left is found where they were when they are erased.
		_, err = f.EraseLearner(ctx, f.instructor, who.ID, who.Name)
		require.NoError(t, err)
		held, err = f.ShopSession(ctx, f.instructor, held.ID)
		require.NoError(t, err)
		assert.NotContains(t, document(t, held), who.ID)
	})
}

// TestRosterOfKnownNames: a list of the next term says who comes back.
func TestRosterOfKnownNames(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		ctx := t.Context()
		f := begin(t, db)
		next, err := f.AddClass(ctx, f.instructor, "Next term")
		require.NoError(t, err)
		list := []byte("seat,name,class\n2," + f.learners[0].Name + ",\n1,Somebody New,\n")
		_, _, err = f.ImportRoster(ctx, f.instructor, next.ID, practice.Roster{CSV: list})
		var field *curriculum.FieldError
		require.ErrorAs(t, err, &field)
		assert.Equal(t, "line 2", field.Path)
		r, _, err := f.ImportRoster(ctx, f.instructor, next.ID, practice.Roster{CSV: list, Partial: true})
		require.NoError(t, err)
		assert.Len(t, r.Learners, 1)
		assert.Len(t, r.Bad, 1)
		r, _, err = f.ImportRoster(ctx, f.instructor, next.ID, practice.Roster{CSV: []byte("seat,name,class\n2," + f.learners[0].Name + ",\n"), Namesakes: practice.NamesakesSame})
		require.NoError(t, err)
		assert.Equal(t, f.learners[0].ID, r.Learners[0].ID)
	})
}
