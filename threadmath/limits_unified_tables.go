package threadmath

// unifiedSize names a size of a Unified table: the diameter in ten-thousandths of
// an inch and the whole threads per inch, 0 for no whole number.
type unifiedSize struct{ diameter, perInch int64 }

// unifiedSize returns the size of the job; a diameter that is no whole number of
// ten-thousandths is none that a table names and gives a diameter of 0.
func (j *job) unifiedSize() unifiedSize {
	diameter, whole := j.diameter.In(Inch).Mul(Int(10_000)).Int64()
	if !whole {
		diameter = 0
	}
	perInch, whole := Inches(Int(1)).Quo(j.pitch).Int64()
	if !whole {
		perInch = 0
	}
	return unifiedSize{diameter, perInch}
}

const (
	handbookUnified = "Machinery's Handbook, 27th ed., pp. 1755-1762"
	copiedUnified   = "a text copy of the table of ASME B1.1 for 5/8 to 11/16 in"
)

// unifiedRead holds the threads per inch outside the coarse and fine series whose
// limits were read in a printed table (Machinery's Handbook, 27th ed.,
// pp. 1755-1762): 4 and 8 engaged over a diameter, the others over nine pitches.
var unifiedRead = map[int64]bool{4: true, 8: true, 10: true, 12: true, 14: true, 16: true, 20: true}

// unifiedBlocks holds the diameter in inches, that of the next larger size which
// heads its block, with which the formula gives the printed tolerances of a size
// of constant pitch (Machinery's Handbook, 27th ed., pp. 1755-1762; the rows read).
var unifiedBlocks = map[unifiedSize]float64{
	{23_750, 20}: 2.5,
	{57_500, 10}: 6, {57_500, 12}: 6, {57_500, 14}: 6, {57_500, 16}: 6,
}

// unifiedPrintedRoot is a printed UNR minor diameter in ten-thousandths of an
// inch: with the allowance (1A and 2A) and without it (3A, 0 where not read).
type unifiedPrintedRoot struct {
	allowed, basic int64
	source         string
}

// unifiedRoots holds the printed UNR minor diameters that 11/16 H does not give;
// they differ from it by one or two ten-thousandths.
var unifiedRoots = map[unifiedSize]unifiedPrintedRoot{
	{6250, 11}:   {5152, 5168, copiedUnified},
	{25_000, 10}: {23_790, 0, handbookUnified},
	{25_000, 14}: {24_133, 0, handbookUnified},
	{57_500, 14}: {56_630, 0, handbookUnified},
}
