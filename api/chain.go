package api

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"log/slog"
	"net/http"
	"runtime/debug"
	"time"

	"github.com/klauspost/compress/gzhttp"

	"halfnut/api/problem"
)

// maxBody bounds every request's body; the contract allows most operations far
// less. A class list of 10 MB is read, so that its bad lines can be named.
const maxBody = 16 << 20

// requestTime is how long a request may take.
const requestTime = 60 * time.Second

// csp lets a page load only what the service itself serves, and no inline style
// or script.
const csp = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// chain puts around every route, pages and files included, what all share.
func chain(next http.Handler, log *slog.Logger, m *metrics) http.Handler {
	crossOrigin := http.NewCrossOriginProtection()
	crossOrigin.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		problem.Write(w, problem.Document{Type: "about:blank", Title: "Not allowed", Status: http.StatusForbidden, Detail: "the request comes from another site"})
	}))
	return logged(log, m, recovered(log, headers(limited(crossOrigin.Handler(compressed(next))))))
}

// leastCompressed is the size from which an answer is compressed: what fits one
// packet gains nothing.
const leastCompressed = 1400

// compressed packs pages, JSON and SVG for clients that can unpack. No answer
// holds a secret beside text that the request chose, but for a joining code beside
// a refused form; the padding makes its length say nothing (BREACH).
func compressed(next http.Handler) http.Handler {
	wrap, err := gzhttp.NewWrapper(
		gzhttp.MinSize(leastCompressed),
		gzhttp.ContentTypes([]string{"text/html", "text/css", "text/javascript", "text/csv", "text/calendar", "application/json", "application/problem+json", "image/svg+xml"}),
		gzhttp.RandomJitter(32, 0, false),
	)
	if err != nil { // the options are constants
		panic(err)
	}
	return wrap(next)
}

// retryAfter is how many seconds a client waits before it tries again, where the
// fault is expected to pass.
var retryAfter = map[int]string{http.StatusServiceUnavailable: "5", http.StatusTooManyRequests: "60"}

type recorder struct {
	http.ResponseWriter
	status int
	bytes  int
}

func (r *recorder) WriteHeader(status int) {
	if r.status == 0 {
		r.status = status
		if wait := retryAfter[status]; wait != "" && r.Header().Get("Retry-After") == "" {
			r.Header().Set("Retry-After", wait)
		}
	}
	r.ResponseWriter.WriteHeader(status)
}

func (r *recorder) Write(b []byte) (int, error) {
	if r.status == 0 {
		r.status = http.StatusOK
	}
	n, err := r.ResponseWriter.Write(b)
	r.bytes += n
	return n, err
}

// Unwrap lets http.ResponseController reach the connection.
func (r *recorder) Unwrap() http.ResponseWriter { return r.ResponseWriter }

type requestKey struct{}

// logged writes one line a request. The path is the route's pattern where one
// matched: real paths hold codes and one-time links.
func logged(log *slog.Logger, m *metrics, next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		id := make([]byte, 8)
		_, _ = rand.Read(id)
		route := ""
		ctx := context.WithValue(r.Context(), requestKey{}, &route)
		rec := &recorder{ResponseWriter: w}
		rec.Header().Set("X-Request-Id", hex.EncodeToString(id))
		begun := time.Now()
		m.open.Inc()
		defer m.open.Dec()
		next.ServeHTTP(rec, r.WithContext(ctx))
		m.done(r.Method, route, rec.status, time.Since(begun))
		log.LogAttrs(ctx, slog.LevelInfo, "request",
			slog.String("id", hex.EncodeToString(id)), slog.String("method", r.Method), slog.String("route", route),
			slog.Int("status", rec.status), slog.Int("bytes", rec.bytes), slog.Duration("took", time.Since(begun)))
	})
}

func recovered(log *slog.Logger, next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			if p := recover(); p != nil {
				if p == http.ErrAbortHandler {
					panic(p)
				}
				log.ErrorContext(r.Context(), "panic", "what", p, "stack", string(debug.Stack()))
				problem.Write(w, problem.Document{Type: "about:blank", Title: "Something went wrong here", Status: http.StatusInternalServerError})
			}
		}()
		next.ServeHTTP(w, r)
	})
}

func headers(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", csp)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		if r.TLS != nil {
			h.Set("Strict-Transport-Security", "max-age=31536000")
		}
		next.ServeHTTP(w, r)
	})
}

func limited(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		r.Body = http.MaxBytesReader(w, r.Body, maxBody)
		ctx, cancel := context.WithTimeout(r.Context(), requestTime)
		defer cancel()
		next.ServeHTTP(w, r.WithContext(ctx))
	})
}
