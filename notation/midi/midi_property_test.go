package midi

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// kept returns what a tune sounds as a MIDI file keeps it: a glide to the same
// pitch is one longer note, and a note that glides from nothing begins where it
// is. Sorted texts of onset, length and key.
func kept(t *tune.Tune) []string {
	type note struct {
		at, end tune.Ticks
		key     int
	}
	sounded := tune.Sound(t)
	var notes []note
	at := make([]int, len(sounded)) // where each has gone
	gone := map[int]bool{}
	for i, s := range sounded {
		at[i] = -1
		if gone[i] {
			continue
		}
		notes = append(notes, note{s.At, s.At + s.Len, s.Name.Key()})
		at[i] = len(notes) - 1
		for j := i; sounded[j].GlideTo >= 0; {
			k := sounded[j].GlideTo
			if sounded[k].At != sounded[j].At+sounded[j].Len || gone[k] {
				break
			}
			gone[k] = true
			if sounded[k].Name.Key() == notes[len(notes)-1].key {
				notes[len(notes)-1].end = sounded[k].At + sounded[k].Len
			} else {
				notes = append(notes, note{sounded[k].At, sounded[k].At + sounded[k].Len, sounded[k].Name.Key()})
			}
			j = k
		}
	}
	var out []string
	for _, n := range notes {
		out = append(out, fmt.Sprintf("%s+%s=%d", n.at, n.end-n.at, n.key))
	}
	slices.Sort(out)
	return out
}

func heardSorted(f *File) []string {
	var out []string
	for _, h := range f.Sounding() {
		out = append(out, fmt.Sprintf("%s+%s=%d", h.At, h.Len, h.Key))
	}
	slices.Sort(out)
	return out
}

// TestTunesComeBack writes random tunes, reads the file and makes tunes of it
// again.
func TestTunesComeBack(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		in := tunetest.Tunes().Draw(r, "tune")
		b, losses, err := EncodeTune(in)
		if err != nil {
			r.Fatal(err)
		}
		f, err := Read(b, "x.mid")
		if err != nil {
			r.Fatal(err)
		}
		if len(f.Warnings) > 0 {
			r.Fatal(f.Warnings)
		}
		rounded := len(losses) > 0
		want, got := kept(in), heardSorted(f)
		if !rounded && !slices.Equal(want, got) {
			r.Fatalf("heard\n got %v\nwant %v", got, want)
		}
		if len(want) == 0 {
			return
		}
		im, err := f.Tune(Options{})
		if err != nil {
			r.Fatal(err)
		}
		if got := kept(im.Tune); im.Grid == "as written" && len(im.Moved) == 0 && !rounded && !slices.Equal(want, got) {
			r.Fatalf("made into a tune\n got %v\nwant %v", got, want)
		}
	})
}
