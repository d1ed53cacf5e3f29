package abc

import (
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"lapwright/internal/seeds"
	"lapwright/notation/abc/terms"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// The property tests are the same on every run; -rapid.seed and -rapid.checks
// on the command line try others.
func TestMain(m *testing.M) { seeds.Run(m, 20260103, 500) }

// settled returns a tune in the form that reading gives, which differs from others
// that say the same music in four ways that are no loss or told:
//   - nothing is beamed over a barline, so the last event of a bar ends its beam;
//   - no line is broken after the last bar;
//   - an accidental that is needed is not one that is shown to remind;
//   - a repeat that goes back over a double line is opened by a sign, and told.
func settled(t *tune.Tune) *tune.Tune {
	t = t.Clone()
	t.Bars[len(t.Bars)-1].LineBreak = false
	for _, u := range terms.UnopenedRepeats(t.Bars, t.PartOrder != "") {
		t.Bars[u.Back].Left.Repeat = 1
	}
	for v := range t.Voices {
		var state heard
		for i := range t.Bars {
			b := &t.Bars[i]
			state.accs = terms.Accidentals{}
			line := b.Lines[v]
			line[len(line)-1].BeamEnd = true
			for k := range line {
				e := &line[k]
				for _, g := range e.Graces {
					state.settle(b, g.Notes)
				}
				state.settle(b, e.Notes)
				state.prev = e.Notes
			}
		}
	}
	return t
}

// heard is what a reader of a voice knows at the place in hand.
type heard struct {
	accs terms.Accidentals
	prev []tune.Note
}

func (h *heard) settle(b *tune.Bar, notes []tune.Note) {
	for j := range notes {
		n := &notes[j]
		plain := h.accs.PlainAfter(h.prev, n.Name, &b.Key)
		if n.Show || !plain {
			h.accs.Put(n.Name.Letter, n.Name.Step(), int(n.Name.Alter))
		}
		n.Show = n.Show && plain
	}
}

// alike compares tunes; nil and empty lists are the same.
func alike(a, b *tune.Tune) string {
	if reflect.DeepEqual(a, b) {
		return "" // the quick way
	}
	return cmp.Diff(a, b, cmpopts.EquateEmpty())
}

// TestWrittenTunesReadBack: tune → ABC → tune is the same tune, with no warning
// and no loss but the signs that open repeats.
func TestWrittenTunesReadBack(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		want := tunetest.Tunes().Draw(r, "tune")
		text, lost := Write(want)
		for _, f := range lost {
			if !strings.Contains(f.Msg, "a sign is put here that opens the repeat") {
				r.Errorf("lost: %v", f)
			}
		}
		got, warnings, err := Read(text, "t.abc")
		if err != nil || len(got) != 1 {
			r.Fatalf("%d tunes, %v\n%s\n%v", len(got), err, text, warnings)
		}
		for _, f := range warnings {
			known := false
			for _, text := range []string{"is no chord that is known", "bar ", "of the other octave", "are printed and not followed"} {
				known = known || strings.Contains(f.Msg, text)
			}
			if !known {
				r.Errorf("warning: %v", f)
			}
		}
		if d := alike(settled(want), got[0]); d != "" {
			r.Fatalf("%s\n%s", d, text)
		}
	})
}
