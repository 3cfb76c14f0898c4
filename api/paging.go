package api

import (
	"net/http"
	"net/url"
	"strconv"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
)

// list answers with a list, or with the page of it that limit and after ask for,
// and a Link to the next page (RFC 8288). key is an entry's own, by which the
// next page begins; entries that come or go in between shift no others. The
// contract has checked the parameters.
func list[T any](c *gin.Context, name string, all []T, key func(T) string) error {
	if after := c.Query("after"); after != "" {
		rest, found := following(all, after, key)
		if !found {
			return &curriculum.FieldError{Path: "?after", Value: after, Reason: "no such entry", Allowed: "the key of an entry that is there"}
		}
		all = rest
	}
	if limit, err := strconv.Atoi(c.Query("limit")); err == nil && len(all) > limit {
		all = all[:limit]
		linkNext(c, key(all[limit-1]))
	}
	return answer(c, http.StatusOK, map[string]any{name: listOf(all)})
}

// linkNext says where the page after the entry with a key is.
func linkNext(c *gin.Context, key string) {
	next := c.Request.URL.Query()
	next.Set("after", key)
	c.Header("Link", "<"+(&url.URL{Path: c.Request.URL.Path, RawQuery: next.Encode()}).String()+`>; rel="next"`)
}

// following returns what stands after the entry with a key.
func following[T any](all []T, after string, key func(T) string) ([]T, bool) {
	for i, x := range all {
		if key(x) == after {
			return all[i+1:], true
		}
	}
	return nil, false
}

// only keeps the entries that a filter of the query takes; without it all.
func only[T any](c *gin.Context, filter string, all []T, takes func(x T, value string) bool) []T {
	value, given := c.GetQuery(filter)
	if !given {
		return all
	}
	var out []T
	for _, x := range all {
		if takes(x, value) {
			out = append(out, x)
		}
	}
	return out
}
