package curriculum_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
)

func chain(t *testing.T, n int) ([]curriculum.Line, curriculum.ChainHead) {
	t.Helper()
	head := curriculum.ChainHead{Workshop: "w"}
	var out []curriculum.Line
	for i := range n {
		l, err := curriculum.Line{
			Workshop: "w", At: time.Date(2026, 3, 2, 18, i, 0, 999_999, time.UTC), Kind: "check-in", Subject: "s", By: "b", Lathe: "l", Operation: "turning",
			Body: json.RawMessage(fmt.Sprintf(`{"job": "Tr 40x14 P7 <%d>", "dress": [ ]}`, i)),
		}.Sealed(head)
		require.NoError(t, err)
		out = append(out, l)
		head.Seq, head.Digest = l.Seq, l.Digest
	}
	return out, head
}

// TestDigest pins the digest of a line. It was taken with sha256sum of GNU
// coreutils 9.1 from this text, in one line without an end of line:
//
//	{"at":1772474400000,"body":"{\"dress\":[],\"job\":\"Tr 40x14 P7 <0>\"}","by":"b",
//	"kind":"check-in","lathe":"l","operation":"turning","prev":"0000000000000000000000000000000000000000000000000000000000000000",
//	"seq":1,"subject":"s","workshop":"w"}
func TestDigest(t *testing.T) {
	t.Parallel()
	lines, _ := chain(t, 1)
	assert.JSONEq(t, `{"dress":[],"job":"Tr 40x14 P7 <0>"}`, string(lines[0].Body))
	assert.Equal(t, "5ff65b9081fdaca51e4acc47192ceef2361d8025d2c2e5de71ed3898cd6b4f94", lines[0].Digest)
}

func TestCanonical(t *testing.T) {
	t.Parallel()
	got, err := curriculum.Canonical(json.RawMessage(` { "b" : [ 1 , {"d":null,"c":"ä<&>\/"} ] , "B" : true, "a":"\u00e9" } `))
	require.NoError(t, err)
	assert.Equal(t, `{"B":true,"a":"é","b":[1,{"c":"ä<&>/","d":null}]}`, string(got))
	for _, bad := range []string{`{"x": 1.5}`, `{"x": [1e3]}`, `[9007199254740993]`, `{"x":`, `{} {}`} {
		_, err := curriculum.Canonical(json.RawMessage(bad))
		assert.Error(t, err, bad)
	}
}

func TestToken(t *testing.T) {
	t.Parallel()
	n := curriculum.SignOffName{Ref: "id", Name: "Ines", Salt: "00ff"}
	n.Token = curriculum.NewToken(n.Salt, n.Ref, n.Name)
	assert.True(t, n.Proves())
	for _, change := range []func(*curriculum.SignOffName){
		func(n *curriculum.SignOffName) { n.Name = "Jo" }, func(n *curriculum.SignOffName) { n.Ref = "other" }, func(n *curriculum.SignOffName) { n.Salt = "00fe" },
		func(n *curriculum.SignOffName) { n.Ref, n.Name = "idI", "nes" },
	} {
		other := n
		change(&other)
		assert.False(t, other.Proves())
	}
}

// TestCheckChain spoils a chain in every way and wants it found, with the line
// named.
func TestCheckChain(t *testing.T) {
	t.Parallel()
	type spoil func(ls []curriculum.Line, head *curriculum.ChainHead) []curriculum.Line
	reseal := func(t *testing.T, ls []curriculum.Line, from int) {
		for i := from; i < len(ls); i++ {
			head := curriculum.ChainHead{}
			if i > 0 {
				head = curriculum.ChainHead{Seq: ls[i-1].Seq, Digest: ls[i-1].Digest}
			}
			l, err := ls[i].Sealed(head)
			require.NoError(t, err)
			ls[i] = l
		}
	}
	whole, head := chain(t, 6)
	assert.Empty(t, curriculum.CheckChain(whole, head))
	assert.Empty(t, curriculum.CheckChain(whole, head, head, curriculum.ChainHead{Workshop: "w", Seq: 3, Digest: whole[2].Digest}))
	assert.Empty(t, curriculum.CheckChain(nil, curriculum.ChainHead{}))
	change := func(f func(l *curriculum.Line)) spoil {
		return func(ls []curriculum.Line, _ *curriculum.ChainHead) []curriculum.Line { f(&ls[2]); return ls }
	}
	for name, c := range map[string]struct {
		spoil spoil
		seq   int64
		what  string
	}{
		"body":      {change(func(l *curriculum.Line) { l.Body = json.RawMessage(`{"dress":[],"job":"other"}`) }), 3, "changed"},
		"a space":   {change(func(l *curriculum.Line) { l.Body = append(slices.Clone(l.Body), ' ') }), 3, "changed"},
		"time":      {change(func(l *curriculum.Line) { l.At = l.At.Add(time.Millisecond) }), 3, "changed"},
		"subject":   {change(func(l *curriculum.Line) { l.Subject = "x" }), 3, "changed"},
		"by":        {change(func(l *curriculum.Line) { l.By = "x" }), 3, "changed"},
		"lathe":     {change(func(l *curriculum.Line) { l.Lathe = "x" }), 3, "changed"},
		"operation": {change(func(l *curriculum.Line) { l.Operation = "x" }), 3, "changed"},
		"kind":      {change(func(l *curriculum.Line) { l.Kind = "x" }), 3, "changed"},
		"workshop":  {change(func(l *curriculum.Line) { l.Workshop = "x" }), 3, "changed"},
		"digest":    {change(func(l *curriculum.Line) { l.Digest = curriculum.GenesisDigest }), 3, "changed"},
		"removed":   {func(ls []curriculum.Line, _ *curriculum.ChainHead) []curriculum.Line { return slices.Delete(ls, 2, 3) }, 3, "removed"},
		"first":     {func(ls []curriculum.Line, _ *curriculum.ChainHead) []curriculum.Line { return ls[1:] }, 1, "removed"},
		"moved": {func(ls []curriculum.Line, _ *curriculum.ChainHead) []curriculum.Line {
			ls[1], ls[2] = ls[2], ls[1]
			ls[1].Seq, ls[2].Seq = 2, 3
			return ls
		}, 2, "changed or moved"},
		"changed and sealed anew": {func(ls []curriculum.Line, _ *curriculum.ChainHead) []curriculum.Line {
			ls[2].Kind = "decision"
			reseal(t, ls[:3], 2)
			return ls
		}, 4, "does not follow"},
		"put in": {func(ls []curriculum.Line, _ *curriculum.ChainHead) []curriculum.Line {
			extra, err := curriculum.Line{Workshop: "w", Kind: "decision", At: ls[2].At}.Sealed(curriculum.ChainHead{Seq: 2, Digest: ls[1].Digest})
			require.NoError(t, err)
			ls = slices.Insert(ls, 2, extra)
			for i := 3; i < len(ls); i++ {
				ls[i].Seq++
			}
			return ls
		}, 4, "changed or moved"},
		"cut off":      {func(ls []curriculum.Line, _ *curriculum.ChainHead) []curriculum.Line { return ls[:4] }, 5, "cut off"},
		"all gone":     {func([]curriculum.Line, *curriculum.ChainHead) []curriculum.Line { return nil }, 1, "cut off"},
		"head changed": {func(ls []curriculum.Line, h *curriculum.ChainHead) []curriculum.Line { h.Digest = "x"; return ls }, 6, "not the line"},
		"one too many": {func(ls []curriculum.Line, h *curriculum.ChainHead) []curriculum.Line {
			h.Seq, h.Digest = 5, ls[4].Digest
			return ls
		}, 6, "after the recorded end"},
		"twice": {func(ls []curriculum.Line, _ *curriculum.ChainHead) []curriculum.Line {
			return slices.Insert(ls, 3, ls[2])
		}, 3, "put in"},
	} {
		ls, h := chain(t, 6)
		faults := curriculum.CheckChain(c.spoil(ls, &h), h)
		if assert.NotEmpty(t, faults, name) {
			assert.Equal(t, c.seq, faults[0].Seq, "%s: %v", name, faults)
			assert.Contains(t, faults[0].Error(), c.what, name)
		}
	}

	// Cut off or written anew with the recorded end: only a head kept elsewhere
	// tells.
	ls, h := chain(t, 6)
	cut, cutHead := ls[:4], curriculum.ChainHead{Workshop: "w", Seq: 4, Digest: ls[3].Digest}
	assert.Empty(t, curriculum.CheckChain(cut, cutHead))
	assert.NotEmpty(t, curriculum.CheckChain(cut, cutHead, h))
	ls[5].Kind = "decision"
	reseal(t, ls, 5)
	newHead := curriculum.ChainHead{Workshop: "w", Seq: 6, Digest: ls[5].Digest}
	assert.Empty(t, curriculum.CheckChain(ls, newHead))
	faults := curriculum.CheckChain(ls, newHead, h)
	require.Len(t, faults, 1)
	assert.Contains(t, faults[0].Error(), "another than when")
}
