package curriculum

// Answered is an attempt with what it was an attempt at, for statistics.
type Answered struct {
	Attempt
	Skill        string
	Model        string
	ModelVersion int
	Difficulty   map[string]string
}
