package score_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"lapwright/internal/golden"
	"lapwright/pitch"
	"lapwright/sheet/draw"
	"lapwright/sheet/score"
	"lapwright/sheet/sheettest"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// at names the pitch at a place of the staff, half spaces over the middle line.
func at(place int) string {
	step := pitch.Note(pitch.B, 0, 4).Step() + place
	return fmt.Sprintf("%c%d", "CDEFGAB"[step%7], step/7)
}

func twoVoices(t testing.TB, upper, lower string) *score.Score {
	t.Helper()
	return score.New(&tune.Tune{Voices: []tune.Voice{{ID: "1"}, {ID: "2"}}, Bars: []tune.Bar{sheettest.Measure(t, 1, 4, 4, upper, lower)}}, nil, score.Options{})
}

// TestMeetingsAsLookedAt: how far two voices that meet stand aside of one another, how rests make room and accidentals stack up, as it was when it was looked
// at: for every interval at which they may touch, and every kind of head, dot, stem and flag that may.
func TestMeetingsAsLookedAt(t *testing.T) {
	var b strings.Builder
	// sweep writes how far the lower voice's heads stand aside, from an octave below the upper one's to a fifth above; what each
	// voice plays has room for a place on the staff and a value.
	sweep := func(of, over, under string, values []string) {
		for _, up := range values {
			for _, down := range values {
				fmt.Fprintf(&b, "%s%s over %s, from an octave below to a fifth above:", of, up, down)
				for i := -7; i <= 4; i++ {
					s := twoVoices(t, fmt.Sprintf(over, at(0), up), fmt.Sprintf(under, at(i), down))
					for _, n := range s.Bars[0].Nodes[0].Notes {
						if n.Voice == 1 {
							fmt.Fprintf(&b, " %.2f", n.DX)
						}
					}
				}
				b.WriteString("\n")
			}
		}
	}
	sweep("", "%s/%s r/4", "%s/%s r/4", []string{"1", "2", "4", "8", "16", "2.", "4.", "8.", "breve"})
	sweep("graces of ", "g:%s/%s E5/4 r/4", "g:%s/%s F4/4 r/4", []string{"4", "8", "16", "8."})
	for _, chords := range [][2]string{{"B4+D5/4", "C5/4"}, {"B4+C5/4", "A4/4"}, {"B4+C5/4.", "G4+A4/4."}, {"B4+C5/8.", "A4+B4/8"}, {"C5+D5/2", "B4+C5/2"}} {
		s := twoVoices(t, chords[0]+" r/4", chords[1]+" r/4")
		fmt.Fprintf(&b, "%s over %s:", chords[0], chords[1])
		for _, n := range s.Bars[0].Nodes[0].Notes {
			for _, h := range n.Heads {
				fmt.Fprintf(&b, " %d at %.2f dot %d", h.Place, n.DX+h.DX, h.DotP)
			}
		}
		b.WriteString("\n")
	}
	for _, rest := range []string{"1", "2", "4", "8", "16", "4."} {
		for _, note := range []string{"2", "4", "8", "8."} {
			for _, above := range []bool{true, false} {
				fmt.Fprintf(&b, "a rest of %s %s a note of %s from 10 below to 10 above the middle:", rest, map[bool]string{true: "over", false: "under"}[above], note)
				for p := -10; p <= 10; p += 2 {
					r, n := fmt.Sprintf("r/%s A4/16", rest), fmt.Sprintf("%s/%s A4/16", at(p), note)
					if !above {
						r, n = n, r
					}
					for _, x := range twoVoices(t, r, n).Bars[0].Nodes[0].Notes {
						if x.Rest {
							fmt.Fprintf(&b, " %g", x.RestY)
						}
					}
				}
				b.WriteString("\n")
			}
		}
	}
	both := twoVoices(t, "A4/4 r/4 r/4 r/4", "F4/4 r/4 r/8 F4/8 r/4.")
	for _, n := range both.Bars[0].Notes {
		fmt.Fprintf(&b, "both rest: voice %d at %v rest %v hidden %v at %g\n", n.Voice+1, n.At, n.Rest, n.Hidden, n.RestY)
	}
	signs := []string{"#", "b", "bb", "##"}
	for _, grace := range []string{"", "g:"} {
		for _, low := range signs {
			for _, high := range signs {
				fmt.Fprintf(&b, "%s%s under %s, from a second to a ninth:", grace, low, high)
				for i := 1; i <= 8; i++ {
					name := func(place int, sign string) string { n := at(place); return n[:1] + sign + n[1:] }
					words := grace + name(-1, low) + "+" + name(-1+i, high) + "/4"
					if grace != "" {
						words += " A4/4"
					}
					tn := &tune.Tune{Voices: []tune.Voice{{ID: "1"}}, Bars: []tune.Bar{sheettest.Measure(t, 1, 4, 4, words)}}
					if i%2 == 0 {
						tn.Bars[0].Lines[0][0].Notes[0].Courtesy = true
					}
					n := score.New(tn, nil, score.Options{}).Bars[0].Notes[0]
					fmt.Fprintf(&b, " %.2f %.2f", n.Heads[0].AccidentalX, n.Heads[1].AccidentalX)
					if dx := n.Heads[0].DX + n.Heads[1].DX; dx != 0 {
						fmt.Fprintf(&b, " aside %.2f", dx)
					}
				}
				b.WriteString("\n")
			}
		}
	}
	golden.File(t, "testdata/meetings.txt", []byte(b.String()))
}

// TestDirectionsOfStems: one voice has its stems away from the head that lies farthest from the middle line, down when it is a draw; of two the upper has them up and the
// lower down, graces and all.
func TestDirectionsOfStems(t *testing.T) {
	for words, up := range map[string]bool{
		"B4/4": false, "A4/4": true, "C5/4": false, "F4+D5/4": true, "G4+E5/4": false, "F4+A4+E5/4": true, "F4+C5+E5/4": false, "G4+B4+D5/4": false, "G4+A4+D5/4": true, "E4+E5/4": true, "A4/8 E5/8": false, "E4/8 C5/8": true, "G4/8 D5/8": false, "G4/8 A4/8 D5/8": true, "F4+D5+E5/4": false,
	} {
		tn := &tune.Tune{Voices: []tune.Voice{{ID: "1"}}, Bars: []tune.Bar{sheettest.Measure(t, 1, 2, 4, words)}}
		for i, n := range score.New(tn, nil, score.Options{}).Bars[0].Notes {
			far := 0
			if n.Beam == nil {
				for _, h := range n.Heads {
					if h.Place*h.Place > far*far {
						far = h.Place
					}
				}
			}
			if n.Up != up && (far == 0 || n.Up != (far < 0)) {
				t.Errorf("%s: the stem of note %d goes up: %v", words, i+1, n.Up)
			}
		}
	}
	s := twoVoices(t, "g:C4/8 C4/4 g:C4/16 g:D4/16 D4/4 C4/8 E4/8 C4/4", "g:A5/8 A5/4 r/4 A5/8 G5/8 A5/4")
	for _, n := range s.Bars[0].Notes {
		if !n.Rest && n.Grace >= 0 && math.Abs(n.StemRoot()-score.Y(n.Top().Place)) > 0.168*0.62+1e-9 { // the font's own anchor, at a grace's size
			t.Errorf("the stem of a grace leaves its head %.3f from its middle", n.StemRoot()-score.Y(n.Top().Place))
		}
		if !n.Rest && n.Up != (n.Voice == 0) {
			t.Errorf("voice %d at %v, grace %d: the stem goes up: %v", n.Voice+1, n.At, n.Grace, n.Up)
		}
	}
	// What stands alone in its bar follows its own head, though the piece has two voices.
	if n := twoVoices(t, "C4/2 r/2", "bar").Bars[0].Notes[0]; !n.Up {
		t.Error("a low note beside a silent voice has its stem down")
	}
}

// TestRemindersAfterTheFirstBar: a letter that was altered in the first bar is shown in brackets when it comes back in the second.
func TestRemindersAfterTheFirstBar(t *testing.T) {
	tn := &tune.Tune{Voices: []tune.Voice{{ID: "1"}}, Bars: []tune.Bar{sheettest.Measure(t, 1, 4, 4, "C#5/1"), sheettest.Measure(t, 2, 4, 4, "C5/2 C5/2"), sheettest.Measure(t, 3, 4, 4, "C5/1")}}
	s := score.New(tn, nil, score.Options{})
	for i, want := range []bool{true, false} {
		if h := s.Bars[1].Notes[i].Heads[0]; (h.Accidental == draw.AccidentalNatural && h.Brackets) != want {
			t.Errorf("note %d of the second bar shows %v, in brackets %v", i+1, h.Accidental, h.Brackets)
		}
	}
	if h := s.Bars[2].Notes[0].Heads[0]; h.Accidental != 0 {
		t.Error("two bars later it is shown still")
	}
}

// TestInstantsOfABar: words, tempos and signs inside a bar have an instant of their own where no note begins, at the end of the bar none.
func TestInstantsOfABar(t *testing.T) {
	for what, put := range map[string]func(b *tune.Bar, at tune.Ticks){
		"a word":  func(b *tune.Bar, at tune.Ticks) { b.Texts = []tune.TextAt{{At: at, Text: "x"}} },
		"a tempo": func(b *tune.Bar, at tune.Ticks) { b.Tempos = []tune.Tempo{{At: at, Text: "x"}} },
		"a sign":  func(b *tune.Bar, at tune.Ticks) { b.Signs = []tune.Sign{{At: at, Kind: tune.Segno}} },
		"a chord": func(b *tune.Bar, at tune.Ticks) { b.Chords = []tune.ChordAt{{At: at, Text: "x"}} },
	} {
		for at, want := range map[tune.Ticks]int{0: 1, tune.Whole / 2: 2, tune.Whole: 1} {
			tn := &tune.Tune{Voices: []tune.Voice{{ID: "1"}}, Bars: []tune.Bar{sheettest.Measure(t, 1, 4, 4, "A4/1"), sheettest.Measure(t, 2, 4, 4, "A4/1")}}
			put(&tn.Bars[0], at)
			if n := len(score.New(tn, nil, score.Options{}).Bars[0].Nodes); n != want {
				t.Errorf("%s at %v: %d instants, want %d", what, at, n, want)
			}
		}
	}
	empty := &tune.Tune{Voices: []tune.Voice{{ID: "1"}}, Bars: []tune.Bar{{Number: 1, Len: tune.Whole, Meter: tune.Meter{Beats: 4, Unit: 4}}}}
	if n := len(score.New(empty, nil, score.Options{}).Bars[0].Nodes); n != 1 {
		t.Errorf("a bar with nothing in it has %d instants", n)
	}
}

// TestBracketsAndCurves: an ending that nobody closes is drawn over four bars at the most, else over its first; a slur needs two notes that sound, and an end without a
// beginning is none; a tuplet that lacks its beginning begins with what is there.
func TestBracketsAndCurves(t *testing.T) {
	bars := func(n int) *tune.Tune {
		tn := &tune.Tune{Voices: []tune.Voice{{ID: "1"}}}
		for i := range n {
			tn.Bars = append(tn.Bars, sheettest.Measure(t, i+1, 4, 4, "A4/4 C5/4 r/4 D5/4"))
		}
		return tn
	}
	for open, want := range map[int]int{1: 1, 3: 3, 4: 4, 5: 1, 7: 1} {
		for _, closed := range []bool{false, true} {
			tn := bars(3 + open)
			tn.Bars[3].Endings = []int{2}
			tn.Bars[2+open].EndingEnds = closed
			e := score.New(tn, nil, score.Options{}).Endings
			if closed {
				want = open
			}
			if len(e) != 1 || e[0].From != 3 || e[0].To-e[0].From+1 != want || e[0].Closed != closed {
				t.Errorf("an ending of %d bars, closed %v, is drawn as %+v, want %d bars", open, closed, e, want)
			}
		}
	}
	for _, c := range []struct{ from, to, want int }{{0, 1, 1}, {2, 3, 0}, {0, 2, 0}, {1, 1, 0}, {-1, 1, 0}, {1, 3, 1}} {
		tn := bars(2)
		if c.from >= 0 {
			tn.Bars[0].Lines[0][c.from].Slurs = 1
		}
		tn.Bars[0].Lines[0][c.to].SlurEnds++
		if got := score.New(tn, nil, score.Options{}).Slurs; len(got) != c.want {
			t.Errorf("a slur from event %d to %d is drawn %d times, want %d", c.from, c.to, len(got), c.want)
		}
	}
	tn := bars(1)
	line := tn.Bars[0].Lines[0]
	for i := range 3 {
		line[i].Tuplets = []tune.Tuplet{{Actual: 3, Normal: 2, Ends: i == 2}}
	}
	line[1].Tuplets = append(line[1].Tuplets, tune.Tuplet{Actual: 5, Normal: 4, Starts: true})
	s := score.New(tn, nil, score.Options{})
	if len(s.Groups) != 2 || len(s.Groups[0].Notes) != 3 || s.Groups[1].Level != 1 || len(s.Groups[1].Notes) != 1 {
		t.Errorf("tuplets without beginnings are %+v", s.Groups)
	}
	for words, low := range map[string]bool{"C3/4 D3/4 E3/4 F3/4": true, "C4/4 D4/4 C4/4 D4/4": false, "B3/4 B3/4 B3/4 C4/4": true, "C4/1": false, "r/1": false, "E3/4 C5/4 C5/4 C5/4": false} {
		tn := &tune.Tune{Voices: []tune.Voice{{ID: "1"}}, Bars: []tune.Bar{sheettest.Measure(t, 1, 4, 4, words)}}
		if got := score.New(tn, nil, score.Options{}).Low; got != low {
			t.Errorf("%s is written an octave above: %v", words, got)
		}
	}
}

// TestStrokesOutOfTheUsual: a stroke that only chops shows nothing of the steel; one of a bar that is not there is left out; one that plucks nothing has no label; a steel of two strings
// side by side leans no farther than it is drawn, and a roll is a note's, not a grace's.
func TestStrokesOutOfTheUsual(t *testing.T) {
	tb := sheettest.EveryMark(t)
	slant := steel.Placement{Kind: steel.Forward, First: 1, Last: 3, FirstFret: 8, LastFret: 7}
	last := len(tb.Strokes) - 1
	tb.Strokes[last].Placement = slant
	tb.Strokes = append(tb.Strokes, tab.Stroke{BarIndex: len(tb.Tune.Bars), Placement: slant}, tab.Stroke{BarIndex: -1, Placement: slant}, tab.Stroke{BarIndex: 0, Placement: slant})
	s := score.New(tb.Tune, tb, score.Options{})
	stops, empty := 0, 0
	for _, m := range s.Bars {
		for _, nd := range m.Nodes {
			for _, st := range nd.Stops {
				if st.Stroke == nil {
					continue
				}
				stops++
				if len(st.Plays) == 0 {
					if empty++; st.Lean != "" || st.Stroke.Placement.Kind != steel.Forward {
						t.Errorf("a stroke without a pluck is labelled %q, its steel is %v", st.Lean, st.Stroke.Placement.Kind)
					}
				}
				if st.Stroke.BarIndex == tb.Strokes[last].BarIndex && st.Stroke.At == tb.Strokes[last].At && (st.Lean != "" || st.Stroke.Placement.Kind == steel.Forward) {
					t.Errorf("a chop shows %q of the steel", st.Lean)
				}
			}
		}
	}
	if stops != len(tb.Strokes)-2 || empty != 1 {
		t.Errorf("%d of %d strokes stand on the sheet, %d without a pluck", stops, len(tb.Strokes), empty)
	}
	for _, c := range []struct {
		p    steel.Placement
		str  int
		sign float64
	}{
		{slant, 1, 1}, {slant, 2, 0}, {slant, 3, -1}, {slant, 4, 0}, {steel.Placement{Kind: steel.Straight, First: 1, Last: 3, FirstFret: 5, LastFret: 5}, 1, 0},
		{steel.Placement{Kind: steel.Reverse, First: 2, Last: 4, FirstFret: 7, LastFret: 8}, 2, -1}, {steel.Placement{Kind: steel.Reverse, First: 2, Last: 4, FirstFret: 7, LastFret: 8}, 4, 1},
		{steel.Placement{Kind: steel.Split, First: 1, Last: 4, FirstFret: 7, LastFret: 6}, 1, 1}, {steel.Placement{Kind: steel.Split, First: 1, Last: 4, FirstFret: 7, LastFret: 6}, 2, 1}, {steel.Placement{Kind: steel.Split, First: 1, Last: 4, FirstFret: 7, LastFret: 6}, 4, -1},
	} {
		got := s.LeanAt(c.p, c.str)
		if math.Abs(got) > 1.3+1e-9 || c.sign != 0 && got*c.sign < 0.35-1e-9 || c.sign == 0 && math.Abs(got) > 1e-9 {
			t.Errorf("%v lies %.2f aside over string %d", c.p, got, c.str)
		}
	}
	grace := sheettest.Turned(t)
	for i := range grace.Tune.Bars {
		for v := range grace.Tune.Bars[i].Lines {
			for k := range grace.Tune.Bars[i].Lines[v] {
				if e := &grace.Tune.Bars[i].Lines[v][k]; len(e.Graces) > 0 {
					e.Marks = []tune.Mark{tune.Arpeggio}
				}
			}
		}
	}
	rolled := 0
	gs := score.New(grace.Tune, grace, score.Options{})
	for _, m := range gs.Bars {
		for _, nd := range m.Nodes {
			for _, st := range nd.Stops {
				if st.Rolled() {
					if rolled++; nd.Grace < 0 {
						t.Error("a grace is rolled")
					}
				}
			}
		}
	}
	if rolled == 0 {
		t.Error("nothing is rolled: the test sees nothing")
	}
	// A number's brackets reach farther than its figures, each as far above the string as below to half a figure's height.
	up, down := score.CapHeight(draw.SansBold)
	for _, st := range gs.Bars[0].Nodes[0].Stops {
		for _, p := range st.Plays {
			if h := p.HalfHeight(2); h < (up+down)/2*2*p.Size-0.05 || h > 2*p.Size {
				t.Errorf("the number %s is %.2f high on either side in letters of 2", p.Text, h)
			}
		}
	}
}

// TestThirdVoice: of three voices that meet the first and the third have their stems up,
// the second down (common practice).
func TestThirdVoice(t *testing.T) {
	s := score.New(&tune.Tune{Voices: []tune.Voice{{ID: "1"}, {ID: "2"}, {ID: "3"}}, Bars: []tune.Bar{sheettest.Measure(t, 1, 4, 4, "E5/4 r/4 A4/2", "G4/4 r/4 D4/2", "B4/4 r/4 F4/2")}}, nil, score.Options{})
	for _, n := range s.Bars[0].Notes {
		if !n.Rest && n.Up != (n.Voice != 1) {
			t.Errorf("voice %d: the stem goes up: %v", n.Voice+1, n.Up)
		}
	}
}

// TestRoomOfWordsAndRolls: a syllable that is only held on takes no room, nor does a verse
// for which there is none; a roll stands before its chord, not before the graces of it.
func TestRoomOfWordsAndRolls(t *testing.T) {
	tn := &tune.Tune{Voices: []tune.Voice{{ID: "1"}}, Bars: []tune.Bar{sheettest.Measure(t, 1, 4, 4, "A4/4 A4/4 g:C5/8 A4+C5+E5/2")}}
	line := tn.Bars[0].Lines[0]
	line[0].Lyrics = []tune.Lyric{{Verse: 1, Text: "long"}}
	line[1].Lyrics = []tune.Lyric{{Verse: 1}}
	for v := range score.MaxVerses + 3 {
		line[2].Lyrics = append(line[2].Lyrics, tune.Lyric{Verse: v + 1, Text: "oh"})
	}
	for _, rolled := range []bool{false, true} {
		if rolled {
			line[2].Marks = []tune.Mark{tune.Arpeggio}
		}
		s := score.New(tn, nil, score.Options{})
		for _, nd := range s.Bars[0].Nodes {
			rows := 0
			for lane := score.LaneLyric; lane < score.Lanes; lane++ {
				if nd.Has[lane] {
					rows++
				}
			}
			want := map[tune.Ticks]int{0: 1, tune.Whole / 4: 0, tune.Whole / 2: score.MaxVerses}[nd.At]
			if nd.Grace < 0 {
				want = 0
			}
			if rows != want {
				t.Errorf("at %v, grace %d: words in %d rows; want %d", nd.At, nd.Grace, rows, want)
			}
			for lane := range score.LaneLyric {
				if nd.Has[lane] != (lane == score.LaneStaff) {
					t.Errorf("at %v: lane %d is taken: %v", nd.At, lane, nd.Has[lane])
				}
			}
			if room := nd.Left[score.LaneStaff] >= score.RollRoom; room != (rolled && nd.Grace == 0 && nd.At == tune.Whole/2) {
				t.Errorf("at %v, grace %d: room for a roll: %v", nd.At, nd.Grace, room)
			}
		}
	}
}
