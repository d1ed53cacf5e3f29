package listen

import (
	"math"
	"slices"
	"testing"

	"lapwright/tab"
)

// What is taken for a pluck is judged by what sounds for a while after it: 1/8 s are 1024 samples at 8192 a second, and
// what comes later isn't heard.
func TestHowLongAPluckIsLookedAt(t *testing.T) {
	const rate, at, gap = 8192.0, 0.5, 0.015625
	for later, heard := range map[int]bool{0: false, -512: true} {
		x := make([]float64, 8192)
		for i := int((at+gap)*rate) + 1024 + later; i < len(x); i++ {
			x[i] = 0.5 * math.Sin(2*math.Pi*440*float64(i)/rate)
		}
		take := &Take{rate: rate, inRate: rate, x: x, n: len(x)}
		p := take.describer(440, gap, 0.125)(Onset{At: at})
		if (p.rose > 0) != heard {
			t.Errorf("a tone from %d samples after the window's end on: rose %g", later, p.rose)
		}
	}
}

// What is compared with a pluck ends before it, and what sounds only in the first moment after it is its noise. What sounds
// as before doesn't rise. How clear a pluck is says the strongest key against the mean of all.
func TestWhatRisesAtAPluck(t *testing.T) {
	const rate, at = 8000.0, 0.5
	describe := func(from, to float64) pluckHeard {
		x := make([]float64, 8000)
		for i := max(0, int(from*rate)); i < int(to*rate); i++ {
			x[i] = 0.5 * math.Sin(2*math.Pi*660*float64(i)/rate)
		}
		return (&Take{rate: rate, inRate: rate, x: x, n: len(x)}).describer(440, riseGap, riseLook)(Onset{At: at})
	}
	now := describe(at, 1)
	if now.gain < 1e4 {
		t.Errorf("a tone from the pluck on: %g times as loud as nothing", now.gain)
	}
	if now.rise[76] != 1 || now.rise[45] < 0.3 {
		t.Errorf("660 Hz: it is key 76's first partial and key 45's sixth: %g and %g", now.rise[76], now.rise[45])
	}
	all := 0.0
	for _, r := range now.rise {
		all += r
	}
	if math.Abs(now.clear-73/all) > 1e-9 {
		t.Errorf("clear %g, want %g: 73 keys", now.clear, 73/all)
	}
	if p := describe(at, at+riseGap); p.rose != 0 || p.gain != 1 {
		t.Errorf("over after %g s: rose %g, gain %g", riseGap, p.rose, p.gain)
	}
	if p := describe(0, 1); p.rose > 0.1*now.rose {
		t.Errorf("as before: rose %g, and new %g", p.rose, now.rose)
	}
}

// Where nothing rises no key does. The highest key's partials are looked at up to half of the sample rate, to the last
// bin: at 440 Hz for key 69 and 5460 samples a second 60 cents over key 100 lie there.
func TestNothingRisesInSilence(t *testing.T) {
	hz := 440 * math.Exp2(31.0/12) * factor(riseWithin)
	for _, rate := range []float64{8000, 2 * hz / (1 + 0.5/512)} {
		take := &Take{rate: rate, inRate: rate, x: make([]float64, 8000), n: 8000}
		p := take.describer(440, riseGap, 200/rate)(Onset{At: 0.5})
		if p.rise != [128]float64{} || p.clear != 0 || p.rose != 0 || p.gain != 1 {
			t.Errorf("%g a second: rose %g, clear %g, gain %g: %v", rate, p.rose, p.clear, p.gain, p.rise)
		}
	}
}

// What begins at the very start of a take rises, and so does the highest key; looking past the end does no harm.
func TestRisesAtTheEnds(t *testing.T) {
	const rate = 8000.0
	for _, key := range []int{57, 69, 100} {
		hz := 440 * math.Exp2(float64(key-69)/12)
		x := make([]float64, 1200)
		for i := range x {
			x[i] = 0.5 * math.Cos(2*math.Pi*hz*float64(i)/rate)
		}
		take := &Take{rate: rate, inRate: rate, x: x, n: len(x)}
		describe := take.describer(440, riseGap, riseLook)
		if p := describe(Onset{}); p.rise[key] < 0.5 || p.rise[key] != 1 && p.rise[key-12] != 1 {
			t.Errorf("key %d at the start: %v", key, p.rise)
		}
		// What is compared begins before the take and ends after it.
		if p := describe(Onset{At: 0.1}); p.gain > 1 {
			t.Errorf("key %d where it ends: gain %g", key, p.gain)
		}
	}
	one := &Take{rate: rate, inRate: rate, x: []float64{0.5}, n: 1}
	l := newLook(rate)
	l.pointAt(one, 0, 0.01)
	if l.windowed[l.half] != 0.5 || l.windowed[l.half-1] != 0 || l.windowed[l.half+1] != 0 {
		t.Errorf("a take of one sample is looked at as %v", l.windowed)
	}
}

// A pluck agrees with its keys by how much each of them rose; keys that no instrument has agree with nothing, and no keys
// half.
func TestPluckAgreesWithKeys(t *testing.T) {
	p := &pluckHeard{}
	p.rise[0], p.rise[60], p.rise[64], p.rise[127] = 0.25, 1, 0.5, 0.75
	for _, c := range []struct {
		keys []float64
		want float64
	}{
		{nil, 0.5}, {[]float64{60}, 1}, {[]float64{60.4}, 1}, {[]float64{60.5}, 0}, {[]float64{60, 64}, 0.75},
		{[]float64{0}, 0.25}, {[]float64{-1}, 0}, {[]float64{127}, 0.75}, {[]float64{128}, 0},
	} {
		if got := p.agrees(c.keys); got != c.want {
			t.Errorf("keys %v: %g, want %g", c.keys, got, c.want)
		}
	}
}

// asHeard are plucks that are due at times, each on a key of its own from 60 on, and onsets that sound like some of
// these keys, in so far; they are so strong.
func asHeard(due, at []float64, keys []int, agreement, strength float64) (*score, []pluckHeard) {
	s := &score{}
	for i, d := range due {
		s.groups = append(s.groups, group{due: d, wants: []int{i}, begun: true})
		s.wants = append(s.wants, want{key: 60 + float64(i), begun: true, pluck: &tab.Pluck{String: 1}})
	}
	heard := make([]pluckHeard, len(at))
	for j := range heard {
		heard[j].At, heard[j].Strength = at[j], strength
		heard[j].rise[keys[j]] = agreement
	}
	return s, heard
}

func alignedTo(due, at []float64, keys []int, agreement, strength float64) *aligned {
	s, heard := asHeard(due, at, keys, agreement, strength)
	return align(s, heard, 0)
}

// Two plucks that sound only half like the tab's are still those where they are at most 2.5 times as fast as written, or
// ten thirds as slow; else one of them is none of the tab's.
func TestFirstPlucksMayBeFastOrSlow(t *testing.T) {
	for _, c := range []struct {
		what    string
		due, at float64 // of the second
		both    bool
	}{
		{"as written", 4, 4, true}, {"2.5 times as fast", 5, 2, true}, {"faster", 5, 1.9375, false},
		{"ten thirds as slow", 3, 10, true}, {"slower", 3, 10.125, false},
	} {
		got := alignedTo([]float64{0, c.due}, []float64{0, c.at}, []int{60, 61}, 0.5, 0)
		both := got.used[0] && got.used[1]
		if both != c.both || both && !slices.Equal(got.onset, []int{0, 1}) {
			t.Errorf("%s: onsets %v; want both used: %v", c.what, got.onset, c.both)
		}
	}
}

// One pluck left out at an end of the tab was missed; from two on the take is taken not to go there.
func TestMissedAtTheEnds(t *testing.T) {
	for _, c := range []struct {
		what  string
		from  int // the first pluck that is played, of five
		to    int
		reach []bool
	}{
		{"all", 0, 5, []bool{true, true, true, true, true}},
		{"all but the first", 1, 5, []bool{true, true, true, true, true}},
		{"all but two", 2, 5, []bool{false, false, true, true, true}},
		{"all but the last", 0, 4, []bool{true, true, true, true, true}},
		{"all but the last two", 0, 3, []bool{true, true, true, false, false}},
	} {
		due := []float64{0, 1, 2, 3, 4}
		var keys []int
		for i := c.from; i < c.to; i++ {
			keys = append(keys, 60+i)
		}
		got := alignedTo(due, due[c.from:c.to], keys, 1, 0)
		for i, j := range got.onset {
			if want := i - c.from; i >= c.from && i < c.to && j != want || (i < c.from || i >= c.to) && j != -1 {
				t.Errorf("%s: pluck %d is onset %d", c.what, i, j)
			}
		}
		if !slices.Equal(got.reach, c.reach) || got.agree != 1 || got.jumps != 0 {
			t.Errorf("%s: the take goes to %v, want %v; agreement %g, %d jumps", c.what, got.reach, c.reach, got.agree, got.jumps)
		}
	}
}

// Begun anew from the start, the take has the tab's plucks twice: the later attempt counts, and the first is no extra
// playing. Where nothing was heard nothing is anywhere.
func TestBegunAnew(t *testing.T) {
	due, at, keys := []float64{0, 1, 2, 3, 4, 5}, make([]float64, 12), make([]int, 12)
	for j := range at {
		at[j], keys[j] = float64(j), 60+j%6
	}
	got := alignedTo(due, at, keys, 1, 1)
	for g, j := range got.onset {
		if j != g+6 {
			t.Errorf("pluck %d is onset %d, want %d", g, j, g+6)
		}
	}
	for j := range at {
		if !got.used[j] || got.again[j] != (j < 6) {
			t.Errorf("onset %d: used %v, of an earlier attempt %v", j, got.used[j], got.again[j])
		}
	}
	if got.jumps != 1 || got.agree != 1 {
		t.Errorf("%d jumps, agreement %g; want 1, 1", got.jumps, got.agree)
	}
	if got := alignedTo(due, nil, nil, 1, 1); !slices.Equal(got.onset, []int{-1, -1, -1, -1, -1, -1}) || slices.Contains(got.reach, true) {
		t.Errorf("nothing heard: %+v", got)
	}
}

// Up to three plucks left out are missed, of more it is taken that the take goes on elsewhere; those beyond the tab are
// passed over, eight in a row too; a tab that is played two semitones higher is found there.
func TestMissedExtraAndShifted(t *testing.T) {
	due := make([]float64, 24)
	keys := make([]int, 24)
	for i := range due {
		due[i], keys[i] = float64(i), 60+i
	}
	for _, n := range []int{1, 3, 4} {
		at, sound := slices.Concat(due[:8], due[8+n:]), slices.Concat(keys[:8], keys[8+n:])
		got := alignedTo(due, at, sound, 1, 1)
		for g, j := range got.onset {
			if missed := g >= 8 && g < 8+n; missed && j != -1 || !missed && at[max(j, 0)] != due[g] {
				t.Errorf("%d missed: pluck %d is onset %d", n, g, j)
			}
		}
		if gone := n < 4; got.reach[8] != gone || (got.jumps == 0) != gone {
			t.Errorf("%d missed: gone through %v, %d jumps", n, got.reach[8], got.jumps)
		}
	}
	for _, n := range []int{1, 3, 8} {
		at, sound := slices.Clone(due[:8]), slices.Clone(keys[:8])
		for i := range n {
			at, sound = append(at, 7.0625+float64(i)/10), append(sound, 40)
		}
		at, sound = append(at, due[8:]...), append(sound, keys[8:]...)
		got := alignedTo(due, at, sound, 1, 0.25)
		for g, j := range got.onset {
			if j < 0 || at[j] != due[g] {
				t.Errorf("%d extra: pluck %d is onset %d", n, g, j)
			}
		}
		if got.used[8] || got.jumps != 0 {
			t.Errorf("%d extra: used %v, %d jumps", n, got.used[8], got.jumps)
		}
	}
	s, heard := asHeard(due[:6], due[:6], []int{62, 63, 64, 65, 66, 67}, 1, 1)
	if got := align(s, heard, 2); got.agree != 1 {
		t.Errorf("two semitones higher: agreement %g", got.agree)
	}
}
