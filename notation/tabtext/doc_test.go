package tabtext

import (
	"os"
	"strings"
	"testing"

	"lapwright/rig"
)

// The example in the format's description is what is written, to the letter.
func TestExampleOfTheDescription(t *testing.T) {
	doc, err := os.ReadFile("../../docs/formats/tab-text.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, ok := strings.Cut(string(doc), "```\n")
	example, _, ok2 := strings.Cut(rest, "```")
	if !ok || !ok2 {
		t.Fatal("the description has no example")
	}
	r, _ := rig.Builtin("reso-open-g")
	tb, said, err := Parse([]byte(example), "tab-text.md", r)
	if err != nil || len(said) > 0 {
		t.Fatalf("%v %v", err, said)
	}
	if got := string(Format(tb)); got != example {
		t.Errorf("written as\n%s\nshown as\n%s", got, example)
	}
}
