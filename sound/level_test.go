package sound

import (
	"math"
	"slices"
	"testing"

	"lapwright/sound/click"
	"lapwright/sound/loudness"
)

// bursts are loud crackles and a click track on top of a tone: what a limiter
// has to work on.
func bursts() (lead, tick *Audio) {
	lead = sine(2, 220, 0.25, 0, 2)
	r := noise(77)
	for _, c := range lead.Channels {
		for k := range 40 {
			at := 500 + k*2300
			for i := range 90 {
				c[at+i] += float32(3 * r.next() * math.Exp(-float64(i)/25))
			}
		}
	}
	tick = &Audio{Channels: [][]float32{make([]float32, lead.Len())}}
	for at := 700; at+click.Length < lead.Len(); at += 20000 {
		for i := range click.Length {
			tick.Channels[0][at+i] = float32(click.Sample(i, 0))
		}
	}
	return lead, tick
}

// mastered brings lead and click to a gain and under the ceiling, in pieces of a size.
func mastered(lead, tick *Audio, gain float64, size int) *Block {
	m := newMastering(gain, Block{})
	n := lead.Len()
	in, out := &Block{}, &Block{}
	in.resize(n + loudness.Delay)
	out.resize(n + loudness.Delay)
	copy(in.Left, lead.Channels[0])
	copy(in.Right, lead.Channels[1])
	copy(in.Click, tick.Channels[0])
	for at := 0; at < in.Len(); at += size {
		end := min(at+size, in.Len())
		piece, to := in.slice(at, end), out.slice(at, end)
		to.copy(m.add(&piece))
	}
	late := out.slice(loudness.Delay, out.Len())
	return &late
}

// However tall the peaks, none is left above the ceiling in lead, click or
// their sum, and the lead comes as near to its loudness as the limiter's bound lets it.
func TestLimiter(t *testing.T) {
	lead, tick := bursts()
	var l leveller
	l.add(&Block{Left: lead.Channels[0], Right: lead.Channels[1], Click: tick.Channels[0], Contact: make([]float32, lead.Len())})
	for _, more := range []float64{0, 12} {
		out := mastered(lead, tick, l.gain(DefaultLoudness)+more, 1000)
		sum := &Audio{}
		for _, c := range [][]float32{out.Left, out.Right} {
			mixed := slices.Clone(c)
			for i, v := range out.Click {
				mixed[i] += v
			}
			sum.Channels = append(sum.Channels, mixed)
		}
		for what, a := range map[string]*Audio{"lead": {Channels: [][]float32{out.Left, out.Right}}, "click": {Channels: [][]float32{out.Click}}, "sum": sum} {
			if _, peak := Loudness(a); peak > Ceiling {
				t.Errorf("%s, %g dB more than asked: %.3f dBTP", what, more, peak)
			}
		}
		lufs, peak := Loudness(&Audio{Channels: [][]float32{out.Left, out.Right}})
		if more == 0 && (lufs > DefaultLoudness+0.1 || peak < Ceiling-1.5) {
			t.Errorf("the lead comes out at %.2f LUFS and %.2f dBTP", lufs, peak)
		}
	}
}

// The gain is one and the same for pieces of any size, and never jumps: over a
// millisecond it changes by less than 6 dB.
func TestLimiterIsSmooth(t *testing.T) {
	lead, _ := bursts()
	x := lead.Channels[0]
	var gain []float32
	for _, size := range []int{1000, 1, 64, 479, 4096} {
		l := loudness.NewLimiter(1, Ceiling)
		var got []float32
		for at := 0; at < len(x); at += size {
			got = append(got, l.Add(x[at:min(at+size, len(x))])...)
		}
		if gain == nil {
			gain = got
		} else if !slices.Equal(gain, got) {
			t.Errorf("the gain differs in pieces of %d", size)
		}
	}
	if slices.Min(gain) > 0.9 {
		t.Fatal("there is nothing to limit")
	}
	for i := 48; i < len(gain); i++ {
		if r := gain[i] / gain[i-48]; r < 0.5 || r > 2 || gain[i] <= 0 || gain[i] > 1 {
			t.Fatalf("the gain goes from %g to %g in a millisecond", gain[i-48], gain[i])
		}
	}
}

// Whatever of instrument, click and band somebody listens to stays under the ceiling: of every mix there is a moment at which
// it alone is too loud, since the other parts swing the other way.
func TestEveryMixStaysUnderTheCeiling(t *testing.T) {
	const burst, apart = 960, 9600
	part := func(n int) []float32 { return make([]float32, n) }
	n := 2 * 8 * apart
	in := Block{Left: part(n), Right: part(n), Click: part(n), Contact: part(n), Backing: [2][]float32{part(n), part(n)}}
	for k := range 16 { // side 0 or 1; lead, band and click in the mix or against it
		side, mix := k/8, k%8
		for i := range burst {
			v := float32(0.9 * math.Sin(2*math.Pi*1000*float64(i)/Rate))
			for p, x := range [][]float32{[][]float32{in.Left, in.Right}[side], in.Backing[side], in.Click} {
				if mix>>p&1 == 1 {
					x[k*apart+i] = v
				} else {
					x[k*apart+i] = -0.4 * v
				}
			}
		}
	}
	m := newMastering(0, Block{Backing: [2][]float32{{}, {}}})
	out := Block{Left: part(n), Right: part(n), Click: part(n), Contact: part(n), Backing: [2][]float32{part(n), part(n)}}
	for at := 0; at < n; at += 1000 {
		end := min(at+1000, n)
		piece, to := in.slice(at, end), out.slice(at, end)
		to.copy(m.add(&piece))
	}
	for mix := 1; mix < 8; mix++ {
		heard := &Audio{}
		for side, lead := range [][]float32{out.Left, out.Right} {
			x := part(n)
			for p, from := range [][]float32{lead, out.Backing[side], out.Click} {
				for i, v := range from {
					if mix>>p&1 == 1 {
						x[i] += v
					}
				}
			}
			heard.Channels = append(heard.Channels, x)
		}
		if _, peak := Loudness(heard); peak > Ceiling || mix == 7 && peak < Ceiling-0.5 {
			t.Errorf("mix %03b of click, band and lead comes to %.2f dBTP", mix, peak)
		}
	}
}
