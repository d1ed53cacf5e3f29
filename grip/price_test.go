package grip

import (
	"reflect"
	"slices"
	"testing"

	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/steel"
	"lapwright/tab"
)

// std are the prices of which the tests reckon by hand.
var std = Standard()

func seasoned(t testing.TB) *Neck { return NewNeck(rigtest.OpenD(), LimitsOf(Seasoned), Region{}) }

// at makes the grip that stops strings at frets, "1:13 3:12"; the notes are due
// in that order, which should be from the highest down.
func at(t testing.TB, n *Neck, text string) (*Grip, []Note) {
	t.Helper()
	g, wants := &Grip{}, []Note{}
	var stopped uint16
	var frets [rig.MaxStrings]int8
	stops, set, err := ParseStops(n.Rig, text)
	if err != nil {
		t.Fatal(err)
	}
	g.Benders = set
	for i, s := range stops {
		g.Strings[i], g.Frets[i], g.Acts[i] = int8(s.String), int8(s.Fret), Pluck
		g.plucked |= 1 << (s.String - 1)
		if s.Fret > 0 {
			stopped |= 1 << (s.String - 1)
			frets[s.String-1] = int8(s.Fret)
		}
		wants = append(wants, Note{Key: int16(n.Rig.OpenKey(s.String, set) + int(s.Fret)), Kind: Begun, From: -1})
	}
	if g.Place = n.places.stops(stopped, g.plucked&^stopped, &frets); g.Place == nil {
		t.Fatalf("%s can't be stopped", text)
	}
	n.price(g, wants)
	return g, wants
}

// What a grip costs by itself, each row one thing that a player would say of it.
// The angles are those that package steel works out by hand: 42.867° for strings
// 1 and 3 at 13 and 12, 43.133° the other way; for 2 and 4 in the same way
// atan(16.8377/(4.5 + 13.5842)) = 42.955°.
func TestAlone(t *testing.T) {
	n := seasoned(t)
	for _, c := range []struct {
		what, stops string
		want        Alone
		change      func(*Grip, []Note)
	}{
		{"the steel square at a middling fret asks nothing", "1:5,2:5,3:5", Alone{}, nil},
		{"nor do open strings", "1:0,2:0", Alone{}, nil},
		{"a fret above the fifth", "1:6", Alone{High: std.Up}, nil},
		{"the twelfth is not narrow yet", "1:12", Alone{High: 7 * std.Up}, nil},
		{"the thirteenth is", "1:13", Alone{High: 8*std.Up + std.High}, nil},
		{"the nineteenth", "1:19", Alone{High: 14*std.Up + 7*std.High}, nil},
		{"the twentieth", "1:20", Alone{High: 15*std.Up + 8*std.High + std.VeryHigh}, nil},
		{"the highest fret counts, not the melody's", "1:0,2:6", Alone{High: std.Up, Beside: std.BesideFar + 3*std.BesideHigh}, nil},
		{"the nose beside open strings", "1:3,2:0", Alone{Beside: std.Nose}, nil},
		{"the nose at the fourth fret parts the sounds", "1:4,2:0", Alone{Beside: std.Nose + std.BesideHigh}, nil},
		{"the steel drawn back from string 1", "1:0,2:3,3:3", Alone{Beside: std.BesideFar}, nil},
		{"its heel held up", "1:3,2:3,3:0", Alone{Beside: std.BesideNear}, nil},
		{"both", "1:0,2:3,3:3,4:0", Alone{Beside: std.BesideFar + std.BesideNear}, nil},
		{"a forward slant", "1:13,3:12", Alone{Slant: std.Forward + 429*std.PerLean/10, High: 8*std.Up + std.High}, nil},
		{"a reverse slant", "1:12,3:13", Alone{Slant: std.Reverse + 431*std.PerLean/10, High: 8*std.Up + std.High}, nil},
		{"a slant with an open string on the player's side", "1:13,3:12,5:0",
			Alone{Slant: std.Forward + 429*std.PerLean/10, High: 8*std.Up + std.High, Beside: std.BesideNear + 10*std.BesideHigh}, nil},
		{"a slant with an open string beyond it", "1:0,2:13,4:12",
			Alone{Slant: std.Forward + 430*std.PerLean/10, High: 8*std.Up + std.High, Beside: std.BesideFar + 10*std.BesideHigh}, nil},
		{"the melody on the lowest third of the strings", "5:0", Alone{Thick: std.Thick}, nil},
		{"and on the lowest string", "6:0", Alone{Thick: 2 * std.Thick}, nil},
		{"what is below the melody may be thick", "1:0,6:0", Alone{}, nil},
		{"a thick short string is dull", "4:8", Alone{Thick: std.Dull, High: 3 * std.Up}, nil},
		{"a thinner one is not", "3:8", Alone{High: 3 * std.Up}, nil},
		{"two benders", "2:0B,3:0A", Alone{Bender: 2 * std.Bender}, nil},
		{"a long note on an open string", "1:0", Alone{Open: std.OpenLong}, func(_ *Grip, w []Note) { w[0].Long = true }},
		{"a long note on a stopped one", "1:5", Alone{}, func(_ *Grip, w []Note) { w[0].Long = true }},
		{"the melody lost", "1:5", Alone{Lost: std.TopLost}, func(g *Grip, w []Note) { g.Strings[0], g.Frets[0], g.Acts[0] = 0, 0, Gone }},
		{"a lower note lost", "1:5,2:5", Alone{Lost: std.NoteLost}, func(g *Grip, w []Note) { g.Strings[1], g.Frets[1], g.Acts[1] = 0, 0, Gone }},
		{"a note under a held one is the melody", "1:5,2:5", Alone{Lost: std.TopLost},
			func(g *Grip, w []Note) {
				w[0].Kind, g.Acts[0] = Held, On
				g.Strings[1], g.Frets[1], g.Acts[1] = 0, 0, Gone
			}},
		{"a held note let go is counted where it ends", "1:5,2:5", Alone{}, func(g *Grip, w []Note) { w[1].Kind, g.Acts[1], g.Strings[1], g.Frets[1] = Held, Gone, 0, 0 }},
		{"a tied one too", "1:5,2:5", Alone{}, func(g *Grip, w []Note) { w[1].Kind, g.Acts[1], g.Strings[1], g.Frets[1] = Tied, Gone, 0, 0 }},
		{"harmony not taken", "1:5,2:5", Alone{}, func(g *Grip, w []Note) { w[1].Kind, g.Acts[1], g.Strings[1], g.Frets[1] = Offered, Gone, 0, 0 }},
		{"harmony on the lower half is muddy", "1:0,5:0", Alone{Thick: 2 * 2 * std.Thick}, func(_ *Grip, w []Note) { w[1].Kind = Offered }},
		{"on the upper half it is clear", "1:0,3:0", Alone{}, func(_ *Grip, w []Note) { w[1].Kind = Offered }},
		{"a tied note plucked again", "1:5", Alone{Lost: std.PluckedAgain}, func(g *Grip, w []Note) { w[0].Kind, g.Acts[0] = Tied, Again }},
		{"a glide plucked", "1:5", Alone{Lost: std.GlideLost}, func(_ *Grip, w []Note) { w[0].Kind = Glided }},
		{"a glide made", "1:5", Alone{Gesture: std.Glide}, func(g *Grip, w []Note) { w[0].Kind, g.Acts[0] = Glided, Glide }},
		{"a slur plucked", "1:5", Alone{Gesture: std.SlurPlucked}, func(_ *Grip, w []Note) { w[0].Kind = Slurred }},
		{"a note plucked after its grace", "1:5", Alone{Gesture: std.GracePlucked}, func(_ *Grip, w []Note) { w[0].Kind = Graced }},
		{"a step joined unasked", "1:5", Alone{Gesture: std.Join}, func(g *Grip, w []Note) { w[0].Kind, g.Acts[0] = Stepped, Hammer }},
		{"and in a slow tune", "1:5", Alone{Gesture: std.JoinSlow}, func(g *Grip, w []Note) { w[0].Kind, w[0].Slow, g.Acts[0] = Stepped, true, Glide }},
		{"onto a beat", "1:5", Alone{Gesture: std.JoinBeat}, func(g *Grip, w []Note) { w[0].Kind, w[0].Beat, g.Acts[0] = Stepped, true, Glide }},
		{"a step plucked", "1:5", Alone{}, func(_ *Grip, w []Note) { w[0].Kind = Stepped }},
		{"a long note on an open string in a slow tune", "1:0", Alone{Open: std.OpenSlow}, func(_ *Grip, w []Note) { w[0].Long, w[0].Slow = true, true }},
		{"a hammer-on", "1:5", Alone{Gesture: std.Hammer}, func(g *Grip, w []Note) { w[0].Kind, g.Acts[0] = Slurred, Hammer }},
		{"a pull-off", "1:0", Alone{Gesture: std.Hammer}, func(g *Grip, w []Note) { w[0].Kind, g.Acts[0] = Slurred, Pull }},
		{"a natural harmonic, though open and long", "1:0", Alone{Harmonic: std.Harmonic}, func(g *Grip, w []Note) { g.Node = 2; w[0].Long = true }},
		{"a palm harmonic", "1:5", Alone{Harmonic: std.Palm}, func(g *Grip, _ []Note) { g.Node, g.Palm = 2, true }},
		{"a note struck on the beat is no join", "1:5", Alone{}, func(_ *Grip, w []Note) { w[0].Beat = true }},
		{"nor is one struck in a slow tune", "1:5", Alone{}, func(_ *Grip, w []Note) { w[0].Slow = true }},
		{"what harmony and habit cost is passed on", "1:5", Alone{Harmony: 7, Habit: 11}, func(g *Grip, _ []Note) { g.harmony, g.Habit = 7, 11 }},
	} {
		g, wants := at(t, n, c.stops)
		if c.change != nil {
			c.change(g, wants)
			g.Used = 0
			n.price(g, wants)
		}
		if got := n.Alone(g, wants); got != c.want {
			t.Errorf("%s (%s): %+v; want %+v", c.what, c.stops, got, c.want)
		}
		sum := int64(0)
		for i := range reflect.TypeFor[Alone]().NumField() {
			sum += reflect.ValueOf(c.want).Field(i).Int()
		}
		if int64(g.Cost) != sum {
			t.Errorf("%s (%s): the grip costs %d, its terms %d", c.what, c.stops, g.Cost, sum)
		}
	}
	// Three strings under a slant: string 2 lies at 12.4912 (worked out in package
	// steel), 49 cents from fret 12. What is off is paid by the whole cent.
	g, wants := at(t, n, "1:13,3:12")
	g.Strings[2], g.Frets[2], g.Acts[2] = 2, 12, Pluck
	if got, want := n.Alone(g, append(wants, Note{Key: 69, Kind: Begun})).Cents, int32(49*std.PerCent); got != want {
		t.Errorf("49 cents cost %d, want %d", got, want)
	}
}

// Going from grip to grip, half a second apart unless another time is said. By
// hand, in tenths of a millimetre: fret 5 lies at 600·(1 − 2^(−5/12)) = 1505, 7 at
// 1995, 12 at 3000. At half a second a tenth costs (100·1 + 1000·80/500)/1000 =
// 0.26, leaving 35 + 8/0.5 = 51 times L/(L − x): at fret 7 1.498, at 5 1.335, at 12 2.
func TestStep(t *testing.T) {
	n := seasoned(t)
	for _, c := range []struct {
		what, from, to string
		seconds        float64
		want           Between
		change         func(a, b *Grip, before, m *Due)
	}{
		{"staying", "1:5", "1:5", 0.5, Between{}, nil},
		{"up with the melody", "1:5", "1:7", 0.5, Between{Travel: 127 + 76, Travelled: 490}, nil},
		{"down with the melody", "1:7", "1:5", 0.5, Between{Travel: 127 + 68, Travelled: 490}, nil},
		{"an octave up", "1:0,2:0", "1:12", 0.5, Between{Lift: std.Lift + 9*std.LiftHigh, Rings: RingsBroken, Ring: std.RingBroken}, nil},
		{"sooner than the hand can", "1:5", "1:7", 0.02, Between{Travel: 1029 + 352, Fast: 0, Travelled: 490}, func(_, _ *Grip, _, m *Due) { m.reach = 490 }},
		{"and faster still", "1:5", "1:7", 0.02, Between{Travel: 1029 + 352, Fast: 130 * std.TooFast / 10, Travelled: 490}, func(_, _ *Grip, _, m *Due) { m.reach = 360 }},
		{"up while the melody falls", "1:5", "2:7", 0.5, Between{Travel: 127 + 76, Travelled: 490, Contrary: std.Contrary, Rings: RingsBroken, Ring: std.RingBroken}, nil},
		{"down while it rises", "2:7", "1:5", 0.5, Between{Travel: 127 + 68, Travelled: 490, Contrary: std.Contrary, Rings: RingsBroken, Ring: std.RingBroken}, nil},
		{"three frets up while the melody falls", "1:5", "2:8", 0.5, Between{Travel: 265, Travelled: 715, Contrary: std.Contrary + std.ContraryFar, Rings: RingsFree}, nil},
		{"a step plucked on the ringing string", "1:5", "1:7", 0.5, Between{Travel: 127 + 76, Travelled: 490, Again: 20}, func(_, _ *Grip, _, m *Due) { m.Wants[0].Kind, m.Wants[0].From, m.again = Stepped, 0, 20 }},
		{"and on another", "2:5", "1:5", 0.5, Between{}, func(_, _ *Grip, _, m *Due) { m.Wants[0].Kind, m.Wants[0].From, m.again = Stepped, 0, 20 }},
		{"while it is held nobody hears the move", "2:7", "1:5", 0.5, Between{Travel: 127 + 68, Travelled: 490}, func(_, b *Grip, _, m *Due) { m.Wants[0].Kind = Held; b.Acts[0] = On; m.Wants[0].From = -1 }},
		{"lifting low", "1:3", "1:0", 0.5, Between{Lift: std.Lift, Rings: RingsBroken, Ring: std.RingBroken}, nil},
		{"lifting at the seventh fret", "1:7", "1:0", 0.5, Between{Lift: std.Lift + 3*std.LiftHigh, Rings: RingsBroken, Ring: std.RingBroken}, nil},
		{"laying at the seventh, a ringing open string under the steel", "2:0", "1:7", 0.5, Between{Lift: std.Lift + 3*std.LiftHigh, Rings: RingsBroken, Ring: std.RingBroken}, nil},
		{"leaning", "1:12", "1:12,3:13", 0.5, Between{Travel: 21 + 104, Travelled: 84, Lean: std.Lean + 431*std.PerDegree/10}, nil},
		{"from lying across to touching three strings", "1:3,2:3,3:3", "1:3,2:3,3:3,4:0", 0.5, Between{Lift: std.Hop}, nil},
		{"leaning a steel that is laid down is part of laying it", "1:0,2:0", "1:13,3:12", 0.5, Between{Lift: std.Lift + 9*std.LiftHigh}, func(_, _ *Grip, before, m *Due) { m.Wants[0].Key = before.Wants[0].Key }},
		{"turning from one slant to the other", "1:13,3:12", "1:12,3:13", 0.5, Between{Lean: std.Lean + (429+431)*std.PerDegree/10}, func(_, _ *Grip, before, m *Due) { m.Wants[0].Key = before.Wants[0].Key }},
		{"a slant that leans on as it was", "1:13,3:12", "1:13,3:12,5:0", 0.5, Between{}, nil},
		{"a bender taken up breaks what would ring on", "1:5", "2:5B", 0.5, Between{Bender: std.BenderPalm, Rings: RingsBroken, Ring: std.RingBroken}, nil},
		{"a tied note let go", "1:5,2:5", "1:5", 0.5, Between{Cut: std.CutShort},
			func(_, b *Grip, _, m *Due) { m.Wants = append(m.Wants, Note{Kind: Tied, From: 1}) }},
		{"taking up a palm bender", "2:5", "2:5B", 0.5, Between{Bender: std.BenderPalm}, nil},
		{"letting a pedal go and taking a palm bender up", "4:5C,1:5", "3:5A,1:5", 0.5, Between{Bender: std.BenderPalm + std.BenderMove, Rings: RingsFree}, func(_, _ *Grip, before, m *Due) { m.Wants[0].Key = before.Wants[0].Key }},
		{"a third that rings on", "2:5", "1:5", 0.5, Between{}, nil},
		{"a step left ringing under the same steel", "1:5", "2:5", 0.5, Between{Rings: RingsClash, Ring: std.Clash}, func(_, _ *Grip, before, m *Due) { m.Wants[0].Key = before.Wants[0].Key - 2 }},
		{"an open string rings into what is stopped elsewhere", "1:0", "2:3,1:0", 0.5, Between{Rings: RingsClash, Ring: std.Clash, Lift: std.Lift}, func(_, b *Grip, before, m *Due) { m.Wants[0].Key = before.Wants[0].Key - 2 }},
		{"three semitones apart don't clash", "1:5", "2:5", 0.5, Between{}, func(_, _ *Grip, before, m *Due) { m.Wants[0].Key = before.Wants[0].Key + 3 }},
		{"a held note let go", "1:5,2:5", "1:5", 0.5, Between{Cut: std.CutShort},
			func(_, b *Grip, _, m *Due) { m.Wants = append(m.Wants, Note{Kind: Held, From: 1}) }},
		{"one let go before is not let go again", "1:5", "1:5", 0.5, Between{},
			func(_, b *Grip, before, m *Due) {
				before.Wants = append(before.Wants, Note{Kind: Held, From: -1})
				m.Wants = append(m.Wants, Note{Kind: Held, From: 1})
			}},
	} {
		a, wa := at(t, n, c.from)
		b, wb := at(t, n, c.to)
		before, m := &Due{Wants: wa, Pace: NewPace(c.seconds, n.Limits)}, &Due{Wants: wb, Pace: NewPace(c.seconds, n.Limits)}
		if c.change != nil {
			c.change(a, b, before, m)
		}
		got, ok := n.Step(a.Hand, a, b, before, m)
		if !ok || got != c.want {
			t.Errorf("%s (%s to %s): %+v, possible %v; want %+v", c.what, c.from, c.to, got, ok, c.want)
		}
		w := c.want
		if sum := w.Travel + w.Fast + w.Contrary + w.Lean + w.Lift + w.Bender + w.Ring + w.Cut + w.Again; got.Sum() != sum {
			t.Errorf("%s: %d in all, want %d", c.what, got.Sum(), sum)
		}
	}
}

// What can follow what: a note that goes on keeps its string and its contact, a
// gesture needs its string sounding.
func TestStepPossible(t *testing.T) {
	n := seasoned(t)
	for _, c := range []struct {
		what, from, to string
		kind           Kind
		act            Act
		want           bool
	}{
		{"held where it is", "1:5", "1:5", Held, On, true},
		{"held at another fret", "1:5", "1:7", Held, On, false},
		{"held on another string", "1:5", "2:5", Held, On, false},
		{"held open", "1:0", "1:0", Tied, On, true},
		{"a glide of two semitones", "1:5", "1:7", Glided, Glide, true},
		{"a glide on another string", "1:5", "2:5", Glided, Glide, false},
		{"a glide from an open string", "1:0", "1:2", Glided, Glide, false},
		{"a glide to an open string", "1:2", "1:0", Glided, Glide, false},
		{"a glide to where it is", "1:5", "1:5", Glided, Glide, false},
		{"a glide by a bender", "2:5", "2:5B", Glided, Glide, true},
		{"a glide by a bender on an open string", "2:0", "2:0B", Glided, Glide, true},
		{"a hammer-on from the open string", "1:0", "1:2", Slurred, Hammer, true},
		{"a hammer-on from a stopped one", "1:5", "1:7", Slurred, Hammer, false},
		{"a hammer-on on another string", "2:0", "1:2", Slurred, Hammer, false},
		{"a pull-off to the open string", "1:2", "1:0", Slurred, Pull, true},
		{"a pull-off from the open string", "1:0", "1:0", Slurred, Pull, false},
		{"a pull-off on another string", "2:2", "1:0", Slurred, Pull, false},
		{"a slurred slide", "1:5", "1:7", Slurred, Glide, true},
		{"a grace slid into its note", "1:5", "1:7", Graced, Glide, true},
		{"a step slid to", "1:5", "1:7", Stepped, Glide, true},
		{"a step slid to from the open string", "1:0", "1:2", Stepped, Glide, false},
		{"a step pulled off to", "1:2", "1:0", Stepped, Pull, true},
		{"plucked, whatever came before", "1:5", "2:7", Begun, Pluck, true},
		{"a step slid to on another string than the first", "2:5", "2:7", Stepped, Glide, true},
		{"a step slid to would drag along what rings beside it", "1:5,2:5", "1:7", Stepped, Glide, false},
		{"a step plucked drags nothing", "1:5,2:5", "1:7", Stepped, Pluck, true},
		{"nor does a step that is left out", "1:5,2:5", "1:7", Stepped, Gone, true},
		{"a slur that the tune writes may", "1:5,2:5", "1:7", Slurred, Glide, true},
	} {
		a, wa := at(t, n, c.from)
		b, wb := at(t, n, c.to)
		wb[0].Kind, wb[0].From, b.Acts[0] = c.kind, 0, c.act
		before, m := &Due{Wants: wa}, &Due{Wants: wb, Pace: NewPace(0.5, n.Limits)}
		if _, ok := n.Step(a.Hand, a, b, before, m); ok != c.want {
			t.Errorf("%s (%s to %s): possible %v", c.what, c.from, c.to, ok)
		}
	}
	// A seasoned player glides 80 semitones a second: 4 in a twentieth.
	for to, want := range map[string]bool{"1:9": true, "1:10": false} {
		a, wa := at(t, n, "1:5")
		b, wb := at(t, n, to)
		wb[0].Kind, wb[0].From, b.Acts[0] = Glided, 0, Glide
		if _, ok := n.Step(a.Hand, a, b, &Due{Wants: wa}, &Due{Wants: wb, Pace: NewPace(0.05, n.Limits)}); ok != want {
			t.Errorf("a glide from 5 to %s in 50 ms: possible %v", to, ok)
		}
	}
}

// Two slants may each have a string within tolerance of one fret, one flat and one
// sharp: what is held there would be heard to move, so it can't be held. The fret at
// which each has the string is that of the straight line through its ends
// (steel.Geometry.Contact).
func TestHeldUnderTwoSlants(t *testing.T) {
	r := rigtest.Builtin(t, "lap8-c13")
	n := NewNeck(r, LimitsOf(Steady), Region{})
	flat, wa := at(t, n, "3:7 4:7 8:6")
	for _, c := range []struct {
		to   string
		want bool
	}{{"1:8 4:7 8:6", false}, {"4:7 8:6", true}, {"3:7 4:7 8:6", true}} {
		b, wb := at(t, n, c.to)
		j := slices.Index(b.Strings[:], 4)
		wb[j].Kind, wb[j].From, b.Acts[j] = Held, 1, On
		apart := 100 * (n.Geometry.Contact(b.Placement, 4) - n.Geometry.Contact(flat.Placement, 4))
		if (apart < tab.CentsAllowed) != c.want {
			t.Fatalf("%s moves string 4 by %.1f cents", c.to, apart)
		}
		if _, ok := n.Step(flat.Hand, flat, b, &Due{Wants: wa}, &Due{Wants: wb, Pace: NewPace(0.5, n.Limits)}); ok != c.want {
			t.Errorf("held from 3:7 4:7 8:6 to %s, %.1f cents on: possible %v", c.to, apart, ok)
		}
	}
}

// Time is reckoned from 40 ms to 2 s, in whole milliseconds; a steady player's
// steel travels 900 mm/s, glides 40 semitones a second and hammers from 0.12 s.
func TestPace(t *testing.T) {
	lim := LimitsOf(Steady)
	for _, c := range []struct {
		seconds float64
		want    Pace
	}{
		{0.5, Pace{MS: 500, Seconds: 0.5, perMM: 100 + 160, reach: 4500, Leave: 35 + 16, glides: 20, Hammer: true, again: 20}},
		{0.12, Pace{MS: 120, Seconds: 0.12, perMM: 100 + 666, reach: 1080, Leave: 35 + 66, glides: 4, Hammer: true, again: 83}},
		{0.119, Pace{MS: 119, Seconds: 0.119, perMM: 100 + 672, reach: 1071, Leave: 35 + 67, glides: 4, Hammer: false, again: 84}},
		{0, Pace{MS: 40, Seconds: 0.04, perMM: 100 + 2000, reach: 360, Leave: 35 + 200, glides: 1, Hammer: false, again: 250}},
		{-1, Pace{MS: 40, Seconds: 0.04, perMM: 100 + 2000, reach: 360, Leave: 35 + 200, glides: 1, Hammer: false, again: 250}},
		{60, Pace{MS: 2000, Seconds: 2, perMM: 100 + 40, reach: 18000, Leave: 35 + 4, glides: 80, Hammer: true, again: 5}},
	} {
		if got := NewPace(c.seconds, lim); got != c.want {
			t.Errorf("%g s: %+v; want %+v", c.seconds, got, c.want)
		}
	}
	if lim.Hammer = 0; NewPace(1, lim).Hammer {
		t.Error("who can't hammer hammers on")
	}
}

// The prices that an estimate shares with the search.
func TestSharedPrices(t *testing.T) {
	for _, c := range []struct {
		what      string
		got, want int32
	}{
		{"neighbouring strings", std.SkipPrice(2, 3), 0},
		{"one string between", std.SkipPrice(3, 1), 0},
		{"two between", std.SkipPrice(1, 4), std.Skip},
		{"four between", std.SkipPrice(6, 1), 3 * std.Skip},
		{"lifting at the third", std.LiftPrice(3), std.Lift},
		{"lifting at the fourth", std.LiftPrice(4), std.Lift + std.LiftHigh},
		{"a thin string", std.ThickPrice(3, 4, 6, 12), 0},
		{"the first of the lower half", std.ThickPrice(4, 4, 6, 8), std.Dull},
		{"the first thick one", std.ThickPrice(5, 4, 6, 7), std.Thick},
		{"half a cent", WholeCents(0.5), 1},
		{"less", WholeCents(-0.4), 0},
		{"flat", WholeCents(-2.6), 3},
	} {
		if c.got != c.want {
			t.Errorf("%s: %d, want %d", c.what, c.got, c.want)
		}
	}
	for strings, want := range map[int]int{3: 2, 6: 4, 8: 5, 10: 6} {
		if got := Thin(strings); got != want {
			t.Errorf("of %d strings the first %d suit a melody, want %d", strings, got, want)
		}
	}
}

// The steel that does not lean is at rest wherever its kinds are priced: a kind
// without a price would come first.
func TestEveryKindHasItsPrice(t *testing.T) {
	n := seasoned(t)
	met := map[steel.Kind]bool{}
	for _, c := range []struct {
		stops string
		free  bool
	}{{"1:0", true}, {"1:5", true}, {"1:13,3:12", false}, {"1:12,3:13", false}, {"1:13,2:13,3:12", false}, {"1:3,2:0", false}} {
		g, wants := at(t, n, c.stops)
		met[g.Kind] = true
		if a := n.Alone(g, wants); (a.Slant+a.Beside == 0) != c.free {
			t.Errorf("%s, %v: slant %d, beside %d", c.stops, g.Kind, a.Slant, a.Beside)
		}
	}
	if len(met) != 6 {
		t.Errorf("only %d kinds of placement were met: %v", len(met), met)
	}
}
