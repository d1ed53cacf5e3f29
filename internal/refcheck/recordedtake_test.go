package refcheck

import (
	"math"
	"math/rand"
	"slices"
	"testing"

	"lapwright/internal/further"
	"lapwright/listen"
	"lapwright/listen/listentest"
	"lapwright/rig/rigtest"
	"lapwright/sound"
	"lapwright/sound/filter"
	"lapwright/steel"
	"lapwright/tab"
)

// bank holds the recorded strings, cut where they begin, by key.
type bank map[int][]float32

func recordedStringsBank(t *testing.T) bank {
	t.Helper()
	out := bank{}
	for _, s := range recordedStrings {
		x := stroke(recorded(t, s.name))
		y := make([]float32, len(x))
		for i, v := range x {
			y[i] = float32(v)
		}
		out[s.key] = y
	}
	return out
}

// note returns the recorded string nearest to a key, moved to it by resampling, and
// so many seconds of it. Every other property of the recording moves along.
func (b bank) note(key, seconds float64) []float32 {
	best := 0
	for k := range b {
		if best == 0 || math.Abs(float64(k)-key) < math.Abs(float64(best)-key) || math.Abs(float64(k)-key) == math.Abs(float64(best)-key) && k < best {
			best = k
		}
	}
	up := math.Exp2((key - float64(best)) / 12)
	n := min(len(b[best]), int(seconds*up*sound.Rate)+64)
	x := filter.Resample(b[best][:n], 1/up)
	return x[:min(len(x), int(seconds*sound.Rate))]
}

// fade takes the last seconds of a note to silence.
func fade(x []float32, seconds float64) {
	n := min(len(x), int(seconds*sound.Rate))
	for i := range n {
		x[len(x)-1-i] *= float32(0.5 - 0.5*math.Cos(math.Pi*float64(i)/float64(n)))
	}
}

// struck is one recorded note of a take.
type struck struct {
	at, seconds, key float64
	gain             float32
}

// assemble puts recorded notes together, with half a second before them and after.
func (b bank) assemble(notes []struck) (samples []float32, onsets []float64) {
	const lead = 0.5
	end := 0.0
	for _, n := range notes {
		end = max(end, n.at+n.seconds)
	}
	samples = make([]float32, int((end+2*lead)*sound.Rate))
	for _, n := range notes {
		x := b.note(n.key, n.seconds)
		fade(x, 0.03)
		from := int((n.at + lead) * sound.Rate)
		for i, v := range x {
			if from+i < len(samples) {
				samples[from+i] += n.gain * v
			}
		}
		onsets = append(onsets, n.at+lead)
	}
	slices.Sort(onsets)
	return samples, onsets
}

// recordedTake plays a tab with recorded strings: notes so many cents off, those in
// missed left out, and what comes beyond the tab.
func recordedTake(t *testing.T, b bank, want *tab.Tab, cents map[int]float64, missed map[int]bool, extra []struck) ([]float32, []float64) {
	t.Helper()
	times, err := sound.Timeline(want, sound.Options{})
	if err != nil {
		t.Fatal(err)
	}
	g := steel.New(want.Rig)
	notes := slices.Clone(extra)
	for i := range want.Strokes {
		if missed[i] {
			continue
		}
		until := times.Strokes[i].At + 2.5
		if i+1 < len(times.Strokes) {
			until = min(until, times.Strokes[i+1].At+0.02)
		}
		for _, e := range extra {
			if e.at > times.Strokes[i].At {
				until = min(until, e.at+0.02)
			}
		}
		for k := range want.Strokes[i].Plucks {
			key := tab.Key(g, &want.Strokes[i], &want.Strokes[i].Plucks[k])
			notes = append(notes, struck{times.Strokes[i].At, until - times.Strokes[i].At, key + cents[i]/100, 0.5})
		}
	}
	return b.assemble(notes)
}

func reviewOf(t *testing.T, samples []float32, want *tab.Tab) *listen.Reviewed {
	t.Helper()
	take, err := listen.NewTake(samples, sound.Rate)
	if err != nil {
		t.Fatal(err)
	}
	v, err := listen.Review(take, want, listen.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if v.Refused != "" {
		t.Fatalf("refused: %s", v.Refused)
	}
	return v
}

func share(v []float64, q float64) float64 {
	v = slices.Clone(v)
	slices.Sort(v)
	if len(v) == 0 {
		return math.NaN()
	}
	return v[min(len(v)-1, int(q*float64(len(v))))]
}

// Not only our own sound: takes put together from recorded strings (recordedBank),
// each moved by known cents by resampling. A recorded string has its own tuning, so
// what is judged is how far a note moved from the same note of a take in which nothing was put in.
func TestRecordedNotesAreMeasured(t *testing.T) {
	b := recordedStringsBank(t)
	var off, onset []float64
	notes, measured := 0, 0
	takes := further.Few(2, 4)
	for k := range takes {
		r := rigtest.Builtin(t, []string{"reso-open-g", "lap6-c6"}[k%2])
		want := listentest.Line(r, int64(700+k), 40, 12)
		rnd := rand.New(rand.NewSource(int64(k)))
		cents := map[int]float64{}
		for i := range want.Strokes {
			cents[i] = 12 * rnd.NormFloat64()
		}
		plain, _ := recordedTake(t, b, want, nil, nil, nil)
		control := reviewOf(t, plain, want)
		samples, onsets := recordedTake(t, b, want, cents, nil, nil)
		v := reviewOf(t, samples, want)
		if len(v.Notes) != len(want.Strokes) || len(control.Notes) != len(want.Strokes) {
			t.Errorf("take %d: %d notes and %d of the control, of %d", k, len(v.Notes), len(control.Notes), len(want.Strokes))
			continue
		}
		notes += len(v.Notes)
		for i, n := range v.Notes {
			if n.Status != listen.Played || math.IsNaN(n.Cents) || math.IsNaN(control.Notes[i].Cents) {
				t.Logf("take %d note %d string %d fret %g: %s", k, i, n.String, n.Fret, n.Status)
				continue
			}
			measured++
			e := math.Abs(n.Cents - control.Notes[i].Cents - cents[i])
			off = append(off, e)
			onset = append(onset, math.Abs(n.Onset-onsets[i]))
			if e > 8 {
				t.Logf("take %d note %d string %d fret %g: %.1f for %.1f (sure %v)", k, i, n.String, n.Fret, n.Cents-control.Notes[i].Cents, cents[i], n.Sure)
			}
		}
	}
	t.Logf("%d recorded notes, %d measured: median %.2f cents, 95 %% within %.2f; onsets 95 %% within %.1f ms", notes, measured, share(off, 0.5), share(off, 0.95), 1000*share(onset, 0.95))
	if notes < 38*takes || measured*100 < 95*notes || !(share(off, 0.5) < 2) || !(share(onset, 0.95) < 0.02) {
		t.Errorf("want 95 of 100 recorded notes measured, the median below 2 cents, onsets within 20 ms")
	}
}

// What a player left out of recorded notes, and what came beyond the tab: as loud as the others and
// 6 dB softer, and then a third of it 12 dB softer, which is told less well.
func TestMissedAndExtraRecordedNotes(t *testing.T) {
	b := recordedStringsBank(t)
	missedAndExtra(t, b, further.Few(3, 5), []float32{0.5, 0.25}, 0.95)
	missedAndExtra(t, b, further.Few(4, 9), []float32{0.5, 0.25, 0.125}, 0.93)
}

// missedAndExtra demands an F-measure of takes whose extra notes have gains, 0.5 being that of the others.
func missedAndExtra(t *testing.T, b bank, takes int, gains []float32, wanted float64) {
	t.Helper()
	right, found, there := 0, 0, 0
	for k := range takes {
		r := rigtest.Builtin(t, []string{"reso-open-g", "lap6-c6"}[k%2])
		want := listentest.Line(r, int64(800+k), 48, 12)
		times, err := sound.Timeline(want, sound.Options{})
		if err != nil {
			t.Fatal(err)
		}
		rnd := rand.New(rand.NewSource(int64(k)))
		g := steel.New(r)
		missed := map[int]bool{}
		var extra []struck
		for i := 1; i+1 < len(want.Strokes); i++ {
			switch length := times.Strokes[i+1].At - times.Strokes[i].At; {
			case rnd.Intn(14) == 0:
				missed[i] = true
			case rnd.Intn(12) == 0 && length > 0.5:
				// Half way, another pitch, as loud or much softer.
				key := tab.Key(g, &want.Strokes[i], &want.Strokes[i].Plucks[0]) + 3
				extra = append(extra, struck{times.Strokes[i].At + length/2, length / 2, key, gains[rnd.Intn(len(gains))]})
			}
		}
		samples, _ := recordedTake(t, b, want, nil, missed, extra)
		v := reviewOf(t, samples, want)
		there += len(missed) + len(extra)
		if len(v.Notes) != len(want.Strokes) {
			t.Errorf("take %d: %d notes of %d", k, len(v.Notes), len(want.Strokes))
			continue
		}
		for i, n := range v.Notes {
			switch {
			case n.Status == listen.Missed && missed[i]:
				right++
				found++
			case n.Status == listen.Missed:
				found++
				t.Logf("take %d: note %d string %d fret %g at %.2f s is no missed one", k, i, n.String, n.Fret, n.Onset)
			case missed[i]:
				t.Logf("take %d: note %d string %d fret %g is missed and called %s (key %.0f after %.0f)", k, i, n.String, n.Fret, n.Status, n.Key, v.Notes[i-1].Key)
			}
		}
		found += len(v.Extra)
		used := map[int]bool{}
		for _, e := range extra {
			if i := slices.IndexFunc(v.Extra, func(x listen.Extra) bool { return math.Abs(x.Onset-e.at-0.5) < 0.05 }); i >= 0 && !used[i] {
				used[i] = true
				right++
			} else {
				t.Logf("take %d: the extra note at %.2f s, gain %g, is not told", k, e.at+0.5, e.gain)
			}
		}
		for i, x := range v.Extra {
			if !used[i] {
				t.Logf("take %d: %s at %.2f s is no extra", k, x.Pitch, x.Onset)
			}
		}
	}
	f := 2 * float64(right) / float64(found+there)
	t.Logf("missed and extra recorded notes, gains %v: %d there, %d told, %d right: F %.3f", gains, there, found, right, f)
	if there < 3*takes || f <= wanted {
		t.Errorf("gains %v: F %.3f of %d, want above %g", gains, f, there, wanted)
	}
}

// Two recorded strings at once, each moved by known cents. Witnesses: the trackers of
// TestPitchAgainstTrackers, each of which tells one pitch at a time.
func TestRecordedDoubleStopsAreMeasured(t *testing.T) {
	b := recordedStringsBank(t)
	r := rigtest.Builtin(t, "reso-open-g")
	rnd := rand.New(rand.NewSource(9))
	var spots []listentest.Spot
	for i := range 30 {
		a := 1 + i%5
		f := float64(1 + rnd.Intn(10))
		spots = append(spots, listentest.Spot{Strings: []int{a, a + 1}, Frets: []float64{f, f}, Len: listentest.Quarter})
	}
	want := listentest.Lay(r, 70, spots)
	times, err := sound.Timeline(want, sound.Options{})
	if err != nil {
		t.Fatal(err)
	}
	g := steel.New(r)
	play := func(scale float64) ([]float32, [][2]float64) {
		rnd := rand.New(rand.NewSource(5))
		var notes []struck
		var cents [][2]float64
		for i := range want.Strokes {
			var c [2]float64
			for k := range 2 {
				c[k] = scale * 10 * rnd.NormFloat64()
				key := tab.Key(g, &want.Strokes[i], &want.Strokes[i].Plucks[k])
				notes = append(notes, struck{times.Strokes[i].At, 0.85, key + c[k]/100, 0.4})
			}
			cents = append(cents, c)
		}
		x, _ := b.assemble(notes)
		return x, cents
	}
	plain, _ := play(0)
	control := reviewOf(t, plain, want)
	samples, cents := play(1)
	v := reviewOf(t, samples, want)
	if len(v.Notes) != 2*len(want.Strokes) || len(control.Notes) != len(v.Notes) {
		t.Fatalf("%d notes, %d of the control", len(v.Notes), len(control.Notes))
	}
	var off []float64
	for i, n := range v.Notes {
		if n.Sure && control.Notes[i].Sure {
			e := math.Abs(n.Cents - control.Notes[i].Cents - cents[i/2][i%2])
			off = append(off, e)
			if e > 10 {
				t.Logf("stroke %d string %d fret %g: %.1f for %.1f", i/2, n.String, n.Fret, n.Cents-control.Notes[i].Cents, cents[i/2][i%2])
			}
		}
	}
	t.Logf("%d strings of recorded double stops, %d sure: median %.2f cents, 95 %% within %.2f", len(v.Notes), len(off), share(off, 0.5), share(off, 0.95))
	ours, theirs := doubleStopsTold(t, samples, times, v)
	for name, n := range theirs {
		t.Logf("of %d strings told within 50 cents: ours %d, %s %d", 2*strokesHeard, ours, name, n)
		if n >= ours {
			t.Errorf("%s tells %d strings of double stops, we tell %d", name, n, ours)
		}
	}
	if len(off)*10 < 8*len(v.Notes) || !(share(off, 0.5) < 3) {
		t.Error("want 8 of 10 told, the median below 3 cents")
	}
}

// strokesHeard is how many strokes of a take the trackers hear.
const strokesHeard = 12

// doubleStopsTold counts the strings of the first strokes that are told within 50 cents: by
// the review, and by each tracker, whose median over a stroke counts.
func doubleStopsTold(t *testing.T, samples []float32, times *sound.Timing, v *listen.Reviewed) (ours int, theirs map[string]int) {
	t.Helper()
	end := times.Strokes[strokesHeard].At + 0.5
	theirs = map[string]int{}
	for _, h := range trackers(t, trackFile{samples: samples[:int(end*sound.Rate)]})[1:] {
		theirs[h.name] = 0
		for i := range strokesHeard {
			var hz []float64
			for j, at := range h.at {
				if from := times.Strokes[i].At + 0.5; at > from+0.15 && at < from+0.7 && h.hz[j] > 0 {
					hz = append(hz, h.hz[j])
				}
			}
			for k := range 2 {
				if math.Abs(1200*math.Log2(share(hz, 0.5)/float64(v.Notes[2*i+k].Wanted))) < 50 {
					theirs[h.name]++
				}
			}
		}
	}
	for _, n := range v.Notes[:2*strokesHeard] {
		if math.Abs(n.Cents) < 50 {
			ours++
		}
	}
	return ours, theirs
}
