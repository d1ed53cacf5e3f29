package musicxml

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/rig/rigtest"
	"lapwright/tune"
)

// TestWhatOursShow: in a file of ours a voice of the tablature shows the one that is four below it, or
// as many as there are where they are more; a grace is the one that its mark names.
func TestWhatOursShow(t *testing.T) {
	for _, c := range []struct {
		voice      string
		own, shows bool
		voices     int
		want       string
	}{
		{"5", true, true, 1, "1"}, {"6", true, true, 4, "2"}, {"7", true, true, 6, "1"}, {"x", true, true, 1, ""}, {"5", true, false, 1, "5"}, {"5", false, true, 1, ""}, {"5", false, false, 1, ""},
	} {
		a := &assembly{r: &reader{header: header{own: c.own}}}
		if got := a.voiceShown(&rawEvent{voice: c.voice}, c.shows, c.voices); got != c.want {
			t.Errorf("%+v: voice %q", c, got)
		}
	}
	for own, want := range map[string]int{"grace 3": 3, "grace x": 2, "gracious": 2, "damp": 2} {
		f := &Finger{own: []string{own}, Ref: tune.Ref{Grace: 1}}
		if got := f.graceShown(); got != want {
			t.Errorf("the second grace, marked %q, is shown as %d, want %d", own, got, want)
		}
	}
	b := &assembly{r: &reader{}}
	e := &rawEvent{Event: tune.Event{At: 7, Notes: []tune.Note{{Name: pitch.Note(pitch.C, 0, 4)}}, Graces: []tune.Grace{{Notes: []tune.Note{{Name: pitch.Note(pitch.D, 0, 4)}}}, {Notes: []tune.Note{{Name: pitch.Note(pitch.E, 0, 4)}}}}}}
	if got, want := spotsOf(3, e), []spot{{3, 7, "", 60, 0}, {3, 7, "", 62, 1}, {3, 7, "", 64, 2}}; !slices.Equal(got, want) {
		t.Errorf("an event with graces stands at %v, want %v", got, want)
	}
	b.bars = []rawBar{{events: []*rawEvent{{staff: 1, Event: e.Event}, {staff: 2, Event: e.Event}, {staff: 3}}}}
	if !b.contains(1, 2) || b.contains(1, 3) || b.contains(3, 1) {
		t.Error("a staff contains another that it doesn't, or not one that it does")
	}
}

// ours makes a file one of ours.
func ours(in string) string {
	return strings.Replace(in, "<part-list>", "<identification><encoding><software>Lapwright</software></encoding></identification><part-list>", 1)
}

// TestScoopsOfOurs: in a file of ours the tablature says by itself how far a scoop goes.
func TestScoopsOfOurs(t *testing.T) {
	note := func(own string) string {
		return score(attributed(`<clef><sign>TAB</sign></clef>`) + nt("G4", whole, "<notations><articulations><scoop/></articulations><technical><string>1</string><fret>5</fret></technical>"+own+"</notations>") + "</measure>")
	}
	mark := func(s string) string { return "<other-notation>" + s + "</other-notation>" }
	for in, want := range map[string]string{
		note(""):                              "straight 1:5 from -1",
		ours(note("")):                        "straight 1:5",
		ours(note(mark("scoop-frets -2"))):    "straight 1:5 from -2",
		ours(note(mark("scoop-frets 24"))):    "straight 1:5 from +24",
		ours(note(mark("scoop-frets 24.5"))):  "straight 1:5",
		ours(note(mark("scoop-frets -2 up"))): "straight 1:5",
		ours(note(mark("damp"))):              "straight 1:5 damped",
		ours(note(mark("carry"))):             "straight 1:5",
		ours(note(mark("placement lifted"))):  "straight 1:5",
		ours(note(mark("node 3"))):            "straight 1:5 node 3",
		ours(note(mark("node 16"))):           "straight 1:5 node 16",
		ours(note(mark("node 1"))):            "straight 1:5",
		ours(note(mark("node 17"))):           "straight 1:5",
		ours(note(mark("node 2 3"))):          "straight 1:5",
	} {
		s, err := Read([]byte(in), "x.xml")
		if err != nil {
			t.Fatal(err)
		}
		got, _, err := s.Parts[0].Tab(rigtest.OpenD())
		if err != nil {
			t.Fatal(err)
		}
		if h := hands(got); h != want {
			t.Errorf("%s: got %s, want %s", in[len(in)-160:], h, want)
		}
	}
}

// TestBarRests: a rest alone in its bar is one for the bar where it says so, or says nothing of a value.
func TestBarRests(t *testing.T) {
	for in, want := range map[string]tune.Value{
		"<note><rest/><duration>4</duration></note>":                                           {BarRest: true},
		"<note><rest/><duration>4</duration><type>whole</type></note>":                         {},
		`<note><rest measure="yes"/><duration>4</duration></note>`:                             {BarRest: true},
		`<note><rest measure="yes"/><duration>4</duration><type>whole</type></note>`:           {BarRest: true},
		`<note><rest measure="no"/><duration>4</duration><type>whole</type></note>`:            {},
		`<note print-object="no"><rest/><duration>4</duration><type>whole</type></note>`:       {},
		"<note><rest/><duration>3</duration><type>half</type><dot/></note>":                    {Log2: 1, Dots: 1},
		"<note><rest/><duration>4</duration></note><note><rest/><duration>4</duration></note>": {},
	} {
		s, err := Read([]byte(score(attributed("")+in+"</measure>")), "x.xml")
		if err != nil {
			t.Fatal(err)
		}
		if got := s.Parts[0].Tune.Bars[0].Lines[0][0].Value; got != want {
			t.Errorf("%s has the value %+v, want %+v", in, got, want)
		}
	}
}

// TestKeysWhileTransposed: a part that changes its instrument keeps the key that sounds.
func TestKeysWhileTransposed(t *testing.T) {
	in := attributed("<key><fifths>0</fifths></key><transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>") + nt("D4", whole) + "</measure><measure><attributes><transpose><diatonic>-2</diatonic><chromatic>-3</chromatic></transpose></attributes>" + nt("D4", whole) + "</measure>" +
		"<measure><attributes><transpose><diatonic>0</diatonic><chromatic>0</chromatic></transpose></attributes>" + nt("D4", whole) + "</measure>"
	s, err := Read([]byte(score(in)), "x.xml")
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, b := range s.Parts[0].Tune.Bars {
		got = append(got, b.Key.Text())
	}
	if g := strings.Join(got, ", "); g != "Bb major, A major, C major" || told(s.Parts[0].Tune) != "C4:1 | B3:1 | D4:1" {
		t.Errorf("keys %s, notes %s", g, told(s.Parts[0].Tune))
	}
}

// TestBeamsSupported: where a file says that it has all its beams, notes without are flags.
func TestBeamsSupported(t *testing.T) {
	for element, want := range map[string]int{`element="beam" type="yes"`: 3, `element="beam" type="no"`: 0, `element="accidental" type="yes"`: 0} {
		in := score(inDivisions(2, strings.Repeat(nt("G4", 1, "<type>eighth</type>"), 4)))
		s, err := Read([]byte(strings.Replace(in, "<part-list>", "<identification><encoding><supports "+element+"/></encoding></identification><part-list>", 1)), "x.xml")
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		for _, e := range s.Parts[0].Tune.Bars[0].Lines[0] {
			if e.BeamEnd {
				n++
			}
		}
		if n != want {
			t.Errorf("%s: %d beams end, want %d", element, n, want)
		}
	}
}

// TestThingsWithoutAString: what is said of the playing of a note without a string is left out, each
// by its name, and nothing else is told.
func TestThingsWithoutAString(t *testing.T) {
	technical := func(s string) string { return "<technical>" + s + "</technical>" }
	for in, want := range map[string]string{
		technical("<fret>5</fret>"):                                     "frets without a string",
		technical(`<hammer-on type="stop"/>`):                           "hammer-ons without a string",
		technical(`<hammer-on type="start"/>`):                          "",
		technical(`<pull-off type="stop"/>`):                            "pull-offs without a string",
		technical("<harmonic/>"):                                        "harmonics without a string",
		technical("<harmonic><artificial/></harmonic>"):                 "harmonics without a string",
		technical("<pluck>p</pluck>"):                                   "plucking fingers without a string",
		technical("<string>1</string>"):                                 "strings without a fret",
		technical("<string>100</string><fret>48</fret>"):                "",
		technical("<string>101</string>"):                               `the string "101" is none`,
		technical("<string>1</string><harmonic/>"):                      "",
		technical("<bend><bend-alter>1</bend-alter><pre-bend/></bend>"): "bends without a string",
		`<ornaments><wavy-line type="start"/></ornaments>`:              "vibrato without a string",
		`<tied type="stop"/>`:                                           "",
		`<slide type="stop"/>`:                                          "",
	} {
		_, warned := given(t, attributed("")+nt("G4", whole, "<notations>"+in+"</notations>")+"</measure>")
		if want == "" && warned != "" || !strings.Contains(warned, want) || strings.Count(warned, "\n") > 1 {
			t.Errorf("%s: told %q, want %q", in, warned, want)
		}
	}
	for in, want := range map[string]string{"<text> </text>": `" "`, "<text> a </text>": `"a"`, "<text>a b</text>": `"a b"`} {
		s, err := Read([]byte(score(attributed("")+nt("G4", whole, "<lyric>"+in+"</lyric>")+"</measure>")), "x.xml")
		if err != nil {
			t.Fatal(err)
		}
		if l := s.Parts[0].Tune.Bars[0].Lines[0][0].Lyrics; len(l) != 1 || fmt.Sprintf("%q", l[0].Text) != want {
			t.Errorf("%s is sung %v, want %s", in, l, want)
		}
	}
	graces := strings.Repeat(nt("A4", 0, "<grace/>", "<voice>1</voice>"), 32)
	sameReading(t, map[string]element{
		"32 graces":                 {inDivisions(1, graces+nt("G4", 4, "<voice>1</voice>")), strings.Repeat("{A4}", 32) + "G4:1", ""},
		"33 graces":                 {inDivisions(1, graces+nt("A4", 0, "<grace/>")+nt("G4", 4, "<voice>1</voice>")), strings.Repeat("{A4}", 32) + "G4:1", "more than 32 graces before one note"},
		"one of another voice":      {inDivisions(1, graces+nt("B4", 0, "<grace/>", "<voice>2</voice>")+nt("G4", 4, "<voice>1</voice>")+"<backup><duration>4</duration></backup>"+nt("E4", 4, "<voice>2</voice>")), "G4:1 / {B4}E4:1", ""},
		"a letter at first":         {attributed("") + directed("<rehearsal>A</rehearsal>") + directed("<rehearsal>B</rehearsal>") + nt("G4", whole) + "</measure>", `"B" at 0`, ""},
		"a letter later":            {attributed("") + nt("G4", 2) + directed("<rehearsal>A</rehearsal>") + nt("G4", 2) + "</measure>", `"A" at 1/2`, ""},
		"tuplets of a number alone": {inDivisions(3, nt("G4", 1, "<type>eighth</type>"+timed(3, 2, `<tuplet type="start"><tuplet-actual><tuplet-number>5</tuplet-number></tuplet-actual></tuplet>`))+strings.Repeat(nt("A4", 1, "<type>eighth</type>"+timed(3, 2, "")), 4)+nt("B4", 1, "<type>eighth</type>"+timed(3, 2, `<tuplet type="stop"/>`))), "G4:1/12[3:2 A4:1/12 A4:1/12 A4:1/12 A4:1/12 B4:1/12]", ""},
		"and the other":             {inDivisions(3, nt("G4", 1, "<type>eighth</type>"+timed(3, 2, `<tuplet type="start"><tuplet-normal><tuplet-number>5</tuplet-number></tuplet-normal></tuplet>`))+strings.Repeat(nt("A4", 1, "<type>eighth</type>"+timed(3, 2, "")), 4)+nt("B4", 1, "<type>eighth</type>"+timed(3, 2, `<tuplet type="stop"/>`))), "G4:1/12[3:2 A4:1/12 A4:1/12 A4:1/12 A4:1/12 B4:1/12]", ""},
	})
}
