package listen

import (
	"math"
	"slices"
	"testing"

	"lapwright/listen/yin"
	"lapwright/tab"
)

// What may sound while a note does, plucked at second 3 and over at 4: what begins before it is over and what rings on
// from at most 2.5 s before and until 0.2 s before. What wasn't found counts only where it was to be plucked together
// with it, which is up to a thousandth of a second before.
func TestWhatElseSounds(t *testing.T) {
	at := 3.0
	for _, c := range []struct {
		what         string
		string       int
		at, until    float64
		found        bool
		with, before []float64
	}{
		{"together with it", 2, 3, 4, true, []float64{201}, nil},
		{"on the same string", 1, 3, 4, true, nil, nil},
		{"together, not found", 2, 3, 4, false, []float64{200}, nil},
		{"when it is over", 2, 4, 5, true, []float64{201}, nil},
		{"later", 2, 4.5, 5, true, nil, nil},
		{"a thousandth before", 2, at - 0.001, 4, true, []float64{201}, nil},
		{"more", 2, at - 0.002, 4, true, nil, []float64{201}},
		{"more, not found", 2, at - 0.002, 4, false, nil, nil},
		{"2.5 s before", 2, 0.5, 4, true, nil, []float64{201}},
		{"earlier", 2, 0.4375, 4, true, nil, nil},
		{"over 0.2 s before", 2, 1, at - 0.2, true, nil, []float64{201}},
		{"over earlier", 2, 1, 2.75, true, nil, nil},
	} {
		n := &note{want: &want{pluck: &tab.Pluck{String: 1}}, at: at, until: 4}
		o := &note{want: &want{pluck: &tab.Pluck{String: c.string}, hz: 200}, at: c.at, until: c.until, found: c.found, hz: 201}
		got := (&measurer{notes: []*note{o, n}}).others(n)
		if !slices.Equal(got.with, c.with) || !slices.Equal(got.before, c.before) {
			t.Errorf("%s: with it %v, before %v; want %v, %v", c.what, got.with, got.before, c.with, c.before)
		}
	}
}

// How far the next partial of something else lies, in hertz. A partial from before within 2 % counts as the same tone:
// 51 Hz lies 1 Hz from 50, which is 2 %.
func TestRoomBesideAPartial(t *testing.T) {
	for _, c := range []struct {
		what         string
		with, before []float64
		f, want      float64
	}{
		{"alone", nil, nil, 50, 25},
		{"plucked with it", []float64{51}, nil, 50, 1},
		{"the octave above, whose first is the nearest", []float64{70}, nil, 50, 20},
		{"twelve below: its fourth", []float64{12}, nil, 50, 2},
		{"the same tone from before", nil, []float64{51}, 50, 25},
		{"another from before", nil, []float64{52}, 50, 2},
		{"one above the other", []float64{60}, []float64{54}, 50, 4},
	} {
		if got := (others{c.with, c.before}).room(c.f, 25); got != c.want {
			t.Errorf("%s: %g Hz, want %g", c.what, got, c.want)
		}
	}
	// The fourth partial of 100 Hz is asked, the fifth is not.
	if got := (others{with: []float64{405}}).closest(100); got != 5 {
		t.Errorf("405 Hz beside 400: %g Hz of room, want 5", got)
	}
	if got := (others{with: []float64{508}}).closest(100); got != 100 {
		t.Errorf("508 Hz beside 500: %g Hz of room, want 100", got)
	}
}

// A string is followed in short windows where its first partials have more than 26.67 Hz of room, 3.2/0.12, or where
// nothing else sounds; a window of 1/16 s parts what lies 48 Hz off, three widths of its line, and no nearer.
func TestWhenStringsCanBeTold(t *testing.T) {
	limit := 3.2 / 0.12
	for _, c := range []struct {
		f    float64
		o    others
		want bool
	}{
		{limit, others{with: []float64{1000}}, false}, {27, others{with: []float64{1000}}, true},
		{27, others{with: []float64{1000}, before: []float64{30}}, false}, {limit, others{before: []float64{1000}}, false}, {20, others{}, true},
	} {
		if got := c.o.clear(c.f); got != c.want {
			t.Errorf("%g Hz beside %+v: clear %v, want %v", c.f, c.o, got, c.want)
		}
	}
	for hz, near := range map[float64]bool{432: false, 433: true} {
		if got := (others{with: []float64{hz}}).tooNear(480, 480, 0.0625); got != near {
			t.Errorf("%g Hz beside 480: too near %v, want %v", hz, got, near)
		}
		n := &note{after: []laterPluck{{3, hz}, {2, hz}}}
		until := math.Inf(1)
		if near {
			until = 2 - 0.03125 // the window ends when the earlier of them is plucked
		}
		if got := n.parted(480, 0.0625)[0]; got != until {
			t.Errorf("480 Hz alone until %g, want %g: %g Hz is plucked later", got, until, hz)
		}
	}
}

// What sounds on as before a pluck says nothing of it, and counts a thousandth where there is nothing else; what is new
// counts whole, and so does all of what the steel is carried to.
func TestTrustInPartials(t *testing.T) {
	const rate, f = 8000.0, 1300.0 // its second partial is above all that count
	sine := func(from float64) *Take {
		x := make([]float64, 8000)
		for i := range x {
			if float64(i) >= from*rate {
				x[i] = 0.25 * math.Sin(2*math.Pi*f*float64(i)/rate)
			}
		}
		return &Take{rate: rate, inRate: rate, x: x, n: len(x)}
	}
	for _, c := range []struct {
		what        string
		from        float64
		begun       bool
		least, most float64
	}{
		{"as before", 0, true, 1e-3, 1e-3}, {"new", 0.5, true, 0.99, 1}, {"glided into", 0, false, 1, 1},
	} {
		take := sine(c.from)
		got := (&measurer{take: take, look: newLook(rate)}).trust(&note{want: &want{begun: c.begun}, at: 0.5}, f, 0.1)
		if len(got) != 1 || got[0] < c.least || got[0] > c.most {
			t.Errorf("%s: %v, want one from %g to %g", c.what, got, c.least, c.most)
		}
	}
}

// The nearest candidate within 30 cents of what the line goes through is its pitch; else that stays.
func TestNearestCandidate(t *testing.T) {
	for _, c := range []struct {
		hz   []float64
		want float64
	}{{nil, 440}, {[]float64{441}, 441}, {[]float64{446, 443}, 443}, {[]float64{443, 446}, 443}, {[]float64{437, 446}, 437}, {[]float64{449, 431}, 440}} {
		var all []yin.Candidate
		for _, hz := range c.hz {
			all = append(all, yin.Candidate{Hz: hz, Chance: 1})
		}
		if got := nearestCandidate(all, 440); got != c.want {
			t.Errorf("of %v: %g, want %g", c.hz, got, c.want)
		}
	}
}
