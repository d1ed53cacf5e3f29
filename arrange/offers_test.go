package arrange

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/arrange/outline"
	"lapwright/grip"
	"lapwright/pitch"
	"lapwright/tune"
)

// TestWhatHarmonyOffers: what may be added under a melody note in C major, each with its price: thirds and sixths of
// the chord first, a fourth or a fifth dearer, the scale where the chord has neither, and nothing under a
// short note outside the chord.
func TestWhatHarmonyOffers(t *testing.T) {
	by := &prices{HarmonyLeft: 700, HarmonyScale: 90, HarmonyWide: 70, HarmonyHalf: 450}
	for _, c := range []struct {
		h             Harmony
		melody, chord string
		long          bool
		want          string
	}{
		{Thirds, "E5", "C", false, "C5 0, alone 700"},
		{Thirds, "G4", "C", false, "E4 0, alone 700"},
		{Thirds, "C5", "C", false, "G4 70, alone 700"},
		{Thirds, "C5", "", false, "A4 0, G4 70, alone 700"},
		{Thirds, "D5", "C", false, ""},
		{Thirds, "D5", "C", true, "B4 0, A4 70, alone 350"},
		{Thirds, "B4", "G7", false, "G4 0, alone 700"},
		{Thirds, "C5", "C5", false, "G4 70, alone 700"},
		{Thirds, "G4", "C5", false, "E4 90, D4 160, alone 700"},
		{Sixths, "E5", "C", false, "G4 0, alone 700"},
		{Sixths, "G4", "C", false, "C4 70, alone 700"},
		{Sixths, "C5", "C", false, "E4 0, alone 700"},
		{Sixths, "C5", "", false, "F4 70, E4 0, alone 700"},
		{Sixths, "D5", "C", true, "G4 70, F4 0, alone 350"},
		{Chords, "E5", "C", false, "C5+G4 0, C5+E4 70, G4+E4 140, C5 450, G4 450, alone 700"},
		{Chords, "G4", "C", false, "E4+C4 0, E4+G3 70, C4+G3 140, E4 450, C4 450, alone 700"},
		{Chords, "G4", "C7", false, "E4+C4 0, E4+Bb3 70, C4+Bb3 140, C4+G3 210, Bb3+G3 280, E4 450, C4 450, alone 700"},
		{Chords, "D5", "C", false, ""},
		{Chords, "D5", "C", true, "B4 0, A4 70, alone 350"},
		{Chords, "C5", "Cmaj7", false, "G4+E4 140, G4+C4 210, E4+C4 280, G4 450, alone 700"},
		{Chords, "C5", "", false, "A4 0, G4 70, alone 700"},
	} {
		name, err := pitch.ParseName(c.melody)
		if err != nil {
			t.Fatal(err)
		}
		var chord *pitch.Chord
		if c.chord != "" {
			ch, err := pitch.ParseChord(c.chord)
			if err != nil {
				t.Fatal(err)
			}
			chord = &ch
		}
		p := &problem{prices: by}
		m := &moment{Due: grip.Due{Wants: []grip.Note{{Key: int16(name.Key()), Name: name}}}}
		p.offer(m, c.h, chord, &tune.Bar{}, c.long)
		if s := offered(m); s != c.want {
			t.Errorf("%v under %s over %q, long %v:\n%q, want %q", c.h, c.melody, c.chord, c.long, s, c.want)
		}
	}
}

// TestWhatAFullChordOffers: under a tone of the chord one to three more of its tones within a tenth, none
// nearer than a minor third, none twice before the chord is whole, the fuller the cheaper.
func TestWhatAFullChordOffers(t *testing.T) {
	by := &prices{FullLeft: 600, FullThin: 60}
	for _, c := range []struct{ melody, chord, want string }{
		{"E5", "C", "C5 120, G4 120, C5+G4 60, C5+G4+E4 0, C4 120, G4+C4 60, C5+G4+C4 0, G4+E4+C4 0, alone 600"},
		{"C5", "C", "G4 120, E4 120, G4+E4 60, G4+E4+C4 0, alone 600"},
		{"C5", "Cmaj7", "G4 120, E4 120, G4+E4 60, G4+E4+C4 0, B3 120, G4+B3 60, E4+B3 60, G4+E4+B3 0, G4+C4+B3 0, E4+C4+B3 0, alone 600"},
		{"D5", "C", ""},
	} {
		name, err := pitch.ParseName(c.melody)
		if err != nil {
			t.Fatal(err)
		}
		chord, err := pitch.ParseChord(c.chord)
		if err != nil {
			t.Fatal(err)
		}
		chords := outline.ChordsOf(&tune.Tune{Bars: []tune.Bar{{Chords: []tune.ChordAt{{Chord: &chord}}}}})
		m := &moment{Due: grip.Due{Wants: []grip.Note{{Key: int16(name.Key()), Name: name, Kind: grip.Stepped, From: 2, Beat: true}}}}
		(&problem{prices: by}).offerChord(m, chords)
		if s := offered(m); s != c.want {
			t.Errorf("under %s over %s:\n%q, want %q", c.melody, c.chord, s, c.want)
		}
		if top := m.Wants[0]; (top.Kind == grip.Begun) != (len(m.Offers) > 0) || m.fromKey {
			t.Errorf("under %s over %s: melody note %v, guessed %v", c.melody, c.chord, top.Kind, m.fromKey)
		}
	}
}

// offered tells what may be added in a moment, with its price.
func offered(m *moment) string {
	var got []string
	for _, o := range m.Offers {
		var names []string
		for j, w := range m.Wants {
			if o.Notes>>j&1 == 1 {
				names = append(names, w.Name.String())
			}
		}
		got = append(got, fmt.Sprintf("%s %d", strings.Join(names, "+"), o.Cost))
	}
	if m.Single > 0 {
		got = append(got, fmt.Sprintf("alone %d", m.Single))
	}
	return strings.Join(got, ", ")
}
