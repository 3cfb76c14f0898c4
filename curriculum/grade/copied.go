package grade

import (
	"slices"
	"strings"
)

// acrossSystems are the skills that turn a quantity of one system into the other's:
// there a right quantity in the system that it was given in shows nothing.
var acrossSystems = map[string]bool{"inch-mm": true, "tpi-pitch": true}

// toDecimals is the skill that turns a fraction into a decimal.
const toDecimals = "fractions"

// inchUnits are the symbols of units that are counted in inches; the other units of
// length are metric.
var inchUnits = []string{"in", "thou", "ft", "tpi"}

// unconverted says what is still to be done with a right quantity in the unit or the
// form in which it was given; nothing where it is converted.
func (c *claim) unconverted() string {
	skill := c.ex.SkillOf(*c.part)
	printed, written := printedUnit(c.part.Unit), c.reading.Unit
	otherSystem := written != "" && inInches(written) != inInches(printed.symbol) && c.givenIn(inInches(written))
	switch {
	case acrossSystems[skill] && lengthLike(printed.dim) && otherSystem:
		return "That is the right size in " + written + "; the question is how much it is in " + c.part.Unit + "."
	case skill == toDecimals && c.part.Decimals > 0 && isFraction(c.answers[c.part.ID]):
		return "That is the right size as a fraction; the question is how it is written as a decimal, to " + c.lastDigit() + "."
	}
	return ""
}

func inInches(symbol string) bool { return slices.Contains(inchUnits, symbol) }

// givenIn reports whether the question gives a length in inches, or in metric units.
func (c *claim) givenIn(inches bool) bool {
	for _, text := range c.ex.Givens.Values {
		s, err := clean(text)
		if err != nil {
			continue
		}
		_, name := cutUnit(s)
		if u, ok := unitOf(name, length); ok && lengthLike(u.dim) && inInches(u.symbol) == inches {
			return true
		}
	}
	return false
}

func lengthLike(d dimension) bool { return d == length || d == perLength }

// isFraction reports whether the number in a text is written with a stroke.
func isFraction(text string) bool {
	s, err := clean(text)
	numeral, _ := cutUnit(s)
	return err == nil && strings.Contains(numeral, "/")
}
