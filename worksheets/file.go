package worksheets

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// WriteFile writes the document as a PDF file. It writes to a temporary file in the same directory and renames it,
// so that path holds either the whole new file or what it held before. A device or pipe is written to as it is.
func WriteFile(path string, doc Document) error {
	return writeFile(path, func(w io.Writer) error { return Write(w, doc) })
}

func writeFile(path string, write func(io.Writer) error) (err error) {
	if info, err := os.Stat(path); err == nil && !info.Mode().IsRegular() && !info.IsDir() {
		return writeDevice(path, write)
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".sheet-*.tmp")
	if err != nil {
		return fmt.Errorf("write file: %w", err)
	}
	defer func() {
		if err != nil {
			_ = f.Close() // the first error counts; a second Close is harmless
			_ = os.Remove(f.Name())
		}
	}()
	if err := write(f); err != nil {
		return err
	}
	if err := f.Chmod(0o644); err != nil {
		return fmt.Errorf("write file: %w", err)
	}
	if err := f.Close(); err != nil {
		return fmt.Errorf("write file: %w", err)
	}
	if err := os.Rename(f.Name(), path); err != nil {
		return fmt.Errorf("write file: %w", err)
	}
	return nil
}

// writeDevice writes to what is no file, such as /dev/stdout, and must not be replaced by one.
func writeDevice(path string, write func(io.Writer) error) error {
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return fmt.Errorf("write file: %w", err)
	}
	if err := write(f); err != nil {
		_ = f.Close() // the first error counts
		return fmt.Errorf("write file: %w", err)
	}
	if err := f.Close(); err != nil {
		return fmt.Errorf("write file: %w", err)
	}
	return nil
}
