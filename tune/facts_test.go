package tune_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"lapwright/fault"
	"lapwright/pitch"
	"lapwright/tune"
)

// What a tune says of a note by where it stands: notes above it in its chord or grace,
// its event, and whether it grows.
func TestAboutANote(t *testing.T) {
	tn := score("{D4+F4}C4+E4+G4:2 C4:2")
	tn.Bars[0].Lines[0][0].Marks = []tune.Mark{tune.Staccato, tune.Swell}
	for _, c := range []struct {
		ref    tune.Ref
		above  int
		swells bool
	}{
		{tune.Ref{Grace: -1}, 2, true},
		{tune.Ref{Grace: -1, Note: 2}, 0, true},
		{tune.Ref{Grace: 0, Note: 0}, 1, false},
		{tune.Ref{Grace: 0, Note: 1}, 0, false},
		{tune.Ref{Event: 1, Grace: -1}, 0, false},
		{tune.Ref{Event: 2, Grace: -1}, -1, false},
		{tune.Ref{Event: 1, Grace: 0}, -1, false},
	} {
		if got := tn.FromTop(c.ref); got != c.above {
			t.Errorf("%+v has %d notes above it, want %d", c.ref, got, c.above)
		}
		if got := tn.Swells(c.ref); got != c.swells {
			t.Errorf("%+v swells: %v", c.ref, got)
		}
		if e := tn.Event(c.ref); (e == nil) != (c.above < 0) || e != nil && e != &tn.Bars[0].Lines[0][c.ref.Event] {
			t.Errorf("%+v stands in %+v", c.ref, e)
		}
	}
}

// Flags: an eighth has one, a sixteenth two, a quarter and what is longer none; rests
// are not beamed (common practice).
func TestFlags(t *testing.T) {
	for log, want := range map[int8]int{-1: 0, 0: 0, 2: 0, 3: 1, 4: 2, 6: 4} {
		if got := (tune.Value{Log2: log}).Flags(); got != want {
			t.Errorf("a note with logarithm %d has %d flags, want %d", log, got, want)
		}
		e := tune.Event{Value: tune.Value{Log2: log}}
		if got := e.Flags(); got != want {
			t.Errorf("an event with logarithm %d has %d flags, want %d", log, got, want)
		}
		e.Kind = tune.Rest
		if got := e.Flags(); got != 0 {
			t.Errorf("a rest has %d flags", got)
		}
	}
	if got := (tune.Value{Log2: 5, BarRest: true}).Flags(); got != 0 {
		t.Errorf("a bar's rest has %d flags", got)
	}
}

// Words that ask for no chord, and chords.
func TestSilent(t *testing.T) {
	known, err := pitch.ParseChord("C")
	if err != nil {
		t.Fatal(err)
	}
	for text, want := range map[string]bool{"N.C.": true, "n.c": true, "(N.C.)": true, "NC": true, "nc": true, "tacet": true, " Tacet ": true, "ncx": false, "riff": false, "": false} {
		if got := (tune.ChordAt{Text: text}).Silent(); got != want {
			t.Errorf("%q asks for silence: %v", text, got)
		}
	}
	if (tune.ChordAt{Text: "N.C.", Chord: &known}).Silent() {
		t.Error("a chord is silent")
	}
}

// A meter's upper number, whole or in parts, and its beat: three eighths in 6/8, 9/8 and
// 12/8, one in 3/8 and 5/8 (common practice).
func TestMeterText(t *testing.T) {
	for _, c := range []struct {
		m    tune.Meter
		text string
		beat tune.Ticks
	}{
		{tune.Meter{Beats: 4, Unit: 4}, "4", tune.Whole / 4},
		{tune.Meter{Beats: 5, Unit: 8, Groups: []int{3, 2}}, "3+2", tune.Whole / 8},
		{tune.Meter{Beats: 6, Unit: 8}, "6", 3 * tune.Whole / 8},
		{tune.Meter{Beats: 3, Unit: 8}, "3", tune.Whole / 8},
		{tune.Meter{Beats: 6, Unit: 4}, "6", tune.Whole / 4},
		{tune.Meter{Beats: 8, Unit: 8}, "8", tune.Whole / 8},
		{tune.Meter{Beats: 9, Unit: 16}, "9", 3 * tune.Whole / 16},
		{tune.Meter{}, "0", tune.Whole / 4},
	} {
		if got := c.m.Numerator(); got != c.text {
			t.Errorf("%+v is written %q, want %q", c.m, got, c.text)
		}
		if got := c.m.Beat(); got != c.beat {
			t.Errorf("%+v has a beat of %s, want %s", c.m, got, c.beat)
		}
	}
}

// Where a note says where its tune comes from; what a bar is marked with.
func TestProvenanceAndMarks(t *testing.T) {
	for text, want := range map[string]bool{"Book: the green one": true, tune.FromScribe + "by hand": true, "play it softly": false, "On Book: x": false} {
		if got := tune.Provenance(text); got != want {
			t.Errorf("%q tells a source: %v", text, got)
		}
	}
	b := tune.Bar{Tempos: []tune.Tempo{{At: 1}}, Chords: []tune.ChordAt{{At: 2}, {At: 3}}, Texts: []tune.TextAt{{At: 4}}, Signs: []tune.Sign{{At: 5}}}
	if got := b.Marked(); !slices.Equal(got, []tune.Ticks{1, 2, 3, 4, 5}) {
		t.Errorf("marks at %v", got)
	}
}

// A swing as it is written is read back, and nothing else is: swings are told in lowest
// form, long first, within bounds.
func TestSwingText(t *testing.T) {
	for _, s := range []tune.Swing{{}, tune.TempoSwing, {Long: 2, Short: 1}, {Long: 3, Short: 2}, {Long: 1, Short: 3}} {
		got, err := tune.ParseSwing(s.String())
		if known := s.Known() && (s == tune.Swing{} || s == tune.TempoSwing || !s.Even()); (err == nil) != known || known && got != s {
			t.Errorf("%v is written %q and read as %v, %v", s, s, got, err)
		}
	}
	for _, text := range []string{"", "2", "2 to", " to 1", "2 to x", "x to 1", "1 to 1", "0 to 1", "02 to 1", "2 to 1 ", "100000 to 1", "-2 to 1"} {
		if got, err := tune.ParseSwing(text); err == nil {
			t.Errorf("%q is read as %v", text, got)
		}
	}
	for s, want := range map[tune.Swing]string{{}: "even", {Long: 2, Short: 1}: "swung 2 to 1"} {
		if got := s.Words(); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	if got := tune.TempoSwing.Words(); !strings.HasPrefix(got, "swung by tempo, at most ") {
		t.Errorf("%q", got)
	}
}

// A fraction of a whole note is exact or none: 1/19 needs a prime that Whole has not; a
// million whole notes are too many; there is no part of nothing.
func TestOf(t *testing.T) {
	for _, c := range []struct {
		num, den int64
		want     tune.Ticks
		ok       bool
	}{
		{1, 4, tune.Whole / 4, true}, {-3, 8, -3 * (tune.Whole / 8), true}, {0, 5, 0, true}, {2, 2, tune.Whole, true},
		{1, 19, 0, false}, {1, 0, 0, false}, {1, -4, 0, false},
		{999_999, 1, 999_999 * tune.Whole, true}, {1_000_000, 1, 0, false}, {-1_000_000, 1, 0, false},
	} {
		if got, ok := tune.Of(c.num, c.den); got != c.want || ok != c.ok {
			t.Errorf("%d/%d: %d, %v; want %d, %v", c.num, c.den, got, ok, c.want, c.ok)
		}
	}
}

// The speed that a tune begins at: the last that stands at the head of its first bar and
// has a figure; else 100 of its beats a minute.
func TestFirstSpeed(t *testing.T) {
	q := tune.Whole / 4
	for _, c := range []struct {
		what   string
		tempos []tune.Tempo
		want   tune.Speed
	}{
		{"none", nil, tune.Speed{Beat: q, PerMinute: 100_000}},
		{"one", []tune.Tempo{{Beat: q, PerMinute: 72_000}}, tune.Speed{Beat: q, PerMinute: 72_000}},
		{"a word alone", []tune.Tempo{{Text: "Slowly", Beat: q}}, tune.Speed{Beat: q, PerMinute: 100_000}},
		{"a figure of no note", []tune.Tempo{{PerMinute: 50_000}}, tune.Speed{Beat: q, PerMinute: 100_000}},
		{"in the course of the bar", []tune.Tempo{{At: q, Beat: q, PerMinute: 72_000}}, tune.Speed{Beat: q, PerMinute: 100_000}},
		{"halves", []tune.Tempo{{Beat: 2 * q, PerMinute: 60_000}, {At: q, Beat: q, PerMinute: 90_000}}, tune.Speed{Beat: 2 * q, PerMinute: 60_000}},
	} {
		tn := score("C4:1 | C4:1")
		tn.Bars[0].Tempos = c.tempos
		if got := tn.FirstSpeed(); got != c.want {
			t.Errorf("%s: %+v, want %+v", c.what, got, c.want)
		}
	}
	if got := (&tune.Tune{}).FirstSpeed(); got.PerMinute != 100_000 || got.Beat != q {
		t.Errorf("of no bars: %+v", got)
	}
}

// Speeds are told where they change and nowhere else: the same again is no change,
// another note that is counted is; before the start the first goes on.
func TestSpeedsChange(t *testing.T) {
	q := tune.Whole / 4
	tn := score("C4:1 | C4:1 | C4:1 | C4:1")
	for i, tempo := range []tune.Tempo{{Beat: q, PerMinute: 60_000}, {Beat: q, PerMinute: 60_000}, {Beat: 2 * q, PerMinute: 60_000}, {Beat: 2 * q, PerMinute: 90_000}} {
		tn.Bars[i].Tempos = []tune.Tempo{tempo}
	}
	c := tune.NewClock(tn)
	want := []tune.Speed{{At: 0, Beat: q, PerMinute: 60_000}, {At: 2 * tune.Whole, Beat: 2 * q, PerMinute: 60_000}, {At: 3 * tune.Whole, Beat: 2 * q, PerMinute: 90_000}}
	if got := c.Speeds(); !slices.Equal(got, want) {
		t.Errorf("%+v, want %+v", got, want)
	}
	if got := c.At(-1); got != -q {
		t.Errorf("a second before the start is at %s, want %s", got, -q)
	}
	// A loop of the middle bars has the speeds that lie in it, each where it is heard.
	p := tune.Perform(tn)
	loop := p.Rearranged(tune.Span{From: 1, To: 3, Tempo: 0.5}, tune.Span{From: 3, To: 4})
	want = []tune.Speed{{At: 0, Beat: q, PerMinute: 30_000}, {At: tune.Whole, Beat: 2 * q, PerMinute: 30_000}, {At: 2 * tune.Whole, Beat: 2 * q, PerMinute: 90_000}}
	if got := loop.Clock.Speeds(); !slices.Equal(got, want) {
		t.Errorf("bars 2 and 3 at half speed, then 4: %+v, want %+v", got, want)
	}
	if got := loop.Clock.Seconds(loop.Clock.Len()); abs(got-(8+4+4.0/3)) > 1e-9 {
		t.Errorf("they last %g s, want 13.33", got)
	}
	if none := p.Rearranged(); len(none.Passes) != 0 || none.Clock.Len() != 0 || len(none.Clock.Speeds()) != 1 {
		t.Errorf("nothing played: %+v, %s", none.Passes, none.Clock.Len())
	}
}

// Ties over what is not the next bar as written: into each ending and back over a
// repeat, each once; not where the tone is played anew by a grace, rests, or is another.
func TestTiesOverJumps(t *testing.T) {
	told := func(tn *tune.Tune) string {
		var out []string
		for _, j := range tune.Perform(tn).TiesOverJumps() {
			out = append(out, fmt.Sprintf("%d.%d.%d-%d.%d %v", j.Held.Bar, j.Held.Event, j.Held.Note, j.Begun.Bar, j.Begun.Note, j.First))
		}
		return strings.Join(out, ", ")
	}
	for _, c := range []struct {
		what, text string
		endings    bool // of the second and third bar
		want       string
	}{
		{"straight on", "C4-:1 | C4:1", false, ""},
		{"back to the beginning", "C4:2 C4-:2 :|", false, "0.1.0-0.0 false"},
		{"back, and the chord has it", "C4+E4:2 E4-:2 :|", false, "0.1.0-0.1 false"},
		{"back over two bars", "C4:1 | D4:2 C4-:2 :| C4:1", false, "1.1.0-0.0 false"},
		{"to another note", "D4:2 C4-:2 :|", false, ""},
		{"to a note with a grace", "{D4}C4:2 C4-:2 :|", false, ""},
		{"to a rest", "r:2 C4-:2 :|", false, ""},
		{"into the second ending", "C4-:1 | C4:1 :| C4:1", true, "0.0.0-2.0 true"},
		{"into the second ending, twice played", "C4-:1 | C4:1 :| C4:1 :|", true, "0.0.0-2.0 true"},
		{"a second voice", "E4:1 | E4:1 :| E4:1 & C4-:1 | C4:1 :| C4:1", true, "0.0.0-2.0 true"},
	} {
		tn := score(c.text)
		if c.endings {
			tn.Bars[1].Endings, tn.Bars[2].Endings = []int{1}, []int{2}
			tune.EndEndings(tn.Bars)
		}
		if got := told(tn); got != c.want {
			t.Errorf("%s: %q, want %q", c.what, got, c.want)
		}
	}
	// A voice may be silent in a bar.
	tn := score("C4:2 C4-:2 :| C4:1 & E4:1 | E4:1")
	tn.Bars[0].Lines[1] = nil
	if got := told(tn); got != "0.1.0-0.0 false" {
		t.Errorf("beside a voice that is silent: %q", got)
	}
}

// More that Check says, each with the place and the number that a person counts: voice 1
// is the first.
func TestCheckSays(t *testing.T) {
	for _, c := range []struct {
		want  string // "" for sound
		spoil func(tn *tune.Tune)
	}{
		{"", func(tn *tune.Tune) {}},
		{"voice 2 leaves a tuplet open", func(tn *tune.Tune) {
			tn.Bars[0].Lines[1][0].Tuplets = []tune.Tuplet{{Actual: 1, Normal: 1, Starts: true}}
		}},
		{`voice 2 has an event of length "1", which does not fit`, func(tn *tune.Tune) {
			tn.Bars[0].Lines[1] = append(tn.Bars[0].Lines[1], tn.Bars[0].Lines[1][0])
			tn.Bars[0].Lines[1][1].At = tune.Whole
		}},
		{"voice 2 ends a slur that does not begin", func(tn *tune.Tune) { tn.Bars[0].Lines[1][0].SlurEnds = 1 }},
		{`voice 2 ends here and the bar at "1"`, func(tn *tune.Tune) { tn.Bars[0].Lines[1] = nil }},
		{"a stroke without pitch is neither", func(tn *tune.Tune) { n := &tn.Bars[0].Lines[0][0].Notes[0]; n.Chop, n.Tie = true, true }},
		{"a stroke without pitch is neither", func(tn *tune.Tune) { n := &tn.Bars[0].Lines[0][0].Notes[0]; n.Chop, n.Glide = true, true }},
		{"a stroke without pitch is neither", func(tn *tune.Tune) { n := &tn.Bars[0].Lines[0][0].Notes[0]; n.Chop, n.Scoop = true, -1 }},
		{"", func(tn *tune.Tune) { tn.Bars[0].Lines[0][0].Notes[0].Chop = true }},
		{"", func(tn *tune.Tune) { tn.Bars[0].Lines[0][0].Notes[0].Tie = true }},
		{"", func(tn *tune.Tune) {
			tn.Bars[0].Lines[0][0].Notes[0].Glide, tn.Bars[0].Lines[0][1].Notes = true, notes("E4")
		}},
		{"begins inside one that has not ended", func(tn *tune.Tune) { tuplets(tn, tune.Tuplet{Actual: 1, Normal: 1, Starts: true, Ends: true}) }},
		{"begins inside one that has not ended", func(tn *tune.Tune) { tuplets(tn, tune.Tuplet{Actual: 1, Normal: 2, Ends: true}) }},
		{"begins inside one that has not ended", func(tn *tune.Tune) { tuplets(tn, tune.Tuplet{Actual: 2, Normal: 1, Ends: true}) }},
		{"", func(tn *tune.Tune) { tuplets(tn, tune.Tuplet{Actual: 1, Normal: 1, Ends: true}) }},
		{"outside a tuplet that has not ended", func(tn *tune.Tune) { tuplets(tn) }},
		{`the grace "D4" glides to nothing`, func(tn *tune.Tune) { graces(tn, "D4/+G4", "E4") }},
		{"", func(tn *tune.Tune) { graces(tn, "D4+G4/", "E4") }},
		{"", func(tn *tune.Tune) { graces(tn, "D4", "E4/") }},
		{`the note "E4" is tied`, func(tn *tune.Tune) { tn.Bars[0].Lines[0][1].Notes = notes("C4+E4-") }},
		{"beyond all instruments", func(tn *tune.Tune) { tn.Bars[0].Lines[0][0].Notes[0].Name = pitch.Note(pitch.C, 0, -5) }},
		{fmt.Sprintf("has %d notes", tune.MaxNotes+1), func(tn *tune.Tune) {
			tn.Bars[0].Lines[0][0].Notes = slices.Repeat(notes("C4"), tune.MaxNotes+1)
		}},
	} {
		tn := score("C4:2 C4:2 & E4:1")
		c.spoil(tn)
		got := tn.Check()
		found := slices.ContainsFunc(got, func(f *fault.Fault) bool { return strings.Contains(f.Error(), c.want) })
		if c.want == "" && len(got) > 0 || c.want != "" && !found {
			t.Errorf("%v, want %q", got, c.want)
		}
	}
}

// tuplets opens one over the first note and says what the second stands in.
func tuplets(tn *tune.Tune, then ...tune.Tuplet) {
	line := tn.Bars[0].Lines[0]
	line[0].Tuplets, line[1].Tuplets = []tune.Tuplet{{Actual: 1, Normal: 1, Starts: true}}, then
}

// graces sets two before the first note.
func graces(tn *tune.Tune, first, second string) {
	v := tune.Value{Log2: 4}
	tn.Bars[0].Lines[0][0].Graces = []tune.Grace{{Notes: notes(first), Value: v}, {Notes: notes(second), Value: v}}
}

// An order of parts plays a bounded number of them, counts and brackets multiplied out.
func TestLongPartOrders(t *testing.T) {
	for _, c := range []struct {
		order string
		want  int // parts played; 0 for a fault
	}{
		{"A", 1}, {"A3", 3}, {"(AB)2", 4}, {"A.B C", 3}, {"((A2)B)2", 6}, {"(AB)2C2", 6}, {"AB2", 3},
		{fmt.Sprintf("A%d", tune.MaxPasses), tune.MaxPasses}, {fmt.Sprintf("A%d", tune.MaxPasses+1), 0},
		{fmt.Sprintf("BA%d", tune.MaxPasses-1), tune.MaxPasses}, {fmt.Sprintf("BA%d", tune.MaxPasses), 0},
		{fmt.Sprintf("A%dB", tune.MaxPasses), 0}, {fmt.Sprintf("BBB(AA)%d", tune.MaxPasses/2), 0},
		{"A0", 0}, {"2A", 0}, {"A22", 22}, {"A2 2", 0}, {"(A", 0}, {"A)", 0}, {"A!", 0},
		{strings.Repeat("(", tune.MaxPartDepth) + "A" + strings.Repeat(")", tune.MaxPartDepth), 1},
		{strings.Repeat("(", tune.MaxPartDepth+1) + "A" + strings.Repeat(")", tune.MaxPartDepth+1), 0},
	} {
		got, err := tune.ParsePartOrder(c.order)
		if (err == nil) != (c.want > 0) || len(got) != c.want {
			t.Errorf("%.40q plays %d parts, %v; want %d", c.order, len(got), err, c.want)
		}
	}
}
