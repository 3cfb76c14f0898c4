package generate

import (
	"cmp"
	"sync"

	"halfnut/threadmath"
)

// cellsKept bounds a cellCache; a district has fewer lathes. evidenceKept bounds
// those that are kept by model: as many lathes with forty models each.
const (
	cellsKept    = 512
	evidenceKept = 40 * cellsKept
)

// cellCache keeps the cells that a lathe's numbers leave open to a model, by the
// lathe and the units: finding them takes some hundreds of solutions, and a class
// set asks again and again. The zero value is ready to use.
type cellCache[C any] struct {
	most  int // 0 stands for cellsKept
	mu    sync.Mutex
	known map[string][]C
}

func (c *cellCache[C]) of(m *machine, units threadmath.System, find func() []C) []C {
	return c.at(units.String()+m.text, find)
}

// at returns what is kept under the key, or finds it.
func (c *cellCache[C]) at(key string, find func() []C) []C {
	c.mu.Lock()
	defer c.mu.Unlock()
	if cells, ok := c.known[key]; ok {
		return cells
	}
	if c.known == nil || len(c.known) >= cmp.Or(c.most, cellsKept) {
		c.known = map[string][]C{}
	}
	cells := find()
	c.known[key] = cells
	return cells
}
