package musicxml

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/tune"
)

// attributed begins a measure with what else is in its attributes.
func attributed(inside string) string {
	return "<measure><attributes><divisions>1</divisions>" + inside + "</attributes>"
}

func meter(inside string) string { return attributed("<time>" + inside + "</time>") }

func directed(inside string) string {
	return "<direction><direction-type>" + inside + "</direction-type></direction>"
}

func barlined(location, inside string) string {
	return `<barline location="` + location + `">` + inside + "</barline>"
}

func tempoMark(inside string) string { return directed("<metronome>" + inside + "</metronome>") }

func symbol(inside string) string { return "<harmony>" + inside + "</harmony>" }

const (
	rootC = "<root><root-step>C</root-step></root>"
	whole = 4
)

// firstBar tells what stands in the first bar beside its notes.
func firstBar(s *Score) string {
	b := s.Parts[0].Tune.Bars[0]
	var out []string
	add := func(format string, a ...any) { out = append(out, fmt.Sprintf(format, a...)) }
	if k := b.Key.Text(); k != "C major" {
		add("%s", k)
	}
	if b.Meter.Beats > 0 {
		add("%d/%d%s %v", b.Meter.Beats, b.Meter.Unit, b.Meter.Symbol, b.Meter.Groups)
	}
	for _, x := range b.Tempos {
		add("%s=%d at %s %s", x.Beat, x.PerMinute, x.At, x.Text)
	}
	for _, x := range b.Chords {
		known := ""
		if x.Chord == nil {
			known = " (words)"
		}
		add("%s at %s%s", x.Text, x.At, known)
	}
	for _, x := range b.Signs {
		add("sign %d at %s", x.Kind, x.At)
	}
	for _, x := range b.Texts {
		add("%q at %s", x.Text, x.At)
	}
	if b.Left != (tune.Barline{}) {
		add("left %d %d", b.Left.Style, b.Left.Repeat)
	}
	if b.Right != (tune.Barline{}) {
		add("right %d %d", b.Right.Style, b.Right.Repeat)
	}
	if len(b.Endings) > 0 {
		add("endings %v", b.Endings)
	}
	return strings.Join(out, "; ")
}

// element is a measure without its end, what it says beside its notes, and part of
// what is told of it; "" wants nothing told.
type element struct{ in, want, told string }

// elements are the cases of TestElements.
var elements = func() map[string]element {
	g := nt("G4", whole)
	return map[string]element{
		// attributes
		"seven flats":          {attributed("<key><fifths>-7</fifths></key>") + g, "Cb major", ""},
		"seven sharps":         {attributed("<key><fifths>7</fifths><mode>minor</mode></key>") + g, "A# minor", ""},
		"eight sharps":         {attributed("<key><fifths>8</fifths></key>") + g, "", `a signature of "8" accidentals is not kept`},
		"aeolian":              {attributed("<key><fifths>0</fifths><mode>aeolian</mode></key>") + g, "A minor", ""},
		"a mode of elsewhere":  {attributed("<key><fifths>1</fifths><mode>hijaz</mode></key>") + g, "G major", `the mode "hijaz" is not known and major is taken`},
		"a signature by step":  {attributed("<key><key-step>F</key-step><key-alter>1</key-alter><key-step>B</key-step><key-alter>-1</key-alter></key>") + g, "C major, signed F# Bb", ""},
		"a doubly sharp step":  {attributed("<key><key-step>F</key-step><key-alter>2</key-alter></key>") + g, "C major, signed F##", ""},
		"a triply sharp step":  {attributed("<key><key-step>F</key-step><key-alter>3</key-alter></key>") + g, "", `"F" altered by "3" has no place`},
		"a quarter-tone step":  {attributed("<key><key-step>F</key-step><key-alter>0.5</key-alter></key>") + g, "", `"F" altered by "0.5" has no place`},
		"keys of two staves":   {attributed(`<key number="1"><fifths>1</fifths></key><key number="2"><fifths>3</fifths></key>`) + g, "G major", "a key signature of its own for another staff"},
		"the same on both":     {attributed(`<key number="1"><fifths>1</fifths></key><key number="2"><fifths>1</fifths></key>`) + g, "G major", ""},
		"a key inside a bar":   {attributed("") + nt("G4", 2) + "<attributes><key><fifths>1</fifths></key></attributes>" + nt("G4", 2), "", "the key changes inside a bar"},
		"common time":          {attributed(`<time symbol="common"><beats>4</beats><beat-type>4</beat-type></time>`) + g, "4/4C []", ""},
		"cut time":             {attributed(`<time symbol="cut"><beats>2</beats><beat-type>2</beat-type></time>`) + g, "2/2C| []", ""},
		"common sign, 3/4":     {attributed(`<time symbol="common"><beats>3</beats><beat-type>4</beat-type></time>`) + nt("G4", 3), "3/4 []", ""},
		"cut sign, 4/4":        {attributed(`<time symbol="cut"><beats>4</beats><beat-type>4</beat-type></time>`) + g, "4/4 []", ""},
		"added meters":         {meter("<beats>3</beats><beat-type>8</beat-type><beats>1</beats><beat-type>4</beat-type>") + nt("G4", 1), "5/8 [3 2]", ""},
		"one beat":             {meter("<beats>1</beats><beat-type>1</beat-type>") + g, "1/1 []", ""},
		"no beats":             {meter("<beats>0</beats><beat-type>4</beat-type>") + g, "", `the meter "0" over "4" is not kept`},
		"beats in thirds":      {meter("<beats>2</beats><beat-type>3</beat-type>") + g, "", `the meter "2" over "3" is not kept`},
		"no unit":              {meter("<beats>2</beats><beat-type>0</beat-type>") + g, "", `the meter "2" over "0" is not kept`},
		"free time":            {meter("<senza-misura/>") + g, "", ""},
		"a second meter":       {meter("<beats>6</beats><beat-type>8</beat-type><interchangeable><beats>3</beats><beat-type>4</beat-type></interchangeable>") + nt("G4", 3), "6/8 []", "a second meter to read the bars in"},
		"a meter inside a bar": {attributed("") + nt("G4", 2) + "<attributes><time><beats>2</beats><beat-type>4</beat-type></time></attributes>" + nt("G4", 2), "", "the meter changes inside a bar"},
		"five octaves lower":   {attributed("<key><fifths>0</fifths></key><transpose><chromatic>0</chromatic><octave-change>-5</octave-change></transpose>") + nt("G9", whole), "", ""},
		"six octaves lower":    {attributed("<transpose><chromatic>0</chromatic><octave-change>-6</octave-change></transpose>") + g, "", "is not kept"},
		"chromatic alone":      {attributed("<key><fifths>0</fifths></key><transpose><chromatic>3</chromatic></transpose>") + g, "Eb major", ""},
		"no number":            {attributed("<transpose><chromatic>x</chromatic></transpose>") + g, "", `a transposition by "x" is not kept`},
		"doubled":              {attributed("<transpose><chromatic>0</chromatic><double/></transpose>") + g, "", "doubling at the octave"},
		"slashes":              {attributed(`<measure-style><slash type="start"/></measure-style>`) + g, "", `the measure style "slash"`},
		"several bars' rest":   {attributed(`<measure-style><multiple-rest>2</multiple-rest></measure-style>`) + g, "", ""},

		// metronome and sound
		"a dotted beat":         {attributed("") + tempoMark("<beat-unit>quarter</beat-unit><beat-unit-dot/><per-minute>60</per-minute>") + g, "3/8=60000 at 0 ", ""},
		"a range of tempo":      {attributed("") + tempoMark("<beat-unit>half</beat-unit><per-minute>92-96</per-minute>") + g, "1/2=92000 at 0 ", ""},
		"half a beat":           {attributed("") + tempoMark("<beat-unit>quarter</beat-unit><per-minute>88.5.</per-minute>") + g, "1/4=88500 at 0 ", ""},
		"beat is beat":          {attributed("") + tempoMark("<beat-unit>quarter</beat-unit><beat-unit>eighth</beat-unit>") + g, "", "a tempo that is no number of beats a minute"},
		"in words":              {attributed("") + tempoMark("<beat-unit>quarter</beat-unit><per-minute>fast</per-minute>") + g, "", "a tempo that is no number of beats a minute"},
		"a unit unknown":        {attributed("") + tempoMark("<beat-unit>slow</beat-unit><per-minute>60</per-minute>") + g, "", "a tempo that is no number of beats a minute"},
		"no beats a minute":     {attributed("") + tempoMark("<beat-unit>quarter</beat-unit><per-minute>0</per-minute>") + g, "", `a tempo of "0" is left out`},
		"tempo of sound":        {attributed("") + `<sound tempo="80.25"/>` + g, "1/4=80250 at 0 ", ""},
		"no tempo of sound":     {attributed("") + `<sound tempo="0"/>` + g, "", `a tempo of "0" is left out`},
		"tempo as it comes":     {attributed("") + nt("G4", 1) + `<sound tempo="80"/>` + nt("G4", 3), "1/4=80000 at 1/4 ", ""},
		"a tempo brought back":  {attributed("") + nt("G4", 2) + `<sound tempo="80"><offset>-1</offset></sound>` + nt("G4", 2), "1/4=80000 at 1/4 ", ""},
		"mark and sound":        {attributed("") + "<direction><direction-type><metronome><beat-unit>half</beat-unit><per-minute>40</per-minute></metronome></direction-type>" + `<sound tempo="80"/></direction>` + g, "1/2=40000 at 0 ", ""},
		"segno of sound":        {attributed("") + `<sound segno="s"/>` + g, fmt.Sprintf("sign %d at 0", tune.Segno), ""},
		"coda of sound":         {attributed("") + `<sound coda="c"/>` + g, fmt.Sprintf("sign %d at 0", tune.Coda), ""},
		"segno on a barline":    {attributed("") + barlined("left", "<segno/>") + g, fmt.Sprintf("sign %d at 0", tune.Segno), ""},
		"coda at a bar's end":   {attributed("") + g + barlined("right", "<coda/>"), fmt.Sprintf("sign %d at 1", tune.Coda), ""},
		"a fermata on the line": {attributed("") + g + barlined("right", "<fermata/>"), "", "fermatas on barlines"},
		"words":                 {attributed("") + directed("<words>softly</words>") + g, `"softly" at 0`, ""},
		"loudness":              {attributed("") + directed("<dynamics><p/></dynamics>") + g, "", "dynamics"},

		// barlines and endings
		"dashed":              {attributed("") + g + barlined("right", "<bar-style>dashed</bar-style>"), fmt.Sprintf("right %d 0", tune.DottedBarline), ""},
		"heavy":               {attributed("") + g + barlined("right", "<bar-style>heavy</bar-style>"), "", `the barline style "heavy"`},
		"final":               {attributed("") + g + "<barline><bar-style>light-heavy</bar-style></barline>", fmt.Sprintf("right %d 0", tune.FinalBarline), ""},
		"in the middle":       {attributed("") + nt("G4", 2) + barlined("middle", "<bar-style>light-light</bar-style>") + nt("G4", 2), "", "barlines in the middle of a measure"},
		"once is twice":       {attributed("") + g + barlined("right", `<repeat direction="backward" times="1"/>`), "right 0 1", ""},
		"twice":               {attributed("") + g + barlined("right", `<repeat direction="backward" times="2"/>`), "right 0 1", ""},
		"four times":          {attributed("") + g + barlined("right", `<repeat direction="backward" times="4"/>`), "right 0 3", ""},
		"ending zero":         {attributed("") + barlined("left", `<ending number="0" type="start"/>`) + g, "", `an ending with the number "0" is left out`},
		"endings out of turn": {attributed("") + barlined("left", `<repeat direction="forward"/><ending number="2,1,2" type="start"/>`) + g + barlined("right", `<ending number="1,2" type="stop"/><repeat direction="backward"/>`), "left 0 1; right 0 1; endings [1 2]", ""},

		// harmony
		"no chord":               {attributed("") + symbol(rootC+"<kind>none</kind>") + g, "N.C. at 0 (words)", ""},
		"no chord in words":      {attributed("") + symbol(rootC+`<kind text="tacet">none</kind>`) + g, "tacet at 0 (words)", ""},
		"numeral":                {attributed("") + symbol("<numeral><numeral-root>1</numeral-root></numeral><kind>major</kind>") + g, "", "chord symbols without a root"},
		"a root of no note":      {attributed("") + symbol("<root><root-step>H</root-step></root><kind>major</kind>") + g, "", "a chord symbol has no root that is a note"},
		"a root too sharp":       {attributed("") + symbol("<root><root-step>C</root-step><root-alter>3</root-alter></root><kind>major</kind>") + g, "", "a chord symbol has no root that is a note"},
		"doubly flat":            {attributed("") + symbol("<root><root-step>B</root-step><root-alter>-2</root-alter></root><kind>major</kind>") + g, "Bbb at 0", ""},
		"its own bass":           {attributed("") + symbol(rootC+"<kind>major</kind><bass><bass-step>C</bass-step></bass>") + g, "C at 0", ""},
		"another bass":           {attributed("") + symbol(rootC+"<kind>minor</kind><bass><bass-step>B</bass-step><bass-alter>-1</bass-alter></bass>") + g, "Cm/Bb at 0", ""},
		"a chord over another":   {attributed("") + symbol(rootC+"<kind>major</kind><root><root-step>D</root-step></root><kind>major</kind>") + g, "C at 0", "polychords"},
		"a picture":              {attributed("") + symbol(rootC+"<kind>major</kind><frame/>") + g, "C at 0", "pictures of chord shapes"},
		"text of another chord":  {attributed("") + symbol(rootC+`<kind text="m7">dominant</kind>`) + g, "C7 at 0", ""},
		"a kind unknown":         {attributed("") + symbol(rootC+"<kind>other</kind>") + g, "C other at 0 (words)", "the meaning of the chord kind"},
		"transposed chord":       {attributed("<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>") + symbol(rootC+"<kind>major</kind>") + g, "Bb major; Bb at 0", ""},
		"a chord before its bar": {attributed("") + symbol(rootC+"<kind>major</kind><offset>-2</offset>") + g, "C at 0", ""},
		"a chord on beat two":    {attributed("") + symbol(rootC+"<kind>major</kind><offset>1</offset>") + g, "C at 1/4", ""},
	}
}()

// TestElements reads one element of the standard at a time (MusicXML 4.0, the
// element of each name) at the edges of what it may say.
func TestElements(t *testing.T) {
	for name, c := range elements {
		s, err := Read([]byte(score(c.in+"</measure>")), "x.xml")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if got := firstBar(s); got != c.want {
			t.Errorf("%s: got %s, want %s", name, got, c.want)
		}
		all := ""
		for _, w := range s.Warnings {
			all += w.Error() + "\n"
		}
		if c.told == "" && all != "" || !strings.Contains(all, c.told) {
			t.Errorf("%s: told %q, want %q", name, all, c.told)
		}
	}
}

func timed(actual, normal int, inside string) string {
	return fmt.Sprintf("<time-modification><actual-notes>%d</actual-notes><normal-notes>%d</normal-notes></time-modification><notations>%s</notations>", actual, normal, inside)
}

// TestTuplets: the elements tuplet and time-modification. A tuplet inside a
// tuplet takes what is left of the modification; where marks and lengths
// disagree the lengths decide.
func TestTuplets(t *testing.T) {
	const start, stop = `<tuplet type="start"/>`, `<tuplet type="stop"/>`
	div := func(n int) string {
		return fmt.Sprintf("<measure><attributes><divisions>%d</divisions></attributes>", n)
	}
	for name, c := range map[string]struct{ in, want string }{
		"marked": {div(3) + nt("G4", 1, "<type>eighth</type>"+timed(3, 2, start)) + nt("A4", 1, "<type>eighth</type>"+timed(3, 2, "")) + nt("B4", 1, "<type>eighth</type>"+timed(3, 2, stop)) + nt("C5", 3, "<type>quarter</type>"),
			"G4:1/12[3:2 A4:1/12 B4:1/12] C5:1/4"},
		"long and short": {div(3) + nt("G4", 2, "<type>quarter</type>"+timed(3, 2, start)) + nt("A4", 1, "<type>eighth</type>"+timed(3, 2, stop)), "G4:1/6[3:2 A4:1/12]"},
		"two in a row": {div(3) + nt("G4", 2, "<type>quarter</type>"+timed(3, 2, start)) + nt("A4", 1, "<type>eighth</type>"+timed(3, 2, stop)) + nt("G4", 2, "<type>quarter</type>"+timed(3, 2, start)) + nt("A4", 1, "<type>eighth</type>"+timed(3, 2, stop)),
			"G4:1/6[3:2 A4:1/12] G4:1/6[3:2 A4:1/12]"},
		"two in a row, unmarked": {div(3) + nt("G4", 1) + nt("A4", 1) + nt("B4", 1) + nt("G4", 1) + nt("A4", 1) + nt("B4", 1), "G4:1/12[3:2 A4:1/12 B4:1/12] G4:1/12[3:2 A4:1/12 B4:1/12]"},
		"three after five": {div(15) + strings.Repeat(nt("G4", 3, "<type>16th</type>"+timed(5, 4, "")), 5) + strings.Repeat(nt("A4", 5, "<type>eighth</type>"+timed(3, 2, "")), 3),
			"G4:1/20[5:4 G4:1/20 G4:1/20 G4:1/20 G4:1/20] A4:1/12[3:2 A4:1/12 A4:1/12]"},
		"within another": {div(9) + nt("G4", 6, "<type>quarter</type>"+timed(3, 2, `<tuplet type="start" number="1"/>`)) + nt("A4", 6, "<type>quarter</type>"+timed(3, 2, "")) +
			nt("B4", 2, "<type>eighth</type>"+timed(9, 4, `<tuplet type="start" number="2"/>`)) + nt("C5", 2, "<type>eighth</type>"+timed(9, 4, "")) + nt("D5", 2, "<type>eighth</type>"+timed(9, 4, `<tuplet type="stop" number="2"/><tuplet type="stop" number="1"/>`)),
			"G4:1/6[3:2 A4:1/6 B4:1/18[3:2 C5:1/18 D5:1/18]]"},
		"numbers of its own": {div(3) + nt("G4", 1, "<type>eighth</type>"+timed(3, 2, `<tuplet type="start"><tuplet-actual><tuplet-number>3</tuplet-number></tuplet-actual><tuplet-normal><tuplet-number>2</tuplet-number></tuplet-normal></tuplet>`)) +
			nt("A4", 1, "<type>eighth</type>"+timed(3, 2, "")) + nt("B4", 1, "<type>eighth</type>"+timed(3, 2, stop)), "G4:1/12[3:2 A4:1/12 B4:1/12]"},
		"stop that was not begun": {div(3) + nt("G4", 1, "<type>eighth</type>"+timed(3, 2, "")) + nt("A4", 1, "<type>eighth</type>"+timed(3, 2, "")) + nt("B4", 1, "<type>eighth</type>"+timed(3, 2, stop)), "G4:1/12[3:2 A4:1/12 B4:1/12]"},
		"a rest within":           {div(3) + nt("G4", 1, "<type>eighth</type>"+timed(3, 2, start)) + "<note><rest/><duration>1</duration><type>eighth</type>" + timed(3, 2, "") + "</note>" + nt("B4", 1, "<type>eighth</type>"+timed(3, 2, stop)), "G4:1/12[3:2 z:1/12 B4:1/12]"},
		"a gap within":            {div(3) + nt("G4", 1, "<type>eighth</type>"+timed(3, 2, "")) + "<forward><duration>1</duration></forward>" + nt("B4", 1, "<type>eighth</type>"+timed(3, 2, "")) + nt("C5", 3), "G4:1/12[3:2] x:1/12 B4:1/12[3:2] C5:1/4"},
	} {
		s, err := Read([]byte(score(c.in+"</measure>")), "x.xml")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if got := told(s.Parts[0].Tune); got != c.want {
			t.Errorf("%s: got %s, want %s", name, got, c.want)
		}
	}
}

// TestHeader: work, identification and credit say what a tune is called and whose it is.
func TestHeader(t *testing.T) {
	for name, c := range map[string]struct{ in, want, told string }{
		"work":                {"<work><work-title>Lamp</work-title></work>", "Lamp [] by  []", ""},
		"a number":            {"<work><work-number>3</work-number><work-title>Lamp</work-title></work>", "Lamp [] by  []", "the work number"},
		"movement alone":      {"<movement-title>Air</movement-title>", "Air [] by  []", ""},
		"work and movement":   {"<work><work-title>Lamp</work-title></work><movement-title>Air</movement-title>", "Lamp [Air] by  []", ""},
		"the same twice":      {"<work><work-title>Lamp</work-title></work><movement-title>Lamp</movement-title>", "Lamp [] by  []", ""},
		"composer":            {`<identification><creator type="composer">the class</creator></identification>`, " [] by the class []", ""},
		"a creator":           {"<identification><creator>the class</creator></identification>", " [] by the class []", ""},
		"composer first":      {`<identification><creator type="composer">the class</creator><creator>someone</creator></identification>`, " [] by the class [: someone]", ""},
		"words and rights":    {`<identification><creator type="lyricist">a pupil</creator><rights>free</rights></identification>`, " [] by  [lyricist: a pupil rights: free]", ""},
		"nobody":              {`<identification><creator type="lyricist"></creator><rights></rights></identification>`, " [] by  []", ""},
		"remarks":             {`<identification><miscellaneous><miscellaneous-field name="x">y</miscellaneous-field></miscellaneous></identification>`, " [] by  []", "remarks of another program"},
		"relation":            {"<identification><relation>x</relation></identification>", " [] by  []", "relations to other works"},
		"printed title":       {`<credit><credit-type>title</credit-type><credit-words>Lamp</credit-words></credit>`, "Lamp [] by  []", ""},
		"printed twice":       {`<work><work-title>Lamp</work-title></work><credit><credit-type>title</credit-type><credit-words>LAMP</credit-words></credit>`, "Lamp [] by  []", ""},
		"printed by movement": {`<movement-title>Air</movement-title><credit><credit-type>title</credit-type><credit-words>AIR</credit-words></credit>`, "Air [] by  []", ""},
		"subtitle":            {`<credit><credit-type>subtitle</credit-type><credit-words>for</credit-words><credit-words>two</credit-words></credit>`, " [for two] by  []", ""},
		"printed composer":    {`<credit><credit-type>composer</credit-type><credit-words>the class</credit-words></credit>`, " [] by  []", ""},
		"page number":         {`<credit><credit-type>page number</credit-type><credit-words>1</credit-words></credit>`, " [] by  []", ""},
		"other words":         {`<credit><credit-words>learn by heart</credit-words></credit>`, " [] by  []", "words on the page (credit)"},
		"no words":            {`<credit><credit-type>arranger</credit-type></credit>`, " [] by  []", ""},
		"defaults":            {"<defaults/><movement-number>2</movement-number>", " [] by  []", ""},
	} {
		text := "<score-partwise>" + c.in + `<part-list><score-part id="P1"><part-name>a</part-name></score-part></part-list><part id="P1"><measure>` + quarter + "</measure></part></score-partwise>"
		s, err := Read([]byte(text), "x.xml")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		tn := s.Parts[0].Tune
		if got := fmt.Sprintf("%s %v by %s %v", tn.Title, tn.Subtitles, tn.Composer, tn.Notes); got != c.want {
			t.Errorf("%s: got %q, want %q", name, got, c.want)
		}
		all := ""
		for _, w := range s.Warnings {
			all += w.Error() + "\n"
		}
		if c.told == "" && all != "" || !strings.Contains(all, c.told) {
			t.Errorf("%s: told %q, want %q", name, all, c.told)
		}
	}
}

// TestTechnical: string, fret, bend, harmonic, hammer-on and pull-off of other
// programs' tablature, on six strings tuned D2 A2 D3 F#3 A3 D4.
func TestTechnical(t *testing.T) {
	on := func(name string, dur, str, fret int, more string) string {
		return nt(name, dur, fingered(str, fret, more))
	}
	two := func(a, b, tabA, tabB string) string { return tabScore(nt(a, 2)+nt(b, 2), tabA+tabB) }
	for name, c := range map[string]struct{ in, want, told string }{
		"pulled off":        {two("A4", "G4", on("A4", 2, 1, 7, ""), on("G4", 2, 1, 5, `<pull-off type="stop"/>`)), "1:7 1:5 pulled off", ""},
		"hammer begun":      {two("G4", "A4", on("G4", 2, 1, 5, `<hammer-on type="start"/>`), on("A4", 2, 1, 7, `<hammer-on type="stop"/>`)), "1:5 1:7 hammered on", ""},
		"hammered at first": {two("G4", "A4", on("G4", 2, 1, 5, `<hammer-on type="stop"/>`), on("A4", 2, 1, 7, "")), "1:5 1:7", ""},
		"harmonic":          {two("D5", "A5", on("D5", 2, 1, 12, "<harmonic/>"), on("A5", 2, 1, 7, "<harmonic><natural/></harmonic>")), "1:12 harmonic 2 1:7 harmonic 3", ""},
		"harmonic at 5":     {two("D6", "F#6", on("D6", 2, 1, 5, "<harmonic/>"), on("F#6", 2, 1, 4, "<harmonic/>")), "1:5 harmonic 4 1:4 harmonic 5", ""},
		"palm harmonic":     {two("G5", "A4", on("G5", 2, 1, 5, "<harmonic><artificial/></harmonic>"), on("A4", 2, 1, 7, "")), "1:5 palm harmonic 2 1:7", ""},
		"string 0":          {two("G4", "A4", on("G4", 2, 0, 5, ""), on("A4", 2, 1, 7, "")), "1:7 off", `the string "0" is none`},
		"fret 49":           {two("G4", "A4", on("G4", 2, 1, 49, ""), on("A4", 2, 1, 7, "")), "1:7 off", `the fret "49" is none`},
		"string 7 of 6":     {two("G4", "A4", on("G4", 2, 7, 5, ""), on("A4", 2, 1, 7, "")), "1:7 off", ""},
		"another pitch":     {two("G4", "A4", on("G4", 2, 1, 6, ""), on("A4", 2, 1, 7, "")), "1:6 1:7 off", ""},
		"a bend unknown":    {two("G4", "A4", on("G4", 2, 1, 5, "<bend><bend-alter>x</bend-alter></bend>"), on("A4", 2, 1, 7, "")), "1:5 1:7", ""},
		"tapped":            {two("G4", "A4", on("G4", 2, 1, 5, "<tap/>"), on("A4", 2, 1, 7, "")), "1:5 1:7", `the way of playing "tap"`},
		"with the thumb":    {two("G4", "A4", on("G4", 2, 1, 5, "<pluck>p</pluck>"), on("A4", 2, 1, 7, "<pluck>a</pluck>")), "1:5T 1:7", ""},
	} {
		s, err := Read([]byte(c.in), "x.xml")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		got, warnings, err := s.Parts[0].Tab(nil)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		var words []string
		for _, st := range got.Strokes {
			for _, p := range st.Plucks {
				w := fmt.Sprintf("%d:%g%s", p.String, p.Fret, p.Finger)
				if a := p.Attack.String(); a != "" && a != "picked" {
					w += " " + a
				}
				if p.Node > 0 {
					w += fmt.Sprint(" ", p.Node)
				}
				words = append(words, w)
			}
		}
		if len(got.Compromises) > 0 {
			words = append(words, "off")
		}
		if w := strings.Join(words, " "); w != c.want {
			t.Errorf("%s: got %s, want %s (%v)", name, w, c.want, got.Compromises)
		}
		all := ""
		for _, w := range append(s.Warnings, warnings...) {
			all += w.Error() + "\n"
		}
		if c.told == "" && all != "" || !strings.Contains(all, c.told) {
			t.Errorf("%s: told %q, want %q", name, all, c.told)
		}
	}
}
