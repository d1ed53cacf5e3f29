// Package golden compares what tests make with files that were looked at.
//
// Entry points: File, Table, Texts, Broken, Seeds.
package golden

import (
	"bytes"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"lapwright/rig"
)

var update = flag.Bool("update", false, "write the golden files anew")

// File compares what was made with a file, or writes it with -update.
func File(t *testing.T, path string, got []byte) {
	t.Helper()
	if want := wanted(t, path, got); !bytes.Equal(got, want) {
		t.Errorf("%s %s", path, difference(got, want))
	}
}

// wanted returns what a file holds; with -update it holds what was made.
func wanted(t *testing.T, path string, got []byte) []byte {
	t.Helper()
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
		return got
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("%v (write it with -update, and look at it)", err)
	}
	return want
}

// Table compares a table of words and numbers with a file, or writes it with -update. Numbers may be so
// much apart as within says; machines that join multiplication and addition differ in the last digits.
func Table(t *testing.T, path, got string, within float64) {
	t.Helper()
	rows, want := strings.Split(got, "\n"), strings.Split(string(wanted(t, path, []byte(got))), "\n")
	if len(rows) != len(want) {
		t.Fatalf("%s has %d lines, for %d", path, len(want), len(rows))
	}
	for i, row := range rows {
		if !alike(strings.Fields(row), strings.Fields(want[i]), within) {
			t.Errorf("%s differs in line %d:\n got %s\nwant %s", path, i+1, row, want[i])
		}
	}
}

// alike reports whether words are equal, numbers so much apart at most.
func alike(got, want []string, within float64) bool {
	return slices.EqualFunc(got, want, func(g, w string) bool {
		x, noNumber := strconv.ParseFloat(g, 64)
		y, noOther := strconv.ParseFloat(w, 64)
		return g == w || noNumber == nil && noOther == nil && math.Abs(x-y) <= within+1e-9
	})
}

// difference shows where two texts part: the lines around when they are short.
func difference(got, want []byte) string {
	i := 0
	for i < len(got) && i < len(want) && got[i] == want[i] {
		i++
	}
	const around = 60
	lo := max(i-around, 0)
	line := 1 + bytes.Count(got[:i], []byte("\n"))
	return fmt.Sprintf("differs in line %d, at byte %d:\n got … %q\nwant … %q", line, i, got[lo:min(i+around, len(got))], want[lo:min(i+around, len(want))])
}

// Broken reads each text of testdata/broken, and compares what is said about it with
// the file beside it (.said). The first line of a text names the rig.
func Broken(t *testing.T, read func(t *testing.T, name string, text []byte, r *rig.Rig) (said string)) {
	t.Helper()
	for _, file := range Texts(t, "broken", 10) {
		t.Run(filepath.Base(file), func(t *testing.T) {
			text, r := Rigged(t, file)
			File(t, strings.TrimSuffix(file, ".txt")+".said", []byte(read(t, filepath.Base(file), text, r)))
		})
	}
}

// Texts lists the texts of a folder of testdata, at least so many, each with what is
// said about it beside it.
func Texts(t *testing.T, folder string, least int) []string {
	t.Helper()
	files, err := filepath.Glob("testdata/" + folder + "/*.txt")
	if err != nil {
		t.Fatal(err)
	}
	if len(files) < least {
		t.Fatalf("only %d texts", len(files))
	}
	said, err := filepath.Glob("testdata/" + folder + "/*.said")
	if err != nil || !*update && len(said) != len(files) {
		t.Errorf("%d texts and %d golden files (%v)", len(files), len(said), err)
	}
	return files
}

// Rigged returns a text and the rig that its first line names.
func Rigged(t *testing.T, file string) ([]byte, *rig.Rig) {
	t.Helper()
	src, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	name, rest, _ := bytes.Cut(src, []byte("\n"))
	r, ok := rig.Builtin(strings.TrimPrefix(string(name), "# rig "))
	if !ok {
		t.Fatalf("the first line names no rig: %s", name)
	}
	return rest, r
}

// Seeds gives a fuzz test every text of testdata, each with a number.
func Seeds(f *testing.F) {
	f.Helper()
	files, err := filepath.Glob("testdata/*/*.txt")
	if err != nil || len(files) == 0 {
		f.Fatalf("no seeds: %v", err)
	}
	for i, file := range files {
		src, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(src, uint8(i))
	}
}
