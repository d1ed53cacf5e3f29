package sound

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/rig/rigtest"
	"lapwright/sound/click"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// A pickup is counted up to, a repeat is heard twice, and clicks fall on the
// beats, the first of each bar marked.
func TestTimelineOfPickupAndRepeat(t *testing.T) {
	tb := makeTab(t, rigtest.Builtin(t, "lap6-c6"), 60, note{str: 1, fret: 5, len: 4}, note{str: 2, fret: 5, len: 4})
	// Make it 3/4 with one quarter before: bars of 1, 3 quarters, the second repeated.
	const quarter = tune.Whole / 4
	bars := tb.Tune.Bars
	for i := range bars {
		bars[i].Meter = tune.Meter{Beats: 3, Unit: 4}
		bars[i].Number = i
	}
	bars[0].Len, bars[1].Len = quarter, 3*quarter
	for i, l := range []tune.Ticks{quarter, 3 * quarter} {
		bars[i].Lines[0][0].Len = l
		tb.Strokes[i].Len = l
		tb.Strokes[i].Plucks[0].Len = l
	}
	bars[1].Left.Repeat, bars[1].Right.Repeat = 1, 1

	got, err := Timeline(tb, Options{CountIn: 1, Click: true})
	if err != nil {
		t.Fatal(err)
	}
	// Three beats, two more up to the pickup, then 1 + 3 + 3 seconds.
	if got.CountIn != 5 || got.End != 12 {
		t.Errorf("count-in %g, end %g; want 5, 12", got.CountIn, got.End)
	}
	var clicks []string
	for i, c := range got.Clicks {
		if math.Abs(c.At-float64(i)) > 1e-4 {
			t.Errorf("click %d at %g s", i, c.At)
		}
		clicks = append(clicks, map[bool]string{true: "one", false: "-"}[c.First])
	}
	if s := strings.Join(clicks, " "); s != "one - - one - - one - - one - -" {
		t.Errorf("clicks: %s", s)
	}
	var bs []string
	for _, b := range got.Bars {
		bs = append(bs, strings.TrimSpace(strings.Join([]string{string(rune('0' + b.Number)), num(b.At), num(b.End)}, " ")))
	}
	if s := strings.Join(bs, ", "); s != "0 5 6, 1 6 9, 1 9 12" {
		t.Errorf("bars: %s", s)
	}
	// The pickup lacks two beats of its bar, whole bars nothing.
	if a, b, c := got.Bars[0].Lacks, got.Bars[1].Lacks, got.Bars[2].Lacks; a != 2 || b != 0 || c != 0 {
		t.Errorf("the bars lack %g, %g and %g s", a, b, c)
	}
	if len(got.Strokes) != 3 || got.Strokes[2].StrokeIndex != 1 || got.Strokes[2].PassIndex != 2 || got.Strokes[2].At != 9 {
		t.Errorf("strokes: %+v", got.Strokes)
	}
	if _, err := json.Marshal(got); err != nil {
		t.Error(err)
	}
}

// Of all that can click it is told what each is: o the first beat, b one between the strong ones, p a part of a beat, s one that is
// softer. Reckoned by hand.
func TestTimelineTellsClicksApart(t *testing.T) {
	for _, c := range []struct {
		meter tune.Meter
		want  string
	}{
		{tune.Meter{Beats: 2, Unit: 4}, "o ps b ps"},
		{tune.Meter{Beats: 6, Unit: 8}, "o ps ps b ps ps"},
		{tune.Meter{Beats: 5, Unit: 8, Groups: []int{2, 3}}, "o s b s s"},
	} {
		tb := makeTab(t, rigtest.Builtin(t, "lap6-c6"), 60, note{str: 1, fret: 5, len: 4})
		b := &tb.Tune.Bars[0]
		b.Meter, b.Len = c.meter, c.meter.Len()
		b.Lines[0][0].Len, tb.Strokes[0].Len, tb.Strokes[0].Plucks[0].Len = b.Len, b.Len, b.Len
		got, err := Timeline(tb, Options{Click: true, ClickOn: click.Subdivided})
		if err != nil {
			t.Fatal(err)
		}
		var told []string
		for _, k := range got.Clicks {
			s := ""
			for _, f := range []struct {
				is bool
				as string
			}{{k.First, "o"}, {k.Between, "b"}, {k.Part, "p"}, {k.Soft, "s"}} {
				if f.is {
					s += f.as
				}
			}
			told = append(told, s)
		}
		if s := strings.Join(told, " "); s != c.want {
			t.Errorf("%d/%d: %s, want %s", c.meter.Beats, c.meter.Unit, s, c.want)
		}
	}
}

func num(v float64) string { b, _ := json.Marshal(v); return string(b) }

// The bar is where a stroke wants it when the stroke sounds, moves during a
// glide and stands still while nothing changes.
func TestTimelineOfTheSteel(t *testing.T) {
	tb := makeTab(t, rigtest.Builtin(t, "lap6-c6"), 60,
		note{str: 1, fret: 5, len: 1, glide: true}, note{str: 1, fret: 8, len: 1, attack: tab.Glided},
		note{str: 2, fret: 8, len: 1}, note{str: 2, len: 1},
		note{str: 3, fret: 3, len: 2, more: func(s *tab.Stroke, _ *tab.Pluck) {
			s.Placement = steel.Placement{Kind: steel.Forward, First: 2, Last: 3, FirstFret: 4, LastFret: 3}
		}})
	got, err := Timeline(tb, Options{})
	if err != nil {
		t.Fatal(err)
	}
	at := func(when float64) SteelTime {
		k := got.Steel[0]
		for _, next := range got.Steel {
			if next.At <= when {
				k = next
			}
		}
		return k
	}
	for _, s := range got.Strokes {
		k, p := at(s.At), tb.Strokes[s.StrokeIndex].Placement
		if k.Kind != p.Kind.String() || k.First != int(p.First) || k.Last != int(p.Last) || k.FirstFret != p.FirstFret || k.LastFret != p.LastFret {
			t.Errorf("at %g s the bar is %+v, the stroke wants %+v", s.At, k, p)
		}
	}
	for i := 1; i < len(got.Steel); i++ {
		if got.Steel[i].At < got.Steel[i-1].At {
			t.Errorf("the bar goes back in time at %g s", got.Steel[i].At)
		}
	}
	// The glide over three frets takes 0.09 + 3·0.018 s and ends on the beat.
	glide := got.Steel[len(got.Steel)-1]
	for i, k := range got.Steel {
		if k.At == 1 {
			glide = got.Steel[i-1]
		}
	}
	if math.Abs(glide.At-(1-0.144)) > 1e-9 || glide.FirstFret != 5 {
		t.Errorf("the glide sets off at %g s from %g", glide.At, glide.FirstFret)
	}
	if last := got.Steel[len(got.Steel)-1]; last.Angle <= 0 {
		t.Errorf("a forward slant leans %g degrees", last.Angle)
	}
}

// pitchOf follows a string through its score and gives its key number at a time.
func pitchOf(t *testing.T, tb *tab.Tab, str int, when float64) float64 {
	t.Helper()
	sc, err := write(tb, Options{Speed: 1})
	if err != nil {
		t.Fatal(err)
	}
	m := assemble(tb.Rig, sc, Options{})
	s := m.strings[str-1]
	p, _ := s.periodAt(int(when * Rate))
	return float64(pitch.KeyOf(pitch.Hz(Rate/p), tb.Rig.Reference))
}

// A bender moves the pitch of its string, with the bar still, within 60 ms
// before the note that wants it; the others stay.
func TestBenderMovesItsString(t *testing.T) {
	tb := makeTab(t, rigtest.Builtin(t, "bender-open-d"), 60,
		note{str: 3, fret: 5, len: 2, glide: true},
		note{str: 3, fret: 5, len: 2, attack: tab.Glided, more: func(s *tab.Stroke, _ *tab.Pluck) { s.Benders = 1 }})
	start := float64(tb.Rig.OpenKey(3, 0)) + 5
	for _, c := range []struct{ when, want float64 }{
		{0.5, start}, {1.939, start}, {1.97, start + 0.5}, {2.001, start + 1}, {3, start + 1},
	} {
		if got := pitchOf(t, tb, 3, c.when); math.Abs(got-c.want) > 0.02 {
			t.Errorf("string 3 is at key %.3f at %g s, want %.3f", got, c.when, c.want)
		}
	}
	other := float64(tb.Rig.OpenKey(1, 0)) + 5
	if got := pitchOf(t, tb, 1, 3); math.Abs(got-other) > 1e-6 {
		t.Errorf("string 1 is at key %.3f, want %.3f", got, other)
	}
}

// In a hold-and-move the held string keeps its pitch while the other goes.
func TestHoldAndMove(t *testing.T) {
	r := rigtest.Builtin(t, "lap6-c6")
	tb := makeTab(t, r, 60,
		note{str: 1, fret: 5, len: 2}, note{str: 2, fret: 5, len: 2, glide: true}, note{str: 2, fret: 4, len: 4, attack: tab.Glided})
	// String 1 is held at fret 5 while the bar leans back on string 2.
	tb.Strokes[0].Plucks[0].Len = tune.Whole + tune.Whole/2
	tb.Strokes[2].Placement = steel.Placement{Kind: steel.Forward, First: 1, Last: 2, FirstFret: 5, LastFret: 4}
	for _, when := range []float64{0.5, 3.95, 5} {
		if got, want := pitchOf(t, tb, 1, when), float64(r.OpenKey(1, 0))+5; math.Abs(got-want) > 1e-6 {
			t.Errorf("the held string is at key %.3f at %g s, want %.3f", got, when, want)
		}
	}
	if got, want := pitchOf(t, tb, 2, 5), float64(r.OpenKey(2, 0))+4; math.Abs(got-want) > 1e-6 {
		t.Errorf("the other is at key %.3f, want %.3f", got, want)
	}
}

// A note keeps its pitch until just before the next stroke, wherever the bar goes
// then and whichever string is played: the bar does not drag it along.
func TestNotesStayUntilTheBarLeaves(t *testing.T) {
	for _, next := range []note{
		{str: 1, fret: 24, len: 1}, {str: 2, fret: 24, len: 1}, {str: 2, len: 1}, {str: 1, len: 1},
		{str: 2, fret: 12, len: 1}, {str: 3, fret: 2, len: 1, attack: tab.Glided},
	} {
		tb := makeTab(t, rigtest.Builtin(t, "lap6-c6"), 120, note{str: 1, fret: 12, len: 1}, next)
		want := float64(tb.Rig.OpenKey(1, 0)) + 12
		for _, when := range []float64{0.01, 0.2, 0.47} {
			if got := pitchOf(t, tb, 1, when); math.Abs(got-want) > 1e-6 {
				t.Errorf("before string %d fret %g the note is at key %.3f at %g s, want %.3f", next.str, next.fret, got, when, want)
			}
		}
	}
}

// A tie that comes from elsewhere, over a repeat, begins its note anew when the
// string sounds another; a tie into the same pitch adds no stroke.
func TestTies(t *testing.T) {
	for _, c := range []struct {
		fret   float64
		plucks int
	}{{5, 1}, {7, 2}} {
		tb := makeTab(t, rigtest.Builtin(t, "lap6-c6"), 120, note{str: 1, fret: 5, len: 1}, note{str: 1, fret: c.fret, len: 1, attack: tab.Tied})
		sc, err := write(tb, Options{Speed: 1})
		if err != nil {
			t.Fatal(err)
		}
		got := 0
		for _, a := range sc.parts[0].actions {
			if a.kind == pluck {
				got++
			}
		}
		if got != c.plucks {
			t.Errorf("a tie from fret 5 to %g makes %d plucks in all, want %d", c.fret, got, c.plucks)
		}
		if k := pitchOf(t, tb, 1, 0.4); math.Abs(k-float64(tb.Rig.OpenKey(1, 0))-5) > 1e-6 {
			t.Errorf("before the tie to fret %g the pitch is key %.3f", c.fret, k)
		}
	}
}

// Clicks of an additive meter mark its groups, of compound time its dotted
// beats, of free meter nothing through the music.
func TestClicksOfMeters(t *testing.T) {
	for _, c := range []struct {
		meter tune.Meter
		len   tune.Ticks
		want  string // weights in order
	}{
		{tune.Meter{Beats: 4, Unit: 4}, tune.Whole, "0111"},
		{tune.Meter{Beats: 6, Unit: 8}, tune.Whole * 3 / 4, "01"},
		{tune.Meter{Beats: 7, Unit: 8, Groups: []int{2, 2, 3}}, tune.Whole * 7 / 8, "0212122"},
		{tune.Meter{Beats: 5, Unit: 4}, tune.Whole * 5 / 4, "01111"},
	} {
		tb := makeTab(t, rigtest.Builtin(t, "lap6-c6"), 120, note{str: 1, fret: 5, len: 1})
		tb.Tune.Bars[0].Meter, tb.Tune.Bars[0].Len = c.meter, c.len
		sc, err := write(tb, Options{Speed: 1, Click: true})
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		for _, b := range sc.beats {
			got += string(rune('0' + b.Weight))
		}
		if got != c.want {
			t.Errorf("%+v: clicks %s, want %s", c.meter, got, c.want)
		}
	}
}
