package arrange

import (
	"testing"

	"lapwright/grip"
	"lapwright/rig/rigtest"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune/tunetest"
)

// Vibrato is rocking the steel on a note that lasts: it needs the steel on the string, half a
// second for it and a steel that lies square or on its nose. Open strings, harmonics and leaned
// steels have none, and a student in the first year none at all (common practice, no source).
func TestWhatHasVibrato(t *testing.T) {
	r, tn := rigtest.OpenD(), tunetest.Score(t, "D", "D4:8")
	for _, c := range []struct {
		why     string
		asked   bool
		level   grip.Level
		fret    int8
		node    int8
		kind    steel.Kind
		seconds float64
		want    bool
	}{
		{"long and stopped", true, grip.Steady, 5, 0, steel.Straight, 2, true},
		{"not asked for", false, grip.Steady, 5, 0, steel.Straight, 2, false},
		{"half a second", true, grip.Steady, 5, 0, steel.Straight, 0.5, true},
		{"shorter", true, grip.Steady, 5, 0, steel.Straight, 0.49, false},
		{"a quicker hand", true, grip.Seasoned, 5, 0, steel.Straight, 0.4, true},
		{"the first fret", true, grip.Steady, 1, 0, steel.Straight, 2, true},
		{"an open string", true, grip.Steady, 0, 0, steel.Straight, 2, false},
		{"a harmonic", true, grip.Steady, 12, 2, steel.Straight, 2, false},
		{"the nose", true, grip.Steady, 5, 0, steel.Nose, 2, true},
		{"leaned", true, grip.Steady, 5, 0, steel.Forward, 2, false},
		{"leaned back", true, grip.Steady, 5, 0, steel.Reverse, 2, false},
		{"the first year", true, grip.FirstYear, 5, 0, steel.Straight, 2, false},
		{"the first year, however short", true, grip.FirstYear, 5, 0, steel.Straight, 0, false},
	} {
		f := &finished{scene: scene{n: &neck{grip.NewNeck(r, grip.LimitsOf(c.level), grip.Region{}), &Options{Vibrato: c.asked}}, p: &problem{t: tn}}}
		g := &grip.Grip{Place: &grip.Place{Placement: steel.Placement{Kind: c.kind}}, Node: c.node}
		g.Strings[0], g.Frets[0] = 1, c.fret

		if p := f.pluck(&moment{}, &grip.Note{}, &chosen{grip: g}, 0, c.seconds); p.Vibrato != c.want {
			t.Errorf("%s: vibrato %v", c.why, p.Vibrato)
		}
	}
}

// What begins and sounds is plucked, hammered, pulled or glided into: not what a tie holds on,
// nor what is let go.
func TestWhatBegins(t *testing.T) {
	for act, want := range map[grip.Act]bool{grip.Pluck: true, grip.Again: true, grip.Glide: true, grip.Hammer: true, grip.Pull: true, grip.On: false, grip.Gone: false} {
		g := &grip.Grip{}
		g.Acts[0] = act
		if got := begins(g, 0); got != want {
			t.Errorf("act %d begins: %v", act, got)
		}
	}
}

// A scoop written on an open string can't be played, and is listed; one on a note that the
// steel stops is marked, and none is listed for a note that nobody has.
func TestScoopsAreToldOf(t *testing.T) {
	for _, c := range []struct {
		note   string
		scoop  int8
		marked bool
		listed int
	}{
		{"A3:8", -1, true, 0}, {"G3:8", -1, false, 1}, {"A3:8", 0, false, 0}, {"C2:8", -1, false, 0},
	} {
		tn := tunetest.Score(t, "G", c.note)
		tn.Bars[0].Lines[0][0].Notes[0].Scoop = c.scoop
		res := must(t, tn, "reso-open-g", Options{High: 3})
		marked, listed := false, 0
		for _, s := range res.Tab.Strokes {
			for _, p := range s.Plucks {
				marked = marked || p.Scoop == float64(c.scoop) && p.Scoop != 0
			}
		}
		for _, x := range res.Tab.Compromises {
			if x.Kind == tab.ScoopLeftOut {
				listed++
			}
		}
		if marked != c.marked || listed != c.listed {
			t.Errorf("%s with a scoop of %d: marked %v, %d listed: %+v", c.note, c.scoop, marked, listed, res.Tab.Compromises)
		}
	}
}
