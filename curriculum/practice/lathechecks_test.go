package practice_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

func TestLathesAreChecked(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		ctx := t.Context()
		f := begin(t, db)
		leadscrew := func() string {
			p, err := f.LatheProofs(ctx, f.instructor, f.lathe.ID)
			require.NoError(t, err)
			return p.Entries[0].Words()
		}
		assert.Equal(t, "unproved", leadscrew())
		kept, err := f.CheckLathe(ctx, f.instructor, curriculum.LatheCheck{
			Lathe: f.lathe.ID, Entry: "leadscrew", What: "half-nut, ten threads  of carriage travel", Predicted: "60 mm", Measured: "60.01 mm", Division: "0.02 mm",
		})
		require.NoError(t, err)
		assert.True(t, kept.Agrees)
		assert.NotEmpty(t, kept.ByName)
		p, err := f.LatheProofs(ctx, f.instructor, f.lathe.ID)
		require.NoError(t, err)
		assert.Equal(t, []curriculum.LatheCheck{kept}, p.Checks)
		assert.Equal(t, "proved 2 Mar 2026", leadscrew())

		changed := f.lathe.Profile
		changed.Leadscrew = "8 mm"
		l, err := f.ChangeLathe(ctx, f.instructor, f.lathe.ID, 1, f.lathe.Name, changed)
		require.NoError(t, err)
		assert.Equal(t, "unproved: it was changed after the check of 2 Mar 2026", leadscrew())
		_, err = f.ChangeLathe(ctx, f.instructor, f.lathe.ID, l.Version, "Lathe 2b", f.lathe.Profile)
		require.NoError(t, err)
		assert.Equal(t, "proved 2 Mar 2026", leadscrew(), "it reads again what was checked")

		learner := f.join(t, 0, "4711")
		_, err = f.CheckLathe(ctx, learner, curriculum.LatheCheck{Lathe: f.lathe.ID, Entry: "leadscrew"})
		require.ErrorIs(t, err, curriculum.ErrDenied)
		stranger := f.instructor
		stranger.Workshop = "elsewhere"
		_, err = f.LatheProofs(ctx, stranger, f.lathe.ID)
		require.ErrorIs(t, err, curriculum.ErrNotFound)
		for path, c := range map[string]curriculum.LatheCheck{
			"/entry":     {Entry: "leadscrew-2", What: "x", Predicted: "1", Measured: "1"},
			"/what":      {Entry: "leadscrew", Predicted: "1", Measured: "1"},
			"/predicted": {Entry: "leadscrew", What: "x", Measured: "1"},
			"/measured":  {Entry: "leadscrew", What: "x", Predicted: "1"},
			"/division":  {Entry: "leadscrew", What: "x", Predicted: "1 mm", Measured: "1 mm"},
		} {
			c.Lathe = f.lathe.ID
			_, err := f.CheckLathe(ctx, f.instructor, c)
			var field *curriculum.FieldError
			require.ErrorAs(t, err, &field, path)
			assert.Equal(t, path, field.Path)
		}
	})
}
