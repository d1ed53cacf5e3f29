package grip

import (
	"testing"

	"lapwright/rig/rigtest"
)

// What a player wants to see first: low on the neck, the steel straight, few
// strings skipped, no open string against a high fret, slants and splits last;
// among equals the root lowest. Every row is common practice, no source, with
// its notes worked out from the tuning beside it. Strings are written from the
// player outwards, so that notes run upwards.
func TestFirstAsAPlayerWantsIt(t *testing.T) {
	for _, c := range []struct{ rig, want, first, why string }{
		// G2 B2 D3 G3 B3 D4
		{"reso-open-g", "G", "3-2-1 at 0 0 0", "G3 B3 D4: the open chord, root lowest, on the strings that sing"},
		{"reso-open-g", "C", "3-2-1 at 5 5 5", "C4 E4 G4: straight at 5"},
		{"reso-open-g", "D", "3-2-1 at 7 7 7", "D4 F#4 A4: straight at 7"},
		{"reso-open-g", "A", "3-2-1 at 2 2 2", "A3 C#4 E4: straight at 2"},
		{"reso-open-g", "F", "3-2-1 at 10 10 10", "F4 A4 C5: straight at 10"},
		{"reso-open-g", "Em", "4-3-2 at 2 0 0", "E3 G3 B3: whole, root lowest; the steel drawn back from two open strings at fret 2"},
		{"reso-open-g", "Am", "2-1 at 10 10", "A4 C5: the minor third of strings 2 and 1, straight; no open string belongs to it, and whole it takes a split"},
		{"reso-open-g", "G7", "3-2-1 at 0 0 3", "G3 B3 F4: the open chord with the nose on string 1 for the seventh"},
		{"reso-open-g", "D7", "3-2-1 at 11 10 10", "F#4 A4 C5: third and seventh never lie straight here; of what leans this has the most of the chord on three neighbours, below the octave"},
		{"reso-open-g", "G6", "3-2-1 at 0 0 2", "G3 B3 E4: the open chord, root lowest, with the nose on string 1 for the sixth"},
		// C3 E3 G3 A3 C4 E4
		{"lap6-c6", "C", "6-5-4 at 0 0 0", "C3 E3 G3: root lowest, no string skipped"},
		{"lap6-c6", "C6", "3-2-1 at 0 0 0", "A3 C4 E4: third, root and the sixth that gives the tuning its name"},
		{"lap6-c6", "Am", "3-2-1 at 0 0 0", "A3 C4 E4: the minor triad inside C6, whole"},
		{"lap6-c6", "F", "6-5-4 at 5 5 5", "F3 A3 C4: straight at 5"},
		{"lap6-c6", "G", "6-5-4 at 7 7 7", "G3 B3 D4: straight at 7"},
		{"lap6-c6", "Dm", "3-2-1 at 5 5 5", "D4 F4 A4: straight at 5"},
		{"lap6-c6", "Am7", "4-3-2 at 0 0 0", "G3 A3 C4: root, third and seventh on three open neighbours"},
		{"lap6-c6", "G7", "4-2 at 4 5", "B3 F4: no dominant seventh lies straight in C6; its third and seventh with the easiest slant, low"},
		{"lap6-c6", "D7", "3-2-1 at 0 0 2", "A3 C4 F#4: fifth and seventh open, the nose on string 1 for the third; no string skipped"},
		{"lap6-c6", "A7", "4-3-2 at 0 0 1", "G3 A3 C#4: the nose lifts the third out of the open chord"},
		// D2 A2 D3 F#3 A3 D4; A raises string 3 by one, B string 2 by two
		{"bender-open-d", "D", "4-3-2 at 0 0 0", "D3 F#3 A3: the open chord, root lowest"},
		{"bender-open-d", "G", "4-3-2 at 5 5 5", "G3 B3 D4: straight at 5 leaves the picking hand alone, which the open G with both benders does not"},
		{"bender-open-d", "A", "4-3-2 at 7 7 7", "A3 C#4 E4: straight at 7"},
		{"bender-open-d", "E", "4-3-2 at 2 2 2", "E3 G#3 B3: straight at 2"},
		{"bender-open-d", "C", "4-3-2 at 10 10 10", "C4 E4 G4: straight at 10"},
		{"bender-open-d", "Gm", "3-2-1 at 1 1 0", "G3 Bb3 D4: whole, root lowest; the steel straight at 1, string 1 open, the picking hand free of the benders"},
		{"bender-open-d", "Em", "3-2-1 at 5 5B 5", "B3 E4 G4: whole and straight with one bender; without it there are two notes at most"},
		{"bender-open-d", "Bm", "5-4-3 at 2 0 0", "B2 D3 F#3: whole, root lowest; the steel drawn back from two open strings at fret 2"},
		{"bender-open-d", "D7", "4-3-2 at 0 0 3", "D3 F#3 C4: the open chord with the nose on string 2 for the seventh"},
		{"bender-open-d", "A7", "5-3-2 at 0 0A 4", "A2 G3 C#4: root, seventh and third, low, without a slant"},
		// D2 A2 D3 F#3 A3 D4
		{"hollow-neck-open-d", "D", "4-3-2 at 0 0 0", "D3 F#3 A3: the open chord, root lowest"},
		{"hollow-neck-open-d", "G", "4-3-2 at 5 5 5", "G3 B3 D4: straight at 5"},
		{"hollow-neck-open-d", "A", "4-3-2 at 7 7 7", "A3 C#4 E4: straight at 7"},
		{"hollow-neck-open-d", "E", "4-3-2 at 2 2 2", "E3 G#3 B3: straight at 2"},
		{"hollow-neck-open-d", "F", "4-3-2 at 3 3 3", "F3 A3 C4: straight at 3"},
		{"hollow-neck-open-d", "D7", "4-3-2 at 0 0 3", "D3 F#3 C4: the open chord with the nose on string 2 for the seventh"},
		{"hollow-neck-open-d", "Dm", "4-2-1 at 0 0 3", "D3 A3 F4: open root and fifth, the nose on string 1 for the third"},
		{"hollow-neck-open-d", "Bm", "5-4-3 at 2 0 0", "B2 D3 F#3: whole, root lowest; the steel drawn back from two open strings at fret 2"},
		{"hollow-neck-open-d", "Gm", "3-2-1 at 1 1 0", "G3 Bb3 D4: whole, root lowest; the steel straight at 1, string 1 open"},
		{"hollow-neck-open-d", "Em", "3-2 at 10 10", "E4 G4: the minor third of strings 3 and 2, straight; whole it takes a slant"},
	} {
		r := rigtest.Builtin(t, c.rig)
		got := find(t, r, c.want, Options{})
		if len(got) == 0 {
			t.Errorf("%s on %s: no grip; want %s first (%s)", c.want, c.rig, c.first, c.why)
			continue
		}
		if first := writeWay(r, got[0]); first != c.first {
			t.Errorf("%s on %s: %s comes first; want %s (%s)", c.want, c.rig, first, c.first, c.why)
		}
	}
}
