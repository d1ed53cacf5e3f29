package whole

import (
	"bufio"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// Private is the mode of a file that only its owner may read.
const Private fs.FileMode = 0o600

// File is a file being built. Exactly one of Keep and Abandon ends it; Abandon
// after Keep does nothing, so it can be deferred.
type File struct {
	name  string // as it was asked for
	place string // where it goes, links followed
	f     *os.File
	out   *bufio.Writer
	mode  fs.FileMode // to be set in the end; 0 leaves what the umask gave
	done  bool
}

// NewFile begins a file that Keep will put at path in one step. Through a link
// the file that it leads to is written. A mode of 0 stands for the mode of the
// file that is there, or for what the user's umask gives a new one.
//
// A device or pipe, which cannot be renamed over, is written to directly.
func NewFile(path string, mode fs.FileMode) (*File, error) {
	if path == "" {
		return nil, &Trouble{Say: "the file to write has an empty name", Misnamed: true}
	}
	place, err := target(path)
	if err != nil {
		return nil, plain("written", path, err)
	}
	w := &File{name: path, place: place, mode: mode}
	info, err := os.Stat(place)
	switch {
	case err == nil && info.IsDir():
		return nil, misnamed("%q is a folder; name a file", path)
	case err == nil && !info.Mode().IsRegular():
		w.f, err = os.OpenFile(place, os.O_WRONLY, 0)
		w.place = ""
	default:
		if err == nil && mode == 0 {
			w.mode = info.Mode().Perm()
		}
		if mode == 0 {
			mode = 0o666
		}
		w.f, err = os.OpenFile(beside(place), os.O_CREATE|os.O_EXCL|os.O_RDWR, mode)
	}
	if err != nil {
		return nil, plain("written", path, err)
	}
	if w.place != "" {
		building.Store(w.f.Name(), nil)
	}
	w.out = bufio.NewWriterSize(w.f, 64<<10)
	return w, nil
}

// beside returns a name for what is being built for a place, in the same folder.
func beside(place string) string {
	var b [6]byte
	rand.Read(b[:])
	return filepath.Join(filepath.Dir(place), ".lapwright-"+hex.EncodeToString(b[:]))
}

// maxLinks is how many links lead on from one another at most.
const maxLinks = 40

// target follows a link to where it leads, whether anything is there or not.
func target(path string) (string, error) {
	for range maxLinks {
		info, err := os.Lstat(path)
		if err != nil || info.Mode()&fs.ModeSymlink == 0 {
			return path, nil // what is wrong with it is said when it is written
		}
		to, err := os.Readlink(path)
		if err != nil {
			return "", err
		}
		if !filepath.IsAbs(to) {
			to = filepath.Join(filepath.Dir(path), to)
		}
		path = to
	}
	return "", errors.New("its links lead round in a circle")
}

// Write adds to the file.
func (w *File) Write(b []byte) (int, error) {
	n, err := w.out.Write(b)
	return n, plain("written", w.name, err)
}

// WriteAt writes over what is in the file already, as io.WriterAt does. Into a device or pipe
// it can't: errors.ErrUnsupported.
func (w *File) WriteAt(b []byte, at int64) (int, error) {
	if w.place == "" {
		return 0, errors.ErrUnsupported
	}
	if err := w.out.Flush(); err != nil {
		return 0, plain("written", w.name, err)
	}
	n, err := w.f.WriteAt(b, at)
	return n, plain("written", w.name, err)
}

// Keep puts the file in its place.
func (w *File) Keep() error {
	if w.done {
		return errors.New("the file was ended before")
	}
	defer w.Abandon()
	if err := w.out.Flush(); err != nil {
		return plain("written", w.name, err)
	}
	if w.place == "" {
		w.done = true
		return plain("written", w.name, w.f.Close())
	}
	err := w.f.Sync()
	if w.mode != 0 {
		err = errors.Join(err, w.f.Chmod(w.mode))
	}
	if err = errors.Join(err, w.f.Close()); err != nil {
		return plain("written", w.name, err)
	}
	if err := here.Rename(w.f.Name(), w.place); err != nil {
		return plain("written", w.name, err)
	}
	w.done = true
	building.Delete(w.f.Name())
	syncFolder(filepath.Dir(w.place))
	return nil
}

// Abandon removes what was built, unless Keep has put it in its place.
func (w *File) Abandon() {
	if w.done {
		return
	}
	w.done = true
	w.f.Close()
	if w.place != "" {
		os.Remove(w.f.Name())
		building.Delete(w.f.Name())
	}
}

// WriteFile puts b at path in one step, as NewFile does.
func WriteFile(path string, b []byte) error {
	w, err := NewFile(path, 0)
	if err != nil {
		return err
	}
	defer w.Abandon()
	if _, err := w.Write(b); err != nil {
		return err
	}
	return w.Keep()
}

// Building returns the path of the file under construction, which is there and
// empty until it is written to: for who must write it by name.
func (w *File) Building() string { return w.f.Name() }
