package threadmath

import "strings"

// Series is a published series of sizes: which pitches a shop meets on which
// diameters.
type Series struct {
	// Name is what a designation calls it ("UNC"); the metric ones, which
	// designations do not name, are "M coarse", "M fine", "Tr".
	Name string
	// Form is the slug of the form.
	Form string
	// Source names the document. Memory says that the sizes were written from
	// memory of it and that no printed table was at hand to compare with; of the
	// others, the sizes that the published checks hold were compared.
	Source string
	Memory bool
	// Sizes are in the order of the diameters.
	Sizes []Size
}

// Size is one entry of a series.
type Size struct {
	// Screw is the number of a screw size ("10"), empty for the rest.
	Screw           string
	Diameter, Pitch Length
}

// AllSeries returns the published series: metric coarse and fine (ISO 262),
// trapezoidal (ISO 2904), Unified coarse, fine and extra fine (ASME B1.1),
// general purpose Acme (ASME B1.5), Whitworth coarse and fine (BS 84).
func AllSeries() []Series {
	out := append([]Series(nil), allSeries...)
	for i := range out {
		out[i].Sizes = append([]Size(nil), out[i].Sizes...)
	}
	return out
}

// The series as data. A metric entry is a diameter and its pitches, mm; an inch
// one is a size as designations write it, with threads per inch.
var allSeries = []Series{
	{Name: "M coarse", Form: "iso-metric", Source: "ISO 262 (ISO 261 for M64 and up)", Sizes: metricSizes(`
		1x0.25 1.1x0.25 1.2x0.25 1.4x0.3 1.6x0.35 1.8x0.35 2x0.4 2.2x0.45 2.5x0.45 3x0.5 3.5x0.6 4x0.7 4.5x0.75 5x0.8
		6x1 7x1 8x1.25 9x1.25 10x1.5 11x1.5 12x1.75 14x2 16x2 18x2.5 20x2.5 22x2.5 24x3 27x3 30x3.5 33x3.5 36x4 39x4
		42x4.5 45x4.5 48x5 52x5 56x5.5 60x5.5 64x6 68x6`)},
	{Name: "M fine", Form: "iso-metric", Source: "ISO 262", Sizes: metricSizes(`
		8x1 10x1.25,1 12x1.5,1.25 14x1.5 16x1.5 18x2,1.5 20x2,1.5 22x2,1.5 24x2 27x2 30x2 33x2 36x3 39x3 42x3 45x3 48x3
		52x4 56x4 60x4 64x4`)},
	{Name: "Tr", Form: "trapezoidal", Source: "ISO 2904", Sizes: metricSizes(`
		8x1.5 9x1.5,2 10x1.5,2 11x2,3 12x2,3 14x2,3 16x2,4 18x2,4 20x2,4 22x3,5,8 24x3,5,8 26x3,5,8 28x3,5,8 30x3,6,10
		32x3,6,10 34x3,6,10 36x3,6,10 38x3,7,10 40x3,7,10 42x3,7,10 44x3,7,12 46x3,8,12 48x3,8,12 50x3,8,12 52x3,8,12
		55x3,9,14 60x3,9,14 65x4,10,16 70x4,10,16 75x4,10,16 80x4,10,16 85x4,12,18 90x4,12,18 95x4,12,18 100x4,12,20`)},
	{Name: "UNC", Form: "unified", Source: "ASME B1.1 table 1", Sizes: inchSizes(`
		#1-64 #2-56 #3-48 #4-40 #5-40 #6-32 #8-32 #10-24 #12-24 1/4-20 5/16-18 3/8-16 7/16-14 1/2-13 9/16-12 5/8-11
		3/4-10 7/8-9 1-8 1-1/8-7 1-1/4-7 1-3/8-6 1-1/2-6 1-3/4-5 2-4.5 2-1/4-4.5 2-1/2-4 2-3/4-4 3-4 3-1/4-4 3-1/2-4
		3-3/4-4 4-4`)},
	{Name: "UNF", Form: "unified", Source: "ASME B1.1 table 1", Sizes: inchSizes(`
		#0-80 #1-72 #2-64 #3-56 #4-48 #5-44 #6-40 #8-36 #10-32 #12-28 1/4-28 5/16-24 3/8-24 7/16-20 1/2-20 9/16-18
		5/8-18 3/4-16 7/8-14 1-12 1-1/8-12 1-1/4-12 1-3/8-12 1-1/2-12`)},
	{Name: "UNEF", Form: "unified", Source: "ASME B1.1 table 1", Memory: true, Sizes: inchSizes(`
		#12-32 1/4-32 5/16-32 3/8-32 7/16-28 1/2-28 9/16-24 5/8-24 11/16-24 3/4-20 13/16-20 7/8-20 15/16-20 1-20
		1-1/16-18 1-1/8-18 1-3/16-18 1-1/4-18 1-5/16-18 1-3/8-18 1-7/16-18 1-1/2-18 1-9/16-18 1-5/8-18 1-11/16-18`)},
	{Name: "ACME", Form: "acme", Source: "ASME B1.5, general purpose", Sizes: inchSizes(`
		1/4-16 5/16-14 3/8-12 7/16-12 1/2-10 5/8-8 3/4-6 7/8-6 1-5 1-1/8-5 1-1/4-5 1-3/8-4 1-1/2-4 1-3/4-4 2-4 2-1/4-3
		2-1/2-3 2-3/4-3 3-2 3-1/2-2 4-2 4-1/2-2 5-2`)},
	{Name: "BSW", Form: "whitworth", Source: "BS 84", Sizes: inchSizes(`
		1/8-40 3/16-24 1/4-20 5/16-18 3/8-16 7/16-14 1/2-12 9/16-12 5/8-11 11/16-11 3/4-10 7/8-9 1-8 1-1/8-7 1-1/4-7
		1-1/2-6 1-3/4-5 2-4.5 2-1/4-4 2-1/2-4 2-3/4-3.5 3-3.5 3-1/4-3.25 3-1/2-3.25 3-3/4-3 4-3 4-1/2-2.875 5-2.75
		5-1/2-2.625 6-2.5`)},
	{Name: "BSF", Form: "whitworth", Source: "BS 84", Memory: true, Sizes: inchSizes(`
		3/16-32 7/32-28 1/4-26 9/32-26 5/16-22 3/8-20 7/16-18 1/2-16 9/16-16 5/8-14 11/16-14 3/4-12 13/16-12 7/8-11
		1-10 1-1/8-9 1-1/4-9 1-3/8-8 1-1/2-8 1-5/8-8 1-3/4-7 2-7 2-1/4-6 2-1/2-6 2-3/4-6 3-5 3-1/4-5 3-1/2-4.5
		3-3/4-4.5 4-4.5`)},
}

// metricSizes reads entries "diameter x pitch, pitch". Data that does not read
// panics when the package starts, which no build passes.
func metricSizes(data string) []Size {
	var out []Size
	for entry := range strings.FieldsSeq(data) {
		diameter, pitches, _ := strings.Cut(entry, "x")
		for p := range strings.SplitSeq(pitches, ",") {
			out = append(out, Size{Diameter: Millimetres(mustRatio(diameter)), Pitch: Millimetres(mustRatio(p))})
		}
	}
	return out
}

// inchSizes reads entries "diameter-threads per inch".
func inchSizes(data string) []Size {
	var out []Size
	for entry := range strings.FieldsSeq(data) {
		cut := strings.LastIndexByte(entry, '-')
		s := Size{Pitch: Inches(mustRatio(entry[cut+1:]).inv())}
		if number, ok := strings.CutPrefix(entry[:cut], "#"); ok {
			s.Screw, s.Diameter = number, screwDiameter(mustRatio(number))
		} else {
			s.Diameter = Inches(mustRatio(strings.Replace(entry[:cut], "-", " ", 1)))
		}
		out = append(out, s)
	}
	return out
}

func mustRatio(text string) Ratio {
	r, err := ParseRatio(text)
	if err != nil {
		panic(err)
	}
	return r
}

// screwDiameter returns 0.060 in + 0.013 in for each number (ASME B1.1).
func screwDiameter(number Ratio) Length {
	return Inches(frac(60, 1000).Add(number.Mul(frac(13, 1000))))
}

// inSeries reports whether the named series has the size.
func inSeries(name string, diameter, pitch Length) bool {
	for _, s := range sizesOf(name) {
		if s.Diameter.Equal(diameter) && s.Pitch.Equal(pitch) {
			return true
		}
	}
	return false
}

// listedPitch returns the pitch that a series of one pitch a diameter gives.
func listedPitch(name string, diameter Length) (Length, bool) {
	for _, s := range sizesOf(name) {
		if s.Diameter.Equal(diameter) {
			return s.Pitch, true
		}
	}
	return Length{}, false
}

func sizesOf(name string) []Size {
	for i := range allSeries {
		if allSeries[i].Name == name {
			return allSeries[i].Sizes
		}
	}
	return nil
}
