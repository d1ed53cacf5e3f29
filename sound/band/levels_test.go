package band

import (
	"fmt"
	"testing"

	"lapwright/feel"
	"lapwright/notation/abc"
	"lapwright/rig"
	"lapwright/sound"
	"lapwright/sound/loudness"
	"lapwright/tab"
	"lapwright/tune"
)

// song is a tune of eight bars in a feel's first meter: chords by symbols, and a melody well above them.
func song(t testing.TB, f *feel.Feel, chords ...string) *tab.Tab {
	t.Helper()
	m := f.Figures[0].Meter()
	src := fmt.Sprintf("X:1\nT:exercise\nM:%d/%d\nL:1/%d\nQ:1/4=100\nK:G\n", m.Beats, m.Unit, m.Unit)
	for i, c := range chords {
		if i%4 == 0 && i > 0 {
			src += "\n"
		}
		src += fmt.Sprintf("%q", c)
		for k := range m.Beats {
			src += string("dgbage"[(i+k)%6])
		}
		src += "|"
	}
	return read(t, src)
}

// read reads a tune and gives it to a rig without a note on it.
func read(t testing.TB, src string) *tab.Tab {
	t.Helper()
	tunes, _, err := abc.Read([]byte(src), "exercise.abc")
	if err != nil {
		t.Fatal(err)
	}
	r, _ := rig.Builtin("reso-open-g")
	return &tab.Tab{Tune: tunes[0], Rig: r}
}

// heard sounds some of the players alone for a tab.
func heard(t testing.TB, tb *tab.Tab, f *feel.Feel, which string, o sound.Options) [2][]float32 {
	t.Helper()
	b, err := NewBacking(tb, f)
	if err != nil {
		t.Fatal(err)
	}
	made, err := b.Begin(tb, o)
	if err != nil {
		t.Fatal(err)
	}
	p := made.(*players)
	perf := tb.Performance()
	at := func(x tune.Ticks) int { return int(perf.Clock.Seconds(x)*sound.Rate + 0.5) }
	sc := p.b.write(perf, at)
	if which != "all" && which != "guitar" {
		sc.guitar = nil
	}
	if which != "all" && which != "bass" {
		sc.bass = nil
	}
	if which != "all" && which != "brush" {
		sc.brush = nil
	}
	p.guitar.Play(sc.guitar, 0, 0)
	p.bass.Play(sc.bass, 0, 0)
	p.brush.play(sc.brush, 0, 0)
	n := at(perf.Clock.Len()) + sound.Rate
	left, right := make([]float64, n), make([]float64, n)
	p.Add(left, right)
	var out [2][]float32
	for i := range n {
		out[0], out[1] = append(out[0], float32(left[i])), append(out[1], float32(right[i]))
	}
	return out
}

func lufs(x [2][]float32) (float64, float64) {
	var m loudness.Meter
	m.Add(x[0], x[1])
	return m.Loudness(), m.TruePeak()
}

// The band lies 6 LU under the lead, whatever the feel, within 2.5; none of it is heard alone, and no peak of it
// comes near the ceiling, which is the lead's.
func TestBackingLevels(t *testing.T) {
	for _, f := range feel.All() {
		apart := f.Name == "boom-chuck" || f.Name == "forward roll" // a brush and a shaker
		if testing.Short() && !apart {
			continue // the others differ in what is struck, not in how it sounds
		}
		tb := song(t, f, "G", "C", "D7", "G")
		line := f.Name
		parts := map[string]float64{}
		which := []string{"all"}
		if apart {
			which = []string{"guitar", "bass", "brush", "all"}
		}
		for _, w := range which {
			l, p := lufs(heard(t, tb, f, w, sound.Options{}))
			parts[w] = l
			line += fmt.Sprintf("  %s %.1f LUFS, %.1f dBTP", w, l, p)
			if w == "all" && p > -4 {
				t.Errorf("%s: the band peaks at %.1f dBTP", f.Name, p)
			}
		}
		t.Log(line)
		if want := sound.DefaultLoudness - 6; parts["all"] < want-2.5 || parts["all"] > want+2.5 {
			t.Errorf("%s: the band has %.1f LUFS, want %.1f", f.Name, parts["all"], want)
		}
		for w, l := range parts {
			if l < parts["all"]-14 {
				t.Errorf("%s: the %s is lost at %.1f LUFS of %.1f", f.Name, w, l, parts["all"])
			}
		}
	}
}
