package listen

import (
	"math"
	"math/rand"
	"os"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/listen/listentest"
	"lapwright/pitch"
	"lapwright/rig/rigtest"
	"lapwright/sound"
)

// A lesson's tune played badly in three ways that are known, because they were put
// in: those come first.
func TestBadTakeOfTheDemoLesson(t *testing.T) {
	t.Parallel()
	src, err := os.ReadFile("../internal/lesson/demo/low-tide-steps.abc")
	if err != nil {
		t.Fatal(err)
	}
	bad := listentest.PlayBadly(t, src)
	take := bad.Want
	slanted := bad.Slanted
	v := review(t, bad.Samples, bad.Want)
	if v.Refused != "" {
		t.Fatal(v.Refused)
	}
	if slanted < 8 {
		t.Fatalf("%d slants: the tab tries nothing", slanted)
	}
	t.Logf("%d slants of %d strokes", slanted, len(take.Strokes))
	var texts []string
	for _, a := range v.Advice {
		t.Logf("%v %.2f %s", a.Bars, a.worth, a.Text)
		texts = append(texts, a.Text)
	}
	first := strings.Join(texts[:min(3, len(texts))], "\n")
	for _, words := range []string{"String 3 is tuned", "flat", "slants lean too much", "Bar 6 is hurried"} {
		if !strings.Contains(first, words) {
			t.Errorf("the first three pieces of advice do not say %q", words)
		}
	}
	exercises := map[string]bool{}
	for _, a := range v.Advice {
		if a.Drill == nil {
			t.Errorf("%q has no exercise", a.Text)
			continue
		}
		exercises[a.Drill.Tab.Tune.Title] = true
		if l := a.Drill.Tab.Check(); len(l) > 0 || len(a.Drill.Tab.Compromises) > 0 {
			t.Errorf("%q: %v, %d compromises", a.Drill.Tab.Tune.Title, l, len(a.Drill.Tab.Compromises))
		}
		listentest.Mono(t, a.Drill.Tab, sound.Options{Dry: true})
	}
	for _, want := range []string{"The slants of bars 1 and 14", "Bar 6 over and over", "String 3 against its neighbours"} {
		if !exercises[want] {
			t.Errorf("no exercise is called %q: %v", want, exercises)
		}
	}
	for _, s := range v.Strings {
		if s.Told && math.Abs(s.Cents-map[int]float64{3: -14}[s.String]) > 4 {
			t.Errorf("string %d is told %.1f ± %.1f cents off", s.String, s.Cents, s.Doubt)
		}
	}
}

// A string that rings on under later notes is told by partials that are its own: A4
// that is glided into rings on under F#4, whose sixth partial lies 16 cents over the
// fifth of A4 (6 × 369.99 Hz = 2219.9 Hz, 5 × 440 Hz = 2200 Hz).
func TestNoteThatRingsOnUnderOthers(t *testing.T) {
	t.Parallel()
	src, err := os.ReadFile("../internal/lesson/demo/slack-water.abc")
	if err != nil {
		t.Fatal(err)
	}
	tb := listentest.Demo(t, src, rigtest.Builtin(t, "reso-open-g"), arrange.Options{})
	v := review(t, listentest.Mono(t, tb, sound.Options{}), tb)
	sure, glided := 0, 0
	for i := range v.Notes {
		n := &v.Notes[i]
		if !n.Sure {
			continue
		}
		sure++
		if n.Glided {
			glided++
		}
		if math.Abs(n.Cents) > 5 {
			t.Errorf("bar %d at %s, string %d: told %.1f cents off, and it is in tune", n.BarNumber, n.At, n.String, n.Cents)
		}
	}
	if sure < 80 || glided < 2 {
		t.Errorf("%d sure notes, %d glided into: there is nothing to see", sure, glided)
	}
}

// Constant cents over frets are the tuning, constant millimetres are the hand.
func TestTuningIsToldFromTheHand(t *testing.T) {
	t.Parallel()
	r := rigtest.Builtin(t, "lap6-c6")
	want := line(r, 31, 60, 14)
	flat := byString(t, want, map[int]float64{2: 12, 4: -9})
	v := review(t, flat, want)
	for _, s := range v.Strings {
		if w := map[int]float64{2: 12, 4: -9}[s.String]; s.Told && math.Abs(s.Cents-w) > 3 {
			t.Errorf("string %d: told %.1f ± %.1f cents, want %g", s.String, s.Cents, s.Doubt, w)
		}
	}
	if math.Abs(v.HandMM) > 0.5 {
		t.Errorf("the hand is told %.2f mm off, and only strings are out of tune", v.HandMM)
	}
	take := played(want)
	for i := range take.Strokes {
		p := take.Strokes[i].Plucks[0]
		if p.Fret == 0 {
			continue
		}
		// 2 mm towards the bridge, wherever the steel lies.
		x := float64(r.Scale)*(1-math.Exp2(-p.Fret/12)) + 2
		fret := 12 * math.Log2(float64(r.Scale)/(float64(r.Scale)-x))
		off(take, i, func(int) float64 { return 100 * (fret - p.Fret) })
	}
	v = review(t, mono(t, take, sound.Options{}), want)
	if math.Abs(v.HandMM-2) > 0.4 {
		t.Errorf("the hand is told %.2f ± %.2f mm off, want 2", v.HandMM, v.HandOff)
	}
	for _, s := range v.Strings {
		if s.Told && math.Abs(s.Cents) > 4 {
			t.Errorf("string %d is told %.1f ± %.1f cents off, and only the hand is", s.String, s.Cents, s.Doubt)
		}
	}
	// All at one fret, nothing open: it can't be told which.
	var spots []listentest.Spot
	for i := range 24 {
		spots = append(spots, listentest.Spot{Strings: []int{1 + i%6}, Frets: []float64{5}, Len: quarter})
	}
	same := lay(r, 90, spots)
	sharp := played(same)
	for i := range sharp.Strokes {
		off(sharp, i, func(int) float64 { return 12 })
	}
	v = review(t, mono(t, sharp, sound.Options{}), same)
	for _, s := range v.Strings {
		if s.Told {
			t.Errorf("string %d: told %.1f cents from one fret alone", s.String, s.Cents)
		}
	}
	if !math.IsInf(v.HandOff, 1) {
		t.Errorf("the hand is told %.1f ± %.1f mm from one fret alone", v.HandMM, v.HandOff)
	}
}

// Each take that can't be judged gets its one sentence, and no figures.
func TestStrangers(t *testing.T) {
	t.Parallel()
	r := rigtest.Builtin(t, "reso-open-g")
	want := line(r, 41, 40, 12)
	good := mono(t, want, sound.Options{})
	loud := make([]float32, len(good))
	for i, v := range good {
		loud[i] = max(-1, min(1, 8*v))
	}
	semitone := played(want)
	semitone.Rig = r.Clone()
	semitone.Rig.Reference *= pitch.Hz(math.Exp2(-1.0 / 12))
	other := played(want)
	other.Rig = r.Clone()
	for i, up := range []int{3, -2, 1, 4, -3, 2} {
		other.Rig.Strings[i].Open = pitch.SpellKey(other.Rig.Strings[i].Open.Key()+up, 0)
	}
	// Syllables: pulses through two formants, gliding all the time, between noise.
	speech := make([]float32, 10*48000)
	rnd := rand.New(rand.NewSource(6))
	phase, y1, y2, z1, z2 := 0.0, 0.0, 0.0, 0.0, 0.0
	for i := range speech {
		at := float64(i) / 48000
		syllable := at * 4.2
		part := syllable - math.Floor(syllable)
		f := 130 * math.Exp2((8*math.Sin(2*math.Pi*at*1.3)-7*part)/12)
		phase += f / 48000
		in := 0.0
		if phase >= 1 {
			phase--
			in = 1
		}
		if part < 0.15 {
			in = 0.1 * rnd.NormFloat64()
		} else if part > 0.9 {
			in = 0
		}
		formant := 500 + 250*math.Sin(2*math.Pi*at*2.1)
		w := 2 * math.Pi * formant / 48000
		y := in + 2*0.985*math.Cos(w)*y1 - 0.985*0.985*y2
		y2, y1 = y1, y
		v := 2 * math.Pi * 1500 / 48000
		z := in + 2*0.98*math.Cos(v)*z1 - 0.98*0.98*z2
		z2, z1 = z1, z
		speech[i] = float32(0.03 * (y + z))
	}
	for _, c := range []struct {
		name    string
		samples []float32
		want    string
	}{
		{"silence", make([]float32, 5*48000), "silent or nearly so"},
		{"a blink", good[:2000], "shorter than half a second"},
		{"overdriven", loud, "cut off flat"},
		{"a semitone flat", mono(t, semitone, sound.Options{}), "1 semitone lower than the tab"},
		{"another tune", mono(t, line(r, 4242, 40, 12), sound.Options{}), "does not sound like the tab"},
		{"another tuning", mono(t, other, sound.Options{}), "The rhythm is that of the tab and the pitches are not"},
		{"speech", speech, "does not sound like a plucked string"},
	} {
		v := review(t, c.samples, want)
		if !strings.Contains(v.Refused, c.want) {
			t.Errorf("%s: refused with %q, want %q", c.name, v.Refused, c.want)
		}
		if len(v.Notes)+len(v.Extra)+len(v.Strings)+len(v.Slants)+len(v.Advice) != 0 || v.Tempo != 0 {
			t.Errorf("%s: has figures", c.name)
		}
	}
	if v := review(t, good, want); v.Refused != "" {
		t.Errorf("the take itself is refused: %s", v.Refused)
	}
}

// Strings tuned to the just open chord on purpose draw no advice; the same with string 3
// 12 cents flat draws that first.
func TestJustTunedIsRight(t *testing.T) {
	t.Parallel()
	r := rigtest.Builtin(t, "reso-open-g")
	just, err := TunedTo(r, "just")
	if err != nil {
		t.Fatal(err)
	}
	want := line(r, 51, 60, 12)
	for _, c := range []struct {
		name  string
		flat  float64 // of string 3, beyond what is meant
		first string
	}{{"as meant", 0, "Well played"}, {"string 3 flat by 12 cents", 12, "String 3 is tuned"}} {
		cents := map[int]float64{}
		for i, v := range just {
			cents[i+1] = v
		}
		cents[3] -= c.flat
		v, err := Review(hear(t, byString(t, want, cents), sound.Rate), want, Options{Tuned: just})
		if err != nil {
			t.Fatal(err)
		}
		if v.Refused != "" || len(v.Advice) == 0 {
			t.Errorf("%s: refused %q, %d pieces of advice", c.name, v.Refused, len(v.Advice))
			continue
		}
		for _, a := range v.Advice {
			t.Logf("%s: %s", c.name, a.Text)
		}
		if !strings.HasPrefix(v.Advice[0].Text, c.first) {
			t.Errorf("%s: the first advice is %q, want %q", c.name, v.Advice[0].Text, c.first)
		}
		if c.flat == 0 && len(v.Advice) > 1 {
			t.Errorf("%s: %d pieces of advice, want none but the praise", c.name, len(v.Advice))
		}
	}
}

// Who plays all of it sharp or flat is told so where nothing open parts the tuning from the hand: nothing is praised that is not in
// tune. A few cents are.
func TestAllOffAlikeIsTold(t *testing.T) {
	t.Parallel()
	r := rigtest.Builtin(t, "reso-open-g")
	var spots []listentest.Spot
	for _, s := range []int{4, 3, 2, 1, 1, 2, 3, 4} {
		spots = append(spots, listentest.Spot{Strings: []int{s}, Frets: []float64{12}, Len: quarter})
	}
	want := lay(r, 80, spots)
	for cents, first := range map[float64]string{20: "Nearly all you play lies about 20 cents sharp.", -20: "Nearly all you play lies about 20 cents flat.", 2: "Well played"} {
		take := played(want)
		for i := range take.Strokes {
			off(take, i, func(int) float64 { return cents })
		}
		v := review(t, mono(t, take, sound.Options{Dry: true}), want)
		if len(v.Advice) == 0 || !strings.HasPrefix(v.Advice[0].Text, first) {
			t.Errorf("all %+g cents off: the advice is %+v, want %q first", cents, v.Advice, first)
		}
		if cents > heardCents && len(v.Advice) > 0 && v.Advice[0].Drill == nil {
			t.Errorf("all %+g cents off: there is no exercise", cents)
		}
	}
}
