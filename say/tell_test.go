package say

import (
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

const quarter = tune.Whole / 4

// Times in the words of a lesson; a beat of 6/8 is a dotted quarter (common
// practice, no source).
func TestTimesInWords(t *testing.T) {
	for d, want := range map[tune.Ticks]string{
		0: "no beats", quarter: "one beat", 2 * quarter: "two beats", 8 * quarter: "eight beats", 9 * quarter: "9 beats",
		quarter / 2: "half a beat", quarter / 4: "a quarter of a beat", 3 * quarter / 4: "three quarters of a beat", quarter / 3: "a third of a beat",
		2 * quarter / 3: "two thirds of a beat", quarter / 6: "a sixth of a beat", 5 * quarter / 6: "five sixths of a beat", quarter / 8: "1/8 of a beat",
		3 * quarter / 2: "one and a half beats", 9 * quarter / 4: "two and a quarter beats",
	} {
		if got := long(d, quarter); got != want {
			t.Errorf("%v: %q, want %q", d, got, want)
		}
	}
	for d, want := range map[tune.Ticks]string{
		2 * tune.Whole: "breve", tune.Whole: "whole", tune.Whole / 2: "half", quarter: "quarter", 3 * tune.Whole / 8: "dotted quarter", tune.Whole / 8: "eighth",
		tune.Whole / 16: "sixteenth", tune.Whole / 32: "thirty-second", tune.Whole / 64: "", 4 * tune.Whole: "", 5 * tune.Whole / 16: "",
	} {
		if got, ok := valueName(d); got != want || ok != (want != "") {
			t.Errorf("%v: %q %v, want %q", d, got, ok, want)
		}
	}
	tl := NewTeller(&tune.Tune{}, nil)
	four, six := tune.Meter{Beats: 4, Unit: 4}, tune.Meter{Beats: 6, Unit: 8}
	for _, c := range []struct {
		b    tune.Bar
		at   tune.Ticks
		want string
	}{
		{tune.Bar{Number: 1, Meter: four, Len: tune.Whole}, 0, "beat 1"},
		{tune.Bar{Number: 1, Meter: four, Len: tune.Whole}, 3 * quarter / 2, "beat 2 and a half"},
		{tune.Bar{Number: 1, Meter: six, Len: 3 * quarter}, 3 * tune.Whole / 8, "beat 2"},
		{tune.Bar{Number: 1, Meter: six, Len: 3 * quarter}, tune.Whole / 8, "beat 1 and a third"},
		{tune.Bar{Number: 0, Meter: four, Len: quarter}, 0, "beat 4"}, // a pickup
		{tune.Bar{Number: 0, Meter: four, Len: tune.Whole}, 0, "beat 1"},
		{tune.Bar{Number: 5, Meter: four, Len: quarter}, 0, "beat 1"},
	} {
		if got := tl.beat(&c.b, c.at); got != c.want {
			t.Errorf("bar %d, %v: %q, want %q", c.b.Number, c.at, got, c.want)
		}
	}
}

// Where a compromise stands.
func TestPlaceOfACompromise(t *testing.T) {
	u := &tune.Tune{Bars: []tune.Bar{{Meter: tune.Meter{Beats: 4, Unit: 4}}}}
	for _, c := range []struct {
		bar  int
		at   tune.Ticks
		want string
	}{{0, 0, "beat 1"}, {0, 3 * quarter, "beat 4"}, {0, quarter / 2, "1/8 into it"}, {1, quarter, "1/4"}, {-1, quarter, "1/4"}} {
		if got := Place(u, tab.Compromise{Ref: tune.Ref{Bar: c.bar}, At: c.at}); got != c.want {
			t.Errorf("bar %d, %v: %q, want %q", c.bar, c.at, got, c.want)
		}
	}
}

// told makes a tab of one bar on the built-in rig and tells it.
func told(t *testing.T, rigName string, strokes ...tab.Stroke) string {
	t.Helper()
	r := rigtest.Builtin(t, rigName)
	key, _ := pitch.ParseKey("G")
	u := &tune.Tune{Title: "Low Tide", Voices: []tune.Voice{{ID: "1"}}, Bars: []tune.Bar{{Number: 1, Key: key, Meter: tune.Meter{Beats: 4, Unit: 4}, Len: tune.Whole}}}
	out := Tell(&tab.Tab{Tune: u, Rig: r, Strokes: strokes})
	_, bar, ok := strings.Cut(out, "Bar 1: ")
	if !ok {
		t.Fatalf("no bar in %q", out)
	}
	return strings.TrimSuffix(bar, ".\n")
}

// straight lays the steel square at a fret.
func straight(fret float64) steel.Placement {
	return steel.Placement{Kind: steel.Straight, First: 1, Last: 6, FirstFret: fret, LastFret: fret}
}

// What a stroke is in words, for players who hear their tab.
func TestStrokesInWords(t *testing.T) {
	pl := func(s int, fret float64, with ...func(*tab.Pluck)) tab.Pluck {
		p := tab.Pluck{String: s, Fret: fret, Len: quarter}
		for _, w := range with {
			w(&p)
		}
		return p
	}
	as := func(a tab.Attack) func(*tab.Pluck) { return func(p *tab.Pluck) { p.Attack = a } }
	glide := func(p *tab.Pluck) { p.Glide = true }
	finger := func(f tab.Finger) func(*tab.Pluck) { return func(p *tab.Pluck) { p.Finger = f } }
	st := func(p steel.Placement, plucks ...tab.Pluck) tab.Stroke {
		return tab.Stroke{Placement: p, Plucks: plucks}
	}
	at := func(t tune.Ticks, s tab.Stroke) tab.Stroke { s.At = t; return s }
	for _, c := range []struct {
		strokes []tab.Stroke
		want    string
	}{
		{nil, "rest"},
		{[]tab.Stroke{{}}, "rest"},
		{[]tab.Stroke{st(steel.Placement{}, pl(1, 0))}, "beat 1: open string 1, for one beat"},
		{[]tab.Stroke{st(steel.Placement{}, pl(1, 0, as(tab.PulledOff)))}, "beat 1: pull off to open string 1, for one beat"},
		{[]tab.Stroke{st(straight(5), pl(1, 5))}, "beat 1: fret 5, straight, string 1, for one beat"}, // laid for the first time
		{[]tab.Stroke{st(straight(5), pl(1, 5)), at(quarter, st(straight(7), pl(1, 7)))}, "beat 1: fret 5, straight, string 1, for one beat; beat 2: fret 7, string 1, for one beat"},
		{[]tab.Stroke{st(straight(5), pl(1, 5), pl(2, 5))}, "beat 1: fret 5, straight, strings 1 and 2, for one beat"},
		{[]tab.Stroke{st(straight(5), pl(1, 5, as(tab.Hammered)), pl(6, 0))}, "beat 1: hammer on to fret 5, straight, string 1, open string 6, for one beat"},
		{[]tab.Stroke{st(steel.Placement{Kind: steel.Nose, First: 2, Last: 2, FirstFret: 5, LastFret: 5}, pl(2, 5))}, "beat 1: fret 5, with the nose of the steel, string 2, for one beat"},
		{[]tab.Stroke{st(steel.Placement{}, pl(1, 12, as(tab.Harmonic)), pl(2, 12, as(tab.Harmonic)), pl(3, 0, as(tab.Harmonic), func(p *tab.Pluck) { p.Node = 3 }))},
			"beat 1: harmonic at fret 12 on strings 1 and 2, harmonic at fret 7 on string 3, for one beat"},
		{[]tab.Stroke{st(straight(5), pl(1, 5, as(tab.Tied)), pl(2, 5))}, "beat 1: fret 5, straight, string 2, string 1 held on, for one beat"},
		{[]tab.Stroke{st(straight(5), pl(1, 5, func(p *tab.Pluck) { p.Scoop, p.Vibrato = -1, true }))}, "beat 1: fret 5, straight, string 1, slid into from below, for one beat, vibrato"},
		{[]tab.Stroke{st(straight(5), pl(1, 5, func(p *tab.Pluck) { p.Scoop, p.Damp = 2, true }))}, "beat 1: fret 5, straight, string 1, slid into from above, for one beat, then stop it"},
		{[]tab.Stroke{{Grace: true, Placement: straight(5), Plucks: []tab.Pluck{pl(1, 5)}}}, "beat 1: fret 5, straight, string 1, quickly"},
		{[]tab.Stroke{st(straight(5), pl(1, 5, finger(tab.Thumb)))}, "beat 1: fret 5, straight, string 1, for one beat, thumb"},
		{[]tab.Stroke{st(straight(5), pl(1, 5, finger(tab.Middle)), pl(3, 5, finger(tab.Thumb)))}, "beat 1: fret 5, straight, strings 1 and 3, for one beat, middle on 1 and thumb on 3"},
		{[]tab.Stroke{st(straight(5), pl(1, 5, glide)), at(quarter, st(straight(7), pl(1, 7, as(tab.Glided))))},
			"beat 1: fret 5, straight, string 1, for one beat, glide up to 7 over one beat; beat 2: arrive at fret 7, string 1, for one beat"},
		{[]tab.Stroke{st(straight(7), pl(1, 7, glide), pl(2, 7)), at(quarter, st(straight(5), pl(1, 5, as(tab.Glided))))},
			"beat 1: fret 7, straight, strings 1 and 2, for one beat, glide down to 5 on string 1 over one beat while string 2 rings on; beat 2: arrive at fret 5, string 1, for one beat"},
		{[]tab.Stroke{st(straight(7), pl(1, 7, glide), pl(2, 7), pl(3, 7)), at(quarter, st(straight(7), pl(1, 7, as(tab.Glided))))},
			"beat 1: fret 7, straight, strings 1, 2 and 3, for one beat, move the bender on string 1 over one beat while strings 2 and 3 ring on; beat 2: arrive at fret 7, string 1, for one beat"},
		{[]tab.Stroke{st(straight(7), pl(1, 7, glide), pl(2, 7, glide)), at(quarter, st(straight(8), pl(1, 8, as(tab.Glided)), pl(2, 6, as(tab.Glided))))},
			"beat 1: fret 7, straight, strings 1 and 2, for one beat, glide up to 8 on string 1 and glide down to 6 on string 2 over one beat; beat 2: arrive at straight, fret 8 on string 1 and fret 6 on string 2, for one beat"},
		{[]tab.Stroke{st(straight(7), pl(1, 7, glide))}, "beat 1: fret 7, straight, string 1, for one beat"}, // nothing to glide to
	} {
		if got := told(t, "reso-open-g", c.strokes...); got != c.want {
			t.Errorf("got\n%s\nwant\n%s", got, c.want)
		}
	}
	// A slant of a fret over two strings, by hand: the angle whose tangent is the
	// fret's width over the strings' distance.
	lean := steel.Placement{Kind: steel.Forward, First: 1, Last: 2, FirstFret: 6, LastFret: 5}
	if got := told(t, "reso-open-g", st(lean, pl(1, 6), pl(2, 5))); !strings.HasPrefix(got, "beat 1: forward slant of ") || !strings.HasSuffix(got, " degrees, fret 6 on string 1 and fret 5 on string 2, for one beat") {
		t.Errorf("a slant: %s", got)
	}
}

// Benders are told when they are engaged and change a string that is played.
func TestBendersInWords(t *testing.T) {
	r, _ := rig.Builtin("pedal10-e9")
	tl := NewTeller(&tune.Tune{}, &tab.Tab{Tune: &tune.Tune{}, Rig: r})
	for i := range r.Benders {
		for s := 1; s <= len(r.Strings); s++ {
			want := ""
			if r.Benders[i].Changes(s) {
				want = "with bender " + r.Benders[i].Mark
			}
			if got := tl.benders(&tab.Stroke{Benders: 1 << i, Plucks: []tab.Pluck{{String: s}}}); got != want {
				t.Errorf("bender %d on string %d: %q, want %q", i, s, got, want)
			}
			if got := tl.benders(&tab.Stroke{Plucks: []tab.Pluck{{String: s}}}); got != "" {
				t.Errorf("no bender on string %d: %q", s, got)
			}
		}
	}
	if got := benderName(&rig.Bender{Name: "palm 1"}); got != "palm 1" {
		t.Errorf("a bender without a letter: %q", got)
	}
}

// What is told of a piece and before and after the notes of its bars.
func TestTellTune(t *testing.T) {
	g, _ := pitch.ParseKey("G")
	d, _ := pitch.ParseKey("D minor")
	chord, err := pitch.ParseChord("Am7")
	if err != nil {
		t.Fatal(err)
	}
	note := func(at, length tune.Ticks, names ...string) tune.Event {
		e := tune.Event{At: at, Len: length}
		for _, n := range names {
			name, err := pitch.ParseName(n)
			if err != nil {
				t.Fatal(err)
			}
			e.Notes = append(e.Notes, tune.Note{Name: name})
		}
		return e
	}
	four, three := tune.Meter{Beats: 4, Unit: 4}, tune.Meter{Beats: 3, Unit: 4}
	u := &tune.Tune{Bars: []tune.Bar{
		{Number: 0, Key: g, Meter: four, Len: quarter, Lines: [][]tune.Event{{note(0, quarter, "D4")}},
			Tempos: []tune.Tempo{{Beat: quarter, PerMinute: 92_500, Text: "Slowly"}, {Beat: 0, Text: "freely"}, {Beat: 5 * tune.Whole / 16, PerMinute: 60_000}}},
		{Number: 1, Key: g, Meter: four, Len: tune.Whole, Left: tune.Barline{Repeat: 1}, Right: tune.Barline{Repeat: 1}, Part: "A", Signs: []tune.Sign{{Kind: tune.Segno}, {Kind: tune.DalSegno}},
			Chords: []tune.ChordAt{{Text: "Am7", Chord: &chord}, {At: 2 * quarter, Text: "Tune"}}, Texts: []tune.TextAt{{Text: "dolce"}},
			Lines: [][]tune.Event{{note(0, 2*quarter, "G4", "B4"), {At: 2 * quarter, Len: 2 * quarter, Kind: tune.Rest}}, {{Len: tune.Whole, Kind: tune.Skip}}}},
		{Number: 2, Key: d, Meter: three, Len: 3 * quarter, Endings: []int{1, 2}, Right: tune.Barline{Repeat: 2}, Signs: []tune.Sign{{Kind: tune.Coda}},
			Lines: [][]tune.Event{{note(0, 3*quarter, "F4")}, {note(0, 3*quarter, "D4")}}},
		{Number: 3, Key: d, Meter: three, Len: 3 * quarter, Lines: [][]tune.Event{{{Len: 3 * quarter, Kind: tune.Skip}}}},
	}}
	want := `Untitled.
In G major, 4 4 time, 3 bars.
Pickup (Slowly 92.5 quarter notes a minute, freely): D4 for one beat.
Bar 1 (part A, a repeat begins, segno, chord Am7, chord Tune on beat 3, dolce): voice 1: G4 and B4 for two beats, rest for two beats. D.S. Repeat.
Bar 2 (now in D minor, now 3 4 time, ending 1 2, coda): voice 1: F4 for three beats; voice 2: D4 for three beats. Repeat 2 times.
Bar 3: rest.
`
	if got := TellTune(u); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if TellTune(nil) != "" || Tell(nil) != "" || Tell(&tab.Tab{Tune: u}) != "" || Tell(&tab.Tab{Rig: &rig.Rig{}}) != "" {
		t.Error("something is told of nothing")
	}
	if got := meterWords(tune.Meter{}); got != "free time" {
		t.Errorf("free meter: %q", got)
	}
}

// The head of a tab tells the rig, its tuning, the capo, and how far what
// sounds lies from the tune as it came.
func TestHeadOfATab(t *testing.T) {
	r, _ := rig.Builtin("reso-open-g")
	r = r.Clone()
	head := func(transposed int) string {
		return NewTeller(&tune.Tune{Title: "Low Tide"}, &tab.Tab{Tune: &tune.Tune{}, Rig: r, Transposed: transposed}).Head()[1]
	}
	if got := head(0); !strings.HasPrefix(got, "For "+r.Title+", tuned low to high G") || strings.Contains(got, "frets count from it") || strings.Contains(got, "sounds") {
		t.Errorf("as it came: %q", got)
	}
	if got := head(-2); !strings.HasSuffix(got, "; it sounds 2 semitones below the tune as it came.") {
		t.Errorf("transposed: %q", got)
	}
	r.Capo.Highest = 5
	capoed, err := r.WithCapo(1)
	if err != nil {
		t.Fatal(err)
	}
	r = capoed
	r.Title = ""
	if got := head(0); !strings.Contains(got, ", and frets count from it") || !strings.HasPrefix(got, "For reso-open-g, ") {
		t.Errorf("with a capo: %q", got)
	}
	tb := &tab.Tab{Tune: &tune.Tune{Bars: []tune.Bar{{Meter: tune.Meter{Beats: 4, Unit: 4}}}}, Rig: r, Compromises: []tab.Compromise{{BarNumber: 3, At: quarter, Wanted: "F#4", Got: "nothing", Why: "too low"}}}
	if got := Tell(tb); !strings.HasSuffix(got, "Not exactly as the tune says: bar 3, beat 2: wanted F#4, got nothing: too low.\n") {
		t.Errorf("a compromise: %q", got)
	}
}

// Words of navigation marks, as they are printed (common practice, no source).
func TestSigns(t *testing.T) {
	for kind, want := range map[tune.SignKind]string{
		tune.Segno: "", tune.Coda: "", tune.ToCoda: "To Coda", tune.Fine: "Fine", tune.DaCapo: "D.C.", tune.DalSegno: "D.S.",
		tune.DaCapoAlFine: "D.C. al Fine", tune.DalSegnoAlFine: "D.S. al Fine", tune.DaCapoAlCoda: "D.C. al Coda", tune.DalSegnoAlCoda: "D.S. al Coda",
	} {
		if got := Sign(tune.Sign{Kind: kind}); got != want {
			t.Errorf("sign %d: %q, want %q", kind, got, want)
		}
		if got := Sign(tune.Sign{Kind: kind, Text: "Fin"}); got != "Fin" {
			t.Errorf("sign %d in the music's own words: %q", kind, got)
		}
	}
}

// Numbers near the edges of words.
func TestEdgesOfWords(t *testing.T) {
	for _, c := range [][2]string{
		{Moved(12), "an octave above"}, {Moved(13), "an octave and a semitone above"}, {Moved(-1), "a semitone below"}, {Moved(2), "2 semitones above"}, {Moved(-36), "3 octaves below"},
		{Fret(5.19), "5"}, {Fret(5.21), "5.2"}, {Fret(4.81), "5"}, {Fret(4.79), "4.8"},
		{Plural("y"), "ys"}, {Plural("wish"), "wishes"}, {Plural("boy"), "boys"},
		{Passes([]int{2, 3, 4}), "2.–4."}, {Passes([]int{1, 2, 4}), "1. 2. 4."}, {Passes([]int{4, 3, 2}), "4. 3. 2."}, {Passes(nil), ""},
	} {
		if c[0] != c[1] {
			t.Errorf("said %q, want %q", c[0], c[1])
		}
	}
	if unby("by ") != "by " || unby("BY X") != "X" {
		t.Errorf("composers %q, %q", unby("by "), unby("BY X"))
	}
}
