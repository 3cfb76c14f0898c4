package generate

import (
	"halfnut/curriculum"
	"halfnut/threadmath"
)

// Drawer draws on one lathe, which it has read once: for many exercises in a
// row. It is safe for concurrent use.
type Drawer struct{ bench *bench }

// NewDrawer reads the lathe; one that cannot be is a threadmath.DomainError.
func NewDrawer(lathe threadmath.Lathe) (*Drawer, error) {
	b, err := newBench(lathe)
	if err != nil {
		return nil, err
	}
	return &Drawer{b}, nil
}

// Serves is [Serves] on the drawer's lathe.
func (d *Drawer) Serves(skill string, units threadmath.System) error {
	return d.bench.serves(skill, units)
}

// Draw is [Draw] on the drawer's lathe.
func (d *Drawer) Draw(skill string, seed uint64, opts Options) (curriculum.Exercise, error) {
	e, _, err := d.bench.draw(skill, seed, opts)
	return e, err
}
