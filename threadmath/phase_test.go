package threadmath

import (
	"encoding/json"
	"math/big"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// naive finds by trying one step after another what steps computes: positions
// are added up as fractions of a lead and compared with the starts.
type naive struct {
	part   *big.Rat
	starts int
}

// lands returns the start at k steps, or 0.
func (n naive) lands(k int64) int {
	at := new(big.Rat).Mul(n.part, big.NewRat(k, 1))
	for at.Cmp(big.NewRat(1, 1)) >= 0 {
		whole := new(big.Int).Quo(at.Num(), at.Denom())
		at.Sub(at, new(big.Rat).SetInt(whole))
	}
	for j := range n.starts {
		if at.Cmp(big.NewRat(int64(j), int64(n.starts))) == 0 {
			return j + 1
		}
	}
	return 0
}

// first returns the fewest steps to the start, or −1.
func (n naive) first(start int, limit int64) int64 {
	for k := int64(0); k < limit; k++ {
		if n.lands(k) == start {
			return k
		}
	}
	return -1
}

func TestStepsByTrying(t *testing.T) {
	t.Parallel()
	for a := int64(1); a <= 12; a++ {
		for b := int64(1); b <= 24; b++ {
			for starts := 1; starts <= 6; starts++ {
				s := newSteps(frac(a, b), starts)
				n := naive{big.NewRat(a, b), starts}
				reached := 0
				for j := range starts {
					want := n.first(j+1, b)
					got, ok := s.to(j)
					if want < 0 {
						assert.False(t, ok, "%d/%d, %d starts, start %d", a, b, starts, j+1)
						continue
					}
					reached++
					require.True(t, ok, "%d/%d, %d starts, start %d", a, b, starts, j+1)
					assert.True(t, got.Equal(Int(want)), "%d/%d, %d starts, start %d: %s, want %d", a, b, starts, j+1, got, want)
				}
				assert.Equal(t, reached, s.reached())
				assert.Equal(t, reached == starts, s.all())
			}
		}
	}
}

func TestStepsProperties(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		part := frac(rapid.Int64Range(1, 1<<40).Draw(t, "a"), rapid.Int64Range(1, 1<<40).Draw(t, "b"))
		starts := rapid.IntRange(1, maxStarts).Draw(t, "starts")
		s := newSteps(part, starts)
		zero, ok := s.to(0)
		require.True(t, ok)
		require.Zero(t, zero.Sign(), "start 1 is no step away")
		found := 0
		for j := range starts {
			k, ok := s.to(j)
			if !ok {
				continue
			}
			found++
			require.True(t, k.Mul(part).Mod(Int(1)).Equal(frac(int64(j), int64(starts))))
			require.True(t, k.Sign() >= 0 && k.Cmp(s.paths().Ratio) < 0)
		}
		require.Equal(t, s.reached(), found)
	})
}

func TestWholeJSON(t *testing.T) {
	t.Parallel()
	for _, text := range []string{"0", "7", "123456789012345678901234567890"} {
		var w Whole
		require.NoError(t, json.Unmarshal([]byte(text), &w))
		out, err := json.Marshal(w)
		require.NoError(t, err)
		assert.Equal(t, text, string(out))
	}
	for _, text := range []string{"1.5", `"7"`, "-1", "1e3"} {
		assert.Error(t, json.Unmarshal([]byte(text), new(Whole)), text)
	}
}
