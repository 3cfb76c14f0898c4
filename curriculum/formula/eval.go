package formula

import (
	"errors"
	"fmt"
	"math"

	"halfnut/threadmath"
)

// What an evaluation can fail with, wrapped.
var (
	// ErrUndefined is an operation without a result: a division by zero, the root
	// of a negative number, gcd of what is not exact.
	ErrUndefined = errors.New("undefined")
	// ErrOverflow is a number beyond float64.
	ErrOverflow = errors.New("number too large")
	// ErrNoValue is a name that was given no value.
	ErrNoValue = errors.New("no value")
)

// nearWhole is how close an approximate number must come to a whole one to
// count as it in floor and ceil: 1e-9, far above float64's noise and far below
// anything a learner could write.
const nearWhole = 1e-9

// Eval returns the formula's value where each name stands for its number in
// vars. It fails with ErrNoValue, ErrUndefined or ErrOverflow.
func (f *Formula) Eval(vars map[string]Value) (Value, error) {
	v, err := f.root.eval(vars)
	if err != nil {
		return Value{}, err
	}
	return v, v.bounded()
}

// bounded reports an exact number that no float64 holds.
func (v Value) bounded() error {
	if math.IsInf(v.Float64(), 0) {
		return ErrOverflow
	}
	return nil
}

type node interface {
	eval(vars map[string]Value) (Value, error)
	degree() int
	visit(name func(string))
	write(w *writer, tight int)
}

type number struct {
	text  string
	value Value
}

type constant struct{}

type variable struct{ name string }

type negation struct{ of node }

type power struct {
	of       node
	exponent int
}

type binary struct {
	op          byte
	left, right node
}

type call struct {
	name string
	f    function
	args []node
}

func (n *number) eval(map[string]Value) (Value, error) { return n.value, nil }

func (*constant) eval(map[string]Value) (Value, error) { return Approx(math.Pi), nil }

func (n *variable) eval(vars map[string]Value) (Value, error) {
	v, ok := vars[n.name]
	if !ok {
		return Value{}, fmt.Errorf("%w for %q", ErrNoValue, n.name)
	}
	if v.inexact {
		return finite(v.approx)
	}
	return v, nil
}

func (n *negation) eval(vars map[string]Value) (Value, error) {
	v, err := n.of.eval(vars)
	if err != nil {
		return Value{}, err
	}
	if v.inexact {
		return Approx(-v.approx), nil
	}
	return Exact(v.exact.Neg()), nil
}

func (n *power) eval(vars map[string]Value) (Value, error) {
	v, err := n.of.eval(vars)
	if err != nil {
		return Value{}, err
	}
	if v.inexact {
		return finite(math.Pow(v.approx, float64(n.exponent)))
	}
	r := threadmath.Int(1)
	for range n.exponent {
		r = r.Mul(v.exact)
	}
	return Exact(r), nil
}

func (n *binary) eval(vars map[string]Value) (Value, error) {
	a, err := n.left.eval(vars)
	if err != nil {
		return Value{}, err
	}
	b, err := n.right.eval(vars)
	if err != nil {
		return Value{}, err
	}
	if n.op == '/' && b.Sign() == 0 {
		return Value{}, fmt.Errorf("%w: division by zero", ErrUndefined)
	}
	if !a.inexact && !b.inexact {
		switch n.op {
		case '+':
			return Exact(a.exact.Add(b.exact)), nil
		case '-':
			return Exact(a.exact.Sub(b.exact)), nil
		case '*':
			return Exact(a.exact.Mul(b.exact)), nil
		}
		return Exact(a.exact.Quo(b.exact)), nil
	}
	x, y := a.Float64(), b.Float64()
	if math.IsInf(x, 0) || math.IsInf(y, 0) {
		return Value{}, ErrOverflow
	}
	switch n.op {
	case '+':
		return finite(x + y)
	case '-':
		return finite(x - y)
	case '*':
		return finite(x * y)
	}
	return finite(x / y)
}

func (n *call) eval(vars map[string]Value) (Value, error) {
	var room [4]Value
	args := room[:0]
	for _, a := range n.args {
		v, err := a.eval(vars)
		if err != nil {
			return Value{}, err
		}
		if err := v.bounded(); err != nil {
			return Value{}, err
		}
		args = append(args, v)
	}
	v, err := n.f.eval(args)
	if err != nil {
		return Value{}, fmt.Errorf("%s: %w", n.name, err)
	}
	return v, nil
}

func finite(f float64) (Value, error) {
	if math.IsNaN(f) || math.IsInf(f, 0) {
		return Value{}, ErrOverflow
	}
	return Approx(f), nil
}

func (*number) degree() int     { return 1 }
func (*constant) degree() int   { return 1 }
func (*variable) degree() int   { return 1 }
func (n *negation) degree() int { return n.of.degree() }
func (n *power) degree() int    { return capped(n.of.degree() * max(n.exponent, 1)) }
func (n *binary) degree() int   { return capped(n.left.degree() + n.right.degree()) }

func (n *call) degree() int {
	sum := 0
	for _, a := range n.args {
		sum = capped(sum + a.degree())
	}
	return sum
}

// capped keeps degrees of nested powers from overflowing.
func capped(d int) int { return min(d, maxDegree+1) }

func (*number) visit(func(string))          {}
func (*constant) visit(func(string))        {}
func (n *variable) visit(name func(string)) { name(n.name) }
func (n *negation) visit(name func(string)) { n.of.visit(name) }
func (n *power) visit(name func(string))    { n.of.visit(name) }
func (n *binary) visit(name func(string))   { n.left.visit(name); n.right.visit(name) }
func (n *call) visit(name func(string)) {
	for _, a := range n.args {
		a.visit(name)
	}
}
