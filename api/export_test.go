package api

import (
	"encoding/json"
	"io"
	"log/slog"
	"net/http"

	"github.com/gin-gonic/gin"
	"github.com/prometheus/client_golang/prometheus"

	"halfnut/api/openapi"
	"halfnut/threadmath"
)

// Route is a method and a pattern, for the tests that go through all of them.
type Route struct{ Method, Path string }

// Routes returns the API's routes.
func Routes() []Route {
	var out []Route
	for _, r := range (&server{}).routes() {
		out = append(out, Route{r.method, r.path})
	}
	return out
}

// PracticeCalendar is the calendar of a practice plan.
var PracticeCalendar = practiceCalendar

// ShopCalendar is the calendar of a shop session.
var ShopCalendar = shopCalendar

// EchoServers are two servers that read a solve request by the contract and write
// it back: one bare, one with router, middleware and admission as every route
// has them.
func EchoServers() (bare, whole http.Handler) {
	contract, err := openapi.Load()
	if err != nil {
		panic(err)
	}
	s := &server{contract: contract, log: slog.New(slog.DiscardHandler)}
	op := contract.Operation("POST", "/v1/solve")
	bare = http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		data, err := io.ReadAll(r.Body)
		if err == nil {
			data, err = op.Check(data)
		}
		var in threadmath.Request
		if err == nil {
			err = json.Unmarshal(data, &in)
		}
		if err != nil {
			http.Error(w, err.Error(), http.StatusUnprocessableEntity)
			return
		}
		w.Header().Set("Content-Type", "application/json; charset=utf-8")
		_ = json.NewEncoder(w).Encode(in)
	})
	gin.SetMode(gin.ReleaseMode)
	e := gin.New()
	e.Use(newLimits().handler(func(*gin.Context, error) {}))
	e.Handle("POST", "/v1/solve", s.handle(route{"POST", "/v1/solve", open(func(c *gin.Context) error {
		var in threadmath.Request
		if err := decode(c, &in); err != nil {
			return err
		}
		return answer(c, http.StatusOK, in)
	})}))
	// The access log is written, to nowhere.
	return bare, chain(e, slog.New(slog.NewJSONHandler(io.Discard, nil)), newMetrics(prometheus.NewRegistry()))
}
