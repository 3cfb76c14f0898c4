package worksheets

import (
	"bufio"
	"bytes"
	"compress/zlib"
	"crypto/sha256"
	"errors"
	"fmt"
	"hash"
	"io"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"unicode/utf16"
)

var errForm = errors.New("the made pdf has not the form that is expected of it")

// fileWriter writes the objects of a PDF file with their table (ISO 32000-1, 7.5). It keeps where they begin and the
// hash of everything written; an error of its writer comes out of finish.
type fileWriter struct {
	w       *bufio.Writer
	hash    hash.Hash
	n       int
	offsets []int
}

func newFileWriter(w io.Writer) *fileWriter {
	return &fileWriter{w: bufio.NewWriterSize(w, 1<<16), hash: sha256.New()}
}

func (f *fileWriter) write(parts ...[]byte) {
	for _, b := range parts {
		f.n += len(b)
		f.hash.Write(b)
		_, _ = f.w.Write(b) // kept for Flush
	}
}

// object begins the next object; parts are its whole text.
func (f *fileWriter) object(parts ...[]byte) {
	f.offsets = append(f.offsets, f.n)
	f.write(parts...)
}

// finish writes the table and the end of the file. The ID is the hash of what was written, so that equal documents
// stay equal.
func (f *fileWriter) finish(info int) error {
	id := fmt.Sprintf("%X", f.hash.Sum(nil)[:16])
	_, _ = fmt.Fprintf(f.w, "xref\n0 %d\n0000000000 65535 f \n", len(f.offsets)+1)
	for _, at := range f.offsets {
		_, _ = fmt.Fprintf(f.w, "%010d 00000 n \n", at)
	}
	_, _ = fmt.Fprintf(f.w, "trailer\n<<\n/Size %d\n/Root 1 0 R\n/Info %d 0 R\n/ID [<%s> <%s>]\n>>\nstartxref\n%d\n%%%%EOF\n",
		len(f.offsets)+1, info, id, id, f.n)
	if err := f.w.Flush(); err != nil {
		return fmt.Errorf("write pdf: %w", err)
	}
	return nil
}

// compressors are used again: each holds 0.8 MB, and gopdf would make one for every page.
var compressors = sync.Pool{New: func() any { return zlib.NewWriter(nil) }}

var (
	plainStream = regexp.MustCompile(`^(\d+ 0 obj\n<<\n)/Length (\d+)\n>>\nstream\n`)
	languageTag = regexp.MustCompile(`^[A-Za-z0-9-]{1,35}$`)
)

// writeMade writes what gopdf made, with what gopdf does not do: streams deflated by one compressor, the language, the
// title in the window's title bar, an indirect Info dictionary and an ID. gopdf writes the catalog as object 1
// and the page tree as object 2.
func writeMade(w io.Writer, made []byte, doc Document) error {
	language := doc.Language
	if language == "" {
		language = "en"
	}
	if !languageTag.MatchString(language) {
		return fmt.Errorf("language %q is not a language tag", language)
	}
	if err := CheckText("document title", doc.Title); err != nil {
		return err
	}
	head, objects, err := split(made)
	if err != nil {
		return err
	}
	z, ok := compressors.Get().(*zlib.Writer)
	if !ok {
		return errForm
	}
	defer compressors.Put(z)
	f := newFileWriter(w)
	f.write(head)
	f.object(fmt.Appendf(nil, "1 0 obj\n<<\n/Type /Catalog\n/Pages 2 0 R\n/Lang (%s)\n/ViewerPreferences << /DisplayDocTitle true >>\n>>\nendobj\n\n", language))
	var packed bytes.Buffer
	for _, o := range objects[1:] {
		m := plainStream.FindSubmatch(o)
		if m == nil {
			f.object(o)
			continue
		}
		length, err := strconv.Atoi(string(m[2]))
		if err != nil || len(m[0])+length > len(o) {
			return errForm
		}
		packed.Reset()
		z.Reset(&packed)
		if _, err := z.Write(o[len(m[0]) : len(m[0])+length]); err != nil {
			return fmt.Errorf("deflate: %w", err)
		}
		if err := z.Close(); err != nil {
			return fmt.Errorf("deflate: %w", err)
		}
		f.object(m[1], fmt.Appendf(nil, "/Filter/FlateDecode/Length %d\n>>\nstream\n", packed.Len()), packed.Bytes(), []byte("\nendstream\nendobj\n\n"))
	}
	info := len(objects) + 1
	f.object(fmt.Appendf(nil, "%d 0 obj\n<<\n/Title %s\n/Producer (halfnut)\n>>\nendobj\n\n", info, pdfText(doc.Title)))
	return f.finish(info)
}

var fileEnd = regexp.MustCompile(`startxref\n(\d+)\n%%EOF\n$`)

// split cuts a file at its table into what stands before the first object and the objects in their order.
func split(made []byte) (head []byte, objects [][]byte, err error) {
	m := fileEnd.FindSubmatch(made[max(0, len(made)-64):])
	if m == nil {
		return nil, nil, errForm
	}
	end, err := strconv.Atoi(string(m[1]))
	if err != nil || end < 0 || end >= len(made) {
		return nil, nil, errForm
	}
	var n int
	if _, err := fmt.Fscanf(bytes.NewReader(made[end:]), "xref\n0 %d\n", &n); err != nil || n < 3 || n > len(made) {
		return nil, nil, errForm
	}
	const entry = 20 // bytes; the first entry belongs to no object
	_, table, ok := bytes.Cut(made[end:], []byte(" f \n"))
	if !ok || len(table) < (n-1)*entry {
		return nil, nil, errForm
	}
	offsets := make([]int, n)
	offsets[n-1] = end
	for i := range n - 1 {
		at, err := strconv.Atoi(string(table[i*entry : i*entry+10]))
		if err != nil || at < 0 || at > end || i > 0 && at < offsets[i-1] {
			return nil, nil, errForm
		}
		offsets[i] = at
	}
	for i := range n - 1 {
		objects = append(objects, made[offsets[i]:offsets[i+1]])
	}
	return made[:offsets[0]], objects, nil
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
