package generate

import (
	"sync"

	"halfnut/threadmath"
)

// cellsKept bounds a cellCache; a district has fewer lathes.
const cellsKept = 512

// cellCache keeps the cells that a lathe's numbers leave open to a model, by the
// lathe and the units: finding them takes some hundreds of solutions, and a class
// set asks again and again. The zero value is ready to use.
type cellCache[C any] struct {
	mu    sync.Mutex
	known map[string][]C
}

func (c *cellCache[C]) of(m *machine, units threadmath.System, find func() []C) []C {
	key := units.String() + m.text
	c.mu.Lock()
	defer c.mu.Unlock()
	if cells, ok := c.known[key]; ok {
		return cells
	}
	if c.known == nil || len(c.known) >= cellsKept {
		c.known = map[string][]C{}
	}
	cells := find()
	c.known[key] = cells
	return cells
}
