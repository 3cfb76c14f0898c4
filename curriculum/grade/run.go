package grade

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"

	"halfnut/curriculum"
)

// Limits of what Run reads and reports.
const (
	maxLine     = 1 << 20 // bytes of one line
	maxReported = 20      // bad lines named one by one
)

// Answers is one line of answers: what a learner wrote for the parts of one
// exercise, by their ids.
type Answers struct {
	ID      string            `json:"id"`
	Learner string            `json:"learner,omitempty"`
	Mode    Mode              `json:"mode,omitempty"` // practice where left out
	Answers map[string]string `json:"answers"`
}

// Marked is one line of verdicts.
type Marked struct {
	ID      string `json:"id"`
	Learner string `json:"learner,omitempty"`
	curriculum.Verdict
}

// Run reads exercises (with their key) and answers as JSON lines and writes a
// verdict line for every part. Lines that cannot be used are left out and stop
// nothing; the error returned names each with its number, and is nil when there
// was none. It holds the exercises in memory, the answers not.
func Run(exercises, answers io.Reader, out io.Writer) error {
	var bad badLines
	byID := make(map[string]curriculum.Exercise)
	err := eachLine(exercises, func(n int, line []byte) {
		var ex curriculum.Exercise
		if err := json.Unmarshal(line, &ex); err != nil {
			bad.add("exercises", n, err)
			return
		}
		if err := usable(&ex, byID); err != nil {
			bad.add("exercises", n, err)
			return
		}
		byID[ex.ID] = ex
	}, func(n int, err error) { bad.add("exercises", n, err) })
	if err != nil {
		return fmt.Errorf("reading exercises: %w", err)
	}
	w := bufio.NewWriter(out)
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	var writeErr error
	err = eachLine(answers, func(n int, line []byte) {
		a, err := readAnswers(line)
		if err != nil {
			bad.add("answers", n, err)
			return
		}
		ex, ok := byID[a.ID]
		if !ok {
			bad.add("answers", n, fmt.Errorf("no exercise %s", quote(a.ID)))
			return
		}
		if name := unknownName(&ex, a.Answers); name != "" {
			bad.add("answers", n, fmt.Errorf("exercise %s has no part %s", quote(a.ID), quote(name)))
			return
		}
		for _, v := range Mark(ex, a.Answers, a.Mode) {
			if err := enc.Encode(Marked{a.ID, a.Learner, v}); err != nil && writeErr == nil {
				writeErr = err
			}
		}
	}, func(n int, err error) { bad.add("answers", n, err) })
	if err != nil {
		return fmt.Errorf("reading answers: %w", err)
	}
	if err := w.Flush(); err != nil || writeErr != nil {
		return fmt.Errorf("writing verdicts: %w", errors.Join(writeErr, err))
	}
	return bad.err()
}

func usable(ex *curriculum.Exercise, before map[string]curriculum.Exercise) error {
	switch _, twice := before[ex.ID]; {
	case ex.ID == "":
		return errors.New("an exercise without id")
	case twice:
		return fmt.Errorf("exercise %s stands there twice", quote(ex.ID))
	case len(ex.Parts) == 0:
		return fmt.Errorf("exercise %s has no parts", quote(ex.ID))
	}
	for i := range ex.Parts {
		if ex.Parts[i].Answer == nil {
			return fmt.Errorf("exercise %s has no key: draw it with the key", quote(ex.ID))
		}
	}
	return nil
}

func readAnswers(line []byte) (Answers, error) {
	a := Answers{Mode: Practice}
	d := json.NewDecoder(bytes.NewReader(line))
	d.DisallowUnknownFields()
	if err := d.Decode(&a); err != nil {
		return a, err
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return a, errors.New("more than one document")
	}
	if a.Mode != Practice && a.Mode != Test {
		return a, fmt.Errorf("mode %s: allowed are practice and test", quote(string(a.Mode)))
	}
	return a, nil
}

// unknownName returns the first answer, by name, that belongs to no part or
// step.
func unknownName(ex *curriculum.Exercise, answers map[string]string) string {
	known := make(map[string]bool)
	for _, p := range ex.Parts {
		known[p.ID] = true
		for _, s := range p.Steps {
			known[p.ID+"."+s.Name] = true
		}
	}
	var unknown []string
	for name := range answers {
		if !known[name] {
			unknown = append(unknown, name)
		}
	}
	if len(unknown) == 0 {
		return ""
	}
	return slices.Min(unknown)
}

// eachLine calls use for every line that is not empty, numbered from 1, and bad
// for those that are too long, which it skips.
func eachLine(r io.Reader, use func(n int, line []byte), bad func(n int, err error)) error {
	b := bufio.NewReaderSize(r, 64<<10)
	for n := 1; ; n++ {
		line, err := readLine(b)
		switch {
		case errors.Is(err, errLong):
			bad(n, err)
		case err != nil && !errors.Is(err, io.EOF):
			return err
		default:
			if line = bytes.TrimSpace(line); len(line) > 0 {
				use(n, line)
			}
			if err != nil {
				return nil
			}
		}
	}
}

var errLong = fmt.Errorf("longer than %d bytes", maxLine)

// readLine returns the next line without holding more than maxLine of it.
func readLine(b *bufio.Reader) ([]byte, error) {
	var line []byte
	long := false
	for {
		piece, err := b.ReadSlice('\n')
		if long = long || len(line)+len(piece) > maxLine; !long {
			line = append(line, piece...)
		}
		switch {
		case errors.Is(err, bufio.ErrBufferFull):
			continue
		case long && (err == nil || errors.Is(err, io.EOF)):
			// The next call finds the end of the text once more.
			return nil, errLong
		}
		return line, err
	}
}

// badLines gathers what could not be used.
type badLines struct {
	named []error
	more  int
}

func (b *badLines) add(file string, line int, err error) {
	if len(b.named) >= maxReported {
		b.more++
		return
	}
	b.named = append(b.named, fmt.Errorf("%s: line %d: %w", file, line, err))
}

func (b *badLines) err() error {
	if b.more > 0 {
		b.named = append(b.named, fmt.Errorf("and %d more lines", b.more))
	}
	return errors.Join(b.named...)
}
