package refcheck

import (
	"bytes"
	"fmt"
	"math"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"
	"gitlab.com/gomidi/midi/v2/smf"

	"lapwright/arrange"
	"lapwright/notation/abc"
	"lapwright/notation/midi"
	"lapwright/rig/rigtest"
	"lapwright/sound"
	"lapwright/tab"
	"lapwright/tune"
)

// evenEighths is a tune of eighths written alike, of a kind and so many quarters a minute, on a rig. Its last note is long.
func evenEighths(t *testing.T, rigName, kind string, perMinute int) *tab.Tab {
	t.Helper()
	src := fmt.Sprintf("X:1\nT:Lantern Row\nR:%s\nM:4/4\nL:1/8\nQ:1/4=%d\nK:G\nGBdB GBdB|AcdB AcdB|G8|]\n", kind, perMinute)
	tunes, _, err := abc.Read([]byte(src), "swing.abc")
	if err != nil {
		t.Fatal(err)
	}
	res, err := arrange.Arrange(t.Context(), tunes[0], rigtest.Builtin(t, rigName), arrange.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return res.Tab
}

// heardOnset returns when a stroke is heard in a recording, near a time in seconds: where the level of its third difference over 3
// ms is highest against the 3 ms before.
func heardOnset(x []float64, near float64) float64 {
	const ms = sound.Rate / 1000
	first := int((near - 0.045) * 1000)
	var level []float64
	for i := first; i < first+90; i++ {
		sum := 1e-12
		for k := i * ms; k < (i+1)*ms; k++ {
			d := x[k] - 3*x[k-1] + 3*x[k-2] - x[k-3]
			sum += d * d
		}
		level = append(level, sum)
	}
	best, at := 0.0, 0
	for i := 3; i+3 <= len(level); i++ {
		if rise := (level[i] + level[i+1] + level[i+2]) / (level[i-3] + level[i-2] + level[i-1]); rise > best {
			best, at = rise, i
		}
	}
	return float64(first+at) / 1000
}

// TestLeadSwings: eighths that are written alike in a tune of a kind that is swung are parted by lead and MIDI file as players
// part them, with no band about. Witness: A. Friberg and A. Sundström, Swing ratios and ensemble timing in jazz performance, Music
// Perception 19 (2002), 333 (abstract): from middle to quick tempos the short note lasts about 100 ms whatever the tempo, which is 2:1
// at 200 quarters a minute and 1:1 at 300. Slower, a melody's ratio lies between 1.3 and 2 (C. Corcoran and K. Frieler, Music Perception
// 38, 2021, 372; abstract). What is written stays: the tab is that of the same notes as a reel (and in TestArrangingDocument what it was). The MIDI file is read by gomidi.
func TestLeadSwings(t *testing.T) {
	for _, c := range []struct {
		rig, kind string
		perMinute int
		least     float64 // the least and the most that the second eighth of a quarter lasts, in milliseconds
		most      float64
	}{
		{"reso-open-g", "swing", 132, 454.5 / 3, 454.5 / 2.3}, {"lap6-c6", "western swing", 200, 100, 100}, {"reso-open-g", "swing", 240, 100, 100},
		{"reso-open-g", "swing", 300, 100, 100}, {"bender-open-d", "slow blues", 84, 714.3 / 3, 714.3 / 2.3}, {"reso-open-g", "reel", 200, 150, 150},
		{"reso-open-g", "straight blues", 84, 714.3 / 2, 714.3 / 2},
	} {
		tb := evenEighths(t, c.rig, c.kind, c.perMinute)
		written := evenEighths(t, c.rig, "reel", c.perMinute)
		if d := gocmp.Diff(written.Strokes, tb.Strokes); d != "" {
			t.Errorf("%s at %d on %s: the tab is not that of a reel: %s", c.kind, c.perMinute, c.rig, d)
		}
		a, times := hearTab(t, tb, sound.Options{Dry: true, Contact: new(float64)})
		x := mono(a, 0, a.Seconds())
		starts := noteStarts(t, tb)
		beat := 60 / float64(c.perMinute)
		offBeats := 0
		for _, st := range times.Strokes {
			stroke := &tb.Strokes[st.StrokeIndex]
			if stroke.At%(tune.Whole/4) == 0 {
				continue
			}
			offBeats++
			quarters := float64(stroke.BarIndex*4) + math.Ceil(float64(stroke.At)/float64(tune.Whole/4))
			short := func(at float64, what string) {
				if ms := (quarters*beat - at) * 1000; !(ms >= c.least-3 && ms <= c.most+3) {
					t.Errorf("%s at %d on %s: the second eighth before beat %g lasts %.1f ms %s, want %.1f to %.1f",
						c.kind, c.perMinute, c.rig, quarters+1, ms, what, c.least, c.most)
				}
			}
			short(heardOnset(x, st.At), "in the recording")
			short(nearest(starts, quarters*beat-(c.least+c.most)/2000), "in the MIDI file")
		}
		if offBeats != 8 {
			t.Errorf("%s: %d off-beats", c.kind, offBeats)
		}
	}
}

// noteStarts returns when the notes of a tab's MIDI file begin, in seconds, as gomidi reads it.
func noteStarts(t *testing.T, tb *tab.Tab) []float64 {
	t.Helper()
	b, _, err := midi.Encode(tb)
	if err != nil {
		t.Fatal(err)
	}
	file, err := smf.ReadFrom(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	var out []float64
	for _, track := range file.Tracks {
		at := int64(0)
		for _, e := range track {
			at += int64(e.Delta)
			var channel, key, velocity uint8
			if e.Message.GetNoteStart(&channel, &key, &velocity) {
				out = append(out, float64(file.TimeAt(at))/1e6)
			}
		}
	}
	return out
}

// nearest returns which of some times is nearest to one.
func nearest(times []float64, to float64) float64 {
	best := math.Inf(1)
	for _, at := range times {
		if math.Abs(at-to) < math.Abs(best-to) {
			best = at
		}
	}
	return best
}
