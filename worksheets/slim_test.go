package worksheets

import (
	"encoding/binary"
	"errors"
	"fmt"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// slim returns the face in src reduced to runes, which must be sorted and not empty.
//
// The PDF writer keeps only the first level of a composite glyph when it makes its subset, so a letter that is
// a composite of composites prints without its accent and without an error. Here every outline is resolved by
// the sfnt package and written back as a simple glyph, so there are no composites left to lose. Hinting
// programs go too: they address points of the old outlines and print needs none.
func slim(src []byte, runes []rune) ([]byte, error) {
	tables, err := readTables(src)
	if err != nil {
		return nil, err
	}
	f, err := sfnt.Parse(src)
	if err != nil {
		return nil, fmt.Errorf("parse font: %w", err)
	}
	var buf sfnt.Buffer
	ppem := fixed.I(int(f.UnitsPerEm())) // one pixel per font unit, so outlines come back in font units
	name, err := f.Name(&buf, sfnt.NameIDPostScript)
	if err != nil {
		return nil, fmt.Errorf("font name: %w", err)
	}
	var glyf, loca, hmtx []byte
	var limits maxima
	add := func(g sfnt.GlyphIndex) error {
		segs, err := f.LoadGlyph(&buf, g, ppem, nil)
		if err != nil {
			return err
		}
		contours, err := outlineOf(segs)
		if err != nil {
			return err
		}
		adv, err := f.GlyphAdvance(&buf, g, ppem, font.HintingNone)
		if err != nil {
			return err
		}
		loca = binary.BigEndian.AppendUint32(loca, uint32(len(glyf)))
		body, left := encodeGlyph(contours, &limits)
		glyf = append(glyf, body...)
		hmtx = binary.BigEndian.AppendUint16(hmtx, uint16(adv.Round()))
		hmtx = binary.BigEndian.AppendUint16(hmtx, uint16(left))
		return nil
	}
	if err := add(0); err != nil {
		return nil, fmt.Errorf("glyph .notdef: %w", err)
	}
	for _, r := range runes {
		g, err := f.GlyphIndex(&buf, r)
		if err != nil {
			return nil, fmt.Errorf("glyph of %U: %w", r, err)
		}
		if g == 0 {
			return nil, fmt.Errorf("font %s has no glyph for %U", name, r)
		}
		if err := add(g); err != nil {
			return nil, fmt.Errorf("glyph of %U: %w", r, err)
		}
	}
	loca = binary.BigEndian.AppendUint32(loca, uint32(len(glyf)))
	count := len(runes) + 1

	head := append([]byte(nil), tables["head"]...)
	binary.BigEndian.PutUint32(head[8:], 0)  // whole-file checksum: left out, readers of embedded fonts ignore it
	binary.BigEndian.PutUint16(head[50:], 1) // long offsets in loca
	hhea := append([]byte(nil), tables["hhea"]...)
	binary.BigEndian.PutUint16(hhea[34:], uint16(count))
	post := append([]byte(nil), tables["post"][:32]...)
	binary.BigEndian.PutUint32(post, 0x00030000) // no glyph names

	return writeTables([]table{
		{"OS/2", tables["OS/2"]},
		{"cmap", encodeCmap(runes)},
		{"glyf", glyf},
		{"head", head},
		{"hhea", hhea},
		{"hmtx", hmtx},
		{"loca", loca},
		{"maxp", encodeMaxp(count, limits)},
		{"name", encodeName(name)},
		{"post", post},
	}), nil
}

// measure reads the face in data, one made by slim of the same runes.
func measure(data []byte, runes []rune) (faceMeasures, error) {
	f, err := sfnt.Parse(data)
	if err != nil {
		return faceMeasures{}, fmt.Errorf("parse font: %w", err)
	}
	var buf sfnt.Buffer
	em := int(f.UnitsPerEm())
	ppem := fixed.I(em) // one pixel per font unit, so lengths come back in font units
	name, err := f.Name(&buf, sfnt.NameIDPostScript)
	if err != nil {
		return faceMeasures{}, fmt.Errorf("font name: %w", err)
	}
	metrics, err := f.Metrics(&buf, ppem, font.HintingNone)
	if err != nil {
		return faceMeasures{}, fmt.Errorf("font metrics: %w", err)
	}
	m := faceMeasures{Name: name, Ascent: float64(metrics.Ascent) / 64 / float64(em), Descent: float64(metrics.Descent) / 64 / float64(em)}
	h, err := f.GlyphIndex(&buf, 'H') // the older OS/2 table of the face states no height of capitals
	if err != nil {
		return faceMeasures{}, fmt.Errorf("glyph of H: %w", err)
	}
	box, _, err := f.GlyphBounds(&buf, h, ppem, font.HintingNone)
	if err != nil {
		return faceMeasures{}, fmt.Errorf("bounds of H: %w", err)
	}
	m.Capital = -float64(box.Min.Y) / 64 / float64(em)
	for _, r := range runes {
		g, err := f.GlyphIndex(&buf, r)
		if err != nil {
			return faceMeasures{}, fmt.Errorf("glyph of %U: %w", r, err)
		}
		if g == 0 {
			return faceMeasures{}, fmt.Errorf("font %s has no glyph for %U", name, r)
		}
		adv, err := f.GlyphAdvance(&buf, g, ppem, font.HintingNone)
		if err != nil {
			return faceMeasures{}, fmt.Errorf("advance of %U: %w", r, err)
		}
		m.Widths = append(m.Widths, uint16(adv.Round()*1000/em))
	}
	return m, nil
}

type table struct {
	tag  string
	data []byte
}

func readTables(src []byte) (map[string][]byte, error) {
	errShort := errors.New("font file is too short")
	if len(src) < 12 {
		return nil, errShort
	}
	n := int(binary.BigEndian.Uint16(src[4:]))
	if len(src) < 12+16*n {
		return nil, errShort
	}
	tables := make(map[string][]byte, n)
	for i := range n {
		rec := src[12+16*i:]
		off, size := uint64(binary.BigEndian.Uint32(rec[8:])), uint64(binary.BigEndian.Uint32(rec[12:]))
		if off+size > uint64(len(src)) {
			return nil, errShort
		}
		tables[string(rec[:4])] = src[off : off+size]
	}
	for tag, size := range map[string]int{"head": 54, "hhea": 36, "post": 32, "OS/2": 78} {
		if len(tables[tag]) < size {
			return nil, fmt.Errorf("font table %s is missing or short", tag)
		}
	}
	return tables, nil
}

// writeTables returns a TrueType file of the tables, which must be sorted by tag.
func writeTables(tables []table) []byte {
	out := binary.BigEndian.AppendUint32(nil, 0x00010000)
	out = binary.BigEndian.AppendUint16(out, uint16(len(tables)))
	power, log := 1, 0
	for power*2 <= len(tables) {
		power, log = power*2, log+1
	}
	for _, v := range []int{power * 16, log, (len(tables) - power) * 16} {
		out = binary.BigEndian.AppendUint16(out, uint16(v))
	}
	offset := 12 + 16*len(tables)
	var body []byte
	for _, t := range tables {
		padded := append([]byte(nil), t.data...)
		for len(padded)%4 != 0 {
			padded = append(padded, 0)
		}
		var sum uint32
		for i := 0; i < len(padded); i += 4 {
			sum += binary.BigEndian.Uint32(padded[i:])
		}
		out = append(out, t.tag...)
		out = binary.BigEndian.AppendUint32(out, sum)
		out = binary.BigEndian.AppendUint32(out, uint32(offset+len(body)))
		out = binary.BigEndian.AppendUint32(out, uint32(len(t.data)))
		body = append(body, padded...)
	}
	return append(out, body...)
}

// encodeCmap returns a format 4 table in which the i-th rune maps to glyph i+1. Glyphs are numbered in rune
// order, so each run of consecutive runes is one segment with a constant difference.
func encodeCmap(runes []rune) []byte {
	type segment struct{ first, last, delta uint16 }
	var segs []segment
	for i, r := range runes {
		if n := len(segs); n > 0 && rune(segs[n-1].last)+1 == r {
			segs[n-1].last++
			continue
		}
		segs = append(segs, segment{uint16(r), uint16(r), uint16(i+1) - uint16(r)})
	}
	segs = append(segs, segment{0xFFFF, 0xFFFF, 1})
	power, log := 1, 0
	for power*2 <= len(segs) {
		power, log = power*2, log+1
	}
	var sub []byte
	put := func(v int) { sub = binary.BigEndian.AppendUint16(sub, uint16(v)) }
	put(4)
	put(16 + 8*len(segs))
	put(0)
	put(2 * len(segs))
	put(2 * power)
	put(log)
	put(2 * (len(segs) - power))
	for _, s := range segs {
		put(int(s.last))
	}
	put(0)
	for _, s := range segs {
		put(int(s.first))
	}
	for _, s := range segs {
		put(int(s.delta))
	}
	for range segs {
		put(0)
	}
	head := []byte{0, 0, 0, 1, 0, 3, 0, 1, 0, 0, 0, 12} // version 0, one sub-table: Windows, Unicode BMP, at 12
	return append(head, sub...)
}

func encodeName(name string) []byte {
	var text []byte
	for _, r := range name {
		text = binary.BigEndian.AppendUint16(text, uint16(r))
	}
	out := []byte{0, 0, 0, 1, 0, 18, 0, 3, 0, 1, 4, 9, 0, 6} // one record: Windows, Unicode, English, PostScript name
	out = binary.BigEndian.AppendUint16(out, uint16(len(text)))
	out = binary.BigEndian.AppendUint16(out, 0)
	return append(out, text...)
}
