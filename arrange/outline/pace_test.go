package outline

import (
	"testing"

	"lapwright/tune"
)

// What players take for slow and for quick (common practice, no source): the kind of
// tune decides, then the tempo, then the meter, then the note values.
func TestPace(t *testing.T) {
	for _, c := range []struct {
		what, abc string
		slow      bool
	}{
		{"a reel is quick, whatever its tempo", "R:reel\nM:4/4\nL:1/4\nQ:1/4=40\nK:G\nGABc|]", false},
		{"an air is slow, whatever its tempo", "R:Slow Air\nM:4/4\nL:1/8\nQ:1/4=200\nK:G\nGABcdefg|]", true},
		{"quarters at 120", "M:4/4\nL:1/4\nQ:1/4=120\nK:G\nGABc|]", true},
		{"quarters at 121", "M:4/4\nL:1/4\nQ:1/4=121\nK:G\nGABc|]", false},
		{"most notes short at 100", "M:4/4\nL:1/8\nQ:1/4=100\nK:G\nGAB c2 d3|]", false},
		{"most notes long at 100", "M:4/4\nL:1/8\nQ:1/4=100\nK:G\nGA c2 d2 d2|]", true},
		{"nothing but rests, with a tempo", "M:4/4\nL:1/4\nQ:1/4=100\nK:G\nz4|z4|]", false},
		{"a word is no tempo", "M:6/8\nL:1/8\nQ:\"merrily\"\nK:G\nG3 A3|]", false},
		{"a waltz meter, in eighths", "M:3/4\nL:1/8\nK:G\nGABcde|]", true},
		{"three halves, in eighths", "M:3/2\nL:1/8\nK:G\nGABcdedcBAGA|]", true},
		{"three eighths", "M:3/8\nL:1/8\nK:G\nGAB|]", false},
		{"six eighths, in long notes", "M:6/8\nL:1/8\nK:G\nG3 A3|]", false},
		{"six quarters, in long notes", "M:6/4\nL:1/4\nK:G\nG3 A3|]", true},
		{"four eighths, in long notes", "M:4/8\nL:1/8\nK:G\nG2 A2|]", true},
		{"four quarters", "M:4/4\nL:1/4\nK:G\nGABc|]", true},

		{"as many eighths as longer notes", "M:2/4\nL:1/8\nK:G\nG2 AB|c2 z d|]", false},
		{"two eighths of four notes", "M:2/4\nL:1/8\nK:G\nG2 AB|c2 z2|d2 z2|]", true},
		{"short rests are no notes", "M:4/4\nL:1/8\nK:G\nG4 zzzz|]", true},
		{"the meter of the middle holds", "M:4/4\nL:1/8\nK:G\nGABcdefg|\nM:3/4\nGABcde|GABcde|]", true},
	} {
		if got := Unhurried(tune.Perform(read(t, c.abc))); got != c.slow {
			t.Errorf("%s: slow %v, want %v", c.what, got, c.slow)
		}
	}
}

// A tune of single notes is one of which no two sound at once.
func TestSingle(t *testing.T) {
	for _, c := range []struct {
		abc  string
		want bool
	}{
		{"M:2/4\nL:1/4\nK:G\nGz|A2|]", true},
		{"M:2/4\nL:1/4\nK:G\nG[GB]|A2|]", false},
		{"M:2/4\nL:1/4\nK:G\nV:1\nGB|A2|]\nV:2\nz2|z2|]", true},
		{"M:2/4\nL:1/4\nK:G\nV:1\nGB|A2|]\nV:2\nz2|G,2|]", false},
	} {
		if got := Single(read(t, c.abc)); got != c.want {
			t.Errorf("%q: single %v, want %v", c.abc, got, c.want)
		}
	}
}
