package main

import (
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// figures makes TestProcessFigures measure.
//
//	go test ./cmd/halfnut -run TestProcessFigures -figures -v
var figures = flag.Bool("figures", false, "measure what DEVELOPERS.md states of the process")

// TestProcessFigures measures the program as it is shipped: its size, how long
// it takes from start to its first answer on a file that is there, and its
// memory at rest.
func TestProcessFigures(t *testing.T) {
	if !*figures {
		t.Skip("measures only with -figures")
	}
	path, err := binary()
	require.NoError(t, err)
	info, err := os.Stat(path)
	require.NoError(t, err)
	t.Logf("stripped binary %.1f MB (goal 40)", float64(info.Size())/1e6)
	where := []string{"--demo", "--data", filepath.Join(t.TempDir(), "demo.db")}
	startProcess(t, where).kill()
	var best, worst time.Duration
	for range 5 {
		begun := time.Now()
		p := startProcess(t, where)
		status, _ := get(t, p.base+"/readyz")
		took := time.Since(begun)
		require.Equal(t, 200, status)
		if best == 0 || took < best {
			best = took
		}
		worst = max(worst, took)
		p.kill()
	}
	t.Logf("start to first answer on an existing file %d to %d ms (goal 1000)", best.Milliseconds(), worst.Milliseconds())
	p := startProcess(t, where)
	defer p.kill()
	for _, page := range []string{"/bench", "/join", "/readyz"} {
		get(t, p.base+page)
	}
	time.Sleep(5 * time.Second)
	status, err := os.ReadFile("/proc/" + strconv.Itoa(p.cmd.Process.Pid) + "/status")
	require.NoError(t, err)
	resident := regexp.MustCompile(`VmRSS:\s+(\d+) kB`).FindStringSubmatch(string(status))
	require.NotNil(t, resident)
	kb, err := strconv.ParseFloat(strings.TrimSpace(resident[1]), 64)
	require.NoError(t, err)
	t.Logf("memory at rest %.0f MB (goal 60)", kb/1024)
}
