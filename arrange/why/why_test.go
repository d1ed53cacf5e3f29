package why_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"lapwright/arrange/why"
	"lapwright/grip"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/steel"
)

// stopped returns the grip of one plucked note on a string of a neck.
func stopped(t *testing.T, n *grip.Neck, str, fret int) (*grip.Grip, *grip.Due) {
	t.Helper()
	due := &grip.Due{Wants: []grip.Note{{Key: int16(n.Rig.OpenKey(str, 0) + fret), From: -1}}, Pace: grip.NewPace(0.5, n.Limits)}
	for _, g := range n.Grips(due) {
		if int(g.Strings[0]) == str && int(g.Frets[0]) == fret && g.Benders == 0 && g.Node == 0 && (fret == 0) == (g.Kind == steel.Lifted) {
			return &g, due
		}
	}
	t.Fatalf("no grip has string %d at fret %d", str, fret)
	return nil, nil
}

// TestMoveUpAString: from fret 2 to fret 4 the steel goes L·(2^(−2/12) − 2^(−4/12)), which
// is told in millimetres, and costs; the pitch's rise costs nothing by itself.
func TestMoveUpAString(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g")
	n := grip.NewNeck(r, grip.LimitsOf(grip.Steady), grip.Region{})
	from, before := stopped(t, n, 1, 2)
	to, due := stopped(t, n, 1, 4)
	m := why.Move{To: to, Due: due, From: from, At: from.Hand, Before: before}
	p, step := why.Of(n, &m)
	far := float64(r.Scale) * (math.Exp2(-2.0/12) - math.Exp2(-4.0/12))
	if got, want := m.Words(n, why.Travel, &step), fmt.Sprintf("moved %.0f mm in 0.50 s", far); got != want || p[why.Travel] <= 0 {
		t.Errorf("%q for %d, want %q", got, p[why.Travel], want)
	}
	for _, part := range []why.Part{why.Lift, why.Lean, why.Contrary, why.Speed, why.Open, why.Lost, why.Cut} {
		if p[part] != 0 {
			t.Errorf("a plain move costs %d for %s", p[part], part)
		}
	}
	// The same place again costs nothing of it, and the first moment knows no move.
	stay := why.Move{To: to, Due: due, From: to, At: to.Hand, Before: due}
	if p, _ := why.Of(n, &stay); p[why.Travel] != 0 {
		t.Errorf("staying costs %d", p[why.Travel])
	}
	first, _ := why.Of(n, &why.Move{To: to, Due: due, Own: 7, Odd: 11})
	if first[why.Fingers] != 7 || first[why.Habit] != 11 || first[why.Travel] != 0 {
		t.Errorf("the first moment costs %v", first)
	}
}

// TestHandsAreNotEars: a long open note and a tune's note that is left out are no work
// for the hands, lifting the steel is; together they are the sum.
func TestHandsAreNotEars(t *testing.T) {
	var p why.Parts
	p[why.Open], p[why.Lost], p[why.Cut], p[why.Ring], p[why.Thick] = 1, 2, 4, 8, 16
	if p.Hands() != 0 || p.Sum() != 31 {
		t.Errorf("hands %d of %d", p.Hands(), p.Sum())
	}
	p[why.Lift], p[why.Travel], p[why.Picking] = 100, 200, 400
	if p.Hands() != 700 || p.Sum() != 731 {
		t.Errorf("hands %d of %d", p.Hands(), p.Sum())
	}
}

// TestEveryPartSaysWhy: whatever a moment costs something for has a name and words.
func TestEveryPartSaysWhy(t *testing.T) {
	n := grip.NewNeck(rigtest.Builtin(t, "pedal10-e9"), grip.LimitsOf(grip.Steady), grip.Region{})
	from, before := stopped(t, n, 3, 0)
	to, due := stopped(t, n, 4, 5)
	from.Benders, to.Benders, to.Cents[3], to.Acts[0] = 1, 2, 4, grip.Glide
	m := why.Move{To: to, Hand: grip.Hand{Thumb: 4}, Due: due, From: from, FromHand: grip.Hand{Thumb: 3}, At: from.Hand, Before: before}
	var p why.Parts
	names := map[string]bool{}
	for k := range p {
		k := why.Part(k)
		if w := m.Words(n, k, &grip.Between{Travelled: 10}); strings.TrimSpace(w) == "" {
			t.Errorf("%s costs without a word", k)
		}
		names[k.String()] = true
	}
	if len(names) != len(p)-1 || names[""] {
		t.Errorf("%d parts have the names %v: only what is lost and what is cut short share one", len(p), names)
	}
	for k, want := range map[why.Part]string{
		why.Lift: "laid the steel again", why.BenderMove: "let go of " + n.Rig.Benders[0].Name + ", engaged " + n.Rig.Benders[1].Name,
		why.Picking: "thumb again after 0.50 s", why.Cents: "string 4 leans 4 cents sharp", why.Gesture: "slid to",
	} {
		if got := m.Words(n, k, &grip.Between{}); got != want {
			t.Errorf("%s: %q, want %q", k, got, want)
		}
	}
}

// TestBeyondASteadyPlayer: a steady player works two benders at once, leans the steel by
// 50°, plays to fret 24 and hammers in 0.12 s (grip.LimitsOf), and no more.
func TestBeyondASteadyPlayer(t *testing.T) {
	lim := grip.LimitsOf(grip.Steady)
	due := func(kind grip.Kind, seconds float64) *grip.Due {
		return &grip.Due{Wants: []grip.Note{{Kind: kind}}, Pace: grip.NewPace(seconds, lim)}
	}
	at := func(fret float64, lean int32, kind steel.Kind) *grip.Grip {
		return &grip.Grip{Place: &grip.Place{Placement: steel.Placement{Kind: kind, FirstFret: fret, LastFret: fret}, Lean: lean}}
	}
	with := func(g *grip.Grip, benders rig.BenderSet, act grip.Act) *grip.Grip {
		g.Benders, g.Acts[0] = benders, act
		return g
	}
	for _, c := range []struct {
		what string
		g    *grip.Grip
		due  *grip.Due
		want bool
	}{
		{"two benders", with(at(3, 0, steel.Straight), 0b11, grip.Pluck), due(grip.Begun, 0.5), false},
		{"three benders", with(at(3, 0, steel.Straight), 0b1011, grip.Pluck), due(grip.Begun, 0.5), true},
		{"fret 24", at(24, 0, steel.Straight), due(grip.Begun, 0.5), false},
		{"fret 25", at(25, 0, steel.Straight), due(grip.Begun, 0.5), true},
		{"50 degrees", at(5, 500, steel.Forward), due(grip.Begun, 0.5), false},
		{"51 degrees back", at(5, -510, steel.Reverse), due(grip.Begun, 0.5), true},
		{"a split", at(5, 0, steel.Split), due(grip.Begun, 0.5), true},
		{"hammered in 0.12 s", with(at(5, 0, steel.Straight), 0, grip.Hammer), due(grip.Slurred, 0.12), false},
		{"hammered in 0.11 s", with(at(5, 0, steel.Straight), 0, grip.Hammer), due(grip.Slurred, 0.11), true},
		{"a grace hammered in 0.11 s", with(at(5, 0, steel.Straight), 0, grip.Hammer), due(grip.Graced, 0.11), false},
		{"a step slid in 0.11 s", with(at(5, 0, steel.Straight), 0, grip.Glide), due(grip.Stepped, 0.11), true},
		{"a step slid in 0.12 s", with(at(5, 0, steel.Straight), 0, grip.Glide), due(grip.Stepped, 0.12), false},
		{"a step plucked in 0.11 s", with(at(5, 0, steel.Straight), 0, grip.Pluck), due(grip.Stepped, 0.11), false},
	} {
		if got := why.Beyond(c.g, c.due, &lim); got != c.want {
			t.Errorf("%s: beyond a steady player %v", c.what, got)
		}
	}
}

// TestDifficulty: 10·(1 − 2^(−d/4)), d half the mean and half that of the dearest tenth,
// worked by hand.
func TestDifficulty(t *testing.T) {
	one := make([]float64, 10)
	one[3] = 8
	eleven := make([]float64, 11) // the dearest tenth of eleven is two
	eleven[0], eleven[10] = 6, 2
	for _, c := range []struct {
		costs []float64
		want  float64
	}{
		{nil, 0},
		{[]float64{0, 0, 0}, 0},
		{[]float64{4, 4, 4, 4}, 5},    // d = 4: half of the way to 10
		{[]float64{8, 8}, 7.5},        // and half of what is left
		{one, 5.3},                    // d = 0.4 + 4 = 4.4: 10·(1 − 2^−1.1) = 5.33
		{eleven, 3.4},                 // d = 8/22 + 8/4 = 2.364: 10·(1 − 2^−0.591) = 3.36
		{[]float64{400, 400, 40}, 10}, // rounds to it
	} {
		in := fmt.Sprint(c.costs)
		if got := why.Difficulty(c.costs); got != c.want {
			t.Errorf("%s: %g, want %g", in, got, c.want)
		}
	}
}
