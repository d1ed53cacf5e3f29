package musicxml

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/notation/musicxml/terms"
	"lapwright/rig/rigtest"
	"lapwright/tab"
	"lapwright/tune"
)

// told writes a tune in one line for comparing: voices by " / ", bars by " | ",
// each event as its notes with length and marks.
func told(t *tune.Tune) string {
	var voices []string
	for v := range t.Voices {
		var bars []string
		for i := range t.Bars {
			var events []string
			for k := range t.Bars[i].Lines[v] {
				events = append(events, toldEvent(&t.Bars[i].Lines[v][k]))
			}
			bars = append(bars, strings.Join(events, " "))
		}
		voices = append(voices, strings.Join(bars, " | "))
	}
	return strings.Join(voices, " / ")
}

func toldEvent(e *tune.Event) string {
	s := ""
	for _, g := range e.Graces {
		for _, n := range g.Notes {
			s += "{" + n.Name.String() + "}"
		}
	}
	switch e.Kind {
	case tune.Rest:
		s += "z"
	case tune.Skip:
		s += "x"
	default:
		var notes []string
		for _, n := range e.Notes {
			w := n.Name.String()
			if n.Tie {
				w += "-"
			}
			if n.Glide {
				w += "~"
			}
			if n.Scoop != 0 {
				w += fmt.Sprintf("(%+d)", n.Scoop)
			}
			notes = append(notes, w)
		}
		s += strings.Join(notes, "+")
	}
	s += ":" + e.Len.String()
	for _, x := range e.Tuplets {
		if x.Starts {
			s += fmt.Sprintf("[%d:%d", x.Actual, x.Normal)
		}
		if x.Ends {
			s += "]"
		}
	}
	s += strings.Repeat("(", e.Slurs) + strings.Repeat(")", e.SlurEnds)
	return s
}

// nt makes a note: pitch such as "G4" or "F#4", duration, and what else is in it.
func nt(name string, duration int, inside ...string) string {
	alter := ""
	step, octave := name[:1], name[len(name)-1:]
	switch {
	case strings.Contains(name, "#"):
		alter = "<alter>1</alter>"
	case strings.Contains(name[1:], "b"):
		alter = "<alter>-1</alter>"
	}
	var before, after string
	for _, s := range inside {
		if s == "<chord/>" || strings.HasPrefix(s, "<grace") {
			before += s
		} else {
			after += s
		}
	}
	d := fmt.Sprintf("<duration>%d</duration>", duration)
	if strings.Contains(before, "<grace") {
		d = ""
	}
	return "<note>" + before + "<pitch><step>" + step + "</step>" + alter + "<octave>" + octave + "</octave></pitch>" + d + after + "</note>"
}

const (
	fourFour = "<attributes><divisions>1</divisions><key><fifths>0</fifths></key><time><beats>4</beats><beat-type>4</beat-type></time></attributes>"
	triplet  = "<type>eighth</type><time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification>"
)

// TestReads: what is read of small scores, and what is told of it. Expectations
// are worked out by hand from the fragments.
func TestReads(t *testing.T) {
	for name, c := range map[string]struct {
		in   string
		want string
		told string // part of a warning; "" wants none
	}{
		"chord low to high": {"<measure>" + fourFour + nt("G4", 4) + nt("C4", 4, "<chord/>") + nt("E4", 4, "<chord/>") + "</measure>", "C4+E4+G4:1", ""},
		"voices": {"<measure>" + fourFour + nt("G4", 2, "<voice>1</voice>") + nt("A4", 2, "<voice>1</voice>") + "<backup><duration>4</duration></backup>" + nt("C4", 4, "<voice>2</voice>") + "</measure>",
			"G4:1/2 A4:1/2 / C4:1", ""},
		"a gap":              {"<measure>" + fourFour + nt("G4", 1) + "<forward><duration>2</duration></forward>" + nt("A4", 1) + "</measure>", "G4:1/4 x:1/2 A4:1/4", ""},
		"one voice overlaps": {"<measure>" + fourFour + nt("G4", 4) + "<backup><duration>2</duration></backup>" + nt("A4", 2) + "</measure>", "G4:1 / x:1/2 A4:1/2", ""},
		"triplet without brackets": {"<measure><attributes><divisions>6</divisions></attributes>" + nt("G4", 2, triplet) + nt("A4", 2, triplet) + nt("B4", 2, triplet) + nt("C5", 6) + "</measure>",
			"G4:1/12[3:2 A4:1/12 B4:1/12] C5:1/4", ""},
		"no types at all":        {"<measure><attributes><divisions>3</divisions></attributes>" + nt("G4", 1) + nt("A4", 1) + nt("B4", 1) + nt("C5", 3) + "</measure>", "G4:1/12[3:2 A4:1/12 B4:1/12] C5:1/4", ""},
		"a length no value has":  {"<measure>" + fourFour + nt("G4", 5) + "</measure>", "G4-:1 G4:1/4", ""},
		"value against duration": {"<measure>" + fourFour + nt("G4", 4, "<type>quarter</type>") + "</measure>", "G4:1", "the written value of notes whose duration is another"},
		"tie":                    {"<measure>" + fourFour + nt("G4", 4, `<tie type="start"/>`) + "</measure><measure>" + nt("G4", 4, `<tie type="stop"/>`) + "</measure>", "G4-:1 | G4:1", ""},
		"tie to nowhere":         {"<measure>" + fourFour + nt("G4", 4, `<tie type="start"/>`) + "</measure><measure>" + nt("A4", 4) + "</measure>", "G4:1 | A4:1", "a tie from G4 leads to no note of its voice and is left out"},
		"slide":                  {"<measure>" + fourFour + nt("G4", 2, `<notations><slide type="start"/></notations>`) + nt("A4", 2, `<notations><slide type="stop"/></notations>`) + "</measure>", "G4~:1/2 A4:1/2", ""},
		"slide to nowhere":       {"<measure>" + fourFour + nt("G4", 4, `<notations><glissando type="start"/></notations>`) + "</measure>", "G4:1", "a slide from G4 leads to no note of its voice and is left out"},
		"scoop":                  {"<measure>" + fourFour + nt("G4", 4, `<notations><articulations><scoop/></articulations></notations>`) + "</measure>", "G4(-1):1", ""},
		"slurs":                  {"<measure>" + fourFour + nt("G4", 2, `<notations><slur type="start"/></notations>`) + nt("A4", 2, `<notations><slur type="stop"/></notations>`) + "</measure>", "G4:1/2( A4:1/2)", ""},
		"slur without end":       {"<measure>" + fourFour + nt("G4", 4, `<notations><slur type="start"/></notations>`) + "</measure>", "G4:1", "slurs whose two ends are not in one voice"},
		"grace":                  {"<measure>" + fourFour + nt("A4", 0, `<grace slash="yes"/>`) + nt("G4", 4) + "</measure>", "{A4}G4:1", ""},
		"grace over the barline": {"<measure>" + fourFour + nt("G4", 4) + nt("A4", 0, "<grace/>") + "</measure><measure>" + nt("G4", 4) + "</measure>", "G4:1 | {A4}G4:1", "a grace at the end of a measure is played before the next note"},
		"grace after the last":   {"<measure>" + fourFour + nt("G4", 4) + nt("A4", 0, "<grace/>") + "</measure>", "G4:1", "graces with no note after them"},
		"transposed": {"<measure><attributes><divisions>1</divisions><key><fifths>2</fifths></key><transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose></attributes>" + nt("D4", 4) + "</measure>",
			"C4:1", ""},
		"microtone":    {"<measure>" + fourFour + "<note><pitch><step>C</step><alter>0.5</alter><octave>4</octave></pitch><duration>4</duration></note></measure>", "C#4:1", "smaller than a semitone"},
		"triple sharp": {"<measure>" + fourFour + "<note><pitch><step>C</step><alter>3</alter><octave>4</octave></pitch><duration>4</duration></note></measure>", "Eb4:1", "more than two sharps or flats"},
		"no octave":    {"<measure>" + fourFour + "<note><pitch><step>C</step></pitch><duration>4</duration></note></measure>", "x:1", `the octave "" is none, and the note becomes a rest`},
		"beyond":       {"<measure>" + fourFour + "<note><pitch><step>B</step><octave>9</octave></pitch><duration>4</duration></note></measure>", "x:1", "the note B9 is beyond all instruments and becomes a rest"},
		"no pitch":     {"<measure>" + fourFour + "<note><unpitched/><duration>4</duration></note></measure>", "x:1", "notes without a pitch (unpitched): left out"},
		"back too far": {"<measure>" + fourFour + nt("G4", 2) + "<backup><duration>3</duration></backup>" + nt("A4", 4) + "</measure>", "G4:1/2 x:1/2 / A4:1", "a backup goes back past the start of the measure"},
		"empty bar":    {"<measure>" + fourFour + "</measure>", "x:1", ""},
		"whole rest":   {"<measure>" + fourFour + `<note><rest measure="yes"/><duration>4</duration></note></measure>`, "z:1", ""},
		"bend":         {"<measure>" + fourFour + nt("G4", 4, `<notations><technical><bend><bend-alter>2</bend-alter></bend></technical></notations>`) + "</measure>", "G4:1", "bends while a note sounds: left out"},
		"hammered":     {"<measure>" + fourFour + nt("G4", 2) + nt("A4", 2, `<notations><technical><hammer-on type="stop"/></technical></notations>`) + "</measure>", "G4:1/2 A4:1/2", "hammer-ons without a string: left out"},
		"cue":          {"<measure>" + fourFour + "<note><cue/><pitch><step>C</step><octave>4</octave></pitch><duration>4</duration></note></measure>", "x:1", "small notes that others play (cue)"},
	} {
		s, err := Read([]byte(score(c.in)), "x.xml")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if got := told(s.Parts[0].Tune); got != c.want {
			t.Errorf("%s: got %s, want %s", name, got, c.want)
		}
		all := ""
		for _, w := range s.Warnings {
			all += w.Error() + "\n"
			if w.Line == 0 {
				t.Errorf("%s: a warning without a place: %v", name, w)
			}
		}
		if c.told == "" && all != "" || !strings.Contains(all, c.told) {
			t.Errorf("%s: told %q, want %q", name, all, c.told)
		}
	}
}

// TestSwing: how eighths are parted, in words of its own or as a ratio.
func TestSwing(t *testing.T) {
	swing := func(s string) string { return "<sound><swing>" + s + "</swing></sound>" }
	pair := func(a, b string) string { return swing("<first>" + a + "</first><second>" + b + "</second>") }
	for _, c := range []struct{ in, want, warn string }{
		{pair("2", "1"), "2 to 1", ""},
		{pair("30", "20"), "3 to 2", ""},
		{pair("1", "1"), "even", ""},
		{swing("<straight/>"), "even", ""},
		{swing("<first>3</first><second>2</second><swing-style>by tempo</swing-style>"), "by tempo", ""},
		{swing("<first>2</first><second>1</second><swing-type>16th</swing-type>"), "even", `a swing of "16th" notes is left out`},
		{pair("1", "2"), "even", `a swing of "1 to 2" is left out`},
		{pair("x", "0"), "even", `a swing of "x to 0" is left out`},
		{pair("2", "1") + swing("<straight/>"), "2 to 1", `a change of swing, "straight", is left out`},
		{pair("2", "1") + pair("4", "2"), "2 to 1", ""},
	} {
		s, err := Read([]byte(score(attributed("")+c.in+nt("G4", 4)+"</measure>")), "x.xml")
		if err != nil {
			t.Fatal(err)
		}
		warned := ""
		for _, w := range s.Warnings {
			if strings.Contains(w.Msg, "swing") {
				warned += w.Msg
			}
		}
		if got := s.Parts[0].Tune.Swing.String(); got != c.want || !strings.HasPrefix(warned, c.warn) || c.warn == "" && warned != "" {
			t.Errorf("%s: %s, warned %q; want %s and %q", c.in, got, warned, c.want, c.warn)
		}
	}
}

// TestReadsForm: repeats, endings, jumps, tempo, words, harmony, meters.
func TestReadsForm(t *testing.T) {
	in := `<measure number="0" implicit="yes"><attributes><divisions>2</divisions><key><fifths>-1</fifths><mode>dorian</mode></key><time><beats>2+3</beats><beat-type>8</beat-type></time></attributes>
<direction placement="above"><direction-type><words>Slowly</words></direction-type><direction-type><metronome><beat-unit>eighth</beat-unit><beat-unit-dot/><per-minute>c. 72.5</per-minute></metronome></direction-type></direction>` +
		nt("G4", 1) + `</measure>
<measure number="1"><barline location="left"><repeat direction="forward"/></barline>
<harmony><root><root-step>B</root-step><root-alter>-1</root-alter></root><kind text="7">dominant</kind><bass><bass-step>D</bass-step></bass></harmony>
<harmony><root><root-step>C</root-step></root><kind>minor-seventh</kind><degree><degree-value>5</degree-value><degree-alter>-1</degree-alter><degree-type>alter</degree-type></degree><offset>2</offset></harmony>` +
		nt("A4", 5) + `</measure>
<measure number="2"><barline location="left"><ending number="1, 2" type="start"/></barline>` + nt("B4", 5) + `<barline location="right"><bar-style>light-heavy</bar-style><ending number="1, 2" type="stop"/><repeat direction="backward" times="3"/></barline></measure>
<measure number="3"><barline location="left"><ending number="3" type="start"/></barline><direction><direction-type><rehearsal>B</rehearsal></direction-type></direction>` + nt("C5", 5) +
		`<direction><direction-type><words>D.C. al Fine</words></direction-type><sound dacapo="yes"/></direction><barline location="right"><bar-style>light-light</bar-style><ending number="3" type="discontinue"/></barline></measure>`
	s, err := Read([]byte(score(in)), "x.xml")
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Warnings) > 0 {
		t.Errorf("warnings %v", s.Warnings)
	}
	tn := s.Parts[0].Tune
	b := tn.Bars
	for _, c := range []struct{ what, got, want string }{
		{"key", b[0].Key.String(), "G dorian"},
		{"meter", fmt.Sprint(b[0].Meter), "{5 8  [2 3]}"},
		{"numbers", fmt.Sprint(b[0].Number, b[1].Number, b[3].Number), "0 1 3"},
		{"tempo", fmt.Sprint(b[0].Tempos), "[{0 3/16 72500 Slowly}]"},
		{"repeat", fmt.Sprint(b[1].Left.Repeat, b[2].Right.Repeat), "1 2"},
		{"endings", fmt.Sprint(b[2].Endings, b[2].EndingEnds, b[3].Endings, b[3].EndingEnds), "[1 2] true [3] true"},
		{"part", b[3].Part, "B"},
		{"jump", fmt.Sprint(b[3].Signs), "[{5/8 7 }]"},
		{"line", fmt.Sprint(b[3].Right), "{1 0}"},
		{"chords", fmt.Sprint(b[1].Chords[0].Text, " ", b[1].Chords[0].Chord, " ", b[1].Chords[1].Text, " ", b[1].Chords[1].At), "Bb7/D Bb7/D Cm7b5 1/4"},
	} {
		if c.got != c.want {
			t.Errorf("%s: got %s, want %s", c.what, c.got, c.want)
		}
	}
	passes, _ := tune.Unfold(tn)
	order := ""
	for _, p := range passes {
		order += fmt.Sprint(p.BarIndex)
	}
	if order != "0121213013" {
		t.Errorf("bars sound in the order %s, want 0121213013", order)
	}
}

// tabScore is a guitar part of two staves, as other programs write them: notes
// above, the same notes as tablature below, in open D tuning.
func tabScore(notes, tabs string) string {
	tuning := ""
	for i, s := range []string{"D2", "A2", "D3", "F#3", "A3", "D4"} {
		alter := ""
		if strings.Contains(s, "#") {
			alter = "<tuning-alter>1</tuning-alter>"
		}
		tuning += fmt.Sprintf(`<staff-tuning line="%d"><tuning-step>%s</tuning-step>%s<tuning-octave>%s</tuning-octave></staff-tuning>`, i+1, s[:1], alter, s[len(s)-1:])
	}
	return score(`<measure><attributes><divisions>1</divisions><staves>2</staves><clef number="1"><sign>G</sign><line>2</line></clef><clef number="2"><sign>TAB</sign><line>5</line></clef><staff-details number="2"><staff-lines>6</staff-lines>` + tuning + `</staff-details></attributes>` +
		notes + `<backup><duration>4</duration></backup>` + tabs + `</measure>`)
}

func fingered(str, fret int, more string) string {
	return fmt.Sprintf(`<voice>5</voice><staff>2</staff><notations><technical><string>%d</string><fret>%d</fret>%s</technical></notations>`, str, fret, more)
}

// TestReadsTablature: strings and frets of a score made elsewhere become a tab
// on the rig with that tuning.
func TestReadsTablature(t *testing.T) {
	s, err := Read([]byte(tabScore(
		nt("D4", 1)+nt("G4", 1)+nt("D4", 1, "<chord/>")+nt("A4", 1)+nt("B3", 1),
		nt("D4", 1, fingered(1, 0, ""))+nt("G4", 1, fingered(1, 5, "<pluck>m</pluck>"))+nt("D4", 1, "<chord/>", fingered(2, 5, "<pluck>i</pluck>"))+
			nt("A4", 1, fingered(1, 7, `<hammer-on type="stop"/>`))+nt("B3", 1, fingered(2, 0, "<bend><bend-alter>2</bend-alter><pre-bend/></bend>")))), "x.xml")
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Warnings) > 0 {
		t.Errorf("warnings %v", s.Warnings)
	}
	p := s.Parts[0]
	if got := told(p.Tune); got != "D4:1/4 D4+G4:1/4 A4:1/4 B3:1/4" {
		t.Errorf("the tune is %s", got)
	}
	r := rigtest.Builtin(t, "bender-open-d")
	got, warnings, err := p.Tab(r)
	if err != nil || len(warnings) > 0 {
		t.Fatal(warnings, err)
	}
	if l := got.Check(); len(l) > 0 {
		t.Errorf("the tab is not sound: %v", l)
	}
	if len(got.Compromises) > 0 {
		t.Errorf("compromises %v", got.Compromises)
	}
	var words []string
	for _, st := range got.Strokes {
		w := fmt.Sprintf("%s %d-%d@%g", st.Placement.Kind, st.Placement.First, st.Placement.Last, st.Placement.FirstFret)
		for _, p := range st.Plucks {
			w += fmt.Sprintf(" %d:%g%s", p.String, p.Fret, p.Finger)
			if p.Attack == tab.Hammered {
				w += "h"
			}
		}
		if st.Benders != 0 {
			w += " " + terms.FormatBenders(r, st.Benders)
		}
		words = append(words, w)
	}
	want := "open 0-0@0 1:0; straight 1-2@5 1:5M 2:5I; straight 1-1@7 1:7h; open 0-0@0 2:0 benders " + r.Benders[1].Mark
	if g := strings.Join(words, "; "); g != want {
		t.Errorf("strokes\n got %s\nwant %s", g, want)
	}
	// Without a rig named, the first built-in one with the tuning is taken.
	got, _, err = p.Tab(nil)
	if err != nil || got.Rig.TuningText() != "D2 A2 D3 F#3 A3 D4" {
		t.Errorf("matched %v, %v", got, err)
	}
}

// TestTablatureNoBarPlays: frets that no bar reaches together are compromises,
// with the bar laid where most of them are.
func TestTablatureNoBarPlays(t *testing.T) {
	s, err := Read([]byte(tabScore(
		nt("G4", 4)+nt("D4", 4, "<chord/>")+nt("D3", 4, "<chord/>"),
		nt("G4", 4, fingered(1, 5, ""))+nt("D4", 4, "<chord/>", fingered(2, 5, ""))+nt("D3", 4, "<chord/>", fingered(6, 12, "")))), "x.xml")
	if err != nil {
		t.Fatal(err)
	}
	got, _, err := s.Parts[0].Tab(nil)
	if err != nil {
		t.Fatal(err)
	}
	if l := got.Check(); len(l) > 0 {
		t.Errorf("the tab is not sound: %v", l)
	}
	if len(got.Compromises) != 1 || got.Compromises[0].Wanted != "D3" || !strings.Contains(got.Compromises[0].Why, "no steel reaches fret 12 on string 6 together with the other strings") {
		t.Errorf("compromises %+v", got.Compromises)
	}
}

// TestPartIsChosen: by number, name and id.
func TestPartIsChosen(t *testing.T) {
	in := `<score-partwise><part-list><score-part id="A"><part-name>Drums</part-name></score-part><score-part id="B"><part-name>Steel</part-name></score-part></part-list>
<part id="A"><measure><note><unpitched/><duration>4</duration></note></measure></part><part id="B"><measure>` + quarter + `</measure></part></score-partwise>`
	s, err := Read([]byte(in), "x.xml")
	if err != nil {
		t.Fatal(err)
	}
	for ask, want := range map[string]string{"": "B", "steel": "B", "2": "B", "B": "B", "Drums": "A", "1": "A"} {
		p, err := s.Part(ask)
		if err != nil || p.ID != want {
			t.Errorf("part %q: got %v, %v, want %s", ask, p, err, want)
		}
	}
	if _, err := s.Part("Flute"); err == nil || err.Error() != `x.xml: there is no part "Flute"` {
		t.Errorf("a part that is not there: %v", err)
	}
}

// TestEncodings: UTF-16 with either byte order, a byte order mark, Latin-1.
func TestEncodings(t *testing.T) {
	text := `<score-partwise><work><work-title>Été</work-title></work><part id="P1"><measure>` + quarter + `</measure></part></score-partwise>`
	var little, big, latin []byte
	for _, r := range text {
		little = append(little, byte(r), byte(r>>8))
		big = append(big, byte(r>>8), byte(r))
		latin = append(latin, byte(r))
	}
	for name, in := range map[string][]byte{
		"UTF-8 with mark":   []byte("\xef\xbb\xbf" + text),
		"UTF-16, little":    append([]byte{0xff, 0xfe}, little...),
		"UTF-16, big":       append([]byte{0xfe, 0xff}, big...),
		"Latin-1, declared": append([]byte(`<?xml version="1.0" encoding="ISO-8859-1"?>`), latin...),
	} {
		s, err := Read(in, "x.xml")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if s.Title != "Été" {
			t.Errorf("%s: title %q", name, s.Title)
		}
	}
}
