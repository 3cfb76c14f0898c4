package worksheets

import (
	"io"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What fails leaves the old file as it was and nothing beside it: a sheet that cannot be printed, a writer that fails
// in the middle of a pack, a directory that is not there.
func TestFailedFilesLeaveNothing(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	path := filepath.Join(dir, "sheet.pdf")
	require.NoError(t, os.WriteFile(path, []byte("old"), 0o600))
	doc := sampleDocument(t)
	require.ErrorIs(t, writeFile(path, func(w io.Writer) error {
		if _, err := io.WriteString(w, "half"); err != nil {
			return err
		}
		return errFull
	}), errFull)
	require.ErrorIs(t, WriteFile(path, Document{}), ErrEmpty)
	require.ErrorIs(t, WriteZipFile(path, []PackFile{{"a.pdf", doc}, {"b.pdf", Document{}}}), ErrEmpty)
	require.ErrorIs(t, WriteFile(filepath.Join(dir, "none", "sheet.pdf"), doc), os.ErrNotExist)
	kept, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, "old", string(kept))
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, left, 1)
}

// A full disk, as the system makes one: the error is the disk's, and the device stays what it is.
func TestFullDisk(t *testing.T) {
	t.Parallel()
	const full = "/dev/full"
	info, err := os.Stat(full)
	if err != nil || info.Mode()&os.ModeDevice == 0 {
		t.Skip("this system has no /dev/full")
	}
	doc := sampleDocument(t)
	require.ErrorIs(t, WriteFile(full, doc), syscall.ENOSPC)
	require.ErrorIs(t, WriteZipFile(full, []PackFile{{"a.pdf", doc}}), syscall.ENOSPC)
	after, err := os.Stat(full)
	require.NoError(t, err)
	assert.Equal(t, info.Mode(), after.Mode())
	assert.NotZero(t, after.Mode()&os.ModeDevice)
}
