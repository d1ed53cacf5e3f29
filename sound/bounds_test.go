package sound

import (
	"math"
	"slices"
	"testing"

	"lapwright/rig/rigtest"
	"lapwright/sound/amp"
	"lapwright/sound/click"
	"lapwright/tune"
)

// What may be asked of the sound ends where the bounds say; what is left out has its
// usual value.
func TestOptionBounds(t *testing.T) {
	is := func(x float64) *float64 { return &x }
	nan := math.NaN()
	for _, c := range []struct {
		what string
		o    Options
		ok   bool
	}{
		{"nothing", Options{}, true},
		{"no noise of the steel", Options{Contact: is(0)}, true},
		{"the most", Options{Contact: is(MaxContact)}, true},
		{"more", Options{Contact: is(MaxContact + 0.1)}, false},
		{"less than none", Options{Contact: is(-0.1)}, false},
		{"noise that is no number", Options{Contact: &nan}, false},
		{"as soft as can be", Options{Strength: is(0)}, true},
		{"as loud", Options{Strength: is(1)}, true},
		{"softer", Options{Strength: is(-0.1)}, false},
		{"louder", Options{Strength: is(1.1)}, false},
		{"an amplifier driven fully", Options{Drive: is(1), Spring: is(1)}, true},
		{"not at all", Options{Drive: is(0), Spring: is(0)}, true},
		{"more than fully", Options{Drive: is(1.1)}, false},
		{"less than not", Options{Drive: is(-0.1)}, false},
		{"springs over all", Options{Spring: is(1.1)}, false},
		{"springs below none", Options{Spring: is(-0.1)}, false},
		{"the slowest", Options{Speed: SlowestSpeed}, true},
		{"slower", Options{Speed: SlowestSpeed - 0.01}, false},
		{"the fastest", Options{Speed: FastestSpeed}, true},
		{"faster", Options{Speed: FastestSpeed + 0.01}, false},
		{"a speed that is no number", Options{Speed: nan}, false},
		{"glides as usual", Options{Glides: 1}, true},
		{"the longest", Options{Glides: MaxGlides}, true},
		{"shorter", Options{Glides: 0.9}, false},
		{"longer", Options{Glides: MaxGlides + 0.1}, false},
		{"parts of beats clicked", Options{ClickOn: click.Subdivided}, true},
		{"a click of no kind", Options{ClickOn: click.Subdivided + 1}, false},
		{"a click that drops out for long", Options{ClickOut: click.MaxOut}, true},
		{"longer", Options{ClickOut: click.MaxOut + 1}, false},
		{"for less than no bar", Options{ClickOut: -1}, false},
		{"eight bars counted in", Options{CountIn: MaxCountIn}, true},
		{"nine", Options{CountIn: MaxCountIn + 1}, false},
		{"less than none", Options{CountIn: -1}, false},
		{"the highest gain", Options{Gain: is(maxGain)}, true},
		{"the lowest", Options{Gain: is(-maxGain)}, true},
		{"a higher one", Options{Gain: is(maxGain + 1)}, false},
		{"a lower one", Options{Gain: is(-maxGain - 1)}, false},
		{"the quietest", Options{Loudness: -40}, true},
		{"quieter", Options{Loudness: -41}, false},
		{"the loudest", Options{Loudness: -10}, true},
		{"louder", Options{Loudness: -9}, false},
	} {
		if _, err := c.o.settled(); (err == nil) != c.ok {
			t.Errorf("%s: %v", c.what, err)
		}
	}
	o, err := Options{}.settled()
	if err != nil || o.Speed != 1 || o.Loudness != DefaultLoudness || o.contact() != 1 || o.strength() != UsualStrength || o.glides() != 1 {
		t.Errorf("as usual: %+v, %v", o, err)
	}
	usual := amp.Voicing{Drive: 0.25, Spring: 0.5}
	for _, c := range []struct {
		o             Options
		drive, spring float64
	}{{Options{}, 0.25, 0.5}, {Options{Dry: true}, 0.25, 0}, {Options{Dry: true, Spring: is(0.125)}, 0.25, 0.125}, {Options{Drive: is(0)}, 0, 0.5}} {
		if d, s := c.o.amplifier(usual); d != c.drive || s != c.spring {
			t.Errorf("an amplifier with %+v: %g and %g, want %g and %g", c.o, d, s, c.drive, c.spring)
		}
	}
}

// A recording has one or two channels of one length, of numbers.
func TestAudioCheck(t *testing.T) {
	ch := func(x ...float32) []float32 { return x }
	inf := float32(math.Inf(-1))
	for _, c := range []struct {
		what string
		a    Audio
		ok   bool
	}{
		{"none", Audio{}, false},
		{"mono", Audio{Channels: [][]float32{ch(0, 1)}}, true},
		{"stereo", Audio{Channels: [][]float32{ch(0, 1), ch(1, 0)}}, true},
		{"three channels", Audio{Channels: [][]float32{ch(0), ch(0), ch(0)}}, false},
		{"a right side that is shorter", Audio{Channels: [][]float32{ch(0, 1), ch(1)}}, false},
		{"no number on the right", Audio{Channels: [][]float32{ch(0), ch(float32(math.NaN()))}}, false},
		{"no end", Audio{Channels: [][]float32{ch(inf)}}, false},
		{"empty", Audio{Channels: [][]float32{{}}}, true},
	} {
		if err := c.a.Check(); (err == nil) != c.ok {
			t.Errorf("%s: %v", c.what, err)
		}
	}
	if a := (&Audio{}); a.Len() != 0 || a.Seconds() != 0 {
		t.Errorf("nothing lasts %g s", a.Seconds())
	}
	if a := (&Audio{Channels: [][]float32{make([]float32, 72000)}}); a.Len() != 72000 || a.Seconds() != 1.5 {
		t.Errorf("72000 samples last %g s, want 1.5 at 48000 a second", a.Seconds())
	}
}

// What a file tells: title, and the tempo to a tenth at the speed that it is played at; what
// is not known is not told.
func TestTags(t *testing.T) {
	for _, c := range []struct {
		tags Tags
		want [][2]string
	}{
		{Tags{}, nil},
		{Tags{Title: "Slow Air"}, [][2]string{{"TITLE", "Slow Air"}}},
		{Tags{Title: "Slow Air", PerMinute: 72}, [][2]string{{"TITLE", "Slow Air"}, {"BPM", "72"}}},
		{Tags{PerMinute: 66.66}, [][2]string{{"BPM", "66.7"}}},
		{Tags{PerMinute: -1}, nil},
	} {
		if got := c.tags.Comments(); !slices.Equal(got, c.want) {
			t.Errorf("%+v: %v, want %v", c.tags, got, c.want)
		}
	}
	tb := makeTab(t, rigtest.Builtin(t, "lap6-c6"), 80, note{str: 1, fret: 5, len: 4})
	tb.Tune.Title = "Lane"
	for speed, want := range map[float64]float64{0: 80, 0.5: 40, 1: 80} {
		if got := TagsOf(tb, Options{Speed: speed}); got.PerMinute != want || got.Title != "Lane" {
			t.Errorf("at speed %g: %+v", speed, got)
		}
	}
}

// Parts of a block go together: cut, grown, copied and mixed alike, with a band or without.
func TestBlockParts(t *testing.T) {
	made := func(band bool) Block {
		b := Block{Left: []float32{1, 2, 3}, Right: []float32{4, 5, 6}, Click: []float32{10, 0, 0}, Contact: []float32{7, 8, 9}}
		if band {
			b.Backing = [2][]float32{{100, 200, 300}, {400, 500, 600}}
		}
		return b
	}
	for _, band := range []bool{false, true} {
		b := made(band)
		cut := b.slice(1, 3)
		if cut.Len() != 2 || cut.Left[0] != 2 || cut.Right[0] != 5 || cut.Click[0] != 0 || cut.Contact[1] != 9 || (cut.Backing[0] != nil) != band || band && (cut.Backing[0][0] != 200 || cut.Backing[1][1] != 600) {
			t.Errorf("cut: %+v", cut)
		}
		grown := made(band)
		grown.resize(5)
		if grown.Len() != 5 || len(grown.Contact) != 5 || grown.Right[2] != 6 || len(grown.Backing[1]) != map[bool]int{true: 5}[band] {
			t.Errorf("grown: %+v", grown)
		}
		grown.resize(2)
		grown.copy(&cut)
		if grown.Len() != 2 || !slices.Equal(grown.Left, cut.Left) || !slices.Equal(grown.Contact, cut.Contact) || !slices.Equal(grown.Backing[1], cut.Backing[1]) {
			t.Errorf("copied: %+v", grown)
		}
		b.Mix()
		want := [2][]float32{{11, 2, 3}, {14, 5, 6}}
		if band {
			want = [2][]float32{{111, 202, 303}, {414, 505, 606}}
		}
		if !slices.Equal(b.Left, want[0]) || !slices.Equal(b.Right, want[1]) {
			t.Errorf("mixed: %v and %v, want %v", b.Left, b.Right, want)
		}
	}
}

// The strength of the hand, from its constants' own words: 20 dB from softest to loudest, an
// edge two octaves shorter, a click 10 dB stronger, half of the usual distance nearer.
func TestStrokingBounds(t *testing.T) {
	db := func(x float64) float64 { return 20 * math.Log10(x) }
	for strength, want := range map[float64][4]float64{0: {-10, 1, -5, 1.25}, UsualStrength: {0, 0, 0, 1}, 1: {10, -1, 5, 0.75}} {
		s := strokingOf(strength)
		got := [4]float64{db(s.level), math.Log2(s.edge), db(s.snap), s.place}
		for i := range got {
			if math.Abs(got[i]-want[i]) > 1e-9 {
				t.Errorf("at strength %g: level %g dB, edge %g octaves, click %g dB, place %g; want %v", strength, got[0], got[1], got[2], got[3], want)
				break
			}
		}
	}
}

// What the gain is foretold from are rows of bars spread over the piece: in order, none
// twice, each long enough and by less than a bar too long; a piece that they would be most of is heard whole.
func TestStretches(t *testing.T) {
	bars := func(n int) *tune.Performance {
		tn := &tune.Tune{Voices: []tune.Voice{{ID: "1"}}}
		for range n {
			tn.Bars = append(tn.Bars, tune.Bar{Meter: tune.Meter{Beats: 4, Unit: 4}, Len: tune.Whole, Lines: [][]tune.Event{nil}})
		}
		tn.Bars[0].Tempos = []tune.Tempo{{Beat: tune.Whole / 4, PerMinute: 120_000}} // a bar lasts 2 s
		return tune.Perform(tn)
	}
	const seconds = 3.5 // two bars
	limit := int(math.Ceil(1.5 * foretoldStretches * seconds / 2))
	if got := stretches(bars(limit-1), seconds); got != nil {
		t.Errorf("%d bars are heard in part: %v", limit-1, got)
	}
	for _, n := range []int{limit, 4 * foretoldStretches, 97} {
		got := stretches(bars(n), seconds)
		if len(got) != foretoldStretches {
			t.Errorf("of %d bars %v are heard, want %d rows", n, got, foretoldStretches)
		}
		for k, s := range got {
			if s.To-s.From != 2 || s.To > n || k == 0 && s.From != 0 || k > 0 && s.From < got[k-1].To {
				t.Errorf("of %d bars %v are heard", n, got)
				break
			}
			if n == 97 && s.From != k*n/foretoldStretches {
				t.Errorf("row %d of %d bars begins at %d", k, n, s.From)
			}
		}
	}
	if got := stretches(&tune.Performance{}, seconds); got != nil {
		t.Errorf("of nothing %v is heard", got)
	}
}
