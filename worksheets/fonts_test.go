package worksheets

import (
	"bytes"
	"encoding/json"
	"os"
	"testing"

	"github.com/go-fonts/dejavu/dejavusanscondensed"
	"github.com/go-fonts/dejavu/dejavusanscondensedbold"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// The faces compiled in are what slim makes of the whole ones, and their measures
// what sfnt reads in them.
func TestTypefacesAreCut(t *testing.T) {
	t.Parallel()
	want := map[string][]byte{}
	var measures [2]faceMeasures
	for i, face := range []struct {
		file string
		src  []byte
	}{{"typeface/regular.ttf", dejavusanscondensed.TTF}, {"typeface/bold.ttf", dejavusanscondensedbold.TTF}} {
		cut, err := slim(face.src, printable())
		require.NoError(t, err)
		want[face.file] = cut
		measures[i], err = measure(cut, printable())
		require.NoError(t, err)
	}
	body, err := json.Marshal(measures)
	require.NoError(t, err)
	want["typeface/measures.json"] = append(body, '\n')
	for file, data := range want {
		if *update {
			require.NoError(t, os.WriteFile(file, data, 0o644))
		}
		have, err := os.ReadFile(file)
		require.NoError(t, err)
		assert.True(t, bytes.Equal(data, have), "%s is not what the face gives for printable(); see fonts.go", file)
	}
}

// The slimmed outlines are compared with the source face, rune by rune, as sfnt reads both.
func TestSlimmedOutlinesEqualTheSource(t *testing.T) {
	t.Parallel()
	for face, src := range map[Face][]byte{Regular: dejavusanscondensed.TTF, Bold: dejavusanscondensedbold.TTF} {
		whole, err := sfnt.Parse(src)
		require.NoError(t, err)
		cut, err := sfnt.Parse(face.TTF())
		require.NoError(t, err)
		var a, b sfnt.Buffer
		ppem := fixed.I(int(whole.UnitsPerEm()))
		for _, r := range printable() {
			ga, err := whole.GlyphIndex(&a, r)
			require.NoError(t, err)
			gb, err := cut.GlyphIndex(&b, r)
			require.NoError(t, err)
			require.NotZero(t, gb, "%U", r)
			wantSegs, err := whole.LoadGlyph(&a, ga, ppem, nil)
			require.NoError(t, err)
			gotSegs, err := cut.LoadGlyph(&b, gb, ppem, nil)
			require.NoError(t, err)
			want, err := outlineOf(wantSegs)
			require.NoError(t, err)
			got, err := outlineOf(gotSegs)
			require.NoError(t, err)
			require.Equal(t, len(want), len(got), "contours of %q", r)
			for i := range want {
				require.ElementsMatch(t, want[i], got[i], "contour %d of %q", i, r)
			}
			wa, err := whole.GlyphAdvance(&a, ga, ppem, font.HintingNone)
			require.NoError(t, err)
			wb, err := cut.GlyphAdvance(&b, gb, ppem, font.HintingNone)
			require.NoError(t, err)
			require.Equal(t, wa, wb, "advance of %q", r)
		}
	}
}

func TestSlimmedFaceIsSmall(t *testing.T) {
	t.Parallel()
	for _, f := range []Face{Regular, Bold} {
		t.Log(f, len(f.TTF()), "bytes,", len(printable()), "runes")
		assert.Less(t, len(f.TTF()), 140_000)
	}
}

func TestRequiredRunesCanBePrinted(t *testing.T) {
	t.Parallel()
	assert.NoError(t, CheckText("signs", "° × · ± ½ ⅛ ² ³ π α β λ φ ⌀ √ ≈ ≤ ≥ − ′ ″ → ∠ ⊥ ∥ ☐ ✓ ⚠ △ ₀₁₂ⁿ⁻ ⌈x⌉"))
	assert.NoError(t, CheckText("names", "é ü ñ ø ł ž š Ž ń ő ç ğ İ ı ș ț ß þ ð ā ė ų Nguyễn Ќовач Ярослав Γιώργος"))
	assert.NoError(t, CheckText("decomposed", "S\u030Cimun Ne\u0301meth"), "accents are composed first")
}

func TestCheckTextNamesTheRuneAndTheOwner(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"שרה":       "right-to-left",
		"يوسف":      "right-to-left",
		"a\u202Eb":  "right-to-left",
		"A 🔩":       "above U+FFFF",
		"田中":        "no such character",
		"a\nb":      "control",
		"bad \xff.": "UTF-8",
	} {
		err := CheckText("learner 7", text)
		var te *TextError
		require.ErrorAs(t, err, &te, text)
		assert.Equal(t, "learner 7", te.Owner)
		assert.Contains(t, err.Error(), want)
		assert.Contains(t, err.Error(), "learner 7")
	}
}

func TestWidthAgreesWithTheFace(t *testing.T) {
	t.Parallel()
	f, err := sfnt.Parse(Regular.TTF())
	require.NoError(t, err)
	var b sfnt.Buffer
	want := 0.0
	const text = "Lead 6 mm, šňořa"
	for _, r := range text {
		g, err := f.GlyphIndex(&b, r)
		require.NoError(t, err)
		adv, err := f.GlyphAdvance(&b, g, fixed.I(2048), font.HintingNone)
		require.NoError(t, err)
		want += float64(adv.Round()) / 2048 * 12 / 72 * 25.4
	}
	assert.InDelta(t, want, Regular.Width(text, 12, 0), 0.1, "cut to thousandths of an em, as the PDF states it")
	assert.InDelta(t, Regular.Width("ab", 10, 0)+2*72/pointsPerMM, Regular.Width("ab", 10, 72), 1e-9, "an inch after each rune")
}

// The face's own description: capitals of DejaVu Sans are 1493 units high, of 2048.
func TestVerticalMetrics(t *testing.T) {
	t.Parallel()
	for _, f := range []Face{Regular, Bold} {
		assert.InDelta(t, 1493.0/2048*10/72*25.4, f.CapHeight(10), 1e-3)
		assert.InDelta(t, 1901.0/2048*10/72*25.4, f.Ascent(10), 1e-3)
		assert.InDelta(t, 483.0/2048*10/72*25.4, f.Descent(10), 1e-3)
	}
}
