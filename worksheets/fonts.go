package worksheets

import (
	_ "embed" // the faces
	"encoding/json"
	"fmt"
	"slices"
	"sync"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// Face is one of the two faces that sheets are set in.
type Face uint8

// The faces: DejaVu Sans Condensed, regular and bold.
const (
	Regular Face = iota
	Bold
)

const pointsPerMM = 72 / 25.4

// The faces are compiled in, cut down to what printable lists: a twentieth of their size, and no composites, which the
// PDF writer would lose (slim_test.go makes them: go test ./worksheets -run TestTypefacesAreCut -update).
var (
	//go:embed typeface/regular.ttf
	regularTTF []byte
	//go:embed typeface/bold.ttf
	boldTTF []byte
	//go:embed typeface/measures.json
	measuresJSON []byte
)

// faceMeasures are what laying text out needs of a face; the widths are those of printable, in its order.
type faceMeasures struct {
	Name    string   `json:"name"` // PostScript name
	Ascent  float64  `json:"ascent"`
	Descent float64  `json:"descent"`
	Capital float64  `json:"capital"`
	Widths  []uint16 `json:"widths"`
}

// slimmed is a TrueType face cut down to a fixed set of runes.
type slimmed struct {
	data     []byte   // the TrueType file
	widths   []uint16 // advance by rune in thousandths of an em, cut as the PDF writer cuts it; 0 for no glyph
	ascent   float64  // ems above the baseline
	descent  float64  // ems below the baseline, positive
	capital  float64  // height of a capital in ems
	baseName string   // PostScript name of the face
}

// width returns the advance of the rune in thousandths of an em, and whether the face has it.
func (s *slimmed) width(r rune) (uint16, bool) {
	if r < 0 || int(r) >= len(s.widths) {
		return 0, false
	}
	return s.widths[r], s.widths[r] > 0
}

// measure is Face.measure.
func (s *slimmed) measure(text string) (units, runes int) {
	for _, r := range text {
		w, _ := s.width(r)
		units += int(w)
		runes++
	}
	return units, runes
}

// faces reads both faces once, on first use. They are compiled in, so a failure is a broken build and not bad input.
var faces = sync.OnceValue(func() [2]*slimmed {
	var measures [2]faceMeasures
	if err := json.Unmarshal(measuresJSON, &measures); err != nil {
		panic("worksheets: built-in font: " + err.Error())
	}
	runes := printable()
	var out [2]*slimmed
	for i, data := range [][]byte{regularTTF, boldTTF} {
		m := measures[i]
		s := &slimmed{data: data, widths: make([]uint16, runes[len(runes)-1]+1), ascent: m.Ascent, descent: m.Descent, capital: m.Capital, baseName: m.Name}
		for n, r := range runes {
			s.widths[r] = m.Widths[n]
		}
		out[i] = s
	}
	return out
})

func (f Face) slimmed() *slimmed {
	if f == Bold {
		return faces()[1]
	}
	return faces()[0]
}

// TTF returns the slimmed face as a TrueType file, for pages that show the drawings. It must not be changed.
func (f Face) TTF() []byte { return f.slimmed().data }

// Width returns the width in millimetres of s set in points size with tracking extra points after each rune.
// Runes that cannot be printed count nothing; CheckText finds them.
func (f Face) Width(s string, size, tracking float64) float64 {
	units, runes := f.measure(s)
	return advance(units, runes, size, tracking)
}

// measure returns the width of s in thousandths of the size, and its length in runes.
func (f Face) measure(s string) (units, runes int) { return f.slimmed().measure(s) }

func advance(units, runes int, size, tracking float64) float64 {
	return (float64(units)*size/1000 + float64(runes)*tracking) / pointsPerMM
}

// Ascent returns how far the face reaches above the baseline at size points, in millimetres.
func (f Face) Ascent(size float64) float64 { return f.slimmed().ascent * size / pointsPerMM }

// Descent returns how far the face reaches below the baseline at size points, in millimetres.
func (f Face) Descent(size float64) float64 { return f.slimmed().descent * size / pointsPerMM }

// CapHeight returns the height of a capital at size points, in millimetres.
func (f Face) CapHeight(size float64) float64 { return f.slimmed().capital * size / pointsPerMM }

// TextError says which rune of whose text cannot be printed, and why.
type TextError struct {
	Owner  string // what the text belongs to, such as a learner's name or a row of a table
	Text   string
	Rune   rune
	Reason string
}

func (e *TextError) Error() string {
	shown := fmt.Sprintf("%q (%U)", e.Rune, e.Rune)
	return fmt.Sprintf("%s: cannot print %s in %q: %s", e.Owner, shown, e.Text, e.Reason)
}

// CheckText returns nil when every rune of s can be printed, and else a *TextError that names the first rune
// that cannot, and the owner. Letters and their combining accents are composed first, as Compose and Write do.
// Right-to-left scripts and runes above U+FFFF are refused: the PDF writer would print them in the wrong order
// or make them unreadable for search and screen readers, and a wrong name is worse than none.
func CheckText(owner, s string) error {
	_, err := compose(owner, s)
	return err
}

// compose returns s with accents composed, or what CheckText returns.
func compose(owner, s string) (string, error) {
	face := Regular.slimmed()
	const accents = 0x300 // the first; text of runes below it is composed
	plain := true
	for _, r := range s {
		_, ok := face.width(r)
		plain = plain && ok && r < accents
	}
	if plain {
		return s, nil
	}
	composed := norm.NFC.String(s)
	for _, r := range composed {
		if _, ok := face.width(r); ok {
			continue
		}
		e := &TextError{Owner: owner, Text: s, Rune: r, Reason: "the sheet's font has no such character"}
		switch {
		case r == unicode.ReplacementChar:
			e.Reason = "the text is not valid UTF-8"
		case unicode.In(r, unicode.Hebrew, unicode.Arabic, unicode.Syriac, unicode.Thaana, unicode.Nko) || r >= 0x200E && r <= 0x200F || r >= 0x202A && r <= 0x202E || r >= 0x2066 && r <= 0x2069:
			e.Reason = "right-to-left text cannot be printed yet; write the name in Latin, Greek or Cyrillic letters"
		case r > 0xFFFF:
			e.Reason = "characters above U+FFFF (such as emoji) cannot be printed"
		case unicode.IsControl(r):
			e.Reason = "control characters cannot be printed"
		}
		return "", e
	}
	return composed, nil
}

// printable returns the runes that both slimmed faces hold, sorted: the letters of European languages and
// Vietnamese, Greek, Cyrillic, and the signs of the trade and of formulas.
func printable() []rune {
	var out []rune
	for _, span := range [][2]rune{
		{0x20, 0x7E}, {0xA0, 0xAC}, {0xAE, 0x17F}, // Latin; the soft hyphen is not a sign to print
		{0x1CD, 0x1DC}, {0x1E6, 0x1E7}, {0x218, 0x21B}, {0x232, 0x233},
		{0x1E80, 0x1E85}, {0x1E9E, 0x1E9E}, {0x1EA0, 0x1EF9},
		{0x391, 0x3A1}, {0x3A3, 0x3CE}, {0x384, 0x386}, {0x388, 0x38A}, {0x38C, 0x38C}, {0x38E, 0x390}, // Greek
		{0x400, 0x45F}, {0x490, 0x491}, // Cyrillic
		{0x2010, 0x2015}, {0x2018, 0x201E}, {0x2020, 0x2022}, {0x2030, 0x2030}, {0x2032, 0x2033}, {0x2039, 0x203A},
		{0x2070, 0x2071}, {0x2074, 0x208E}, // superscripts and subscripts
		{0x2150, 0x215E}, {0x2190, 0x2195}, {0x21BA, 0x21BB}, // fractions, arrows, turning arrows
		{0x2300, 0x2300}, {0x2220, 0x2220}, {0x2225, 0x2225}, {0x22A5, 0x22A5}, // diameter, angle, parallel, perpendicular
		{0x2248, 0x2248}, {0x2260, 0x2261}, {0x2264, 0x2265}, {0x2208, 0x2208}, {0x2211, 0x2212}, {0x221A, 0x221A}, {0x221E, 0x221E},
		{0x2308, 0x230B}, {0x25A0, 0x25A1}, {0x25B2, 0x25B3}, {0x25B6, 0x25B7}, {0x25BC, 0x25BD}, {0x25C0, 0x25C1}, {0x25CB, 0x25CB}, {0x25CF, 0x25CF},
		{0x2610, 0x2612}, {0x26A0, 0x26A0}, {0x2713, 0x2713}, {0x2717, 0x2717},
	} {
		for r := span[0]; r <= span[1]; r++ {
			out = append(out, r)
		}
	}
	for _, r := range "ƏəƠơƯưƒ€₣№™ΩÅ⅓" {
		out = append(out, r)
	}
	slices.Sort(out)
	return slices.Compact(out)
}
