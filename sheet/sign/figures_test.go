package sign_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/sheet/draw"
	"lapwright/sheet/sign"
	"lapwright/tune"
)

// TestTimeSignatures: what stands over the line, figure by figure, and the room of
// the wider of the two numbers; a plus stands clear of both its neighbours (the
// codes are those of Standard Music Font Layout 1.4, time signatures).
func TestTimeSignatures(t *testing.T) {
	width := func(s ...draw.Symbol) float64 {
		w := 0.0
		for _, x := range s {
			w += x.Advance()
		}
		return w
	}
	plus := draw.TimeSigPlusSmall
	for _, c := range []struct {
		m     tune.Meter
		over  string
		signs []draw.Symbol
		room  float64
	}{
		{tune.Meter{Beats: 4, Unit: 4}, "4", []draw.Symbol{draw.TimeSig0 + 4}, width(draw.TimeSig0 + 4)},
		{tune.Meter{Beats: 12, Unit: 8}, "12", []draw.Symbol{draw.TimeSig0 + 1, draw.TimeSig0 + 2}, width(draw.TimeSig0+1, draw.TimeSig0+2)},
		{tune.Meter{Beats: 3, Unit: 16}, "3", []draw.Symbol{draw.TimeSig0 + 3}, width(draw.TimeSig0+1, draw.TimeSig0+6)},
		{tune.Meter{Beats: 5, Unit: 8, Groups: []int{3, 2}}, "3+2", []draw.Symbol{draw.TimeSig0 + 3, plus, draw.TimeSig0 + 2}, width(draw.TimeSig0+3, plus, draw.TimeSig0+2) + 0.3},
		{tune.Meter{Beats: 4, Unit: 4, Symbol: "C"}, "4", []draw.Symbol{draw.TimeSig0 + 4}, width(draw.TimeSigCommon)},
		{tune.Meter{}, "0", []draw.Symbol{draw.TimeSig0}, 0},
	} {
		over := c.m.Numerator()
		if over != c.over {
			t.Errorf("%v: %q over the line, want %q", c.m, over, c.over)
		}
		for i := range over {
			if got := sign.Digit(over[i]); got != c.signs[i] {
				t.Errorf("%v: figure %d is sign %v, want %v", c.m, i, got, c.signs[i])
			}
		}
		if got := sign.MeterWidth(&c.m); math.Abs(got-c.room) > 1e-9 {
			t.Errorf("%v takes %g, want %g", c.m, got, c.room)
		}
	}
}

// TestPartsOfChordSymbols: which letters belong to the root, what is raised, and
// where the bass begins.
func TestPartsOfChordSymbols(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"A", "A"}, {"G", "G"}, {"B♭", "B♭"}, {"Am7", "A m ^7"}, {"Gsus4", "G sus ^4"}, {"C7♭9", "C ^7♭9"}, {"C♯m7♭5", "C♯ m ^7♭5"},
		{"D/F♯", "D /F♯"}, {"C/A", "C /A"}, {"C/G", "C /G"}, {"C6/9", "C ^6/9"}, {"C/", "C ^/"}, {"C/H", "C ^/ H"}, {"AG", "A G"}, {"A/Gm", "A /Gm"},
		{"N.C.", "N.C."}, {"H7", "H7"}, {"♭7", "♭7"}, {"", ""},
	} {
		var got []string
		for _, r := range sign.Chord(&tune.ChordAt{Text: c.text}) {
			text := r.Text
			if r.Rise > 0 {
				text = "^" + text
			}
			got = append(got, text)
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%q: %q, want %q", c.text, s, c.want)
		}
	}
	// A symbol is as wide as its parts at their sizes.
	m7 := sign.Chord(&tune.ChordAt{Text: "Am7"})
	if got, want := sign.ChordEms(m7), draw.Serif.Width("A")+0.86*draw.Serif.Width("m")+0.72*draw.Serif.Width("7"); math.Abs(got-want) > 1e-9 {
		t.Errorf("Am7 is %g em wide, want %g", got, want)
	}
	// What is understood is set in its own letters, however it was typed.
	p, err := pitch.ParseChord("Bbmaj7")
	if err != nil {
		t.Fatal(err)
	}
	if got := sign.Chord(&tune.ChordAt{Text: "Bbmaj7", Chord: &p}); got[0].Text != "B♭" {
		t.Errorf("the root of Bbmaj7 is set as %q", got[0].Text)
	}
}

// TestDotsAndTails: each dot takes its own width and a gap before it, and a note has
// the flag of its number of tails, from eighths to 1024ths.
func TestDotsAndTails(t *testing.T) {
	one, two, three := sign.DotsWidth(tune.Value{Dots: 1}, 1), sign.DotsWidth(tune.Value{Dots: 2}, 1), sign.DotsWidth(tune.Value{Dots: 3}, 1)
	if sign.DotsWidth(tune.Value{}, 1) != 0 || one < 0.4 || math.Abs((two-one)-(three-two)) > 1e-9 || two-one < 0.4 || two-one > one {
		t.Errorf("one dot takes %g, two %g, three %g: each further one as much, with less gap than before the first", one, two, three)
	}
	if half := sign.DotsWidth(tune.Value{Dots: 2}, 0.5); math.Abs(half-two/2) > 1e-9 {
		t.Errorf("two small dots take %g, want half of %g", half, two)
	}
	up := []draw.Symbol{draw.Flag8thUp, draw.Flag16thUp, draw.Flag32ndUp}
	down := []draw.Symbol{draw.Flag8thDown, draw.Flag16thDown, draw.Flag32ndDown}
	for i := range up {
		if got := sign.Flag(i+1, true); got != up[i] {
			t.Errorf("%d tails up: %v, want %v", i+1, got, up[i])
		}
		if got := sign.Flag(i+1, false); got != down[i] {
			t.Errorf("%d tails down: %v, want %v", i+1, got, down[i])
		}
	}
	if sign.Flag(8, true) != sign.Flag(20, true) || sign.Flag(7, true) == sign.Flag(8, true) {
		t.Error("eight tails are the most that have a flag")
	}
}

// TestHeadsOfStrokes: harmonics have diamonds, chops crosses, open or filled as their
// value asks.
func TestHeadsOfStrokes(t *testing.T) {
	var got []string
	for _, log := range []int8{-1, 0, 1, 2, 3} {
		h := sign.Head(tune.Value{Log2: log})
		got = append(got, fmt.Sprint(
			map[draw.Symbol]string{draw.NoteheadDiamondWhole: "whole", draw.NoteheadDiamondHalf: "half", draw.NoteheadDiamondBlack: "black"}[sign.Diamond(h)], " ",
			map[draw.Symbol]string{draw.NoteheadXWhole: "whole", draw.NoteheadXHalf: "half", draw.NoteheadXBlack: "black"}[sign.Cross(h)]))
	}
	if want := "whole whole, whole whole, half half, black black, black black"; strings.Join(got, ", ") != want {
		t.Errorf("diamonds and crosses: %s, want %s", strings.Join(got, ", "), want)
	}
	for _, c := range []struct {
		beat tune.Ticks
		want draw.Symbol
		dots int
		ok   bool
	}{
		{tune.Whole / 4, draw.MetNoteQuarterUp, 0, true}, {tune.Whole * 3 / 8, draw.MetNoteQuarterUp, 1, true}, {tune.Whole / 2, draw.MetNoteHalfUp, 0, true},
		{tune.Whole / 8, draw.MetNote8thUp, 0, true}, {tune.Whole, draw.MetNoteWhole, 0, true}, {2 * tune.Whole, draw.MetNoteDoubleWhole, 0, true},
		{tune.Whole / 16, draw.MetNote16thUp, 0, true}, {tune.Whole / 32, draw.MetNote32ndUp, 0, true}, {tune.Whole / 64, 0, 0, false}, {tune.Whole / 3, 0, 0, false},
	} {
		if s, dots, ok := sign.Tempo(c.beat); s != c.want || dots != c.dots || ok != c.ok {
			t.Errorf("a beat of %v: %v with %d dots, %v; want %v with %d, %v", c.beat, s, dots, ok, c.want, c.dots, c.ok)
		}
	}
}
