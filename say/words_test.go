package say

import "testing"

// Plurals and lists are common practice, no source.
func TestCount(t *testing.T) {
	for _, c := range []struct {
		n     int
		thing string
		want  string
	}{
		{0, "bar", "0 bars"}, {1, "bar", "1 bar"}, {2, "bar", "2 bars"}, {1, "pitch", "1 pitch"}, {6, "pitch", "6 pitches"},
		{2, "body", "2 bodies"}, {3, "key", "3 keys"}, {2, "box", "2 boxes"}, {2, "chord symbol", "2 chord symbols"}, {-1, "semitone", "-1 semitones"},
	} {
		if got := Count(c.n, c.thing); got != c.want {
			t.Errorf("Count(%d, %q) is %q, want %q", c.n, c.thing, got, c.want)
		}
	}
}

func TestList(t *testing.T) {
	for _, c := range []struct {
		words []string
		want  string
	}{
		{nil, ""}, {[]string{"a"}, "a"}, {[]string{"a", "b"}, "a and b"}, {[]string{"a", "b", "c"}, "a, b and c"},
	} {
		if got := List(c.words); got != c.want {
			t.Errorf("List(%q) is %q, want %q", c.words, got, c.want)
		}
	}
	if got, want := Strings([]int{3}), "string 3"; got != want {
		t.Errorf("Strings is %q, want %q", got, want)
	}
	if got, want := Strings([]int{1, 2, 4}), "strings 1, 2 and 4"; got != want {
		t.Errorf("Strings is %q, want %q", got, want)
	}
}

func TestSmallWords(t *testing.T) {
	for _, c := range [][2]string{
		{Times(1), "once"}, {Times(2), "twice"}, {Times(5), "5 times"},
		{Fret(5), "5"}, {Fret(5.1), "5"}, {Fret(7.5), "7.5"}, {Fret(11.9), "12"},
		{Moved(-14), "an octave and 2 semitones below"}, {Moved(1), "a semitone above"}, {Moved(24), "2 octaves above"},
		{Passes([]int{1}), "1."}, {Passes([]int{1, 2}), "1. 2."}, {Passes([]int{1, 2, 3}), "1.–3."}, {Passes([]int{1, 3, 4}), "1. 3. 4."},
		{PerMinute(92000), "92"}, {PerMinute(92500), "92.5"},
	} {
		if c[0] != c[1] {
			t.Errorf("said %q, want %q", c[0], c[1])
		}
	}
}
