// Package workshop embeds the demo workshop: an invented shop with its lathes,
// a class of twelve invented learners and a few jobs. Nothing in it is a real
// machine or person.
package workshop

import (
	"embed"
	"encoding/json"
	"fmt"
	"io/fs"

	"halfnut/threadmath"
)

//go:embed workshop.json lathes/*.json jobs/*.json
var files embed.FS

// Workshop is the demo workshop.
type Workshop struct {
	Name       string   `json:"name"`
	Units      string   `json:"units"`
	Instructor string   `json:"instructor"`
	Steward    string   `json:"steward"`
	Course     string   `json:"course"` // what its class is taught for
	Class      string   `json:"class"`
	Learners   []string `json:"learners"`
	Sets       []Set    `json:"sets"`
	// Lathes come from their own files, in order of their names.
	Lathes []threadmath.Lathe `json:"-"`
}

// Set is a class set of the demo class.
type Set struct {
	Title  string   `json:"title"`
	Skills []string `json:"skills"`
	Count  int      `json:"count"`
	Lathe  string   `json:"lathe"`
	Units  string   `json:"units"`
}

// Demo returns the workshop.
func Demo() (Workshop, error) {
	var w Workshop
	data, err := files.ReadFile("workshop.json")
	if err != nil {
		return w, err
	}
	if err := json.Unmarshal(data, &w); err != nil {
		return w, fmt.Errorf("workshop.json: %w", err)
	}
	w.Lathes, err = Lathes()
	return w, err
}

// Lathes returns the workshop's lathes in order of their names.
func Lathes() ([]threadmath.Lathe, error) {
	names, err := fs.Glob(files, "lathes/*.json")
	if err != nil {
		return nil, err
	}
	var out []threadmath.Lathe
	for _, name := range names {
		data, err := files.ReadFile(name)
		if err != nil {
			return nil, err
		}
		l, err := threadmath.ParseLathe(data)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		out = append(out, l)
	}
	return out, nil
}

// Jobs returns the solve requests of the workshop by file name.
func Jobs() (map[string][]byte, error) {
	names, err := fs.Glob(files, "jobs/*.json")
	if err != nil {
		return nil, err
	}
	out := map[string][]byte{}
	for _, name := range names {
		if out[name], err = files.ReadFile(name); err != nil {
			return nil, err
		}
	}
	return out, nil
}
