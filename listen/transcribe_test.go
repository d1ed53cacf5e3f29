package listen

import (
	"math"
	"testing"

	"lapwright/pitch"
	"lapwright/rig/rigtest"
	"lapwright/sound"
)

// What was sounded is known, so note onset F-measure and pitch are those of the
// MIREX note tracking task: an onset counts within 50 ms, a pitch within half a
// semitone.
func TestTranscribedLines(t *testing.T) {
	var h hits
	for k := range 4 {
		r := rigtest.Builtin(t, []string{"reso-open-g", "lap6-c6"}[k%2])
		want := line(r, int64(700+k), 32, 12)
		samples := mono(t, want, sound.Options{})
		times, err := sound.Timeline(want, sound.Options{})
		if err != nil {
			t.Fatal(err)
		}
		w := Transcribe(hear(t, samples, sound.Rate), r)
		if w.Refused != "" {
			t.Errorf("line %d: refused: %s", k, w.Refused)
			continue
		}
		if bad := w.Tune.Check(); len(bad) > 0 {
			t.Errorf("line %d: the tune is wrong: %v", k, bad)
		}
		score := newScore(want, make([]float64, len(r.Strings)))
		h.there += len(score.wants)
		h.found += len(w.Notes)
		used := make([]bool, len(w.Notes))
		for i := range score.wants {
			for j, n := range w.Notes {
				if !used[j] && math.Abs(n.Onset-times.Strokes[i].At) < 0.05 && n.Name.Key() == int(math.Round(score.wants[i].key)) {
					used[j] = true
					h.right++
					break
				}
			}
		}
	}
	t.Logf("%+v: F %.3f", h, h.f())
	if h.f() < 0.85 {
		t.Errorf("note F-measure %.3f, want 0.85", h.f())
	}
}

func TestOpenStringsStand(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g")
	var tones []pitch.Hz
	for s := len(r.Strings); s >= 1; s-- {
		tones = append(tones, pitch.Equal(float64(r.OpenKey(s, 0))+0.07*float64(s-3), r.Reference))
	}
	v, err := Strings(hear(t, sound.Tones(tones).Channels[0], sound.Rate), r, nil)
	if err != nil || v.Refused != "" {
		t.Fatal(err, v.Refused)
	}
	for _, s := range v.Strings {
		if off := float64(pitch.Between(s.Wanted, s.Hz)); !s.Heard || math.Abs(off-7*float64(s.String-3)) > 0.2 {
			t.Errorf("string %d: heard %v, %.2f cents, want %d", s.String, s.Heard, off, 7*(s.String-3))
		}
	}
}
