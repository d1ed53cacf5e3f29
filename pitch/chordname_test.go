package pitch

import (
	"slices"
	"strings"
	"testing"
)

func classes(t testing.TB, text string) []Class {
	t.Helper()
	var out []Class
	for _, w := range strings.Fields(text) {
		c, err := ParseClass(w)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, c)
	}
	return out
}

// The first class is the bass.
func TestNameChord(t *testing.T) {
	for _, c := range []struct{ in, first, also string }{
		{"C E G", "C", ""},
		{"E G C", "C/E", ""},
		{"G C E", "C/G", ""},
		{"A C E G", "Am7", "C6/A"},
		{"C E G A", "C6", "Am7/C"},
		{"D A", "D5", ""},
		{"A D", "D5/A", ""},
		{"D F#", "D(no5)", ""},
		{"F# A", "F#m(no5)", ""},
		{"A C# G", "A7", ""},
		{"Bb C E G A", "C13/Bb", "C6/Bb"},
		{"C Bb E G A", "C13", "C7add13"},
		{"C Bb E G A D", "C13", ""},
		{"B D F", "Bdim", ""},
		{"C E G#", "Caug", "Eaug/C"},
		{"B D F Ab", "Bdim7", ""},
		{"B D F A", "Bm7b5", "Dm6/B"},
		{"G D C", "Gsus4", "Csus2/G"},
		{"C G D", "Csus2", "Gsus4/C"},
		{"F C E G", "C/F", ""},
		{"G B D F A", "G9", ""},
		{"G D F A C", "G9sus4", "G11"},
		{"D F# A E", "Dadd9", ""},
		{"E G# D G", "E7#9", ""},
		{"C C C", "", ""},
		{"C C# D", "", ""},
	} {
		in := classes(t, c.in)
		var got []string
		for _, ch := range NameChord(in, in[0]) {
			got = append(got, ch.String())
		}
		first := ""
		if len(got) > 0 {
			first = got[0]
		}
		if first != c.first || (c.also != "" && !slices.Contains(got, c.also)) {
			t.Errorf("NameChord(%s) = %v; want %s first and %q too", c.in, got, c.first, c.also)
		}
	}
}
