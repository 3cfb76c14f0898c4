package formula

import (
	"strconv"
	"strings"
)

// Text writes the formula for people: "n × P", "h / cos(A)", "(k − 1) × 360 / n".
func (f *Formula) Text() string { return f.write(nil) }

// Substitute writes the formula with numbers in place of the names that vars
// holds: "3 × 2".
func (f *Formula) Substitute(vars map[string]Value) string {
	if vars == nil {
		vars = map[string]Value{}
	}
	return f.write(vars)
}

func (f *Formula) write(vars map[string]Value) string {
	w := &writer{vars: vars}
	f.root.write(w, 0)
	return w.String()
}

type writer struct {
	strings.Builder
	vars map[string]Value
}

// How tightly a place binds what is written there.
const (
	tightSum = iota
	tightProduct
	tightUnary
	tightPower
	tightAtom
)

// group writes s within parentheses where the place binds tighter than it.
func (w *writer) group(needed bool, write func()) {
	if needed {
		w.WriteByte('(')
	}
	write()
	if needed {
		w.WriteByte(')')
	}
}

// isNumber reports whether n is written as one number.
func (w *writer) isNumber(n node) bool {
	switch n := n.(type) {
	case *number:
		return true
	case *variable:
		_, ok := w.vars[n.name]
		return ok
	}
	return false
}

func (n *number) write(w *writer, _ int) { w.WriteString(n.text) }

func (*constant) write(w *writer, _ int) { w.WriteString("π") }

func (n *variable) write(w *writer, tight int) {
	v, ok := w.vars[n.name]
	if !ok {
		w.WriteString(n.name)
		return
	}
	s := v.String()
	// A fraction or a negative number stands as one number, not as an operation.
	composed := strings.Contains(s, "/") && tight >= tightProduct || strings.HasPrefix(s, "−") && tight > tightSum
	w.group(composed, func() { w.WriteString(s) })
}

func (n *negation) write(w *writer, tight int) {
	w.group(tight > tightSum, func() {
		w.WriteString("−")
		n.of.write(w, tightUnary)
	})
}

func (n *power) write(w *writer, tight int) {
	w.group(tight >= tightAtom, func() {
		n.of.write(w, tightAtom)
		for _, c := range strconv.Itoa(n.exponent) {
			w.WriteRune([]rune("⁰¹²³⁴⁵⁶⁷⁸⁹")[c-'0'])
		}
	})
}

func (n *binary) write(w *writer, tight int) {
	sign, level := " × ", tightProduct
	switch n.op {
	case '+':
		sign, level = " + ", tightSum
	case '-':
		sign, level = " − ", tightSum
	case '/':
		sign = " / "
	}
	w.group(tight > level, func() {
		n.left.write(w, level)
		w.WriteString(sign)
		// a − (b − c), a / (b × c): the right side binds one tighter.
		right := level
		if n.op == '-' || n.op == '/' || n.op == '*' {
			right = level + 1
		}
		n.right.write(w, right)
	})
}

func (n *call) write(w *writer, _ int) {
	switch n.name {
	case "sqrt":
		w.WriteString("√")
	case "sin", "cos", "tan":
		w.WriteString(n.name + "(")
		n.args[0].write(w, tightSum)
		if w.isNumber(n.args[0]) {
			w.WriteString("°")
		}
		w.WriteByte(')')
		return
	case "abs":
		w.WriteString("|")
		n.args[0].write(w, tightSum)
		w.WriteString("|")
		return
	default:
		w.WriteString(n.name)
	}
	w.WriteByte('(')
	for i, a := range n.args {
		if i > 0 {
			w.WriteString(", ")
		}
		a.write(w, tightSum)
	}
	w.WriteByte(')')
}
