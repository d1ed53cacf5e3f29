package whole

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func names(t *testing.T, dir string) string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, e := range entries {
		out = append(out, e.Name())
	}
	return strings.Join(out, " ")
}

func TestFileIsReplacedInOneStep(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.txt")
	for _, text := range []string{"one", "two"} {
		if err := WriteFile(path, []byte(text)); err != nil {
			t.Fatal(err)
		}
		if b, err := os.ReadFile(path); err != nil || string(b) != text {
			t.Errorf("read %q, %v, want %q", b, err, text)
		}
	}
	if err := WriteFile(filepath.Join(dir, "none", "a.txt"), nil); !errors.Is(err, os.ErrNotExist) || strings.Contains(err.Error(), ".lapwright-") {
		t.Errorf("a folder that is not there gave %v", err)
	}
	if err := WriteFile(dir, nil); err == nil || !strings.Contains(err.Error(), "is a folder") {
		t.Errorf("a folder in the file's place gave %v", err)
	}
	if got := names(t, dir); got != "a.txt" {
		t.Errorf("left %q", got)
	}
	if err := WriteFile("/dev/null", []byte("x")); err != nil {
		t.Errorf("a device gave %v", err)
	}
}

func TestFolder(t *testing.T) {
	dir := t.TempDir()
	place := filepath.Join(dir, "out")
	f, err := NewFolder(place, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, bad := range []string{"../x", "/x", "a/../../x", ""} {
		if err := f.Write(bad, nil); err == nil {
			t.Errorf("%q was written", bad)
		}
	}
	if err := errors.Join(f.Write("a/b.txt", []byte("x")), f.Write("c.txt", nil)); err != nil {
		t.Fatal(err)
	}
	if err := f.Write("c.txt", nil); !errors.Is(err, os.ErrExist) {
		t.Errorf("the same file twice gave %v", err)
	}
	if _, err := os.Stat(place); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the folder is in its place before Keep: %v", err)
	}
	if err := f.Keep(); err != nil {
		t.Fatal(err)
	}
	f.Abandon()
	if got := names(t, place); got != "a c.txt" {
		t.Errorf("the folder holds %q", got)
	}
	if _, err := NewFolder(place, nil); err == nil {
		t.Error("a full folder was taken")
	}
	if _, err := NewFolder(filepath.Join(place, "c.txt"), nil); err == nil {
		t.Error("a file was taken for a folder")
	}
	again, err := NewFolder(place, func(string) bool { return true })
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(again.Write("d.txt", nil), again.Keep()); err != nil {
		t.Fatal(err)
	}
	if got := names(t, place); got != "d.txt" {
		t.Errorf("the folder holds %q after it was replaced", got)
	}
	if err := again.Keep(); err == nil {
		t.Error("a folder was kept twice")
	}
	if got := names(t, dir); got != "out" {
		t.Errorf("left %q", got)
	}
}

func TestAbandonedAndSweptFoldersLeaveNothing(t *testing.T) {
	dir := t.TempDir()
	for _, end := range []func(*Folder){(*Folder).Abandon, func(*Folder) { Sweep() }} {
		f, err := NewFolder(filepath.Join(dir, "out"), nil)
		if err != nil {
			t.Fatal(err)
		}
		if err := f.Write("a", nil); err != nil {
			t.Fatal(err)
		}
		end(f)
		if got := names(t, dir); got != "" {
			t.Errorf("left %q", got)
		}
	}
}

// TestPlaceTakenMeanwhile fills the place while the folder is being built.
func TestPlaceTakenMeanwhile(t *testing.T) {
	dir := t.TempDir()
	place := filepath.Join(dir, "out")
	f, err := NewFolder(place, nil)
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(os.Mkdir(place, 0o755), os.WriteFile(filepath.Join(place, "theirs"), nil, 0o600)); err != nil {
		t.Fatal(err)
	}
	if err := f.Keep(); err == nil {
		t.Error("somebody's folder was replaced")
	}
	if names(t, dir) != "out" || names(t, place) != "theirs" {
		t.Errorf("left %q and %q", names(t, dir), names(t, place))
	}
}
