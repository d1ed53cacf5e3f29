package musicxml

import (
	"encoding/xml"
	"fmt"
	"strings"
	"testing"

	"lapwright/tune"
)

// given writes what a score's first part and its first bar hold, and what is told of it.
func given(t *testing.T, in string) (music, warned string) {
	t.Helper()
	s, err := Read([]byte(score(in)), "x.xml")
	if err != nil {
		return err.Error(), ""
	}
	music = told(s.Parts[0].Tune)
	if b := firstBar(s); b != "" {
		music += "; " + b
	}
	for _, w := range s.Warnings {
		warned += w.Error() + "\n"
	}
	return music, warned
}

// sameReading compares what is read with what is wanted of it.
func sameReading(t *testing.T, cases map[string]element) {
	t.Helper()
	for name, c := range cases {
		got, warned := given(t, c.in)
		if !strings.Contains(got, c.want) || c.want == "" {
			t.Errorf("%s: got %s, want %s", name, got, c.want)
		}
		if c.told == "" && warned != "" || !strings.Contains(warned, c.told) {
			t.Errorf("%s: told %q, want %q", name, warned, c.told)
		}
	}
}

// pitched is a whole note with what is in its pitch.
func pitched(inside string) string {
	return attributed("") + "<note><pitch>" + inside + "</pitch><duration>4</duration></note></measure>"
}

func moved(inside, name string) string {
	return attributed("<key><fifths>0</fifths></key><transpose>"+inside+"</transpose>") + nt(name, whole) + "</measure>"
}

// TestPitchEdges: the lowest and the highest note are those of MIDI (C-1 and G9, keys 0 and
// 127); a note is altered and an instrument transposed by as much as is read, and no more.
func TestPitchEdges(t *testing.T) {
	alter := func(by string) string {
		return pitched("<step>C</step><alter>" + by + "</alter><octave>4</octave>")
	}
	sameReading(t, map[string]element{
		"lowest":            {pitched("<step>C</step><octave>-1</octave>"), "C-1:1", ""},
		"lower":             {pitched("<step>C</step><alter>-1</alter><octave>-1</octave>"), "x:1", "beyond all instruments"},
		"highest":           {pitched("<step>G</step><octave>9</octave>"), "G9:1", ""},
		"higher":            {pitched("<step>G</step><alter>1</alter><octave>9</octave>"), "x:1", "beyond all instruments"},
		"octave -2":         {pitched("<step>C</step><octave>-2</octave>"), "x:1", `the octave "-2" is none`},
		"octave 10":         {pitched("<step>C</step><octave>10</octave>"), "x:1", "the note C10 is beyond all instruments"},
		"octave 11":         {pitched("<step>C</step><octave>11</octave>"), "x:1", `the octave "11" is none`},
		"doubly sharp":      {alter("2"), "C##4:1", ""},
		"doubly flat":       {alter("-2"), "Cbb4:1", ""},
		"triply flat":       {alter("-3"), "A3:1", "more than two sharps or flats"},
		"up an octave":      {alter("12"), "C5:1", "more than two sharps or flats"},
		"down an octave":    {alter("-12"), "C3:1", "more than two sharps or flats"},
		"up too much":       {alter("12.5"), "x:1", `the alteration "12.5" is none`},
		"down too much":     {alter("-13"), "x:1", `the alteration "-13" is none`},
		"half a tone more":  {alter("6.5"), "G4:1", "more than two sharps or flats"},
		"half a tone less":  {alter("-6.5"), "F3:1", "more than two sharps or flats"},
		"no alteration":     {alter(""), "C4:1", ""},
		"five octaves down": {moved("<diatonic>-35</diatonic><chromatic>-60</chromatic>", "C9"), "C4:1", ""},
		"five octaves up":   {moved("<diatonic>35</diatonic><chromatic>60</chromatic>", "C0"), "C5:1", ""},
		"five by octaves":   {moved("<chromatic>0</chromatic><octave-change>5</octave-change>", "C0"), "C5:1", ""},
		"six by octaves":    {moved("<chromatic>0</chromatic><octave-change>6</octave-change>", "C4"), "C4:1", "a transposition by 0 semitones and 6 octaves is not kept"},
		"61 down":           {moved("<diatonic>-35</diatonic><chromatic>-61</chromatic>", "C4"), "C4:1", "is not kept"},
		"61 up":             {moved("<diatonic>35</diatonic><chromatic>61</chromatic>", "C4"), "C4:1", "is not kept"},
		"36 steps down":     {moved("<diatonic>-36</diatonic><chromatic>-60</chromatic>", "C4"), "C4:1", "is not kept"},
		"36 steps up":       {moved("<diatonic>36</diatonic><chromatic>60</chromatic>", "C4"), "C4:1", "is not kept"},
		// A B flat clarinet sounds a step, a horn in F a fifth lower than written.
		"a clarinet": {moved("<chromatic>-2</chromatic>", "D4"), "C4:1; Bb major", ""},
		"a horn":     {moved("<chromatic>-7</chromatic>", "G4"), "C4:1; F major", ""},
		"a tenor":    {moved("<diatonic>-1</diatonic><chromatic>-2</chromatic><octave-change>-1</octave-change>", "D5"), "C4:1; Bb major", ""},
	})
}

// TestNumberEdges: the numbers of tempos, meters, signatures, dots and repeats go as far as
// a tune holds them.
func TestNumberEdges(t *testing.T) {
	g := nt("G4", whole) + "</measure>"
	sound := func(tempo string) string { return attributed("") + `<sound tempo="` + tempo + `"/>` + g }
	mark := func(inside string) string { return attributed("") + tempoMark(inside) + g }
	quarters := func(n string) string {
		return mark("<beat-unit>quarter</beat-unit><per-minute>" + n + "</per-minute>")
	}
	dots := func(n int) string {
		return mark("<beat-unit>whole</beat-unit>" + strings.Repeat("<beat-unit-dot/>", n) + "<per-minute>60</per-minute>")
	}
	beats := func(inside string) string { return meter(inside) + g }
	sameReading(t, map[string]element{
		"slowest of sound":   {sound("0.001"), "1/4=1 at 0", ""},
		"slower of sound":    {sound("0.0004"), "G4:1", `a tempo of "0.0004" is left out`},
		"rounded up":         {sound("0.0005"), "1/4=1 at 0", ""},
		"fastest of sound":   {sound("10000"), "1/4=10000000 at 0", ""},
		"faster of sound":    {sound("10000.001"), "G4:1", `a tempo of "10000.001" is left out`},
		"slowest mark":       {quarters("0.001"), "1/4=1 at 0", ""},
		"slower mark":        {quarters("0.0004"), "G4:1", `a tempo of "0.0004" is left out`},
		"a rounded mark":     {quarters("0.0005"), "1/4=1 at 0", ""},
		"fastest mark":       {quarters("10000"), "1/4=10000000 at 0", ""},
		"faster mark":        {quarters("10000.001"), "G4:1", `a tempo of "10000.001" is left out`},
		"the longest beat":   {mark("<beat-unit>maxima</beat-unit><per-minute>60</per-minute>"), "8=60000 at 0", ""},
		"the shortest beat":  {mark("<beat-unit>1024th</beat-unit><per-minute>60</per-minute>"), "1/1024=60000 at 0", ""},
		"three dots":         {dots(3), "15/8=60000 at 0", ""},
		"four dots":          {dots(4), "G4:1", "a tempo that is no number of beats a minute"},
		"a number too long":  {quarters("1234567890"), "G4:1", "a tempo that is no number of beats a minute"},
		"most beats":         {beats("<beats>256</beats><beat-type>4</beat-type>"), "256/4 []", ""},
		"more beats":         {beats("<beats>257</beats><beat-type>4</beat-type>"), "G4:1", `the meter "257" over "4" is not kept`},
		"most beats, added":  {beats("<beats>200+56</beats><beat-type>4</beat-type>"), "256/4 [200 56]", ""},
		"more beats, added":  {beats("<beats>200+57</beats><beat-type>4</beat-type>"), "G4:1", "the meter has 257 beats and is not kept"},
		"smallest unit":      {beats("<beats>1</beats><beat-type>1024</beat-type>"), "1/1024 []", ""},
		"smaller unit":       {beats("<beats>1</beats><beat-type>2048</beat-type>"), "G4:1", `the meter "1" over "2048" is not kept`},
		"the first staff's":  {attributed(`<time number="1"><beats>3</beats><beat-type>4</beat-type></time>`) + g, "3/4 []", ""},
		"the second staff's": {attributed(`<time number="2"><beats>3</beats><beat-type>4</beat-type></time>`) + g, "G4:1", ""},
		"a doubly flat step": {attributed("<key><key-step>B</key-step><key-alter>-2</key-alter></key>") + g, "C major, signed Bbb", ""},
		"a triply flat step": {attributed("<key><key-step>B</key-step><key-alter>-3</key-alter></key>") + g, "G4:1", `"B" altered by "-3" has no place`},
		"an empty signature": {attributed("<key><fifths>2</fifths></key><key/>") + g, "G4:1", ""},
		"a mode alone":       {attributed("<key><fifths>2</fifths></key><key><mode>minor</mode></key>") + g, "D major", ""},
		"cut, 4/2":           {attributed(`<time symbol="cut"><beats>4</beats><beat-type>2</beat-type></time>`) + g, "4/2 []", ""},
		"cut, 2/4":           {attributed(`<time symbol="cut"><beats>2</beats><beat-type>4</beat-type></time>`) + g, "2/4 []", ""},
		"common, 4/2":        {attributed(`<time symbol="common"><beats>4</beats><beat-type>2</beat-type></time>`) + g, "4/2 []", ""},
		"words in pieces":    {attributed("") + directed("<words>soft<b/>ly</words>") + g, `"softly" at 0`, ""},
		"one thing left out": {attributed("") + directed("<dynamics><p/></dynamics>") + g, "G4:1", `the direction "dynamics": left out` + "\n"},
		"and again":          {attributed("") + directed("<dynamics><p/></dynamics>") + directed("<dynamics><f/></dynamics>") + g, "G4:1", `the direction "dynamics": left out (2 times, first here)`},
		"a step alone":       {attributed("<key><fifths>2</fifths></key><key><key-step>B</key-step></key>") + g, "D major", ""},
		"99 more times":      {attributed("") + nt("G4", whole) + barlined("right", `<repeat direction="backward" times="100"/>`) + "</measure>", "right 0 99", ""},
		"100 more times":     {attributed("") + nt("G4", whole) + barlined("right", `<repeat direction="backward" times="101"/>`) + "</measure>", "right 0 99", ""},
		"nine digits":        {attributed("") + "<note><rest/><duration>000000004</duration></note></measure>", "z:1", ""},
		"ten digits":         {attributed("") + "<note><rest/><duration>0000000004</duration></note></measure>", `"0000000004" is no duration`, ""},
		"six places":         {attributed("") + "<note><rest/><duration>4.000000</duration></note></measure>", "z:1", ""},
		"seven places":       {attributed("") + "<note><rest/><duration>4.0000000</duration></note></measure>", `"4.0000000" is no duration`, ""},
		"a point alone":      {attributed("") + "<note><rest/><duration>.</duration></note></measure>", `"." is no duration`, ""},
		"half a division":    {attributed("") + "<note><rest/><duration>.5</duration></note></measure>", "z:1/8", ""},
		"no length":          {attributed("") + "<note><rest/><duration>0</duration></note>" + g, "G4:1", "a note of no length is left out"},
		"no swing at all":    {attributed("") + "<sound><swing><first>0</first><second>0</second></swing></sound>" + g, "G4:1", `a swing of "0 to 0" is left out`},
		"250000 wholes":      {attributed("") + "<forward><duration>999999</duration></forward><forward><duration>1</duration></forward></measure>", "x:250000", ""},
	})
}

// TestChordEdges: what a chord symbol may say of its root and bass, and where in the music
// it stands.
func TestChordEdges(t *testing.T) {
	g := nt("G4", whole) + "</measure>"
	const c = rootC + "<kind>major</kind>"
	sameReading(t, map[string]element{
		"doubly sharp":         {attributed("") + symbol("<root><root-step>C</root-step><root-alter>2</root-alter></root><kind>major</kind>") + g, "C## at 0", ""},
		"triply flat":          {attributed("") + symbol("<root><root-step>B</root-step><root-alter>-3</root-alter></root><kind>major</kind>") + g, "G4:1", "a chord symbol has no root that is a note"},
		"half sharp":           {attributed("") + symbol("<root><root-step>C</root-step><root-alter>0.5</root-alter></root><kind>major</kind>") + g, "G4:1", "a chord symbol has no root that is a note"},
		"a bass of the second": {attributed("") + symbol(c+"<root><root-step>D</root-step></root><kind>major</kind><bass><bass-step>A</bass-step></bass>") + g, "C at 0", "polychords"},
		"at the bar's end":     {attributed("") + nt("G4", whole) + symbol(c) + "</measure><measure>" + g, "G4:1 | G4:1", ""},
		"after the last bar":   {attributed("") + nt("G4", whole) + symbol(c) + "</measure>", "G4:1", `the chord symbol "C" stands after the last bar`},
		"a tempo after it":     {attributed("") + nt("G4", whole) + `<sound tempo="80"/></measure>`, "G4:1", "a tempo stands after the last bar"},
		"text of its own":      {attributed("") + symbol(rootC+`<kind text="-7">minor-seventh</kind>`) + g, "C-7 at 0", ""},
		"text and bass":        {attributed("") + symbol(rootC+`<kind text="-7">minor-seventh</kind><bass><bass-step>G</bass-step></bass>`) + g, "C-7/G at 0", ""},
	})
	s, err := Read([]byte(score(attributed("")+nt("G4", whole)+symbol(c)+`<sound tempo="80"/></measure><measure>`+g)), "x.xml")
	if err != nil {
		t.Fatal(err)
	}
	b := s.Parts[0].Tune.Bars
	if len(b[0].Chords)+len(b[0].Tempos) > 0 || fmt.Sprint(b[1].Chords[0].At, b[1].Tempos[0].At) != "0 0" {
		t.Errorf("a chord symbol and a tempo at the end of bar 1 stand at %+v and %+v", b[0], b[1])
	}
}

// TestBarNumbers: a bar has the number that the score prints; a pickup is bar 0, a bar that
// is not counted shares the number of the one before it (MusicXML 4.0, the attributes
// number and implicit of the element measure).
func TestBarNumbers(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{`<measure/><measure/>`, "1 2"},
		{`<measure number="5"/><measure/>`, "5 6"},
		{`<measure number="0"/><measure number="1"/>`, "0 1"},
		{`<measure number="0" implicit="yes"/><measure/>`, "0 1"},
		{`<measure number="X1" implicit="yes"/><measure number="1"/>`, "0 1"},
		{`<measure number="4"/><measure number="X1" implicit="yes"/><measure/>`, "4 4 5"},
		{`<measure number="4"/><measure number="9" implicit="yes"/><measure number="9" implicit="no"/>`, "4 4 9"},
		{`<measure number="-1"/>`, "1"},
		{`<measure number="999999"/>`, "999999"},
		{`<measure number="1000000"/>`, "1"},
	} {
		s, err := Read([]byte(score(c.in)), "x.xml")
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, b := range s.Parts[0].Tune.Bars {
			got = append(got, fmt.Sprint(b.Number))
		}
		if g := strings.Join(got, " "); g != c.want {
			t.Errorf("%s: bars %s, want %s", c.in, g, c.want)
		}
	}
}

// TestLineBreaks: a new system or a new page begins after the bar before it.
func TestLineBreaks(t *testing.T) {
	in := `<measure><print new-system="yes"/></measure><measure><print new-system="yes"/></measure><measure><print new-page="yes"/></measure><measure><print new-page="no"/></measure>`
	s, err := Read([]byte(score(in)), "x.xml")
	if err != nil {
		t.Fatal(err)
	}
	got := ""
	for _, b := range s.Parts[0].Tune.Bars {
		got += fmt.Sprint(b.LineBreak, " ")
	}
	if got != "true true false false " {
		t.Errorf("lines break after %s", got)
	}
}

// TestVerses: the number of a lyric, or a name in its stead, says in which verse a syllable
// is sung; an elision joins two syllables on one note (MusicXML 4.0, the element lyric).
func TestVerses(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"<lyric><syllabic>begin</syllabic><text>a</text></lyric>", "1 a-"},
		{"<lyric><syllabic>middle</syllabic><text>a</text></lyric>", "1 a-"},
		{"<lyric><syllabic>end</syllabic><text>a</text></lyric>", "1 a"},
		{`<lyric number="99"><text>a</text></lyric>`, "99 a"},
		{`<lyric number="100"><text>a</text></lyric>`, "1 a"},
		{`<lyric number="0"><text>a</text></lyric>`, "1 a"},
		{`<lyric number="1"><text>a</text></lyric><lyric number="2"><text>b</text></lyric>`, "1 a, 2 b"},
		{`<lyric name="chorus"><text>a</text></lyric><lyric name="verse"><text>b</text></lyric><lyric name="chorus"><text>c</text></lyric>`, "1 a, 2 b, 1 c"},
		{"<lyric><text>a</text><elision>~</elision><text>b</text></lyric>", "1 a~b"},
		{"<lyric><text>a</text><elision/><text>b</text></lyric>", "1 a b"},
		{"<lyric><text>a</text><extend/></lyric>", "1 a_"},
		{`<lyric><extend type="stop"/></lyric>`, ""},
		{`<lyric><extend type="continue"/></lyric>`, "1 _"},
	} {
		s, err := Read([]byte(score(attributed("")+nt("G4", whole, c.in)+"</measure>")), "x.xml")
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, l := range s.Parts[0].Tune.Bars[0].Lines[0][0].Lyrics {
			w := fmt.Sprint(l.Verse, " ", l.Text)
			if l.Hyphen {
				w += "-"
			}
			if l.Extend {
				w += "_"
			}
			got = append(got, w)
		}
		if g := strings.Join(got, ", "); g != c.want {
			t.Errorf("%s: got %s, want %s", c.in, g, c.want)
		}
	}
}

// TestEndingNumbers: an ending is played the times its number lists, up to the 99th.
func TestEndingNumbers(t *testing.T) {
	for in, want := range map[string][]int{"1": {1}, "2, 1": {1, 2}, "1 1": {1}, "99": {99}, "1,100": {1}, "0,1": {1}, "1,x": {1}} {
		r := &reader{score: &Score{}}
		if got := endingNumbers(r, &node{attrs: attributes("number", in)}); fmt.Sprint(got) != fmt.Sprint(want) {
			t.Errorf("%q: got %v, want %v", in, got, want)
		}
	}
}

// TestUnisonsAndGraces: notes of a chord and graces keep their strings, whichever is written
// first.
func TestUnisonsAndGraces(t *testing.T) {
	grace := func(name, chord string, str, fret int) string {
		return nt(name, 0, chord, "<grace/>", fingered(str, fret, ""))
	}
	on := func(name, chord string, dur, str, fret int) string {
		return nt(name, dur, chord, fingered(str, fret, ""))
	}
	for name, c := range map[string]struct{ notes, tabs, want string }{
		"high first": {nt("D4", 4) + nt("A3", 4, "<chord/>"), on("D4", "", 4, 1, 0) + on("A3", "<chord/>", 4, 2, 0), "1:D4 2:A3"},
		"low first":  {nt("A3", 4) + nt("D4", 4, "<chord/>"), on("A3", "", 4, 2, 0) + on("D4", "<chord/>", 4, 1, 0), "1:D4 2:A3"},
		"unison":     {nt("D4", 4) + nt("D4", 4, "<chord/>"), on("D4", "", 4, 1, 0) + on("D4", "<chord/>", 4, 2, 5), "1:D4 2:D4"},
		"two graces": {nt("E4", 0, "<grace/>") + nt("F#4", 0, "<grace/>") + nt("D4", 4), grace("E4", "", 1, 2) + grace("F#4", "", 1, 4) + on("D4", "", 4, 1, 0), "1:E4 1:F#4 1:D4"},
		"a grace in thirds": {nt("A4", 0, "<grace/>") + nt("E4", 0, "<chord/>", "<grace/>") + nt("D4", 4) + nt("A3", 4, "<chord/>"),
			grace("A4", "", 1, 7) + grace("E4", "<chord/>", 2, 7) + on("D4", "", 4, 1, 0) + on("A3", "<chord/>", 4, 2, 0), "1:A4 2:E4 1:D4 2:A3"},
		"a grace low to high": {nt("E4", 0, "<grace/>") + nt("A4", 0, "<chord/>", "<grace/>") + nt("D4", 4),
			grace("E4", "", 2, 7) + grace("A4", "<chord/>", 1, 7) + on("D4", "", 4, 1, 0), "1:A4 2:E4 1:D4"},
	} {
		s, err := Read([]byte(tabScore(c.notes, c.tabs)), "x.xml")
		if err != nil || len(s.Warnings) > 0 {
			t.Errorf("%s: %v %v", name, err, s)
			continue
		}
		got, _, err := s.Parts[0].Tab(nil)
		if err != nil {
			t.Fatal(err)
		}
		var words []string
		for _, st := range got.Strokes {
			for _, p := range st.Plucks {
				words = append(words, fmt.Sprintf("%d:%s", p.String, got.Tune.Note(p.Ref).Name))
			}
		}
		if g := strings.Join(words, " "); g != c.want || len(got.Compromises) > 0 {
			t.Errorf("%s: got %s, want %s; %v", name, g, c.want, got.Compromises)
		}
		if e := s.Parts[0].Tune.Bars[0].Lines[0][0]; e.Kind != tune.Sounding {
			t.Errorf("%s: %+v", name, e)
		}
	}
}

func attributes(pairs ...string) []xml.Attr {
	var out []xml.Attr
	for i := 0; i+1 < len(pairs); i += 2 {
		out = append(out, xml.Attr{Name: xml.Name{Local: pairs[i]}, Value: pairs[i+1]})
	}
	return out
}
