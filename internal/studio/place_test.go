package studio

import (
	"context"
	"database/sql"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

func write(t *testing.T, path string, b []byte) {
	t.Helper()
	if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o700), os.WriteFile(path, b, 0o600)); err != nil {
		t.Fatal(err)
	}
}

// TestSavesIntoAFileThatIsGoneFail: a save that goes into a file which is
// removed, or which another has replaced, is never acknowledged.
func TestSavesIntoAFileThatIsGoneFail(t *testing.T) {
	ctx := context.Background()
	for name, away := range map[string]func(t *testing.T, dir string){
		"the folder removed": func(t *testing.T, dir string) {
			if err := os.RemoveAll(dir); err != nil {
				t.Fatal(err)
			}
		},
		"the folder moved": func(t *testing.T, dir string) {
			if err := os.Rename(dir, dir+"-old"); err != nil {
				t.Fatal(err)
			}
		},
		"the file replaced by a copy": func(t *testing.T, dir string) {
			b, err := os.ReadFile(filepath.Join(dir, FileName))
			if err != nil {
				t.Fatal(err)
			}
			write(t, filepath.Join(dir, "new"), b)
			if err := os.Rename(filepath.Join(dir, "new"), filepath.Join(dir, FileName)); err != nil {
				t.Fatal(err)
			}
		},
	} {
		dir := filepath.Join(t.TempDir(), "studio")
		s := open(t, dir)
		it := add(t, s, Tune, "a", "1")
		if _, err := s.CopyDaily(ctx); err != nil {
			t.Fatal(err)
		}
		s.now = func() time.Time { return time.Date(2027, 1, 1, 0, 0, 0, 0, time.UTC) }
		away(t, dir)
		for what, err := range map[string]error{
			"a save":    second(s.Save(ctx, it.ID, 1, Content{Title: "a", Body: "2"}, "written")),
			"a new one": second(s.Add(ctx, Tune, Content{Title: "b"}, false)),
			"trash":     s.Discard(ctx, it.ID), "a setting": s.Settings.Put(ctx, "a", "b"),
			"a copy": second(s.CopyDaily(ctx)), "an import": second(s.Import(ctx, strings.NewReader(""), 0)),
		} {
			var trouble *Trouble
			if !errors.As(err, &trouble) || !strings.Contains(err.Error(), "removed or replaced") {
				t.Errorf("%s: %s gave %v", name, what, err)
			}
		}
		if _, err := os.Stat(filepath.Join(dir, copiesFolder, "studio-2027-01-01.db")); err == nil {
			t.Errorf("%s: a copy of what is lost was made", name)
		}
	}
}

func second[T any](_ T, err error) error { return err }

// gone is a place from which the file goes at the second look: between the
// moment a save begins and the one at which it is acknowledged.
type gone struct{ looks int }

func (g *gone) Still() bool { g.looks++; return g.looks < 2 }

func TestFileThatGoesDuringASave(t *testing.T) {
	s := open(t, t.TempDir())
	it := add(t, s, Tune, "a", "1")
	g := &gone{}
	s.place = g
	if _, err := s.Save(context.Background(), it.ID, 1, Content{Title: "a", Body: "2"}, "written"); err == nil || g.looks != 2 {
		t.Errorf("a save was acknowledged (%v) after %d looks", err, g.looks)
	}
}

// TestNoStudioIsNotBegunByMistake: reading never begins a studio, and where one
// has been none is begun in its place.
func TestNoStudioIsNotBegunByMistake(t *testing.T) {
	ctx := context.Background()
	kept := t.TempDir()
	s := open(t, kept)
	add(t, s, Tune, "mine", "x")
	copied, err := s.CopyDaily(ctx)
	if err != nil {
		t.Fatal(err)
	}
	s.now = func() time.Time { return time.Date(2026, 4, 1, 0, 0, 0, 0, time.UTC) }
	newest, err := s.CopyDaily(ctx)
	if err != nil {
		t.Fatal(err)
	}
	good, err := os.ReadFile(copied)
	if err != nil {
		t.Fatal(err)
	}
	at := func(dir, name string) string { return filepath.Join(dir, copiesFolder, name) }
	for _, c := range []struct {
		name  string
		make  func(dir string)
		begin bool // whether Open may begin one
		copy  string
	}{
		{"nothing", func(string) {}, true, ""},
		{"an empty folder", func(dir string) { os.Mkdir(dir, 0o700) }, true, ""},
		{"an empty file", func(dir string) { write(t, filepath.Join(dir, FileName), nil) }, true, ""},
		{"a missing file beside a copy", func(dir string) { write(t, at(dir, "studio-2026-03-02.db"), good) }, false, "studio-2026-03-02.db"},
		{"an empty file beside copies, the newest bad", func(dir string) {
			write(t, filepath.Join(dir, FileName), nil)
			write(t, at(dir, "studio-2026-03-02.db"), good)
			write(t, at(dir, "studio-2026-03-03.db"), good)
			write(t, at(dir, "studio-2026-03-04.db"), good[:len(good)/2])
			write(t, at(dir, "studio-2026-03-05.db"), nil)
		}, false, "studio-2026-03-03.db"},
		{"a database without a studio beside a copy", func(dir string) {
			write(t, at(dir, "studio-2026-03-02.db"), good)
			db, err := sql.Open("sqlite", filepath.Join(dir, FileName))
			if err == nil {
				_, err = db.Exec("PRAGMA application_id = 7")
				db.Close()
			}
			if err != nil {
				t.Fatal(err)
			}
		}, false, "studio-2026-03-02.db"},
		{"a journal alone", func(dir string) { write(t, filepath.Join(dir, FileName+"-wal"), []byte("x")) }, false, ""},
	} {
		for _, begin := range []bool{false, true} {
			dir := filepath.Join(t.TempDir(), "data")
			c.make(dir)
			before := tree(t, dir)
			opened, err := openFolder(ctx, dir, ticking(), begin)
			if begin && c.begin {
				if err != nil {
					t.Errorf("%s: none was begun: %v", c.name, err)
				} else {
					opened.Close()
				}
				continue
			}
			var none *NoStudio
			if !errors.As(err, &none) || filepath.Base(none.Copy) != c.copy && (c.copy != "" || none.Copy != "") {
				t.Errorf("%s, begin %t: got %+v, %v; want the copy %q", c.name, begin, none, err, c.copy)
			}
			if after := tree(t, dir); !begin && after != before {
				t.Errorf("%s: it left %q, was %q", c.name, after, before)
			}
		}
	}
	// The studio is lost, and the newest copy put back.
	if err := errors.Join(s.Close(), os.Remove(filepath.Join(kept, FileName))); err != nil {
		t.Fatal(err)
	}
	_, err = Open(ctx, kept, ticking())
	var none *NoStudio
	if !errors.As(err, &none) || none.Copy != newest {
		t.Fatalf("the lost studio gave %v", err)
	}
	if aside, err := PutBack(ctx, kept, none.Copy, ticking()); err != nil || aside != "" {
		t.Fatalf("put back: %q, %v", aside, err)
	}
	again := open(t, kept)
	if l, err := again.List(ctx, Tune); err != nil || len(l) != 1 || l[0].Title != "mine" {
		t.Errorf("the copy brought %v, %v", l, err)
	}
	// Putting one back over a studio keeps that one, its journal written in.
	add(t, again, Tune, "later", "y")
	again.Close()
	aside, err := PutBack(ctx, kept, newest, ticking())
	if err != nil || aside == "" {
		t.Fatalf("put back: %q, %v", aside, err)
	}
	if got := told(t, aside, false); !strings.Contains(got, "later") {
		t.Errorf("what was there is kept as %s", got)
	}
	if l, err := open(t, kept).List(ctx, Tune); err != nil || len(l) != 1 {
		t.Errorf("the copy brought %v, %v", l, err)
	}
	if _, err := PutBack(ctx, kept, filepath.Join("testdata", "README.md"), ticking()); !errors.As(err, &none) {
		t.Errorf("what is no copy gave %v", err)
	}
}

func tree(t *testing.T, dir string) string {
	t.Helper()
	var out []string
	filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err == nil {
			out = append(out, path)
		}
		return nil
	})
	return strings.Join(out, " ")
}

// TestKeptFromOthers: in a folder that others may enter, nothing the studio
// keeps may be read by them; files of before are closed to them too.
func TestKeptFromOthers(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	if err := os.Chmod(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	s := open(t, dir)
	add(t, s, Tune, "a", "b")
	if _, err := s.CopyDaily(ctx); err != nil {
		t.Fatal(err)
	}
	z := exported(t, s)
	if _, err := s.Import(ctx, strings.NewReader(string(z)), int64(len(z))); err != nil {
		t.Fatal(err)
	}
	lock, err := Claim(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer lock.Free()
	look := func() {
		t.Helper()
		n := 0
		filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
			if err == nil && path != dir {
				if info, err := d.Info(); err != nil || info.Mode().Perm()&0o077 != 0 {
					t.Errorf("%s has mode %v (%v)", path, info.Mode(), err)
				}
				n++
			}
			return nil
		})
		if n < 5 {
			t.Errorf("only %d files were looked at", n)
		}
	}
	look()
	// As earlier versions left them.
	for _, name := range []string{FileName, FileName + "-wal", filepath.Join(copiesFolder, "studio-2026-03-02.db")} {
		if err := os.Chmod(filepath.Join(dir, name), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	open(t, dir)
	look()
	made := filepath.Join(t.TempDir(), "new")
	open(t, made)
	if info, err := os.Stat(made); err != nil || info.Mode().Perm() != 0o700 {
		t.Errorf("the folder was made with %v, %v", info.Mode(), err)
	}
}

func TestOneServesAFolder(t *testing.T) {
	dir := t.TempDir()
	first, err := Claim(dir)
	if err != nil {
		t.Fatal(err)
	}
	for note, want := range map[string]string{"": "another lapwright is working", "http://127.0.0.1:8417/": "at http://127.0.0.1:8417/"} {
		if err := first.Note(note); err != nil {
			t.Fatal(err)
		}
		var busy *Busy
		if lock, err := Claim(dir); lock != nil || !errors.As(err, &busy) || !strings.Contains(err.Error(), want) {
			t.Errorf("with the note %q a second got %v", note, err)
		}
		if note == "" {
			continue
		}
		if err := first.Free(); err != nil {
			t.Fatal(err)
		}
		if first, err = Claim(dir); err != nil {
			t.Fatal(err)
		}
	}
	first.Free()
}
