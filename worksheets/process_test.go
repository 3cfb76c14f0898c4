package worksheets

import (
	"bytes"
	"compress/zlib"
	"crypto/sha256"
	"fmt"
	"io"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestMain lets tests run themselves as another process: what it does stands in the environment.
func TestMain(m *testing.M) {
	var err error
	switch os.Getenv("WORKSHEETS_TEST_PROCESS") {
	case "":
		os.Exit(m.Run())
	case "pack":
		err = eachLearner(func(name string, pdf []byte) { fmt.Printf("%x %s\n", sha256.Sum256(pdf), name) })
	case "full":
		err = writeToFullDisk(os.Getenv("WORKSHEETS_TEST_PATH"))
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// process runs the tests' own program as another process.
func process(t *testing.T, what string, env ...string) (out, errors string, err error) {
	t.Helper()
	c := exec.Command(os.Args[0])
	c.Env = append(append(os.Environ(), "WORKSHEETS_TEST_PROCESS="+what), env...)
	var stdout, stderr bytes.Buffer
	c.Stdout, c.Stderr = &stdout, &stderr
	err = c.Run()
	return stdout.String(), stderr.String(), err
}

var sampleNames = []string{"Šárka Nguyễn", "Bartholomäus Žižková", "Ярослав Ґ.", "Ana"}

func writeSample(w io.Writer, name string) error {
	pages, err := Compose(sampleSheet(NewStyle(A4, Options{}), name))
	if err != nil {
		return err
	}
	return Write(w, Document{Title: "Sheets of " + name, Pages: pages})
}

// eachLearner makes the sheets of the sample's learners one after the other.
func eachLearner(f func(name string, pdf []byte)) error {
	for _, name := range sampleNames {
		var b bytes.Buffer
		if err := writeSample(&b, name); err != nil {
			return err
		}
		f(name, b.Bytes())
	}
	return nil
}

// A sheet has the same bytes whoever's was printed before it, however many are made at once, and in another process.
func TestSameBytesHoweverTheyAreMade(t *testing.T) {
	t.Parallel()
	want := map[string][]byte{}
	require.NoError(t, eachLearner(func(name string, pdf []byte) { want[name] = pdf }))
	for _, workers := range []int{1, 2, 8} {
		jobs := make(chan string)
		var wg sync.WaitGroup
		for range workers {
			wg.Go(func() {
				for name := range jobs {
					var b bytes.Buffer
					if assert.NoError(t, writeSample(&b, name)) {
						assert.True(t, bytes.Equal(want[name], b.Bytes()), "%s, %d workers", name, workers)
					}
				}
			})
		}
		for i := range 3 * len(sampleNames) { // in another order, and again in other company
			jobs <- sampleNames[i*3%len(sampleNames)]
		}
		close(jobs)
		wg.Wait()
	}
	var all strings.Builder
	for _, name := range sampleNames {
		fmt.Fprintf(&all, "%x %s\n", sha256.Sum256(want[name]), name)
	}
	for _, procs := range []string{"1", "4"} {
		out, errors, err := process(t, "pack", "GOMAXPROCS="+procs)
		require.NoError(t, err, errors)
		assert.Equal(t, all.String(), out)
	}
}

var streamLength = regexp.MustCompile(`/Length \d+`)

// inflated returns a file with its streams decompressed and without what depends on how they were packed.
func inflated(t *testing.T, pdf []byte) []byte {
	t.Helper()
	head, objects, err := split(pdf)
	require.NoError(t, err)
	out := bytes.Clone(head)
	for _, o := range objects {
		dictionary, stream, ok := bytes.Cut(o, []byte("\nstream\n"))
		out = append(out, streamLength.ReplaceAll(dictionary, nil)...)
		if !ok {
			continue
		}
		r, err := zlib.NewReader(bytes.NewReader(stream))
		require.NoError(t, err)
		text, err := io.ReadAll(r)
		require.NoError(t, err)
		out = append(append(out, '\n'), text...)
	}
	return out
}

// What the files hold, apart from how it is compressed, is the same for every release of Go: a release that changes it
// fails here. A changed layout does, too; then -update writes the sum anew.
func TestContentIsTheSameForEveryGo(t *testing.T) {
	t.Parallel()
	sum := sha256.New()
	require.NoError(t, eachLearner(func(_ string, pdf []byte) { sum.Write(inflated(t, pdf)) }))
	got := fmt.Sprintf("%x\n", sum.Sum(nil))
	path := filepath.Join("testdata", "content.sha256")
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(want), got)
}

// fileRoom is less than a sheet needs.
const fileRoom = 8192

// writeToFullDisk writes a sheet and a pack where a file may not grow, which the system refuses as it does on a full disk.
func writeToFullDisk(path string) error {
	signal.Ignore(syscall.SIGXFSZ)
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: fileRoom, Max: fileRoom}); err != nil {
		return err
	}
	pages, err := Compose(sampleSheet(NewStyle(A4, Options{}), "Ana"))
	if err != nil {
		return err
	}
	doc := Document{Title: "Ana", Pages: pages}
	fmt.Println(WriteFile(path, doc))
	fmt.Println(WriteZipFile(path, []PackFile{{"a.pdf", doc}, {"b.pdf", doc}}))
	return nil
}

// A disk that fills up in the middle of a file: the error says so, the old file stands, and no piece of the new one.
func TestDiskFillsUp(t *testing.T) {
	t.Parallel()
	var whole bytes.Buffer
	require.NoError(t, writeSample(&whole, "Ana"))
	require.Greater(t, whole.Len(), fileRoom)
	dir := t.TempDir()
	path := filepath.Join(dir, "sheet.pdf")
	for _, old := range []string{"", "old"} {
		if old != "" {
			require.NoError(t, os.WriteFile(path, []byte(old), 0o600))
		}
		out, errors, err := process(t, "full", "WORKSHEETS_TEST_PATH="+path)
		require.NoError(t, err, errors)
		said := strings.Split(strings.TrimSpace(out), "\n")
		require.Len(t, said, 2)
		for _, line := range said {
			assert.Contains(t, line, syscall.EFBIG.Error())
		}
		left, err := os.ReadDir(dir)
		require.NoError(t, err)
		if old == "" {
			assert.Empty(t, left)
			continue
		}
		require.Len(t, left, 1)
		kept, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.Equal(t, old, string(kept))
	}
}
