package curriculum

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"time"
)

// Line is one line of a workshop's sign-off record. Lines are only added, and
// each is sealed with the digest of the one before it.
type Line struct {
	Workshop string `json:"workshop"`
	// Seq counts the workshop's lines from 1.
	Seq  int64     `json:"seq"`
	At   time.Time `json:"at"`
	Kind string    `json:"kind"`
	// Subject and By are tokens (see Token), so that no name stands in the chain.
	Subject   string `json:"subject,omitempty"`
	By        string `json:"by"`
	Lathe     string `json:"lathe,omitempty"`
	Operation string `json:"operation,omitempty"`
	// Body is canonical JSON (see Canonical).
	Body json.RawMessage `json:"body"`
	// Prev is the digest of the line before; GenesisDigest in the first.
	Prev   string `json:"prev"`
	Digest string `json:"digest"`
}

// GenesisDigest stands as Prev in the first line of a chain.
const GenesisDigest = "0000000000000000000000000000000000000000000000000000000000000000"

// ChainHead names a chain's last line. A copy kept outside the database is what
// a cut-off end is found with.
type ChainHead struct {
	Workshop string `json:"workshop"`
	Seq      int64  `json:"seq"`
	Digest   string `json:"digest"`
}

// String writes the head as it is printed and read back: "12:9f86d0…".
func (h ChainHead) String() string { return strconv.FormatInt(h.Seq, 10) + ":" + h.Digest }

// SignOffName gives a token its name. It lives outside the chain: once it is
// removed, nothing in the chain leads back to the person.
type SignOffName struct {
	Token    string `json:"token"`
	Workshop string `json:"workshop"`
	// Ref is the learner's or person's id.
	Ref  string `json:"ref"`
	Name string `json:"name"`
	// Today is what they are called now; the token stays the name's that it was made
	// for.
	Today   string    `json:"-"`
	Salt    string    `json:"-"`
	Created time.Time `json:"created"`
}

// NewToken returns the token of a name: the SHA-256 of a salt of 32 random
// bytes (hex), the id and the name. With the salt gone it cannot be guessed
// back; with it, a changed name is found.
func NewToken(salt, ref, name string) string {
	h := sha256.New()
	for _, p := range []string{salt, ref, name} {
		_, _ = fmt.Fprintf(h, "%d:%s", len(p), p)
	}
	return hex.EncodeToString(h.Sum(nil))
}

// Proves reports whether the token is that of the name.
func (n SignOffName) Proves() bool { return NewToken(n.Salt, n.Ref, n.Name) == n.Token }

// Canonical returns the one way to write a JSON document that its digest is
// taken from: members in the order of their names' bytes, no space, whole
// numbers only, no escape that is not needed. It is RFC 8785 for documents whose
// names are ASCII and which hold no fractions, which is all that a line may hold.
func Canonical(v any) (json.RawMessage, error) {
	data, err := json.Marshal(v)
	if err != nil {
		return nil, err
	}
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	var doc any
	if err := d.Decode(&doc); err != nil {
		return nil, err
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return nil, errors.New("canonical: more than one document")
	}
	if err := whole(doc); err != nil {
		return nil, err
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(doc); err != nil { // maps are written in the order of their keys
		return nil, err
	}
	return bytes.TrimSuffix(b.Bytes(), []byte("\n")), nil
}

// whole refuses numbers that two programs may write differently.
func whole(doc any) error {
	switch v := doc.(type) {
	case json.Number:
		n, err := strconv.ParseInt(v.String(), 10, 64)
		if err != nil || n > 1<<53 || n < -1<<53 {
			return fmt.Errorf("canonical: %s is not a whole number below 2^53", v)
		}
	case []any:
		for _, x := range v {
			if err := whole(x); err != nil {
				return err
			}
		}
	case map[string]any:
		for _, x := range v {
			if err := whole(x); err != nil {
				return err
			}
		}
	}
	return nil
}

// Sealed returns the line as the one after head, with its digest.
func (l Line) Sealed(head ChainHead) (Line, error) {
	l.Seq, l.Prev = head.Seq+1, head.Digest
	if head.Seq == 0 {
		l.Prev = GenesisDigest
	}
	l.At = l.At.UTC().Truncate(time.Millisecond)
	if l.Body == nil {
		l.Body = json.RawMessage("{}")
	}
	body, err := Canonical(l.Body)
	if err != nil {
		return l, err
	}
	l.Body = body
	l.Digest, err = l.digest()
	return l, err
}

// digest is the SHA-256 (hex) of the line's canonical JSON with the digest of
// the line before in it and without its own. Times are Unix milliseconds.
func (l Line) digest() (string, error) {
	doc, err := Canonical(map[string]any{
		"workshop": l.Workshop, "seq": l.Seq, "at": l.At.UnixMilli(), "kind": l.Kind, "subject": l.Subject, "by": l.By,
		"lathe": l.Lathe, "operation": l.Operation, "body": string(l.Body), "prev": l.Prev,
	})
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256(doc)
	return hex.EncodeToString(sum[:]), nil
}

// ChainFault is something that is not as it was written.
type ChainFault struct {
	Seq  int64  `json:"seq"`
	What string `json:"what"`
}

// Error reads "line 7: changed since it was written".
func (f ChainFault) Error() string { return "line " + strconv.FormatInt(f.Seq, 10) + ": " + f.What }

// CheckChain goes through a workshop's lines in the order of Seq and names what
// was changed, removed, put in, moved or cut off. head is the database's own
// record of the end; kept are heads that were printed or exported earlier.
//
// It cannot find that every line from some point on was written anew together
// with head, unless a head from after that point was kept elsewhere; nor that a
// line was never written, or was false when it was.
func CheckChain(lines []Line, head ChainHead, kept ...ChainHead) []ChainFault {
	var out []ChainFault
	fault := func(seq int64, format string, args ...any) {
		out = append(out, ChainFault{seq, fmt.Sprintf(format, args...)})
	}
	next, prev := int64(1), GenesisDigest
	digests := map[int64]string{}
	for _, l := range lines {
		for ; next < l.Seq; next++ {
			fault(next, "removed")
			prev = ""
		}
		got, err := l.digest()
		switch {
		case err != nil:
			fault(l.Seq, "cannot be read: %v", err)
		case got != l.Digest:
			fault(l.Seq, "changed or moved: its digest is not that of its content")
		case prev != "" && l.Prev != prev:
			fault(l.Seq, "put in, or the line before it was changed: it does not follow from line %d", l.Seq-1)
		}
		if l.Seq < next {
			fault(l.Seq, "stands there twice")
		}
		digests[l.Seq] = l.Digest
		next, prev = l.Seq+1, l.Digest
	}
	last := next - 1
	switch {
	case head.Seq > last:
		fault(last+1, "cut off: the record went on to line %d", head.Seq)
	case head.Seq < last:
		fault(last, "stands after the recorded end, line %d", head.Seq)
	case last > 0 && head.Digest != digests[last]:
		fault(last, "is not the line that the record ended with")
	}
	for _, k := range kept {
		switch d, ok := digests[k.Seq]; {
		case k.Seq == 0:
		case !ok:
			fault(k.Seq, "was there when the head %.19s… was kept and is not now", k)
		case d != k.Digest:
			fault(k.Seq, "is another than when the head %.19s… was kept", k)
		}
	}
	return out
}

// Sitting is a set of exercises that a learner answers at one go under the eyes
// of a supervisor. The exercises and answers live beside the chain; its lines
// hold their digests.
type Sitting struct {
	ID         string     `json:"id"`
	Workshop   string     `json:"workshop"`
	Kind       string     `json:"kind"` // "theory" or "re-check"
	Learner    string     `json:"learner"`
	Lathe      string     `json:"lathe"`
	Operation  string     `json:"operation"`
	Supervisor string     `json:"supervisor"` // a person's id
	Exercises  []Exercise `json:"exercises"`
	Opened     time.Time  `json:"opened"`
	Closes     time.Time  `json:"closes"`
	// HandedIn is zero until the answers are in.
	HandedIn time.Time           `json:"handed_in,omitzero"`
	Answers  []map[string]string `json:"answers,omitempty"`
	Verdicts [][]Verdict         `json:"verdicts,omitempty"`
}
