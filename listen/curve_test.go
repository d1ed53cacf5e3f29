package listen

import (
	"math"
	"slices"
	"testing"

	"lapwright/tab"
)

// curveOf is a curve through cents, a point every 10 ms from second 2 on, evenly loud.
func curveOf(cents ...float64) []point {
	var out []point
	for i, c := range cents {
		out = append(out, point{2 + float64(i)/100, c, 1})
	}
	return out
}

// The settled part of a note is the longest stretch within 12 cents of the middle, 45 with vibrato, the first of two as
// long. Three points make one. Of more than eight the first two and the last are left out.
func TestSettledPart(t *testing.T) {
	unsettled := -1.0
	for _, c := range []struct {
		what                           string
		vibrato                        bool
		curve                          []point
		spread, scoop, settles, settle float64 // the last is the mean
	}{
		{"two points", false, curveOf(4, 4), unsettled, 0, 0, 0},
		{"three", false, curveOf(4, 4, 4), 0, 0, 0.5, 4},
		{"two of four", false, curveOf(4, 4, 40, 80), unsettled, 0, 0, 0},
		{"three, sharp", false, curveOf(70, 70, 70), 0, 0, 0.5, 70},
		{"two of five, later", false, curveOf(90, 4, 4, 60, -60), unsettled, 0, 0, 0},
		{"the third of three stretches", false, curveOf(1, 1, 50, 2, 2, 2, 50, 3, 3, 3, 3), 0, -2, 0.57, 3},
		{"12 cents off", false, curveOf(0, 0, 0, 12), math.Sqrt(27), -3, 0.5, 3},
		{"12 below", false, curveOf(0, 0, 0, -12), math.Sqrt(27), 3, 0.5, -3},
		{"farther off", false, curveOf(0, 0, 0, 12.5), 0, 0, 0.5, 0},
		{"vibrato, 45 off", true, curveOf(0, 0, 0, 44, 45), math.Hypot(0, 21.8), -17.8, 0.5, 17.8},
		{"vibrato, farther off", true, curveOf(0, 0, 0, 46), 0, 0, 0.5, 0},
		{"scooped into", false, curveOf(-50, -30, 1, 1, 1), 0, -51, 0.52, 1},
		{"two as long", false, curveOf(1, 1, 1, 50, 2, 2, 2), 0, 0, 0.5, 1},
		{"the second longer", false, curveOf(1, 1, 1, 50, 2, 2, 2, 2), 0, -1, 0.54, 2},
		{"eight points", false, curveOf(8, 0, 0, 0, 0, 0, 0, 0), math.Sqrt(7), 7, 0.5, 1},
		{"nine points", false, curveOf(9, 9, 0, 0, 0, 0, 0, 0, 9), 0, 9, 0.5, 0},
	} {
		if c.what == "vibrato, 45 off" {
			var square float64
			for _, p := range c.curve {
				square += (p.cents - c.settle) * (p.cents - c.settle) / 5
			}
			c.spread = math.Sqrt(square)
		}
		n := &note{want: &want{hz: 200, pluck: &tab.Pluck{Vibrato: c.vibrato}}, at: 1.5, spread: unsettled, curve: c.curve}
		n.findSettled()
		near := func(a, b float64) bool { return math.Abs(a-b) < 1e-9 }
		if !near(n.spread, c.spread) || !near(n.attack.scoop, c.scoop) || !near(n.attack.settles, c.settles) {
			t.Errorf("%s: spread %g, scoop %g, settled after %g; want %g, %g, %g", c.what, n.spread, n.attack.scoop, n.attack.settles, c.spread, c.scoop, c.settles)
		}
		if points := float64(len(c.curve)); points < 5 && c.spread > 0 && !near(n.doubt, math.Hypot(0.35, c.spread/math.Sqrt(points/3))) {
			t.Errorf("%s: doubt %g; three points in a row are one of their own", c.what, n.doubt)
		}
		if c.spread >= 0 && !near(n.hz, 200*math.Exp2(c.settle/1200)) {
			t.Errorf("%s: %g Hz, want %g cents over 200", c.what, n.hz, c.settle)
		}
	}
}

// Points below 3 % of the loudest don't count.
func TestFaintPointsOfACurve(t *testing.T) {
	got := audible([]point{{0, 1, 2.9}, {1, 2, 100}, {2, 3, 3}, {3, 4, 0}})
	if want := []point{{1, 2, 100}, {2, 3, 3}}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}

// A partial that lies more than 5 cents from the others over a note is left out; where more than 0.4 of the weight, which
// is the root of that of the votes, strays, the pitch is in doubt. Two partials outvote nobody.
func TestStrayPartials(t *testing.T) {
	for _, c := range []struct {
		what    string
		votes   []vote
		weights []float64
		trust   float64
	}{
		{"5 cents off", []vote{{cents: 0, weight: 4}, {cents: 0, weight: 1}, {cents: 5, weight: 4}}, []float64{1, 1, 1}, 1},
		{"farther off, 2 of 5", []vote{{cents: 0, weight: 4}, {cents: 0, weight: 1}, {cents: 5.5, weight: 4}}, []float64{1, 1, 0}, 1},
		{"below", []vote{{cents: 0, weight: 4}, {cents: 0, weight: 1}, {cents: -5.5, weight: 4}}, []float64{1, 1, 0}, 1},
		{"3 of 6", []vote{{cents: 0, weight: 4}, {cents: 0, weight: 1}, {cents: 5.5, weight: 9}}, []float64{1, 1, 0}, 0.4},
		{"one that is silent", []vote{{cents: 0, weight: 4}, {}, {cents: 0, weight: 1}, {cents: 9, weight: 1}}, []float64{1, 1, 1, 0}, 1},
		{"two and one that is silent", []vote{{cents: 0, weight: 4}, {cents: 20, weight: 1}, {}}, []float64{1, 1, 1}, 1},
		{"two alone", []vote{{cents: 0, weight: 4}, {cents: 20, weight: 1}}, []float64{1, 1}, 1},
	} {
		var l curveLook
		copy(l.votes[:], c.votes)
		n, weights := &note{trust: 1}, slices.Repeat([]float64{1}, len(c.votes))
		n.agree([]curveLook{l}, weights)
		if !slices.Equal(weights, c.weights) || n.trust != c.trust {
			t.Errorf("%s: weights %v, trust %g; want %v, %g", c.what, weights, n.trust, c.weights, c.trust)
		}
	}
}

// A curve has points up to a third of a window before the note's end, and as long as the window's end lies before
// another string is plucked to the same: the window for 100 Hz is 60 ms, and the first look at a note from 0.5 s on is at
// 0.48.
func TestCurveEnds(t *testing.T) {
	take := hear(t, series(8000, 1, 12, func(float64) float64 { return 100 }), 8000)
	for _, c := range []struct {
		what   string
		end    float64
		after  []laterPluck
		points int
	}{
		{"the end", 0.5, nil, 1},
		{"sooner", 0.499, nil, 0},
		{"10 ms later", 0.511, nil, 2},
		{"a pluck at the window's end", 0.5, []laterPluck{{0.51, 100}}, 1},
		{"a pluck in the window", 0.5, []laterPluck{{0.509, 100}}, 0},
	} {
		n := &note{want: &want{hz: 100, pluck: &tab.Pluck{}}, after: c.after, spread: -1}
		(&measurer{take: take, look: newLook(take.rate)}).follow(n, 100, 0.5, c.end, others{})
		if len(n.curve) != c.points {
			t.Errorf("%s: %d points, want %d", c.what, len(n.curve), c.points)
		}
		for _, p := range n.curve {
			if math.Abs(p.cents) > 0.5 {
				t.Errorf("%s: %g cents at %g s", c.what, p.cents, p.at)
			}
		}
	}
}

// A partial that strays draws no curve: of 300 Hz with its partials, one of them 20 cents sharp, the curve is that of the
// others.
func TestStrayPartialDrawsNoCurve(t *testing.T) {
	x := make([]float32, 8000)
	for i := range x {
		for n := 1.0; n <= 8; n++ {
			hz := n * 300
			if n == 3 {
				hz *= math.Exp2(20.0 / 1200)
			}
			x[i] += float32(0.1 * math.Sin(2*math.Pi*hz*float64(i)/8000+n))
		}
	}
	take := hear(t, x, 8000)
	n := &note{want: &want{hz: 300, pluck: &tab.Pluck{}}, at: 0.2, spread: -1}
	(&measurer{take: take, look: newLook(take.rate)}).follow(n, 300, 0.24, 0.6, others{})
	if len(n.curve) < 30 || n.trust != 1 {
		t.Errorf("%d points, trust %g", len(n.curve), n.trust)
	}
	for _, p := range n.curve {
		if math.Abs(p.cents) > 0.3 {
			t.Errorf("%g cents at %g s", p.cents, p.at)
		}
	}
}

// The mean of votes for a pitch, by the squares of their weights, of those less than 6 cents from the middle. By hand: 0
// and 5 cents weighing 1 and 2 give (0 + 4·5)/5 = 4, and the spread √((16 + 4·1)/5) = 2. Where fewer than half agree there
// are 3 cents more of doubt.
func TestAverageOfVotes(t *testing.T) {
	two := []vote{{cents: 0, weight: 1}, {cents: 5, weight: 2}}
	far := func(cents ...float64) []vote {
		out := slices.Clone(two)
		for _, c := range cents {
			out = append(out, vote{cents: c, weight: 0.5})
		}
		return out
	}
	for _, c := range []struct {
		what                 string
		votes                []vote
		cents, spread, doubt float64
	}{
		{"two", two, 4, 2, math.Hypot(0.35, 2)},
		{"and one far off", far(40), 4, 2, math.Hypot(0.35, 2)},
		{"half of four", far(40, -40), 4, 2, math.Hypot(0.35, 2)},
		{"two of five", far(40, -40, 60), 4, 2, math.Hypot(0.35, 2) + 3},
		{"6 cents apart", []vote{{cents: 0, weight: 3}, {cents: 6, weight: 1}}, 0, 0, 0.35},
		{"five", []vote{{cents: -2, weight: 1}, {cents: -2, weight: 1}, {cents: 0, weight: 1}, {cents: 2, weight: 1}, {cents: 2, weight: 1}}, 0, math.Sqrt(3.2), math.Hypot(0.35, math.Sqrt(3.2)/2)},
		{"one", two[1:], 5, 0, 0.35},
	} {
		n := &note{want: &want{hz: 200}}
		n.average(c.votes)
		if math.Abs(n.hz-200*math.Exp2(c.cents/1200)) > 1e-9 || math.Abs(n.spread-c.spread) > 1e-9 || math.Abs(n.doubt-c.doubt) > 1e-9 {
			t.Errorf("%s: %g Hz, spread %g, doubt %g; want %g cents over 200, %g, %g", c.what, n.hz, n.spread, n.doubt, c.cents, c.spread, c.doubt)
		}
	}
}

// Among other strings a note is looked at in windows, each half over the one before, to 20 ms beyond its end.
func TestLooksAlong(t *testing.T) {
	for end, want := range map[float64][]float64{0.354: {0.125}, 0.355: {0.125, 0.25}, 0.48: {0.125, 0.25, 0.375}} {
		if got := looksAlong(0.01, end, 0.25); !slices.Equal(got, want) {
			t.Errorf("to %g s: %v, want %v", end, got, want)
		}
	}
}

// Where all partials are shared the pitch is a guess; where most of the votes lie apart it is in doubt.
func TestNoteAmongOthers(t *testing.T) {
	take := hear(t, series(8000, 1, 12, func(float64) float64 { return 200 }), 8000)
	for _, c := range []struct {
		what        string
		o           others
		partials    int
		least, most float64 // doubt
	}{
		{"apart from others", others{with: []float64{250}}, 3, 0.35, 0.5},
		{"all shared", others{with: []float64{200}}, 0, 8, 8},
	} {
		n := &note{want: &want{hz: 200, pluck: &tab.Pluck{}}, partials: 3}
		(&measurer{take: take, look: newLook(take.rate)}).steady(n, 200, 0.3, 0.7, c.o)
		if n.partials != c.partials || n.doubt < c.least || n.doubt > c.most {
			t.Errorf("%s: %d partials, doubt %g; want %d, %g to %g", c.what, n.partials, n.doubt, c.partials, c.least, c.most)
		}
	}
}

// Vibrato takes 30 points, three tenths of a second, to be told.
func TestShortestVibrato(t *testing.T) {
	for n, told := range map[int]bool{29: false, 30: true} {
		part := make([]point, n)
		for i := range part {
			part[i] = point{at: float64(i) / 100, cents: 20 * math.Sin(2*math.Pi*6.6*float64(i)/100)}
		}
		if got := findVibrato(part, 0); (got.rate > 0) != told || told && (math.Abs(got.rate-6.6) > 0.25 || math.Abs(got.width-20) > 1) {
			t.Errorf("%d points: %+v", n, got)
		}
	}
}
