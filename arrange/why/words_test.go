package why_test

import (
	"strings"
	"testing"

	"lapwright/arrange/why"
	"lapwright/grip"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/steel"
)

// TestWordsSayWhatTheHandsDo: grips made for it, and what a player is told of them.
func TestWordsSayWhatTheHandsDo(t *testing.T) {
	n := grip.NewNeck(rigtest.Builtin(t, "pedal10-e9"), grip.LimitsOf(grip.Steady), grip.Region{})
	name := func(i int) string { return n.Rig.Benders[i].Name }
	lay := func(k steel.Kind, first, last int8, low, high float64) *grip.Grip {
		return &grip.Grip{Place: &grip.Place{Placement: steel.Placement{Kind: k, First: first, Last: last, FirstFret: low, LastFret: high}}}
	}
	straight, lifted := lay(steel.Straight, 1, 10, 5, 5), &grip.Grip{Place: &grip.Place{}}
	lean := func(g *grip.Grip, tenths int32) *grip.Grip { g.Lean = tenths; return g }
	bent := func(benders rig.BenderSet) *grip.Grip {
		g := lay(steel.Straight, 1, 10, 5, 5)
		g.Benders = benders
		return g
	}
	acts := func(a ...grip.Act) *grip.Grip {
		g := lay(steel.Straight, 1, 10, 5, 5)
		for i := range a {
			g.Acts[i], g.Strings[i], g.Frets[i] = a[i], int8(i+1), 5
		}
		return g
	}
	off := acts(grip.Pluck, grip.Pluck, grip.Pluck)
	off.Cents[0], off.Cents[1], off.Cents[2] = -3, 0.4, 7.6
	open := acts(grip.Pluck, grip.Pluck)
	open.Frets[0], open.Strings[1] = 0, 0
	open.Cents[0], open.Cents[1] = 9, 9
	single := acts(grip.Pluck)
	single.Strings[1] = 0
	hand := func(thumb, index, middle int8) grip.Hand {
		return grip.Hand{Thumb: thumb, ThumbEnd: thumb, Index: index, Middle: middle}
	}
	if straight.Slanted() || lifted.Kind != steel.Lifted {
		t.Fatal("the grips are not what they are called")
	}
	for _, c := range []struct {
		part     why.Part
		from, to *grip.Grip
		kinds    []grip.Kind
		a, b     grip.Hand
		rings    grip.Ringing
		want     string
	}{
		{part: why.Slant, to: lean(lay(steel.Forward, 1, 3, 5, 6), -234), want: "the steel leaning 23°"},
		{part: why.Lean, from: lean(lay(steel.Forward, 1, 3, 5, 6), 200), to: lean(lay(steel.Reverse, 1, 3, 6, 5), -140), want: "turned the steel by 34°"},
		{part: why.High, to: lay(steel.Forward, 1, 3, 17, 18), want: "high on the neck, at fret 18"},

		{part: why.Cents, to: off, kinds: []grip.Kind{grip.Begun, grip.Begun, grip.Begun}, want: "string 1 leans 3 cents flat, string 3 leans 8 cents sharp"},
		{part: why.Cents, to: open, kinds: []grip.Kind{grip.Begun, grip.Begun}, want: ""}, // open, and not played

		{part: why.Gesture, to: acts(grip.Glide), kinds: []grip.Kind{grip.Slurred}, want: "slid to"},
		{part: why.Gesture, to: acts(grip.Glide), kinds: []grip.Kind{grip.Glided}, want: "reached by a glide"},
		{part: why.Gesture, to: acts(grip.Hammer), kinds: []grip.Kind{grip.Slurred}, want: "hammered on"},
		{part: why.Gesture, to: acts(grip.Pull), kinds: []grip.Kind{grip.Slurred}, want: "pulled off"},
		{part: why.Gesture, to: acts(grip.Pluck), kinds: []grip.Kind{grip.Slurred}, want: "plucked under a slur"},
		{part: why.Gesture, to: acts(grip.Pluck), kinds: []grip.Kind{grip.Graced}, want: "plucked after its grace"},

		{part: why.Harmony, to: acts(grip.Pluck, grip.Pluck), kinds: []grip.Kind{grip.Begun, grip.Offered}, want: "harmony other than the nearest asked for"},
		{part: why.Harmony, to: single, kinds: []grip.Kind{grip.Begun, grip.Offered}, want: "left single where harmony was asked for"},

		{part: why.Beside, to: lay(steel.Nose, 3, 3, 5, 5), want: "the tip of the steel alone, the other strings open"},
		{part: why.Beside, to: lay(steel.Forward, 1, 3, 5, 6), want: "open strings beside the slant"},
		{part: why.Beside, to: lay(steel.Straight, 2, 10, 5, 5), want: "the steel drawn back from open strings on the far side"},
		{part: why.Beside, to: lay(steel.Straight, 1, 4, 5, 5), want: "the heel of the steel held off open strings"},

		{part: why.Bender, to: bent(0b101), want: "with " + name(0) + " and " + name(2)},
		{part: why.BenderMove, from: bent(0), to: bent(0b11), want: "engaged " + name(0) + " and " + name(1)},
		{part: why.BenderMove, from: bent(0b11), to: bent(0b10), want: "let go of " + name(0)},
		{part: why.BenderMove, from: bent(0b11), to: bent(0b110), want: "let go of " + name(0) + ", engaged " + name(2)},

		{part: why.Lift, from: straight, to: lifted, want: "lifted the steel"},
		{part: why.Lift, from: lifted, to: straight, want: "laid the steel again"},
		{part: why.Lift, from: lay(steel.Straight, 1, 2, 5, 5), to: straight, want: "drew the steel over other strings"},

		{part: why.Ring, to: straight, rings: grip.RingsClash, want: "the note before must be damped, it would clash"},
		{part: why.Ring, to: straight, rings: grip.RingsBroken, want: "the note before cannot ring on"},

		{part: why.Picking, a: hand(5, 0, 0), b: hand(5, 0, 0), want: "thumb again after 0.25 s"},
		{part: why.Picking, a: hand(0, 3, 0), b: hand(0, 4, 0), want: "index again after 0.25 s"},
		{part: why.Picking, a: hand(6, 0, 2), b: hand(0, 0, 3), want: "middle again after 0.25 s"},
		{part: why.Picking, a: hand(6, 3, 2), b: hand(6, 3, 2), want: "thumb again after 0.25 s, index again after 0.25 s, middle again after 0.25 s"},
		{part: why.Picking, a: hand(3, 0, 0), b: hand(0, 5, 0), want: "fingers cross"}, // the index past the thumb
		{part: why.Picking, a: hand(0, 5, 0), b: hand(3, 0, 0), want: "fingers cross"},
		{part: why.Picking, a: hand(5, 0, 0), b: hand(0, 3, 0), want: ""}, // a neighbour but one is no skip
		{part: why.Picking, a: hand(5, 0, 0), b: hand(0, 2, 0), want: "skipped from string 5 to 2"},
		{part: why.Picking, a: hand(0, 0, 1), b: hand(6, 0, 0), want: "skipped from string 1 to 6"},
		{part: why.Picking, a: hand(5, 0, 0), b: hand(0, 0, 0), want: ""}, // nothing is plucked
		{part: why.Picking, a: hand(0, 0, 0), b: hand(0, 0, 4), want: ""},
	} {
		due := &grip.Due{Pace: grip.NewPace(0.25, n.Limits)}
		for _, k := range c.kinds {
			due.Wants = append(due.Wants, grip.Note{Kind: k})
		}
		m := why.Move{To: c.to, Hand: c.b, Due: due, From: c.from, FromHand: c.a}
		got := m.Words(n, c.part, &grip.Between{Rings: c.rings})
		if got != c.want && (c.part != why.Slant || !strings.HasSuffix(got, c.want)) {
			t.Errorf("%s: %q, want %q", c.part, got, c.want)
		}
	}
}

// TestSpeedIsTold: 90 mm in 0.25 s are 360 mm/s, and a steady player's bound is 900.
func TestSpeedIsTold(t *testing.T) {
	n := grip.NewNeck(rigtest.Builtin(t, "reso-open-g"), grip.LimitsOf(grip.Steady), grip.Region{})
	g := &grip.Grip{Place: &grip.Place{}}
	m := why.Move{To: g, From: g, Due: &grip.Due{Pace: grip.NewPace(0.25, n.Limits)}}
	if got, want := m.Words(n, why.Speed, &grip.Between{Travelled: 900}), "360 mm/s, faster than the level's 900"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}
