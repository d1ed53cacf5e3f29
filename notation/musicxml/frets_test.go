package musicxml

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/notation/musicxml/terms"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/tab"
)

// hands writes what the hands do in a tab: for each stroke the steel, and string, fret and
// how each is played.
func hands(t *tab.Tab) string {
	var strokes []string
	for i := range t.Strokes {
		st := &t.Strokes[i]
		w := st.Placement.Kind.String()
		if st.Benders != 0 {
			w += " " + terms.FormatBenders(t.Rig, st.Benders)
		}
		for _, p := range st.Plucks {
			w += fmt.Sprintf(" %d:%.3g", p.String, p.Fret)
			if p.Attack != tab.Picked {
				w += " " + p.Attack.String()
			}
			if p.Node > 0 {
				w += fmt.Sprintf(" node %d", p.Node)
			}
			if p.Scoop != 0 {
				w += fmt.Sprintf(" from %+g", p.Scoop)
			}
			for _, x := range []struct {
				is   bool
				word string
			}{{p.Glide, " on"}, {p.Damp, " damped"}, {p.Vibrato, " vibrato"}} {
				if x.is {
					w += x.word
				}
			}
		}
		strokes = append(strokes, w)
	}
	for _, c := range t.Compromises {
		strokes = append(strokes, "! "+c.Why)
	}
	return strings.Join(strokes, "; ")
}

// staffed is a part of four quarters' bars in open D; each bar is a text of notes and one of
// the same notes on the tablature staff.
func staffed(bars ...[2]string) string {
	first := tabScore(bars[0][0], bars[0][1])
	rest := ""
	for _, b := range bars[1:] {
		rest += "<measure>" + b[0] + "<backup><duration>4</duration></backup>" + b[1] + "</measure>"
	}
	return strings.Replace(first, "</part>", rest+"</part>", 1)
}

// TestHands: strings and frets of other programs' tablature become strokes of the steel.
// The strings are D2 A2 D3 F#3 A3 D4; what a fret sounds is counted from them by hand.
func TestHands(t *testing.T) {
	const slide, slid = `</technical><slide type="start"/><technical>`, `</technical><slide type="stop"/><technical>`
	const pre = "<bend><bend-alter>%d</bend-alter><pre-bend/></bend>"
	scoop := func(how string) string { return "</technical><articulations><" + how + "/></articulations><technical>" }
	on := func(name string, dur, str, fret int, more ...string) string {
		return nt(name, dur, fingered(str, fret, strings.Join(more, "")))
	}
	with := func(name string, dur, str, fret int, more ...string) string {
		return nt(name, dur, "<chord/>", fingered(str, fret, strings.Join(more, "")))
	}
	two := func(a, b, c, d string) string { return staffed([2]string{a + b, c + d}) }
	bent := func(by int) string { return fmt.Sprintf(pre, by) }
	voiced := func(s string, n int) string {
		return strings.ReplaceAll(s, "<voice>5</voice>", fmt.Sprintf("<voice>%d</voice>", n))
	}
	const back = "<backup><duration>4</duration></backup>"
	held := staffed([2]string{nt("B3", 4, "<voice>1</voice>") + back + nt("G4", 2, "<voice>2</voice>") + nt("G#4", 2, "<voice>2</voice>"),
		on("B3", 4, 3, 5) + back + voiced(on("G4", 2, 1, 5)+on("G#4", 2, 1, 6), 6)})
	for name, c := range map[string]struct{ in, want string }{
		"a slide":               {two(nt("G4", 2), nt("A4", 2), on("G4", 2, 1, 5, slide), on("A4", 2, 1, 7, slid)), "straight 1:5 on; straight 1:7 glided into"},
		"a slide begun":         {two(nt("G4", 2), nt("A4", 2), on("G4", 2, 1, 5, slide), on("A4", 2, 1, 7)), "straight 1:5 on; straight 1:7 glided into"},
		"a slide ended":         {two(nt("G4", 2), nt("A4", 2), on("G4", 2, 1, 5), on("A4", 2, 1, 7, slid)), "straight 1:5; straight 1:7"},
		"a slide elsewhere":     {two(nt("G4", 2), nt("D4", 2), on("G4", 2, 1, 5, slide), on("D4", 2, 2, 5, slid)), "straight 1:5; straight 2:5"},
		"over the barline":      {staffed([2]string{nt("G4", 4), on("G4", 4, 1, 5, slide)}, [2]string{nt("A4", 4), on("A4", 4, 1, 7, slid)}), "straight 1:5 on; straight 1:7 glided into"},
		"after a rest":          {two(nt("G4", 2), "<note><rest/><duration>1</duration></note>"+nt("A4", 1), on("G4", 2, 1, 5, slide), "<forward><duration>1</duration></forward>"+on("A4", 1, 1, 7, slid)), "straight 1:5; straight 1:7"},
		"a bar later":           {staffed([2]string{nt("G4", 4), on("G4", 4, 1, 5, slide)}, [2]string{"<note><rest/><duration>4</duration></note>", ""}, [2]string{nt("A4", 4), on("A4", 4, 1, 7, slid)}), "straight 1:5; straight 1:7"},
		"hammered after a rest": {two(nt("G4", 2), "<note><rest/><duration>1</duration></note>"+nt("A4", 1), on("G4", 2, 1, 5), "<forward><duration>1</duration></forward>"+on("A4", 1, 1, 7, `<hammer-on type="stop"/>`)), "straight 1:5; straight 1:7 hammered on"},
		"pulled off at first":   {two(nt("G4", 2), nt("A4", 2), on("G4", 2, 1, 5, `<pull-off type="stop"/>`), on("A4", 2, 1, 7)), "straight 1:5; straight 1:7"},
		"scooped":               {two(nt("G4", 2), nt("Eb4", 2), on("G4", 2, 1, 5, scoop("scoop")), on("Eb4", 2, 1, 1, scoop("plop"))), "straight 1:5; straight 1:1"},
		"two on one string":     {two(nt("G4", 4)+nt("A4", 4, "<chord/>"), "", on("G4", 4, 1, 5), with("A4", 4, 1, 7)), "nose 1:5; ! no steel reaches fret 7 on string 1 together with the other strings; ! the file puts two notes on string 1 at once"},
		"a bender":              {two(nt("B3", 4), "", on("B3", 4, 2, 0, bent(2)), ""), "open benders B 2:0"},
		"another bender":        {two(nt("G3", 4), "", on("G3", 4, 3, 0, bent(1)), ""), "open benders A 3:0"},
		"both benders":          {two(nt("B3", 4)+nt("G3", 4, "<chord/>"), "", on("B3", 4, 2, 0, bent(2)), with("G3", 4, 3, 0, bent(1))), "open benders A B 2:0 3:0"},
		"no such bender":        {two(nt("E4", 4), "", on("E4", 4, 1, 0, bent(2)), ""), "open 1:0; ! the file's string 1 at fret 0 sounds that"},
		"one bender under two":  {two(nt("B3", 4)+nt("D4", 4, "<chord/>"), "", on("B3", 4, 2, 0, bent(2)), with("D4", 4, 1, 0)), "open benders B 1:0 2:0"},
		"forward slant":         {two(nt("G4", 4)+nt("Bb3", 4, "<chord/>"), "", on("G4", 4, 1, 5), with("Bb3", 4, 3, 4)), "forward slant 1:5 3:4"},
		"reverse slant":         {two(nt("G4", 4)+nt("C4", 4, "<chord/>"), "", on("G4", 4, 1, 5), with("C4", 4, 3, 6)), "reverse slant 1:5 3:6"},
		"under a held string":   {two(nt("D4", 4), "", on("D4", 4, 1, 0), ""), "open 1:0"},
		"open beside the nose":  {two(nt("G4", 4)+nt("A3", 4, "<chord/>"), "", on("G4", 4, 1, 5), with("A3", 4, 2, 0)), "nose 1:5 2:0"},
		"another pitch":         {two(nt("G4", 2), nt("A4", 2), on("G4", 2, 1, 6), on("A4", 2, 1, 7)), "straight 1:6; straight 1:7; ! the file's string 1 at fret 6 sounds that"},
		"no string for one":     {two(nt("G4", 2), nt("A4", 2), on("G4", 2, 1, 5), "<forward><duration>2</duration></forward>"), "straight 1:5; straight; ! the file gives no string and fret for it"},
		"no string, bent":       {two(nt("B3", 2), nt("A4", 2), on("B3", 2, 2, 0, bent(2)), "<forward><duration>2</duration></forward>"), "open benders B 2:0; open benders B; ! the file gives no string and fret for it"},
		"string 7 of 6":         {two(nt("G4", 2), nt("A4", 2), on("G4", 2, 7, 5), on("A4", 2, 1, 7)), "open; straight 1:7; ! the file puts it on string 7, and the rig has 6"},
		"string 6 of 6":         {two(nt("G2", 4), "", on("G2", 4, 6, 5), ""), "straight 6:5"},
		"over a held string":    {held, "straight 1:5 3:5; forward slant 1:6"},
		"harmonic at 3":         {two(nt("A6", 4), "", on("A6", 4, 1, 3, "<harmonic/>"), ""), "open 1:3 harmonic node 6"},
		"harmonic at 2":         {two(nt("D7", 4), "", on("D7", 4, 1, 2, "<harmonic/>"), ""), "open 1:2 harmonic node 8"},
		"harmonic at 6":         {two(nt("D5", 4), "", on("D5", 4, 1, 6, "<harmonic/>"), ""), "open 1:12 harmonic node 2"},
	} {
		s, err := Read([]byte(c.in), "x.xml")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		got, _, err := s.Parts[0].Tab(rigtest.OpenD())
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if h := hands(got); h != c.want {
			t.Errorf("%s: got %s, want %s (%v)", name, h, c.want, s.Warnings)
		}
	}
}

// TestScoopsOnFrets: a note scooped into begins a fret lower, one that is fallen on a fret
// higher, where the steel can be: not behind the nut.
func TestScoopsOnFrets(t *testing.T) {
	scooped := func(name, how string, str, fret int) string {
		return score(attributed(`<clef><sign>TAB</sign></clef>`) + nt(name, whole, fmt.Sprintf("<notations><articulations><%s/></articulations><technical><string>%d</string><fret>%d</fret></technical></notations>", how, str, fret)) + "</measure>")
	}
	for in, want := range map[string]string{
		scooped("G4", "scoop", 1, 5):  "straight 1:5 from -1",
		scooped("G4", "plop", 1, 5):   "straight 1:5 from +1",
		scooped("E4", "scoop", 1, 2):  "straight 1:2 from -1",
		scooped("Eb4", "scoop", 1, 1): "straight 1:1",
		scooped("Eb4", "plop", 1, 1):  "straight 1:1 from +1",
		scooped("D4", "plop", 1, 0):   "open 1:0",
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
			t.Errorf("got %s, want %s", h, want)
		}
	}
}

// tuned is a part of one staff with a tuning for each line named, and what else its
// staff-details say.
func tuned(number string, lines map[int]string, more string) string {
	in := `<staff-details number="` + number + `">`
	for line := 0; line <= 25; line++ {
		if s, ok := lines[line]; ok {
			in += fmt.Sprintf(`<staff-tuning line="%d"><tuning-step>%s</tuning-step><tuning-octave>%s</tuning-octave></staff-tuning>`, line, s[:1], s[1:])
		}
	}
	return score(attributed(in+more+"</staff-details>") + nt("G4", whole, "<notations><technical><string>1</string><fret>0</fret></technical></notations>") + "</measure>")
}

// TestTunings: line 1 of a tablature is its lowest, the string with the highest number
// (MusicXML 4.0, the element staff-tuning); a capo lies at a fret up to the 24th.
func TestTunings(t *testing.T) {
	low := map[int]string{1: "G2", 2: "B2", 3: "D3", 4: "G3", 5: "B3", 6: "D4"}
	for name, c := range map[string]struct{ in, want, told string }{
		"six strings":     {tuned("1", low, "<staff-lines>6</staff-lines>"), "[D4 B3 G3 D3 B2 G2] capo 0", ""},
		"lines not said":  {tuned("1", low, ""), "[D4 B3 G3 D3 B2 G2] capo 0", ""},
		"one line bare":   {tuned("1", map[int]string{1: "G2", 3: "D3"}, "<staff-lines>3</staff-lines>"), "[D3 G2] capo 0", ""},
		"24 lines":        {tuned("1", map[int]string{24: "D4"}, "<staff-lines>24</staff-lines>"), "[D4] capo 0", ""},
		"line 25":         {tuned("1", map[int]string{1: "G2", 25: "D4"}, ""), "[G2] capo 0", `the tuning of line "25" is not kept`},
		"line 0":          {tuned("1", map[int]string{0: "G2", 1: "D4"}, ""), "[D4] capo 0", `the tuning of line "0" is not kept`},
		"staff 100":       {tuned("100", map[int]string{1: "D4"}, ""), "[D4] capo 0", ""},
		"staff 101":       {tuned("101", map[int]string{1: "D4"}, ""), "[D4] capo 0", ""},
		"the first staff": {strings.Replace(tuned("2", map[int]string{1: "D4"}, ""), "<staff-details", `<staff-details number="1"><staff-tuning line="1"><tuning-step>A</tuning-step><tuning-octave>3</tuning-octave></staff-tuning></staff-details><staff-details`, 1), "[A3] capo 0", ""},
		"capo 24":         {tuned("1", low, "<capo>24</capo>"), "[D4 B3 G3 D3 B2 G2] capo 24", ""},
		"capo 25":         {tuned("1", low, "<capo>25</capo>"), "[D4 B3 G3 D3 B2 G2] capo 0", ""},
		"capo -1":         {tuned("1", low, "<capo>2</capo><capo>-1</capo>"), "[D4 B3 G3 D3 B2 G2] capo 2", ""},
		"capo off":        {tuned("1", low, "<capo>2</capo><capo>0</capo>"), "[D4 B3 G3 D3 B2 G2] capo 0", ""},
	} {
		s, err := Read([]byte(c.in), "x.xml")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		p := s.Parts[0]
		if got := fmt.Sprintf("%v capo %d", p.Tuning, p.Capo); got != c.want {
			t.Errorf("%s: got %s, want %s", name, got, c.want)
		}
		if all := fmt.Sprint([]any{s.Warnings}); (c.told == "") != (len(s.Warnings) == 0) || !strings.Contains(all, c.told) {
			t.Errorf("%s: told %s, want %q", name, all, c.told)
		}
	}
}

// TestWhichRig: a part goes on the built-in rig it is tuned for, with its capo, and on
// another with a warning.
func TestWhichRig(t *testing.T) {
	part := func(lines map[int]string, more string) *Part {
		s, err := Read([]byte(tuned("1", lines, more)), "x.xml")
		if err != nil {
			t.Fatal(err)
		}
		return s.Parts[0]
	}
	g := map[int]string{1: "G2", 2: "B2", 3: "D3", 4: "G3", 5: "B3", 6: "D4"}
	if r := part(g, "").MatchingRig(); r == nil || r.Name != "reso-open-g" {
		t.Errorf("G2 B2 D3 G3 B3 D4 is for %v", r)
	}
	for _, other := range []map[int]string{nil, {1: "G2"}, {1: "G2", 2: "B2", 3: "D3", 4: "G3", 5: "B3", 6: "E4"}} {
		p := part(other, "")
		if r := p.MatchingRig(); r != nil {
			t.Errorf("%v is for %s", other, r.Name)
		}
		if _, _, err := p.Tab(nil); err == nil || err.Error() != `no built-in rig has the tuning of part "a"` {
			t.Errorf("%v: %v", other, err)
		}
	}
	r, _ := rig.Builtin("reso-open-g")
	got, warnings, err := part(g, "<capo>2</capo>").Tab(r)
	if err != nil || got.Rig.Capo.At != 2 || len(warnings) > 0 {
		t.Errorf("with a capo at fret 2: %v %v %v", got, warnings, err)
	}
	capoed, err := r.WithCapo(3)
	if err != nil {
		t.Fatal(err)
	}
	if got, _, err = part(g, "<capo>2</capo>").Tab(capoed); err != nil || got.Rig.Capo.At != 3 {
		t.Errorf("the rig's own capo is moved: %v %v", got, err)
	}
	if got, _, err = part(g, "").Tab(r); err != nil || got.Rig.Capo.At != 0 {
		t.Errorf("without a capo: %v %v", got, err)
	}
	_, warnings, err = part(map[int]string{1: "G2", 2: "B2", 3: "D3", 4: "G3", 5: "B3", 6: "E4"}, "").Tab(r)
	if err != nil || len(warnings) != 1 || !strings.Contains(warnings[0].Error(), `the tablature is tuned G2 B2 D3 G3 B3 E4 and the rig "reso-open-g" G2 B2 D3 G3 B3 D4`) {
		t.Errorf("on a rig tuned otherwise: %v %v", warnings, err)
	}
}

// TestAccounts: what a file of ours lists as added and left out stays as far as the tab has
// the bar, the voice, the note and the string.
func TestAccounts(t *testing.T) {
	for _, c := range []struct{ field, text, want string }{
		{terms.FieldAdded, "slide-in 1.1.1n1 bar 1 at 0 string 6 D4", "1 added, 0 left out"},
		{terms.FieldAdded, "slide-in 1.1.1n1 bar 1 at 0 string 7 D4", "0 added, 0 left out"},
		{terms.FieldAdded, "slide-in 1.1.2n1 bar 1 at 0 string 6 D4", "0 added, 0 left out"},
		{terms.FieldLeftOut, "1.1 at 0 len 1 B3", "0 added, 1 left out"},
		{terms.FieldLeftOut, "1.1 at 0 len 1 B3; 1.1 at 1/2 len 1/2 B3", "0 added, 2 left out"},
		{terms.FieldLeftOut, "1.1 at 0 len 5/4 B3", "0 added, 0 left out"},
		{terms.FieldLeftOut, "1.1 at 3/4 len 1/2 B3", "0 added, 0 left out"},
		{terms.FieldLeftOut, "2.1 at 0 len 1 B3", "0 added, 0 left out"},
		{terms.FieldLeftOut, "1.2 at 0 len 1 B3", "0 added, 0 left out"},
	} {
		head := `<identification><encoding><software>Lapwright</software></encoding><miscellaneous><miscellaneous-field name="` + terms.FieldOf(1, c.field) + `">` + c.text + "</miscellaneous-field></miscellaneous></identification>"
		in := tuned("1", map[int]string{1: "G2"}, "")
		s, err := Read([]byte(strings.Replace(in, "<part-list>", head+"<part-list>", 1)), "x.xml")
		if err != nil {
			t.Fatal(err)
		}
		got, _, err := s.Parts[0].Tab(rigtest.OpenD())
		if err != nil {
			t.Fatal(err)
		}
		if g := fmt.Sprintf("%d added, %d left out", len(got.Added), len(got.LeftOut)); g != c.want {
			t.Errorf("%s %s: %s, want %s", c.field, c.text, g, c.want)
		}
	}
}
