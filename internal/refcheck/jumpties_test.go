package refcheck

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/notation/abc"
	"lapwright/notation/midi"
	"lapwright/rig"
	"lapwright/tab"
)

// TestTiesOverJumpsSound: a note tied into a second ending, or over a repeat, is one
// note in the tab, its MIDI file and what both are read back as, as it is in the tune:
// ABC 2.1, sections 4.9 and 4.11. The sounds wanted are written out by hand: onset,
// length, letter.
func TestTiesOverJumpsSound(t *testing.T) {
	for _, c := range []struct {
		music string
		want  []string // onset and length in quarter notes, and the key number's distance from the first note's
	}{
		{"|:G4|A4-|1A4:|2A4|]", []string{"0+1=0", "1+2=2", "3+1=0", "4+2=2"}},
		{"|:G4-|1G4:|2G4|]", []string{"0+2=0", "2+2=0"}},
		{"|:G4|A2 G2-:|A4|]", []string{"0+1=0", "1+1/2=2", "3/2+3/2=0", "3+1/2=2", "7/2+1/2=0", "4+1=2"}},
		{"|:[GB]4-|1[GB]4:|2[GB]4|]", []string{"0+2=0", "0+2=4", "2+2=0", "2+2=4"}},
		{"|:G2 B2|A2 G2-:|", []string{"0+1/2=0", "1/2+1/2=4", "1+1/2=2", "3/2+1=0", "5/2+1/2=4", "3+1/2=2", "7/2+1/2=0"}},
	} {
		tunes, _, err := abc.Read([]byte("X:1\nM:4/4\nL:1/4\nK:G\n"+c.music+"\n"), "x.abc")
		if err != nil {
			t.Fatal(err)
		}
		if got := fromFirst(soundText(tunes[0])); !slices.Equal(got, sorted(c.want)) {
			t.Errorf("%s: the tune sounds %v, want %v", c.music, got, sorted(c.want))
		}
		for _, r := range rig.Builtins() {
			res, err := arrange.Arrange(t.Context(), tunes[0], r, arrange.Options{})
			if err != nil {
				t.Fatalf("%s on %s: %v", c.music, r.Name, err)
			}
			if len(res.Tab.Compromises) > 0 {
				t.Errorf("%s on %s: %+v", c.music, r.Name, res.Tab.Compromises)
			}
			if got := fromFirst(soundText(tab.Sounding(res.Tab))); !slices.Equal(got, sorted(c.want)) {
				t.Errorf("%s on %s: the tab sounds %v, want %v", c.music, r.Name, got, sorted(c.want))
			}
			b, _, err := midi.Encode(res.Tab)
			if err != nil {
				t.Fatal(err)
			}
			f, err := midi.Read(b, "x.mid")
			if err != nil {
				t.Fatal(err)
			}
			if got := fromFirst(heardTexts(f)); !slices.Equal(got, sorted(c.want)) {
				t.Errorf("%s on %s: the MIDI file has %v, want %v", c.music, r.Name, got, sorted(c.want))
			}
		}
	}
}

func sorted(texts []string) []string { return slices.Sorted(slices.Values(texts)) }

// fromFirst counts key numbers from that of the first note, the lowest of a chord.
func fromFirst(texts []string) []string {
	type note struct {
		when string
		key  int
	}
	var notes []note
	first := 128
	for _, text := range texts {
		when, key, _ := strings.Cut(text, "=")
		n, _ := strconv.Atoi(key)
		notes = append(notes, note{when, n})
		if strings.HasPrefix(when, "0+") {
			first = min(first, n)
		}
	}
	var out []string
	for _, n := range notes {
		out = append(out, fmt.Sprintf("%s=%d", n.when, n.key-first))
	}
	return sorted(out)
}
