package refcheck

import (
	"fmt"
	"math/rand"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/tune"
	"lapwright/wire"
)

// randomTune makes a tune that no one would sing: up to three voices, chords
// with seconds, accidentals, ties, tuplets, graces, marks, lyrics, words and
// repeats at random, valid by Tune.Check.
func randomTune(r *rand.Rand) *tune.Tune {
	t := &tune.Tune{Title: "Chance"}
	voices := 1 + r.Intn(3)
	for v := range voices {
		t.Voices = append(t.Voices, tune.Voice{ID: fmt.Sprint(v + 1)})
	}
	meters := []tune.Meter{{Beats: 4, Unit: 4}, {Beats: 3, Unit: 4}, {Beats: 6, Unit: 8}, {Beats: 2, Unit: 2}, {Beats: 7, Unit: 8}}
	m := meters[r.Intn(len(meters))]
	k, _ := pitch.NewKey(pitch.ClassAtFifths(r.Intn(9)-4), pitch.Major)
	bars := 3 + r.Intn(8)
	for i := range bars {
		if r.Intn(8) == 0 {
			m = meters[r.Intn(len(meters))]
		}
		if r.Intn(8) == 0 {
			k, _ = pitch.NewKey(pitch.ClassAtFifths(r.Intn(13)-6), pitch.Major)
		}
		b := tune.Bar{Number: i + 1, Key: k, Meter: m, Len: m.Len()}
		for v := range voices {
			b.Lines = append(b.Lines, randomLine(r, v, voices, b.Len))
		}
		if r.Intn(2) == 0 {
			for _, s := range []string{"C", "F#m7b5/E", "Bbmaj7", "G7sus4"}[:1+r.Intn(4)] {
				c, _ := pitch.ParseChord(s)
				at := b.Lines[0][r.Intn(len(b.Lines[0]))].At
				taken := false
				for _, o := range b.Chords {
					taken = taken || o.At == at
				}
				if !taken {
					b.Chords = append(b.Chords, tune.ChordAt{At: at, Text: s, Chord: &c})
				}
			}
		}
		if r.Intn(4) == 0 {
			b.Texts = append(b.Texts, tune.TextAt{At: 0, Text: "with a light hand", Below: r.Intn(2) == 0})
		}
		if r.Intn(5) == 0 {
			b.Tempos = append(b.Tempos, tune.Tempo{Beat: tune.Whole / 4, PerMinute: 96500, Text: "Slower"})
		}
		switch r.Intn(8) {
		case 0:
			b.Signs = append(b.Signs, tune.Sign{Kind: tune.Segno})
		case 1:
			b.Signs = append(b.Signs, tune.Sign{Kind: tune.Coda})
		case 2:
			b.Part = "B"
		case 3:
			b.Right.Style = tune.DoubleBarline
		}
		t.Bars = append(t.Bars, b)
	}
	return t
}

func randomLine(r *rand.Rand, voice, voices int, length tune.Ticks) []tune.Event {
	var out []tune.Event
	at := tune.Ticks(0)
	centre := 71 - 5*voice + r.Intn(5)
	if r.Intn(12) == 0 {
		return []tune.Event{{Kind: tune.Rest, Len: length, Value: tune.Value{BarRest: true}}}
	}
	for at < length {
		v := tune.Value{Log2: int8(1 + r.Intn(4))}
		if r.Intn(5) == 0 {
			v.Dots = 1
		}
		if at+v.Len() > length {
			v = tune.Value{Log2: 5}
			for v.Log2 > 1 {
				w := tune.Value{Log2: v.Log2 - 1}
				if at+w.Len() > length {
					break
				}
				v = w
			}
			if at+v.Len() > length {
				break
			}
		}
		e := tune.Event{At: at, Len: v.Len(), Value: v}
		if r.Intn(7) == 0 {
			e.Kind = tune.Rest
		} else {
			e.Notes = randomChord(r, centre)
			if r.Intn(10) == 0 {
				e.Graces = append(e.Graces, tune.Grace{Notes: randomChord(r, centre)[:1], Value: tune.Value{Log2: 3}, Slash: true})
			}
			if r.Intn(8) == 0 {
				e.Marks = append(e.Marks, tune.Mark(1+r.Intn(int(tune.Breath))))
			}
			if voice == 0 && r.Intn(3) > 0 {
				e.Lyrics = append(e.Lyrics, tune.Lyric{Verse: 1, Text: []string{"la", "strength", "o", "twelfth"}[r.Intn(4)], Hyphen: r.Intn(2) == 0})
			}
		}
		out = append(out, e)
		at += e.Len
	}
	if at < length {
		if vs, ok := tune.Values(length - at); ok {
			for _, v := range vs {
				out = append(out, tune.Event{At: at, Len: v.Len(), Kind: tune.Rest, Value: v})
				at += v.Len()
			}
		}
	}
	return out
}

func randomChord(r *rand.Rand, centre int) []tune.Note {
	seen := map[int]bool{}
	var out []tune.Note
	n := 1
	if r.Intn(3) == 0 {
		n += r.Intn(4)
	}
	key := centre + r.Intn(15) - 7
	for range n {
		name := pitch.SpellKey(key, r.Intn(9)-4)
		if !seen[name.Step()] {
			seen[name.Step()] = true
			out = append(out, tune.Note{Name: name})
		}
		key += 1 + r.Intn(5)
	}
	return out
}

// TestRandomTunesHaveNoCollisions lays out tunes with up to three voices that
// the corpus has not.
func TestRandomTunesHaveNoCollisions(t *testing.T) {
	bad, several := 0, 0
	const want = 250
	for seed := range want {
		r := rand.New(rand.NewSource(int64(seed)))
		tn := randomTune(r)
		if len(tn.Voices) > 1 {
			several++
		}
		d, err := sheet.LayTune(tn, sheet.Options{})
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		var found []string
		for _, p := range d.Pages {
			found = append(found, collisions(p, 15)...)
		}
		found = append(found, unfilled(d, 15)...)
		if len(found) > 0 {
			if bad++; bad <= 12 {
				t.Errorf("seed %d, %d voices: %s", seed, len(tn.Voices), strings.Join(found[:min(len(found), 4)], "\n\t"))
			}
		}
	}
	t.Logf("%d of %d with faults", bad, want)
	if several < want/3 {
		t.Errorf("only %d tunes had several voices", several)
	}
}

// TestInstrumentsOfThreeToTwelveStrings lays random tunes out on rigs of every
// number of strings that the sheet is for, in all layouts.
func TestInstrumentsOfThreeToTwelveStrings(t *testing.T) {
	base, _ := rig.Builtin("lap6-c6")
	tn := sheetTunes(t)[4]
	for n := 3; n <= 12; n++ {
		r := base.Clone()
		r.Strings = nil
		for i := range n {
			s := base.Strings[i%len(base.Strings)]
			s.Open.Octave -= int8(i / len(base.Strings))
			r.Strings = append(r.Strings, s)
		}
		r.Name, r.Title = fmt.Sprintf("lap%d", n), fmt.Sprintf("Lap steel with %d strings", n)
		r.NutSpread, r.BridgeSpread = wire.MM(n-1)*9, wire.MM(n-1)*10
		res, err := arrange.Arrange(t.Context(), tn, r, arrange.Options{})
		if err != nil {
			t.Fatalf("%d strings: %v", n, err)
		}
		for _, l := range sheet.Layouts() {
			d, err := sheet.Lay(res.Tab, sheet.Options{Layout: l, Rhythm: true})
			if err != nil {
				t.Fatalf("%d strings, %s: %v", n, l, err)
			}
			found := unfilled(d, 15)
			for _, p := range d.Pages {
				found = append(found, collisions(p, 15)...)
			}
			if len(found) > 0 {
				t.Errorf("%d strings, %s: %s", n, l, strings.Join(found[:min(len(found), 4)], "\n\t"))
			}
		}
	}
}

// TestBarsLongerThanALine lays out bars that no line holds.
func TestBarsLongerThanALine(t *testing.T) {
	for _, notes := range []int{60, 300, 2000} {
		r := rand.New(rand.NewSource(int64(notes)))
		b := tune.Bar{Number: 1}
		var line []tune.Event
		for range notes {
			v := tune.Value{Log2: int8(2 + r.Intn(3))}
			e := tune.Event{At: b.Len, Len: v.Len(), Value: v, Notes: randomChord(r, 71)}
			if r.Intn(9) == 0 {
				e.Graces = []tune.Grace{{Notes: randomChord(r, 71)[:1], Value: tune.Value{Log2: 3}}, {Notes: randomChord(r, 71)[:1], Value: tune.Value{Log2: 3}}}
			}
			line = append(line, e)
			b.Len += v.Len()
		}
		b.Lines = [][]tune.Event{line}
		tn := &tune.Tune{Title: "Without a barline", Voices: []tune.Voice{{ID: "1"}}, Bars: []tune.Bar{b, b}}
		d, err := sheet.LayTune(tn, sheet.Options{})
		if err != nil {
			t.Fatal(err)
		}
		found := unfilled(d, 15)
		heads := 0
		for _, p := range d.Pages {
			found = append(found, collisions(p, 15)...)
			p.Walk(func(in []*draw.Group, it draw.Item) {
				if _, ok := it.(draw.Glyph); ok && in[len(in)-1].Class == "head" {
					heads++
				}
			})
		}
		if len(found) > 0 {
			t.Errorf("%d notes: %s", notes, strings.Join(found[:min(len(found), 4)], "\n\t"))
		}
		if heads < 2*notes {
			t.Errorf("%d notes: only %d heads on %d pages", notes, heads, len(d.Pages))
		}
	}
}
