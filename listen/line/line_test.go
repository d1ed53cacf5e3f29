package line

import (
	"math"
	"testing"

	"lapwright/listen"
	"lapwright/listen/listentest"
	"lapwright/pitch"
	"lapwright/rig/rigtest"
	"lapwright/sound"
	"lapwright/steel"
	"lapwright/tab"
)

func hear(t *testing.T, samples []float32) *listen.Take {
	t.Helper()
	take, err := listen.NewTake(samples, sound.Rate)
	if err != nil {
		t.Fatal(err)
	}
	return take
}

// What was sounded is known, so note onset F-measure and pitch are those of the
// MIREX note tracking task: an onset counts within 50 ms, a pitch within half a
// semitone.
func TestTranscribedLines(t *testing.T) {
	var right, found, there int
	lines, notes := 4, 24
	if testing.Short() {
		lines, notes = 1, 10
	}
	for k := range lines {
		r := rigtest.Builtin(t, []string{"reso-open-g", "lap6-c6"}[k%2])
		want := listentest.Line(r, int64(700+k), notes, 12)
		samples := listentest.Mono(t, want, sound.Options{})
		times, err := sound.Timeline(want, sound.Options{})
		if err != nil {
			t.Fatal(err)
		}
		w := Transcribe(hear(t, samples), r)
		if w.Refused != "" {
			t.Errorf("line %d: refused: %s", k, w.Refused)
			continue
		}
		if bad := w.Tune.Check(); len(bad) > 0 {
			t.Errorf("line %d: the tune is wrong: %v", k, bad)
		}
		g := steel.New(r)
		there += len(want.Strokes)
		found += len(w.Notes)
		used := make([]bool, len(w.Notes))
		for i := range want.Strokes {
			key := int(math.Round(tab.Key(g, &want.Strokes[i], &want.Strokes[i].Plucks[0])))
			for j, n := range w.Notes {
				if !used[j] && math.Abs(n.Onset-times.Strokes[i].At) < 0.05 && n.Name.Key() == key {
					used[j] = true
					right++
					break
				}
			}
		}
	}
	f := 2 * float64(right) / float64(found+there)
	t.Logf("%d of %d found and %d there: F %.3f", right, found, there, f)
	if !(f >= 0.85) {
		t.Errorf("note F-measure %.3f, want 0.85", f)
	}
}

func TestOpenStringsStand(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g")
	var plucks []struck
	for s := len(r.Strings); s >= 1; s-- {
		at := 0.1 + float64(len(plucks))
		plucks = append(plucks, struck{at, at + 0.9, float64(pitch.Equal(float64(r.OpenKey(s, 0))+0.07*float64(s-3), r.Reference))})
	}
	v, err := Strings(heard(t, plain(6.1, plucks...)), r, nil)
	if err != nil || v.Refused != "" {
		t.Fatal(err, v.Refused)
	}
	for _, s := range v.Strings {
		if off := float64(pitch.Between(s.Wanted, s.Hz)); !s.Heard || math.Abs(off-7*float64(s.String-3)) > 0.2 {
			t.Errorf("string %d: heard %v, %.2f cents, want %d", s.String, s.Heard, off, 7*(s.String-3))
		}
	}
}
