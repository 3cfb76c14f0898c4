package grade

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// maxText is the greatest length of an answer, in characters.
const maxText = 200

// fractionGlyphs are the single characters that write a fraction.
var fractionGlyphs = map[rune]string{
	'½': "1/2", '⅓': "1/3", '⅔': "2/3", '¼': "1/4", '¾': "3/4",
	'⅕': "1/5", '⅖': "2/5", '⅗': "3/5", '⅘': "4/5", '⅙': "1/6", '⅚': "5/6",
	'⅐': "1/7", '⅛': "1/8", '⅜': "3/8", '⅝': "5/8", '⅞': "7/8", '⅑': "1/9", '⅒': "1/10",
}

// superscripts are the raised digits, as in ³⁄₆₄.
const superscripts = "⁰¹²³⁴⁵⁶⁷⁸⁹"

// alike maps characters that people type for one another. The true minus sign
// stays apart from the hyphen: between numbers it can only mean a subtraction.
var alike = map[rune]string{
	'‐': "-", '‑': "-", '–': "-", '—': "-",
	'⁄': "/", '∕': "/", '÷': "/",
	'×': "x", '✕': "x", '·': "x", '⋅': "x", '*': "x",
	'′': "'", '’': "'", '‘': "'", 'ʹ': "'", '´': "'",
	'″': `"`, '”': `"`, '“': `"`, '„': `"`, 'ʺ': `"`,
	'µ': "u", 'μ': "u", 'º': "°", '˚': "°", '∶': ":", '，': ",", '．': ".",
}

// clean returns the text in the characters that the grammar knows: lower case,
// one kind of space, quotation mark and hyphen, fraction glyphs spelt out.
func clean(text string) (string, error) {
	if !utf8.ValidString(text) {
		return "", unreadable("this is not text")
	}
	if utf8.RuneCountInString(text) > maxText {
		return "", unreadable("this is longer than 200 characters; write the answer alone")
	}
	if isPlain(text) {
		return strings.Join(strings.Fields(strings.ToLower(text)), " "), nil
	}
	var b strings.Builder
	last := ' ' // the last rune written
	write := func(s string) {
		b.WriteString(s)
		last, _ = utf8.DecodeLastRuneInString(s)
	}
	afterGlyph := false
	for _, r := range strings.ReplaceAll(text, "⁻¹", "^-1") {
		if digit, up, ok := smallDigit(r); ok {
			// 1³⁄₆₄ is one and three sixty-fourths, not thirteen.
			if up && isDigit(last) && !afterGlyph {
				write(" ")
			}
			write(string(digit))
			afterGlyph = true
			continue
		}
		if s, ok := fractionGlyphs[r]; ok {
			if isDigit(last) {
				write(" ")
			}
			write(s)
			afterGlyph = true
			continue
		}
		switch {
		case r >= '０' && r <= '９':
			r = '0' + (r - '０')
		case unicode.IsSpace(r) || unicode.Is(unicode.Zs, r) || unicode.IsControl(r):
			r = ' '
		case unicode.Is(unicode.Cf, r): // zero-width marks that pasting brings along
			continue
		}
		if s, ok := alike[r]; ok {
			afterGlyph = false
			write(s)
			continue
		}
		if isDigit(r) && afterGlyph {
			write(" ")
		}
		afterGlyph = false
		write(string(unicode.ToLower(r)))
	}
	s := strings.ReplaceAll(b.String(), "''", `"`)
	return strings.Join(strings.Fields(s), " "), nil
}

// isPlain reports whether there is nothing in the text to be spelt otherwise but
// its capitals and spaces: nearly every answer.
func isPlain(text string) bool {
	for i := range len(text) {
		if c := text[i]; c < ' ' || c > '~' || c == '*' || c == '\'' {
			return false
		}
	}
	return true
}

// smallDigit returns the digit that a superscript or subscript stands for.
func smallDigit(r rune) (digit rune, up, ok bool) {
	n := rune('0')
	for _, s := range superscripts {
		if r == s {
			return n, true, true
		}
		n++
	}
	if r >= '₀' && r <= '₉' {
		return '0' + (r - '₀'), false, true
	}
	return 0, false, false
}

func isDigit(r rune) bool { return r >= '0' && r <= '9' }
