package api_test

import (
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/api"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/store/storetest"
	"halfnut/testdata/workshop"
)

// TestChainFigures prints the requests a second of a route with the whole chain
// over those of a bare server that does the same JSON work: 64 connections over
// the loopback, in turns. It judges nothing.
func TestChainFigures(t *testing.T) {
	if !*figures {
		t.Skip("go test ./api -run TestChainFigures -figures -v prints them")
	}
	jobs, err := workshop.Jobs()
	require.NoError(t, err)
	echoed := string(jobs["jobs/three-start-m30.json"]) // 0.9 kB
	bare, whole := api.EchoServers()
	var rates [2][]float64
	var ratios []float64
	for range 9 {
		for i, h := range []http.Handler{bare, whole} {
			rates[i] = append(rates[i], rate(t, h, echoed))
		}
		n := len(ratios)
		ratios = append(ratios, rates[1][n]/rates[0][n])
	}
	for _, of := range [][]float64{rates[0], rates[1], ratios} {
		slices.Sort(of)
	}
	fmt.Printf("bare %.0f/s, gin with the whole chain %.0f/s: %.2f [%.2f..%.2f]\n", rates[0][4], rates[1][4], ratios[4], ratios[0], ratios[8])
}

// rate is how many requests a second a handler answers that all send echoed.
func rate(t *testing.T, h http.Handler, echoed string) float64 {
	const connections, each = 64, 100
	server := httptest.NewServer(h)
	defer server.Close()
	client := &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: connections}}
	defer client.CloseIdleConnections()
	send := func() {
		res, err := client.Post(server.URL+"/v1/solve", "application/json", strings.NewReader(echoed))
		if !assert.NoError(t, err) {
			return
		}
		_, err = io.Copy(io.Discard, res.Body)
		assert.NoError(t, err)
		assert.Equal(t, http.StatusOK, res.StatusCode)
		assert.NoError(t, res.Body.Close())
	}
	send()
	var wait sync.WaitGroup
	began := time.Now()
	for range connections {
		wait.Go(func() {
			for range each {
				send()
			}
		})
	}
	wait.Wait()
	return connections * each / time.Since(began).Seconds()
}

// BenchmarkHostileNumbers is how long bodies made to cost take to be refused:
//
//	go test ./api -run ^$ -bench HostileNumbers
func BenchmarkHostileNumbers(b *testing.B) {
	service := practice.New(storetest.OpenAddress(b, storetest.SQLite(b)), practice.Options{})
	h := api.New(api.Config{Practice: service, Log: slog.New(slog.DiscardHandler)})
	many := func(number string) string {
		return `{"thread": {"pitch": "2 mm"}, "lathe": {"change_gears": [` + strings.Repeat(number+",", (120<<10)/(len(number)+1)) + number + `]}}`
	}
	holder := `{"kind": "pins", "stations": [` + strings.Repeat("1e400,", 200) + `1e400]}`
	var unknown strings.Builder
	for i := range 9000 {
		_, _ = fmt.Fprintf(&unknown, `"k%d":1e400,`, i)
	}
	for name, body := range map[string]string{
		"one of a million digits": `{"thread": {"pitch": "2 mm", "starts": 1e1000000}}`,
		"all that fit, 1e400":     many("1e400"),
		"all that fit, 1e-400":    many("1e-400"),
		"all that fit, 40 digits": many(strings.Repeat("9", 40)),
		"all that fit, 1":         many("1"),
		"lists in lists, 1e400":   `{"thread": {"pitch": "2 mm"}, "lathe": {"holders": [` + strings.Repeat(holder+",", 63) + holder + `]}}`,
		"unknown fields":          `{` + unknown.String() + `"thread": {}}`,
		"a text of digits":        `{"thread": {"pitch": "` + strings.Repeat("9", 120<<10) + ` mm"}}`,
		"a text with an exponent": `{"thread": {"pitch": "1e1000000 mm"}}`,
		"nested":                  strings.Repeat("[", 120<<10),
	} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				w := httptest.NewRecorder()
				h.ServeHTTP(w, httptest.NewRequest(http.MethodPost, "/v1/solve", strings.NewReader(body)))
				require.Equal(b, http.StatusUnprocessableEntity, w.Code, w.Body.String())
			}
		})
	}
}
