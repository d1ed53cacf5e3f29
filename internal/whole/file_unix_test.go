//go:build unix

package whole

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

func modeOf(t *testing.T, path string) os.FileMode {
	t.Helper()
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	return info.Mode().Perm()
}

// TestModesAreTheUsers: a new file and folder get what the user's umask says,
// and one that is replaced keeps its mode.
func TestModesAreTheUsers(t *testing.T) {
	defer syscall.Umask(syscall.Umask(0o027))
	dir := t.TempDir()
	path, place := filepath.Join(dir, "a.txt"), filepath.Join(dir, "out")
	if err := WriteFile(path, []byte("x")); err != nil {
		t.Fatal(err)
	}
	if got := modeOf(t, path); got != 0o640 {
		t.Errorf("a new file has mode %o, want 640 under umask 027", got)
	}
	if err := errors.Join(os.Chmod(path, 0o604), WriteFile(path, []byte("y"))); err != nil {
		t.Fatal(err)
	}
	if got := modeOf(t, path); got != 0o604 {
		t.Errorf("a replaced file has mode %o, want the 604 it had", got)
	}
	for _, want := range []os.FileMode{0o750, 0o701} {
		f, err := NewFolder(place, func(string) bool { return true })
		if err != nil {
			t.Fatal(err)
		}
		if err := errors.Join(f.Write("b/c.txt", nil), f.Keep()); err != nil {
			t.Fatal(err)
		}
		if got := modeOf(t, place); got != want {
			t.Errorf("the folder has mode %o, want %o", got, want)
		}
		if got := modeOf(t, filepath.Join(place, "b")); got != 0o750 {
			t.Errorf("a folder in it has mode %o, want 750", got)
		}
		if got := modeOf(t, filepath.Join(place, "b", "c.txt")); got != 0o640 {
			t.Errorf("a file in it has mode %o, want 640", got)
		}
		if err := os.Chmod(place, 0o701); err != nil {
			t.Fatal(err)
		}
	}
}

func TestLinksAreWrittenThrough(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	if err := errors.Join(os.Mkdir(at("real"), 0o755), os.WriteFile(at("real/a.txt"), []byte("old"), 0o644),
		os.Symlink("real/a.txt", at("link")), os.Symlink("link", at("second")), os.Symlink("real/new.txt", at("dangling")),
		os.Symlink("real/folder", at("dir")), os.Symlink("round", at("round"))); err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(WriteFile(at("second"), []byte("new")), WriteFile(at("dangling"), []byte("fresh"))); err != nil {
		t.Fatal(err)
	}
	f, err := NewFolder(at("dir"), nil)
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(f.Write("x", []byte("inside")), f.Keep()); err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]string{"real/a.txt": "new", "real/new.txt": "fresh", "real/folder/x": "inside"} {
		if b, err := os.ReadFile(at(name)); err != nil || string(b) != want {
			t.Errorf("%s holds %q, %v; want %q", name, b, err, want)
		}
	}
	for _, name := range []string{"link", "second", "dangling", "dir"} {
		if info, err := os.Lstat(at(name)); err != nil || info.Mode()&os.ModeSymlink == 0 {
			t.Errorf("%s is a link no more (%v)", name, err)
		}
	}
	if err := WriteFile(at("round"), nil); err == nil || !strings.Contains(err.Error(), "circle") {
		t.Errorf("a link that leads to itself gave %v", err)
	}
}

// TestOwnFolderIsNotReplaced: the folder one is in can't be moved away.
func TestOwnFolderIsNotReplaced(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	if err := os.Mkdir("in", 0o755); err != nil {
		t.Fatal(err)
	}
	t.Chdir(filepath.Join(dir, "in"))
	for _, path := range []string{".", "../in", dir} {
		_, err := NewFolder(path, func(string) bool { return true })
		var trouble *Trouble
		if !errors.As(err, &trouble) || !trouble.Misnamed || !strings.Contains(err.Error(), "you are in the folder") {
			t.Errorf("%q gave %v", path, err)
		}
	}
	if got := names(t, dir); got != "in" {
		t.Errorf("left %q", got)
	}
}
