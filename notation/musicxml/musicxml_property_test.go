package musicxml

import (
	"reflect"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"lapwright/pitch"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// kept returns a tune without what MusicXML is documented not to keep:
//   - the tonic and mode of a signature that the music wrote for itself;
//   - a final or opening barline where a repeat stands;
//   - Show on an accidental that is printed anyway, or is a courtesy;
//   - where beams end, in a bar whose source says nothing of beams, and between
//     notes that can't share a beam;
//   - empty texts; and the order of what stands at one place is by place only.
func kept(t *tune.Tune) *tune.Tune {
	out := t.Clone()
	for i := range out.Bars {
		b := &out.Bars[i]
		if f := b.Key.Fifths(); f < -7 || f > 7 || b.Key.Signature != pitch.SignatureOf(f) {
			b.Key.Tonic, b.Key.Mode, b.Key.Own = pitch.Class{}, 0, true
		} else if k, err := pitch.NewKey(pitch.ClassAtFifths(f+int(b.Key.Mode)), b.Key.Mode); err == nil {
			b.Key = k
		}
		if b.Right.Repeat > 0 && b.Right.Style == tune.FinalBarline {
			b.Right.Style = tune.SingleBarline
		}
		if b.Left.Repeat > 0 && b.Left.Style == tune.OpenBarline {
			b.Left.Style = tune.SingleBarline
		}
		slices.SortStableFunc(b.Chords, func(x, y tune.ChordAt) int { return int(x.At - y.At) })
		for _, line := range b.Lines {
			separated := false
			for k := range line {
				separated = separated || line[k].BeamEnd
			}
			for k := range line {
				e := &line[k]
				for j := range e.Notes {
					e.Notes[j].Show = e.Notes[j].Show && !e.Notes[j].Courtesy
				}
				for g := range e.Graces {
					for j := range e.Graces[g].Notes {
						n := &e.Graces[g].Notes[j]
						n.Show = n.Show && !n.Courtesy
					}
				}
				if !separated || k+1 == len(line) || e.Flags() == 0 || line[k+1].Flags() == 0 {
					e.BeamEnd = false
				}
			}
		}
	}
	settleAccidentals(out)
	return out
}

// sameBeams clears beams that the writer chose where the source said nothing.
func sameBeams(want, got *tune.Tune) {
	for i := range got.Bars {
		for v, line := range want.Bars[i].Lines {
			separated := false
			for k := range line {
				separated = separated || line[k].BeamEnd
			}
			for k := range got.Bars[i].Lines[v] {
				if !separated {
					got.Bars[i].Lines[v][k].BeamEnd = false
				}
			}
		}
	}
}

func TestTunesComeBack(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		in := tunetest.Tunes().Draw(r, "tune")
		in.Swing = rapid.SampledFrom([]tune.Swing{{}, tune.TripletSwing, tune.TempoSwing, {Long: 7, Short: 5}}).Draw(r, "swing")
		b, err := WriteTune(in)
		if err != nil {
			r.Fatal(err)
		}
		s, err := Read(b, "x.musicxml")
		if err != nil {
			r.Fatalf("%v\n%s", err, b)
		}
		want, got := kept(in), s.Parts[0].Tune
		sameBeams(in, got)
		if got = kept(got); !reflect.DeepEqual(want, got) {
			if d := cmp.Diff(want, got); d != "" {
				r.Fatalf("(-written +read)\n%s", d)
			}
		}
	})
}
