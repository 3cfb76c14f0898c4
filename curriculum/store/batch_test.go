package store_test

import (
	"context"
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

// TestATransactionIsWholeOrNothing: whatever ends a transaction, what travelled
// before goes with it, and the connection is fit for the next.
func TestATransactionIsWholeOrNothing(t *testing.T) {
	const good = `INSERT INTO event (id, workshop_id, at, who, what, about) VALUES ('e', 'w', 1, 'p', 'tried', '')`
	const bad = `INSERT INTO event (id, workshop_id, at, who, what, about) VALUES (NULL, 'w', 1, 'p', 'bad', '')`
	type say = func(string) error
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		for name, c := range map[string]struct {
			act  func(ctx context.Context, do, later say) error
			want error
		}{
			"its own error": {func(_ context.Context, do, _ say) error { return errors.Join(do(good), curriculum.ErrTaken) }, curriculum.ErrTaken},
			"an error after writes that wait": {func(_ context.Context, _, later say) error {
				return errors.Join(later(good), curriculum.ErrTaken)
			}, curriculum.ErrTaken},
			"a write that waits is refused": {func(_ context.Context, do, later say) error {
				return errors.Join(do(good), later(bad))
			}, curriculum.ErrInvalid},
			"the last of several": {func(_ context.Context, _, later say) error { return errors.Join(later(good), later(bad)) }, curriculum.ErrInvalid},
			"said at the next question": {func(_ context.Context, do, later say) error {
				return errors.Join(later(bad), do(good))
			}, curriculum.ErrInvalid},
		} {
			err := store.Update(t.Context(), db, func(do, later func(string) error) error { return c.act(t.Context(), do, later) })
			require.ErrorIs(t, err, c.want, name)
			// The key is free: nothing was kept, and no connection is left in a transaction.
			for range 20 {
				require.NoError(t, store.Update(t.Context(), db, func(do, _ func(string) error) error {
					return errors.Join(do(good), do(`DELETE FROM event WHERE id = 'e'`))
				}), name)
			}
		}

		// SQLite, whose statement alone is taken back, may go on after an error;
		// PostgreSQL has lost the transaction and must say so.
		err := store.Update(t.Context(), db, func(do, _ func(string) error) error {
			_ = do(good)
			assert.Error(t, do(bad))
			return nil
		})
		if db.Engine() == "postgres" {
			require.Error(t, err, "what was lost is not acknowledged")
			require.NoError(t, store.Update(t.Context(), db, func(do, _ func(string) error) error { return do(good) }))
		}
		require.ErrorIs(t, store.Update(t.Context(), db, func(do, _ func(string) error) error { return do(good) }), curriculum.ErrConflict, "it is there")
	})
}

// TestAPanicTakesItsWritesBack: a fault in the program between two writes leaves
// neither the one nor the lock on it.
func TestAPanicTakesItsWritesBack(t *testing.T) {
	const write = `INSERT INTO event (id, workshop_id, at, who, what, about) VALUES ('e', 'w', 1, 'p', 'tried', '')`
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		func() {
			defer func() { _ = recover() }() // SQLite's writer, which all share, gives it back as an error
			assert.Error(t, store.Update(t.Context(), db, func(do, _ func(string) error) error {
				assert.NoError(t, do(write))
				panic("a fault")
			}))
		}()
		require.NoError(t, store.Update(t.Context(), db, func(do, _ func(string) error) error { return do(write) }))
	})
}

// TestACancelledRequestKeepsNothing: whoever hangs up in the middle has written
// nothing, and the connection does no harm to the next.
func TestACancelledRequestKeepsNothing(t *testing.T) {
	const write = `INSERT INTO event (id, workshop_id, at, who, what, about) VALUES ('e', 'w', 1, 'p', 'tried', '')`
	db := storetest.OpenAddress(t, storetest.Postgres(t))
	ctx, cancel := context.WithCancel(t.Context())
	err := store.Update(ctx, db, func(do, _ func(string) error) error {
		require.NoError(t, do(write))
		cancel()
		return nil
	})
	require.ErrorIs(t, err, context.Canceled)
	require.NoError(t, store.Update(t.Context(), db, func(do, _ func(string) error) error { return do(write) }))
}
