package listen

import (
	"flag"
	"math"
	"math/rand"
	"strconv"
	"testing"

	"lapwright/rig/rigtest"
	"lapwright/sound"
	"lapwright/tab"
)

// sweeping reports whether the whole sweep is asked for ("make sweeps").
func sweeping() bool {
	f := flag.Lookup("rapid.checks")
	n, err := strconv.Atoi(f.Value.String())
	return err == nil && n >= 1000
}

// taken is a line as it was played, errors put in, and what the ear says of its control.
type taken struct {
	want, take *tab.Tab
	samples    []float32
	times      *sound.Timing
	control    *Reviewed
}

// singleLines plays single lines with the steel off by a scatter of 15 cents.
func singleLines(t *testing.T) []taken {
	t.Helper()
	lines := 4
	if sweeping() {
		lines = 22
	}
	rigs := []string{"reso-open-g", "lap6-c6", "hollow-neck-open-d"}
	var takes []taken
	for k := range lines {
		r := rigtest.Builtin(t, rigs[k%len(rigs)])
		rnd := rand.New(rand.NewSource(int64(k)))
		want := line(r, int64(100+k), 48, 15)
		take := played(want)
		for i := range take.Strokes {
			c := 15 * rnd.NormFloat64()
			off(take, i, func(int) float64 { return c })
		}
		times, err := sound.Timeline(take, sound.Options{Seed: uint64(k)})
		if err != nil {
			t.Fatal(err)
		}
		control := review(t, mono(t, want, sound.Options{Seed: uint64(k)}), want)
		if control.Refused != "" || len(control.Notes) != len(want.Strokes) {
			t.Fatalf("line %d: the control has %d notes of %d %s", k, len(control.Notes), len(want.Strokes), control.Refused)
		}
		takes = append(takes, taken{want, take, mono(t, take, sound.Options{Seed: uint64(k)}), times, control})
	}
	return takes
}

// The errors are known because they were put in. What is judged is how far a note
// moved from the same note of a control, the same line with nothing put in, its steel
// exactly at the frets: the modelled bridge pulls the partials of a string from where
// the bare string has them (by −4.5 to +2.7 cents when fitted by least squares to single
// dry notes), so a note doesn't sound at its nominal pitch. That the ear has no lean of its
// own, which a control would hide, TestToneAgainstTheCramerRaoBound and the other tests of
// steady tones hold.
func TestSingleNotesAreMeasured(t *testing.T) {
	t.Parallel()
	takes := singleLines(t)
	for _, c := range []struct {
		name             string
		noise            float64
		median, most     float64
		onset, mm, found float64
	}{
		{"clean", math.Inf(1), 1, 4, 0.020, 0.8, 0.98},
		{"noise at 30 dB", 30, 1.5, 6, 0.020, 0.8, 0.98},
		{"noise at 20 dB", 20, 2, 10, 0.020, 0.8, 0.97},
		{"noise at 10 dB", 10, 4, 30, 0.030, 1.6, 0.9},
	} {
		var cents, onsets, mm, nominal, nominalMM []float64
		var sure, unsure []float64 // how far off notes are that are called so
		notes, measured, alone := 0, 0, 0
		for k, made := range takes {
			want, take, times, samples := made.want, made.take, made.times, made.samples
			if !math.IsInf(c.noise, 1) {
				samples = noisy(samples, c.noise, int64(k))
			}
			v := review(t, samples, want)
			if v.Refused != "" {
				t.Errorf("%s, line %d: refused: %s", c.name, k, v.Refused)
				continue
			}
			notes += len(want.Strokes)
			for i, n := range v.Notes {
				if len(v.Notes) != len(want.Strokes) {
					t.Errorf("%s, line %d: %d notes of %d", c.name, k, len(v.Notes), len(want.Strokes))
					break
				}
				if n.Status != Played || math.IsNaN(n.Cents) {
					if testing.Verbose() {
						was := Note{}
						if i > 0 {
							was = v.Notes[i-1]
						}
						t.Logf("line %d note %d string %d fret %g (%.2f s, key %.0f after %.0f): %s", k, i, n.String, n.Fret, n.Onset, n.Key, was.Key, n.Status)
					}
					continue
				}
				measured++
				is := 100 * (take.Strokes[i].Plucks[0].Fret - want.Strokes[i].Plucks[0].Fret)
				moved := n.Cents - made.control.Notes[i].Cents
				nominal = append(nominal, math.Abs(n.Cents-is))
				if math.IsNaN(moved) {
					// Nothing to judge it against: as far off as can be, not left out.
					moved = math.Inf(1)
					alone++
				}
				cents = append(cents, math.Abs(moved-is))
				if n.Sure && made.control.Notes[i].Sure {
					sure = append(sure, math.Abs(moved-is))
				} else {
					unsure = append(unsure, math.Abs(moved-is))
				}
				if testing.Verbose() && math.Abs(moved-is) > 8 && math.IsInf(c.noise, 1) {
					t.Logf("line %d note %d string %d fret %g: %.1f for %.1f (sure %v), key %.0f after %.0f", k, i, n.String, n.Fret, moved, is, n.Sure, n.Key, v.Notes[max(0, i-1)].Key)
				}
				onsets = append(onsets, math.Abs(n.Onset-times.Strokes[i].At))
				if !math.IsNaN(n.SteelMM) {
					place := func(fret float64) float64 { return -float64(want.Rig.Scale) * math.Exp2(-fret/12) }
					isMM := place(take.Strokes[i].Plucks[0].Fret) - place(n.Fret)
					nominalMM = append(nominalMM, math.Abs(n.SteelMM-isMM))
					// Where a steel sounds as the note does. What the ear takes for the
					// string's tuning is the control's part of it; no other was put in.
					sounds := is + made.control.Notes[i].Cents
					if v.Strings[n.String-1].Told {
						sounds -= made.control.Strings[n.String-1].Cents
					}
					if math.IsNaN(sounds) {
						sounds = math.Inf(1)
					}
					isMM = place(n.Fret+sounds/100) - place(n.Fret)
					mm = append(mm, math.Abs(n.SteelMM-isMM))
				}
			}
		}
		m, p := quantile(cents, 0.5), quantile(cents, 0.95)
		on, x := quantile(onsets, 0.95), quantile(mm, 0.95)
		t.Logf("%s: %d notes, %d measured, %d of them without a control; against the control: cents: median %.2f, 95 %% %.2f, worst %.1f; onset 95 %% %.1f ms; steel 95 %% %.2f mm", c.name, notes, measured, alone, m, p, quantile(cents, 1), 1000*on, x)
		t.Logf("%s, against the nominal pitch: cents: median %.2f, 95 %% %.2f, worst %.1f; steel 95 %% %.2f mm", c.name, quantile(nominal, 0.5), quantile(nominal, 0.95), quantile(nominal, 1), quantile(nominalMM, 0.95))
		knows(t, c.name, c.noise, notes, sure, unsure)
		if !(m < c.median) || !(p < c.most) || !(on < c.onset) || !(x < c.mm) || float64(measured) < c.found*float64(notes) || notes < 150 {
			t.Errorf("%s: want median below %g, 95 %% below %g cents, onsets within %g s, steel within %g mm, %g of the notes", c.name, c.median, c.most, c.onset, c.mm, c.found)
		}
	}
}

// knows judges whether the ear says when it doesn't know: at 20 dB of noise at least 85 of 100
// notes are sure, at 10 dB half of them, of those at most one in fifty lies over 10 cents off, and
// where there are enough others to tell, these are three times as far off.
func knows(t *testing.T, name string, noise float64, notes int, sure, unsure []float64) {
	t.Helper()
	wild := 0
	for _, v := range sure {
		if v > 10 {
			wild++
		}
	}
	share := float64(len(sure)) / float64(notes)
	t.Logf("%s: %.0f %% of the notes are sure, median %.2f cents, %d of %d over 10; %d not sure, median %.2f", name, 100*share, quantile(sure, 0.5), wild, len(sure), len(unsure), quantile(unsure, 0.5))
	least := 0.85
	if noise <= 10 {
		least = 0.5
	}
	if share < least || wild*50 > len(sure) {
		t.Errorf("%s: %.0f %% of the notes are sure, and %d of %d of them over 10 cents off; want %.0f %%, and one in fifty", name, 100*share, wild, len(sure), 100*least)
	}
	if len(unsure) >= 10 && !(quantile(unsure, 0.5) >= 3*quantile(sure, 0.5)) {
		t.Errorf("%s: %d notes that are not sure are %.2f cents off in the middle, those that are %.2f; want three times as much", name, len(unsure), quantile(unsure, 0.5), quantile(sure, 0.5))
	}
}
