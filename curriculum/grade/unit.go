package grade

import (
	"strings"

	"halfnut/threadmath"
)

// dimension is the kind of quantity that a unit measures.
type dimension string

const (
	number    dimension = "number"
	length    dimension = "length"
	perLength dimension = "number per inch"
	angle     dimension = "angle"
	rotation  dimension = "spindle speed"
	velocity  dimension = "carriage speed"
	duration  dimension = "time"
)

func (d dimension) withArticle() string {
	if d == angle {
		return "an angle"
	}
	return "a " + string(d)
}

// unit is a way of writing a quantity. factor turns a number of it into the
// base unit of its dimension: mm, per inch, degrees, rev/min, mm/s, seconds.
type unit struct {
	symbol string
	dim    dimension
	factor threadmath.Ratio
	names  []string
}

// units is the exact table. Factors: 1 in = 25.4 mm exactly (international yard
// and pound agreement, 1959), a thou is 0.001 in, a turn 360 degrees; all else
// is decimal or counts by sixty. Within one dimension the first name that fits
// decides; a name may stand in several (" is an inch or a second of arc).
var units = []unit{
	{"mm", length, ratio(1, 1), []string{"mm", "millimetre", "millimetres", "millimeter", "millimeters", "mm/rev", "mm per rev", "mm/turn", "mm per turn"}},
	{"in", length, ratio(127, 5), []string{"in", "inch", "inches", `"`, "ins", "in/rev", "in per rev", "in/turn", "in per turn", "ipr"}},
	{"thou", length, ratio(127, 5000), []string{"thou", "thous", "thousandth", "thousandths", "thousandths of an inch", "mil", "mils"}},
	{"um", length, ratio(1, 1000), []string{"um", "micron", "microns", "micrometre", "micrometres", "micrometer", "micrometers"}},
	{"cm", length, ratio(10, 1), []string{"cm"}},
	{"ft", length, ratio(1524, 5), []string{"ft", "foot", "feet"}},
	{"m", length, ratio(1000, 1), []string{"m"}},
	{"tpi", perLength, ratio(1, 1), []string{"tpi", "t.p.i", "threads per inch", "thread per inch", "threads/inch", "threads/in", "threads per in", "threads to the inch", "turns per inch", "turns/inch", "turns/in", "turns per in", "per inch", "/inch", "/in", "per in", "1/in", "in^-1"}},
	{"per mm", perLength, ratio(127, 5), []string{"per mm", "/mm", "threads per mm", "threads/mm", "turns per mm", "turns/mm", "1/mm", "mm^-1"}},
	{"deg", angle, ratio(1, 1), []string{"deg", "degs", "degree", "degrees", "°"}},
	{"arcmin", angle, ratio(1, 60), []string{"arcmin", "'", "min", "minute", "minutes", "mins"}},
	{"arcsec", angle, ratio(1, 3600), []string{"arcsec", `"`, "sec", "second", "seconds", "secs", "s"}},
	{"turn", angle, ratio(360, 1), []string{"turn", "turns", "rev", "revs", "revolution", "revolutions", "of a turn", "of a revolution"}},
	{"rpm", rotation, ratio(1, 1), []string{"rpm", "r.p.m", "rev/min", "revs/min", "r/min", "revs per minute", "rev per minute", "rev per min", "revs per min", "revolutions per minute", "turns per minute", "turns/min", "1/min", "/min", "min^-1", "min-1"}},
	{"rev/s", rotation, ratio(60, 1), []string{"rev/s", "revs/s", "rps", "rev per second", "revs per second", "1/s", "/s", "s^-1"}},
	{"mm/s", velocity, ratio(1, 1), []string{"mm/s", "mm/sec", "mm per second", "mm per sec", "mm s^-1"}},
	{"mm/min", velocity, ratio(1, 60), []string{"mm/min", "mm per minute", "mm per min"}},
	{"m/min", velocity, ratio(50, 3), []string{"m/min", "m per minute", "m per min", "metres per minute", "meters per minute"}},
	{"in/s", velocity, ratio(127, 5), []string{"in/s", "in/sec", "inches per second", "in per second", "inch per second", "ips"}},
	{"in/min", velocity, ratio(127, 300), []string{"in/min", "inches per minute", "in per minute", "inch per minute", "ipm"}},
	{"ft/min", velocity, ratio(127, 25), []string{"ft/min", "feet per minute", "ft per min", "ft per minute", "fpm", "sfm", "sfpm"}},
	{"s", duration, ratio(1, 1), []string{"s", "sec", "secs", "second", "seconds"}},
	{"min", duration, ratio(60, 1), []string{"min", "mins", "minute", "minutes"}},
	{"h", duration, ratio(3600, 1), []string{"h", "hr", "hrs", "hour", "hours"}},
	{"%", number, ratio(1, 100), []string{"%", "percent", "per cent"}},
	{"ppm", number, ratio(1, 1_000_000), []string{"ppm"}},
}

// countNouns may follow a number that counts things; they carry no size.
var countNouns = nouns("start starts tooth teeth line lines division divisions div divs turn turns rev revs " +
	"hole holes pass passes station stations thread threads groove grooves jaw jaws slot slots mark marks " +
	"cut cuts wheel wheels gear gears path paths pitch pitches lead leads")

func nouns(list string) map[string]bool {
	m := make(map[string]bool)
	for _, n := range strings.Fields(list) {
		m[n] = true
	}
	return m
}

func ratio(num, den int64) threadmath.Ratio {
	return threadmath.Int(num).Quo(threadmath.Int(den))
}

// unitsByName holds, for each way of writing a unit, its places in units.
var unitsByName = func() map[string][]int {
	m := make(map[string][]int)
	for i, u := range units {
		for _, n := range u.names {
			m[n] = append(m[n], i)
		}
	}
	return m
}()

// unitOf returns the unit that a name writes: one that measures want if there
// is one, else the first of the table.
func unitOf(name string, want dimension) (unit, bool) {
	name = strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(name), "."))
	if strings.HasPrefix(name, "/ ") {
		name = "/" + name[2:]
	}
	name = strings.ReplaceAll(name, " / ", "/")
	if want == number && countNouns[name] {
		return unit{name, number, threadmath.Int(1), nil}, true
	}
	places := unitsByName[name]
	for _, i := range places {
		if units[i].dim == want {
			return units[i], true
		}
	}
	if len(places) > 0 {
		return units[places[0]], true
	}
	if countNouns[name] {
		return unit{name, number, threadmath.Int(1), nil}, true
	}
	return unit{}, false
}

// printedUnit returns the unit that stands at a part's blank. One that the table
// does not have counts things.
func printedUnit(name string) unit {
	s, err := clean(name)
	if err != nil || s == "" {
		return unit{"", number, threadmath.Int(1), nil}
	}
	// A blank for an angle, a speed or a time is printed as such; what could be
	// read two ways is settled here, once.
	for _, want := range []dimension{length, perLength, rotation, velocity, duration} {
		if u, ok := unitOf(s, want); ok && u.dim == want {
			return u
		}
	}
	if u, ok := unitOf(s, angle); ok && u.dim == angle && !countNouns[s] {
		return u
	}
	if u, ok := unitOf(s, number); ok && u.dim == number {
		return u
	}
	return unit{s, number, threadmath.Int(1), []string{s}}
}

// fits reports whether a text written after a number means this unit, for units
// that the table does not have.
func (u unit) fits(name string) bool {
	name = strings.TrimSuffix(name, ".")
	return name == u.symbol || name+"s" == u.symbol || name == u.symbol+"s"
}
