package tabtext

import (
	"strings"
	"testing"

	"lapwright/rig"
	"lapwright/tab"
	"lapwright/tune"
)

// Texts in the exact form and what a musician reads in them; written anew the
// columns alone say the same (docs/formats/tab-text.md).
func TestReadAndWrittenAnew(t *testing.T) {
	r, _ := rig.Builtin("reso-open-g")
	pluck := func(tb *tab.Tab, s, p int) tab.Pluck { return tb.Strokes[s].Plucks[p] }
	for name, c := range map[string]struct {
		change []string // pairs
		ok     func(*tab.Tab) bool
	}{
		"as it is":         {nil, func(tb *tab.Tab) bool { return len(tb.Strokes) == 7 && tb.Tune.Bars[1].Number == 2 }},
		"played 3 times":   {[]string{"bar  ", "signs    {play 3 times}\nbar  ", "0--|-5", "0-:|-5", "-|-", ":|-"}, func(tb *tab.Tab) bool { return tb.Tune.Bars[0].Right.Repeat == 2 && tb.Tune.Bars[1].Right.Repeat == 0 }},
		"played 100 times": {[]string{"bar  ", "signs    {play 100 times}\nbar  ", "0--|-5", "0-:|-5", "-|-", ":|-"}, func(tb *tab.Tab) bool { return tb.Tune.Bars[0].Right.Repeat == 99 }},
		"a chord the text spells its own way": {[]string{"chords   G          ", "chords   Tonic{D}   "}, func(tb *tab.Tab) bool {
			c := tb.Tune.Bars[0].Chords[0]
			return c.Text == "Tonic" && c.Chord != nil && c.Chord.Root.String() == "D"
		}},
		"a chord that is none": {[]string{"C    G", "C    Tune"}, func(tb *tab.Tab) bool { return tb.Tune.Bars[1].Chords[1].Chord == nil }},
		"a chord between":      {[]string{"C    G", "C    G@3/4"}, func(tb *tab.Tab) bool { return tb.Tune.Bars[1].Chords[1].At == 3*tune.Whole/4 }},
		"numbers from 7":       {[]string{"1                  2", "7                  8"}, func(tb *tab.Tab) bool { return tb.Tune.Bars[1].Number == 8 }},
		"a scoop from below":   {[]string{"5~---13---|", "4/5~-13---|"}, func(tb *tab.Tab) bool { p := pluck(tb, 5, 0); return p.Scoop == -1 && p.Fret == 5 && p.Vibrato }},
		"a scoop from above":   {[]string{"5~---13---|", `7\5'-13---|`}, func(tb *tab.Tab) bool { p := pluck(tb, 5, 0); return p.Scoop == 2 && p.Damp }},
		"words over and under": {[]string{"bar  ", "signs    \"dolce\"      _\"w\"\nbar  "}, func(tb *tab.Tab) bool {
			x := tb.Tune.Bars[0].Texts
			return len(x) == 2 && !x[0].Below && x[1].Below && x[1].Text == "w"
		}},
		"syllables": {[]string{"hand     M   I  M  M  M     MIT  MT\n", "hand     M   I  M  M  M     MIT  MT\nverse 1            sail_    \"on \"\n"}, func(tb *tab.Tab) bool {
			return tb.Tune.Bars[0].Lines[0][3].Lyrics[0] == tune.Lyric{Verse: 1, Text: "sail", Extend: true} && tb.Tune.Bars[1].Lines[0][0].Lyrics[0].Text == "on "
		}},
	} {
		text := strings.TrimSuffix(strings.Replace(soundText(t), "capo: 0\n", "", 1), "\n"+finePrintLabel+"\n")
		for i := 0; i < len(c.change); i += 2 {
			if !strings.Contains(text, c.change[i]) {
				t.Fatalf("%s: no %q", name, c.change[i])
			}
			text = strings.ReplaceAll(text, c.change[i], c.change[i+1])
		}
		tb, said, err := Parse([]byte(text), "x", r)
		if err != nil || len(said) > 0 {
			t.Errorf("%s: %v %v\n%s", name, err, said, text)
			continue
		}
		if !c.ok(tb) {
			t.Errorf("%s: read otherwise: %+v %+v", name, tb.Strokes, tb.Tune.Bars)
		}
		written := Format(tb)
		again, said, err := Parse(written, "x", r)
		if err != nil || len(said) > 0 || !c.ok(again) || string(Format(again)) != string(written) {
			t.Errorf("%s: %v %v, written as\n%s", name, err, said, written)
		}
		if strings.Contains(string(written), finePrintLabel) {
			t.Errorf("%s: what the columns say stands in the fine print:\n%s", name, written)
		}
	}
}
