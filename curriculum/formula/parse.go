package formula

import (
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"unicode"
	"unicode/utf8"

	"halfnut/threadmath"
)

// Limits that keep evaluation short and exact numbers small, whatever the text.
const (
	maxLength   = 400
	maxDepth    = 40
	maxExponent = 12
	// maxDegree bounds how often names and numbers may be multiplied together,
	// and with it the digits of any exact result.
	maxDegree = 64
	maxCached = 4096
)

// Formula is a parsed expression. It is immutable and safe for concurrent use.
type Formula struct {
	root  node
	names []string
}

// SyntaxError reports text that is no formula.
type SyntaxError struct {
	Text   string
	Column int // in characters, from 1
	Reason string
}

// Error joins text, column and reason in one line.
func (e *SyntaxError) Error() string {
	return "formula " + strconv.Quote(e.Text) + ": column " + strconv.Itoa(e.Column) + ": " + e.Reason
}

// cache keeps parsed formulas: exercises carry the same few hundred texts over
// and over, since numbers stand in the givens and not in the formula.
var (
	cache  sync.Map
	cached atomic.Int32
)

// Parse returns the formula that text writes, or a SyntaxError. Text longer
// than 400 bytes is refused.
func Parse(text string) (*Formula, error) {
	if f, ok := cache.Load(text); ok {
		return f.(*Formula), nil
	}
	f, err := parse(text)
	if err != nil {
		return nil, err
	}
	if cached.Load() < maxCached {
		cached.Add(1)
		cache.Store(strings.Clone(text), f)
	}
	return f, nil
}

// MustParse is Parse for texts that are part of the program; it panics on what
// is no formula.
func MustParse(text string) *Formula {
	f, err := Parse(text)
	if err != nil {
		panic(err)
	}
	return f
}

// Names returns the names that the formula uses, in order of appearance.
func (f *Formula) Names() []string { return append([]string(nil), f.names...) }

func parse(text string) (*Formula, error) {
	p := &parser{text: text}
	if len(text) > maxLength {
		p.rest = text[maxLength:]
		return nil, p.error("longer than " + strconv.Itoa(maxLength) + " bytes")
	}
	if !utf8.ValidString(text) {
		return nil, p.error("not UTF-8")
	}
	p.rest = text
	root, err := p.sum()
	if err != nil {
		return nil, err
	}
	if p.peek() != 0 {
		return nil, p.error("unexpected " + strconv.Quote(string(p.peek())))
	}
	if root.degree() > maxDegree {
		return nil, p.error("too many factors")
	}
	f := &Formula{root: root}
	root.visit(func(name string) {
		for _, n := range f.names {
			if n == name {
				return
			}
		}
		f.names = append(f.names, name)
	})
	return f, nil
}

type parser struct {
	text, rest string
	depth      int
}

func (p *parser) error(reason string) error {
	read := p.text[:len(p.text)-len(p.rest)]
	return &SyntaxError{Text: shorten(p.text), Column: utf8.RuneCountInString(read) + 1, Reason: reason}
}

func shorten(s string) string {
	if r := []rune(s); len(r) > 60 {
		return string(r[:60]) + "…"
	}
	return s
}

// peek skips spaces and returns the next character, 0 at the end.
func (p *parser) peek() rune {
	p.rest = strings.TrimLeft(p.rest, " ")
	if p.rest == "" {
		return 0
	}
	c, _ := utf8.DecodeRuneInString(p.rest)
	return c
}

func (p *parser) take(c rune) bool {
	if p.peek() != c || c == 0 {
		return false
	}
	p.rest = p.rest[utf8.RuneLen(c):]
	return true
}

// sum = product { ("+" | "-") product }
func (p *parser) sum() (node, error) {
	if p.depth++; p.depth > maxDepth {
		return nil, p.error("nested too deep")
	}
	defer func() { p.depth-- }()
	left, err := p.product()
	for err == nil {
		var right node
		switch {
		case p.take('+'):
			right, err = p.product()
			left = &binary{op: '+', left: left, right: right}
		case p.take('-'):
			right, err = p.product()
			left = &binary{op: '-', left: left, right: right}
		default:
			return left, nil
		}
	}
	return nil, err
}

// product = unary { ("*" | "/") unary }
func (p *parser) product() (node, error) {
	left, err := p.unary()
	for err == nil {
		var right node
		switch {
		case p.take('*'):
			right, err = p.unary()
			left = &binary{op: '*', left: left, right: right}
		case p.take('/'):
			right, err = p.unary()
			left = &binary{op: '/', left: left, right: right}
		default:
			return left, nil
		}
	}
	return nil, err
}

// unary = ["-"] power
func (p *parser) unary() (node, error) {
	if !p.take('-') {
		return p.power()
	}
	n, err := p.power()
	if err != nil {
		return nil, err
	}
	return &negation{of: n}, nil
}

// power = atom ["^" digits]
func (p *parser) power() (node, error) {
	base, err := p.atom()
	if err != nil || !p.take('^') {
		return base, err
	}
	p.peek()
	exponent, err := strconv.Atoi(p.run(func(c rune) bool { return c >= '0' && c <= '9' }))
	if err != nil || exponent > maxExponent {
		return nil, p.error("a power is a whole number up to " + strconv.Itoa(maxExponent))
	}
	return &power{of: base, exponent: exponent}, nil
}

// atom = number | name | function "(" sum { "," sum } ")" | "(" sum ")"
func (p *parser) atom() (node, error) {
	c := p.peek()
	switch {
	case c == 0:
		return nil, p.error("ends too early")
	case c == '(':
		p.take('(')
		n, err := p.sum()
		if err != nil {
			return nil, err
		}
		if !p.take(')') {
			return nil, p.error("a closing parenthesis is missing")
		}
		return n, nil
	case c == '.' || c >= '0' && c <= '9':
		before := p.rest
		text := p.run(func(c rune) bool { return c == '.' || c >= '0' && c <= '9' })
		r, err := threadmath.ParseRatio(text)
		if err != nil {
			p.rest = before
			return nil, p.error("not a number")
		}
		return &number{text: text, value: Exact(r)}, nil
	case unicode.IsLetter(c):
		before := p.rest
		name := p.run(func(c rune) bool { return c == '_' || unicode.IsLetter(c) || unicode.IsDigit(c) })
		if p.peek() == '(' {
			return p.call(name, before)
		}
		if name == "pi" {
			return &constant{}, nil
		}
		return &variable{name: name}, nil
	}
	return nil, p.error("unexpected " + strconv.Quote(string(c)))
}

func (p *parser) call(name, before string) (node, error) {
	f, ok := functions[name]
	if !ok {
		p.rest = before
		return nil, p.error("no function " + strconv.Quote(name))
	}
	p.take('(')
	var args []node
	for {
		n, err := p.sum()
		if err != nil {
			return nil, err
		}
		args = append(args, n)
		if !p.take(',') {
			break
		}
	}
	if !p.take(')') {
		return nil, p.error("a closing parenthesis is missing")
	}
	if len(args) < f.least || len(args) > f.most {
		p.rest = before
		return nil, p.error(name + " takes another number of arguments")
	}
	return &call{name: name, f: f, args: args}, nil
}

// run takes the characters that ok accepts.
func (p *parser) run(ok func(rune) bool) string {
	end := strings.IndexFunc(p.rest, func(c rune) bool { return !ok(c) })
	if end < 0 {
		end = len(p.rest)
	}
	text := p.rest[:end]
	p.rest = p.rest[end:]
	return text
}
