package writing

import (
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// over writes what stands over a bar between two times, in twelfths of a quarter.
func over(b *tune.Bar, from, until tune.Ticks, last bool) string {
	return written(func(e *emitter) { (&directionWriter{e, 12}).within(b, from, until, last) })
}

func chordAt(t *testing.T, at tune.Ticks, text string) tune.ChordAt {
	t.Helper()
	ch, err := pitch.ParseChord(text)
	if err != nil {
		t.Fatal(err)
	}
	return tune.ChordAt{At: at, Text: text, Chord: &ch}
}

// TestOverTheNotes: what stands from one note up to the next is written before the first, with how
// far from it it stands; what stands at the bar's end is written there (MusicXML 4.0, offset).
func TestOverTheNotes(t *testing.T) {
	const q = tune.Whole / 4
	b := &tune.Bar{
		Signs:  []tune.Sign{{At: q, Kind: tune.Segno}},
		Texts:  []tune.TextAt{{At: q, Text: "high"}, {At: 2 * q, Text: "low", Below: true}, {At: 4 * q, Text: "end"}},
		Tempos: []tune.Tempo{{At: q, Beat: q, PerMinute: 80_000}},
		Chords: []tune.ChordAt{chordAt(t, q, "G")},
	}
	all := func(s string) []string {
		var out []string
		for _, w := range []string{"<segno/>", "<metronome>", ">high<", ">low<", ">end<", "<harmony>"} {
			if strings.Contains(s, w) {
				out = append(out, strings.Trim(w, "<>/"))
			}
		}
		return out
	}
	for _, c := range []struct {
		from, until tune.Ticks
		last        bool
		want        string
	}{
		{0, q, false, ""},
		{0, q + 1, false, "segno metronome high harmony"},
		{q, 2 * q, false, "segno metronome high harmony"},
		{2 * q, 3 * q, false, "low"},
		{q + 1, 2 * q, false, ""},
		{4 * q, 4 * q, false, ""},
		{4 * q, 4 * q, true, "end"},
		{3 * q, 3 * q, true, "end"},
	} {
		if got := strings.Join(all(over(b, c.from, c.until, c.last)), " "); got != c.want {
			t.Errorf("from %s up to %s: %s, want %s", c.from, c.until, got, c.want)
		}
	}
	const offset = "<offset>6</offset>"
	half := over(b, q/2, 2*q, false)
	if n := strings.Count(half, offset); n != 4 {
		t.Errorf("%d offsets in %s, want 4", n, half)
	}
	if on := over(b, q, 2*q, false); strings.Contains(on, "offset") {
		t.Errorf("what stands on the note has an offset: %s", on)
	}
	if low := over(b, 2*q, 3*q, false); low != `<direction placement="below"><direction-type><words>low</words></direction-type></direction>` {
		t.Errorf("words below: %s", low)
	}
}

// TestTempoMarks: a tempo is a mark, words or both, and what plays it counts quarters.
func TestTempoMarks(t *testing.T) {
	const open = `<direction placement="above" directive="yes">`
	mark := func(unit, per string) string {
		return "<direction-type><metronome><beat-unit>" + unit + "<per-minute>" + per + "</per-minute></metronome></direction-type>"
	}
	words := func(s string) string {
		return "<direction-type><words>" + s + "</words></direction-type>"
	}
	for _, c := range []struct {
		tempo tune.Tempo
		want  string
	}{
		{tune.Tempo{Beat: tune.Whole / 4, PerMinute: 80_000}, mark("quarter</beat-unit>", "80") + `<sound tempo="80"/>`},
		{tune.Tempo{Beat: tune.Whole / 2, PerMinute: 60_500}, mark("half</beat-unit>", "60.5") + `<sound tempo="121"/>`},
		{tune.Tempo{Beat: 3 * tune.Whole / 8, PerMinute: 60_000, Text: "Jig"}, words("Jig") + mark("quarter</beat-unit><beat-unit-dot/>", "60") + `<sound tempo="90"/>`},
		{tune.Tempo{Beat: tune.Whole / 4, Text: "Slowly"}, words("Slowly")},
		{tune.Tempo{}, words("")},
		{tune.Tempo{Beat: tune.Whole / 12, PerMinute: 90_000, Text: "Slowly"}, words("Slowly") + `<sound tempo="30"/>`},
		{tune.Tempo{Beat: tune.Whole / 12, PerMinute: 90_000}, words("") + `<sound tempo="30"/>`},
		{tune.Tempo{Beat: tune.Whole / 12, PerMinute: 50_000}, words("") + `<sound tempo="16.667"/>`},
		{tune.Tempo{Beat: tune.Whole / 12, PerMinute: 50_002}, words("") + `<sound tempo="16.667"/>`},
		{tune.Tempo{Beat: tune.Whole / 16, PerMinute: 2}, mark("16th</beat-unit>", "0.002") + `<sound tempo="0.001"/>`},
	} {
		got := written(func(e *emitter) { (&directionWriter{e, 12}).tempo(c.tempo, 0) })
		if got != open+c.want+"</direction>" {
			t.Errorf("%+v is written %s, want %s", c.tempo, got, c.want)
		}
	}
}

// TestChordSymbols: root, kind, bass and degrees, and the text as it was typed where that can be
// told from them.
func TestChordSymbols(t *testing.T) {
	symbol := func(c tune.ChordAt) string {
		return written(func(e *emitter) { (&directionWriter{e, 12}).harmony(&c, 0) })
	}
	spelled := func(text, as string) tune.ChordAt {
		c := chordAt(t, 0, as)
		c.Text = text
		return c
	}
	const c, bb = "<root><root-step>C</root-step></root>", "<root><root-step>B</root-step><root-alter>-1</root-alter></root>"
	for _, x := range []struct {
		chord tune.ChordAt
		want  string
	}{
		{chordAt(t, 0, "C"), c + "<kind>major</kind>"},
		{chordAt(t, 0, "Cm7"), c + `<kind text="m7">minor-seventh</kind>`},
		{chordAt(t, 0, "C-7"), c + `<kind text="-7">minor-seventh</kind>`},
		{chordAt(t, 0, "Bb7"), bb + `<kind text="7">dominant</kind>`},
		{chordAt(t, 0, "Bb/D"), bb + "<kind>major</kind><bass><bass-step>D</bass-step></bass>"},
		{chordAt(t, 0, "C7/Bb"), c + `<kind text="7">dominant</kind><bass><bass-step>B</bass-step><bass-alter>-1</bass-alter></bass>`},
		{spelled("c minor", "Cm"), c + `<kind text="m">minor</kind>`},
		{spelled("C m", "Cm"), c + `<kind text="m">minor</kind>`},
		{spelled("Cm", "Cm/G"), c + `<kind text="m">minor</kind><bass><bass-step>G</bass-step></bass>`},
		{chordAt(t, 0, "Cm7b5/Gb"), c + `<kind text="m7b5">half-diminished</kind><bass><bass-step>G</bass-step><bass-alter>-1</bass-alter></bass>`},
		{chordAt(t, 0, "C7b9"), c + `<kind text="7b9">dominant</kind><degree print-object="no"><degree-value>9</degree-value><degree-alter>-1</degree-alter><degree-type>add</degree-type></degree>`},
		{tune.ChordAt{Text: "N.C."}, `<root><root-step text="">C</root-step></root><kind text="N.C.">none</kind>`},
	} {
		if got := symbol(x.chord); got != "<harmony>"+x.want+"</harmony>" {
			t.Errorf("%s is written %s, want %s", x.chord.Text, got, x.want)
		}
	}
}

// TestSwingIsWritten: swung eighths as first and second, by tempo as they are at the first. At 240
// quarters a minute a short note of 100 ms leaves 150 ms for the long one, 3 to 2; from 300 up
// they are even (see TestRatio of the room tune).
func TestSwingIsWritten(t *testing.T) {
	swing := func(s tune.Swing, beat tune.Ticks, perMinute int64) string {
		b := tunetest.Quarters(1, "G3")
		b.Tempos = []tune.Tempo{{Beat: beat, PerMinute: perMinute}}
		tn := tunetest.Song(b)
		tn.Swing = s
		return written(func(e *emitter) { partOf(t, e, 1, tn).writeSwing() })
	}
	pair := func(a, b string) string {
		return "<first>" + a + "</first><second>" + b + "</second><swing-type>eighth</swing-type>"
	}
	const style = "<swing-style>by tempo</swing-style>"
	const q = tune.Whole / 4
	for _, c := range [][2]string{
		{swing(tune.Swing{}, q, 100_000), ""},
		{swing(tune.TripletSwing, q, 100_000), pair("2", "1")},
		{swing(tune.Swing{Long: 7, Short: 5}, q, 100_000), pair("7", "5")},
		{swing(tune.TempoSwing, q, 240_000), pair("3", "2") + style},
		{swing(tune.TempoSwing, 2*q, 120_000), pair("3", "2") + style},
		{swing(tune.TempoSwing, q/2, 480_000), pair("3", "2") + style},
		{swing(tune.TempoSwing, q, 120_000), pair("2", "1") + style},
		{swing(tune.TempoSwing, q, 300_000), "<straight/>" + style},
		{swing(tune.TempoSwing, q, 250_000), pair("7", "5") + style}, // 1.4
	} {
		want := c[1]
		if want != "" {
			want = "<sound><swing>" + want + "</swing></sound>"
		}
		if c[0] != want {
			t.Errorf("written %s, want %s", c[0], want)
		}
	}
}

// TestDivisionsOfAQuarter: as many as make every length and place a whole number.
func TestDivisionsOfAQuarter(t *testing.T) {
	plain := func(change func(*tune.Bar)) *tune.Tune {
		b := tunetest.Quarters(1, "G3", "A3", "B3", "D4")
		change(&b)
		return tunetest.Song(b)
	}
	for name, c := range map[string]struct {
		change func(*tune.Bar)
		want   divisions
	}{
		"quarters":        {func(*tune.Bar) {}, 1},
		"an eighth":       {func(b *tune.Bar) { b.Lines[0][0].Len = tune.Whole / 8 }, 2},
		"a triplet":       {func(b *tune.Bar) { b.Lines[0][0].Len = tune.Whole / 12 }, 3},
		"both":            {func(b *tune.Bar) { b.Lines[0][0].Len, b.Lines[0][1].Len = tune.Whole/12, tune.Whole/8 }, 6},
		"the bar itself":  {func(b *tune.Bar) { b.Len = 7 * tune.Whole / 16 }, 4},
		"a word within":   {func(b *tune.Bar) { b.Texts = []tune.TextAt{{At: tune.Whole / 32}} }, 8},
		"a chord between": {func(b *tune.Bar) { b.Chords = []tune.ChordAt{{At: tune.Whole / 20}} }, 5},
	} {
		if got := divisionsFor(plain(c.change)); got != c.want {
			t.Errorf("%s: %d, want %d", name, got, c.want)
		}
	}
}

// TestAttributesThatChange: key and meter are written when they change, the rest in the first bar.
func TestAttributesThatChange(t *testing.T) {
	bars := []tune.Bar{tunetest.Quarters(0, "G3"), tunetest.Quarters(1, "G3"), tunetest.Quarters(2, "G3"), tunetest.Quarters(3, "G3")}
	bars[2].Key, _ = pitch.NewKey(pitch.Class{Letter: pitch.D}, pitch.Major)
	bars[3].Key = bars[2].Key
	bars[3].Meter = tune.Meter{Beats: 2, Unit: 2}
	bars[1].LineBreak = true
	bars[1].Part = "B"
	var got []string
	e := &emitter{}
	p := partOf(t, e, 1, tunetest.Song(bars...))
	for i := range bars {
		e.Reset()
		p.measure(i)
		var has []string
		for _, w := range []string{`implicit="yes"`, "<print", "<divisions>", "<key>", "<time>", "<clef>", "<rehearsal>", "<staves>", "<backup>"} {
			if strings.Contains(e.String(), w) {
				has = append(has, strings.Trim(w, "<>"))
			}
		}
		got = append(got, strings.Join(has, " "))
	}
	if g, want := strings.Join(got, "; "), `implicit="yes" divisions key time clef; rehearsal; print key; time`; g != want {
		t.Errorf("written %s, want %s", g, want)
	}
}
