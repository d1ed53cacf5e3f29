package terms

import "testing"

// TestText reads and writes text strings (section 8, from memory).
func TestText(t *testing.T) {
	for _, c := range []struct{ abc, text string }{
		{`caf\'e`, "café"}, {`\"uber \cc \AA \ss`, "über ç Å ß"}, {"caf&eacute; &amp; M&amp;M", "café & M&M"}, {`\u00e9t\u00E9`, "été"}, {`100\%`, "100%"}, {`a\\b`, `a\b`}, {`\&eacute;`, "&eacute;"},
		{"latin \xe9", "latin é"}, {"é", "é"}, {`\`, `\`}, {`\q`, `\q`}, {`\u00zz`, `\u00zz`}, {"a\x01b", "ab"}, {`\o`, `\o`},
	} {
		if got := DecodeText(c.abc); got != c.text {
			t.Errorf("%q: got %q, want %q", c.abc, got, c.text)
		}
		if got := DecodeText(EncodeText(c.text)); got != c.text {
			t.Errorf("%q is written %q and read as %q", c.text, EncodeText(c.text), got)
		}
	}
}
