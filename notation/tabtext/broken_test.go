package tabtext

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lapwright/fault"
	"lapwright/notation/columns"
	"lapwright/rig"
)

var update = flag.Bool("update", false, "write the golden files anew")

// Texts in the exact form that are broken. What is said about each, with
// carets, stands beside it (.said); the first line of the text names the rig.
func TestBrokenTexts(t *testing.T) {
	files, err := filepath.Glob("testdata/broken/*.txt")
	if err != nil {
		t.Fatal(err)
	}
	if len(files) < 10 {
		t.Fatalf("only %d texts", len(files))
	}
	if said, _ := filepath.Glob("testdata/broken/*.said"); !*update && len(said) != len(files) {
		t.Errorf("%d texts and %d golden files", len(files), len(said))
	}
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			src, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			name, rest, _ := bytes.Cut(src, []byte("\n"))
			r, ok := rig.Builtin(strings.TrimPrefix(string(name), "# rig "))
			if !ok {
				t.Fatalf("the first line names no rig: %s", name)
			}
			if !Is(rest) {
				t.Fatal("the text is not in the exact form")
			}
			got, _, err := Parse(rest, filepath.Base(file), r)
			list, ok := err.(fault.List)
			if !ok || got != nil {
				t.Fatalf("error %T %v with tab %v", err, err, got)
			}
			out := "refused\n"
			for _, f := range list {
				out += fmt.Sprintln(f.Error())
				if c := columns.Caret(rest, f); c != "" {
					out += c + "\n"
				}
			}
			golden := strings.TrimSuffix(file, ".txt") + ".said"
			if *update {
				if err := os.WriteFile(golden, []byte(out), 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			want, err := os.ReadFile(golden)
			if err != nil {
				t.Fatal(err)
			}
			if out != string(want) {
				t.Errorf("%s has changed: got\n%s\nwant\n%s", golden, out, want)
			}
		})
	}
}

// Typed tab is not taken for the exact form, whatever its line ends.
func TestIs(t *testing.T) {
	for text, want := range map[string]bool{
		"tab text 1\ntitle: x": true, "tab text 1\r\ntitle: x": true, "tab text 1\rtitle: x": true, "\ufefftab text 1  \n": true, "tab text 1": true,
		"": false, "tab text 10\n": false, "Tab text 1\n": false, "D|-0-|\n": false, "\ntab text 1\n": false,
	} {
		if got := Is([]byte(text)); got != want {
			t.Errorf("%q: %v, want %v", text, got, want)
		}
	}
	r, _ := rig.Builtin("reso-open-g")
	if _, _, err := Parse([]byte("D|-0-|\n"), "x.txt", r); err == nil || !strings.Contains(err.Error(), `x.txt:1:1: the first line is not "tab text 1"`) {
		t.Errorf("typed tab: %v", err)
	}
}
