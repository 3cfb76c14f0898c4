package checks

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// evaluate returns the value of a formula as the published rows write it:
// numbers, variables, + - * / ^, parentheses, sqrt, tan, cot, cosec (radians);
// a number or closing parenthesis before a name multiplies ("11P", "0.05 P").
func evaluate(formula string, variables map[string]float64) (value float64, err error) {
	p := &formulaParser{text: formula, variables: variables}
	value = p.sum()
	p.space()
	if p.err == nil && p.at < len(p.text) {
		p.fail("what follows")
	}
	return value, p.err
}

type formulaParser struct {
	text      string
	at        int
	variables map[string]float64
	err       error
}

func (p *formulaParser) fail(what string) {
	if p.err == nil {
		p.err = fmt.Errorf("formula %q: %s at %q", p.text, what, p.text[min(p.at, len(p.text)):])
	}
	p.at = len(p.text)
}

func (p *formulaParser) space() {
	for p.at < len(p.text) && p.text[p.at] == ' ' {
		p.at++
	}
}

func (p *formulaParser) next() byte {
	p.space()
	if p.at < len(p.text) {
		return p.text[p.at]
	}
	return 0
}

func (p *formulaParser) sum() float64 {
	v := p.product()
	for {
		switch p.next() {
		case '+':
			p.at++
			v += p.product()
		case '-':
			p.at++
			v -= p.product()
		default:
			return v
		}
	}
}

func (p *formulaParser) product() float64 {
	v := p.power()
	for {
		c := p.next()
		switch {
		case c == '*':
			p.at++
			v *= p.power()
		case c == '/':
			p.at++
			v /= p.power()
		case isLetter(c) || c == '(':
			v *= p.power()
		default:
			return v
		}
	}
}

func (p *formulaParser) power() float64 {
	if p.next() == '-' {
		p.at++
		return -p.power()
	}
	v := p.atom()
	if p.next() == '^' {
		p.at++
		return math.Pow(v, p.power())
	}
	return v
}

func (p *formulaParser) atom() float64 {
	c := p.next()
	start := p.at
	switch {
	case c == '(':
		p.at++
		v := p.sum()
		if p.next() != ')' {
			p.fail("no closing parenthesis")
			return 0
		}
		p.at++
		return v
	case c >= '0' && c <= '9' || c == '.':
		for p.at < len(p.text) && strings.IndexByte("0123456789.", p.text[p.at]) >= 0 {
			p.at++
		}
		v, err := strconv.ParseFloat(p.text[start:p.at], 64)
		if err != nil {
			p.fail("number")
		}
		return v
	case isLetter(c):
		for p.at < len(p.text) && (isLetter(p.text[p.at]) || p.text[p.at] >= '0' && p.text[p.at] <= '9') {
			p.at++
		}
		return p.name(p.text[start:p.at])
	}
	p.fail("no value")
	return 0
}

func (p *formulaParser) name(name string) float64 {
	if v, ok := p.variables[name]; ok {
		return v
	}
	functions := map[string]func(float64) float64{
		"sqrt":  math.Sqrt,
		"tan":   math.Tan,
		"cot":   func(x float64) float64 { return 1 / math.Tan(x) },
		"cosec": func(x float64) float64 { return 1 / math.Sin(x) },
	}
	f, ok := functions[name]
	if !ok || p.next() != '(' {
		p.fail("unknown name " + name)
		return 0
	}
	return f(p.atom())
}

func isLetter(c byte) bool { return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' }
