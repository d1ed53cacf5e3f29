package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// The same files give the same bytes, whatever order, time or owner they have on
// disk; what is unpacked is what was packed, with the mode and the time asked for.
func TestArchivesAreTheSameTwice(t *testing.T) {
	when := time.Date(2026, 3, 4, 5, 6, 8, 0, time.UTC)
	var packed [2][2][]byte
	for i := range packed {
		dir := t.TempDir()
		for name, mode := range map[string]os.FileMode{"b/run": 0o755, "a.txt": 0o644, "b/c.txt": 0o600} {
			path := filepath.Join(dir, name)
			if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path, []byte(strings.Repeat(name, 50)), mode); err != nil {
				t.Fatal(err)
			}
			if err := os.Chtimes(path, time.Time{}, when.Add(time.Duration(1+i)*time.Hour)); err != nil {
				t.Fatal(err)
			}
		}
		files, err := entries(dir)
		if err != nil || len(files) != 3 {
			t.Fatalf("%d files, %v", len(files), err)
		}
		if packed[i][0], err = tarred("top", files, when); err != nil {
			t.Fatal(err)
		}
		if packed[i][1], err = zipped("top", files, when); err != nil {
			t.Fatal(err)
		}
	}
	for k, kind := range []string{"tar", "zip"} {
		if !bytes.Equal(packed[0][k], packed[1][k]) {
			t.Errorf("%s: the same files give other bytes", kind)
		}
	}
	unzipped, err := gzip.NewReader(bytes.NewReader(packed[0][0]))
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]int64{"top/a.txt": 0o644, "top/b/c.txt": 0o644, "top/b/run": 0o755}
	seen := 0
	for r := tar.NewReader(unzipped); ; seen++ {
		h, err := r.Next()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		b, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		if h.Mode != want[h.Name] || !h.ModTime.Equal(when) || h.Uid != 0 || h.Uname != "" || string(b) != strings.Repeat(strings.TrimPrefix(h.Name, "top/"), 50) {
			t.Errorf("tar: %s: mode %o, time %v, owner %d %q, %d bytes", h.Name, h.Mode, h.ModTime, h.Uid, h.Uname, len(b))
		}
	}
	z, err := zip.NewReader(bytes.NewReader(packed[0][1]), int64(len(packed[0][1])))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range z.File {
		if int64(f.Mode().Perm()) != want[f.Name] || !f.Modified.Equal(when) {
			t.Errorf("zip: %s: mode %v, time %v", f.Name, f.Mode(), f.Modified)
		}
	}
	if seen != 3 || len(z.File) != 3 {
		t.Errorf("%d and %d files in the archives", seen, len(z.File))
	}
}
