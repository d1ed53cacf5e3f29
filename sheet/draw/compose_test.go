package draw

import (
	"testing"
	"unicode"

	"golang.org/x/text/unicode/norm"
	"pgregory.net/rapid"
)

// TestComposed: what is composed is what golang.org/x/text gives, letter by letter and
// in texts of letters and marks that are drawn.
func TestComposed(t *testing.T) {
	check := func(s string) {
		t.Helper()
		if got, want := string(compose(s)), norm.NFC.String(s); got != want {
			t.Errorf("%+q: %+q, want %+q", s, got, want)
		}
	}
	var changing []rune
	for r := rune(1); r <= 0x10FFFF; r++ {
		if 0xD800 <= r && r < 0xE000 {
			continue
		}
		s := string(r)
		p := norm.NFC.PropertiesString(s)
		if len(p.Decomposition()) > 0 || p.CCC() > 0 || !p.BoundaryBefore() || unicode.Is(unicode.Hangul, r) {
			check(s)
			check(norm.NFD.String(s))
			changing = append(changing, r)
		} else if string(compose(s)) != s {
			t.Errorf("%+q alone becomes %+q", s, string(compose(s)))
		}
	}
	if len(changing) < 10_000 {
		t.Fatalf("only %d letters are composed or compose", len(changing))
	}
	few := rapid.SampledFrom([]rune{'a', 'e', 'q', ' ', 0x300, 0x301, 0x308, 0x323, 0x327, 0x345, 0x1100, 0x1161, 0x11A8, 0xAC00, 0xAC01})
	// x/text breaks up thirty marks in a row (its own Stream-Safe form); these are fewer.
	texts := rapid.SliceOfN(rapid.OneOf(few, few, rapid.SampledFrom(changing)), 1, 9)
	rapid.Check(t, func(t *rapid.T) {
		s := string(texts.Draw(t, "text"))
		for _, s := range []string{s, norm.NFD.String(s)} {
			if got, want := string(compose(s)), norm.NFC.String(s); got != want {
				t.Errorf("%+q: %+q, want %+q", s, got, want)
			}
		}
	})
}
