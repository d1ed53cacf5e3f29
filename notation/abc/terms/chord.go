package terms

import (
	"strings"

	"lapwright/pitch"
)

// ParseChord reads a chord symbol as ABC books write it.
func ParseChord(text string) (*pitch.Chord, bool) {
	c, err := pitch.ParseChord(plainChord(text))
	if err != nil {
		return nil, false
	}
	return &c, true
}

// plainChord brings the ways of older collections to the usual one: a bass as
// "f+" or "b-" for F sharp and B flat, "Gd" for G diminished, and brackets round
// a chord that may be left out.
func plainChord(s string) string {
	if strings.HasPrefix(s, "(") && strings.HasSuffix(s, ")") {
		s = s[1 : len(s)-1]
	}
	if head, bass, ok := strings.Cut(s, "/"); ok && len(bass) == 2 && strings.IndexByte("abcdefgABCDEFG", bass[0]) >= 0 {
		switch bass[1] {
		case '+':
			s = head + "/" + bass[:1] + "#"
		case '-':
			s = head + "/" + bass[:1] + "b"
		}
	}
	if n := len(s); n >= 2 && n <= 3 && s[n-1] == 'd' && s[0] >= 'A' && s[0] <= 'G' && (n == 2 || s[1] == '#' || s[1] == 'b') {
		s = s[:n-1] + "dim"
	}
	return s
}
