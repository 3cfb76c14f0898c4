package main

import (
	"context"
	"crypto/rand"
	"crypto/tls"
	"errors"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"os"
	"strings"
	"time"

	"halfnut/api"
	"halfnut/api/web"
	"halfnut/curriculum/demo"
	"halfnut/curriculum/mastery"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/store"
)

var _ practice.Store = (*store.DB)(nil)

// serveFlags are the settings of the service; each has an environment variable
// beside it.
type serveFlags struct {
	databaseFlags
	address, metrics, workshop, proxies string
	texts                               string
	tlsCert, tlsKey                     string
	demo, secure                        bool
	rescueAfter                         time.Duration
}

func (s *serveFlags) declare(f *flag.FlagSet) {
	s.databaseFlags.declare(f)
	f.StringVar(&s.address, "address", "127.0.0.1:8080", "`HOST:PORT` where to listen")
	f.StringVar(&s.metrics, "metrics", "", "`HOST:PORT` where to serve Prometheus metrics at /metrics; keep it from the world")
	f.StringVar(&s.workshop, "workshop", "Workshop", "`NAME` of the workshop, when the database is empty")
	f.BoolVar(&s.demo, "demo", false, "fill an empty database with the demo workshop")
	f.StringVar(&s.proxies, "proxies", "", "`ADDRESSES` or networks (10.0.0.0/8), with commas, of the proxies before this service, whose X-Forwarded-For is believed")
	f.StringVar(&s.tlsCert, "tls-cert", "", "`FILE` of the certificate chain (PEM), to speak TLS without a proxy; goes with --tls-key")
	f.StringVar(&s.tlsKey, "tls-key", "", "`FILE` of the certificate's key (PEM)")
	f.StringVar(&s.texts, "texts", "", "`FOLDER` with further languages of the pages: PO files, named de.po and so on")
	f.DurationVar(&s.rescueAfter, "rescue-after", 20*time.Second, "`TIME` that a copy may be silent before others take up the work it had; 2s or more")
	f.BoolVar(&s.secure, "secure", false, "browsers reach this service over TLS, at a proxy")
}

const stopTime = 20 * time.Second

// leastSilence is the least time after which a silent copy may be taken for dead:
// a slow disk or a busy machine must not look like one.
const leastSilence = 2 * time.Second

func serveCommand() command {
	var s serveFlags
	return command{
		name: "serve", environment: everyFlag, args: "[--demo] [--address HOST:PORT] [--data FILE | --database postgres://…]",
		summary: "serve a workshop: pages and API",
		help: "Keeps everything in one file, or in PostgreSQL, and prints a one-time link that signs\n" +
			"the first instructor in. With --demo an empty database is filled with an invented\n" +
			"workshop: its lathes, a class of twelve and a class set. Stop it with Ctrl-C; answers\n" +
			"under way are finished. A variable stands in for every flag: HALFNUT_ADDRESS for\n" +
			"--address and so on; halfnut config shows them all.",
		example: "halfnut serve --demo",
		flags: func(f *flag.FlagSet) action {
			s.declare(f)
			return func(ctx context.Context, c console, args []string) error {
				if err := exactly(0, args, "flags only"); err != nil {
					return err
				}
				return s.serve(ctx, c)
			}
		},
	}
}

func (s *serveFlags) serve(ctx context.Context, c console) (err error) {
	where, err := s.databaseFlags.address()
	if err != nil {
		return err
	}
	var proxies []string
	if s.proxies != "" {
		proxies = strings.Split(strings.ReplaceAll(s.proxies, " ", ""), ",")
	}
	if err := api.CheckProxies(proxies); err != nil {
		return fmt.Errorf("--%w", err)
	}
	if s.rescueAfter < leastSilence {
		return fmt.Errorf("--rescue-after: at least %s", leastSilence)
	}
	certificate, err := s.certificate()
	if err != nil {
		return err
	}
	var languages *web.Languages // those built in
	if s.texts != "" {
		if languages, err = web.ReadLanguages(os.DirFS(s.texts)); err != nil {
			return fmt.Errorf("--texts: %w", err)
		}
	}
	listener, err := net.Listen("tcp", s.address)
	if err != nil {
		return err
	}
	defer func() { _ = listener.Close() }() // http.Server closes it first when it serves
	db, err := store.Open(ctx, where)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	if err := refold(ctx, db, c.out); err != nil {
		return err
	}
	registry := newRegistry(db)
	if s.metrics != "" {
		at, stop, failed := serveMetrics(s.metrics, registry)
		if failed != nil {
			return failed
		}
		defer func() { err = errors.Join(err, stop()) }()
		if _, err := fmt.Fprintf(c.out, "Metrics at http://%s/metrics\n", at); err != nil {
			return err
		}
	}
	service := practice.New(db, practice.Options{Beat: s.rescueAfter / 8})
	log := slog.New(slog.NewJSONHandler(c.err, nil))
	stopWork, err := s.startWork(db, service, c.err)
	if err != nil {
		return err
	}
	defer stopWork()
	// Copies that start together on an empty database make one workshop.
	if err := db.Alone(ctx, func() error { return s.begin(ctx, c.out, db, service, listener.Addr().String()) }); err != nil {
		return err
	}
	return serveUntil(ctx, listener, certificate, api.New(api.Config{
		Practice: service, Log: log, Secure: s.secure || certificate != nil, Proxies: proxies, Metrics: registry, Languages: languages,
	}))
}

// refold computes anew what learners hold where an earlier version of the program
// counted otherwise.
func refold(ctx context.Context, db *store.DB, out io.Writer) error {
	n, err := db.RefoldCells(ctx, mastery.Fold)
	if err == nil && n > 0 {
		_, err = fmt.Fprintf(out, "What counts as evidence has changed: the skills of %d learners were worked out anew from their answers.\n", n)
	}
	return err
}

// startWork lets this copy do work, and returns what ends it: what is under way
// then is finished or given back.
func (s *serveFlags) startWork(db *store.DB, service *practice.Service, log io.Writer) (stop func(), err error) {
	web.PrintPacks(service)
	queue, err := db.StartQueue(store.QueueConfig{
		Do: service.DoWork, Silent: s.rescueAfter, Log: slog.New(slog.NewJSONHandler(log, &slog.HandlerOptions{Level: slog.LevelWarn})),
	})
	if err != nil {
		return nil, err
	}
	return queue.Stop, nil
}

// certificate reads what to speak TLS with; nil is plain HTTP. The files are
// read once: a renewed certificate is taken at the next start.
func (s *serveFlags) certificate() (*tls.Config, error) {
	if s.tlsCert == "" && s.tlsKey == "" {
		return nil, nil
	}
	if s.tlsCert == "" || s.tlsKey == "" {
		return nil, errors.New("--tls-cert, --tls-key: each needs the other")
	}
	pair, err := tls.LoadX509KeyPair(s.tlsCert, s.tlsKey)
	if err != nil {
		return nil, fmt.Errorf("--tls-cert, --tls-key: %w", err)
	}
	return &tls.Config{Certificates: []tls.Certificate{pair}, MinVersion: tls.VersionTLS12}, nil
}

// serveUntil serves until ctx ends, then lets requests under way finish.
func serveUntil(ctx context.Context, listener net.Listener, certificate *tls.Config, handler http.Handler) error {
	server := &http.Server{
		Handler: handler, ReadHeaderTimeout: 10 * time.Second, ReadTimeout: 60 * time.Second, WriteTimeout: 90 * time.Second, IdleTimeout: 2 * time.Minute,
		TLSConfig: certificate,
	}
	failed := make(chan error, 1)
	go func() {
		if certificate != nil {
			failed <- server.ServeTLS(listener, "", "")
			return
		}
		failed <- server.Serve(listener)
	}()
	select {
	case err := <-failed:
		return err
	case <-ctx.Done():
	}
	stop, cancel := context.WithTimeout(context.Background(), stopTime)
	defer cancel()
	if err := server.Shutdown(stop); err != nil {
		return fmt.Errorf("stop: %w", err)
	}
	return nil
}

// begin makes sure that there is a workshop, and tells how to get in.
func (s *serveFlags) begin(ctx context.Context, out io.Writer, db *store.DB, service *practice.Service, address string) error {
	workshops, err := service.Workshops(ctx)
	if err != nil {
		return err
	}
	if len(workshops) == 0 {
		if s.demo {
			if err := demo.Fill(ctx, db, time.Now(), rand.Reader); err != nil {
				return fmt.Errorf("demo: %w", err)
			}
		} else if _, _, err := service.Begin(ctx, s.workshop, "Instructor", "mm"); err != nil {
			return err
		}
		if workshops, err = service.Workshops(ctx); err != nil {
			return err
		}
	}
	var b strings.Builder
	base := "http://" + address
	if s.tlsCert != "" {
		base = "https://" + address
	}
	for _, w := range workshops {
		p, err := service.FirstInstructor(ctx, w.ID)
		if err != nil {
			return err
		}
		link, err := service.NewLink(ctx, p)
		if err != nil {
			return err
		}
		fmt.Fprintf(&b, "%s\n  Instructor's link, works once: %s/link/%s\n", w.Name, base, link)
		a := practice.Actor{ID: p.ID, Workshop: w.ID, Role: p.Role}
		classes, err := service.Classes(ctx, a)
		if err != nil {
			return err
		}
		for _, c := range classes {
			fmt.Fprintf(&b, "  %s: learners join at %s/join with the code %s\n", c.Name, base, c.JoiningCode)
		}
	}
	fmt.Fprintf(&b, "Listening on %s. Stop with Ctrl-C.\n", base)
	_, err = io.WriteString(out, b.String())
	return err
}
