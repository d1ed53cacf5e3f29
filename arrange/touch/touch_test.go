package touch_test

import (
	"context"
	"fmt"
	"testing"

	"lapwright/arrange"
	"lapwright/notation/abc"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/tab"
	"lapwright/tune"
)

func arranged(t testing.TB, src, rigName string, o arrange.Options) *arrange.Result {
	t.Helper()
	tunes, _, err := abc.Read([]byte("X:1\nT:Quay\n"+src+"\n"), "quay.abc")
	if err != nil {
		t.Fatal(err)
	}
	r := rigtest.Builtin(t, rigName)
	res, err := arrange.Arrange(t.Context(), tunes[0], r, o)
	if err != nil {
		t.Fatal(err)
	}
	if l := res.Tab.Check(); len(l) > 0 {
		t.Fatal(l)
	}
	return res
}

// texts returns what of a kind is added.
func texts(t *tab.Tab, k tab.Addition) []string {
	var out []string
	for _, a := range t.Added {
		if a.Kind == k {
			out = append(out, fmt.Sprintf("%d@%s %s", a.BarNumber, a.At, a.Name))
		}
	}
	return out
}

const slow = "M:4/4\nL:1/4\nQ:1/4=80\nK:D\n\"D\"d4|\"D\"f4|\"G\"g2f2|\"D\"d4|\"A7\"e2c2|\"D\"d4|]"

// Long notes on a strong beat are slid into, once in two bars, from two frets where there
// is time; nothing is with other touches.
func TestSlidesIn(t *testing.T) {
	as := 0
	full := arranged(t, slow, "lap6-c6", arrange.Options{Touch: arrange.FullTouch, Octave: &as})
	if got := fmt.Sprint(texts(full.Tab, tab.AddSlideIn)); got != "[1@0 D5 3@0 G5 5@0 E5]" {
		t.Errorf("slid into: %s", got)
	}
	for i := range full.Tab.Strokes {
		s := &full.Tab.Strokes[i]
		for _, p := range s.Plucks {
			if p.Scoop != 0 && (p.Scoop != -2 || p.Fret < 4) {
				t.Errorf("bar %d is slid into from %g frets to fret %g", s.BarIndex+1, p.Scoop, p.Fret)
			}
		}
	}
	if quick := arranged(t, "R:reel\nM:4/4\nL:1/8\nQ:1/4=200\nK:D\n\"D\"dfaf dfaf|d2f2 a2f2|]", "lap6-c6", arrange.Options{Touch: arrange.FullTouch}); len(texts(quick.Tab, tab.AddSlideIn)) > 0 {
		t.Errorf("quick notes are slid into: %v", texts(quick.Tab, tab.AddSlideIn))
	}
	for _, touch := range []arrange.Touch{arrange.PlainTouch, arrange.LightTouch} {
		if got := texts(arranged(t, slow, "lap6-c6", arrange.Options{Touch: touch}).Tab, tab.AddSlideIn); len(got) > 0 {
			t.Errorf("with the %v touch %v are slid into", touch, got)
		}
	}
}

// A long note on a resonator is rolled under, on strings that sound its chord as the
// steel lies, thumb and index in turn; on a steel guitar it sings alone.
func TestRolls(t *testing.T) {
	const src = "R:reel\nM:4/4\nL:1/8\nQ:1/4=160\nK:G\n\"G\"B2d2 d4|\"G\"GABd d4|\"G\"g8|]"
	res := arranged(t, src, "reso-open-g", arrange.Options{Touch: arrange.FullTouch})
	rolled := 0
	for _, a := range res.Tab.Added {
		if a.Kind != tab.AddRoll {
			continue
		}
		rolled++
		if k := a.Name.Key() % 12; k != 7 && k != 11 && k != 2 {
			t.Errorf("%s is none of G's chord", a.Text())
		}
	}
	if rolled < 6 {
		t.Fatalf("%d notes are rolled: %v", rolled, res.Tab.Added)
	}
	if len(res.Events) != len(res.Tab.Strokes) {
		t.Errorf("%d strokes are explained by %d", len(res.Tab.Strokes), len(res.Events))
	}
	last := tab.NoFinger
	for i := range res.Tab.Strokes {
		s := &res.Tab.Strokes[i]
		if len(s.Plucks) != 1 || s.Plucks[0].Ref.Voice == 0 {
			last = tab.NoFinger
			continue
		}
		if f := s.Plucks[0].Finger; f == last || f == tab.Middle {
			t.Errorf("bar %d at %s: %v after %v", s.BarIndex+1, s.At, f, last)
		} else {
			last = f
		}
	}
	whole := res.Tab.Whole()
	if len(whole.Voices) != 1 || len(tune.Moments(whole)) != 9 {
		t.Errorf("without what is added there are %d voices and %d moments", len(whole.Voices), len(tune.Moments(whole)))
	}
	if got := texts(arranged(t, src, "lap6-c6", arrange.Options{Touch: arrange.FullTouch}).Tab, tab.AddRoll); len(got) > 0 {
		t.Errorf("rolled on a lap steel: %v", got)
	}
	quiet, _ := rig.Builtin("reso-open-g")
	quiet = quiet.Clone()
	quiet.Habits.Rolls = rig.RollsAvoided
	tunes, _, err := abc.Read([]byte("X:1\nT:Quay\n"+src+"\n"), "quay.abc")
	if err != nil {
		t.Fatal(err)
	}
	if res, err := arrange.Arrange(t.Context(), tunes[0], quiet, arrange.Options{Touch: arrange.FullTouch}); err != nil || len(texts(res.Tab, tab.AddRoll)) > 0 {
		t.Errorf("rolled on a rig that avoids it: %v", err)
	}
}

// A beginner is told which strings to stop: an open string that would ring into a note a
// second, a tritone or a seventh away.
func TestStopRinging(t *testing.T) {
	const src = "M:4/4\nL:1/4\nQ:1/4=80\nK:C\n\"C6\"GEAE|\"C6\"GEAE|\"C\"C4|]"
	marked := func(g arrange.Grade) int {
		n := 0
		for _, s := range arranged(t, src, "lap6-c6", arrange.Options{Grade: g}).Tab.Strokes {
			for _, p := range s.Plucks {
				if p.Damp {
					n++
				}
			}
		}
		return n
	}
	if first, second := marked(arrange.FirstGrade), marked(arrange.SecondGrade); first <= second {
		t.Errorf("%d strings to stop are marked in grade first, %d in grade second", first, second)
	}
}

// A waltz is given what a seasoned player adds.
func Example() {
	tunes, _, err := abc.Read([]byte("X:1\nT:Quay Waltz\nM:3/4\nL:1/4\nQ:1/4=90\nK:G\n\"G\"B3|\"C\"c3|\"D7\"A3|\"G\"G3|]\n"), "quay.abc")
	if err != nil {
		fmt.Println(err)
		return
	}
	r, _ := rig.Builtin("lap6-c6")
	res, err := arrange.Arrange(context.Background(), tunes[0], r, arrange.Options{Touch: arrange.FullTouch})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, text := range texts(res.Tab, tab.AddSlideIn) {
		fmt.Println(text)
	}
	// Output:
	// 1@0 B4
	// 3@0 A4
}
