package api

import (
	"context"
	"net/http"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
)

// ended puts a thing to an end for the reason of the body; tell answers with it.
func ended[T any](end func(ctx context.Context, a practice.Actor, id, reason string) (T, error), tell func(c *gin.Context, x T) error) handlerFunc {
	return func(c *gin.Context, a practice.Actor) error {
		var in struct {
			Reason string `json:"reason"`
		}
		if err := decode(c, &in); err != nil {
			return err
		}
		x, err := end(c.Request.Context(), a, c.Param("id"), in.Reason)
		if err != nil {
			return err
		}
		return tell(c, x)
	}
}

// lifted takes such an end back.
func lifted[T any](lift func(ctx context.Context, a practice.Actor, id string) (T, error), tell func(c *gin.Context, x T) error) handlerFunc {
	return func(c *gin.Context, a practice.Actor) error {
		x, err := lift(c.Request.Context(), a, c.Param("id"))
		if err != nil {
			return err
		}
		return tell(c, x)
	}
}

func tellLathe(c *gin.Context, l curriculum.Lathe) error {
	c.Header("ETag", etag(l.Version))
	return answer(c, http.StatusOK, l)
}

func tellShop(c *gin.Context, x curriculum.ShopSession) error {
	c.Header("ETag", etag(x.Version))
	return answer(c, http.StatusOK, x)
}

func tellSet(c *gin.Context, x curriculum.ClassSet) error { return answer(c, http.StatusOK, x) }
