package transfer

import (
	"context"
	"errors"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/notation/tabtext"
	"lapwright/rig/rigtest"
	"lapwright/tab"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// must arranges, in the written key and octave unless the options say more.
func must(t *testing.T, tn *tune.Tune, rigName string, o arrange.Options) *arrange.Result {
	t.Helper()
	o.Octave, o.Key = arrange.Octaves(0), &tn.Bars[0].Key.Tonic
	r, err := arrange.Arrange(t.Context(), tn, rigtest.Builtin(t, rigName), o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// TestTransferWhole: open G's strings 1 to 4 and open D's 2 to 5 have the same
// intervals (a trade fact, common practice), so a shape moves whole.
func TestTransferWhole(t *testing.T) {
	from := must(t, tunetest.Score(t, "G", "G3 A3 B3 C4 D4 B3 G3 D3"), "reso-open-g", arrange.Options{Pins: []arrange.Pin{{FromBarNumber: 1, High: 5}}})
	to := rigtest.Builtin(t, "tricone-open-d")
	moved, err := Tab(t.Context(), from.Tab, to, arrange.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !moved.Whole || moved.Frets != 0 || moved.Result.Transposed != -5 || moved.Kept != moved.Notes {
		t.Errorf("whole %v, frets %d, moved by %d, kept %d of %d", moved.Whole, moved.Frets, moved.Result.Transposed, moved.Kept, moved.Notes)
	}
	for i := range from.Tab.Strokes {
		a, b := from.Tab.Strokes[i].Plucks, moved.Result.Tab.Strokes[i].Plucks
		for j := range a {
			if b[j].String != a[j].String+1 || b[j].Fret != a[j].Fret {
				t.Errorf("stroke %d: string %d fret %g became string %d fret %g", i, a[j].String, a[j].Fret, b[j].String, b[j].Fret)
			}
		}
	}
	if words := strings.Join(moved.Words, "\n"); !strings.Contains(words, "strings 1–4 here are strings 2–5 there, same frets") {
		t.Errorf("the report says\n%s", words)
	}
	// With the pitches asked for, the same shape lies five frets higher; its open
	// strings are stopped then.
	moved, err = Tab(t.Context(), from.Tab, to, arrange.Options{Octave: arrange.Octaves(0), Key: &from.Tab.Tune.Bars[0].Key.Tonic})
	if err != nil || moved.Result.Transposed != 0 || len(moved.Result.Tab.Compromises) > 0 {
		t.Errorf("at the same pitch: moved by %d, %v", moved.Result.Transposed, err)
	}
}

// TestSharedRuns lists what open G and open D share, worked out by hand:
// D4 B3 G3 D3 against A3 F#3 D3 A2, and what C6 and C13 share: all six.
func TestSharedRuns(t *testing.T) {
	runs := SharedRuns(rigtest.Builtin(t, "reso-open-g"), rigtest.Builtin(t, "tricone-open-d"))
	if len(runs) == 0 || runs[0] != (SharedRun{1, 2, 4, -5}) {
		t.Errorf("open G and open D: %+v", runs)
	}
	runs = SharedRuns(rigtest.Builtin(t, "lap6-c6"), rigtest.Builtin(t, "lap8-c13"))
	if len(runs) == 0 || runs[0] != (SharedRun{1, 1, 6, 0}) {
		t.Errorf("C6 and C13: %+v", runs)
	}
}

// TestTransferKeeps: glides, held notes, slants and the order of the strings go
// along, whole where the rigs share six strings and anew where they do not.
func TestTransferKeeps(t *testing.T) {
	tn := tunetest.Score(t, "C", "E4:2/ F4:2 A4:4", "C4:4 E4:2/ F4:2")
	from := must(t, tn, "lap6-c6", arrange.Options{Closed: true})
	glides := func(x *tab.Tab) int {
		n := 0
		for i := range x.Strokes {
			for _, p := range x.Strokes[i].Plucks {
				if p.Attack == tab.Glided {
					n++
				}
			}
		}
		return n
	}
	if glides(from.Tab) != 2 || len(from.Tab.Compromises) > 0 {
		t.Fatalf("the tab to take over has %d glides\n%s", glides(from.Tab), tabtext.Format(from.Tab))
	}
	for _, c := range []struct {
		to    string
		whole bool
	}{{"lap8-c13", true}, {"lap8-a6", true}, {"tricone-open-d", false}} {
		moved, err := Tab(t.Context(), from.Tab, rigtest.Builtin(t, c.to), arrange.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if moved.Whole != c.whole || moved.Result.Transposed != 0 {
			t.Errorf("%s: whole %v, moved by %d", c.to, moved.Whole, moved.Result.Transposed)
		}
		if n := glides(moved.Result.Tab); n+len(moved.Result.Tab.Compromises) < 2 {
			t.Errorf("%s: %d glides of 2 are left and %d compromises listed\n%s", c.to, n, len(moved.Result.Tab.Compromises), tabtext.Format(moved.Result.Tab))
		}
		if l := moved.Result.Tab.Check(); len(l) > 0 {
			t.Errorf("%s: %v", c.to, l)
		}
	}
}

// TestVibratoGoesAlong: a tab that is taken to another rig keeps its vibrato, note
// by note, whether or not it can stay where it was.
func TestVibratoGoesAlong(t *testing.T) {
	tn := tunetest.Score(t, "C", "E4:2/ F4:2 A4:4", "C4:4 E4:2/ F4:2")
	marks := func(x *tab.Tab) map[tune.Ref]bool {
		out := map[tune.Ref]bool{}
		for i := range x.Strokes {
			for _, p := range x.Strokes[i].Plucks {
				if p.Vibrato {
					out[p.Ref] = true
				}
			}
		}
		return out
	}
	from := must(t, tn, "lap6-c6", arrange.Options{Closed: true})
	if m := marks(from.Tab); len(m) > 0 {
		t.Fatalf("vibrato that nobody asked for: %v", m)
	}
	one := &from.Tab.Strokes[2].Plucks[0]
	one.Vibrato = true
	for _, to := range []string{"lap8-c13", "tricone-open-d"} {
		moved, err := Tab(t.Context(), from.Tab, rigtest.Builtin(t, to), arrange.Options{Closed: true})
		if err != nil {
			t.Fatal(err)
		}
		if m := marks(moved.Result.Tab); len(m) != 1 || !m[one.Ref] || moved.Vibrato != 1 {
			t.Errorf("%s (whole %v): vibrato on %v, want it on %v alone", to, moved.Whole, m, one.Ref)
		}
	}
	// An open string cannot shake, and that is said: the tune's G stands on an
	// open string of every way in which the bar may not be laid.
	open := must(t, tunetest.Score(t, "G", "G3:4 D4:4"), "reso-open-g", arrange.Options{Closed: true})
	for i := range open.Tab.Strokes {
		open.Tab.Strokes[i].Plucks[0].Vibrato = true
	}
	moved, err := Tab(t.Context(), open.Tab, rigtest.Builtin(t, "reso-open-g"), arrange.Options{Pins: []arrange.Pin{{FromBarNumber: 1, High: 1}}})
	if err != nil {
		t.Fatal(err)
	}
	if words := strings.Join(moved.Words, "\n"); moved.Still != 2 || !strings.Contains(words, "2 notes without the vibrato of the tab") {
		t.Errorf("%d notes lose their vibrato, and it says\n%s\n%s", moved.Still, words, tabtext.Format(moved.Result.Tab))
	}
}

// TestTabIsGivenUp: nothing is arranged once nobody waits any more.
func TestTabIsGivenUp(t *testing.T) {
	from := must(t, tunetest.Score(t, "G", "G3 A3 B3 C4 D4 B3 G3 D3"), "reso-open-g", arrange.Options{})
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if got, err := Tab(ctx, from.Tab, rigtest.Builtin(t, "pedal10-e9"), arrange.Options{}); !errors.Is(err, context.Canceled) || got != nil {
		t.Errorf("%v, %v", got, err)
	}
}

// TestTransferLeavesAdditions: what was added for one rig stays behind: the harmony's
// notes are gone, and what is joined is decided anew.
func TestTransferLeavesAdditions(t *testing.T) {
	tn := tunetest.Score(t, "C", "E4 F4 G4:2 E4:4")
	from := must(t, tn, "lap6-c6", arrange.Options{Harmony: arrange.Thirds, Vibrato: true}).Tab
	kinds := map[tab.Addition]bool{}
	for _, a := range from.Added {
		kinds[a.Kind] = true
	}
	if !kinds[tab.AddHarmony] || !kinds[tab.AddVibrato] {
		t.Fatalf("too little is added for a test: %v", from.Added)
	}
	moved, err := Tab(t.Context(), from, rigtest.Builtin(t, "reso-open-g"), arrange.Options{})
	if err != nil {
		t.Fatal(err)
	}
	to := moved.Result.Tab
	if l := to.Check(); len(l) > 0 {
		t.Error(l)
	}
	of := tn
	if n := moved.Result.Transposed; n != 0 {
		of = tune.Transpose(of, tune.Shift(of.Bars[0].Key, n))
	}
	if l := to.Accounts(of); len(l) > 0 {
		t.Error(l)
	}
	vibrato := 0
	for _, a := range to.Added {
		if a.Kind == tab.AddHarmony {
			t.Errorf("%s went along", a.Text())
		}
		if a.Kind == tab.AddVibrato {
			vibrato++
		}
	}
	if vibrato == 0 {
		t.Error("no vibrato went along")
	}
}
