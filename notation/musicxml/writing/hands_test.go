package writing

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/notation/musicxml/terms"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// played is one note of a tab on the rig in open D: D4 A3 F#3 D3 A2 D2, with benders that raise
// string 3 by one (A), string 2 by two (B) and string 4 by one (C).
type played struct {
	name    string
	str     int
	fret    float64
	benders rig.BenderSet
	change  func(*tab.Pluck)
}

// tabOf plays quarters, one string a stroke.
func tabOf(notes ...played) *tab.Tab {
	var names []string
	for _, n := range notes {
		names = append(names, n.name)
	}
	t := &tab.Tab{Tune: tunetest.Song(tunetest.Quarters(1, names...)), Rig: rigtest.OpenD()}
	for i, n := range notes {
		p := tab.Pluck{Ref: tune.Ref{Event: i, Grace: -1}, String: n.str, Fret: n.fret, Len: tune.Whole / 4}
		if n.change != nil {
			n.change(&p)
		}
		at := steel.Placement{}
		if n.fret > 0 {
			at = steel.Placement{Kind: steel.Straight, First: 1, Last: 4, FirstFret: n.fret, LastFret: n.fret}
		}
		t.Strokes = append(t.Strokes, tab.Stroke{At: tune.Ticks(i) * tune.Whole / 4, Len: tune.Whole / 4, Placement: at, Benders: n.benders, Plucks: []tab.Pluck{p}})
	}
	return t
}

// onTablature returns what the tablature says of each note between its technical marks and the end
// of its notations.
func onTablature(t *testing.T, tb *tab.Tab) []string {
	t.Helper()
	e := &emitter{}
	p, err := newPart(e, 1, tb.Tune, tb)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	text := written(func(w *emitter) {
		p.tablature.emitter = w
		for i := range tb.Tune.Bars {
			p.tablature.line(i, 0)
		}
	})
	for _, n := range strings.Split(text, "<notations>")[1:] {
		n, _, _ = strings.Cut(n, "</notations>")
		for _, x := range []string{` print-object="no"`, ` type="single"`, ` line-type="solid"`} {
			n = strings.ReplaceAll(n, x, "")
		}
		out = append(out, n)
	}
	return out
}

// TestTechnical: what the tablature says of how a note is played, in the elements of MusicXML 4.0
// and in marks of our own where it has none.
func TestTechnical(t *testing.T) {
	as := func(a tab.Attack) func(*tab.Pluck) { return func(p *tab.Pluck) { p.Attack = a } }
	on := func(p *tab.Pluck) { p.Glide = true }
	at := func(str, fret int, more string) string {
		return fmt.Sprintf("<technical><string>%d</string><fret>%d</fret>%s</technical>", str, fret, more)
	}
	own := func(s string) string { return "<other-notation>" + s + "</other-notation>" }
	straight := func(fret string) string { return own("placement straight 1@" + fret + " 4@" + fret) }
	lifted := own("placement lifted 0@0 0@0")
	for name, c := range map[string]struct {
		in   []played
		want []string
	}{
		"plain":        {[]played{{name: "E4", str: 1, fret: 2}}, []string{at(1, 2, "") + straight("2")}},
		"thumb":        {[]played{{name: "D4", str: 1, change: func(p *tab.Pluck) { p.Finger = tab.Thumb }}}, []string{at(1, 0, "<pluck>p</pluck>") + lifted}},
		"middle":       {[]played{{name: "D4", str: 1, change: func(p *tab.Pluck) { p.Finger = tab.Middle }}}, []string{at(1, 0, "<pluck>m</pluck>") + lifted}},
		"hammered":     {[]played{{name: "D4", str: 1}, {name: "E4", str: 1, fret: 2, change: as(tab.Hammered)}}, []string{at(1, 0, `<hammer-on type="start" number="1">H</hammer-on>`) + lifted, at(1, 2, `<hammer-on type="stop" number="1"></hammer-on>`) + straight("2")}},
		"pulled off":   {[]played{{name: "E4", str: 1, fret: 2}, {name: "D4", str: 1, change: as(tab.PulledOff)}}, []string{at(1, 2, `<pull-off type="start" number="1">P</pull-off>`) + straight("2"), at(1, 0, `<pull-off type="stop" number="1"></pull-off>`) + lifted}},
		"two strings":  {[]played{{name: "D4", str: 1}, {name: "B3", str: 2, fret: 2, change: as(tab.Hammered)}}, []string{at(1, 0, "") + lifted, at(2, 2, `<hammer-on type="stop" number="2"></hammer-on>`) + straight("2")}},
		"glided":       {[]played{{name: "E4", str: 1, fret: 2, change: on}, {name: "G4", str: 1, fret: 5, change: as(tab.Glided)}}, []string{`<slide type="start" number="1"/>` + at(1, 2, "") + straight("2"), `<slide type="stop" number="1"/>` + at(1, 5, "") + straight("5")}},
		"glided first": {[]played{{name: "G4", str: 1, fret: 5, change: as(tab.Glided)}}, []string{at(1, 5, "") + straight("5")}},
		"harmonic":     {[]played{{name: "D5", str: 1, fret: 12, change: func(p *tab.Pluck) { p.Attack, p.Node = tab.Harmonic, 2 }}}, []string{at(1, 12, "<harmonic><natural/></harmonic>") + own("node 2") + straight("12")}},
		"palm":         {[]played{{name: "E5", str: 1, fret: 2, change: func(p *tab.Pluck) { p.Attack, p.Node = tab.PalmHarmonic, 2 }}}, []string{at(1, 2, "<harmonic><artificial/></harmonic>") + own("node 2") + straight("2")}},
		"a bender":     {[]played{{name: "B3", str: 2, benders: 2}}, []string{at(2, 0, "<bend><bend-alter>2</bend-alter><pre-bend/></bend>") + lifted + own("benders B")}},
		"bent up":      {[]played{{name: "A3", str: 2, change: on}, {name: "B3", str: 2, benders: 2, change: as(tab.BentTo)}}, []string{at(2, 0, "<bend><bend-alter>2</bend-alter></bend>") + own("carry") + lifted, at(2, 0, "<bend><bend-alter>2</bend-alter><pre-bend/></bend>") + lifted + own("benders B")}},
		"bent down":    {[]played{{name: "B3", str: 2, benders: 2, change: on}, {name: "A3", str: 2, change: as(tab.BentTo)}}, []string{at(2, 0, "<bend><bend-alter>2</bend-alter><pre-bend/></bend><bend><bend-alter>-2</bend-alter><release/></bend>") + own("carry") + lifted + own("benders B"), at(2, 0, "") + lifted}},
		"not bent on":  {[]played{{name: "A3", str: 2}, {name: "B3", str: 2, benders: 2, change: as(tab.BentTo)}}, []string{at(2, 0, "") + lifted, `<slide type="stop" number="2"/>` + at(2, 0, "<bend><bend-alter>2</bend-alter><pre-bend/></bend>") + lifted + own("benders B")}},
		"from below":   {[]played{{name: "G4", str: 1, fret: 5, change: func(p *tab.Pluck) { p.Scoop = -1 }}}, []string{at(1, 5, "") + "<articulations><scoop/></articulations>" + own("scoop-frets -1") + straight("5")}},
		"from above":   {[]played{{name: "G4", str: 1, fret: 5, change: func(p *tab.Pluck) { p.Scoop = 1.5 }}}, []string{at(1, 5, "") + "<articulations><plop/></articulations>" + own("scoop-frets 1.5") + straight("5")}},
		"between":      {[]played{{name: "G4", str: 1, fret: 4.96}}, []string{at(1, 5, "") + own("contact 4.96") + straight("4.96")}},
		"damped":       {[]played{{name: "D4", str: 1, change: func(p *tab.Pluck) { p.Damp = true }}}, []string{at(1, 0, "") + own("damp") + lifted}},
		"vibrato":      {[]played{{name: "D4", str: 1, change: func(p *tab.Pluck) { p.Vibrato = true }}}, []string{at(1, 0, "") + `<ornaments><wavy-line type="start" number="1"/><wavy-line type="stop" number="1"/></ornaments>` + lifted}},
		"a chop":       {[]played{{name: "F#3", str: 3, change: as(tab.Chopped)}}, []string{at(3, 0, "") + own("chop F#3") + lifted}},
	} {
		got := onTablature(t, tabOf(c.in...))
		if g, w := strings.Join(got, "\n"), strings.Join(c.want, "\n"); g != w {
			t.Errorf("%s:\n%s\nwant\n%s", name, g, w)
		}
	}
}

// TestChordsOnTablature: a stroke of several strings says once where the steel lies, and a note
// that the rig has not is missing there and has its head in brackets in the staff.
func TestChordsOnTablature(t *testing.T) {
	tb := tabOf(played{name: "D4", str: 1})
	tb.Tune.Bars[0].Lines[0][0].Notes = []tune.Note{{Name: pitch.Note(pitch.F, 1, 3)}, {Name: pitch.Note(pitch.A, 0, 3)}, {Name: pitch.Note(pitch.D, 0, 4)}}
	p := tb.Strokes[0].Plucks[0]
	p.Ref.Note = 2
	second := p
	second.String, second.Ref.Note = 2, 1
	tb.Strokes[0].Plucks = []tab.Pluck{p, second}
	tb.Compromises = []tab.Compromise{tab.NewCompromise(tb.Tune, tune.Ref{Grace: -1}, 0, tab.NotPlayed, 0, "no string")}
	got := onTablature(t, tb)
	if len(got) != 2 || strings.Count(strings.Join(got, ""), "placement") != 1 {
		t.Errorf("two of three notes: %s", got)
	}
	b, err := Tab(tb)
	if err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(string(b), `parentheses="yes"`); n != 1 {
		t.Errorf("%d heads in brackets, want 1", n)
	}
	if n := strings.Count(string(b), "<chord/>"); n != 3 { // two in the staff, one on the tablature
		t.Errorf("%d notes join a chord, want 3", n)
	}
	if n := strings.Count(string(b), "<voice>5</voice>"); n != 2 {
		t.Errorf("%d notes in voice 5, want 2", n)
	}
}

// TestTiesOnTablature: a note is tied on where its string is held on, in the bar, in the next and
// in the one that a repeat leads to.
func TestTiesOnTablature(t *testing.T) {
	held := func(tie, hold bool) *tab.Tab {
		tb := tabOf(played{name: "D4", str: 1}, played{name: "D4", str: 1})
		tb.Tune.Bars[0].Lines[0][0].Notes[0].Tie = tie
		if hold {
			tb.Strokes[1].Plucks[0].Attack = tab.Tied
		}
		return tb
	}
	over := held(true, true)
	first, second := over.Tune.Bars[0], over.Tune.Bars[0]
	first.Lines, second.Lines = [][]tune.Event{{first.Lines[0][0]}}, [][]tune.Event{{second.Lines[0][1]}}
	first.Len, second.Len, second.Number = tune.Whole/4, tune.Whole/4, 2
	first.Meter, second.Meter = tune.Meter{Beats: 1, Unit: 4}, tune.Meter{Beats: 1, Unit: 4}
	second.Lines[0][0].At = 0
	over.Tune.Bars = []tune.Bar{first, second}
	over.Strokes[1].BarIndex, over.Strokes[1].At = 1, 0
	over.Strokes[1].Plucks[0].Ref = tune.Ref{Bar: 1, Grace: -1}
	other := held(true, true)
	other.Tune.Bars[0].Lines[0][1].Notes[0].Name = pitch.Note(pitch.E, 0, 4)
	for name, c := range map[string]struct {
		tab  *tab.Tab
		want string
	}{
		"held on":        {held(true, true), "start stop"},
		"struck again":   {held(true, false), "- -"},
		"no tie":         {held(false, true), "- stop"},
		"over a barline": {over, "start stop"},
		"another note":   {other, "- stop"},
	} {
		var got []string
		for _, n := range onTablature(t, c.tab) {
			w := "-"
			for _, kind := range []string{"stop", "start"} {
				if strings.Contains(n, `<tied type="`+kind+`"/>`) {
					w = kind
				}
			}
			got = append(got, w)
		}
		if g := strings.Join(got, " "); g != c.want {
			t.Errorf("%s: %s, want %s", name, g, c.want)
		}
	}
}

// TestGracesOnTablature: which of several graces a note is, is said.
func TestGracesOnTablature(t *testing.T) {
	for n, want := range map[int]string{1: "", 2: "grace 1,grace 2"} {
		tb := tabOf(played{name: "D4", str: 1})
		for g := range n {
			tb.Tune.Bars[0].Lines[0][0].Graces = append(tb.Tune.Bars[0].Lines[0][0].Graces, tune.Grace{Notes: []tune.Note{{Name: pitch.Note(pitch.E, 0, 4)}}, Value: tune.Value{Log2: 3}})
			p := tab.Pluck{Ref: tune.Ref{Grace: g}, String: 1, Fret: 2, Len: tune.Whole / 32}
			tb.Strokes = append(tb.Strokes, tab.Stroke{Grace: true, Placement: steel.Placement{Kind: steel.Straight, First: 1, Last: 1, FirstFret: 2, LastFret: 2}, Plucks: []tab.Pluck{p}})
		}
		var got []string
		for _, s := range onTablature(t, tb) {
			if _, s, ok := strings.Cut(s, ">grace "); ok {
				s, _, _ = strings.Cut(s, "<")
				got = append(got, "grace "+s)
			}
		}
		if g := strings.Join(got, ","); g != want {
			t.Errorf("%d graces: %q, want %q", n, g, want)
		}
	}
}

// TestStavesOfATab: the tuning from the lowest line up, the capo apart; the part's name and channel.
func TestStavesOfATab(t *testing.T) {
	listed := func(place int, r *rig.Rig) string {
		tb := tabOf(played{name: "D4", str: 1})
		tb.Rig = r
		return written(func(e *emitter) {
			p, err := newPart(e, place, tb.Tune, tb)
			if err != nil {
				t.Fatal(err)
			}
			p.writeListed()
			p.staffDetails()
		})
	}
	for place, want := range map[int]int{1: 1, 9: 9, 10: 11, 15: 16, 16: 1, 24: 9, 25: 11} {
		if got := listed(place, rigtest.OpenD()); !strings.Contains(got, fmt.Sprintf("<midi-channel>%d<", want)) {
			t.Errorf("part %d: %s, want channel %d", place, got, want)
		}
	}
	r := rigtest.OpenD()
	plain := listed(1, r)
	if !strings.Contains(plain, "<part-name>test</part-name>") || strings.Contains(plain, "<capo>") || !strings.Contains(plain, "<staff-lines>6</staff-lines>"+
		`<staff-tuning line="1"><tuning-step>D</tuning-step><tuning-octave>2</tuning-octave></staff-tuning>`) ||
		!strings.Contains(plain, `<staff-tuning line="4"><tuning-step>F</tuning-step><tuning-alter>1</tuning-alter><tuning-octave>3</tuning-octave></staff-tuning>`) {
		t.Errorf("without a title or capo: %s", plain)
	}
	r.Title = "Class steel"
	capoed, err := rigtest.Builtin(t, "reso-open-g").WithCapo(2)
	if err != nil {
		t.Fatal(err)
	}
	if got := listed(1, r); !strings.Contains(got, "<part-name>Class steel</part-name>") {
		t.Errorf("with a title: %s", got)
	}
	if got := listed(1, capoed); !strings.Contains(got, "<capo>2</capo>") || !strings.Contains(got, `<staff-tuning line="6"><tuning-step>D</tuning-step><tuning-octave>4</tuning-octave>`) {
		t.Errorf("with a capo: %s", got)
	}
	var fields []string
	tb := tabOf(played{name: "D4", str: 1})
	tb.Transposed = -2
	p, err := newPart(&emitter{}, 1, tb.Tune, tb)
	if err != nil {
		t.Fatal(err)
	}
	p.ownFields(func(name, value string) { fields = append(fields, name+"="+value) })
	if g := strings.Join(fields, ", "); g != "voice name 1=, rig=test, transposed=-2, added=, left out=" {
		t.Errorf("fields %s", g)
	}
}

// TestRefusedTabs: what is no tab of the rig, and parts that don't go together.
func TestRefusedTabs(t *testing.T) {
	one := func(change func(*tab.Tab)) error {
		tb := tabOf(played{name: "D4", str: 1}, played{name: "D4", str: 1})
		change(tb)
		_, err := Together([]*tab.Tab{tabOf(played{name: "D4", str: 1}), tb})
		return err
	}
	pluck := func(str int, fret float64) func(*tab.Tab) {
		return func(tb *tab.Tab) { tb.Strokes[0].Plucks[0].String, tb.Strokes[0].Plucks[0].Fret = str, fret }
	}
	for name, c := range map[string]struct {
		change func(*tab.Tab)
		want   string
	}{
		"good":             {func(*tab.Tab) {}, ""},
		"the last string":  {pluck(6, 0), ""},
		"string 0":         {pluck(0, 0), "a pluck on string 0 of a rig with 6 strings"},
		"string 7":         {pluck(7, 0), "a pluck on string 7 of a rig with 6 strings"},
		"behind the nut":   {pluck(1, -1), "a pluck at fret -1"},
		"another length":   {func(tb *tab.Tab) { tb.Tune.Bars[0].Len = tune.Whole / 2 }, "bar 1: the bar is 1 long in one part and 1/2 in another"},
		"another bar more": {func(tb *tab.Tab) { tb.Tune.Bars = append(tb.Tune.Bars, tb.Tune.Bars[0]) }, "one part has 1 bars and another 2"},
	} {
		err := one(c.change)
		if c.want == "" && err != nil || c.want != "" && (err == nil || err.Error() != c.want) {
			t.Errorf("%s: %v, want %s", name, err, c.want)
		}
	}
	many := make([]*tab.Tab, terms.MaxParts+1)
	for i := range many {
		many[i] = tabOf(played{name: "D4", str: 1})
	}
	if _, err := Together(many); err == nil || !strings.Contains(err.Error(), "the score would have 501 parts, and 500 is the most") {
		t.Errorf("%d parts: %v", len(many), err)
	}
	if _, err := Together(many[1:]); err != nil {
		t.Errorf("%d parts: %v", len(many)-1, err)
	}
}
