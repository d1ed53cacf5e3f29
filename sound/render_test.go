package sound

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"lapwright/fault"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/sound/click"
	"lapwright/sound/filter"
	"lapwright/sound/hall"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// shaken is what makes a note one with vibrato.
func shaken(_ *tab.Stroke, p *tab.Pluck) { p.Vibrato = true }

// handled are the ways in which the steel begins a note and goes on with it.
func handled() []note {
	return []note{
		{str: 1, fret: 5, len: 1, glide: true}, {str: 1, fret: 7, len: 1, attack: tab.Glided},
		{str: 2, fret: 0, len: 1}, {str: 2, fret: 3, len: 1, attack: tab.Hammered}, {str: 2, fret: 0, len: 1, attack: tab.PulledOff},
		{str: 3, fret: 7, len: 1, more: func(_ *tab.Stroke, p *tab.Pluck) { p.Scoop = -1 }},
		{str: 1, fret: 12, len: 2, more: shaken},
	}
}

// everything is a tab in which all that a string can do is done.
func everything(t testing.TB, name string) *tab.Tab {
	damped := func(_ *tab.Stroke, p *tab.Pluck) { p.Damp = true }
	return makeTab(t, rigtest.Builtin(t, name), 150, append(handled(),
		note{str: 4, len: 1, more: func(_ *tab.Stroke, p *tab.Pluck) { p.Attack, p.Node, p.Fret = tab.Harmonic, 2, 12 }},
		note{str: 2, fret: 5, len: 1, more: func(_ *tab.Stroke, p *tab.Pluck) { p.Attack, p.Node = tab.PalmHarmonic, 2 }},
		note{str: 5, fret: 5, len: 1, more: damped}, note{str: 6, fret: 5, len: 1, more: damped},
	)...)
}

func same(a, b []float32) bool { return slices.Equal(a, b) }

// The recording is the same for whatever number of samples is made at a time, kept whole or
// streamed, with its gain measured or known.
func TestBlocksOfAnySize(t *testing.T) {
	for _, name := range []string{"tricone-open-d", "lap8-c13"} {
		tb := everything(t, name)
		o := Options{CountIn: 1, Click: true, Speed: 1.5}
		want, err := renderBlocks(tb, o, 1024)
		if err != nil {
			t.Fatal(err)
		}
		gain, err := Gain(tb, o)
		if err != nil {
			t.Fatal(err)
		}
		if want.Gain != gain {
			t.Errorf("%s: the recording tells of %g dB, measured alone they are %g", name, want.Gain, gain)
		}
		o.Gain = &gain
		for _, size := range []int{1, 64, 479, 4096} {
			s, err := NewStream(tb, o)
			if err != nil {
				t.Fatal(err)
			}
			var got Block
			for {
				b, err := s.Next(size)
				if err != nil {
					t.Fatal(err)
				}
				if b == nil {
					break
				}
				got.Left, got.Right = append(got.Left, b.Left...), append(got.Right, b.Right...)
				got.Click, got.Contact = append(got.Click, b.Click...), append(got.Contact, b.Contact...)
			}
			if s.Len() != got.Len() || s.Gain() != gain {
				t.Errorf("%s: %d samples at %g dB are streamed, %d at %g promised", name, got.Len(), gain, s.Len(), s.Gain())
			}
			if !same(got.Left, want.Lead.Channels[0]) || !same(got.Right, want.Lead.Channels[1]) {
				t.Errorf("%s: the lead differs in blocks of %d", name, size)
			}
			if !same(got.Click, want.Click.Channels[0]) || !same(got.Contact, want.Contact.Channels[0]) {
				t.Errorf("%s: click or steel differ in blocks of %d", name, size)
			}
		}
	}
}

// Each node by itself, too.
func TestNodesInBlocksOfAnySize(t *testing.T) {
	const n = 9000
	in := make([]float64, n)
	r := noise(3)
	for i := range in {
		in[i] = r.next() * math.Exp(-float64(i)/2000)
	}
	sc, err := write(everything(t, "lap6-c6"), Options{Speed: 1, CountIn: 1})
	if err != nil {
		t.Fatal(err)
	}
	nodes := map[string]func() func(l, r []float64, at int){
		"string": func() func(l, r []float64, at int) {
			s := newString(sc.parts[1], 440, wiringOf(rigtest.Builtin(t, "lap6-c6"), 1, voices[rig.LapSteel]), newBridge(voices[rig.LapSteel], nil).answers(), 5, nil)
			// The first things happen after the count-in: bring them forward.
			first := s.actions[0].at
			for i := range s.actions {
				s.actions[i].at -= first
			}
			return func(l, _ []float64, at int) { alone(s, l, at) }
		},
		"bridge": func() func(l, r []float64, at int) {
			b := newBridge(voices[rig.SquareNeckResonator], []float64{0.3, 0.5})
			return func(l, r []float64, at int) {
				for i := range l {
					_, l[i], r[i] = b.move(in[at+i], 0.3*in[at+i])
				}
			}
		},
		"body": func() func(l, r []float64, at int) {
			b := newBody(voices[rig.SquareNeckResonator])
			return func(l, r []float64, at int) { b.process(in[at:at+len(l)], l, r) }
		},
		"room": func() func(l, r []float64, at int) {
			rm := hall.New(0.3)
			return func(l, r []float64, at int) {
				copy(l, in[at:])
				copy(r, in[at:])
				rm.Add(l, r)
			}
		},
		"click": func() func(l, r []float64, at int) {
			c := click.New([]click.Beat{{At: 10}, {At: 700, Weight: 1}, {At: 2500, Weight: 2}})
			return func(l, _ []float64, at int) { c.Add(l, at) }
		},
		"knocks": func() func(l, r []float64, at int) {
			k := newKnocker([]knock{{5, 1}, {300, 0.5}, {4000, 1}}, 1, 1)
			return func(l, _ []float64, at int) { k.add(l, at) }
		},
	}
	for name, build := range nodes {
		run := func(block int) []float64 {
			l, r := make([]float64, n), make([]float64, n)
			node := build()
			for at := 0; at < n; at += block {
				end := min(at+block, n)
				node(l[at:end], r[at:end], at)
			}
			return append(l, r...)
		}
		want := run(n)
		if slices.Max(want) == 0 {
			t.Errorf("%s: gives nothing", name)
		}
		for _, block := range []int{1, 64, 479, 4096} {
			if !slices.Equal(run(block), want) {
				t.Errorf("%s: differs in blocks of %d", name, block)
			}
		}
	}
}

// The same seed gives the same recording, another seed another.
func TestSeed(t *testing.T) {
	tb := everything(t, "reso-open-g")
	a, err1 := Render(tb, Options{})
	b, err2 := Render(tb, Options{})
	c, err3 := Render(tb, Options{Seed: 1})
	if err := errors.Join(err1, err2, err3); err != nil {
		t.Fatal(err)
	}
	if !same(a.Channels[0], b.Channels[0]) || !same(a.Channels[1], b.Channels[1]) {
		t.Error("the same tab sounded twice differs")
	}
	if same(a.Channels[0], c.Channels[0]) {
		t.Error("another seed changes nothing")
	}
}

// Each built-in rig sounds, at the loudness asked for, under the ceiling,
// without a standing offset, and dies away to nothing.
func TestLevelOfEveryRig(t *testing.T) {
	rigs := rig.Builtins()
	if len(rigs) == 0 {
		t.Fatal("there are no rigs")
	}
	for _, r := range rigs {
		tb := makeTab(t, r, 90,
			note{str: 1, fret: 5, len: 2}, note{str: 2, fret: 7, len: 2}, note{str: 3, len: 4}, note{str: 1, fret: 12, len: 2}, note{str: 4, len: 2})
		s, err := RenderStems(tb, Options{CountIn: 1})
		if err != nil {
			t.Fatalf("%s: %v", r.Name, err)
		}
		lufs, peak := Loudness(s.Lead)
		if math.Abs(lufs-DefaultLoudness) > 0.5 || peak > Ceiling {
			t.Errorf("%s: %.2f LUFS, %.2f dBTP; want %v within 0.5, at most %v", r.Name, lufs, peak, DefaultLoudness, Ceiling)
		}
		for _, c := range s.Lead.Channels {
			sum := 0.0
			for _, v := range c {
				sum += float64(v)
			}
			// −80 dB: under the last bit of a 14-bit recording.
			if mean := sum / float64(len(c)); math.Abs(mean) > 1e-4 {
				t.Errorf("%s: a standing offset of %g", r.Name, mean)
			}
			if last := c[len(c)-1]; math.Abs(float64(last)) > 1e-6 {
				t.Errorf("%s: breaks off at %g", r.Name, last)
			}
			if quiet := loudestOf(c[:Rate/2]); quiet > 1e-5 {
				t.Errorf("%s: %g of noise before the first note", r.Name, quiet)
			}
		}
		if _, peak := Loudness(s.Mix()); peak > Ceiling {
			t.Errorf("%s: lead and click together peak at %.2f dBTP", r.Name, peak)
		}
	}
}

func loudestOf(x []float32) float64 {
	most := float32(0)
	for _, v := range x {
		most = max(most, v, -v)
	}
	return float64(most)
}

// A glide, a scoop, a hammer-on, a pull-off and a change of position make no
// click: no sample lies farther from where its neighbours put it (third difference)
// than in the pluck that came before.
func TestNoClicks(t *testing.T) {
	for _, c := range []struct {
		what  string
		notes []note
	}{
		{"glide", []note{{str: 2, fret: 3, len: 1, glide: true}, {str: 2, fret: 10, len: 1, attack: tab.Glided}}},
		{"glide down", []note{{str: 1, fret: 12, len: 1, glide: true}, {str: 1, fret: 2, len: 1, attack: tab.Glided}}},
		{"hammer-on", []note{{str: 2, len: 1}, {str: 2, fret: 4, len: 1, attack: tab.Hammered}}},
		{"pull-off", []note{{str: 2, fret: 4, len: 1}, {str: 2, len: 1, attack: tab.PulledOff}}},
		{"same note again", []note{{str: 3, fret: 5, len: 1}, {str: 3, fret: 5, len: 1}}},
		{"another position", []note{{str: 3, fret: 5, len: 1}, {str: 2, fret: 9, len: 1}}},
		{"palm", []note{{str: 2, fret: 5, len: 1, more: func(_ *tab.Stroke, p *tab.Pluck) { p.Damp = true }}}},
	} {
		tb := makeTab(t, rigtest.Builtin(t, "lap6-c6"), 75, c.notes...)
		sc, err := write(tb, Options{Speed: 1})
		if err != nil {
			t.Fatal(err)
		}
		none := 0.0 // the steel's own noise is one of its own
		m := assemble(tb.Rig, sc, Options{Dry: true, Contact: &none})
		n := 2 * Rate
		pull, l, r, k := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
		m.next(pull, l, r, k, 0)
		jerk := func(from, to float64) float64 {
			most := 0.0
			for i := int(from*Rate) + 3; i < int(to*Rate); i++ {
				most = max(most, math.Abs(l[i]-3*l[i-1]+3*l[i-2]-l[i-3]))
			}
			return most
		}
		// The first note is plucked at 0, the second begins at 0.8 s.
		first, change := jerk(0, 0.05), jerk(0.3, 1.2)
		if change > 1.5*first {
			t.Errorf("%s: third difference %.2g where it changes, %.2g in the first pluck", c.what, change, first)
		}
		// What has no stroke of its own is no rougher than the note was just before it.
		// A glide up may be as much rougher as its waves come higher and faster: (7 frets)⁴ is 5, halved
		// by what the string loses meanwhile.
		before, during := jerk(0.35, 0.45), jerk(0.5, 1.2)
		if strings.HasPrefix(c.what, "glide") || c.what == "palm" {
			if most := map[string]float64{"glide": 2.5, "glide down": 1, "palm": 1}[c.what]; during > most*before {
				t.Errorf("%s: third difference %.2g, %.2g just before: it has a stroke of its own", c.what, during, before)
			}
		}
	}
}

// Half speed is twice as long at the same pitch, and the click follows.
func TestSpeed(t *testing.T) {
	tb := makeTab(t, rigtest.Builtin(t, "lap6-c6"), 120, note{str: 1, fret: 5, len: 4})
	full, err1 := Timeline(tb, Options{CountIn: 1})
	half, err2 := Timeline(tb, Options{CountIn: 1, Speed: 0.5})
	if err := errors.Join(err1, err2); err != nil {
		t.Fatal(err)
	}
	if full.CountIn != 2 || half.CountIn != 4 || full.End != 4 || half.End != 8 {
		t.Errorf("count-in %g and end %g at full speed, %g and %g at half; want 2 4 4 8", full.CountIn, full.End, half.CountIn, half.End)
	}
	a, err := Render(tb, Options{Speed: 0.5})
	if err != nil {
		t.Fatal(err)
	}
	want := 440 * math.Exp2((float64(tb.Rig.OpenKey(1, 0))+5-69)/12)
	if got := zeroCrossings(a.Channels[0][Rate:2*Rate], want); math.Abs(got-want) > 0.01*want {
		t.Errorf("sounds %.1f Hz at half speed, want %.1f", got, want)
	}
}

// zeroCrossings counts the upward crossings a second of what is left of a sound under 1.5
// times f.
func zeroCrossings(x []float32, f float64) float64 {
	low := [2]filter.Biquad{filter.LowPass(f, 0.7), filter.LowPass(f, 0.7)}
	last, count := 0.0, 0
	for _, v := range x {
		y := low[1].Next(low[0].Next(float64(v)))
		if last < 0 && y >= 0 {
			count++
		}
		last = y
	}
	return float64(count) / (float64(len(x)) / Rate)
}

// What can't be sounded is one clear fault.
func TestRefusals(t *testing.T) {
	good := func() *tab.Tab { return makeTab(t, rigtest.Builtin(t, "lap6-c6"), 120, note{str: 1, fret: 5, len: 4}) }
	for _, c := range []struct {
		what string
		o    Options
		bend func(*tab.Tab)
		want string
	}{
		{"too slow", Options{Speed: 0.01}, nil, "speed 0.01"},
		{"too fast", Options{Speed: 10}, nil, "speed 10"},
		{"no speed", Options{Speed: math.NaN()}, nil, "speed NaN"},
		{"counts for ever", Options{CountIn: 9}, nil, "count-in of 9"},
		{"counts back", Options{CountIn: -1}, nil, "count-in of -1"},
		{"too loud", Options{Loudness: 0.5}, nil, "0.5 LUFS"},
		{"no string", Options{}, func(t *tab.Tab) { t.Strokes[0].Plucks[0].String = 7 }, "string 7"},
		{"string 0", Options{}, func(t *tab.Tab) { t.Strokes[0].Plucks[0].String = 0 }, "string 0"},
		{"twice", Options{}, func(t *tab.Tab) {
			t.Strokes[0].Plucks = append(t.Strokes[0].Plucks, t.Strokes[0].Plucks[0])
		}, "plucked twice"},
		{"no bar", Options{}, func(t *tab.Tab) { t.Strokes[0].BarIndex = 1 }, "bar index 1, and the tune has 1 bars"},
		{"a bar before the first", Options{}, func(t *tab.Tab) { t.Strokes[0].BarIndex = -1 }, "bar index -1"},
		{"too low", Options{}, func(t *tab.Tab) {
			t.Rig = t.Rig.Clone()
			t.Rig.Strings[0].Open = pitch.Note(pitch.C, 0, 0) // 16.35 Hz
			t.Strokes[0].Placement, t.Strokes[0].Plucks[0].Fret = steel.Placement{}, 0
		}, "a note of 16 Hz is not between 20 and 5000"},
		{"too high", Options{}, func(t *tab.Tab) {
			t.Strokes[0].Placement = steel.Placement{Kind: steel.Straight, First: 1, Last: 6, FirstFret: 60, LastFret: 60}
		}, "not between 20 and 5000"},
		{"no number", Options{}, func(t *tab.Tab) {
			nan := math.NaN()
			t.Strokes[0].Placement = steel.Placement{Kind: steel.Straight, First: 1, Last: 6, FirstFret: nan, LastFret: nan}
		}, "NaN"},
		{"another body", Options{}, func(t *tab.Tab) {
			t.Rig = t.Rig.Clone()
			t.Rig.Body = "bucket"
		}, `"bucket"`},
		{"hours", Options{}, func(t *tab.Tab) { t.Tune.Bars[0].Tempos[0].PerMinute = 1 }, "most that is sounded"},
		{"strokes without end", Options{}, func(t *tab.Tab) {
			t.Tune.Bars[0].Tempos[0].PerMinute = 1_000_000_000
			st := t.Strokes[0]
			for range maxStrokes {
				t.Strokes = append(t.Strokes, st)
			}
		}, "more than 90000 strokes"},
		{"no rig", Options{}, func(t *tab.Tab) { t.Rig = nil }, "no tune on a rig"},
	} {
		tb := good()
		if c.bend != nil {
			c.bend(tb)
		}
		for _, try := range []func() (bool, error){
			func() (bool, error) { a, err := Render(tb, c.o); return a == nil, err },
			func() (bool, error) { a, err := Timeline(tb, c.o); return a == nil, err },
		} {
			none, err := try()
			var f *fault.Fault
			if !none || !errors.As(err, &f) || !strings.Contains(err.Error(), c.want) {
				t.Errorf("%s: %v; want a fault that says %q, and no result", c.what, err, c.want)
			}
		}
	}
}

// Progress is told in rising steps up to 1, and can stop the work.
func TestProgress(t *testing.T) {
	tb := everything(t, "lap6-c6")
	var seen []float64
	if _, err := Render(tb, Options{Progress: func(d float64) bool { seen = append(seen, d); return true }}); err != nil {
		t.Fatal(err)
	}
	if len(seen) < 3 || !slices.IsSorted(seen) || seen[len(seen)-1] != 1 {
		t.Errorf("progress was told as %v", seen)
	}
	a, err := Render(tb, Options{Progress: func(d float64) bool { return d < 0.4 }})
	if a != nil || !errors.Is(err, ErrStopped) {
		t.Errorf("asked to stop: %v", err)
	}
}

// A tune of rests is silence, not an error.
func TestRestsAreSilent(t *testing.T) {
	tb := makeTab(t, rigtest.Builtin(t, "lap6-c6"), 120, note{str: 1, fret: 5, len: 4})
	tb.Strokes = nil
	tb.Tune.Bars[0].Lines[0] = []tune.Event{{Len: tune.Whole, Kind: tune.Rest, Value: tune.Value{BarRest: true}}}
	a, err := Render(tb, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if loudestOf(a.Channels[0]) != 0 {
		t.Error("a rest makes a sound")
	}
}
