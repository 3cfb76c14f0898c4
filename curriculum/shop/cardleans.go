package shop

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// leans lists the entries of the lathe's record that the card's numbers come
// from, in the order of the record.
func (c *carder) leans(card curriculum.BenchCard) []curriculum.LatheEntry {
	method := c.method
	names := []string{"leadscrew", c.gearing()}
	if c.plan.FedBy == threadmath.FedByCompound || strings.HasPrefix(method, "compound-") {
		names = append(names, "compound-slide")
	}
	if c.plan.FedBy != threadmath.FedByCompound || method == threadmath.ByCompoundAngled {
		names = append(names, "cross-slide")
	}
	if method == "stud-gear" || method == "leadscrew-gear" {
		names = append(names, method)
	}
	for i, h := range c.a.Holders {
		if card.Holder != nil && h.Kind == card.Holder.Kind && h.Stations == card.Holder.Stations {
			names = append(names, numbered("holder", i))
			break
		}
	}
	names = append(names, c.dials(card)...)
	var out []curriculum.LatheEntry
	for _, e := range curriculum.EntriesOf(c.lathe) {
		switch {
		case c.coasts(e):
			e.Assumes = number(*c.cut.CoastTurns)
			e.Is = fmt.Sprintf("%s turns %s", e.Assumes, e.Is)
			out = append(out, e)
		case e.Entry == curriculum.RunOutGroove:
			if c.a.RunOut != nil && c.cut.Groove != "" {
				e.Assumes, e.Is = c.cut.Groove, c.cut.Groove+" wide"
				out = append(out, e)
			}
		case slices.Contains(names, e.Entry):
			out = append(out, e)
		}
	}
	return out
}

func numbered(name string, i int) string { return name + "-" + strconv.Itoa(i+1) }

// gearing is what makes the lead: a setting of the gearbox, or the wheels.
func (c *carder) gearing() string {
	if box := c.a.Gearbox; box != nil && box.Usable {
		return numbered("gearbox", slices.Index(c.lathe.Gearbox, box.Setting))
	}
	return "change-gears"
}

// dials are those whose lines the card names: for the starts, or to come back to
// the same one.
func (c *carder) dials(card curriculum.BenchCard) []string {
	method := c.method
	var out []string
	for i := range c.a.ThreadDials {
		d := &c.a.ThreadDials[i]
		between := method == "half-nut" && len(d.Between) > 0
		if d == card.Dial || between {
			out = append(out, numbered("thread-dial", i))
		}
	}
	if p := c.a.PickUp; method != "thread-dial" && p != nil && p.Rule == threadmath.PickUpLines {
		if i := slices.IndexFunc(p.Dials, func(d threadmath.PickUpDial) bool { return len(d.Lines) > 0 }); i >= 0 {
			out = append(out, numbered("thread-dial", i))
		}
	}
	return out
}

// coasts reports whether the entry is the coasting that the run-out counts with.
func (c *carder) coasts(e curriculum.LatheEntry) bool {
	return c.cut.CoastTurns != nil && c.cut.SpindleRPM != nil && c.a.RunOut != nil && c.a.RunOut.HalfNut == threadmath.HalfNutKeptClosed &&
		strings.HasPrefix(e.Entry, "coast-") && e.Stated == strconv.Quote(strconv.FormatFloat(*c.cut.SpindleRPM, 'f', -1, 64))
}
