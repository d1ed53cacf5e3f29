package touch_test

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"lapwright/arrange/touch"
	"lapwright/notation/abc"
	"lapwright/rig/rigtest"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// laid puts the notes of a tune on strings by hand, one stroke each: "1.5.M" is string 1 at
// fret 5 with the middle finger, the steel across all strings; at fret 0 it is lifted. "1.5.M 2+"
// has it lie from string 2 on. A finger left out is none.
func laid(t *testing.T, rigName, src string, places ...string) *tab.Tab {
	t.Helper()
	tunes, _, err := abc.Read([]byte("X:1\nT:Laid\n"+src+"\n"), "laid.abc")
	if err != nil {
		t.Fatal(err)
	}
	r := rigtest.Builtin(t, rigName)
	out := &tab.Tab{Tune: tunes[0], Rig: r}
	for b := range out.Tune.Bars {
		for e := range out.Tune.Bars[b].Lines[0] {
			ev := &out.Tune.Bars[b].Lines[0][e]
			if len(ev.Notes) == 0 {
				continue
			}
			if len(out.Strokes) == len(places) {
				t.Fatalf("more notes than the %d places", len(places))
			}
			var p tab.Pluck
			place, from, beside := strings.Cut(places[len(out.Strokes)], " ")
			parts := strings.Split(place, ".")
			fmt.Sscan(parts[0], &p.String)
			fmt.Sscan(parts[1], &p.Fret)
			if len(parts) > 2 {
				p.Finger = map[string]tab.Finger{"T": tab.Thumb, "I": tab.Index, "M": tab.Middle}[parts[2]]
			}
			p.Ref, p.Len = tune.Ref{Bar: b, Event: e, Grace: -1}, ev.Len
			s := tab.Stroke{BarIndex: b, At: ev.At, Len: ev.Len, Plucks: []tab.Pluck{p}}
			if s.Placement.Kind = steel.Lifted; p.Fret > 0 {
				s.Placement = steel.Placement{Kind: steel.Straight, First: 1, Last: int8(len(r.Strings)), FirstFret: p.Fret, LastFret: p.Fret}
			}
			if beside {
				fmt.Sscan(from, &s.Placement.First)
			}
			out.Strokes = append(out.Strokes, s)
		}
	}
	if len(out.Strokes) != len(places) {
		t.Fatalf("%d notes, %d places", len(out.Strokes), len(places))
	}
	return out
}

// scoops returns from where each stroke's first pluck is slid into.
func scoops(t *tab.Tab) (out []float64) {
	for i := range t.Strokes {
		out = append(out, t.Strokes[i].Plucks[0].Scoop)
	}
	return out
}

// What is slid into, and from where: a long note on a strong beat that stands alone, two frets from below
// where there are frets and time enough, never twice in two bars.
func TestWhatIsSlidInto(t *testing.T) {
	const bars = "M:4/4\nL:1/4\nQ:1/4=60\nK:C\n"
	bar := func(src string, places ...string) *tab.Tab { return laid(t, "lap6-c6", bars+src, places...) }
	first := func(x *tab.Tab, change func(s *tab.Stroke)) *tab.Tab { change(&x.Strokes[0]); return x }
	for _, c := range []struct {
		say  string
		tab  *tab.Tab
		want []float64
	}{
		{"whole notes, every other bar", bar("A4|B4|A4|B4|A4|]", "1.5", "1.7", "1.5", "1.7", "1.5"), []float64{-2, 0, -2, 0, -2}},
		{"low on the neck there is one fret", bar("G4|]", "1.3"), []float64{-1}},
		{"from the fourth on two", bar("G4|]", "1.4"), []float64{-2}},
		{"at the second one", bar("G4|]", "1.2"), []float64{-1}},
		{"at the first none", bar("G4|]", "1.1"), []float64{0}},
		{"an open string", bar("E4|]", "1.0"), []float64{0}},
		{"on the third beat, not on the second", bar("z A B2|]", "1.5", "1.7"), []float64{0, -2}},
		{"the note before again is not, the next is", bar("A4|A4|A4|B4|]", "1.5", "1.5", "1.5", "1.7"), []float64{-2, 0, 0, -2}},
		{"0.8 s has time for one", laid(t, "lap6-c6", "M:4/4\nL:1/4\nQ:1/4=75\nK:C\nA A z2|]", "1.5", "1.5"), []float64{-1, 0}},
		{"0.43 s for none", laid(t, "lap6-c6", "M:4/4\nL:1/4\nQ:1/4=140\nK:C\nA A z2|]", "1.5", "1.5"), []float64{0, 0}},
		{"a waltz has one strong beat", laid(t, "lap6-c6", "M:3/4\nL:1/4\nQ:1/4=60\nK:C\nz A B|]", "1.5", "1.7"), []float64{0, 0}},
		{"an ornament of the tune's own", first(bar("A4|]", "1.5"), func(s *tab.Stroke) { s.Plucks[0].Scoop = 1 }), []float64{1}},
		{"a note hammered on", first(bar("A4|]", "1.5"), func(s *tab.Stroke) { s.Plucks[0].Attack = tab.Hammered }), []float64{0}},
		{"under a slant", first(bar("A4|]", "1.5"), func(s *tab.Stroke) { s.Placement.Kind = steel.Forward }), []float64{0}},
		{"a grace", first(bar("A4|]", "1.5"), func(s *tab.Stroke) { s.Grace = true }), []float64{0}},
		{"a stroke that sounds no note of the tune", first(bar("A4|]", "1.5"), func(s *tab.Stroke) { s.Plucks[0].Ref.Bar = 9 }), []float64{0}},
		{"staccato", bar(".A4|]", "1.5"), []float64{0}},
		{"after a grace", bar("{B}A4|]", "1.5"), []float64{0}},
		{"while another rings", first(bar("z A B2|]", "1.5", "2.7"), func(s *tab.Stroke) { s.Plucks[0].Len = tune.Whole / 2 }), []float64{0, 0}},
		{"when the bar before has rung out", first(bar("z A z2|B4|]", "1.5", "2.7"), func(s *tab.Stroke) { s.Plucks[0].Len = 2 * tune.Whole }), []float64{0, -2}},
	} {
		touch.SlideIn(c.tab)
		if got := scoops(c.tab); !reflect.DeepEqual(got, c.want) {
			t.Errorf("%s: slid into from %v, want %v", c.say, got, c.want)
		}
	}
	chord := bar("A4|B4|]", "1.5", "1.7")
	chord.Strokes[0].Plucks = nil // every note of it is left out
	if touch.SlideIn(chord); chord.Strokes[1].Plucks[0].Scoop != -2 {
		t.Error("a stroke that nothing sounds keeps the next from being slid into")
	}
}

// Which strings a beginner is told to stop: on lap6-c6 (E C A G E C) one that would ring on
// into a second, a seventh or a tritone, unless the steel or the next pluck stops it by itself.
func TestWhatRingsOn(t *testing.T) {
	const bars = "M:4/4\nL:1/4\nK:C\n"
	with := func(x *tab.Tab, change func(x *tab.Tab)) *tab.Tab { change(x); return x }
	lay := func(src string, places ...string) *tab.Tab { return laid(t, "lap6-c6", bars+src, places...) }
	for _, c := range []struct {
		say  string
		tab  *tab.Tab
		want bool // of the first stroke
	}{
		{"A into G, open", lay("A, G, z2|]", "3.0", "4.0"), true},
		{"A into C, open", lay("A, C z2|]", "3.0", "2.0"), false},
		{"A under the steel into G under it", lay("D C z2|]", "3.5", "4.5"), true},
		{"the steel goes on", lay("D D z2|]", "3.5", "4.7"), false},
		{"the steel is laid on the open string", lay("A, B, z2|]", "3.0", "4.4"), false},
		{"the steel is laid beside it", lay("A, B, z2|]", "3.0", "4.4 4"), true},
		{"the second note after it clashes", lay("A, C G, z|]", "3.0", "2.0", "4.0"), true},
		{"the third", lay("A, C E G,|]", "3.0", "2.0", "1.0", "4.0"), false},
		{"its own string is plucked first", lay("A, A, G, z|]", "3.0", "3.0", "4.0"), false},
		{"tied over", with(lay("A, G, z2|]", "3.0", "4.0"), func(x *tab.Tab) { x.Tune.Bars[0].Lines[0][0].Notes[0].Tie = true }), false},
		{"glides on", with(lay("A, G, z2|]", "3.0", "4.0"), func(x *tab.Tab) { x.Strokes[0].Plucks[0].Glide = true }), false},
		{"a chop has no pitch to clash", with(lay("A, G, z2|]", "3.0", "4.0"), func(x *tab.Tab) { x.Tune.Bars[0].Lines[0][1].Notes[0].Chop = true }), false},
		{"a chop doesn't ring", with(lay("A, G, z2|]", "3.0", "4.0"), func(x *tab.Tab) { x.Tune.Bars[0].Lines[0][0].Notes[0].Chop = true }), false},
		{"a pluck that sounds no note of the tune", with(lay("A, G, z2|]", "3.0", "4.0"), func(x *tab.Tab) { x.Strokes[0].Plucks[0].Ref.Bar = 9 }), false},
		{"into one likewise", with(lay("A, G, z2|]", "3.0", "4.0"), func(x *tab.Tab) { x.Strokes[1].Plucks[0].Ref.Bar = 9 }), false},
		{"a bender moves between", with(lay("A, G, z2|]", "3.0", "4.0"), func(x *tab.Tab) { x.Strokes[1].Benders = 1 }), false},
		{"marked already", with(lay("A, C z2|]", "3.0", "2.0"), func(x *tab.Tab) { x.Strokes[0].Plucks[0].Damp = true }), true},
		{"the last note", lay("A,4|]", "3.0"), false},
	} {
		touch.StopRinging(c.tab)
		if got := c.tab.Strokes[0].Plucks[0].Damp; got != c.want {
			t.Errorf("%s: to be stopped: %v", c.say, got)
		}
	}
}

// Runs of the fingers that players have names for come round twice, in even notes of one string each.
func TestPatternsOfRolls(t *testing.T) {
	long := func(n ...int) func(*tab.Tab) {
		return func(x *tab.Tab) {
			for _, i := range n {
				x.Strokes[i].Len *= 2
			}
		}
	}
	for _, c := range []struct {
		fingers string
		change  func(*tab.Tab)
		want    string
	}{
		{"TIMTIM", nil, "forward roll 0+6 T I M; "},
		{"TIMTIMTI", nil, "forward roll 0+6 T I M; "},
		{"TIMTIMTIM", nil, "forward roll 0+9 T I M; "},
		{"TIMTI", nil, ""},
		{"MITMIT", nil, "backward roll 0+6 M I T; "},
		{"MTIMTIM", nil, "forward roll 1+6 T I M; "},
		{"TITMTITM", nil, "alternating thumb 0+8 T I T M; "},
		{"TMTITMTI", nil, "alternating thumb 0+8 T M T I; "},
		{"TIMITIMI", nil, "forward and backward roll 0+8 T I M I; "},
		{"TIMTIMTITMTITM", nil, "forward roll 0+6 T I M; alternating thumb 6+8 T I T M; "},
		{"TIM TIM", nil, ""},
		{" TIMTIM", nil, "forward roll 1+6 T I M; "},
		{"TIMTIM", long(3), ""},
		{"TIMTIM", long(5), ""},
		{"TIMTIM", long(0), ""},
		{"MTIMTIM", long(0), "forward roll 1+6 T I M; "},
		{"TIMTIM", func(x *tab.Tab) { x.Strokes[2].Grace = true }, ""},
		{"TIMTIM", func(x *tab.Tab) { x.Strokes[2].Plucks = append(x.Strokes[2].Plucks, x.Strokes[2].Plucks[0]) }, ""},
		{"TIMTIM", func(x *tab.Tab) { x.Strokes[2].Plucks = nil }, ""},
	} {
		var places []string
		for _, f := range c.fingers {
			places = append(places, strings.TrimSuffix("1.0."+strings.TrimSpace(string(f)), "."))
		}
		x := laid(t, "reso-open-g", "M:none\nL:1/8\nK:G\n"+strings.Repeat("D", len(places))+"|]", places...)
		if c.change != nil {
			c.change(x)
		}
		got := ""
		for _, p := range touch.Rolls(x) {
			got += fmt.Sprintf("%s %d+%d %s; ", p.Name, p.StrokeIndex, p.Strokes, p.Fingers)
		}
		if got != c.want {
			t.Errorf("%q: %s, want %s", c.fingers, got, c.want)
		}
	}
}

// ofG reports whether a key is of the chord of G, and ofC of C.
func ofG(_ int, _ tune.Ticks, key int) bool { k := key % 12; return k == 7 || k == 11 || k == 2 }
func ofC(_ int, _ tune.Ticks, key int) bool { k := key % 12; return k == 0 || k == 4 || k == 7 }

// A roll as it is written out: under a long note the thumb takes the farther strings and the index finger the
// nearest, in turn, so that neither comes twice running; what follows begins with another finger.
func TestRollsWrittenOut(t *testing.T) {
	const quick = "M:4/4\nL:1/8\nQ:1/4=160\nK:G\n" // an eighth is 3/16 of a second
	lay := func(src string, places ...string) *tab.Tab { return laid(t, "reso-open-g", quick+src, places...) }
	tempo := func(perMinute int, src string, places ...string) *tab.Tab {
		return laid(t, "reso-open-g", fmt.Sprintf("M:4/4\nL:1/8\nQ:1/4=%d\nK:G\n%s", perMinute, src), places...)
	}
	with := func(x *tab.Tab, change func(*tab.Tab)) *tab.Tab { change(x); return x }
	stroke := func(x *tab.Tab, change func(*tab.Stroke)) *tab.Tab { change(&x.Strokes[0]); return x }
	const whole = "T3 I2 T4 I2 T3 I2 T4 "
	for _, c := range []struct {
		say    string
		tab    *tab.Tab
		chord  func(int, tune.Ticks, int) bool
		repeat float64
		want   string // fingers and strings of what is added
	}{
		{"open strings", lay("D8|]", "1.0.T"), ofG, 0.2, whole},
		{"under the steel, in C", lay("G8|]", "1.5.T"), ofC, 0.2, whole},
		{"of the chord there is one string", lay("D8|]", "1.0.T"), func(_ int, _ tune.Ticks, key int) bool { return key == 59 }, 0.2, ""},
		{"of the chord there are two", lay("D8|]", "1.0.T"), func(_ int, _ tune.Ticks, key int) bool { return key == 59 || key == 55 }, 0.2, "T3 I2 T3 I2 T3 I2 T3 "},
		{"from the second string on", lay("B8|]", "2.0.I"), ofG, 0.2, "T4 I3 T5 I3 T4 I3 T5 "},
		{"from the fourth two are left", lay("D8|]", "4.0.I"), ofG, 0.2, "T6 I5 T6 I5 T6 I5 T6 "},
		{"from the fifth one is", lay("D8|]", "5.0.I"), ofG, 0.2, ""},
		{"half a bar, then the index finger", lay("D4B4|]", "1.0.T", "1.2.I"), ofG, 0.2, "T3 I2 T4 "},
		{"half a bar, then the thumb", lay("D4B4|]", "1.0.T", "1.2.T"), ofG, 0.2, "I2 T3 I2 "},
		{"an even number, then the thumb", lay("D7z|D8|]", "1.0.T", "1.2.T"), ofG, 0.2, "T3 I2 T4 I2 T3 I2 "},
		{"three eighths are too few", lay("D3z5|]", "1.0.T"), ofG, 0.2, ""},
		{"four at 171 beats are 0.702 s", tempo(171, "D4z4|]", "1.0.T"), ofG, 0.2, "T3 I2 T4 "},
		{"at 172 0.698 s", tempo(172, "D4z4|]", "1.0.T"), ofG, 0.2, ""},
		{"at 67 beats an eighth is 0.448 s", tempo(67, "D4z4|]", "1.0.T"), ofG, 0.2, "T3 I2 T4 "},
		{"at 66 it is 0.455 s", tempo(66, "D4z4|]", "1.0.T"), ofG, 0.2, ""},
		{"who takes a finger again after 0.375 s", lay("D8|]", "1.0.T"), ofG, 0.375, whole},
		{"who needs longer", lay("D8|]", "1.0.T"), ofG, 0.38, ""},
		{"the middle finger just before, for who needs longer", lay("D D7|]", "1.0.M", "1.0.M"), ofG, 0.2, ""},
		{"and for who needs as long", lay("D D7|]", "1.0.M", "1.0.M"), ofG, 0.1875, "T3 I2 T4 I2 T3 I2 "},
		{"not in eighths", laid(t, "reso-open-g", "M:8/4\nL:1/8\nQ:1/4=160\nK:G\n(3D8D8D8|]", "1.0.T", "1.0.I", "1.0.T"), ofG, 0.2, ""},
		{"off the eighths", lay("z/D7z/|]", "1.0.T"), ofG, 0.2, ""},
		{"in the second bar, after a rest", lay("z8|z2D4z2|]", "1.0.T"), ofG, 0.2, "T3 I2 T4 "},
		{"tied on", lay("D8-|D4z4|]", "1.0.T", "6.0.T"), ofG, 0.2, ""},
		{"a glide to come", stroke(lay("D8|]", "1.0.T"), func(s *tab.Stroke) { s.Plucks[0].Glide = true }), ofG, 0.2, ""},
		{"a glide in the tune", with(lay("D8|]", "1.0.T"), func(x *tab.Tab) { x.Tune.Bars[0].Lines[0][0].Notes[0].Glide = true }), ofG, 0.2, ""},
		{"hammered on", stroke(lay("D8|]", "1.0.T"), func(s *tab.Stroke) { s.Plucks[0].Attack = tab.Hammered }), ofG, 0.2, ""},
		{"a grace", stroke(lay("D8|]", "1.0.T"), func(s *tab.Stroke) { s.Grace = true }), ofG, 0.2, ""},
		{"under a slant", stroke(lay("G8|]", "1.5.T"), func(s *tab.Stroke) { s.Placement.Kind = steel.Forward }), ofC, 0.2, ""},
		{"a chord", stroke(lay("D8|]", "1.0.T"), func(s *tab.Stroke) { s.Plucks = append(s.Plucks, s.Plucks[0]) }), ofG, 0.2, ""},
		{"no note of the tune", stroke(lay("D8|]", "1.0.T"), func(s *tab.Stroke) { s.Plucks[0].Ref.Bar = 9 }), ofG, 0.2, ""},
		{"after a stroke that nothing sounds", with(lay("D D7|]", "1.0.M", "1.0.M"), func(x *tab.Tab) { x.Strokes[0].Plucks = nil }), ofG, 0.2, "T3 I2 T4 I2 T3 I2 "},
		{"before one", with(lay("D4 D4|]", "1.0.M", "6.0.M"), func(x *tab.Tab) { x.Strokes[1].Plucks = nil }), ofG, 0.2, "T3 I2 T4 "},
		{"in two voices", with(lay("D8|]", "1.0.T"), func(x *tab.Tab) { x.Tune.Voices = append(x.Tune.Voices, tune.Voice{ID: "2"}) }), ofG, 0.2, ""},
	} {
		before := len(c.tab.Strokes)
		added, strokes := touch.Roll(c.tab, c.chord, c.repeat)
		got := ""
		for n, i := range strokes {
			s := &c.tab.Strokes[i]
			p := &s.Plucks[0]
			got += fmt.Sprintf("%v%d ", p.Finger, p.String)
			note := c.tab.Tune.Note(p.Ref)
			sounds := c.tab.Rig.OpenKey(p.String, 0) + int(p.Fret)
			last := &c.tab.Strokes[i-1]
			if note == nil || note.Name.Key() != sounds || added[n].Name != note.Name || added[n].String != p.String || added[n].At != s.At {
				t.Errorf("%s: the %d. note sounds %d and is written %v, told as %+v", c.say, n+1, sounds, note, added[n])
			}
			if last.BarIndex != s.BarIndex || last.At+tune.Whole/8 != s.At || last.Len != tune.Whole/8 || s.Len != tune.Whole/8 || p.Len != tune.Whole/8 {
				t.Errorf("%s: the %d. note comes at %v, the one before at %v for %v", c.say, n+1, s.At, last.At, last.Len)
			}
		}
		if got != c.want || len(added) != len(strokes) || len(c.tab.Strokes) != before+len(strokes) {
			t.Errorf("%s: %s, want %s", c.say, got, c.want)
		}
		if len(strokes) == 0 {
			continue
		}
		if f := c.tab.Strokes[strokes[0]-1].Plucks[0].Finger; f != tab.Middle {
			t.Errorf("%s: the melody is plucked with %v", c.say, f)
		}
		for b := range c.tab.Tune.Bars { // the voice of the roll fills each bar
			now := tune.Ticks(0)
			for _, e := range c.tab.Tune.Bars[b].Lines[1] {
				if e.At != now || e.Len <= 0 {
					t.Errorf("%s: bar %d has something at %v for %v, after %v", c.say, b+1, e.At, e.Len, now)
				}
				now = e.At + e.Len
			}
			if now != c.tab.Tune.Bars[b].Len {
				t.Errorf("%s: bar %d is filled to %v", c.say, b+1, now)
			}
		}
	}
}
