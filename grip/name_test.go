package grip

import (
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/rig/rigtest"
	"lapwright/steel"
)

func TestName(t *testing.T) {
	for _, c := range []struct {
		rig, stops string
		chords     string // the first names
		within     string
		notes      string // from string 1 down
		kind       steel.Kind
	}{
		{"reso-open-g", "1:5,2:5,3:5", "C", "", "G4 E4 C4", steel.Straight},
		{"reso-open-g", "1:0,2:0,3:0,4:0,5:0,6:0", "G", "", "D4 B3 G3 D3 B2 G2", steel.Lifted},
		{"reso-open-g", "4:7,5:7,6:7", "D", "", "A3 F#3 D3", steel.Straight},
		{"tricone-open-d", "1:0,3:0", "D(no5)/F#", "", "D4 F#3", steel.Lifted},
		{"tricone-open-d", "4:0,5:0,6:0", "D5", "", "D3 A2 D2", steel.Lifted},
		{"tricone-open-d", "1:5,2:5,4:5", "G5", "", "G4 D4 G3", steel.Straight},
		{"bender-open-d", "2:0B,3:0A,4:0", "G/D", "", "B3 G3 D3", steel.Lifted},
		{"bender-open-d", "2:8B,3:8,4:8", "Gm/Bb", "", "G4 D4 Bb3", steel.Straight},
		{"lap6-c6", "1:0,2:0,3:0,4:0,5:0,6:0", "C6", "C Am", "E4 C4 A3 G3 E3 C3", steel.Lifted},
		{"lap8-c13", "1:0,3:0,4:0,5:0,7:0,8:0", "C13", "C Am", "E4 A3 G3 E3 Bb2 C2", steel.Lifted},
		{"reso-open-g", "1:13,3:12", "Eb(no5)/G", "", "Eb5 G4", steel.Forward},
		{"reso-open-g", "2:3,1:0,3:0", "G5", "", "D4 D4 G3", steel.Nose},
	} {
		r := rigtest.Builtin(t, c.rig)
		stops, set, err := ParseStops(r, c.stops)
		if err != nil {
			t.Errorf("%s: %v", c.stops, err)
			continue
		}
		got, err := Name(r, stops, set)
		if err != nil {
			t.Errorf("%s on %s: %v", c.stops, c.rig, err)
			continue
		}
		var notes []string
		for _, n := range got.Notes {
			notes = append(notes, n.Name.String())
		}
		if strings.Join(notes, " ") != c.notes || got.Placement.Kind != c.kind {
			t.Errorf("%s on %s sounds %v with the steel %v; want %s, %v", c.stops, c.rig, notes, got.Placement.Kind, c.notes, c.kind)
		}
		first := ""
		if len(got.Chords) > 0 {
			first = got.Chords[0].String()
		}
		if c.chords != first {
			t.Errorf("%s on %s is called %v; want %s", c.stops, c.rig, got.Chords, c.chords)
		}
		if w := chordText(got.Within); w != c.within {
			t.Errorf("%s on %s holds %q; want %q", c.stops, c.rig, w, c.within)
		}
	}
}

func chordText(cs []pitch.Chord) string {
	var out []string
	for _, c := range cs {
		out = append(out, c.String())
	}
	return strings.Join(out, " ")
}

// What a name promises and the grip leaves out is said (common practice, no
// source: a seventh chord may lack its fifth, which changes no name).
func TestNameMissing(t *testing.T) {
	for _, c := range []struct{ rig, stops, chord, missing string }{
		{"lap6-c6", "2:1,3:0,4:0", "A7/G", "5"},
		{"reso-open-g", "1:5,2:5,3:5", "C", ""},
		{"reso-open-g", "1:0,2:0,3:0,4:3", "G7/F", ""},
	} {
		r := rigtest.Builtin(t, c.rig)
		stops, set, err := ParseStops(r, c.stops)
		if err != nil {
			t.Fatal(err)
		}
		n, err := Name(r, stops, set)
		if err != nil {
			t.Fatal(err)
		}
		if len(n.Chords) == 0 || n.Chords[0].String() != c.chord || strings.Join(n.Missing, " ") != c.missing {
			t.Errorf("%s on %s is %v without %v; want %s without %q", c.stops, c.rig, n.Chords, n.Missing, c.chord, c.missing)
		}
	}
}

func TestNameRefuses(t *testing.T) {
	for _, c := range []struct{ rig, stops, want string }{
		{"reso-open-g", "", "names no string"},
		{"reso-open-g", "7:5", "no string \"7\""},
		{"reso-open-g", "1:99", "not a fret"},
		{"reso-open-g", "1:-2", "not a fret"},
		{"reso-open-g", "1:5,1:6", "named twice"},
		{"reso-open-g", "1", "a form such as"},
		{"reso-open-g", "1:5A", "no bender"},
		{"bender-open-d", "1:5A", "doesn't move string 1"},
		{"reso-open-g", "1:5,2:0,3:5", "it lies on string 2, which is to be open"},
		{"reso-open-g", "1:2,2:9", "can't stop"},
		{"reso-open-g", "1:5,2:3,3:5", "laid square can't stop"},
		{"bender-open-d", "1:13,3:12,4:0", "its end would lie on an open string"},
		{"reso-open-g", "1:NaN", "not a fret"},
		{"reso-open-g", "1:1e1", "not a fret"},
		{"reso-open-g", "1:+5", "not a fret"},
		{"reso-open-g", "1:5.5.5", "not a fret"},
	} {
		r := rigtest.Builtin(t, c.rig)
		stops, set, err := ParseStops(r, c.stops)
		if err == nil {
			_, err = Name(r, stops, set)
		}
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q on %s: error %v; want one with %q", c.stops, c.rig, err, c.want)
		}
	}
}

func TestParseWant(t *testing.T) {
	for text, want := range map[string]string{
		"A7":       "A/R? C#/3 E/5? G/b7",
		"G":        "G/R? B/3 D/5?",
		"C/E":      "C/R? E/3 G/5?",
		"D/C":      "D/R? F#/3 A/5? C/bass",
		"D5":       "D/R A/5",
		"G sixth":  "G/G E/E",
		"F# m6":    "F#/F# D/D",
		"G3 B3 D4": "G3/G3 B3/B3 D4/D4",
		"G, B, D":  "G/G B/B D/D",
		"C/B#":     "C/R E/3 G/5?", // a bass that is the root in another spelling is no fourth tone
		"C13":      "C/R? E/3 G/5? Bb/b7 D/9? A/13",
		"G tenth":  "G/G B/B",
	} {
		w, err := ParseWant(text)
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		var got []string
		for _, tone := range w.Tones {
			s := tone.Class.String()
			if tone.Key >= 0 {
				s = tone.Label
			}
			s += "/" + tone.Label
			if tone.Spare {
				s += "?"
			}
			got = append(got, s)
		}
		if want != strings.Join(got, " ") {
			t.Errorf("%q is read as %v; want %s", text, got, want)
		}
	}
	for _, bad := range []string{"", "H7", "slowly", "G B X", "1 2 3", strings.Repeat("C ", 50)} {
		if w, err := ParseWant(bad); err == nil {
			t.Errorf("%q is read as %v", bad, w.Text)
		}
	}
}
