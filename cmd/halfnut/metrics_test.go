package main

import (
	"bufio"
	"fmt"
	"io"
	"net"
	"net/http"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func get(t *testing.T, url string) (int, string) {
	t.Helper()
	res, err := http.Get(url)
	require.NoError(t, err)
	body, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	require.NoError(t, res.Body.Close())
	return res.StatusCode, string(body)
}

// TestMetrics: at an address of their own, by pattern and never by path, and
// nowhere when they are not asked for.
func TestMetrics(t *testing.T) {
	t.Parallel()
	where := []string{"--data", filepath.Join(t.TempDir(), "demo.db"), "--metrics", "127.0.0.1:0"}
	serveOnce(t, where, func(t *testing.T, base, said string) string {
		at := regexp.MustCompile(`Metrics at (http://\S+)`).FindStringSubmatch(said)[1]
		for range 3 {
			status, _ := get(t, base+"/healthz")
			require.Equal(t, http.StatusOK, status)
		}
		status, _ := get(t, base+"/v1/joining/SECRET-CODE")
		require.Equal(t, http.StatusUnprocessableEntity, status)
		status, _ = get(t, base+"/nowhere/at/all")
		require.Equal(t, http.StatusNotFound, status)
		status, _ = get(t, base+"/metrics")
		assert.Equal(t, http.StatusNotFound, status, "learners' address does not show them")

		status, text := get(t, at)
		require.Equal(t, http.StatusOK, status)
		for _, line := range []string{
			`halfnut_http_requests_total{method="GET",route="/healthz",status="200"} 3`,
			`halfnut_http_requests_total{method="GET",route="/v1/joining/:code",status="422"} 1`,
			`halfnut_http_request_seconds_count{route="/healthz"} 3`,
			`halfnut_database_connections{pool="read",state="in use"} 0`,
			"go_goroutines ", "process_resident_memory_bytes ",
		} {
			assert.Contains(t, text, line)
		}
		assert.NotContains(t, text, "SECRET")
		assert.NotContains(t, text, "nowhere")
		return ""
	})
	_, errs, code := halfnut(t, "", "serve", "--address", "127.0.0.1:0", "--data", filepath.Join(t.TempDir(), "x.db"), "--metrics", "nonsense")
	assert.Equal(t, exitRefused, code)
	assert.Contains(t, errs, "--metrics")
}

func TestHealthcheck(t *testing.T) {
	t.Parallel()
	serveOnce(t, []string{"--data", filepath.Join(t.TempDir(), "demo.db")}, func(t *testing.T, base, _ string) string {
		address := strings.TrimPrefix(base, "http://")
		_, errs, code := halfnut(t, "", "healthcheck", "--address", address)
		assert.Equal(t, exitOK, code, errs)
		_, port, err := net.SplitHostPort(address)
		require.NoError(t, err)
		_, errs, code = halfnut(t, "", "healthcheck", "--address", "0.0.0.0:"+port)
		assert.Equal(t, exitOK, code, errs)
		return ""
	})
	_, _, code := halfnut(t, "", "healthcheck", "--address", "127.0.0.1:1")
	assert.Equal(t, exitRefused, code)
}

// TestRequestsUnderWayAreFinished tells the program itself to stop while a
// request is half sent: no new one is taken, this one is answered, and the exit
// status is 0.
func TestRequestsUnderWayAreFinished(t *testing.T) {
	t.Parallel()
	p := startProcess(t, []string{"--demo", "--data", filepath.Join(t.TempDir(), "demo.db")})
	defer p.kill()
	address := strings.TrimPrefix(p.base, "http://")
	conn, err := net.Dial("tcp", address)
	require.NoError(t, err)
	defer func() { _ = conn.Close() }()
	require.NoError(t, conn.SetDeadline(time.Now().Add(15*time.Second)))
	const job = `{"thread": {"pitch": "2 mm", "starts": 3}}`
	_, err = fmt.Fprintf(conn, "POST /v1/solve HTTP/1.1\r\nHost: %s\r\nContent-Type: application/json\r\nContent-Length: %d\r\n\r\n%s", address, len(job), job[:10])
	require.NoError(t, err)
	// Connections are taken in the order in which they come: one that comes later
	// and is answered says that ours is taken. One kept alive would say nothing.
	fresh := &http.Client{Transport: &http.Transport{DisableKeepAlives: true}}
	later, err := fresh.Get(p.base + "/healthz")
	require.NoError(t, err)
	require.NoError(t, later.Body.Close())
	require.Equal(t, http.StatusOK, later.StatusCode)
	require.NoError(t, p.cmd.Process.Signal(syscall.SIGTERM))
	require.Eventually(t, func() bool {
		c, err := net.Dial("tcp", address)
		if err == nil {
			_ = c.Close()
		}
		return err != nil
	}, 10*time.Second, 10*time.Millisecond, "nobody new is let in")
	_, err = io.WriteString(conn, job[10:])
	require.NoError(t, err)
	res, err := http.ReadResponse(bufio.NewReader(conn), nil)
	require.NoError(t, err)
	body, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	require.NoError(t, res.Body.Close())
	assert.Equal(t, http.StatusOK, res.StatusCode, string(body))
	assert.Contains(t, string(body), "starts")
	assert.NoError(t, p.cmd.Wait(), "exit status 0")
}
