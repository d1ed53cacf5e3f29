package pitch

import (
	"os"
	"regexp"
	"strings"
	"testing"
)

// Every symbol in the description of chord symbols is read as it says there.
func TestDescriptionOfChordSymbols(t *testing.T) {
	doc, err := os.ReadFile("../docs/formats/chord-symbols.md")
	if err != nil {
		t.Fatal(err)
	}
	symbol := regexp.MustCompile("`([^`]+)`")
	rows := 0
	for l := range strings.Lines(string(doc)) {
		cells := strings.Split(strings.TrimSpace(l), "|")
		if len(cells) != 5 || !strings.Contains(cells[1], "`C") {
			continue
		}
		rows++
		canonical := symbol.FindStringSubmatch(cells[1])[1]
		tones := strings.TrimSpace(cells[3])
		for _, m := range symbol.FindAllStringSubmatch(cells[1]+cells[2], -1) {
			c, err := ParseChord(m[1])
			if err != nil || c.String() != canonical || c.TonesText() != tones {
				t.Errorf("%q is read as %v, %s (%v); the description says %s, %s", m[1], c, c.TonesText(), err, canonical, tones)
			}
		}
	}
	if rows < 30 {
		t.Errorf("only %d rows were found", rows)
	}
	for _, s := range []string{"Bbm9b5", "F#13b9", "Gsus4addb9"} {
		if c, err := ParseChord(s); err != nil || c.String() != s {
			t.Errorf("%q is read as %v, %v", s, c, err)
		}
	}
	for _, s := range []string{"c", "H7", "C4", "Cm+7", "N.C."} {
		if c, err := ParseChord(s); err == nil {
			t.Errorf("%q is read as %v", s, c)
		}
	}
}
