package whole

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// windowsLike plays Windows: its error numbers, and that a folder in which a
// file is open does not move.
type windowsLike struct {
	native
	open map[string]bool // files that another program has open
}

func (w windowsLike) Reason(number uintptr) Reason { return windowsReason(number) }

func (w windowsLike) Rename(from, to string) error {
	for path := range w.open {
		if path == from || path == to || Within(path, from) {
			// ERROR_ACCESS_DENIED for a folder, ERROR_SHARING_VIOLATION for a file.
			number := syscall.Errno(5)
			if path == from || path == to {
				number = 32
			}
			return &os.LinkError{Op: "rename", Old: from, New: to, Err: number}
		}
	}
	return os.Rename(from, to)
}

func play(t *testing.T, s system) {
	before := here
	here = s
	t.Cleanup(func() { here = before })
}

func TestOpenFileInALessonOnWindows(t *testing.T) {
	dir := t.TempDir()
	place := filepath.Join(dir, "lesson")
	make := func(text string) error {
		f, err := NewFolder(place, func(string) bool { return true })
		if err != nil {
			t.Fatal(err)
		}
		defer f.Abandon()
		return errors.Join(f.Write("sheet.pdf", []byte(text)), f.Keep())
	}
	if err := make("old"); err != nil {
		t.Fatal(err)
	}
	play(t, windowsLike{open: map[string]bool{filepath.Join(place, "sheet.pdf"): true}})
	var trouble *Trouble
	if err := make("new"); !errors.As(err, &trouble) || !trouble.Misnamed || !strings.Contains(err.Error(), "open in another program") {
		t.Errorf("an open file in the folder gave %v", err)
	}
	if b, err := os.ReadFile(filepath.Join(place, "sheet.pdf")); err != nil || string(b) != "old" {
		t.Errorf("the old lesson holds %q, %v", b, err)
	}
	single := filepath.Join(dir, "a.txt")
	if err := WriteFile(single, []byte("old")); err != nil {
		t.Fatal(err)
	}
	play(t, windowsLike{open: map[string]bool{single: true}})
	if err := WriteFile(single, []byte("new")); !errors.As(err, &trouble) || !trouble.Misnamed || !strings.Contains(err.Error(), "another program has it open") {
		t.Errorf("an open file gave %v", err)
	}
	if got := names(t, dir); got != "a.txt lesson" {
		t.Errorf("left %q", got)
	}
}

// TestErrorNumbersOfWindows: the same trouble gets the same words there.
func TestErrorNumbersOfWindows(t *testing.T) {
	play(t, windowsLike{})
	for number, want := range map[syscall.Errno]string{
		5: "nothing may be written there", 19: "nothing may be written there", 112: "the disk is full", 39: "the disk is full",
		206: "the name is too long", 267: "a part of that path is a file", 32: "another program has it open",
	} {
		err := plain("written", filepath.Join(t.TempDir(), "x"), &os.PathError{Op: "open", Path: "x", Err: number})
		if !strings.Contains(err.Error(), want) {
			t.Errorf("error %d gave %v, want %q", number, err, want)
		}
	}
	for number, want := range map[syscall.Errno]Reason{10048: AddressTaken, 109: Hung, 232: Hung, 2: Missing, 9999: Unknown} {
		if got := Why(&os.SyscallError{Syscall: "x", Err: number}); got != want {
			t.Errorf("error %d is reason %d, want %d", number, got, want)
		}
	}
}

func TestLockIsHeldByOneAndNeverStale(t *testing.T) {
	path := filepath.Join(t.TempDir(), "serving")
	// What a killed process left counts for nothing.
	if err := os.WriteFile(path, []byte("http://long.gone/ and a long way away"), 0o600); err != nil {
		t.Fatal(err)
	}
	first, _, err := TakeLock(path)
	if err != nil || first == nil {
		t.Fatalf("a stale lock gave %v, %v", first, err)
	}
	for _, note := range []string{"", "http://127.0.0.1:1/"} {
		if err := first.Note(note); err != nil {
			t.Fatal(err)
		}
		if second, got, err := TakeLock(path); second != nil || got != note || err != nil {
			t.Errorf("a lock that is held gave %v, %q, %v; want the note %q", second, got, err, note)
		}
	}
	if err := first.Free(); err != nil {
		t.Fatal(err)
	}
	again, _, err := TakeLock(path)
	if err != nil || again == nil {
		t.Fatalf("a freed lock gave %v, %v", again, err)
	}
	again.Free()
}

func TestHeldFileIsMissed(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a")
	put := func() {
		if err := os.WriteFile(path, nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	put()
	h, err := Hold(path)
	if err != nil || !h.Still() {
		t.Fatalf("held: %v", err)
	}
	if err := os.Rename(path, path+".away"); err != nil || h.Still() {
		t.Errorf("a file that went is still there (%v)", err)
	}
	put()
	if h.Still() {
		t.Error("another file passes for the one that was held")
	}
}
