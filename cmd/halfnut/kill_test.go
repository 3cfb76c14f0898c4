package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/csv"
	"flag"
	"fmt"
	"math/rand/v2"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/mastery"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
	"halfnut/testdata/workshop"
)

// The proof that a killed server loses nothing. By default one stream of 10,000
// answers an engine with five kills in it; the long one, whose result is kept,
// is
//
//	go test ./cmd/halfnut -run TestKilled -kill-streams 10 -kill-record -timeout 2h
var (
	killStreams = flag.Int("kill-streams", 1, "streams of 10,000 answers on each engine, each with five kills")
	killRecord  = flag.Bool("kill-record", false, "add the result to testdata/kill-proof.csv")
)

const (
	streamLearners = 14
	streamSets     = 6
	streamAnswers  = 10_000
	streamKills    = 5
)

// binary builds the program itself, as it is shipped.
var binary = sync.OnceValues(func() (string, error) {
	folder, err := os.MkdirTemp("", "halfnut-binary-")
	if err != nil {
		return "", err
	}
	path := filepath.Join(folder, "halfnut")
	if out, err := exec.Command("go", "build", "-tags", "nomsgpack", "-trimpath", "-ldflags=-s -w", "-o", path, ".").CombinedOutput(); err != nil {
		return "", fmt.Errorf("go build: %w: %s", err, out)
	}
	return path, nil
})

func TestMain(m *testing.M) {
	code := m.Run()
	if path, err := binary(); err == nil && path != "" {
		_ = os.RemoveAll(filepath.Dir(path))
	}
	os.Exit(code)
}

// process is a server in a process of its own.
type process struct {
	cmd  *exec.Cmd
	base string
}

// startProcess starts the program on a free port and waits until it listens.
func startProcess(t *testing.T, where []string) *process {
	t.Helper()
	path, err := binary()
	require.NoError(t, err)
	p := &process{cmd: exec.Command(path, append([]string{"serve", "--address", "127.0.0.1:0"}, where...)...)}
	out, err := p.cmd.StdoutPipe()
	require.NoError(t, err)
	var errs bytes.Buffer
	p.cmd.Stderr = &errs
	require.NoError(t, p.cmd.Start())
	listening := regexp.MustCompile(`^Listening on (http://\S+)\. Stop`)
	for lines := bufio.NewScanner(out); lines.Scan(); {
		if m := listening.FindStringSubmatch(lines.Text()); m != nil {
			p.base = m[1]
			return p
		}
	}
	_ = p.cmd.Wait()
	require.FailNow(t, "the server does not start", errs.String())
	return nil
}

// kill ends the process as a power cut would end it, but for what the system
// still holds.
func (p *process) kill() {
	_ = p.cmd.Process.Kill()
	_ = p.cmd.Wait()
}

// sending is one learner at work: answers in order, each sent again under its
// id until it is acknowledged.
type sending struct {
	token   string
	answers []sentAnswer
	next    int
	acked   []string
}

type sentAnswer struct {
	id, code string
	position int
}

// stream is a database with learners who have 10,000 answers to send.
type stream struct {
	where    []string
	address  string
	senders  []*sending
	variants []string
}

func newStream(t *testing.T, engine string) *stream {
	t.Helper()
	ctx := t.Context()
	s := &stream{}
	if engine == "postgres" {
		s.address = storetest.Postgres(t)
		s.where = []string{"--database", s.address}
	} else {
		s.address = storetest.SQLite(t)
		s.where = []string{"--data", s.address}
	}
	db, err := store.Open(ctx, s.address)
	require.NoError(t, err)
	defer func() { require.NoError(t, db.Close()) }()
	service := practice.New(db, practice.Options{Random: storetest.Random(t)})
	demo, err := workshop.Demo()
	require.NoError(t, err)
	w, p, err := service.Begin(ctx, demo.Name, demo.Instructor, demo.Units)
	require.NoError(t, err)
	a := practice.Actor{ID: p.ID, Workshop: w.ID, Role: p.Role}
	lathe, err := service.AddLathe(ctx, a, "Lathe 2", demo.Lathes[1])
	require.NoError(t, err)
	class, err := service.AddClass(ctx, a, "Long evening")
	require.NoError(t, err)
	var names []string
	for i := range streamLearners {
		names = append(names, fmt.Sprintf("Learner %d", i+1))
	}
	learners, err := service.AddLearners(ctx, a, class.ID, practice.Adding{Names: names})
	require.NoError(t, err)
	of := map[string]*sending{}
	for _, l := range learners {
		token, _, err := service.Join(ctx, class.JoiningCode, l.ID, "4711")
		require.NoError(t, err)
		of[l.ID] = &sending{token: token}
		s.senders = append(s.senders, of[l.ID])
	}
	total := 0
	for i := range streamSets {
		_, variants, err := service.BuildSet(ctx, a, class.ID, curriculum.SetSpec{
			Title: fmt.Sprintf("Set %d", i+1), Skills: []string{"lead"}, Count: practice.MaxCount, Lathe: lathe.ID, Units: "mm",
		})
		require.NoError(t, err)
		for _, v := range variants {
			s.variants = append(s.variants, v.Code)
			for n := range practice.MaxCount * 3 { // three tries at each
				if total < streamAnswers {
					to := of[v.Learner]
					to.answers = append(to.answers, sentAnswer{id: uuid.NewString(), code: v.Code, position: n/3 + 1})
					total++
				}
			}
		}
	}
	require.Equal(t, streamAnswers, total)
	return s
}

// send sends until all is acknowledged or the server is gone.
func (s *sending) send(base string, acknowledged *atomic.Int64) error {
	client := &http.Client{Transport: &http.Transport{}}
	defer client.CloseIdleConnections()
	for s.next < len(s.answers) {
		a := s.answers[s.next]
		body := fmt.Sprintf(`{"id": %q, "position": %d, "answers": {"a": "987654.3 mm"}}`, a.id, a.position)
		r, err := http.NewRequest(http.MethodPost, base+"/v1/sheets/"+a.code+"/answers", bytes.NewBufferString(body))
		if err != nil {
			return err
		}
		r.Header.Set("Authorization", "Bearer "+s.token)
		r.Header.Set("Content-Type", "application/json")
		res, err := client.Do(r)
		if err != nil {
			return nil // the server is gone
		}
		var said bytes.Buffer
		_, readErr := said.ReadFrom(res.Body)
		_ = res.Body.Close()
		if res.StatusCode != http.StatusCreated {
			return fmt.Errorf("answer %s: %s: %s", a.id, res.Status, said.String())
		}
		if readErr != nil {
			return nil // cut off in the middle of the acknowledgement
		}
		s.acked = append(s.acked, a.id)
		s.next++
		acknowledged.Add(1)
	}
	return nil
}

// kept counts the attempts in the database by id; the server is down.
func (s *stream) kept(t *testing.T) map[string]int {
	t.Helper()
	db, err := store.OpenExisting(t.Context(), s.address)
	require.NoError(t, err)
	defer func() { require.NoError(t, db.Close()) }()
	seen := map[string]int{}
	for _, code := range s.variants {
		as, err := db.Attempts(t.Context(), code)
		require.NoError(t, err)
		for _, a := range as {
			seen[a.ID]++
		}
	}
	return seen
}

func (s *stream) acked() (ids []string) {
	for _, x := range s.senders {
		ids = append(ids, x.acked...)
	}
	return ids
}

// result is what one stream came to.
type result struct{ answers, kills, unacknowledged, lost, twice int }

// run sends the whole stream with kills at random places.
func (s *stream) run(t *testing.T) result {
	t.Helper()
	r := result{answers: streamAnswers}
	var acknowledged atomic.Int64
	for kill := range streamKills + 1 {
		p := startProcess(t, s.where)
		stop := make(chan struct{})
		var killed sync.WaitGroup
		if kill < streamKills {
			// Somewhere in this part of the stream.
			part := int64(streamAnswers / (streamKills + 1))
			at := part*int64(kill) + part/4 + rand.Int64N(part/2)
			killed.Go(func() {
				for acknowledged.Load() < at {
					select {
					case <-stop:
						return
					case <-time.After(time.Millisecond):
					}
				}
				p.kill()
			})
		}
		var wait sync.WaitGroup
		for _, x := range s.senders {
			wait.Go(func() { assert.NoError(t, x.send(p.base, &acknowledged)) })
		}
		wait.Wait()
		close(stop)
		killed.Wait()
		p.kill()
		if t.Failed() {
			return r
		}
		seen := s.kept(t)
		for _, id := range s.acked() {
			if seen[id] == 0 {
				r.lost++
			}
			delete(seen, id)
		}
		r.unacknowledged += len(seen) // kept, and the sender was never told
		if kill < streamKills {
			r.kills++
		}
	}
	seen := s.kept(t)
	for _, x := range s.senders {
		for _, a := range x.answers {
			switch n := seen[a.id]; {
			case n == 0:
				r.lost++
			case n > 1:
				r.twice++
			}
			delete(seen, a.id)
		}
	}
	assert.Empty(t, seen, "attempts that nobody sent")
	db := storetest.OpenAddress(t, s.address)
	report, err := db.Check(context.Background(), mastery.Fold)
	require.NoError(t, err)
	assert.Empty(t, report.Faults)
	for _, code := range s.variants[:1] {
		as, err := db.Attempts(t.Context(), code)
		require.NoError(t, err)
		tries := map[int]int{}
		for _, a := range as {
			tries[a.Position] = max(tries[a.Position], a.Try)
		}
		for position, n := range tries {
			assert.Equal(t, 3, n, "exercise %d: tries are counted once each", position)
		}
	}
	return r
}

// TestKilledServerLosesNothing kills the program itself in the middle of 10,000
// answers, on both engines: every acknowledged answer is there, none twice.
func TestKilledServerLosesNothing(t *testing.T) {
	for _, engine := range []string{"sqlite", "postgres"} {
		t.Run(engine, func(t *testing.T) {
			begun := time.Now()
			var sum result
			for range *killStreams {
				r := newStream(t, engine).run(t)
				sum.answers += r.answers
				sum.kills += r.kills
				sum.unacknowledged += r.unacknowledged
				sum.lost += r.lost
				sum.twice += r.twice
				if t.Failed() {
					break
				}
			}
			assert.Zero(t, sum.lost, "acknowledged answers that are not there")
			assert.Zero(t, sum.twice, "answers that are there twice")
			t.Logf("%s: %d answers, %d kills, %d kept without an acknowledgement, %d lost, %d twice, %.0f s",
				engine, sum.answers, sum.kills, sum.unacknowledged, sum.lost, sum.twice, time.Since(begun).Seconds())
			if *killRecord {
				sum.record(t, engine, time.Since(begun))
			}
		})
	}
}

// record adds a line to the kept results, a failed one as well.
func (r result) record(t *testing.T, engine string, took time.Duration) {
	t.Helper()
	f, err := os.OpenFile("../../testdata/kill-proof.csv", os.O_APPEND|os.O_WRONLY|os.O_CREATE, 0o644)
	require.NoError(t, err)
	defer func() { require.NoError(t, f.Close()) }()
	info, err := f.Stat()
	require.NoError(t, err)
	w := csv.NewWriter(f)
	if info.Size() == 0 {
		require.NoError(t, w.Write([]string{"date", "engine", "answers", "kills", "kept_unacknowledged", "lost", "twice", "seconds"}))
	}
	row := []string{time.Now().UTC().Format(time.DateOnly), engine}
	for _, n := range []int{r.answers, r.kills, r.unacknowledged, r.lost, r.twice, int(took.Seconds())} {
		row = append(row, strconv.Itoa(n))
	}
	require.NoError(t, w.Write(row))
	w.Flush()
	require.NoError(t, w.Error())
}
