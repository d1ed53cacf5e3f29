package whole

import (
	"errors"
	"io"
	"os"
	"strings"
)

// Lock is a file that this process alone holds. It is let go when the process
// ends, however it ends, so that a lock is never stale.
type Lock struct{ f *os.File }

// maxNote is the longest note a lock carries, in bytes.
const maxNote = 1000

// TakeLock takes the lock at path, making its file, for its owner only. When
// another holds it the lock is nil and the note is what that one wrote.
func TakeLock(path string) (l *Lock, note string, err error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, "", plain("locked", path, err)
	}
	mine, err := here.Lock(f)
	if err == nil && mine {
		// What a process that was killed left there is not true any more.
		if err = f.Truncate(0); err == nil {
			return &Lock{f}, "", nil
		}
	}
	if err == nil {
		var b []byte
		b, err = io.ReadAll(io.LimitReader(f, maxNote))
		note = strings.TrimSpace(string(b))
	}
	return nil, note, plain("locked", path, errors.Join(err, f.Close()))
}

// Note writes what others are told while the lock is held.
func (l *Lock) Note(text string) error {
	_, err := l.f.WriteAt([]byte(text), 0)
	return plain("written", l.f.Name(), err)
}

// Free lets the lock go. Its file stays: removing it would let two others each
// hold a lock of that name.
func (l *Lock) Free() error { return errors.Join(l.f.Truncate(0), l.f.Close()) }

// Held remembers which file lies at a path.
type Held struct {
	path string
	info os.FileInfo
}

// Hold looks at the file that lies at a path now.
func Hold(path string) (*Held, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, plain("looked at", path, err)
	}
	return &Held{path, info}, nil
}

// Still reports whether the same file lies there: neither removed nor replaced.
func (h *Held) Still() bool {
	info, err := os.Stat(h.path)
	return err == nil && os.SameFile(info, h.info)
}
