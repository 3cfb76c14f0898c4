package api

import (
	"net/http"
	"slices"
	"strconv"
	"time"

	"github.com/prometheus/client_golang/prometheus"
)

// metrics counts requests. Labels are patterns of routes, known methods and
// statuses, so that no visitor can make them many, and none holds a code or a
// name.
type metrics struct {
	requests *prometheus.CounterVec
	seconds  *prometheus.HistogramVec
	open     prometheus.Gauge
}

// newMetrics registers the counters; without a registry they count for nobody.
func newMetrics(to prometheus.Registerer) *metrics {
	m := &metrics{
		requests: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "halfnut_http_requests_total", Help: "Requests answered, by route, method and status.",
		}, []string{"route", "method", "status"}),
		seconds: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name: "halfnut_http_request_seconds", Help: "How long requests took, by route.",
			Buckets: []float64{.001, .0025, .005, .01, .025, .05, .1, .25, .5, 1, 2.5, 5, 10, 30},
		}, []string{"route"}),
		open: prometheus.NewGauge(prometheus.GaugeOpts{
			Name: "halfnut_http_requests_open", Help: "Requests being answered now.",
		}),
	}
	if to != nil {
		to.MustRegister(m.requests, m.seconds, m.open)
	}
	return m
}

var countedMethods = []string{http.MethodGet, http.MethodHead, http.MethodPost, http.MethodPut, http.MethodPatch, http.MethodDelete}

func (m *metrics) done(method, route string, status int, took time.Duration) {
	if route == "" {
		route = "none"
	}
	if !slices.Contains(countedMethods, method) {
		method = "other"
	}
	m.requests.WithLabelValues(route, method, strconv.Itoa(status)).Inc()
	m.seconds.WithLabelValues(route).Observe(took.Seconds())
}
