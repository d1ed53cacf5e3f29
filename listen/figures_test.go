package listen

import (
	"fmt"
	"math"
	"math/rand"
	"slices"
	"strings"
	"testing"

	"lapwright/internal/golden"
	"lapwright/listen/listentest"
	"lapwright/rig/rigtest"
	"lapwright/sound/click"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// sounding is a string that somebody plucks: what it sounds is written down here, without the sound room.
type sounding struct {
	at, until float64 // seconds
	hz        float64
	cents     func(since float64) float64 // from hz, by the seconds since the pluck; nil for none
	level     float64                     // 0 for the usual one
	stiff     float64                     // inharmonicity (H. Fletcher, JASA 36(1), 1964): partial n at n·f·√(1 + B·n²)
}

// strummed adds strings up at a rate: ten partials, 1/n high, that die the sooner the higher they are, after the
// pick's short noise, until a palm stops them.
func strummed(rate, seconds float64, strings []sounding) []float32 {
	rnd := rand.New(rand.NewSource(5))
	out := make([]float64, int(rate*seconds))
	for _, s := range strings {
		level := s.level
		if level == 0 {
			level = 0.2
		}
		phase := 0.0
		for i := max(0, int(s.at*rate)); i < len(out); i++ {
			since := float64(i)/rate - s.at
			palm := math.Exp(-max(0, float64(i)/rate-s.until) / 0.02)
			if palm < 1e-4 {
				break
			}
			hz := s.hz
			if s.cents != nil {
				hz *= math.Exp2(s.cents(since) / 1200)
			}
			phase += 2 * math.Pi * hz / rate
			v := 0.0
			for n := 1.0; n <= 10 && n*hz < 0.4*rate; n++ {
				v += math.Sin(n*math.Sqrt(1+s.stiff*n*n)*phase) / n * math.Exp(-since*(0.5+0.4*n))
			}
			v = v*math.Min(1, since/0.003) + 0.8*rnd.NormFloat64()*math.Exp(-since/0.002)
			out[i] += level * v * palm
		}
	}
	samples := make([]float32, len(out))
	for i, v := range out {
		samples[i] = float32(v)
	}
	return samples
}

// soundings returns what a tab sounds where it is played as it stands, by stroke, and when its music is over. What is glided into
// belongs to the stroke that it is glided from.
func soundings(tb *tab.Tab) (out [][]sounding, end float64) {
	g, perf := steel.New(tb.Rig), tb.Performance()
	rings := map[int]*sounding{} // by string
	for i := range tb.Strokes {
		st := &tb.Strokes[i]
		start := perf.Passes[st.BarIndex].Start + st.At
		var all []sounding
		for k := range st.Plucks {
			p := &st.Plucks[k]
			end = perf.Clock.Seconds(start + p.Len)
			x := sounding{at: 0.4 + perf.Clock.Seconds(start), until: 0.4 + end, stiff: 2e-5 * float64(p.String), hz: 440 * math.Exp2((tab.Key(g, st, p)-69)/12)}
			if from := rings[p.String]; p.Attack == tab.Glided && from != nil {
				wide, when := 1200*math.Log2(x.hz/from.hz), x.at-from.at
				from.cents = func(since float64) float64 { return wide * max(0, min(1, (since-when)/0.08+1)) }
				from.until = x.until
				continue
			}
			all = append(all, x)
		}
		for k := range all {
			rings[st.Plucks[k].String] = &all[k]
		}
		out = append(out, all)
	}
	return out, end + 0.4
}

// figures writes a review down, cents, millimetres and milliseconds to a tenth or a hundredth.
func figures(v *Reviewed) string {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line("refused %q nearer %q against %q", v.Refused, v.Nearer, v.Against)
	line("tempo %.1f hand %.1f ± %.1f mm/10 delay %.1f off %.1f ms", v.Tempo, 10*v.HandMM, 10*v.HandOff, 1000*v.Delay, 1000*v.TakenOff)
	for i := range v.Notes {
		n := &v.Notes[i]
		line("note %d.%d at %d for %d string %d fret %g key %.1f wanted %.1f %s onset %.1f until %.1f late %.1f ms", n.BarNumber, n.PassIndex, n.At, n.Len, n.String, n.Fret, n.Key, n.Wanted, n.Status, 1000*n.Onset, 1000*n.Until, 1000*n.Late)
		line("  cents %.1f just %.1f spread %.1f doubt %.1f mm/10 %.1f ± %.1f scoop %.1f settles %.1f ms", n.Cents, n.CentsJust, n.Spread, n.Doubt, 10*n.SteelMM, 10*n.MMDoubt, n.Scoop, 1000*n.Settles)
		line("  vibrato %.1f width %.1f meant %.1f sure %t glided %t slanted %t adrift %t right %t", 10*n.Vibrato, n.Width, n.Meant, n.Sure, n.Glided, n.Slanted, n.Adrift, n.Right)
		for k := 0; k < len(n.Curve); k += 7 {
			line("  curve %.1f %.1f", 1000*n.Curve[k].At, n.Curve[k].Cents)
		}
	}
	for _, e := range v.Extra {
		line("extra %.1f %s", 1000*e.Onset, e.Pitch)
	}
	for _, s := range v.Strings {
		line("string %d %.1f ± %.1f told %t", s.String, s.Cents, s.Doubt, s.Told)
	}
	for _, s := range v.Slants {
		line("slant %d at %d %v %v wanted %.1f is %.1f ± %.1f deg/10 mm/10 %.1f ± %.1f sure %t right %t", s.BarNumber, s.At, s.Strings, s.Kind, 10*s.Wanted, 10*s.Degrees, 10*s.PlusMinus, 10*s.SteelMM, 10*s.MMDoubt, s.Sure, s.Right)
	}
	for _, p := range v.Paces {
		line("pace %d %.1f %%", p.PassIndex, 100*p.Taken)
	}
	for _, p := range v.Path {
		line("path %.1f %d at %d joined %t", 1000*p.Seconds, p.PassIndex, p.At, p.Joined)
	}
	for _, a := range v.Advice {
		title := "-"
		if a.Drill != nil {
			title = a.Drill.Tab.Tune.Title
		}
		line("advice %v worth %.1f %s (%s)", a.Bars, 100*a.worth, a.Text, title)
	}
	return b.String()
}

// heardOf writes down what a take is taken for without a tab.
func heardOf(t *Take) string {
	var b strings.Builder
	v := t.Level()
	fmt.Fprintf(&b, "level peak %.1f loud %.1f quiet %.1f clipped %d hum %.1f of %g unfit %q stringy %t\n", v.Peak, v.Loud, v.Quiet, v.Clipped, v.Hum, v.HumHz, t.Unfit(), t.Stringy())
	for i, f := range t.Pitches() {
		if i%9 == 0 && f.Voiced {
			fmt.Fprintf(&b, "pitch %.1f cents %.1f sure %.1f\n", 1000*f.At, 1200*math.Log2(float64(f.Hz)/440), 100*f.Sure)
		}
	}
	for _, o := range t.Onsets() {
		fmt.Fprintf(&b, "onset %.1f strength %.1f\n", 1000*o.At, 10*o.Strength)
	}
	for _, n := range t.Line() {
		fmt.Fprintf(&b, "line %.1f to %.1f cents %.1f sure %.1f plucked %t\n", 1000*n.At, 1000*n.Until, 1200*math.Log2(n.Hz/440), 100*n.Sure, n.Plucked)
	}
	return b.String()
}

// faulty is a take with much in it that a student may do, made of tones whose pitch and time are written down.
type faulty struct {
	rate    float64
	tab     *tab.Tab
	options Options
	change  func(i int, stroke []sounding) []sounding // what is played for a stroke; nil for nothing
	more    func(rate float64, samples []float32)     // what else the microphone hears
}

// take sounds it.
func (f *faulty) take(t *testing.T) (*Take, []float32) {
	strokes, end := soundings(f.tab)
	var all []sounding
	for i, s := range strokes {
		for _, x := range f.change(i, s) {
			all, end = append(all, x), max(end, x.until)
		}
	}
	samples := strummed(f.rate, end+0.5, all)
	f.more(f.rate, samples)
	return hear(t, samples, f.rate), samples
}

// hiss adds white noise so high.
func hiss(height float64) func(float64, []float32) {
	return func(_ float64, samples []float32) {
		rnd := rand.New(rand.NewSource(9))
		for i := range samples {
			samples[i] += float32(height * rnd.NormFloat64())
		}
	}
}

// A single line played along with the music that came from the speaker 30 ms after it was sounded: off, scooped, shaken, left out,
// another note, one too many, late, and on a string that is tuned flat.
func singleLine(t *testing.T) *faulty {
	r := rigtest.Builtin(t, "reso-open-g")
	tb := line(r, 3, 20, 12)
	tuned, err := TunedTo(r, "just")
	if err != nil {
		t.Fatal(err)
	}
	click := SoundedOnce(0.37, 1)
	click.Delay = 0.03
	return &faulty{
		rate: 44100, tab: tb, more: hiss(0.0005),
		options: Options{Tuned: tuned, Click: click, Right: func(at tune.Ticks, _ int) bool { return at >= 2*tune.Whole && at < 3*tune.Whole }},
		change: func(i int, s []sounding) []sounding {
			x := &s[0]
			if tb.Strokes[i].Plucks[0].String == 2 {
				x.hz *= math.Exp2(-8.0 / 1200)
			}
			switch i {
			case 1, 11:
				x.cents = func(float64) float64 { return 20 }
			case 2:
				x.cents = func(since float64) float64 { return -90 * max(0, 1-since/0.15) }
			case 4, 13:
				x.cents = func(since float64) float64 { return 18 * math.Sin(2*math.Pi*5.5*since) * min(1, since/0.2) }
			case 6:
				return nil
			case 8:
				x.hz *= math.Exp2(3.0 / 12)
			case 10:
				return append(s, sounding{at: (x.at + x.until) / 2, until: x.until, hz: x.hz * math.Exp2(7.0/12)})
			case 12:
				x.at += 0.07
			case 15:
				x.cents = func(since float64) float64 { return -15 - 20*since }
			}
			return s
		},
	}
}

// Grips on a lap steel, straight and slanted, begun again in the middle: slants lean too much, the steel lies a little
// towards the nut, and one bar is hurried.
func brokenOffGrips(t *testing.T) *faulty {
	spots, name := grips(t, "lap6-c6", 4, 16)
	r := rigtest.Builtin(t, name)
	tb := lay(r, 84, spots)
	return &faulty{
		rate: 48000, tab: tb, more: hiss(0.001),
		change: func(i int, s []sounding) []sounding {
			st := &tb.Strokes[i]
			for k := range s {
				p := st.Plucks[k]
				off := -6.0
				if st.Placement.Slanted() && p.String == int(st.Placement.First) {
					off += math.Copysign(14, st.Placement.FirstFret-st.Placement.LastFret)
				}
				s[k].hz *= math.Exp2(off / 1200)
				if i >= 12 { // the last bars come sooner
					s[k].at, s[k].until = s[k].at-0.12*float64(i-11), s[k].until-0.12*float64(i-11)
				}
			}
			if i >= 4 { // strokes 4 and 5 are played again after a pause
				again := slices.Clone(s)
				for k := range again {
					again[k].at, again[k].until = again[k].at+2.9, again[k].until+2.9
				}
				if i > 5 {
					return again
				}
				return append(s, again...)
			}
			return s
		},
	}
}

// Glides in open D beside a click whose delay nobody knows, in a room where the mains hum.
func glidesWithTheClick(t *testing.T) *faulty {
	r := rigtest.Builtin(t, "hollow-neck-open-d")
	var spots []listentest.Spot
	for i, fret := range []float64{5, 7, 0, 3, 4, 12, 10, 9, 0, 2, 5, 4, 7, 9} {
		spots = append(spots, listentest.Spot{Strings: []int{1 + i/4}, Frets: []float64{fret}, Len: quarter})
	}
	tb := lay(r, 100, spots)
	for i := 1; i < len(tb.Strokes); i++ {
		if from, to := &tb.Strokes[i-1].Plucks[0], &tb.Strokes[i].Plucks[0]; i%3 == 1 && from.String == to.String && from.Fret > 0 && to.Fret > 0 {
			from.Glide, to.Attack = true, tab.Glided
		}
	}
	return &faulty{
		rate: 22050, tab: tb,
		options: Options{Click: &Click{Delay: math.NaN(), Rounds: []Round{{At: 0.33, To: 5, Speed: 1}, {At: 5.33, From: 5, To: math.Inf(1), Speed: 1}}}},
		change: func(i int, s []sounding) []sounding {
			for k := range s {
				s[k].at += []float64{0.01, 0.03, 0.02, 0.045}[i%4]
			}
			return s
		},
		more: func(rate float64, samples []float32) {
			for i := range samples {
				at := float64(i) / rate
				samples[i] += float32(0.002*math.Sin(2*math.Pi*50*at) + 0.001*math.Sin(2*math.Pi*150*at))
			}
			for beat := range 14 {
				for k := range click.Length {
					if i := int((0.41+0.6*float64(beat))*rate) + k; i < len(samples) {
						samples[i] += float32(0.1 * click.Sample(k, min(1, beat%4)))
					}
				}
			}
		},
	}
}

// What is told of three takes, figure by figure: a tenth of a cent, of a millisecond, a hundredth of a millimetre. What was
// put in is written beside; what comes out was looked at, and changes only where somebody means it.
func TestReviewsFigureByFigure(t *testing.T) {
	for name, faults := range map[string]func(*testing.T) *faulty{"line": singleLine, "grips": brokenOffGrips, "glides": glidesWithTheClick} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			f := faults(t)
			take, samples := f.take(t)
			v, err := Review(take, f.tab, f.options)
			if err != nil {
				t.Fatal(err)
			}
			out := figures(v) + heardOf(take)
			tuned := f.options.Tuned
			if tuned == nil {
				tuned = make([]float64, len(f.tab.Rig.Strings))
			}
			s := NewSteel(f.tab, tuned)
			for n := int(f.rate / 2); n < len(samples); n += int(f.rate / 4) {
				h, ok := s.Now(hear(t, samples[max(0, n-int(NowSeconds*f.rate)):n], f.rate), &f.tab.Strokes[0])
				out += fmt.Sprintf("now %t string %d fret %g cents %.1f mm/10 %.1f at %.1f behind %.1f ms\n", ok, h.String, h.Fret, h.Cents, 10*h.MM, 10*h.At, 1000*h.Behind)
			}
			golden.Table(t, "testdata/figures/"+name+".txt", out, 0.3)
		})
	}
}
