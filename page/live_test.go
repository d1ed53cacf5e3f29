package page

import (
	"bytes"
	"encoding/binary"
	"math"
	"testing"

	"lapwright/arrange"
	"lapwright/notation/tabtext"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/sound"
	"lapwright/tab"
	"lapwright/tune/tunetest"
)

// sounded is a tab that a page sounds: eight bars of quarters.
func sounded(t *testing.T) (instrument, text string, placed *tab.Tab) {
	t.Helper()
	tune := tunetest.Score(t, "G", "D4:4 G4:4 A4:4 B4:4 D4:4 B4:4 A4:4 G4:4 D4:4 G4:4 A4:4 B4:4 G4:1")
	r, _ := rig.Builtin("reso-open-g")
	res, err := arrange.Arrange(t.Context(), tune, r, arrange.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return string(rig.Format(res.Tab.Rig)), string(tabtext.Format(res.Tab)), res.Tab
}

// TestLiveFromTheStart: blocks of a page are those that the command sounds.
func TestLiveFromTheStart(t *testing.T) {
	instrument, text, placed := sounded(t)
	gain, err := sound.Gain(placed, sound.Options{})
	if err != nil {
		t.Fatal(err)
	}
	l, err := new(Stage).Begin(&report.Wished{Rig: instrument, Tab: text, Speed: 1, Gain: &gain})
	if err != nil {
		t.Fatal(err)
	}
	want, err := sound.NewLive(placed, sound.Options{Speed: 1, Gain: &gain})
	if err != nil {
		t.Fatal(err)
	}
	if err := want.Start(0); err != nil {
		t.Fatal(err)
	}
	total := 0
	for {
		a := l.Next(2400)
		if a == nil {
			break
		}
		b := want.Next(2400)
		if b == nil || !bytes.Equal(bits(a.Left), bits(b.Left)) || !bytes.Equal(bits(a.Right), bits(b.Right)) {
			t.Fatalf("they part within the block at sample %d", total)
		}
		total += a.Len()
	}
	if total < 8*sound.Rate {
		t.Errorf("it sounds %d samples", total)
	}
}

func bits(s []float32) []byte {
	var out []byte
	for _, v := range s {
		out = binary.LittleEndian.AppendUint32(out, math.Float32bits(v))
	}
	return out
}

// TestLiveWhere: it begins where it is told to, at any speed, and knows where it is;
// a loop comes round to its first bar.
func TestLiveWhere(t *testing.T) {
	instrument, text, placed := sounded(t)
	gain := 0.0
	var stage Stage
	for _, speed := range []float64{0.3, 1, 1.5} {
		l, err := stage.Begin(&report.Wished{Rig: instrument, Tab: text, Speed: speed, Where: report.Where{Pass: 2, Past: 0.75}, Loop: &[2]int{1, 3}, Gain: &gain})
		if err != nil {
			t.Fatal(err)
		}
		near := func(got report.Where, pass int, past float64) bool {
			return got.Pass == pass && math.Abs(got.Past-past) < 2e-3
		}
		if at := l.Now(); !near(at, 2, 0.75) {
			t.Errorf("at %v it begins at %+v", speed, at)
		}
		seconds := 0.0
		step := func(n int) {
			for n > 0 {
				b := l.Next(n)
				if b == nil {
					t.Fatal("a loop has ended")
				}
				n -= b.Len()
				seconds += float64(b.Len()) / sound.Rate
			}
		}
		step(sound.Rate / 2)
		if at := l.Now(); !near(at, 2, 0.75+0.5*speed) {
			t.Errorf("at %v it is half a second later at %+v", speed, at)
		}
		bar := 0.0
		for prev := l.Now(); ; prev = l.Now() {
			step(480)
			if at := l.Now(); at.Pass != prev.Pass {
				if at.Pass == 1 {
					if bar > 0 {
						p := placed.Performance()
						if want := p.Clock.Seconds(p.Passes[3].Start) - p.Clock.Seconds(p.Passes[1].Start); math.Abs((seconds-bar)*speed-want) > 0.02 {
							t.Errorf("at %v a round lasts %.3f s, want %.3f", speed, seconds-bar, want/speed)
						}
						break
					}
					bar = seconds
				}
			}
		}
	}
	for _, w := range []report.Wished{{Speed: 1, Where: report.Where{Pass: 99}}, {Speed: 9}, {Speed: 1, Loop: &[2]int{3, 99}}, {Speed: 1, Where: report.Where{Past: -1}}, {Speed: 1, Where: report.Where{Past: math.NaN()}}} {
		w.Rig, w.Tab = instrument, text
		if _, err := stage.Begin(&w); err == nil {
			t.Errorf("%+v is taken", w)
		}
	}
}
