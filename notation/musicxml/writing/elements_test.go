package writing

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/notation/musicxml/terms"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// written returns what is written, on one line and without what stands between the elements.
func written(write func(*emitter)) string {
	e := &emitter{}
	write(e)
	var out []string
	for _, l := range strings.Split(e.String(), "\n") {
		out = append(out, strings.TrimLeft(l, " "))
	}
	return strings.Join(out, "")
}

// TestBeamLevels: beams keep to the beat where the source parts none, else they run until it does;
// a note alone on a level has a hook, towards the notes that it is with (common practice, no source).
func TestBeamLevels(t *testing.T) {
	const eighth, sixteenth, quarter = 3, 4, 2
	type note struct {
		log2, dots int
		ends       bool
	}
	for name, c := range map[string]struct {
		meter tune.Meter
		notes []note
		want  string
	}{
		"four eighths":         {tune.Meter{Beats: 4, Unit: 4}, []note{{eighth, 0, false}, {eighth, 0, false}, {eighth, 0, false}, {eighth, 0, false}}, "begin end begin end"},
		"four under one":       {tune.Meter{Beats: 4, Unit: 4}, []note{{eighth, 0, false}, {eighth, 0, false}, {eighth, 0, false}, {eighth, 0, true}}, "begin continue continue end"},
		"two and two":          {tune.Meter{Beats: 2, Unit: 2}, []note{{eighth, 0, false}, {eighth, 0, true}, {eighth, 0, false}, {eighth, 0, false}}, "begin end begin end"},
		"half a bar":           {tune.Meter{Beats: 2, Unit: 2}, []note{{eighth, 0, false}, {eighth, 0, false}, {eighth, 0, false}, {eighth, 0, false}}, "begin continue continue end"},
		"three in six-eight":   {tune.Meter{Beats: 6, Unit: 8}, []note{{eighth, 0, false}, {eighth, 0, false}, {eighth, 0, false}, {eighth, 0, false}}, "begin continue end -"},
		"a quarter between":    {tune.Meter{Beats: 6, Unit: 8}, []note{{eighth, 0, false}, {quarter, 0, false}, {eighth, 0, false}, {eighth, 0, false}}, "- - begin end"},
		"dotted and short":     {tune.Meter{Beats: 4, Unit: 4}, []note{{eighth, 1, false}, {sixteenth, 0, false}}, "begin end+backward hook"},
		"short and dotted":     {tune.Meter{Beats: 4, Unit: 4}, []note{{sixteenth, 0, false}, {eighth, 1, false}}, "begin+forward hook end"},
		"short, long, short":   {tune.Meter{Beats: 4, Unit: 4}, []note{{sixteenth, 0, false}, {eighth, 0, false}, {sixteenth, 0, false}}, "begin+forward hook continue end+backward hook"},
		"long, two short":      {tune.Meter{Beats: 4, Unit: 4}, []note{{eighth, 0, false}, {sixteenth, 0, false}, {sixteenth, 0, false}}, "begin continue+begin end+end"},
		"three short":          {tune.Meter{Beats: 4, Unit: 4}, []note{{sixteenth, 0, false}, {sixteenth, 0, false}, {sixteenth, 0, false}}, "begin+begin continue+continue end+end"},
		"a short one between":  {tune.Meter{Beats: 6, Unit: 8}, []note{{eighth, 0, false}, {sixteenth, 0, false}, {eighth, 0, false}}, "begin continue+backward hook end"},
		"one alone":            {tune.Meter{Beats: 4, Unit: 4}, []note{{eighth, 0, false}, {quarter, 0, false}}, "- -"},
		"parted at the end":    {tune.Meter{Beats: 4, Unit: 4}, []note{{eighth, 0, true}, {eighth, 0, false}}, "- -"},
		"the shortest of them": {tune.Meter{Beats: 4, Unit: 4}, []note{{10, 0, false}, {10, 0, false}}, strings.Repeat("begin+", 7) + "begin " + strings.Repeat("end+", 7) + "end"},
	} {
		b := &tune.Bar{Meter: c.meter}
		var line []tune.Event
		at := tune.Ticks(0)
		for _, n := range c.notes {
			v := tune.Value{Log2: int8(n.log2), Dots: int8(n.dots)}
			line = append(line, tune.Event{At: at, Len: v.Len(), Value: v, BeamEnd: n.ends, Notes: []tune.Note{{}}})
			at += v.Len()
		}
		var got []string
		for _, levels := range beamLevels(b, line) {
			s := strings.Join(levels, "+")
			if s == "" {
				s = "-"
			}
			got = append(got, s)
		}
		if g := strings.Join(got, " "); g != c.want {
			t.Errorf("%s: %s, want %s", name, g, c.want)
		}
	}
}

// TestEscaped: what XML 1.0 (section 2.2) has no place for is left out, the rest comes through.
func TestEscaped(t *testing.T) {
	for in, want := range map[string]string{
		`a<b>&"c"`: "a&lt;b&gt;&amp;&quot;c&quot;", "a b": "a b", "a\tb\nc": "a&#9;b&#10;c", "a\x1f\x00b\rc": "abc", "a\ufffdb\ufffe\uffffc": "abc", "é𝄞": "é𝄞", "\ufffc": "\ufffc",
	} {
		if got := written(func(e *emitter) { e.escape(in) }); got != want {
			t.Errorf("%q is written %q, want %q", in, got, want)
		}
	}
	for in, want := range map[int64]string{0: "0", 1000: "1", 1500: "1.5", 1050: "1.05", 1005: "1.005", 92_500: "92.5", 999: "0.999", 100_000: "100"} {
		if got := decimal(in); got != want {
			t.Errorf("%d thousandths are written %s, want %s", in, got, want)
		}
	}
	e := &emitter{}
	e.open("measure", "number", "1")
	e.empty("note", "a", "b", "c", "d")
	if e.elements != 5 || e.most != 5 || e.notes != 1 {
		t.Errorf("two elements and three attributes are counted as %d, %d, %d", e.elements, e.most, e.notes)
	}
	e.empty("measure")
	e.empty("sound")
	if e.elements != 2 || e.most != 5 || e.directions != 1 {
		t.Errorf("in the next measure are %d, at most %d, directions %d", e.elements, e.most, e.directions)
	}
}

// TestSmallElements: values, accidentals, signatures and meters one by one (MusicXML 4.0).
func TestSmallElements(t *testing.T) {
	value := func(log2, dots int) string {
		return written(func(e *emitter) { e.plainValue(tune.Value{Log2: int8(log2), Dots: int8(dots)}) })
	}
	accidental := func(n tune.Note, needed bool) string {
		return written(func(e *emitter) { e.accidental(&n, needed) })
	}
	key := func(text string) string {
		k, err := pitch.ParseKey(text)
		if err != nil {
			t.Fatal(err)
		}
		return written(func(e *emitter) { e.key(k) })
	}
	meter := func(m tune.Meter) string { return written(func(e *emitter) { e.meter(m) }) }
	sharp := tune.Note{Name: pitch.Note(pitch.F, 1, 4)}
	shown, courtesy := sharp, sharp
	shown.Show, courtesy.Courtesy = true, true
	for _, c := range [][2]string{
		{value(-3, 0), "<type>maxima</type>"},
		{value(-4, 0), ""},
		{value(10, 0), "<type>1024th</type>"},
		{value(11, 0), ""},
		{value(2, 2), "<type>quarter</type><dot/><dot/>"},
		{accidental(sharp, false), ""},
		{accidental(sharp, true), "<accidental>sharp</accidental>"},
		{accidental(shown, false), "<accidental>sharp</accidental>"},
		{accidental(courtesy, false), `<accidental cautionary="yes" parentheses="yes">sharp</accidental>`},
		{accidental(tune.Note{Name: pitch.Note(pitch.B, -2, 4)}, true), "<accidental>flat-flat</accidental>"},
		{accidental(tune.Note{Name: pitch.Note(pitch.B, 0, 4)}, true), "<accidental>natural</accidental>"},
		{key("C#"), "<key><fifths>7</fifths><mode>major</mode></key>"},
		{key("Cb"), "<key><fifths>-7</fifths><mode>major</mode></key>"},
		{key("E minor"), "<key><fifths>1</fifths><mode>minor</mode></key>"},
		{key("D major, signed F# Bb"), "<key><key-step>F</key-step><key-alter>1</key-alter><key-step>B</key-step><key-alter>-1</key-alter></key>"},
		{meter(tune.Meter{Beats: 4, Unit: 4, Symbol: "C"}), `<time symbol="common"><beats>4</beats><beat-type>4</beat-type></time>`},
		{meter(tune.Meter{Beats: 2, Unit: 2, Symbol: "C|"}), `<time symbol="cut"><beats>2</beats><beat-type>2</beat-type></time>`},
		{meter(tune.Meter{Beats: 5, Unit: 8, Groups: []int{2, 3}}), "<time><beats>2+3</beats><beat-type>8</beat-type></time>"},
		{meter(tune.Meter{}), "<time><senza-misura/></time>"},
		{written(func(e *emitter) { e.class("bass", "step", "alter", pitch.Class{Letter: pitch.B, Alter: -1}) }), "<bass><step>B</step><alter>-1</alter></bass>"},
		{written(func(e *emitter) { e.class("bass", "step", "alter", pitch.Class{Letter: pitch.B}) }), "<bass><step>B</step></bass>"},
		{numbers([]int{1, 2, 10}), "1, 2, 10"},
		{fmt.Sprint(divisions(3).of(tune.Whole/12), divisions(3).of(tune.Whole*3/4)), "1 9"},
	} {
		if c[0] != c[1] {
			t.Errorf("written %s, want %s", c[0], c[1])
		}
	}
	e := tune.Event{Tuplets: []tune.Tuplet{{Actual: 3, Normal: 2, Starts: true}, {Actual: 5, Normal: 4, Starts: true, Ends: true}}}
	if got, want := written(func(w *emitter) { w.timeModification(&e) }), "<time-modification><actual-notes>15</actual-notes><normal-notes>8</normal-notes></time-modification>"; got != want {
		t.Errorf("a tuplet in a tuplet: %s", got)
	}
	if got, want := written(func(w *emitter) { w.tuplets(&e) }), `<tuplet type="start" number="1"><tuplet-actual><tuplet-number>3</tuplet-number></tuplet-actual><tuplet-normal><tuplet-number>2</tuplet-number></tuplet-normal></tuplet>`+
		`<tuplet type="start" number="2"><tuplet-actual><tuplet-number>5</tuplet-number></tuplet-actual><tuplet-normal><tuplet-number>4</tuplet-number></tuplet-normal></tuplet><tuplet type="stop" number="2"/>`; got != want {
		t.Errorf("a tuplet in a tuplet: %s", got)
	}
	for _, c := range []struct {
		tuplets []tune.Tuplet
		want    bool
	}{{nil, false}, {[]tune.Tuplet{{}}, false}, {[]tune.Tuplet{{Starts: true}}, true}, {[]tune.Tuplet{{}, {Ends: true}}, true}} {
		if got := edgeOfTuplet(&tune.Event{Tuplets: c.tuplets}); got != c.want {
			t.Errorf("%+v is the edge of a tuplet: %v", c.tuplets, got)
		}
	}
}

// TestGoingOn: slurs and slides that are open at once have numbers of their own, 1 to 16
// (MusicXML 4.0, number-level); what comes last ends first.
func TestGoingOn(t *testing.T) {
	st := &voiceState{}
	got := written(func(e *emitter) {
		st.writeSlurs(e, &tune.Event{Slurs: 2})
		st.writeSlurs(e, &tune.Event{SlurEnds: 1, Slurs: 1})
		st.writeSlurs(e, &tune.Event{SlurEnds: 3})
	})
	slur := func(kind string, n int) string { return fmt.Sprintf(`<slur type="%s" number="%d"/>`, kind, n) }
	if want := slur("start", 1) + slur("start", 2) + slur("stop", 2) + slur("start", 2) + slur("stop", 2) + slur("stop", 1); got != want {
		t.Errorf("slurs %s, want %s", got, want)
	}
	got = written(func(e *emitter) { st.writeSlurs(e, &tune.Event{Slurs: 17}) })
	if !strings.HasSuffix(got, slur("start", 16)+slur("start", 1)) {
		t.Errorf("seventeen slurs: %s", got)
	}
	slide := func(kind string, n int) string {
		return fmt.Sprintf(`<slide type="%s" number="%d" line-type="solid"/>`, kind, n)
	}
	on, off := &tune.Note{Glide: true}, &tune.Note{}
	st = &voiceState{}
	got = written(func(e *emitter) {
		st.writeSlides(e, on, 1) // two notes slide
		st.writeSlides(e, on, 0)
		st.endSlides()
		st.writeSlides(e, off, 2) // to a chord of three whose lowest is new
		st.writeSlides(e, on, 1)  // the middle one slides on
		st.writeSlides(e, off, 0)
		st.endSlides()
		st.writeSlides(e, off, 1)
	})
	if want := slide("start", 1) + slide("start", 2) + slide("stop", 1) + slide("start", 3) + slide("stop", 2) + slide("stop", 3); got != want {
		t.Errorf("slides %s, want %s", got, want)
	}
	st = &voiceState{}
	got = written(func(e *emitter) {
		for range 17 {
			st.writeSlides(e, on, 0)
		}
	})
	if !strings.HasSuffix(got, slide("start", 15)+slide("start", 16)+slide("start", 16)) {
		t.Errorf("seventeen slides: %s", got)
	}
	st = &voiceState{slides: []slideEnd{{0, 1}, {-1, 2}}}
	if !st.slideStops(0) || st.slideStops(1) || !st.slideStops(-1) {
		t.Errorf("slides stop where they don't")
	}
	st = &voiceState{verses: map[int]bool{}}
	var kinds []string
	for _, l := range []tune.Lyric{{Verse: 1, Hyphen: true}, {Verse: 2}, {Verse: 1, Hyphen: true}, {Verse: 1}, {Verse: 1}} {
		s := written(func(e *emitter) { st.writeLyrics(e, &tune.Event{Lyrics: []tune.Lyric{l}}) })
		_, s, _ = strings.Cut(s, "<syllabic>")
		s, _, _ = strings.Cut(s, "<")
		kinds = append(kinds, s)
	}
	if fmt.Sprint(kinds) != "[begin single middle end single]" {
		t.Errorf("syllables %v", kinds)
	}
}

// partOf returns the writer of a tune.
func partOf(t *testing.T, e *emitter, place int, tn *tune.Tune) *part {
	t.Helper()
	p, err := newPart(e, place, tn, nil)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// TestBarlines: what is written at each side of a bar (MusicXML 4.0, the element barline).
func TestBarlines(t *testing.T) {
	one := tunetest.Quarters(1, "G3")
	for name, c := range map[string]struct {
		change     func(*tune.Bar)
		side, want string
	}{
		"nothing":           {func(b *tune.Bar) {}, "left", ""},
		"nothing right":     {func(b *tune.Bar) { b.Left.Repeat = 1; b.Endings = []int{1} }, "right", ""},
		"a repeat begins":   {func(b *tune.Bar) { b.Left.Repeat = 1 }, "left", `<barline location="left"><bar-style>heavy-light</bar-style><repeat direction="forward"/></barline>`},
		"a repeat ends":     {func(b *tune.Bar) { b.Right.Repeat = 1 }, "right", `<barline location="right"><bar-style>light-heavy</bar-style><repeat direction="backward"/></barline>`},
		"three times":       {func(b *tune.Bar) { b.Right.Repeat = 2 }, "right", `<barline location="right"><bar-style>light-heavy</bar-style><repeat direction="backward" times="3"/></barline>`},
		"a double bar":      {func(b *tune.Bar) { b.Right.Style = tune.DoubleBarline }, "right", `<barline location="right"><bar-style>light-light</bar-style></barline>`},
		"dotted, repeated":  {func(b *tune.Bar) { b.Right = tune.Barline{Style: tune.DottedBarline, Repeat: 1} }, "right", `<barline location="right"><bar-style>dotted</bar-style><repeat direction="backward"/></barline>`},
		"an ending begins":  {func(b *tune.Bar) { b.Endings = []int{1, 2} }, "left", `<barline location="left"><ending number="1, 2" type="start"/></barline>`},
		"an ending is open": {func(b *tune.Bar) { b.Endings, b.EndingEnds = []int{2}, true }, "right", `<barline location="right"><ending number="2" type="discontinue"/></barline>`},
		"an ending repeats": {func(b *tune.Bar) { b.Endings, b.EndingEnds, b.Right.Repeat = []int{1}, true, 1 }, "right", `<barline location="right"><bar-style>light-heavy</bar-style><ending number="1" type="stop"/><repeat direction="backward"/></barline>`},
		"no ending begun":   {func(b *tune.Bar) { b.EndingEnds = true }, "right", `<barline location="right"><ending number="1" type="discontinue"/></barline>`},
	} {
		b := one
		c.change(&b)
		tn := tunetest.Song(b)
		got := written(func(e *emitter) { partOf(t, e, 1, tn).barline(&tn.Bars[0], c.side) })
		if got != c.want {
			t.Errorf("%s: %s, want %s", name, got, c.want)
		}
	}
	bars := []tune.Bar{one, one, one}
	bars[0].Endings, bars[2].Endings = []int{1, 3}, []int{2}
	tn := tunetest.Song(bars...)
	for i, want := range []string{"[1 3]", "[1 3]", "[2]"} {
		if got := fmt.Sprint(partOf(t, &emitter{}, 1, tn).openEnding(&tn.Bars[i])); got != want {
			t.Errorf("at bar %d the ending %s is open, want %s", i+1, got, want)
		}
	}
}

// TestClefs: a tune that lies below B3 on the average is written an octave higher; B3 is key 59.
func TestClefs(t *testing.T) {
	for names, want := range map[string]bool{"B3": false, "Bb3": true, "A3 C#4": false, "A3 C4": true, "G4": false, "": false} {
		tn := tunetest.Song(tunetest.Quarters(1, strings.Fields(names)...))
		got := written(func(e *emitter) { partOf(t, e, 1, tn).clefs() })
		if strings.Contains(got, "<clef-octave-change>-1<") != want {
			t.Errorf("%s: %s", names, got)
		}
	}
}

// TestSounds: the standard sound of a body and its General MIDI program; a part's channel is its
// number, the drums' tenth left out.
func TestSounds(t *testing.T) {
	for body, want := range map[rig.Body]string{rig.LapSteel: "pluck.guitar.pedal-steel 28", rig.Tricone: "pluck.guitar.resonator 26", rig.HollowNeckAcoustic: "pluck.guitar.steel-string 26"} {
		if name, program := instrument(body); fmt.Sprint(name, " ", program) != want {
			t.Errorf("%s: %s %d, want %s", body, name, program, want)
		}
	}
	voices := func(names ...string) string {
		tn := tunetest.Song(tunetest.Quarters(1, "G3"))
		tn.Voices = nil
		for _, n := range names {
			tn.Voices = append(tn.Voices, tune.Voice{ID: "1", Name: n})
		}
		return written(func(e *emitter) { partOf(t, e, 2, tn).writeListed() })
	}
	for want, got := range map[string]string{"Steel": voices("Steel"), "Melody": voices(""), "Melody ": voices("Steel", "Voice")} {
		if got != `<score-part id="P2"><part-name>`+strings.TrimSpace(want)+"</part-name></score-part>" {
			t.Errorf("%s is listed %s", want, got)
		}
	}
	tn := tunetest.Song(tunetest.Quarters(1, "G3"))
	tn.Voices = []tune.Voice{{ID: "1", Name: "a"}, {ID: "x", Name: "b"}}
	var fields []string
	partOf(t, &emitter{}, 1, tn).ownFields(func(name, value string) { fields = append(fields, name+"="+value) })
	if got := strings.Join(fields, " "); got != "voice name 1=a voice 2=x voice name 2=b" {
		t.Errorf("fields %s", got)
	}
	tn.Voices = tn.Voices[:1]
	partOf(t, &emitter{}, 1, tn).ownFields(func(name, value string) { t.Errorf("one plain voice has the field %s=%s", name, value) })
}

// TestWithinBounds: a score that is just as large as Read takes is written, and one larger is not.
func TestWithinBounds(t *testing.T) {
	tn := tunetest.Song(tunetest.Quarters(1, "G3"))
	size := 0
	try := func(change func(*emitter, *tune.Tune)) string {
		c := tn.Clone()
		e := &emitter{}
		change(e, c)
		out, err := (&score{e, []*part{partOf(t, e, 1, c)}}).bounded()
		if err != nil {
			return err.Error()
		}
		size = len(out)
		return ""
	}
	repeated := func(n int) func(*emitter, *tune.Tune) {
		return func(_ *emitter, c *tune.Tune) {
			for len(c.Bars) < n {
				c.Bars = append(c.Bars, c.Bars[0])
			}
		}
	}
	voiced := func(n int) func(*emitter, *tune.Tune) {
		return func(_ *emitter, c *tune.Tune) {
			for len(c.Voices) < n {
				c.Voices = append(c.Voices, tune.Voice{ID: fmt.Sprint(len(c.Voices) + 1)})
				c.Bars[0].Lines = append(c.Bars[0].Lines, c.Bars[0].Lines[0])
			}
		}
	}
	if err := try(func(*emitter, *tune.Tune) {}); err != "" {
		t.Fatal(err)
	}
	plain := size
	filled := func(more int) func(*emitter, *tune.Tune) {
		return func(e *emitter, _ *tune.Tune) { e.Write(make([]byte, terms.MaxBytes-plain+more)) }
	}
	const refused = "and %d is the most that is read again"
	for i, c := range []struct {
		change func(*emitter, *tune.Tune)
		want   string
	}{
		{voiced(terms.MaxVoices), ""},
		{voiced(terms.MaxVoices + 1), "the score would have 17 voices, " + refused},
		{repeated(terms.MaxMeasures), ""},
		{repeated(terms.MaxMeasures + 1), "the score would have 30001 measures, " + refused},
		{func(e *emitter, _ *tune.Tune) { e.notes = terms.MaxNotes - 1 }, ""},
		{func(e *emitter, _ *tune.Tune) { e.notes = terms.MaxNotes }, "the score would have 60001 notes, " + refused},
		{func(e *emitter, _ *tune.Tune) { e.directions = terms.MaxMarks }, ""},
		{func(e *emitter, _ *tune.Tune) { e.directions = terms.MaxMarks + 1 }, "directions and chord symbols, " + refused},
		{func(e *emitter, _ *tune.Tune) { e.most = terms.MaxElements }, ""},
		{func(e *emitter, _ *tune.Tune) { e.most = terms.MaxElements + 1 }, "elements in one measure, " + refused},
		{filled(0), ""},
		{filled(1), "bytes, " + refused},
	} {
		most := []int{terms.MaxVoices, terms.MaxMeasures, terms.MaxNotes, terms.MaxMarks, terms.MaxElements, terms.MaxBytes}[i/2]
		want := strings.ReplaceAll(c.want, "%d", fmt.Sprint(most))
		if got := try(c.change); (want == "") != (got == "") || !strings.Contains(got, want) {
			t.Errorf("case %d: %q, want %q", i, got, want)
		}
	}
}
