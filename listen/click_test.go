package listen

import (
	"fmt"
	"math"
	"math/rand"
	"slices"
	"testing"

	"lapwright/rig/rigtest"
	"lapwright/sound"
	"lapwright/sound/click"
	"lapwright/tab"
	"lapwright/tune"
)

// along is a take played along with a click, in which all is known.
type along struct {
	want    *tab.Tab
	samples []float32
	late    []float64 // of each note, seconds
	click   Click
}

// How takes that are played along with a click are made.
type alongWith struct {
	rig           string
	delay         float64 // of the device, seconds
	speed         float64
	behind, drift float64 // seconds: throughout, and that much more at the end
	scatter       float64 // seconds
	bleeds        float64 // dB of the clicks against the loudest of the take; −∞ for headphones
	noise         float64 // dB below the take; +∞ for none
}

// playAlong makes such a take. Two bars are counted in, and the recording begins in the middle of them.
func playAlong(t *testing.T, seed int64, w alongWith) along {
	t.Helper()
	want := line(rigtest.Builtin(t, w.rig), 300+seed, 32, 12)
	return playedAlong(t, want, played(want), seed, w)
}

// playedAlong is playAlong of a tab as it was played.
func playedAlong(t *testing.T, want, take *tab.Tab, seed int64, w alongWith) along {
	t.Helper()
	rnd := rand.New(rand.NewSource(seed))
	perf := want.Performance()
	out := along{want: want, late: make([]float64, len(take.Strokes))}
	for i := range take.Strokes {
		out.late[i] = max(0, w.behind+w.drift*float64(i)/float64(len(take.Strokes))+w.scatter*rnd.NormFloat64())
		if w.behind < 0 {
			// Nothing can be played before the take begins.
			out.late[i] = 0
			if i > 0 {
				out.late[i] = w.behind + w.scatter*rnd.NormFloat64()
			}
		}
		st := &take.Strokes[i]
		at := perf.Passes[st.BarIndex].Start + st.At
		st.At = perf.Clock.At(perf.Clock.Seconds(at)+out.late[i]*w.speed) - perf.Passes[st.BarIndex].Start
	}
	music := mono(t, take, sound.Options{Speed: w.speed, Seed: uint64(seed)})
	times, err := sound.Timeline(want, sound.Options{Speed: w.speed, CountIn: 2, Click: true})
	if err != nil {
		t.Fatal(err)
	}
	// The music is sounded countIn after the clicks begin; the take begins after a quarter of that.
	start := times.CountIn * 3 / 4
	lead := int(math.Round((start + w.delay) * sound.Rate))
	out.samples = make([]float32, lead+len(music))
	copy(out.samples[lead:], music)
	if !math.IsInf(w.bleeds, -1) {
		loudest := 0.0
		for _, v := range music {
			loudest = max(loudest, math.Abs(float64(v)))
		}
		gain := loudest * math.Pow(10, w.bleeds/20) / 0.4 // a first beat's amplitude
		for _, c := range times.Clicks {
			at := lead + int(math.Round((c.At-times.CountIn)*sound.Rate))
			weight := 1
			if c.First {
				weight = 0
			}
			for k := range click.Length {
				if i := at + k; i >= 0 && i < len(out.samples) {
					out.samples[i] += float32(gain * click.Sample(k, weight))
				}
			}
		}
	}
	if !math.IsInf(w.noise, 1) {
		out.samples = noisy(out.samples, w.noise, seed)
	}
	out.click = Click{Delay: w.delay, Rounds: []Round{{At: start, From: 0, To: perf.Clock.Seconds(perf.Passes[len(perf.Passes)-1].Start + tune.Whole), Speed: w.speed}}}
	return out
}

// Lateness against the click is what was put in, whatever the device's delay and the player's tempo; where the
// delay isn't known, all but what all notes have in common is. Clicks that the microphone hears are no notes.
func TestLatenessAgainstTheClick(t *testing.T) {
	t.Parallel()
	headphones, clean := math.Inf(-1), math.Inf(1)
	for k, w := range []alongWith{
		{"hollow-neck-open-d", 0, 1, -0.05, 0, 0.015, headphones, clean},
		{"lap6-c6", 0.3, 0.8, 0.02, 0.08, 0.015, headphones, 20},
		{"reso-open-g", 0.045, 1, 0.03, 0, 0.02, -12, 20},
		{"lap6-c6", 0.14, 1, 0.02, 0.06, 0.02, -20, 20},
	} {
		a := playAlong(t, int64(k), w)
		take := hear(t, a.samples, sound.Rate)
		for _, known := range []bool{true, false} {
			name := fmt.Sprintf("%+v, delay known %v", w, known)
			c := a.click
			if !known {
				c.Delay = math.NaN()
			}
			v, err := Review(take, a.want, Options{Click: &c})
			if err != nil || v.Refused != "" || len(v.Notes) != len(a.late) {
				t.Errorf("%s: %v, %+v", name, err, v)
				continue
			}
			middle := 0.0
			if !known {
				middle = median(slices.Clone(a.late))
				if v.Against != AgainstDifferences || !math.IsNaN(v.Delay) || math.Abs(v.TakenOff-w.delay-middle) > 0.005 {
					t.Errorf("%s: against %s, delay %g, %g taken off", name, v.Against, v.Delay, v.TakenOff)
				}
			} else if v.Against != AgainstClick || v.Delay != w.delay || !math.IsNaN(v.TakenOff) {
				t.Errorf("%s: against %s, delay %g, %g taken off", name, v.Against, v.Delay, v.TakenOff)
			}
			var off []float64
			amiss := 0
			for i, n := range v.Notes {
				if n.Status != Played {
					amiss++
				}
				if !math.IsNaN(n.Late) {
					off = append(off, math.Abs(n.Late-(a.late[i]-middle)))
				}
			}
			t.Logf("%s: lateness of %d notes: median %.1f ms off, 95 %% %.1f, worst %.1f; %d not played, %d extra", name, len(off), 1000*quantile(off, 0.5), 1000*quantile(off, 0.95), 1000*quantile(off, 1), amiss, len(v.Extra))
			if len(off) < 28 || !(quantile(off, 0.5) < 0.005) || !(quantile(off, 0.95) < 0.02) || amiss > 1 || len(v.Extra) > 0 {
				t.Errorf("%s: want 5 ms in the middle, 20 in 95 of 100, all played and nothing extra: %v", name, v.Extra)
			}
		}
	}
}

// With clicks in the take, what is missed is missed, and what is extra extra, on the beat too.
func TestClicksAreNoNotes(t *testing.T) {
	t.Parallel()
	var m, e hits
	for k := range 2 {
		want := line(rigtest.Builtin(t, []string{"lap6-c6", "reso-open-g"}[k]), int64(530+k), 40, 12)
		take, missed, _, added := spoil(t, want, int64(2+3*k))
		a := playedAlong(t, want, take, int64(k), alongWith{"", 0.1, 1, 0.01, 0, 0, -12, 30})
		v, err := Review(hear(t, a.samples, sound.Rate), want, Options{Click: &a.click})
		if err != nil || v.Refused != "" || len(v.Notes) != len(want.Strokes) {
			t.Fatalf("take %d: %v, %+v", k, err, v)
		}
		m.there += len(missed)
		e.there += len(added)
		e.found += len(v.Extra)
		for i, n := range v.Notes {
			if n.Status == Missed {
				m.found++
				if slices.Contains(missed, i) {
					m.right++
				}
			}
		}
		for _, at := range added {
			at += a.click.Rounds[0].At + a.click.Delay
			if slices.ContainsFunc(v.Extra, func(x Extra) bool { return math.Abs(x.Onset-at) < 0.05 }) {
				e.right++
			}
		}
	}
	both := hits{m.right + e.right, m.found + e.found, m.there + e.there}
	t.Logf("missed %+v, extra %+v: F %.3f", m, e, both.f())
	if both.f() <= 0.9 || m.there < 3 || e.there < 3 {
		t.Errorf("with clicks in the take missed and extra notes have F %.3f, want above 0.9", both.f())
	}
}

// Whoever didn't play along with it is told against their own tempo; a round of a loop is told against the
// time round that it was played in.
func TestWhoDidNotFollowTheClick(t *testing.T) {
	t.Parallel()
	a := playAlong(t, 9, alongWith{"lap6-c6", 0.1, 1, 0.01, 0, 0.01, math.Inf(-1), math.Inf(1)})
	take := hear(t, a.samples, sound.Rate)
	round := a.click.Rounds[0]
	for _, c := range []struct {
		name string
		Click
		want Against
	}{
		{"a click at another speed", Click{Rounds: []Round{{At: round.At, To: round.To, Speed: 1.5}}, Delay: 0.1}, AgainstTempo},
		{"nothing sounded", Click{Delay: 0.1}, AgainstTempo},
		{"sounded after the take", Click{Rounds: []Round{{At: take.Seconds() + 5, To: round.To, Speed: 1}}, Delay: 0.1}, AgainstTempo},
		{"the same and once more", Click{Rounds: []Round{round, {At: round.At + round.To, To: round.To, Speed: 1}}, Delay: 0.1}, AgainstClick},
	} {
		v, err := Review(take, a.want, Options{Click: &c.Click})
		if err != nil || v.Against != c.want {
			t.Errorf("%s: against %s, want %s: %v", c.name, v.Against, c.want, err)
			continue
		}
		for i, n := range v.Notes {
			if c.want == AgainstClick && !(math.Abs(n.Late-a.late[i]) < 0.02) {
				t.Errorf("%s: note %d is %g late, want %g", c.name, i, n.Late, a.late[i])
			}
		}
	}
}

// However often music is said to have been sounded, no more clicks are listed than the take has room for: what is said
// comes with a take from elsewhere.
func TestClicksOutsideTheTake(t *testing.T) {
	want := line(rigtest.Builtin(t, "lap6-c6"), 1, 40, 12)
	perf := want.Performance()
	to := perf.Clock.Seconds(perf.Passes[len(perf.Passes)-1].Start + tune.Whole)
	c := Click{Rounds: []Round{{At: 1, To: to, Speed: 1}}}
	plain := c.times(perf, 0.1, 1+to)
	if len(plain) < 40 {
		t.Fatalf("%d clicks in a round of 40 notes", len(plain))
	}
	for k := range 1000 {
		c.Rounds = append(c.Rounds, Round{At: float64(k+2) * 2 * to, To: to, Speed: 1}, Round{At: -float64(k+2) * 2 * to, To: to, Speed: 1})
	}
	if got := c.times(perf, 0.1, 1+to); !slices.Equal(got, plain) {
		t.Errorf("%d clicks, want the %d of the round that the take has", len(got), len(plain))
	}
}
