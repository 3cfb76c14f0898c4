package generate

import (
	"fmt"

	"halfnut/curriculum"
)

// Model names one item model: a way of asking for a skill. Its version rises
// whenever the same seed would give another exercise.
type Model struct {
	Skill   string `json:"skill"`
	Name    string `json:"model"`
	Version int    `json:"version"`
}

// Models returns the item models of the skill, an unknown one an ErrNotFound.
func Models(skill string) ([]Model, error) {
	models := registry[skill]
	if len(models) == 0 {
		return nil, fmt.Errorf("skill %q: %w", skill, curriculum.ErrNotFound)
	}
	out := make([]Model, len(models))
	for i, m := range models {
		out[i] = Model{Skill: m.skill, Name: m.name, Version: m.version}
	}
	return out, nil
}
