package worksheets

import (
	"fmt"
	"strings"
)

// Paper is a paper size in millimetres.
type Paper struct {
	Name          string
	Width, Height float64
}

// The paper sizes: ISO 216 A4, and US Letter, 8.5 in by 11 in.
var (
	A4     = Paper{"A4", 210, 297}
	Letter = Paper{"Letter", 215.9, 279.4}
)

// Theme turns tones into greys.
type Theme uint8

// The themes. HighContrast prints everything in black on white with bolder lines.
const (
	Standard Theme = iota
	HighContrast
)

// grey returns the grey of the tone, 0 black to 1 white.
func (t Theme) grey(tone Tone) float64 {
	switch tone {
	case Muted:
		if t == HighContrast {
			return 0
		}
		return 0.3
	case Shade:
		if t == HighContrast {
			return 1
		}
		return 0.9
	case Ghost:
		return 0.88
	case White:
		return 1
	default:
		return 0
	}
}

// width returns the width of a line in the theme, in millimetres.
func (t Theme) width(w float64) float64 {
	if t == HighContrast {
		return w * 1.6
	}
	return w
}

// Style says how a sheet is set. Lengths are in millimetres unless the name says otherwise.
type Style struct {
	Paper       Paper
	Theme       Theme
	Margin      float64
	Size        float64 // body text, points
	Leading     float64 // distance of baselines as a multiple of the size
	Tracking    float64 // extra space after each rune as a part of the size
	WordSpace   float64 // extra space between words as a part of the size
	BlockGap    float64 // between blocks, as a multiple of the line height
	WriteHeight float64 // of a line to write an answer on
}

// Options are the choices that a learner may need.
type Options struct {
	LargePrint   bool // 18 point text and taller lines to write on
	HighContrast bool // black on white, bolder lines
	WideSpacing  bool // more space between letters, words, lines and blocks, for readers with dyslexia
}

// NewStyle returns the style for the paper and the options. Body text is 11.5 points: big enough for a bench. Large
// print is 18 points, the size that guides to large print name (common practice, no source). Wide spacing
// takes the values of WCAG 2.2 success criterion 1.4.12: letters 0.12, words 0.16, lines 1.5 times the size,
// paragraphs 2 times the size.
func NewStyle(p Paper, o Options) Style {
	s := Style{Paper: p, Margin: 15, Size: 11.5, Leading: 1.3, BlockGap: 0.6, WriteHeight: 10}
	if o.LargePrint {
		s.Size, s.Margin, s.WriteHeight = 18, 12, 14
	}
	if o.HighContrast {
		s.Theme = HighContrast
	}
	if o.WideSpacing {
		s.Tracking, s.WordSpace, s.Leading, s.BlockGap = 0.12, 0.16, 1.5, 1.33
	}
	return s
}

// lineHeight returns the distance of baselines at a size in points.
func (s Style) lineHeight(size float64) float64 { return size * s.Leading / pointsPerMM }

// gap returns the space between blocks.
func (s Style) gap() float64 { return s.lineHeight(s.Size) * s.BlockGap }

// width returns the width of a run at a size in points with the style's tracking.
func (s Style) width(f Face, text string, size float64) float64 {
	return f.Width(text, size, s.Tracking*size)
}

// PaperNamed returns the paper called "a4" or "letter".
func PaperNamed(name string) (Paper, error) {
	for _, p := range []Paper{A4, Letter} {
		if strings.EqualFold(p.Name, name) {
			return p, nil
		}
	}
	return Paper{}, fmt.Errorf("%q is no paper: a4 or letter", name)
}
