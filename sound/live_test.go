package sound

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"lapwright/rig/rigtest"
	"lapwright/tab"
	"lapwright/tune"
)

// hearLive takes so many samples of a Live in blocks of a size, and says where it was after each.
func hearLive(l *Live, samples, size int) (x []float32, places []Place) {
	for samples > 0 {
		b := l.Next(min(size, samples))
		if b == nil {
			break
		}
		x = append(x, b.Left...)
		samples -= b.Len()
		places = append(places, l.Now())
	}
	return x, places
}

func newLive(t *testing.T, tb *tab.Tab, o Options) *Live {
	t.Helper()
	gain := -6.0
	o.Gain = &gain
	l, err := NewLive(tb, o)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// steepest returns the largest third difference of a stretch: what a click is seen by.
func steepest(x []float32) float64 {
	most := 0.0
	for i := 3; i < len(x); i++ {
		most = max(most, math.Abs(float64(x[i]-3*x[i-1]+3*x[i-2]-x[i-3])))
	}
	return most
}

// fourBars has a quarter note on each beat, of which those on string 1 ring on over its bar's end.
func fourBars(t testing.TB) *tab.Tab {
	var notes []note
	for b := range 4 {
		for k := range 4 {
			notes = append(notes, note{str: 4 - k, fret: float64(3 + 2*b), len: 1})
		}
	}
	return makeTab(t, rigtest.Builtin(t, "reso-open-g"), 240, notes...)
}

// Listened to without wishes, a piece is what a Stream gives.
func TestLiveIsTheStream(t *testing.T) {
	tb := everything(t, "lap8-c13")
	l := newLive(t, tb, Options{CountIn: 1, Click: true, Speed: 1.5})
	s, err := NewStream(tb, Options{CountIn: 1, Click: true, Speed: 1.5, Gain: l.o.Gain})
	if err != nil {
		t.Fatal(err)
	}
	got, _ := hearLive(l, math.MaxInt, 479)
	var want []float32
	for {
		b, err := s.Next(1000)
		if err != nil {
			t.Fatal(err)
		}
		if b == nil {
			break
		}
		want = append(want, b.Left...)
	}
	if !slices.Equal(got, want) {
		t.Errorf("%d samples of %d differ", len(got), len(want))
	}
}

// A new tempo holds from the place where the piece is: what is left takes as long as it says, and
// nothing clicks.
func TestLiveSpeed(t *testing.T) {
	l := newLive(t, fourBars(t), Options{Dry: true})
	const first = Rate * 13 / 10 // into the second bar of a second each
	x, _ := hearLive(l, first, 512)
	before := l.Now()
	if err := l.SetSpeed(0.5); err != nil {
		t.Fatal(err)
	}
	if after := l.Now(); after.Pass != before.Pass || math.Abs(float64(after.At-before.At)) > 0.01*float64(l.t.Tune.Bars[0].Len) {
		t.Errorf("the tempo changes at %v, and goes on at %v", before, after)
	}
	y, _ := hearLive(l, math.MaxInt, 512)
	if want := (4-1.3)/0.5*Rate + ringOut*Rate; math.Abs(float64(len(y))-want) > 200 {
		t.Errorf("%d samples are left at half the tempo, want %.0f", len(y), want)
	}
	seam := steepest(append(slices.Clone(x[len(x)-300:]), y[:300]...))
	if most := steepest(x); seam > most {
		t.Errorf("the change of tempo clicks: %g, the strokes at most %g", seam, most)
	}
	if err := l.SetSpeed(9); err == nil || l.o.Speed != 0.5 {
		t.Errorf("nine times the speed gives %v", err)
	}
}

// A loop plays its bars over and over, each round to the sample as long as it should be, and
// rings on over its seam without a click; it goes on from there when it is ended.
func TestLiveLoop(t *testing.T) {
	l := newLive(t, fourBars(t), Options{Dry: true})
	hearLive(l, Rate/4, 512)
	if err := l.Loop(1, 3); err != nil {
		t.Fatal(err)
	}
	const round = 2 * Rate
	x, places := hearLive(l, 4*round, 480)
	for _, p := range places {
		if p.Pass < 1 || p.Pass > 2 {
			t.Fatalf("the loop of bars 2 and 3 comes to %v", p)
		}
	}
	// Where it stands at the end of each round is where it began.
	for r := 1; r <= 3; r++ {
		if a, b := places[10], places[10+r*round/480]; a.Pass != b.Pass || math.Abs(float64(a.At-b.At)) > 0.001*float64(l.t.Tune.Bars[0].Len) {
			t.Errorf("round %d is at %v where the first was at %v", r+1, b, a)
		}
	}
	most := steepest(x[Rate/2:])
	for r := 1; r < 4; r++ {
		at := r * round
		if loud := loudestOf(x[at-480 : at-240]); loud < 1e-3 {
			t.Errorf("nothing rings into round %d", r+1)
		}
		if s := steepest(x[at-480 : at+20]); s > 0.7*most {
			t.Errorf("the seam of round %d clicks: %g, the strokes at most %g", r+1, s, most)
		}
	}
	for _, none := range []int{0, 2} {
		if err := l.Loop(none, none); err != nil {
			t.Fatal(err)
		}
	}
	y, places := hearLive(l, math.MaxInt, 480)
	if want := 3*Rate + ringOut*Rate; math.Abs(float64(len(y))-want) > 500 || places[len(places)-1].Pass != 3 {
		t.Errorf("after the loop %d samples are left, want %.0f, to the end at %v", len(y), want, places[len(places)-1])
	}
}

// Begun at a bar, its first note is heard at once and what rings into it is there.
func TestLiveStart(t *testing.T) {
	tb := fourBars(t)
	l := newLive(t, tb, Options{CountIn: 1, Dry: true})
	if err := l.Start(2); err != nil {
		t.Fatal(err)
	}
	x, places := hearLive(l, Rate/4, 480)
	if p := places[0]; p.Pass != 2 || p.At > l.t.Tune.Bars[0].Len/50 {
		t.Errorf("begun at bar 3, it is at %v after 10 ms", p)
	}
	whole, err := NewStream(tb, l.o)
	if err != nil {
		t.Fatal(err)
	}
	var want []float32
	for range 16 {
		b, err := whole.Next(Rate / 4)
		if err != nil {
			t.Fatal(err)
		}
		want = append(want, b.Left...)
	}
	want = want[3*Rate:] // a bar of count-in and two of music
	var differ, all float64
	for i, v := range want[:Rate/50] {
		differ += float64(x[i]-v) * float64(x[i]-v)
		all += float64(v) * float64(v)
	}
	t.Logf("of the first 20 ms %.1f %% differ from the whole piece", 100*differ/all)
	if !(differ < 0.15*all) {
		t.Errorf("begun at bar 3, %.1f %% of the first 20 ms differ from the whole piece", 100*differ/all)
	}
	for _, bad := range []int{-1, 4} {
		if err := l.Start(bad); err == nil || !strings.Contains(err.Error(), fmt.Sprintf("no bar %d among the 4 ", bad+1)) {
			t.Errorf("it begins at bar index %d of 4: %v", bad, err)
		}
	}
	if err := l.Loop(3, 2); err == nil || !strings.Contains(err.Error(), "from 4 to 2 among the 4 ") {
		t.Errorf("a loop from bar 4 to bar 3 is taken: %v", err)
	}
}

// A loop that the piece has not come to begins with its first bar, however long it is, and a bar that is asked for
// within it is gone to at once.
func TestLoopBeginsWithItsFirstBar(t *testing.T) {
	for i, c := range [][2]int{{1, 2}, {1, 4}, {2, 4}, {3, 4}, {0, 2}} {
		o := Options{Dry: true}
		l := newLive(t, fourBars(t), o)
		if i == 4 { // from behind it, where a count-in was sounded at the beginning
			o.CountIn = 1
			l = newLive(t, fourBars(t), o)
			if err := l.Start(3); err != nil {
				t.Fatal(err)
			}
		}
		hearLive(l, 480, 480)
		if err := l.Loop(c[0], c[1]); err != nil {
			t.Fatal(err)
		}
		soon := l.t.Tune.Bars[0].Len / 50
		if _, places := hearLive(l, 480, 480); places[0].Pass != c[0] || places[0].At > soon {
			t.Errorf("the loop of bars %d to %d begins at %v", c[0]+1, c[1], places[0])
		}
		for pass := c[1] - 1; pass >= c[0]; pass-- {
			if err := l.Start(pass); err != nil {
				t.Fatal(err)
			}
			if _, places := hearLive(l, 480, 480); places[0].Pass != pass || places[0].At > soon {
				t.Errorf("in the loop of bars %d to %d, begun at bar %d, it is at %v", c[0]+1, c[1], pass+1, places[0])
			}
		}
		// It was begun at the loop's first bar last: that doesn't leave the loop.
		if _, places := hearLive(l, 5*Rate, 480); places[len(places)-1].Pass >= c[1] || len(places) < 5*Rate/480 {
			t.Errorf("the loop of bars %d to %d, begun at its first bar, comes to %v", c[0]+1, c[1], places[len(places)-1])
		}
	}
}

// A loop of bars that end where the music is begins with its first, not where the music is.
func TestLoopOfBarsThatAreOver(t *testing.T) {
	l := newLive(t, fourBars(t), Options{Dry: true})
	hearLive(l, 3*Rate/2, 480)
	if err := l.Loop(0, 1); err != nil {
		t.Fatal(err)
	}
	if _, places := hearLive(l, 480, 480); places[0].Pass != 0 || places[0].At > tune.Whole/50 {
		t.Errorf("in bar 2 a loop of bar 1 begins at %v", places[0])
	}
}

// What rings into a bar is what was played in the second before it, at whatever speed, and nothing before the piece begins.
func TestRingsFromTheSecondBefore(t *testing.T) {
	var notes []note
	for range 12 {
		notes = append(notes, note{str: 1, fret: 5, len: 4})
	}
	for _, c := range []struct {
		speed float64
		want  map[int]int
	}{
		{1, map[int]int{0: 0, 1: 0, 2: 0, 3: 1, 11: 9}}, // bars of 0.6 s: one ends within the second, one before lasts into it
		{2, map[int]int{3: 0, 4: 0, 5: 1, 11: 7}},
	} {
		l := newLive(t, makeTab(t, rigtest.Builtin(t, "reso-open-g"), 400, notes...), Options{Dry: true, Speed: c.speed})
		for pass, want := range c.want {
			if got := l.ringsFrom(pass); got != want {
				t.Errorf("at speed %g what rings into bar %d begins with bar %d, want %d", c.speed, pass+1, got+1, want+1)
			}
		}
	}
}

// What rang when another bar is asked for fades out under it over 10 ms, as half a cosine.
func TestStartLetsWhatRangFade(t *testing.T) {
	l, on := newLive(t, fourBars(t), Options{Dry: true}), newLive(t, fourBars(t), Options{Dry: true})
	hearLive(l, Rate*7/10, 480)
	hearLive(on, Rate*7/10, 480)
	if err := l.Start(3); err != nil {
		t.Fatal(err)
	}
	rings := on.m.block()
	if err := on.m.next(&rings, 480); err != nil {
		t.Fatal(err)
	}
	for i, v := range rings.Left {
		if want := float64(v) * math.Pow(math.Cos(math.Pi*float64(i)/960), 2); math.Abs(float64(l.tail.Left[i])-want) > 1e-7 {
			t.Fatalf("sample %d of what rang is %g, want %g", i, l.tail.Left[i], want)
		}
	}
	if loudestOf(rings.Left) < 1e-3 {
		t.Error("nothing rang")
	}
}

// A bar before or behind the loop that is asked for ends the loop: the piece goes on from there to its end, as it does where
// there is no loop.
func TestStartLeavesTheLoop(t *testing.T) {
	for i, pass := range []int{0, 3, 1} {
		l := newLive(t, fourBars(t), Options{Dry: true})
		if i < 2 {
			if err := l.Loop(1, 3); err != nil {
				t.Fatal(err)
			}
		}
		hearLive(l, 480, 480)
		if err := l.Start(pass); err != nil {
			t.Fatal(err)
		}
		_, places := hearLive(l, math.MaxInt, 480)
		if len(places) == 0 {
			t.Fatalf("begun at bar %d, nothing sounds", pass+1)
		}
		if first, last := places[0].Pass, places[len(places)-1].Pass; first != pass || last != 3 || len(places) > (4-pass)*100+ringOut*100+2 {
			t.Errorf("begun at bar %d, it goes from bar %d to %d in %d steps", pass+1, first+1, last+1, len(places))
		}
	}
}

// A loop of bars that the music is in begins where it is, without a jump, and ends there too.
func TestLoopBeginsWhereTheMusicIs(t *testing.T) {
	for _, c := range []struct{ at, from, to int }{{100, 0, 2}, {150, 1, 3}, {250, 1, 3}, {350, 3, 4}} { // in hundredths of a second, a bar each
		l := newLive(t, fourBars(t), Options{Dry: true})
		hearLive(l, c.at*480, 480)
		was := l.Now()
		if far := float64(was.Pass)*100 + 100*float64(was.At)/float64(l.t.Tune.Bars[0].Len); math.Abs(far-float64(c.at)) > 0.01 {
			t.Errorf("after %d hundredths of a second it is %.3f hundredths far", c.at, far)
		}
		if err := l.Loop(c.from, c.to); err != nil {
			t.Fatal(err)
		}
		if now := l.Now(); now.Pass != was.Pass || math.Abs(float64(now.At-was.At)) > 0.004*float64(tune.Whole) {
			t.Errorf("at %v the loop of bars %d to %d is asked for, and it is at %v", was, c.from+1, c.to, now)
		}
		_, places := hearLive(l, 6*Rate, 480)
		bar := float64(l.t.Tune.Bars[0].Len)
		for i := 1; i < len(places); i++ {
			a, b := float64(places[i-1].Pass)*bar+float64(places[i-1].At), float64(places[i].Pass)*bar+float64(places[i].At)
			round := float64(c.to-c.from) * bar
			if step := b - a; math.Abs(step-bar/100) > 0.002*bar && math.Abs(step+round-bar/100) > 0.002*bar {
				t.Fatalf("the loop of bars %d to %d goes from %v to %v in 10 ms", c.from+1, c.to, places[i-1], places[i])
			}
		}
	}
}
