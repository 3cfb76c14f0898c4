package main

import (
	"context"
	"database/sql"
	"errors"
	"flag"
	"fmt"
	"io"
	"net"
	"net/http"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"

	"halfnut/curriculum/store"
)

// poolCollector shows how busy the connections to the database are.
type poolCollector struct{ db *store.DB }

var (
	poolConnections = prometheus.NewDesc("halfnut_database_connections", "Connections to the database, by pool and state.", []string{"pool", "state"}, nil)
	poolWaits       = prometheus.NewDesc("halfnut_database_waits_total", "How often a connection had to be waited for.", []string{"pool"}, nil)
	poolWaited      = prometheus.NewDesc("halfnut_database_wait_seconds_total", "How long connections were waited for.", []string{"pool"}, nil)
)

// Describe and Collect are prometheus.Collector's.
func (p poolCollector) Describe(to chan<- *prometheus.Desc) {
	to <- poolConnections
	to <- poolWaits
	to <- poolWaited
}

// workCollector shows what waits, runs, has failed and is done, of the last 30 days. Every copy
// on a database shows the same.
type workCollector struct{ db *store.DB }

var works = prometheus.NewDesc("halfnut_work", "Works of the last 30 days, by kind and state (waiting, running, done, failed).", []string{"kind", "state"}, nil)

// Describe and Collect are prometheus.Collector's.
func (w workCollector) Describe(to chan<- *prometheus.Desc) { to <- works }

func (w workCollector) Collect(to chan<- prometheus.Metric) {
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	if err := w.db.WorkStates(ctx, func(kind, state string, n int64) {
		to <- prometheus.MustNewConstMetric(works, prometheus.GaugeValue, float64(n), kind, state)
	}); err != nil {
		to <- prometheus.NewInvalidMetric(works, err)
	}
}

func (p poolCollector) Collect(to chan<- prometheus.Metric) {
	p.db.Pools(func(name string, s sql.DBStats) {
		to <- prometheus.MustNewConstMetric(poolConnections, prometheus.GaugeValue, float64(s.InUse), name, "in use")
		to <- prometheus.MustNewConstMetric(poolConnections, prometheus.GaugeValue, float64(s.Idle), name, "idle")
		to <- prometheus.MustNewConstMetric(poolWaits, prometheus.CounterValue, float64(s.WaitCount), name)
		to <- prometheus.MustNewConstMetric(poolWaited, prometheus.CounterValue, s.WaitDuration.Seconds(), name)
	})
}

// newRegistry returns what /metrics shows besides the requests.
func newRegistry(db *store.DB) *prometheus.Registry {
	r := prometheus.NewRegistry()
	r.MustRegister(collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}), poolCollector{db}, workCollector{db})
	return r
}

// serveMetrics serves /metrics, and nothing else, at an address of its own: the
// service's own address faces learners. It returns what ends it.
func serveMetrics(address string, r *prometheus.Registry) (where string, stop func() error, err error) {
	listener, err := net.Listen("tcp", address)
	if err != nil {
		return "", nil, fmt.Errorf("--metrics: %w", err)
	}
	mux := http.NewServeMux()
	mux.Handle("GET /metrics", promhttp.HandlerFor(r, promhttp.HandlerOpts{}))
	server := &http.Server{Handler: mux, ReadHeaderTimeout: 5 * time.Second, WriteTimeout: 20 * time.Second}
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(listener) }()
	return listener.Addr().String(), func() error {
		err := server.Close()
		if served := <-failed; !errors.Is(served, http.ErrServerClosed) {
			err = errors.Join(err, served)
		}
		return err
	}, nil
}

func healthcheckCommand() command {
	var address string
	return command{
		name: "healthcheck", environment: []string{"address"}, args: "[--address HOST:PORT]",
		summary: "ask a running service whether it is ready",
		help: "Asks /readyz of the service that listens at the address. Exit status 0 if it is ready\n" +
			"and its database answers. For containers without any other program in them.",
		example: "halfnut serve --demo\nhalfnut healthcheck",
		flags: func(f *flag.FlagSet) action {
			f.StringVar(&address, "address", "127.0.0.1:8080", "`HOST:PORT` where the service listens")
			return func(ctx context.Context, _ console, args []string) error {
				if err := exactly(0, args, "flags only"); err != nil {
					return err
				}
				return askReady(ctx, address)
			}
		},
	}
}

func askReady(ctx context.Context, address string) error {
	host, port, err := net.SplitHostPort(address)
	if err != nil {
		return fmt.Errorf("--address: %w", err)
	}
	if ip := net.ParseIP(host); host == "" || ip != nil && ip.IsUnspecified() {
		host = "127.0.0.1" // it listens everywhere; here is nearest
	}
	ctx, cancel := context.WithTimeout(ctx, 5*time.Second)
	defer cancel()
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, "http://"+net.JoinHostPort(host, port)+"/readyz", http.NoBody)
	if err != nil {
		return err
	}
	res, err := http.DefaultClient.Do(r)
	if err != nil {
		return err
	}
	_, _ = io.Copy(io.Discard, io.LimitReader(res.Body, 1<<10))
	if err := res.Body.Close(); err != nil {
		return err
	}
	if res.StatusCode != http.StatusOK {
		return fmt.Errorf("not ready: %s", res.Status)
	}
	return nil
}
