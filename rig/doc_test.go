package rig

import (
	"os"
	"strings"
	"testing"
)

// The example in the format's document reads, and the document names every key.
func TestDocumentExample(t *testing.T) {
	text, err := os.ReadFile("../docs/formats/rig.md")
	if err != nil {
		t.Fatal(err)
	}
	_, after, ok := strings.Cut(string(text), "```toml\n")
	if !ok {
		t.Fatal("the document has no example")
	}
	example, _, _ := strings.Cut(after, "```")
	r, err := Parse([]byte(example), "rig.md")
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Strings) != 3 || len(r.Benders) != 1 {
		t.Errorf("the example gives %d strings and %d benders", len(r.Strings), len(r.Benders))
	}
	for table, keys := range tableKeys {
		for _, k := range keys {
			if !strings.Contains(string(text), "`"+k+"`") && !strings.Contains(string(text), "["+k+"]") && !strings.Contains(string(text), k+" =") {
				t.Errorf("the document does not name the key %q of %q", k, table)
			}
		}
	}
	for _, b := range Bodies() {
		if limit := strings.Split(string(text), "| "+string(b)+" | "); len(limit) != 2 {
			t.Errorf("the document gives no limit for %q", b)
		}
	}
}
