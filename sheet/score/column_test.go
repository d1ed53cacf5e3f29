package score_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"lapwright/internal/golden"
	"lapwright/sheet/draw"
	"lapwright/sheet/score"
	"lapwright/sheet/sheettest"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// inBars is a tune of one voice, each bar in words.
func inBars(t testing.TB, key string, bars ...string) *tune.Tune {
	t.Helper()
	tn := &tune.Tune{Voices: []tune.Voice{{ID: "1"}}}
	for i, words := range bars {
		b := sheettest.Measure(t, i+1, 4, 4, words)
		b.Key = tunetest.Key(t, key)
		tn.Bars = append(tn.Bars, b)
	}
	return tn
}

// shown writes the accidentals of a bar's heads: ♮, ♯ or ♭, in brackets where they only remind, "-" for none.
func shown(m *score.Measure) string {
	var out []string
	for _, n := range m.Notes {
		for _, h := range n.Heads {
			w := map[draw.Symbol]string{0: "-", draw.AccidentalNatural: "♮", draw.AccidentalSharp: "♯", draw.AccidentalFlat: "♭"}[h.Accidental]
			if h.Brackets {
				w = "(" + w + ")"
			}
			out = append(out, w)
		}
	}
	return strings.Join(out, " ")
}

// TestRemindersInAnotherOctave: an accidental holds for its own line or space; the letter in another octave is reminded of in brackets,
// once, until it is altered again; in the bar after, too, but never of a chop, which shows no accidental (common practice, no source).
func TestRemindersInAnotherOctave(t *testing.T) {
	for _, c := range []struct{ key, before, words, want string }{
		{"C", "r/1", "C#5/4 C4/4 C6/4 C4/4", "♯ (♮) - -"},
		{"C", "r/1", "C#5/4 C5/4 C5/4 C4/4", "♯ ♮ - (♮)"},
		{"C", "r/1", "C#5/4 C#5/4 C4/4 C#4/4", "♯ - (♮) ♯"},
		{"C", "r/1", "C#5/4 C5/4 C5/4 C5/4", "♯ ♮ - -"},
		{"C", "r/1", "C#5/4 D4/4 D5/4 B4/4", "♯ - - -"},
		{"G", "r/1", "F#5/4 F4/4 F#6/4 F#6/4", "- ♮ (♯) -"},
		{"G", "F4/1", "F#6/4 F#5/4 F4/4 F#5/4", "♮ (♯) - ♮ -"},
		{"G", "F4/1", "F#6/4 F4/4 F#5/4 F#4/4", "♮ (♯) ♮ - ♯"},
		{"F", "B5/1", "Bb4/4 Bb5/4 r/2", "♮ (♭) -"},
		{"C", "C#5/2 C5/2", "C4/4 C5/4 r/2", "♯ ♮ - -"},
		{"C", "C#5/2 C6/2", "C4/4 C5/4 r/2", "♯ (♮) - -"},
		{"C", "x C#5/2 A4/2", "C5/4 C4/4 r/2", "- - - -"},
		{"C", "C#5/2 x C5/2", "C5/4 C4/4 r/2", "♯ - (♮) -"},
		{"C", "r/1", "x C#5/4 C4/4 C5/4 r/4", "- - -"},
	} {
		chop := func(words string) (plain string, event int) {
			event = slices.Index(strings.Fields(words), "x")
			return strings.Replace(words, "x ", "", 1), event
		}
		before, chopBefore := chop(c.before)
		words, chopHere := chop(c.words)
		tn := inBars(t, c.key, before, words)
		for bar, event := range []int{chopBefore, chopHere} {
			if event >= 0 {
				tn.Bars[bar].Lines[0][event].Notes[0].Chop = true
			}
		}
		s := score.New(tn, nil, score.Options{})
		if got := strings.TrimSpace(shown(s.Bars[0]) + " " + shown(s.Bars[1])); got != c.want {
			t.Errorf("in %s, %s | %s shows %s, want %s", c.key, c.before, c.words, got, c.want)
		}
	}
	// The signature has it now: nothing to be reminded of, until another octave differs.
	turned := inBars(t, "C", "F#4/1", "F#5/4 F4/4 F#6/4 F#6/4")
	turned.Bars[1].Key = tunetest.Key(t, "G")
	if got := shown(score.New(turned, nil, score.Options{}).Bars[1]); got != "- ♮ (♯) -" {
		t.Errorf("after a bar with F sharp, F sharp of the new signature shows %s", got)
	}
}

// TestVoiceThatComesAndGoes: a voice that the bar before or after doesn't have is tied to nothing there, nor does anything
// follow the last note of the piece.
func TestVoiceThatComesAndGoes(t *testing.T) {
	tn := &tune.Tune{Voices: []tune.Voice{{ID: "1"}, {ID: "2"}}, Bars: []tune.Bar{
		sheettest.Measure(t, 1, 4, 4, "A4/1~"), sheettest.Measure(t, 2, 4, 4, "A4/2 C5/2~", "E4/2 F4/2~"), sheettest.Measure(t, 3, 4, 4, "C5/2 r/4 D5/4"),
	}}
	s := score.New(tn, nil, score.Options{})
	var got []string
	for _, m := range s.Bars {
		for _, n := range m.Notes {
			if n.Rest {
				continue
			}
			from, next := "nothing", "nothing"
			if h := s.TieFrom(n.Top()); h != nil {
				from = h.Note.Name.String()
			}
			if after := s.EventAfter(n); after != nil {
				next = after.Top().Note.Name.String()
			}
			got = append(got, fmt.Sprintf("%s from %s to %s", n.Top().Note.Name, from, next))
		}
	}
	want := []string{"A4 from nothing to A4", "A4 from A4 to C5", "C5 from nothing to C5", "E4 from nothing to F4", "F4 from nothing to nothing", "C5 from C5 to nothing", "D5 from nothing to nothing"}
	if !slices.Equal(got, want) {
		t.Errorf("tied and followed:\n got %q\nwant %q", got, want)
	}
}

// TestBarThatIsCut: where a bar goes on in the next line no beam crosses the cut; a note that is left alone has a flag, which takes
// room, its stem goes its own way, and the heads of a second stand on the sides that the stem asks for (common practice, no source).
func TestBarThatIsCut(t *testing.T) {
	tell := func(s *score.Score) string {
		out := beams(s)
		for _, n := range s.Bars[0].Notes {
			if len(n.Heads) > 1 {
				out += fmt.Sprintf("up %v", n.Up)
				for _, h := range n.Heads {
					out += fmt.Sprintf(", %s %+.0f", h.Note.Name, h.DX)
				}
			}
		}
		return out
	}
	s := score.New(inBars(t, "C", "D4/8 C5+D5/8 r/4 A4/8 B4/8 C5/8 D5/8"), nil, score.Options{})
	if got, want := tell(s), "(D4 D5) z (A4 B4 C5 D5) |\nup true, C5 +0, D5 +1"; got != want {
		t.Errorf("uncut:\n got %s\nwant %s", got, want)
	}
	before := s.Bars[0].Nodes[1].Right[score.LaneStaff] - s.Bars[0].Nodes[1].Left[score.LaneStaff]
	s.Recut(s.Bars[0], []int{1, 5})
	if got, want := tell(s), "D4 D5 z (A4 B4) (C5 D5) |\nup false, C5 -1, D5 +0"; got != want {
		t.Errorf("cut:\n got %s\nwant %s", got, want)
	}
	if nd := s.Bars[0].Nodes[1]; nd.Left[score.LaneStaff] < 1 || nd.Right[score.LaneStaff] >= before {
		t.Errorf("a second with its stem down reaches %.2f left and %.2f right; it was %.2f wide", nd.Left[score.LaneStaff], nd.Right[score.LaneStaff], before)
	}
	// Cut again it is cut in all places.
	s.Recut(s.Bars[0], []int{4})
	if got, want := tell(s), "D4 D5 z A4 B4 (C5 D5) |\nup false, C5 -1, D5 +0"; got != want {
		t.Errorf("cut again:\n got %s\nwant %s", got, want)
	}
	if d4, a4 := s.Bars[0].Nodes[0], s.Bars[0].Nodes[3]; d4.Right[score.LaneStaff] < 1.5 || a4.Right[score.LaneStaff] < 1.5 {
		t.Errorf("flags take no room: %.2f and %.2f", d4.Right[score.LaneStaff], a4.Right[score.LaneStaff])
	}
	two := twoVoices(t, "B4+C5/8 D5/8 r/4 B4/2", "A4/4. G4/8 A4/2")
	where := func() string {
		var b strings.Builder
		for _, n := range two.Bars[0].Notes {
			fmt.Fprintf(&b, "%.2f %.2f;", n.DX, n.RestY)
		}
		return b.String()
	}
	first := where()
	if two.Recut(two.Bars[0], []int{2}); where() != first {
		t.Errorf("two voices that are cut between their beams stand at\n%s and stood at\n%s", where(), first)
	}
}

// TestBeamsWithoutRoom: a beam whose notes have no place yet is level, and a short grace between long ones has its half beam to the right.
func TestBeamsWithoutRoom(t *testing.T) {
	s := score.New(inBars(t, "C", "C4/8 G4/8 r/4 g:C5/8 g:D5/16 g:E5/8 A4/2"), nil, score.Options{})
	notes := s.Bars[0].Notes
	for _, n := range notes {
		n.Node.X = 0
	}
	line := notes[0].Beam.Set()
	if a, b := line.Height(0), line.Height(10); a != b || math.IsNaN(a) {
		t.Errorf("the beam of notes in one place goes from %g to %g", a, b)
	}
	graces := notes[3].Beam
	if graces == nil || len(graces.Notes) != 3 {
		t.Fatal("three graces have no beam")
	}
	pieces := graces.Pieces()
	if len(pieces) != 2 || pieces[0].From != 0 || pieces[0].To != 2 || pieces[0].Half || pieces[1].From != 1 || !pieces[1].Half || pieces[1].Left || pieces[1].Level != 2 {
		t.Errorf("the beams of three graces are %+v", pieces)
	}
	// A grace has no length of its own: what follows it isn't nearer.
	if with, without := s.Ideal(append(slices.Clone(notes[3:4]), notes[6]), tune.Whole/2), s.Ideal(notes[6:7], tune.Whole/2); with != without {
		t.Errorf("a half note with a grace stands %.2f from the next, without %.2f", with, without)
	}
}

// TestInstantsBeforeTheFirstNote: what stands at the beginning of a bar whose first note comes later belongs to the bar; a chord symbol alone has an instant there, even in a bar without a length.
func TestInstantsBeforeTheFirstNote(t *testing.T) {
	for what, c := range map[string]struct {
		put  func(b *tune.Bar)
		want int
	}{
		"nothing": {func(b *tune.Bar) {}, 1},
		"a word":  {func(b *tune.Bar) { b.Texts = []tune.TextAt{{Text: "x"}} }, 1},
		"a tempo": {func(b *tune.Bar) { b.Tempos = []tune.Tempo{{Text: "x"}} }, 1},
		"a sign":  {func(b *tune.Bar) { b.Signs = []tune.Sign{{Kind: tune.Segno}} }, 1},
		"a chord": {func(b *tune.Bar) { b.Chords = []tune.ChordAt{{Text: "x"}} }, 2},
	} {
		tn := inBars(t, "C", "s/2 A4/2")
		c.put(&tn.Bars[0])
		if n := len(score.New(tn, nil, score.Options{}).Bars[0].Nodes); n != c.want {
			t.Errorf("%s before the first note: %d instants, want %d", what, n, c.want)
		}
	}
	none := &tune.Tune{Voices: []tune.Voice{{ID: "1"}}, Bars: []tune.Bar{{Number: 1, Chords: []tune.ChordAt{{Text: "G"}, {Text: "D"}}}}}
	if nodes := score.New(none, nil, score.Options{}).Bars[0].Nodes; len(nodes) != 1 || nodes[0].Chord == nil || nodes[0].Chord.Text != "G" {
		t.Error("of two chord symbols in a bar without a length the first stands")
	}
	// One bar of rest is no rest of many, wherever it stands.
	s := score.New(inBars(t, "C", "A4/1", "A4/1", "bar", "A4/1"), nil, score.Options{})
	s.Bars[2].Nodes[0].X = 0
	if got, usual := s.Bars[2].Nodes[0].Ideal, s.Bars[0].Nodes[0].Ideal; got != usual || s.Last(s.Bars[2]) != s.Bars[2] {
		t.Errorf("a bar of rest is %.2f wide, a whole note %.2f", got, usual)
	}
}

// TestSteelOnOneString: a slant of a single string leans no way and reaches nowhere; a stroke that plucks nothing takes no room; the tip of the
// nose is marked beside open strings, on a string that it stops, when that is struck.
func TestSteelOnOneString(t *testing.T) {
	tb := sheettest.EveryMark(t)
	s := score.New(tb.Tune, tb, score.Options{})
	one := steel.Placement{Kind: steel.Forward, First: 2, Last: 2, FirstFret: 8, LastFret: 8}
	if x := s.LeanAt(one, 2); math.IsNaN(x) || math.Abs(x) > 0.35+1e-9 {
		t.Errorf("a slant of one string lies %g aside", x)
	}
	tb.Strokes = append(tb.Strokes, tab.Stroke{BarIndex: 6, At: tune.Whole / 2, Placement: steel.Placement{Kind: steel.Forward, First: 1, Last: 3, FirstFret: 8, LastFret: 7}})
	alone := tab.Pluck{String: 2, Fret: 8, Finger: tab.Thumb}
	tb.Strokes = append(tb.Strokes, tab.Stroke{BarIndex: 6, At: tune.Whole * 3 / 4, Placement: one, Plucks: []tab.Pluck{alone}})
	s = score.New(tb.Tune, tb, score.Options{})
	nodes := s.Bars[6].Nodes
	if last := len(nodes) - 1; nodes[last-1].Has[score.LaneTab] || !nodes[last].Has[score.LaneTab] {
		t.Error("only a stroke that plucks takes room")
	} else if r := nodes[last].Right[score.LaneTab]; math.IsNaN(r) || r > 2 {
		t.Errorf("a slant of one string reaches %g to the right", r)
	}
	nose := steel.Placement{Kind: steel.Nose, First: 2, Last: 2, FirstFret: 5, LastFret: 5}
	stopped, open := tab.Pluck{String: 2, Fret: 5}, tab.Pluck{String: 3}
	for _, c := range []struct {
		what   string
		plucks []tab.Pluck
		p      steel.Placement
		want   bool
	}{
		{"beside an open string", []tab.Pluck{stopped, open}, nose, true},
		{"alone", []tab.Pluck{stopped}, nose, false},
		{"on a string it doesn't stop", []tab.Pluck{{String: 2}, open}, nose, false},
		{"held on", []tab.Pluck{{String: 2, Fret: 5, Attack: tab.Tied}, open}, nose, false},
		{"on the next string", []tab.Pluck{{String: 1, Fret: 5}, open}, nose, false},
		{"of a square steel", []tab.Pluck{stopped, open}, steel.Placement{Kind: steel.Straight, First: 2, Last: 2, FirstFret: 5, LastFret: 5}, false},
	} {
		tb := sheettest.EveryMark(t)
		tb.Strokes = []tab.Stroke{{Placement: c.p, Plucks: c.plucks}}
		plays := score.New(tb.Tune, tb, score.Options{}).Bars[0].Nodes[0].Stops[0].Plays
		if plays[0].Tip() != c.want {
			t.Errorf("the nose %s is marked: %v", c.what, !c.want)
		}
	}
}

// TestLettersBetweenNumbers: h for a hammer, p for a pull, b for a bender that is worked, r for one that is let go. Benders A and B of
// the rig raise strings 3 and 2.
func TestLettersBetweenNumbers(t *testing.T) {
	tb := sheettest.EveryMark(t)
	for _, c := range []struct {
		attack      tab.Attack
		str         int
		before, now uint8 // benders
		want        string
	}{
		{tab.Hammered, 2, 0, 0, "h"}, {tab.PulledOff, 2, 0, 0, "p"}, {tab.BentTo, 2, 0, 2, "b"}, {tab.BentTo, 2, 2, 0, "r"}, {tab.BentTo, 3, 1, 2, "r"},
		{tab.BentTo, 3, 0, 1, "b"}, {tab.BentTo, 2, 2, 2, "b"}, {tab.BentTo, 2, 2, 3, "b"},
	} {
		tb.Strokes = []tab.Stroke{{Plucks: []tab.Pluck{{String: c.str, Fret: 5}}}, {At: tune.Whole / 4, Plucks: []tab.Pluck{{String: c.str, Fret: 5, Attack: c.attack}}}}
		for i, set := range []uint8{c.before, c.now} {
			for b := range 2 {
				if set&(1<<b) != 0 {
					tb.Strokes[i].Benders |= 1 << b
				}
			}
		}
		s := score.New(tb.Tune, tb, score.Options{})
		p := s.Bars[0].Nodes[1].Stops[0].Plays[0]
		if got := s.JoinLetter(s.Before[p], p); got != c.want {
			t.Errorf("attack %v on string %d, benders %d then %d: %q, want %q", c.attack, c.str, c.before, c.now, got, c.want)
		}
		if got := s.JoinLetter(nil, p); c.attack == tab.BentTo && got != "b" {
			t.Errorf("a bend from nothing is %q", got)
		}
	}
}

// TestAccidentalsOfChordsAsLookedAt: no accidental of a chord touches a head or another accidental, and each stands where it did when it was looked
// at: two and three heads, in seconds to fifths, stems up and down, the middle one in brackets.
func TestAccidentalsOfChordsAsLookedAt(t *testing.T) {
	var b strings.Builder
	signs := []string{"", "#", "b"}
	chord := func(words string, courtesy int) {
		tn := inBars(t, "C", words)
		heads := tn.Bars[0].Lines[0][0].Notes
		if courtesy >= 0 {
			heads[courtesy].Courtesy = true
		}
		n := score.New(tn, nil, score.Options{}).Bars[0].Notes[0]
		fmt.Fprintf(&b, "%s up %v:", words, n.Up)
		var ink []draw.Rect
		for _, h := range n.Heads {
			ink = append(ink, draw.Rect{X0: h.DX, Y0: score.Y(h.Place) - 0.5, X1: h.DX + h.Symbol.Advance(), Y1: score.Y(h.Place) + 0.5})
			fmt.Fprintf(&b, " %.2f", h.DX)
		}
		for _, h := range n.Heads {
			if h.Accidental == 0 {
				continue
			}
			left, right := score.AccidentalReach(h, 1)
			box := h.Accidental.Box()
			r := draw.Rect{X0: h.AccidentalX + left, Y0: score.Y(h.Place) + box.Y0, X1: h.AccidentalX + right, Y1: score.Y(h.Place) + box.Y1}
			fmt.Fprintf(&b, " %s %.2f to %.2f", h.Note.Name, r.X0, r.X1)
			for _, o := range ink {
				if r.Overlaps(o) {
					t.Errorf("%s, head %d in brackets: the accidental of %s touches %v", words, courtesy, h.Note.Name, o)
				}
			}
			ink = append(ink, r)
		}
		b.WriteString("\n")
	}
	name := func(place int, sign string) string { n := at(place); return n[:1] + sign + n[1:] }
	for _, base := range []int{-4, 2} {
		for gap := 1; gap <= 3; gap++ {
			for _, low := range signs {
				for _, high := range signs {
					chord(name(base, low)+"+"+name(base+gap, high)+"/4", 1)
					for _, third := range signs[1:] {
						chord(name(base, low)+"+"+name(base+gap, high)+"+"+name(base+gap+1, third)+"/4", 1)
					}
				}
			}
		}
	}
	golden.File(t, "testdata/accidentals.txt", []byte(b.String()))
}

// TestReachOfRestsAndSteels: the dots of a rest take room beside it; a steel that leans reaches as far as its drawn ends, which stand out over the outer strings on
// its own line, though only a string in its middle is struck.
func TestReachOfRestsAndSteels(t *testing.T) {
	right := func(words string) float64 {
		return score.New(inBars(t, "C", words), nil, score.Options{}).Bars[0].Nodes[0].Right[score.LaneStaff]
	}
	if plain, one, two := right("r/4 A4/2."), right("r/4. A4/2"), right("r/4.. A4/2"); plain < 1 || one < plain+0.3 || two < one+0.3 {
		t.Errorf("rests with no, one and two dots reach %.2f, %.2f and %.2f", plain, one, two)
	}
	tb := sheettest.EveryMark(t)
	for _, p := range []steel.Placement{{Kind: steel.Forward, First: 1, Last: 3, FirstFret: 4, LastFret: 2}, {Kind: steel.Reverse, First: 1, Last: 3, FirstFret: 2, LastFret: 4}, {Kind: steel.Forward, First: 2, Last: 4, FirstFret: 9, LastFret: 8}} {
		tb.Strokes = []tab.Stroke{{Placement: p, Plucks: []tab.Pluck{{String: int(p.First) + 1, Fret: 3}}}}
		s := score.New(tb.Tune, tb, score.Options{})
		nd := s.Bars[0].Nodes[0]
		// The numbers are cleared by 0.4 of their height and a little, then comes the end that stands out.
		out := s.Style.Number*0.4 + 0.1 + s.Style.TabGap*score.SteelEnd
		slope := (s.LeanAt(p, int(p.First)) - s.LeanAt(p, int(p.Last))) / (2 * s.Style.TabGap)
		far := math.Abs(s.LeanAt(p, int(p.First))+slope*out) + 0.1
		number := nd.Stops[0].Plays[0].Half
		for side, reach := range map[string]float64{"left": nd.Left[score.LaneTab] + score.HeadMiddle, "right": nd.Right[score.LaneTab] - score.HeadMiddle} {
			if want := max(far, number); math.Abs(reach-want) > 1e-9 {
				t.Errorf("%v reaches %.3f to the %s, want %.3f", p, reach, side, want)
			}
		}
	}
	// A split's far end leans on over the strings between.
	split := steel.Placement{Kind: steel.Split, First: 1, Last: 4, FirstFret: 4, LastFret: 2}
	tb.Strokes = []tab.Stroke{{Placement: split, Plucks: []tab.Pluck{{String: 5}}}}
	s := score.New(tb.Tune, tb, score.Options{})
	got := s.Bars[0].Nodes[0].Left[score.LaneTab] + score.HeadMiddle
	lean := s.LeanAt(split, 1)
	if want := lean + lean*2/(2*s.Style.TabGap)*(s.Style.Number*0.4+0.1+s.Style.TabGap*score.SteelEnd) + 0.1; math.Abs(got-want) > 1e-9 {
		t.Errorf("a split reaches %.3f to the left, want %.3f", got, want)
	}
}
