package api_test

import (
	"bytes"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/api"
	"halfnut/curriculum/store/storetest"
)

// logText is a log that a test reads while handlers write.
type logText struct {
	sync.Mutex
	b bytes.Buffer
}

func (k *logText) Write(p []byte) (int, error) {
	k.Lock()
	defer k.Unlock()
	return k.b.Write(p)
}

func (k *logText) String() string {
	k.Lock()
	defer k.Unlock()
	return k.b.String()
}

// TestReadersHangUp: who closes the connection in the middle of a pack makes
// nothing panic, and the next one gets the whole.
func TestReadersHangUp(t *testing.T) {
	t.Parallel()
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	log := &logText{}
	server := httptest.NewServer(api.New(api.Config{Practice: s.Service, Log: slog.New(slog.NewTextHandler(log, nil))}))
	s.base = server.URL
	token := s.tokens(t)["instructor"]
	for _, file := range []string{"pack.zip", "worksheets.pdf", "worksheets.pdf?format=html"} {
		for range 3 {
			c, err := net.Dial("tcp", strings.TrimPrefix(server.URL, "http://"))
			require.NoError(t, err)
			_, err = fmt.Fprintf(c, "GET /v1/sets/%s/%s HTTP/1.1\r\nHost: x\r\nAuthorization: Bearer %s\r\n\r\n", s.set.ID, file, token)
			require.NoError(t, err)
			_, err = io.ReadFull(c, make([]byte, 200))
			require.NoError(t, err)
			tcp, ok := c.(*net.TCPConn)
			require.True(t, ok)
			require.NoError(t, tcp.SetLinger(0)) // a reset, as of a program that was killed
			require.NoError(t, c.Close())
		}
		status, _, body := s.call(t, token, "GET", "/v1/sets/"+s.set.ID+"/"+file, "", "")
		assert.Equal(t, 200, status)
		assert.Greater(t, len(body), 20_000, file)
	}
	server.Close() // waits for the handlers
	assert.NotContains(t, log.String(), "panic")
}

// TestNothingToPrint: an unknown set or class, and a class without learners, are
// refused with a reason and never with an empty file.
func TestNothingToPrint(t *testing.T) {
	t.Parallel()
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	token := s.tokens(t)["instructor"]
	for _, path := range []string{"/v1/sets/NONE/pack.zip", "/v1/sets/NONE/cover.pdf", "/v1/sets/NONE/key.pdf?format=html", "/v1/classes/NONE/preparation.pdf", "/v1/lathes/NONE/poster.pdf", "/v1/learners/NONE/plan.pdf"} {
		status, _, body := s.call(t, token, "GET", path, "", "")
		assert.Equal(t, 404, status, "%s: %s", path, body)
	}
	empty, err := s.AddClass(t.Context(), s.instructor, "Nobody yet")
	require.NoError(t, err)
	status, _, body := s.call(t, token, "POST", "/v1/classes/"+empty.ID+"/sets", "application/json", `{"title": "x", "skills": ["lead"], "count": 1, "lathe": "`+s.lathe.ID+`", "units": "mm"}`)
	assert.Equal(t, 422, status, body)
	assert.Contains(t, body, "nobody is on the class list")
	status, _, body = s.call(t, token, "GET", "/v1/classes/"+empty.ID+"/preparation.pdf?format=html", "", "")
	assert.Equal(t, 200, status)
	assert.Contains(t, body, "No learner of this class has a job yet.")
}
