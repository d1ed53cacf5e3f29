package writing_test

import (
	"context"
	"reflect"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"lapwright/arrange"
	"lapwright/notation/abc"
	"lapwright/notation/musicxml"
	"lapwright/notation/musicxml/writing"
	"lapwright/rig"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// TestWrittenTunesSound: whatever a tune holds, what is written of it sounds as it
// does, in the same bars, with its values, words and chord symbols.
func TestWrittenTunesSound(t *testing.T) {
	said := func(t *tune.Tune) (out []any) {
		for i := range t.Bars {
			b := &t.Bars[i]
			out = append(out, b.Meter, b.Key.Signature, b.Left.Repeat, b.Right.Repeat, b.Part, len(b.Tempos))
			for _, c := range b.Signs {
				out = append(out, c.Kind)
			}
			for _, line := range b.Lines {
				for _, e := range line {
					out = append(out, e.At, e.Value, e.Kind, len(e.Graces), e.Slurs, e.SlurEnds, len(e.Lyrics), len(e.Tuplets), len(e.Marks))
				}
			}
		}
		return out
	}
	rapid.Check(t, func(r *rapid.T) {
		want := tunetest.Tunes().Draw(r, "tune")
		text, err := writing.Tune(want)
		if err != nil {
			r.Fatal(err)
		}
		s, err := musicxml.Read(text, "t.musicxml")
		if err != nil || len(s.Parts) != 1 {
			r.Fatalf("%v\n%s", err, text)
		}
		got := s.Parts[0].Tune
		if a, b := tune.Sound(want), tune.Sound(got); !reflect.DeepEqual(a, b) {
			r.Fatalf("sounds %v, want %v\n%s", b, a, text)
		}
		if d := cmp.Diff(said(want), said(got)); d != "" {
			r.Fatalf("(-written +read)\n%s\n%s", d, text)
		}
	})
}

// TestWrittenTabsComeBack: chords under a slant, graces and slurs, two voices,
// glides and scoops on every built-in rig come back stroke for stroke.
func TestWrittenTabsComeBack(t *testing.T) {
	tabs := 0
	for _, text := range tunetest.Pieces {
		tunes, _, err := abc.Read([]byte(text), "piece.abc")
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range rig.Builtins() {
			res, err := arrange.Arrange(context.Background(), tunes[0], r, arrange.Options{Vibrato: true})
			if err != nil {
				continue // not every rig reaches every tune
			}
			tabs++
			b, err := writing.Tab(res.Tab)
			if err != nil {
				t.Fatal(err)
			}
			s, err := musicxml.Read(b, "t.musicxml")
			if err != nil {
				t.Fatal(err)
			}
			got, _, err := s.Parts[0].Tab(nil)
			if err != nil {
				t.Fatal(err)
			}
			if d := cmp.Diff(res.Tab.Strokes, got.Strokes); d != "" {
				t.Errorf("%s on %s: (-written +read)\n%s", tunes[0].Title, r.Name, d)
			}
		}
	}
	if tabs < 20 {
		t.Errorf("only %d tabs were made", tabs)
	}
}
