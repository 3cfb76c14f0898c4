package threadmath

import (
	"encoding/json"
	"math"
	"strconv"
)

// System is the unit system a number is written in.
type System int

// The two unit systems of the trade.
const (
	Metric System = iota
	Inch
)

// String returns the unit's symbol, "mm" or "in".
func (s System) String() string {
	if s == Inch {
		return "in"
	}
	return "mm"
}

// Other returns the system that s is not.
func (s System) Other() System {
	if s == Inch {
		return Metric
	}
	return Inch
}

// mmPerInch is exact: 1 in = 25.4 mm (international yard and pound agreement,
// 1959; ISO 80000-3).
var mmPerInch = frac(127, 5)

// Length is an exact length. It is immutable; the zero value is no length.
type Length struct{ mm Ratio }

// Millimetres returns the length of r mm.
func Millimetres(r Ratio) Length { return Length{r} }

// Inches returns the length of r in, exactly 25.4 mm each.
func Inches(r Ratio) Length { return Length{r.Mul(mmPerInch)} }

// LengthIn returns r units of the system.
func LengthIn(r Ratio, s System) Length {
	if s == Inch {
		return Inches(r)
	}
	return Millimetres(r)
}

// In returns the number of the system's units in l, exactly.
func (l Length) In(s System) Ratio {
	if s == Inch {
		return l.mm.Quo(mmPerInch)
	}
	return l.mm
}

// MM returns l in millimetres as the nearest float64.
func (l Length) MM() float64 { return l.mm.Float64() }

// Add returns l + o.
func (l Length) Add(o Length) Length { return Length{l.mm.Add(o.mm)} }

// Sub returns l − o.
func (l Length) Sub(o Length) Length { return Length{l.mm.Sub(o.mm)} }

// Neg returns −l.
func (l Length) Neg() Length { return Length{l.mm.Neg()} }

// Mul returns l · r.
func (l Length) Mul(r Ratio) Length { return Length{l.mm.Mul(r)} }

// Times returns l · n.
func (l Length) Times(n int) Length { return Length{l.mm.Mul(Int(int64(n)))} }

// Div returns l / n; n must not be zero.
func (l Length) Div(n int) Length { return Length{l.mm.Quo(Int(int64(n)))} }

// Quo returns l / o as a number; o must not be zero.
func (l Length) Quo(o Length) Ratio { return l.mm.Quo(o.mm) }

// Mod returns l modulo m, in [0, m) for m > 0.
func (l Length) Mod(m Length) Length { return Length{l.mm.Mod(m.mm)} }

// Cmp returns −1, 0 or 1 as l is shorter than, equal to or longer than o.
func (l Length) Cmp(o Length) int { return l.mm.Cmp(o.mm) }

// Equal reports whether l and o are the same length.
func (l Length) Equal(o Length) bool { return l.Cmp(o) == 0 }

// Sign returns −1, 0 or 1.
func (l Length) Sign() int { return l.mm.Sign() }

// Exact returns l in lowest terms with its unit: "6 mm", "3/10 in".
func (l Length) Exact(s System) string { return l.In(s).String() + " " + s.String() }

// Dimension is a length in an answer: exact where it is rational, otherwise a
// float64 in millimetres whose error its source states. In JSON it is
// {"in": …, "mm": …, "exact": "6 mm"}, nine significant digits.
type Dimension struct {
	mm     float64
	exact  Length
	known  bool // exact holds the length
	system System
}

// ExactDimension returns l, its exact text written in the system's unit.
func ExactDimension(l Length, s System) Dimension {
	return Dimension{mm: l.MM(), exact: l, known: true, system: s}
}

// ApproxDimension returns a length known only as a float64 of millimetres.
func ApproxDimension(mm float64) Dimension { return Dimension{mm: mm} }

// MM returns the length in millimetres.
func (d Dimension) MM() float64 { return d.mm }

// Value returns the length as a float64 in the system's unit.
func (d Dimension) Value(s System) float64 {
	if s == Inch {
		return d.mm / 25.4
	}
	return d.mm
}

// Exact returns the exact length, and whether it is known.
func (d Dimension) Exact() (Length, bool) { return d.exact, d.known }

// System returns the unit system the length is written in; Metric for one that
// is not exact.
func (d Dimension) System() System { return d.system }

// MarshalJSON writes the contract's object. A length that no float64 holds
// gives a DomainError.
func (d Dimension) MarshalJSON() ([]byte, error) {
	in := d.mm / 25.4
	if d.known {
		in = d.exact.In(Inch).Float64()
	}
	if math.IsNaN(d.mm) || math.IsInf(d.mm, 0) || math.IsInf(in, 0) {
		return nil, &DomainError{Quantity: "length", Value: formatFloat(d.mm), Reason: "not a finite number"}
	}
	b := make([]byte, 0, 64)
	b = append(b, `{"in":`...)
	b = appendNine(b, in)
	b = append(b, `,"mm":`...)
	b = appendNine(b, d.mm)
	if d.known {
		b = append(b, `,"exact":"`...)
		b = append(b, d.exact.Exact(d.system)...)
		b = append(b, '"')
	}
	return append(b, '}'), nil
}

// UnmarshalJSON reads what MarshalJSON writes; exact, where present, decides.
// An object without a length in it gives a DomainError.
func (d *Dimension) UnmarshalJSON(data []byte) error {
	var w struct {
		In    *float64 `json:"in"`
		MM    *float64 `json:"mm"`
		Exact string   `json:"exact"`
	}
	if err := json.Unmarshal(data, &w); err != nil {
		return err
	}
	switch {
	case w.Exact != "":
		l, s, err := ParseLength(w.Exact)
		if err != nil {
			return err
		}
		*d = ExactDimension(l, s)
	case w.MM != nil:
		*d = ApproxDimension(*w.MM)
	case w.In != nil:
		*d = ApproxDimension(*w.In * 25.4)
	default:
		return &DomainError{Quantity: "length", Reason: "neither exact, mm nor in is given"}
	}
	return nil
}

// appendNine appends f with nine significant digits, and zero without a sign.
func appendNine(b []byte, f float64) []byte {
	if f == 0 {
		f = 0 // −0 compares equal to 0
	}
	return strconv.AppendFloat(b, f, 'g', 9, 64)
}
