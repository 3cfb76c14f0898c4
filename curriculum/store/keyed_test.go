package store_test

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

// keyedClass is a request that makes a class.
func keyedClass(db *store.DB, w curriculum.Workshop, by, name string) func(ctx context.Context) (curriculum.KeptAnswer, error) {
	return func(ctx context.Context) (curriculum.KeptAnswer, error) {
		c := curriculum.Class{ID: store.NewID(), Workshop: w.ID, Name: name, JoiningCode: store.NewID(), Version: 1, Created: time.Now()}
		if err := db.CreateClass(ctx, c, by); err != nil {
			return curriculum.KeptAnswer{}, err
		}
		// The request sees what it wrote.
		if _, err := db.Class(ctx, c.ID); err != nil {
			return curriculum.KeptAnswer{}, err
		}
		return curriculum.KeptAnswer{Status: 201, Location: "/v1/classes/" + c.ID, ETag: `"1"`, Body: c.ID}, nil
	}
}

func TestOnceUnderAKey(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		ctx := t.Context()
		w := curriculum.Workshop{ID: store.NewID(), Name: "Shop", Units: "mm", Created: time.Now()}
		p := curriculum.Person{ID: store.NewID(), Workshop: w.ID, Name: "Somebody", Role: curriculum.RoleInstructor, Created: time.Now()}
		require.NoError(t, db.CreateWorkshop(ctx, w, p))
		now := time.Now()
		request := func(owner, key, hash string, at time.Time) curriculum.KeyedRequest {
			return curriculum.KeyedRequest{Owner: owner, Key: key, Hash: hash, At: at, Since: at.Add(-24 * time.Hour)}
		}
		classes := func() int {
			cs, err := db.Classes(ctx, w.ID)
			require.NoError(t, err)
			return len(cs)
		}

		first, repeated, err := db.Once(ctx, request(p.ID, "k", "h", now), keyedClass(db, w, p.ID, "Evening"))
		require.NoError(t, err)
		assert.False(t, repeated)
		again, repeated, err := db.Once(ctx, request(p.ID, "k", "h", now), keyedClass(db, w, p.ID, "Evening"))
		require.NoError(t, err)
		assert.True(t, repeated)
		assert.Equal(t, first, again)
		assert.Equal(t, 1, classes())

		_, _, err = db.Once(ctx, request(p.ID, "k", "another", now), keyedClass(db, w, p.ID, "Morning"))
		require.ErrorIs(t, err, curriculum.ErrInvalid, "the key belongs to another request")
		_, _, err = db.Once(ctx, request("somebody else", "k", "another", now), keyedClass(db, w, p.ID, "Morning"))
		require.NoError(t, err, "keys are everybody's own")
		assert.Equal(t, 2, classes())

		// A refusal, a fault after the effect and a panic leave neither effect nor key.
		_, _, err = db.Once(ctx, request(p.ID, "k2", "h", now), keyedClass(db, w, p.ID, "Evening"))
		require.ErrorIs(t, err, curriculum.ErrConflict, "a class of this name is there")
		fault := errors.New("fault")
		_, _, err = db.Once(ctx, request(p.ID, "k2", "h", now), func(ctx context.Context) (curriculum.KeptAnswer, error) {
			_, err := keyedClass(db, w, p.ID, "Noon")(ctx)
			return curriculum.KeptAnswer{}, errors.Join(err, fault)
		})
		require.ErrorIs(t, err, fault)
		assert.Panics(t, func() {
			_, _, _ = db.Once(ctx, request(p.ID, "k2", "h", now), func(ctx context.Context) (curriculum.KeptAnswer, error) {
				if _, err := keyedClass(db, w, p.ID, "Noon")(ctx); err != nil {
					return curriculum.KeptAnswer{}, err
				}
				panic("in the middle")
			})
		})
		assert.Equal(t, 2, classes())
		// An act that was refused may be followed by another.
		_, _, err = db.Once(ctx, request(p.ID, "k2", "h", now), func(ctx context.Context) (curriculum.KeptAnswer, error) {
			_, err := keyedClass(db, w, p.ID, "Evening")(ctx)
			require.ErrorIs(t, err, curriculum.ErrConflict)
			return keyedClass(db, w, p.ID, "Noon")(ctx)
		})
		require.NoError(t, err)
		assert.Equal(t, 3, classes())

		// A request that writes nothing is kept too, for its key.
		calls := 0
		for range 2 {
			_, _, err = db.Once(ctx, request(p.ID, "k3", "h", now), func(context.Context) (curriculum.KeptAnswer, error) {
				calls++
				return curriculum.KeptAnswer{Status: 201}, nil
			})
			require.NoError(t, err)
		}
		assert.Equal(t, 1, calls)

		// A day later a key is free, whether it was deleted or not.
		later := now.Add(25 * time.Hour)
		_, repeated, err = db.Once(ctx, request(p.ID, "k", "h", later), keyedClass(db, w, p.ID, "Night"))
		require.NoError(t, err)
		assert.False(t, repeated)
		require.NoError(t, db.ForgetKeys(ctx, later.Add(-24*time.Hour)))
		_, repeated, err = db.Once(ctx, request(p.ID, "k3", "h", now), func(context.Context) (curriculum.KeptAnswer, error) {
			return curriculum.KeptAnswer{Status: 201}, nil
		})
		require.NoError(t, err)
		assert.False(t, repeated, "forgotten")
		_, repeated, err = db.Once(ctx, request(p.ID, "k", "h", later), keyedClass(db, w, p.ID, "Night"))
		require.NoError(t, err)
		assert.True(t, repeated)
	})
}

// TestOnceForTwoCopies: twelve send the same at once, to two copies of the
// service on one database.
func TestOnceForTwoCopies(t *testing.T) {
	t.Parallel()
	for name, fresh := range engines {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			ctx, address := t.Context(), fresh(t)
			copies := []*store.DB{storetest.OpenAddress(t, address), storetest.OpenAddress(t, address)}
			w := curriculum.Workshop{ID: store.NewID(), Name: "Shop", Units: "mm", Created: time.Now()}
			p := curriculum.Person{ID: store.NewID(), Workshop: w.ID, Name: "Somebody", Role: curriculum.RoleInstructor, Created: time.Now()}
			require.NoError(t, copies[0].CreateWorkshop(ctx, w, p))
			for round := range 8 {
				request := curriculum.KeyedRequest{Owner: p.ID, Key: fmt.Sprint(round), Hash: "h", At: time.Now(), Since: time.Now().Add(-time.Hour)}
				answers := make([]curriculum.KeptAnswer, 12)
				fresh := make([]bool, len(answers))
				var wait sync.WaitGroup
				for i := range answers {
					wait.Go(func() {
						db := copies[i%2]
						a, repeated, err := db.Once(ctx, request, keyedClass(db, w, p.ID, fmt.Sprint("Class ", round)))
						assert.NoError(t, err)
						answers[i], fresh[i] = a, !repeated
					})
				}
				wait.Wait()
				done := 0
				for i, a := range answers {
					assert.Equal(t, answers[0], a)
					if fresh[i] {
						done++
					}
				}
				assert.Equal(t, 1, done, "done once")
				cs, err := copies[0].Classes(ctx, w.ID)
				require.NoError(t, err)
				assert.Len(t, cs, round+1)
			}
		})
	}
}
