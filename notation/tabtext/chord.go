package tabtext

import (
	"strings"

	"lapwright/notation/columns"
	"lapwright/tune"
)

// formatChord writes a chord symbol as the music has it. Where its text alone
// would be read as another chord, or as none, the chord follows in braces.
func formatChord(c tune.ChordAt) string {
	s := c.Text
	if s == "" || !printable(s) || strings.ContainsAny(s, " \t\"@{}") {
		s = columns.Quote(s)
	}
	read := columns.ReadChord(c.Text)
	switch {
	case read == nil && c.Chord == nil:
	case read != nil && c.Chord != nil && read.Equal(*c.Chord):
	case c.Chord == nil:
		s += "{}"
	default:
		s += "{" + c.Chord.String() + "}"
	}
	return s
}

// scanChord takes a token of the chord line apart, its time cut off.
func scanChord(s string) (c tune.ChordAt, at int, want string) {
	if strings.HasPrefix(s, `"`) {
		text, n, ok := columns.ScanQuoted(s)
		if !ok {
			return c, 0, "a closing quote expected"
		}
		c.Text, at = text, n
	} else {
		at = len(s)
		if i := strings.IndexByte(s, '{'); i >= 0 {
			at = i
		}
		c.Text = s[:at]
	}
	c.Chord = columns.ReadChord(c.Text)
	if at == len(s) {
		return c, at, ""
	}
	inner, ok := strings.CutPrefix(s[at:], "{")
	if !ok {
		return c, at, "the end of the chord symbol expected"
	}
	inner, ok = strings.CutSuffix(inner, "}")
	if !ok {
		return c, len(s), "\"}\" expected"
	}
	c.Chord = nil
	if inner != "" {
		if c.Chord = columns.ReadChord(inner); c.Chord == nil {
			return c, at + 1, "a chord symbol expected"
		}
	}
	return c, len(s), ""
}
