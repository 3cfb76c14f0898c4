package threadmath

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestWithdrawalMark: without a groove a mark says where the tool is withdrawn;
// it makes no figure of its own and lies behind the end of the thread.
func TestWithdrawalMark(t *testing.T) {
	t.Parallel()
	marked := runOutOf(t, func(q *Request) { q.Cut.Groove, q.Cut.WithdrawalMark = "", "42 mm" })
	require.NotNil(t, marked.WithdrawalMark)
	assert.InDelta(t, 42, marked.WithdrawalMark.MM(), 1e-12)
	assert.Nil(t, marked.Fits)
	assert.Contains(t, marked.Why, "room lies beyond the thread is not known")
	_, err := Solve(Request{Thread: Thread{Pitch: "2 mm", Length: "40 mm"}, Cut: &Cut{WithdrawalMark: "39 mm"}})
	var domain *DomainError
	require.ErrorAs(t, err, &domain)
	assert.Equal(t, "/cut/withdrawal_mark", domain.Quantity)
}
