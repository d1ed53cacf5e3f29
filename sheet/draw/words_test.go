package draw_test

import (
	"math"
	"slices"
	"strings"
	"testing"
	"unicode"

	"pgregory.net/rapid"

	"lapwright/sheet/draw"
)

// TestWrapped: no line is wider than asked for but one letter alone; no word is parted that has room
// on a line, and none goes to the next line that has room on this one; nothing is lost.
func TestWrapped(t *testing.T) {
	letters := rapid.SampledFrom([]string{"a", "i", "W", "ā", "♭", "-", "tide", "harbour", "underneath"})
	word := rapid.Custom(func(t *rapid.T) string {
		return strings.Join(rapid.SliceOfN(letters, 1, 6).Draw(t, "letters"), "")
	})
	const em = 4.0
	rapid.Check(t, func(t *rapid.T) {
		paragraphs := rapid.SliceOfN(rapid.SliceOfN(word, 0, 8), 1, 3).Draw(t, "paragraphs")
		width := rapid.Float64Range(2, 60).Draw(t, "width")
		f := rapid.SampledFrom([]draw.Font{draw.Serif, draw.SansBold}).Draw(t, "font")
		var text []string
		for _, p := range paragraphs {
			text = append(text, strings.Join(p, "  "))
		}
		got := draw.Wrap(strings.Join(text, "\n"), f, em, width)
		wide := func(s string) float64 { return f.Width(s) * em }
		var want []string // by the rule, letter by letter
		for _, p := range paragraphs {
			line := ""
			for _, w := range p {
				if line != "" && wide(line+" "+w) > width {
					want = append(want, line)
					line = ""
				}
				if line != "" {
					line += " "
				}
				if wide(line+w) <= width {
					line += w
					continue
				}
				for _, r := range w {
					if line != "" && wide(line+string(r)) > width {
						want = append(want, line)
						line = ""
					}
					line += string(r)
				}
			}
			want = append(want, line)
		}
		if !slices.Equal(got, want) {
			t.Fatalf("in %.2f mm:\n got %q\nwant %q", width, got, want)
		}
	})
	// A byte that is no letter is taken as one, and is not lost.
	if got := draw.Wrap("ab\xffcd", draw.Sans, 4, 3); strings.Join(got, "") != "ab\xffcd" {
		t.Errorf("broken into %q", got)
	}
}

// TestCleaned: what can't be set goes, what parts words is a space, what is composed is one letter.
func TestCleaned(t *testing.T) {
	for in, want := range map[string]string{
		"plain ~ text": "plain ~ text", "a\tb\nc\rd\u00a0e": "a b c d e", "\x00\x1f\x7f\u0085": "", "zero\u200bwidth\ufeff": "zerowidth",
		"a\u0304": "ā", "turn\u202eed\u2066": "turned", "\ufffe\uffff\ufffd": "\ufffd", "ends~\x7f": "ends~", "}~": "}~", " ": " ",
	} {
		if got := draw.Clean(in); got != want {
			t.Errorf("%q becomes %q, want %q", in, got, want)
		}
	}
}

// TestRunsAreTheText: the runs of a text put together are the text, are as wide, and each is of one font: the part's own
// wherever that has the letter.
func TestRunsAreTheText(t *testing.T) {
	for _, c := range []struct {
		f    draw.Font
		s    string
		want []draw.Run
	}{
		{draw.Serif, "Dm ▽ C", []draw.Run{{Font: draw.Serif, Text: "Dm "}, {Font: draw.Sans, Text: "▽"}, {Font: draw.Serif, Text: " C"}}},
		{draw.SerifBold, "▽", []draw.Run{{Font: draw.SansBold, Text: "▽"}}},
		{draw.SerifItalic, "a雪", []draw.Run{{Font: draw.SerifItalic, Text: "a"}, {Font: draw.Sans, Text: "□"}}},
		{draw.Sans, "ab", []draw.Run{{Font: draw.Sans, Text: "ab"}}},
		{draw.SansBold, "", nil},
	} {
		got := c.f.Runs(c.s)
		sum := 0.0
		if len(got) != len(c.want) {
			t.Errorf("%q in font %d: %+v", c.s, c.f, got)
			continue
		}
		for i, r := range got {
			if r.Font != c.want[i].Font || r.Text != c.want[i].Text || math.Abs(r.Width-r.Font.Width(r.Text)) > 1e-12 {
				t.Errorf("%q in font %d: run %d is %+v, want %+v", c.s, c.f, i, r, c.want[i])
			}
			sum += r.Width
		}
		if w := c.f.Width(c.s); math.Abs(w-sum) > 1e-12 {
			t.Errorf("%q is %g wide, its runs %g", c.s, w, sum)
		}
	}
}

// TestPapers: sizes after ISO 216 and ANSI, and margins from 8 to 50 mm.
func TestPapers(t *testing.T) {
	for p, want := range map[draw.Paper][2]float64{draw.A4: {210, 297}, draw.Letter: {8.5 * 25.4, 11 * 25.4}, draw.Phone: {105, 20_000}, draw.Scroll: {210, 20_000}} {
		if w, h := p.Size(); math.Abs(w-want[0]) > 1e-9 || math.Abs(h-want[1]) > 1e-9 {
			t.Errorf("%s is %g by %g mm", p, w, h)
		}
		if p.Endless() != (want[1] > 1000) {
			t.Errorf("%s has an end: %v", p, !p.Endless())
		}
	}
	for margin, want := range map[float64]float64{0: 15, 8: 8, 7.99: -1, 50: 50, 50.01: -1, -3: -1, math.Inf(1): -1} {
		p, got, err := draw.Frame("", margin)
		if (err != nil) != (want < 0) || err == nil && (got != want || p != draw.A4) {
			t.Errorf("a margin of %g mm becomes %g on %s: %v", margin, got, p, err)
		}
	}
	if _, _, err := draw.Frame(draw.Letter, math.NaN()); err == nil {
		t.Error("a margin that is no number is taken")
	}
	if _, _, err := draw.Frame("a5", 0); err == nil {
		t.Error("any paper is taken")
	}
}

// TestRounded: to the nearest, and nought has no sign.
func TestRounded(t *testing.T) {
	for _, c := range []struct {
		v        float64
		decimals int
		want     float64
	}{{1.23456, 3, 1.235}, {-1.23456, 2, -1.23}, {-0.0004, 3, 0}, {7.5, 0, 8}} {
		if got := draw.Round(c.v, c.decimals); got != c.want || math.Signbit(got) != math.Signbit(c.want) {
			t.Errorf("%g to %d decimals is %g", c.v, c.decimals, got)
		}
	}
}

// TestInksApart: an ink is parted into its red, green and blue.
func TestInksApart(t *testing.T) {
	if r, g, b := draw.Ink(0x123456).RGB(); r != 0x12 || g != 0x34 || b != 0x56 {
		t.Errorf("%x %x %x", r, g, b)
	}
}

// TestUnprintedOnce: each text that lacks a letter is told once, in order, and its letters in theirs.
func TestUnprintedOnce(t *testing.T) {
	d := &draw.Drawing{Pages: []*draw.Page{{Items: []draw.Item{
		draw.Text{S: "b雪", Font: draw.Serif}, draw.Text{S: "good", Font: draw.Serif}, &draw.Group{Items: []draw.Item{draw.Text{S: "a海", Font: draw.Sans}}}, draw.Text{S: "b雪", Font: draw.Sans},
		draw.Glyph{Symbol: 0xF8FE}, draw.Glyph{Symbol: draw.GClef},
	}}}}
	if got := d.Unprinted(); !slices.Equal(got, []string{"b雪", "a海"}) {
		t.Errorf("unprinted: %q", got)
	}
	if got := d.Lacking(); len(got) != 1 || got[0] != 0xF8FE {
		t.Errorf("lacking: %v", got)
	}
	if s := draw.Symbol(0xF8FE); s.Box() != (draw.Rect{}) || s.Advance() != 0 || s.Outline() != nil {
		t.Error("a symbol that is not there has measures")
	}
}

// TestUnshapedScripts: letters that must be joined, reordered or set from right to left are not printed one by one, from
// the first of each script on (Unicode, Scripts.txt, by Go's tables); their neighbours before the first block are.
func TestUnshapedScripts(t *testing.T) {
	for name, script := range map[string]*unicode.RangeTable{"Hebrew": unicode.Hebrew, "Arabic": unicode.Arabic, "Syriac": unicode.Syriac, "Devanagari": unicode.Devanagari, "Thai": unicode.Thai, "Khmer": unicode.Khmer} {
		letters := 0
		for _, part := range script.R16 {
			for r := rune(part.Lo); r <= rune(part.Hi); r += rune(part.Stride) {
				if !unicode.Is(unicode.Lo, r) {
					continue
				}
				letters++
				if _, ok := draw.Sans.Prints(string(r)); ok {
					t.Errorf("%s: %U %c is printed", name, r, r)
				}
			}
		}
		if letters == 0 {
			t.Errorf("%s has no letters", name)
		}
	}
	for _, r := range "AzÄřЖжωԱև~ " {
		if lacking, ok := draw.Sans.Prints(string(r)); !ok {
			t.Errorf("%q is not printed: %q is lacking", r, lacking)
		}
	}
}
