package worksheets

import (
	"crypto/sha256"
	"fmt"
	"hash"
	"io"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf16"
)

// tail passes a PDF on and keeps what is needed to append to it: its length, its end and its hash.
type tail struct {
	w    io.Writer
	n    int64
	end  []byte
	hash hash.Hash
}

func newTail(w io.Writer) *tail { return &tail{w: w, hash: sha256.New()} }

const tailLength = 64

// Write implements io.Writer.
func (t *tail) Write(b []byte) (int, error) {
	n, err := t.w.Write(b)
	t.n += int64(n)
	t.hash.Write(b[:n])
	t.end = append(t.end, b[max(0, n-tailLength):n]...)
	t.end = t.end[max(0, len(t.end)-tailLength):]
	return n, err
}

var startxref = regexp.MustCompile(`startxref\n(\d+)\n%%EOF\n$`)

// describe appends an incremental update (ISO 32000-1, 7.5.6) with what gopdf cannot write: the language, the title
// in the window's title bar, an indirect Info dictionary and an ID. gopdf writes the catalog as object 1 and the
// page tree as object 2. The ID is the hash of the content, so equal documents stay equal.
func (t *tail) describe(doc Document, objects int) error {
	m := startxref.FindSubmatch(t.end)
	if m == nil {
		return errTail
	}
	previous, err := strconv.ParseInt(string(m[1]), 10, 64)
	if err != nil {
		return errTail
	}
	language := doc.Language
	if language == "" {
		language = "en"
	}
	if !regexp.MustCompile(`^[A-Za-z0-9-]{1,35}$`).MatchString(language) {
		return fmt.Errorf("language %q is not a language tag", language)
	}
	title := doc.Title
	if err := CheckText("document title", title); err != nil {
		return err
	}
	id := fmt.Sprintf("%X", t.hash.Sum(nil)[:16])

	var b strings.Builder
	catalogAt := t.n
	fmt.Fprintf(&b, "1 0 obj\n<<\n/Type /Catalog\n/Pages 2 0 R\n/Lang (%s)\n/ViewerPreferences << /DisplayDocTitle true >>\n>>\nendobj\n", language)
	infoAt := t.n + int64(b.Len())
	fmt.Fprintf(&b, "%d 0 obj\n<<\n/Title %s\n/Producer (halfnut)\n>>\nendobj\n", objects, pdfText(title))
	xrefAt := t.n + int64(b.Len())
	fmt.Fprintf(&b, "xref\n0 2\n0000000000 65535 f \n%010d 00000 n \n%d 1\n%010d 00000 n \n", catalogAt, objects, infoAt)
	fmt.Fprintf(&b, "trailer\n<<\n/Size %d\n/Root 1 0 R\n/Info %d 0 R\n/ID [<%s> <%s>]\n/Prev %d\n>>\nstartxref\n%d\n%%%%EOF\n",
		objects+1, objects, id, id, previous, xrefAt)
	if _, err := io.WriteString(t.w, b.String()); err != nil {
		return fmt.Errorf("write pdf: %w", err)
	}
	return nil
}

// pdfText returns s as a UTF-16 text string in hexadecimal.
func pdfText(s string) string {
	var b strings.Builder
	b.WriteString("<FEFF")
	for _, u := range utf16.Encode([]rune(s)) {
		fmt.Fprintf(&b, "%04X", u)
	}
	b.WriteString(">")
	return b.String()
}
