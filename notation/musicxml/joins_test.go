package musicxml

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"lapwright/tune"
)

func inDivisions(n int, inside string) string {
	return fmt.Sprintf("<measure><attributes><divisions>%d</divisions></attributes>%s</measure>", n, inside)
}

// TestTupletGroups: a bracket goes as far as its marks say; without marks that come out, a
// group is full when its notes make up one tuplet of their shortest value.
func TestTupletGroups(t *testing.T) {
	eighth := func(name, inside string) string { return nt(name, 1, "<type>eighth</type>"+timed(3, 2, inside)) }
	six := func(first, last string) string {
		return eighth("G4", first) + strings.Repeat(eighth("A4", ""), 4) + eighth("B4", last)
	}
	const one = "G4:1/12[3:2 A4:1/12 A4:1/12 A4:1/12 A4:1/12 B4:1/12]"
	const two = "G4:1/12[3:2 A4:1/12 A4:1/12] A4:1/12[3:2 A4:1/12 B4:1/12]"
	silent := `<note print-object="no"><rest/><duration>1</duration><type>eighth</type>` + timed(3, 2, "") + "</note>"
	fifth := func(n int) string { return strings.Repeat(nt("A4", 3, "<type>16th</type>"+timed(5, 4, "")), n) }
	third := func(n int) string { return strings.Repeat(nt("G4", 5, "<type>eighth</type>"+timed(3, 2, "")), n) }
	told := func(actual, normal int) string {
		return fmt.Sprintf(`<tuplet type="start"><tuplet-actual><tuplet-number>%d</tuplet-number></tuplet-actual><tuplet-normal><tuplet-number>%d</tuplet-number></tuplet-normal></tuplet>`, actual, normal)
	}
	sameReading(t, map[string]element{
		"six in a bracket":        {inDivisions(3, six(`<tuplet type="start" number="1"/>`, `<tuplet type="stop" number="1"/>`)), one, ""},
		"a stop without a number": {inDivisions(3, six(`<tuplet type="start" number="1"/>`, `<tuplet type="stop"/>`)), one, ""},
		"a stop of another":       {inDivisions(3, six(`<tuplet type="start" number="1"/>`, `<tuplet type="stop" number="2"/>`)), two, ""},
		"a stop too many":         {inDivisions(3, six(`<tuplet type="start"/>`, `<tuplet type="stop"/><tuplet type="stop"/>`)), two, ""},
		"no stop":                 {inDivisions(3, six(`<tuplet type="start"/>`, "")), two, ""},
		"no marks":                {inDivisions(3, six("", "")), two, ""},
		"six in the time of four": {inDivisions(3, six(told(6, 4), `<tuplet type="stop"/>`)), "G4:1/12[6:4 A4:1/12 A4:1/12 A4:1/12 A4:1/12 B4:1/12]", ""},
		"a ratio of another":      {inDivisions(3, six(told(5, 4), `<tuplet type="stop"/>`)), two, ""},
		"64 is a tuplet":          {inDivisions(3, nt("G4", 3, "<type>breve</type>"+timed(64, 8, told(64, 8)+`<tuplet type="stop"/>`))), "G4:1/4[64:8]", ""},
		"one in the time of two":  {inDivisions(1, nt("G4", 2, "<type>quarter</type>"+timed(1, 2, told(1, 2)+`<tuplet type="stop"/>`))), "G4:1/2[1:2]", ""},
		"cut short":               {inDivisions(3, eighth("G4", "")+eighth("A4", "")+nt("C5", 3, "<type>quarter</type>")), "G4:1/12[3:2 A4:1/12] C5:1/4", ""},
		"cut short by the bar":    {inDivisions(3, nt("C5", 3, "<type>quarter</type>")+eighth("G4", "")+eighth("A4", "")), "C5:1/4 G4:1/12[3:2 A4:1/12]", ""},
		"nothing but a part":      {inDivisions(3, eighth("G4", "")+eighth("A4", "")), "G4:1/12[3:2 A4:1/12]", ""},
		"cut short by another":    {inDivisions(15, third(2)+fifth(5)), "G4:1/12[3:2 G4:1/12] A4:1/20[5:4 A4:1/20 A4:1/20 A4:1/20 A4:1/20]", ""},
		"the same count, another": {inDivisions(3, eighth("G4", "")+nt("A4", 2, "<type>eighth</type>"+timed(3, 4, ""))), "G4:1/12[3:2] A4:1/6[3:4]", ""},
		"something unseen within": {inDivisions(3, eighth("G4", "")+silent+eighth("B4", "")+nt("C5", 3, "<type>quarter</type>")), "G4:1/12[3:2 x:1/12 B4:1/12] C5:1/4", ""},
		"unseen at first":         {inDivisions(3, silent+eighth("A4", "")+eighth("B4", "")+nt("C5", 3, "<type>quarter</type>")), "x:1/12[3:2 A4:1/12 B4:1/12] C5:1/4", ""},
		"typed, not modified":     {inDivisions(3, strings.Repeat(nt("G4", 1, "<type>eighth</type>"), 3)), "G4:1/12[3:2 G4:1/12 G4:1/12]", "the written value of notes whose duration is another: left out (3 times"},
		"typed beside a long one": {inDivisions(1, nt("G4", 5)+nt("A4", 1, "<type>quarter</type>")), "G4-:1 G4:1/4 A4:1/4", ""},
		"six without types":       {inDivisions(6, strings.Repeat(nt("G4", 1, timed(6, 4, "")), 6)), "G4:1/24[6:4 G4:1/24 G4:1/24 G4:1/24 G4:1/24 G4:1/24]", ""},
		"three dots":              {inDivisions(2, nt("G4", 15, "<type>whole</type><dot/><dot/><dot/>")), "G4:15/8", ""},
	})
}

// TestSlides: a slide leads from note to note, counted from the top of the chords; one that
// finds no note, or one that is tied, is left out (common practice, no source).
func TestSlides(t *testing.T) {
	const on = `<notations><slide type="start"/></notations>`
	const tie = `<tie type="start"/>`
	bar := func(s string) string { return "<measure>" + fourFour + s + "</measure>" }
	grace := func(name, chord, more string) string { return nt(name, 0, chord, "<grace/>", more) }
	const none = "leads to no note of its voice"
	sameReading(t, map[string]element{
		"both of two":              {bar(nt("G4", 2, on) + nt("D4", 2, "<chord/>", on) + nt("A4", 2) + nt("E4", 2, "<chord/>")), "D4~+G4~:1/2 E4+A4:1/2", ""},
		"the lower to one":         {bar(nt("G4", 2) + nt("D4", 2, "<chord/>", on) + nt("A4", 2)), "D4+G4:1/2 A4:1/2", "a slide from D4 " + none},
		"the upper to one":         {bar(nt("G4", 2, on) + nt("D4", 2, "<chord/>") + nt("A4", 2)), "D4+G4~:1/2 A4:1/2", ""},
		"to a rest":                {bar(nt("G4", 2, on) + "<note><rest/><duration>2</duration></note>"), "G4:1/2 z:1/2", "a slide from G4 " + none},
		"to a tied note":           {bar(nt("G4", 2, on) + nt("D4", 2, "<chord/>", tie) + nt("D4", 2)), "D4-+G4:1/2 D4:1/2", "a slide from G4 " + none},
		"beside a tie":             {bar(nt("G4", 2, tie) + nt("D4", 2, "<chord/>", on) + nt("G4", 2) + nt("E4", 2, "<chord/>")), "D4~+G4-:1/2 E4+G4:1/2", ""},
		"a tie that slides":        {bar(nt("G4", 2, tie, on) + nt("G4", 2)), "G4-:1/2 G4:1/2", "G4 is tied and slides too; the slide is left out"},
		"to a grace":               {bar(nt("G4", 2, on) + grace("B4", "", "") + nt("A4", 2)), "G4~:1/2 {B4}A4:1/2", ""},
		"the lower to a grace":     {bar(nt("G4", 2) + nt("D4", 2, "<chord/>", on) + grace("B4", "", "") + nt("A4", 2) + nt("E4", 2, "<chord/>")), "D4+G4:1/2 {B4}E4+A4:1/2", "a slide from D4 " + none},
		"out of a grace's lower":   {bar(grace("A4", "", "") + grace("E4", "<chord/>", on) + nt("G4", 4)), "{E4}{A4}G4:1", "a slide from E4 " + none},
		"out of a grace to two":    {bar(grace("A4", "", "") + grace("E4", "<chord/>", on) + nt("G4", 4) + nt("D4", 4, "<chord/>")), "{E4}{A4}D4+G4:1", ""},
		"out of a grace to graces": {bar(grace("A4", "", "") + grace("E4", "<chord/>", on) + grace("B4", "", "") + nt("G4", 4) + nt("D4", 4, "<chord/>")), "{E4}{A4}{B4}D4+G4:1", "a slide from E4 " + none},
	})
}

// TestStaves: of two staves that both say they show another's music both stay, and a tablature that
// has a note of its own does.
func TestStaves(t *testing.T) {
	two := `<attributes><divisions>1</divisions><staves>2</staves>`
	alternate := `<staff-details number="1"><staff-type>alternate</staff-type></staff-details><staff-details number="2"><staff-type>alternate</staff-type></staff-details></attributes>`
	second := func(name string) string {
		return "<backup><duration>4</duration></backup>" + nt(name, 4, "<voice>2</voice><staff>2</staff>")
	}
	sameReading(t, map[string]element{
		"both alternate":      {"<measure>" + two + alternate + nt("G4", 4, "<voice>1</voice><staff>1</staff>") + second("E4") + "</measure>", "G4:1 / E4:1", ""},
		"a note of its own":   {"<measure>" + two + `<clef number="2"><sign>TAB</sign></clef></attributes>` + nt("G4", 4, "<voice>1</voice><staff>1</staff>") + second("E4") + "</measure>", "G4:1 / E4:1", ""},
		"the same note":       {"<measure>" + two + `<clef number="2"><sign>TAB</sign></clef></attributes>` + nt("G4", 4, "<voice>1</voice><staff>1</staff>") + second("G4") + "</measure>", "G4:1", ""},
		"both tablature":      {"<measure>" + two + `<clef number="1"><sign>TAB</sign></clef><clef number="2"><sign>TAB</sign></clef></attributes>` + nt("G4", 4, "<voice>1</voice><staff>1</staff>") + second("G4") + "</measure>", "G4:1 / G4:1", ""},
		"slurs on graces":     {inDivisions(1, nt("A4", 0, "<grace/>", `<notations><slur type="start"/></notations>`)+nt("G4", 4)), "{A4}G4:1", "slurs on graces"},
		"marks on graces":     {inDivisions(1, nt("A4", 0, "<grace/>", `<notations><articulations><staccato/></articulations></notations>`)+nt("G4", 4)), "{A4}G4:1", "marks on graces"},
		"syllables on graces": {inDivisions(1, nt("A4", 0, "<grace/>", "<lyric><text>la</text></lyric>")+nt("G4", 4)), "{A4}G4:1", "syllables on graces"},
		"nothing on graces":   {inDivisions(1, nt("A4", 0, "<grace/>")+nt("G4", 4)), "{A4}G4:1", ""},
	})
}

// TestSlurEnds: a slur begins with a note as it is struck and ends with the last of what it
// is held on in; slurs are told apart by their numbers.
func TestSlurEnds(t *testing.T) {
	slur := func(kind, number string) string {
		return `<notations><slur type="` + kind + `" number="` + number + `"/></notations>`
	}
	bar := func(s string) string { return inDivisions(1, s) }
	const lost = "slurs whose two ends are not in one voice"
	sameReading(t, map[string]element{
		"from a held note":  {bar(nt("G4", 5, slur("start", "1")) + nt("A4", 1, slur("stop", "1"))), "G4-:1( G4:1/4 A4:1/4)", ""},
		"to a held note":    {bar(nt("A4", 1, slur("start", "1")) + nt("G4", 5, slur("stop", "1"))), "A4:1/4( G4-:3/4 G4:1/2)", ""},
		"one after another": {bar(nt("A4", 1, slur("start", "1")) + nt("G4", 1, slur("stop", "1"), slur("start", "1")) + nt("A4", 1, slur("stop", "1"))), "A4:1/4( G4:1/4() A4:1/4)", ""},
		"one in another":    {bar(nt("A4", 1, slur("start", "1")) + nt("G4", 1, slur("start", "2")) + nt("A4", 1, slur("stop", "2")) + nt("G4", 1, slur("stop", "1"))), "A4:1/4( G4:1/4( A4:1/4) G4:1/4)", ""},
		"no number is 1":    {bar(nt("A4", 1, `<notations><slur type="start"/></notations>`) + nt("G4", 1, slur("stop", "1"))), "A4:1/4( G4:1/4)", ""},
		"begun twice":       {bar(nt("A4", 1, slur("start", "1")) + nt("G4", 1, slur("start", "1")) + nt("A4", 1, slur("stop", "1"))), "A4:1/4 G4:1/4( A4:1/4)", lost},
		"ended only":        {bar(nt("A4", 1) + nt("G4", 1, slur("stop", "1"))), "A4:1/4 G4:1/4", lost},
		"another number":    {bar(nt("A4", 1, slur("start", "1")) + nt("G4", 1, slur("stop", "2"))), "A4:1/4 G4:1/4", lost + ": left out (2 times"},
		"over a barline":    {bar(nt("A4", 1, slur("start", "1"))) + "<measure>" + nt("G4", 1, slur("stop", "1")) + "</measure>", "A4:1/4( | G4:1/4)", ""},
		"goes on":           {bar(nt("A4", 1, slur("start", "1")) + nt("B4", 1, slur("continue", "1")) + nt("G4", 1, slur("stop", "1"))), "A4:1/4( B4:1/4 G4:1/4)", ""},
	})
}

// TestBeams: a beam ends where its element says so (MusicXML 4.0, the element beam: begin,
// continue, end), and a note that has none has its own flag.
func TestBeams(t *testing.T) {
	eighth := func(beam string) string {
		if beam != "" {
			beam = "<beam>" + beam + "</beam>"
		}
		return nt("G4", 1, "<type>eighth</type>"+beam)
	}
	for name, c := range map[string]struct {
		in   string
		want []int // notes from 0 after which a beam ends
	}{
		"two and two":       {eighth("begin") + eighth("end") + eighth("begin") + eighth("end"), []int{1}},
		"four":              {eighth("begin") + eighth("continue") + eighth("continue") + eighth("end"), nil},
		"flags":             {eighth("begin") + eighth("end") + eighth("") + eighth(""), []int{1, 2}},
		"nothing of beams":  {eighth("") + eighth("") + eighth("") + eighth(""), nil},
		"of the second":     {strings.ReplaceAll(eighth("begin")+eighth("end")+eighth("begin")+eighth("end"), "<beam>", `<beam number="2">`), nil},
		"of the first":      {strings.ReplaceAll(eighth("begin")+eighth("end")+eighth("begin")+eighth("end"), "<beam>", `<beam number="1">`), []int{1}},
		"before a quarter":  {eighth("begin") + eighth("end") + nt("G4", 2, "<type>quarter</type>") + eighth("") + eighth(""), []int{3}},
		"a note in two":     {eighth("begin") + eighth("end") + nt("G4", 10) + eighth("begin") + eighth("end"), nil},
		"after the quarter": {nt("G4", 2, "<type>quarter</type>") + eighth("begin") + eighth("end") + eighth("begin"), []int{2}},
	} {
		s, err := Read([]byte(score(inDivisions(2, c.in))), "x.xml")
		if err != nil {
			t.Fatal(err)
		}
		var got []int
		for k, e := range s.Parts[0].Tune.Bars[0].Lines[0] {
			if e.BeamEnd {
				got = append(got, k)
			}
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: beams end after %v, want %v", name, got, c.want)
		}
	}
}

// TestSignsThatLeadNowhere: jumps that can't be followed go; what can be stays.
func TestSignsThatLeadNowhere(t *testing.T) {
	g := nt("G4", whole)
	again := barlined("right", `<repeat direction="backward"/>`)
	for name, c := range map[string]struct {
		in    string
		order string
		told  bool
	}{
		"a repeat":       {attributed("") + g + again + "</measure><measure>" + g + "</measure>", "001", false},
		"no segno":       {attributed("") + g + again + "</measure><measure>" + g + `<sound dalsegno="s"/></measure>`, "001", true},
		"a segno":        {attributed("") + `<sound segno="s"/>` + g + "</measure><measure>" + g + `<sound dalsegno="s"/></measure>`, "0101", false},
		"an ending bare": {attributed("") + g + "</measure><measure>" + barlined("left", `<ending number="1" type="start"/>`) + g + barlined("right", `<ending number="1" type="stop"/>`) + "</measure>", "01", false},
	} {
		s, err := Read([]byte(score(c.in)), "x.xml")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		passes, faults := tune.Unfold(s.Parts[0].Tune)
		order := ""
		for _, p := range passes {
			order += fmt.Sprint(p.BarIndex)
		}
		if order != c.order || len(faults) > 0 {
			t.Errorf("%s: bars sound in the order %s, want %s; %v", name, order, c.order, faults)
		}
		if told := strings.Contains(fmt.Sprint([]any{s.Warnings}), "such signs are left out"); told != c.told {
			t.Errorf("%s: told %v", name, s.Warnings)
		}
	}
}

// TestMarksOnNotes: each mark stands once on a chord, whichever of its notes has it, and a
// wedge over one note is a swell.
func TestMarksOnNotes(t *testing.T) {
	notated := func(s string) string { return "<notations>" + s + "</notations>" }
	all := func(a, b string) string {
		return attributed("") + nt("G4", whole, notated(a)) + nt("D4", whole, "<chord/>", notated(b)) + "</measure>"
	}
	wedge := func(kind, number, voice string) string {
		return `<direction><direction-type><wedge type="` + kind + `" number="` + number + `"/></direction-type>` + voice + "</direction>"
	}
	swell := func(open, close string) string {
		return attributed("") + open + nt("G4", 2) + close + nt("A4", 2) + "</measure>"
	}
	for name, c := range map[string]struct {
		in    string
		marks []tune.Mark
	}{
		"held on both":     {all("<fermata/>", "<fermata/>"), []tune.Mark{tune.Fermata}},
		"spread on both":   {all("<arpeggiate/>", "<arpeggiate/>"), []tune.Mark{tune.Arpeggio}},
		"short on both":    {all("<articulations><staccato/></articulations>", "<articulations><staccato/></articulations>"), []tune.Mark{tune.Staccato}},
		"short and marked": {all("<articulations><staccato/><accent/></articulations>", ""), []tune.Mark{tune.Staccato, tune.Accent}},
		"bowed on both":    {all("<technical><up-bow/></technical>", "<technical><up-bow/></technical>"), []tune.Mark{tune.UpBow}},
		"a roll":           {all("<ornaments><other-ornament>roll</other-ornament></ornaments>", ""), []tune.Mark{tune.Roll}},
		"no roll":          {all("<ornaments><other-ornament>growl</other-ornament></ornaments>", ""), nil},
		"a swell":          {swell(wedge("crescendo", "1", ""), wedge("stop", "1", "")), []tune.Mark{tune.Swell}},
		"of its voice":     {swell(wedge("crescendo", "1", ""), wedge("stop", "1", "<voice>1</voice>")), []tune.Mark{tune.Swell}},
		"of another voice": {swell(wedge("crescendo", "1", ""), wedge("stop", "1", "<voice>2</voice>")), nil},
		"another wedge":    {swell(wedge("crescendo", "1", ""), wedge("stop", "2", "")), nil},
		"one that fades":   {swell(wedge("diminuendo", "1", ""), wedge("stop", "1", "")), nil},
		"twice":            {swell(wedge("crescendo", "1", "")+wedge("crescendo", "2", ""), wedge("stop", "1", "")+wedge("stop", "2", "")), []tune.Mark{tune.Swell}},
		"a wedge goes on":  {swell(wedge("crescendo", "1", ""), wedge("continue", "1", "")+wedge("stop", "1", "")), []tune.Mark{tune.Swell}},
	} {
		s, err := Read([]byte(score(c.in)), "x.xml")
		if err != nil {
			t.Fatal(err)
		}
		if got := s.Parts[0].Tune.Bars[0].Lines[0][0].Marks; !slices.Equal(got, c.marks) {
			t.Errorf("%s: got %v, want %v", name, got, c.marks)
		}
	}
}

// TestOwnScoops: our own mark of a scoop goes two octaves either way.
func TestOwnScoops(t *testing.T) {
	own := func(text string) string {
		return attributed("") + nt("G4", whole, "<notations><other-notation>"+text+"</other-notation></notations>") + "</measure>"
	}
	sameReading(t, map[string]element{
		"from above": {own("scoop 24"), "G4(+24):1", ""},
		"from below": {own("scoop -24"), "G4(-24):1", ""},
		"too high":   {own("scoop 25"), "G4:1", ""},
		"too low":    {own("scoop -25"), "G4:1", ""},
		"two words":  {own("scoop -2 frets"), "G4:1", ""},
		"a number":   {own("scoop"), "G4:1", ""},
	})
	chop := func(name string) string {
		return attributed("") + "<note><unpitched/><duration>4</duration><notations><other-notation>chop " + name + "</other-notation></notations></note></measure>"
	}
	sameReading(t, map[string]element{
		"the lowest chop":  {chop("C-1"), "C-1:1", ""},
		"the highest chop": {chop("G9"), "G9:1", ""},
		"a lower":          {chop("Cb-1"), "x:1", "notes without a pitch"},
		"a higher":         {chop("G#9"), "x:1", "notes without a pitch"},
		"no name":          {chop("H4"), "x:1", "notes without a pitch"},
	})
}
