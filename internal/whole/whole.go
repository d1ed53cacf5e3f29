package whole

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
)

// building holds the paths under construction in this process, for Sweep.
var building sync.Map

// Sweep removes everything this process was building. It is for the moment
// before an interrupted process ends.
func Sweep() {
	building.Range(func(path, _ any) bool {
		os.RemoveAll(path.(string))
		return true
	})
}

// Folder is a folder being built. Exactly one of Keep and Abandon ends it;
// Abandon after Keep does nothing, so it can be deferred.
type Folder struct {
	place, temp string
	ours        func(dir string) bool
	done        bool
}

// NewFolder begins a folder that Keep will put at path. When something is at
// path already it must be an empty folder or one for which ours is true, such
// as one that an earlier run of the same command made; anything else is an
// error at once, before any work is done. A nil ours accepts only emptiness.
func NewFolder(path string, ours func(dir string) bool) (*Folder, error) {
	if path == "" {
		return nil, &Trouble{Say: "the folder to make has an empty name", Misnamed: true}
	}
	name := filepath.Clean(path)
	path, err := target(name)
	if err != nil {
		return nil, plain("made", name, err)
	}
	if err := replaceable(path, ours); err != nil {
		return nil, err
	}
	if at, err := os.Getwd(); err == nil && (truePath(at) == truePath(path) || Within(at, path)) {
		return nil, misnamed("you are in the folder %q, so it can't be replaced; name one in it, or go elsewhere first", name)
	}
	parent := filepath.Dir(path)
	if err := os.MkdirAll(parent, 0o777); err != nil {
		return nil, plain("made", parent, err)
	}
	temp := beside(path)
	if err := os.Mkdir(temp, 0o777); err != nil {
		return nil, plain("made", path, err)
	}
	building.Store(temp, nil)
	return &Folder{place: path, temp: temp, ours: ours}, nil
}

func replaceable(path string, ours func(string) bool) error {
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return plain("looked at", path, err)
	}
	if !info.IsDir() {
		return misnamed("%q is a file; name a folder", path)
	}
	entries, err := os.ReadDir(path)
	if err != nil {
		return plain("looked at", path, err)
	}
	if len(entries) == 0 || ours != nil && ours(path) {
		return nil
	}
	return misnamed("the folder %q holds other things; name a new or an empty one", path)
}

// Write puts a file at a path inside the folder, with forward slashes. A path
// that would leave the folder is an error.
func (f *Folder) Write(name string, b []byte) error {
	local := filepath.FromSlash(name)
	if !filepath.IsLocal(local) {
		return fmt.Errorf("%q is no path inside the folder", name)
	}
	path := filepath.Join(f.temp, local)
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		return plain("written", filepath.Join(f.place, local), err)
	}
	file, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o666)
	if err != nil {
		return plain("written", filepath.Join(f.place, local), err)
	}
	_, err = file.Write(b)
	return plain("written", filepath.Join(f.place, local), errors.Join(err, file.Sync(), file.Close()))
}

// Keep renames the folder into its place. An earlier folder there is moved
// aside first and removed last; if the new one can't take its place the earlier
// one is put back.
func (f *Folder) Keep() error {
	if f.done {
		return errors.New("the folder was ended before")
	}
	defer f.Abandon()
	if err := replaceable(f.place, f.ours); err != nil {
		return err
	}
	if info, err := os.Stat(f.place); err == nil {
		if err := os.Chmod(f.temp, info.Mode().Perm()); err != nil {
			return plain("finished", f.place, err)
		}
	}
	old := f.temp + ".old"
	err := here.Rename(f.place, old)
	had := err == nil
	switch reason := Why(err); {
	case had || reason == Missing:
	case reason == InUse || reason == Denied:
		// Windows does not move a folder in which a file is open.
		return &Trouble{Say: fmt.Sprintf("%q can't be replaced: a file in it is open in another program; close it there and try again", f.place), Misnamed: true, Err: err}
	default:
		return plain("replaced", f.place, err)
	}
	if err := here.Rename(f.temp, f.place); err != nil {
		if had {
			err = errors.Join(err, here.Rename(old, f.place))
		}
		return plain("finished", f.place, err)
	}
	f.done = true
	building.Delete(f.temp)
	if had {
		if err := os.RemoveAll(old); err != nil {
			return plain("removed", old, err)
		}
	}
	syncFolder(filepath.Dir(f.place))
	return nil
}

// Abandon removes what was built, unless Keep has put it in its place.
func (f *Folder) Abandon() {
	if !f.done {
		f.done = true
		os.RemoveAll(f.temp)
		building.Delete(f.temp)
	}
}

// syncFolder flushes a rename. Systems that cannot flush a folder are not at
// fault for it.
func syncFolder(dir string) {
	if d, err := os.Open(dir); err == nil {
		d.Sync()
		d.Close()
	}
}

// MayBeFolder fails when a path where a folder is wanted names a file.
func MayBeFolder(path string) error {
	if info, err := os.Stat(path); err == nil && !info.IsDir() {
		return misnamed("%q is a file; name a folder", path)
	}
	return nil
}

// MakeFolder makes a folder that only its owner may enter, and those above it,
// unless it is there.
func MakeFolder(path string) error {
	if err := MayBeFolder(path); err != nil {
		return err
	}
	return plain("made", path, os.MkdirAll(path, 0o700))
}
