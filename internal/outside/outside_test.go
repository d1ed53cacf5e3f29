// Package outside tests the core as somebody else's program meets it: from a
// module of its own, through public packages alone.
package outside

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// TestImporter builds the program that docs/library.md shows, in a module of
// its own, runs it, and holds the notes it prints against the tune's own.
func TestImporter(t *testing.T) {
	root, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	doc, err := os.ReadFile(filepath.Join(root, "docs", "library.md"))
	if err != nil {
		t.Fatal(err)
	}
	_, code, found := strings.Cut(string(doc), "```go\n")
	code, _, ended := strings.Cut(code, "```")
	if !found || !ended {
		t.Fatal("docs/library.md shows no Go program")
	}
	if strings.Contains(code, "lapwright/internal") {
		t.Error("the program uses a room that is not public")
	}

	dir := t.TempDir()
	write := func(name string, b []byte) {
		t.Helper()
		if err := os.WriteFile(filepath.Join(dir, name), b, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	ours, err := os.ReadFile(filepath.Join(root, "go.mod"))
	if err != nil {
		t.Fatal(err)
	}
	sums, err := os.ReadFile(filepath.Join(root, "go.sum"))
	if err != nil {
		t.Fatal(err)
	}
	// The same requirements as ours, so that nothing has to be looked up.
	mod := bytes.Replace(ours, []byte("module lapwright\n"), []byte("module example.org/mine\n"), 1)
	mod = append(mod, "\nrequire lapwright v0.0.0\n\nreplace lapwright => "+filepath.ToSlash(root)+"\n"...)
	write("go.mod", mod)
	write("go.sum", sums)
	write("main.go", []byte(code))

	run := exec.Command("go", "run", "-mod=mod", ".")
	run.Dir = dir
	run.Env = append(os.Environ(), "GOPROXY=off", "GOWORK=off")
	var problems bytes.Buffer
	run.Stderr = &problems
	out, err := run.Output()
	if err != nil {
		t.Fatalf("%v\n%s", err, problems.Bytes())
	}
	pdf, err := os.ReadFile(filepath.Join(dir, "low-tide.pdf"))
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.HasPrefix(pdf, []byte("%PDF-")) || !bytes.Contains(pdf, []byte("%%EOF")) {
		t.Errorf("low-tide.pdf is no PDF: %d bytes", len(pdf))
	}
	checkNotes(t, string(out))
}

// checkNotes compares what the program printed with the tune's notes.
func checkNotes(t *testing.T, out string) {
	t.Helper()
	// D G B d B c A F♯ G as semitones above the first D, by the names in the
	// tune; the strings of open G, G2 B2 D3 G3 B3 D4, string 1 first.
	tune := []int{0, 5, 9, 12, 9, 10, 7, 4, 5}
	open := []int{62, 59, 55, 50, 47, 43}
	lines := strings.Split(strings.TrimSpace(out), "\n")
	if len(lines) != len(tune) {
		t.Fatalf("%d notes, want %d:\n%s", len(lines), len(tune), out)
	}
	var first int
	for i, line := range lines {
		var s, fret int
		if _, err := fmt.Sscanf(line, "string %d fret %d", &s, &fret); err != nil || s < 1 || s > len(open) {
			t.Fatalf("line %q: %v", line, err)
		}
		key := open[s-1] + fret
		if i == 0 {
			first = key
		}
		if key-first != tune[i] {
			t.Errorf("note %d sounds %d semitones above the first, want %d", i+1, key-first, tune[i])
		}
	}
}
