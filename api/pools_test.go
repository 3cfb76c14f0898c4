package api_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
	"halfnut/curriculum/store/storetest"
)

// TestSkillsOfALathe: an instructor sees before printing how many exercises a
// skill has on a lathe, or why none.
func TestSkillsOfALathe(t *testing.T) {
	t.Parallel()
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	skills, err := s.LatheSkills(t.Context(), s.instructor, s.lathe.ID, "mm")
	require.NoError(t, err)
	require.Len(t, skills, len(generate.Skills()))
	drawer, err := generate.NewDrawer(s.lathe.Profile)
	require.NoError(t, err)
	none := 0
	for _, k := range skills {
		pool, err := drawer.Pool(k.Skill, generate.Options{}, 200)
		if k.Why != "" {
			none++
			assert.ErrorContains(t, err, k.Why)
			assert.Zero(t, k.Exercises)
			continue
		}
		require.NoError(t, err)
		assert.Equal(t, generate.Pool{Size: k.Exercises, Exact: k.Exact}, pool, k.Skill)
		assert.Positive(t, k.Exercises, k.Skill)
	}
	assert.Less(t, none, len(skills))
	_, err = s.LatheSkills(t.Context(), s.instructor, s.lathe.ID, "ell")
	assert.ErrorIs(t, err, curriculum.ErrInvalid)
}
