package band

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"lapwright/feel"
	"lapwright/internal/golden"
	"lapwright/pitch"
	"lapwright/sound"
	"lapwright/tab"
	"lapwright/tune"
)

// TestPlayedAsLookedAt: what bass, guitar and brush play of tunes that have what tunes have is as it was when it was looked at:
// a line a bar and a player, places in quarters of the bar, when a note is let go, how hard it is struck in hundredths.
func TestPlayedAsLookedAt(t *testing.T) {
	boom, _ := feel.Find("boom-chuck")
	shuffle, _ := feel.Find("shuffle")
	var b strings.Builder
	tell := func(title string, tb *tab.Tab, p *tune.Performance, f *feel.Feel) {
		backing, w := lines(t, tb, p, f)
		if p == nil {
			p = tb.Performance()
		}
		fmt.Fprintf(&b, "# %s: %s\n", title, backing.Words())
		b.WriteString(played(p, w))
	}
	for _, f := range feel.All() {
		tell("one chord a bar", song(t, f, "G", "Cmaj7", "D7", "Em", "Am7", "G/B"), nil, f)
	}
	head := func(key string) string { return "X:1\nT:x\nM:4/4\nL:1/4\nQ:1/4=120\nK:" + key + "\n" }
	tell("chords of every kind", read(t, head("Eb")+"\"Eb\"eeee|\"Ab6\"eeee|\"Bb7sus4\"ffff|\"Gm7b5\"gggg|\"C7b9\"gggg|\"Fdim7\"aaaa|\"Bb13\"bbbb|\"Eb5\"eeee|\"Ebaug\"gggg|\"Absus2\"aaaa|\"Ebmaj9\"eeee|\n"), nil, boom)
	tell("several chords a bar, off the beat too", read(t, head("C")+"\"C\"c\"F\"a\"G7\"g\"C\"g|\"C\"c3\"G7\"g|\"Am\"c3/2\"F\"a3/2\"G\"g|c4|\"what\"c4|\"Dm\"d\"N.C.\"d3|\"G7\"g2\"C\"c2|\n"), nil, boom)
	tell("the same, shuffled", read(t, head("C")+"\"C\"c2\"F\"a2|\"C\"c3\"G7\"g|\"Am\"c3/2\"F\"a3/2\"G\"g|\"C\"c4|\n"), nil, shuffle)
	tell("a pickup, repeats and endings", read(t, head("G")+"d|:\"G\"gggg|[1\"D\"ffff:|[2\"C\"eeee|gg\"G\"gg|]\n"), nil, boom)
	loop := read(t, head("G")+"\"G\"gggg|gggg|\"D\"ffff|ffff|\"Em\"gggg|gggg|\"G\"gggg|g4|]\n")
	span := tune.Span{From: 3, To: 5}
	tell("two bars over and over", loop, loop.Performance().Rearranged(span, span), boom)
	tell("high up", read(t, head("A")+"\"A\"a'a'c''a'|\"E7/G#\"g'b'd''b'|\"F#m\"a'c''f''c''|\"D\"d''d''a'f'|\n"), nil, boom)
	tell("low down", read(t, head("A")+"\"A\"A,A,CE,|\"E7/G#\"G,B,DB,|\"F#m\"A,CFC|\"D\"DDA,F,|\n"), nil, boom)
	for _, key := range []string{"G", "Am", "D dor", "A mix", "E phr", "F", "C#m"} {
		tell("guessed in "+key, read(t, head(key)+"GBdB|cege|dfad|ABcd|ecAe|f2fa|GBd2|c2A2|B4|\n"), nil, boom)
	}
	golden.File(t, "testdata/played.txt", []byte(b.String()))
}

// played tells what is played in a performance.
func played(p *tune.Performance, w *written) string {
	start := func(k int) int { return int(math.Round(p.Clock.Seconds(p.Passes[k].Start) * sound.Rate)) }
	quarters := func(k, at int) string {
		long := p.Clock.Seconds(p.Passes[k].Start+tune.Whole/4) - p.Clock.Seconds(p.Passes[k].Start)
		return fmt.Sprintf("%.3f", float64(at-start(k))/sound.Rate/long)
	}
	passOf := func(at int) int {
		k := len(p.Passes) - 1
		for k > 0 && start(k) > at {
			k--
		}
		return k
	}
	bars := make([]map[string][]string, len(p.Passes))
	for i := range bars {
		bars[i] = map[string][]string{}
	}
	put := func(who string, notes []sound.Struck) {
		for _, n := range notes {
			k := passOf(n.At)
			s := fmt.Sprintf("%s %s", quarters(k, n.At), pitch.SpellKey(n.Key, p.Tune.Bars[p.Passes[k].BarIndex].Key.Fifths()))
			if n.End > 0 {
				s += "–" + quarters(k, n.End)
			}
			if n.Chopped {
				s += " chopped"
			}
			s += fmt.Sprintf(" on %d at %.0f", n.StringIndex+1, 100*n.Strength)
			bars[k][who] = append(bars[k][who], s)
		}
	}
	put("bass", w.bass)
	put("guitar", w.guitar)
	for _, h := range w.brush {
		k := passOf(h.at)
		bars[k]["brush"] = append(bars[k]["brush"], fmt.Sprintf("%s %c at %.0f", quarters(k, h.at), h.sign, 100*h.strength))
	}
	var b strings.Builder
	for k := range bars {
		for _, who := range []string{"bass", "guitar", "brush"} {
			if list := bars[k][who]; list != nil {
				fmt.Fprintf(&b, "%d %s: %s\n", k+1, who, strings.Join(list, ", "))
			}
		}
	}
	return b.String()
}

// TestGuitarIsPlayable: each voicing lies on three neighbouring strings within four frets of one another, its notes rise
// from string to string, and says what the chord is: its third, and its seventh or sixth where it has one.
func TestGuitarIsPlayable(t *testing.T) {
	open, _ := sound.BandGuitar.Strings()
	for _, name := range []string{"G", "Am", "D7", "Cmaj7", "Em7", "F6", "Bm7b5", "Ddim7", "Gsus4", "Asus2", "C9", "Eaug", "Bb13"} {
		c, err := pitch.ParseChord(name)
		if err != nil {
			t.Fatal(err)
		}
		all := voicings(c, 1, 0)
		if len(all) == 0 || len(all) > kept {
			t.Errorf("%s has %d voicings", name, len(all))
		}
		last := 0.0
		for _, v := range all {
			notes := v.notes()
			low, high, first, strings := 99, 0, -1, 0
			for s, k := range v.keys {
				if k == 0 {
					continue
				}
				if first < 0 {
					first = s
				}
				strings++
				if s-first >= 3 {
					t.Errorf("%s: strings %v", name, v.keys)
				}
				if f := k - open[s]; f > 0 {
					low, high = min(low, f), max(high, f)
				}
			}
			if strings != 3 || high-low > 4 || !slices.IsSorted(notes) || notes[0] == notes[1] || notes[1] == notes[2] {
				t.Errorf("%s: %v, frets %d to %d", name, v.keys, low, high)
			}
			has := map[int]bool{}
			for _, k := range notes {
				tone, in := c.Tone(pitch.SpellKey(k, 0).Class)
				if !in {
					t.Errorf("%s: key %d is not of it", name, k)
				}
				has[tone.Interval.Steps] = true
			}
			for _, tone := range c.Tones {
				if s := tone.Interval.Steps; (s == 2 || s == 6) && !has[s] {
					t.Errorf("%s: %v has no %s", name, notes, tone.Label)
				}
			}
			if v.cost < last {
				t.Errorf("%s: a voicing of %.3f after one of %.3f", name, v.cost, last)
			}
			last = v.cost
		}
		// What the lead plays meanwhile is left to it where anything else is to be had.
		lead := all[0].notes()[1]
		for _, v := range voicings(c, lead, lead)[:1] {
			for _, k := range v.notes() {
				if k >= lead-2 && k <= lead+2 {
					t.Errorf("%s: key %d beside a lead on %d", name, k, lead)
				}
			}
		}
	}
}

// TestBandIsToldInWords: its feel, how it swings, and what was guessed; a tune that swings by itself is left as it is.
func TestBandIsToldInWords(t *testing.T) {
	swing, _ := feel.Find("shuffle")
	plain, _ := feel.Find("boom-chuck")
	tb := read(t, "X:1\nT:x\nM:4/4\nL:1/4\nK:G\nGBdB|cege|dfad|gdBG|\n")
	for _, c := range []struct {
		f    *feel.Feel
		want []string
		not  string
	}{{swing, []string{"shuffle, ", "guessed from the melody: G C D"}, ""}, {plain, []string{"boom-chuck; there"}, ","}} {
		b, err := NewBacking(tb, c.f)
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range c.want {
			if !strings.Contains(b.Words(), w) {
				t.Errorf("%q does not say %q", b.Words(), w)
			}
		}
		got := b.Swung(tb)
		if (got == tb) != c.f.Swing.Even() || got.Tune.Swing != c.f.Swing || !tb.Tune.Swing.Even() {
			t.Errorf("%s: swung by %v, the tab given by %v", c.f.Name, got.Tune.Swing, tb.Tune.Swing)
		}
		own := *tb
		of := *tb.Tune
		of.Swing = tune.TempoSwing
		own.Tune = &of
		if b.Swung(&own) != &own {
			t.Errorf("%s: a tune that swings by itself is made to swing otherwise", c.f.Name)
		}
	}
	if Plays(tb.Tune) || !Plays(song(t, plain, "G").Tune) || Plays(read(t, "X:1\nT:x\nM:none\nL:1/4\nK:G\n\"G\"GABc|\n").Tune) {
		t.Error("a band plays without symbols or without a beat, or not with both")
	}
	if b, err := FromSymbols(tb); b != nil || err != nil {
		t.Errorf("without symbols the band is %v, %v", b, err)
	}
	if _, err := NewBacking(&tab.Tab{Tune: &tune.Tune{}}, nil); err == nil {
		t.Error("a tune without bars is played along to")
	}
	a := &sound.Audio{Channels: [][]float32{{0.5, -1, 0}, {0.25, 1, 0.5}}}
	if m := Mono(a); len(m.Channels) != 1 || !slices.Equal(m.Channels[0], []float32{0.375, 0, 0.25}) {
		t.Errorf("one channel of both is %v", m.Channels)
	}
}
