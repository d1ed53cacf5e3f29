package notices

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Every part has a name and a text; ours is first and is the licence at the root.
func TestParts(t *testing.T) {
	parts := Notices()
	if len(parts) < 20 {
		t.Fatalf("%d parts", len(parts))
	}
	own, err := os.ReadFile(filepath.Join("..", "..", "LICENSE"))
	if err != nil {
		t.Fatal(err)
	}
	if parts[0].Name != "Lapwright" || parts[0].Text != strings.TrimSpace(string(own)) {
		t.Errorf("the first part is %q, want the project's own licence", parts[0].Name)
	}
	seen := map[string]bool{}
	for _, p := range parts {
		if p.Name == "" || len(p.Text) < 100 || seen[p.Name] {
			t.Errorf("%q: %d bytes of text, seen before %v", p.Name, len(p.Text), seen[p.Name])
		}
		seen[p.Name] = true
	}
}

// Modules, bundled packages and fonts are among them. That no linked module is
// forgotten is checked against the linker's own list, in cmd/lapwright.
func TestEachKindIsThere(t *testing.T) {
	for _, m := range []string{"modernc.org/sqlite ", "github.com/alecthomas/kong ", "github.com/thesyncim/gopus ", "@codemirror/view ", "Bravura"} {
		found := false
		for _, p := range Notices() {
			found = found || strings.HasPrefix(p.Name, m)
		}
		if !found {
			t.Errorf("no part for %s", m)
		}
	}
}
