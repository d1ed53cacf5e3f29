package sound

import (
	"math"
	"testing"

	"lapwright/rig/rigtest"
	"lapwright/tab"
	"lapwright/tune"
)

// ticker is a band that strikes one sample a beat, 0.1 on the left and 0.05 on the right.
type ticker struct {
	strikes map[int]bool
	now     int
}

func (k *ticker) Begin(*tab.Tab, Options) (Players, error) {
	return &ticker{strikes: map[int]bool{}}, nil
}

func (k *ticker) Play(p *tune.Performance, at func(tune.Ticks) int, from, now int) {
	k.now = now
	for beat := tune.Ticks(0); beat < p.Clock.Len(); beat += tune.Whole / 4 {
		if n := at(beat); n >= from {
			k.strikes[n-from+now] = true
		}
	}
}

func (k *ticker) Add(left, right []float64) {
	for i := range left {
		if k.strikes[k.now+i] {
			left[i], right[i] = left[i]+0.1, right[i]+0.05
		}
	}
	k.now += len(left)
}

// struckIn lists the samples of a channel that are not silent.
func struckIn(x []float32) (at []int) {
	for i, v := range x {
		if v != 0 {
			at = append(at, i)
		}
	}
	return at
}

// The band's beats come when the lead's do, at any tempo and after a count-in, on both sides as it stands; it goes
// down with the loudness that is asked for, decibel by decibel, and alone it is what it is beside the lead.
func TestBandIsHeardInTime(t *testing.T) {
	tb := makeTab(t, rigtest.Builtin(t, "reso-open-g"), 120, note{str: 1, fret: 5, len: 2}, note{str: 2, fret: 5, len: 2})
	for _, c := range []struct {
		o     Options
		first float64 // seconds
		apart float64
		level float64
	}{
		{Options{}, 0, 0.5, 0.1},
		{Options{Speed: 0.5}, 0, 1, 0.1},
		{Options{CountIn: 1, Speed: 2}, 1, 0.25, 0.1},
		{Options{Loudness: DefaultLoudness - 20}, 0, 0.5, 0.01},
	} {
		c.o.Dry, c.o.Band = true, &ticker{}
		s, err := RenderStems(tb, c.o)
		if err != nil {
			t.Fatal(err)
		}
		alone, err := RenderBand(tb, c.o)
		if err != nil {
			t.Fatal(err)
		}
		if len(alone.Channels[0]) != len(s.Lead.Channels[0]) {
			t.Errorf("%+v: alone it has %d samples, beside the lead %d", c.o, len(alone.Channels[0]), len(s.Lead.Channels[0]))
		}
		for side, want := range []float64{c.level, c.level / 2} {
			for _, a := range []*Audio{s.Backing, alone} {
				x := a.Channels[side]
				at := struckIn(x)
				if len(at) != 4 {
					t.Fatalf("speed %g: %d beats are heard, want 4: %d", c.o.Speed, len(at), at)
				}
				for k, n := range at {
					if due := (c.first + float64(k)*c.apart) * Rate; math.Abs(float64(n)-due) > 1 || math.Abs(float64(x[n])/want-1) > 0.05 {
						t.Errorf("speed %g, side %d: beat %d of %.4f is at sample %d, want %.4f at %.0f", c.o.Speed, side, k+1, x[n], n, want, due)
					}
				}
			}
		}
		k := struckIn(s.Backing.Channels[0])[2]
		want := s.Lead.Channels[0][k] + s.Click.Channels[0][k] + s.Backing.Channels[0][k]
		if got := s.Mix().Channels[0][k]; math.Abs(float64(got-want)) > 1e-6 {
			t.Errorf("together the third beat is %g, want %g", got, want)
		}
	}
}

// Who stops the band's sounding alone is told so, and how far it has come is told from 0 to 1.
func TestBandAloneCanBeStopped(t *testing.T) {
	told := 0.0
	o := Options{Band: &ticker{}, Progress: func(done float64) bool { told = done; return false }}
	if _, err := RenderBand(exercise(t, 4), o); err != ErrStopped || !(told > 0 && told < 1) {
		t.Errorf("stopped at %g: %v", told, err)
	}
}

// hum is a band that sounds the same all the time.
type hum struct{}

func (h *hum) Begin(*tab.Tab, Options) (Players, error) { return &hum{}, nil }

func (h *hum) Play(*tune.Performance, func(tune.Ticks) int, int, int) {}

func (h *hum) Add(left, right []float64) {
	for i := range left {
		left[i], right[i] = 0.2, 0.2
	}
}

// At the end of a recording the band fades with the lead, evenly in half a cosine and to nothing.
func TestBandFadesAtTheEnd(t *testing.T) {
	alone, err := RenderBand(exercise(t, 1), Options{Band: &hum{}})
	if err != nil {
		t.Fatal(err)
	}
	x := alone.Channels[0]
	last := sampleAt(fade)
	for i, v := range x {
		want := 0.2
		if k := i - (len(x) - last); k >= 0 {
			want *= math.Pow(math.Cos(math.Pi*float64(k+1)/float64(2*last)), 2)
		}
		if math.Abs(float64(v)-want) > 1e-6 {
			t.Fatalf("sample %d of %d is %g, want %g", i, len(x), v, want)
		}
	}
}
