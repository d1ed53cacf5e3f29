package line

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"lapwright/listen"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/tune"
)

// plainRate is a rate at which takes are heard as they come.
const plainRate = 11025

// struck is one pluck of a plain take, times in seconds.
type struck struct {
	at, until float64
	hz        float64
}

// plain sounds plucks: five partials that die away by a third a second, damped within 10 ms. Its pitches are exact.
func plain(seconds float64, plucks ...struck) []float32 {
	out := make([]float32, int(seconds*plainRate))
	for _, p := range plucks {
		for i := int(math.Ceil(p.at * plainRate)); i < min(len(out), int(p.until*plainRate)); i++ {
			s := float64(i)/plainRate - p.at
			v := 0.0
			for n := 1.0; n <= 5; n++ {
				v += math.Sin(2*math.Pi*n*p.hz*s) / n
			}
			out[i] += float32(0.2 * v * math.Exp(-s/2.5) * min(1, s/0.002, (p.until-p.at-s)/0.01))
		}
	}
	return out
}

func heard(t *testing.T, samples []float32) *listen.Take {
	t.Helper()
	take, err := listen.NewTake(samples, plainRate)
	if err != nil {
		t.Fatal(err)
	}
	return take
}

// played makes plucks of names and lengths in sixteenths ("D4:4 -:2 …", a dash is a rest), a sixteenth of so many
// seconds, all cents off, and returns how long they last.
func played(t *testing.T, melody string, begin, sixteenth, cents float64) ([]struck, float64) {
	t.Helper()
	var out []struck
	at := begin
	for _, field := range strings.Fields(melody) {
		name, length, _ := strings.Cut(field, ":")
		var n int
		if _, err := fmt.Sscan(length, &n); err != nil {
			t.Fatal(field)
		}
		until := at + float64(n)*sixteenth
		if name != "-" {
			k, err := pitch.ParseName(name)
			if err != nil {
				t.Fatal(err)
			}
			out = append(out, struck{at, until, float64(pitch.Equal(float64(k.Key())+cents/100, 440))})
		}
		at = until
	}
	return out, at
}

// written prints a tune as played reads it, with barlines, and ~ where a note is tied to the next.
func written(t *tune.Tune) string {
	var out []string
	for _, b := range t.Bars {
		at := tune.Ticks(0)
		for _, e := range b.Lines[0] {
			if e.At != at || e.Value.Len() != e.Len || e.Value.Dots > 1 {
				return fmt.Sprintf("bar %d: %+v at %d", b.Number, e, at)
			}
			at += e.Len
			word := "-"
			if e.Kind == tune.Sounding {
				word = e.Notes[0].Name.String()
			}
			word += fmt.Sprintf(":%d", e.Len/grid)
			if e.Kind == tune.Sounding && e.Notes[0].Tie {
				word += "~"
			}
			out = append(out, word)
		}
		out = append(out, "|")
	}
	return strings.Join(out, " ")
}

// A melody that is played in time comes back as it was played, in the key and at the tempo, and how far each note
// sounds from its name is told.
func TestPlainMelodies(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g")
	for _, c := range []struct {
		name, melody, want, key string
		perMinute, cents        float64
	}{
		{"two notes", "G3:4 D4:4", "G3:4 D4:4 -:8 |", "", 132, 0},
		{"a scale", "G3:4 A3:4 B3:4 C4:4 D4:4 E4:4 F#4:4 G4:4", "G3:4 A3:4 B3:4 C4:4 | D4:4 E4:4 F#4:4 G4:4 |", "G major", 100, 20},
		{"flat keys", "F3:4 G3:4 A3:4 Bb3:4 C4:4 Bb3:4 A3:4 F3:4", "F3:4 G3:4 A3:4 Bb3:4 | C4:4 Bb3:4 A3:4 F3:4 |", "F major", 132, -30},
		{"in eighths and over the barline", "C4:4 D4:2 E4:2 G4:4 E4:2 C4:4 D4:2 B3:4 C4:8",
			"C4:4 D4:2 E4:2 G4:4 E4:2 C4:2~ | C4:2 D4:2 B3:4 C4:8 |", "C major", 126, 0},
		{"with rests", "D4:4 -:4 E4:4 D4:4 -:8 B3:4", "D4:4 -:4 E4:4 D4:4 | -:8 B3:4 -:4 |", "", 138, 0},
	} {
		sixteenth := 15 / c.perMinute
		plucks, end := played(t, c.melody, 0.2, sixteenth, c.cents)
		w := Transcribe(heard(t, plain(end+0.1, plucks...)), r)
		if w.Refused != "" {
			t.Errorf("%s: refused: %s", c.name, w.Refused)
			continue
		}
		if got := written(w.Tune); got != c.want || len(w.Tune.Check()) > 0 {
			t.Errorf("%s: written %s, played %s; %v", c.name, got, c.want, w.Tune.Check())
		}
		if math.Abs(w.Tempo/c.perMinute-1) > 0.015 || w.Tune.Bars[0].Tempos[0].PerMinute != int64(math.Round(w.Tempo))*1000 || w.Tune.Bars[0].Tempos[0].Beat != tune.Whole/4 {
			t.Errorf("%s: at %.2f a minute, %+v, want %g", c.name, w.Tempo, w.Tune.Bars[0].Tempos, c.perMinute)
		}
		if key := w.Tune.Bars[0].Key; c.key != "" && key.String() != c.key {
			t.Errorf("%s: in %s, want %s", c.name, key, c.key)
		}
		for i, n := range w.Notes {
			if i >= len(plucks) || math.Abs(n.Onset-plucks[i].at) > 0.01 || math.Abs(n.Cents-c.cents) > 1 || !(n.Sure > 0.55 && n.Sure <= 1) ||
				n.BarNumber != int(n.At/tune.Whole)+1 {
				t.Errorf("%s, note %d: %+v", c.name, i+1, n)
			}
		}
	}
}

// heardAt makes what a line's notes are heard as, sixteenths from the first on, each sounding so many.
func heardAt(step float64, spans ...[2]float64) []listen.LineNote {
	var out []listen.LineNote
	for i, s := range spans {
		out = append(out, listen.LineNote{At: 0.7 + s[0]*step, Until: 0.7 + (s[0]+s[1])*step, Hz: float64(pitch.Equal(float64(60+i), 440)), Sure: 1})
	}
	return out
}

// Notes lie on the grid: a string rings until the next pluck unless more than an eighth is silent, and of two within one
// sixteenth the second stays.
func TestNotesOnTheGrid(t *testing.T) {
	key, _ := pitch.ParseKey("C")
	for _, c := range []struct {
		name  string
		spans [][2]float64
		want  [][3]float64 // at, length, how far off the grid
	}{
		{"in time", [][2]float64{{0, 4}, {4, 2}, {6, 2}}, [][3]float64{{0, 4, 0}, {4, 2, 0}, {6, 2, 0}}},
		{"an eighth of silence", [][2]float64{{0, 2}, {4, 1.6}, {8, 4}}, [][3]float64{{0, 4, 0}, {4, 4, 0}, {8, 4, 0}}},
		{"more than an eighth", [][2]float64{{0, 1}, {4, 1.4}, {8, 4}}, [][3]float64{{0, 1, 0}, {4, 1, 0}, {8, 4, 0}}},
		{"ringing on", [][2]float64{{0, 6}, {4, 9}, {8, 20}}, [][3]float64{{0, 4, 0}, {4, 4, 0}, {8, 20, 0}}},
		{"the last, cut short", [][2]float64{{0, 4}, {4, 0.3}}, [][3]float64{{0, 4, 0}, {4, 1, 0}}},
		{"off the grid", [][2]float64{{0, 4}, {4.25, 3.5}, {7.7, 4}}, [][3]float64{{0, 4, 0}, {4, 4, 0.25}, {8, 4, 0.3}}},
		{"two within a sixteenth", [][2]float64{{0, 4}, {3.8, 0.4}, {4.2, 3.8}, {8, 4}}, [][3]float64{{0, 4, 0}, {4, 4, 0.2}, {8, 4, 0}}},
	} {
		for _, step := range []float64{0.15, 0.0921} {
			notes := heardAt(step, c.spans...)
			got := laid(notes, step, key, 440)
			if len(got) != len(c.want) {
				t.Errorf("%s: %d notes: %+v", c.name, len(got), got)
				continue
			}
			for i, w := range c.want {
				n := got[i]
				if n.At != tune.Ticks(w[0])*grid || n.Len != tune.Ticks(w[1])*grid || math.Abs(n.Sure-(1-w[2])) > 1e-9 || math.Abs(n.Cents) > 1e-9 {
					t.Errorf("%s, note %d: %+v, want %v", c.name, i+1, n, w)
				}
			}
		}
	}
	// A note half way to the next has no name that is surer than half.
	notes := heardAt(0.15, [2]float64{0, 4}, [2]float64{4, 4})
	notes[1].Hz, notes[1].Sure = float64(pitch.Equal(61.4, 440)), 0.5
	if n := laid(notes, 0.15, key, 440)[1]; n.Name.Key() != 61 || math.Abs(n.Cents-40) > 1e-9 || math.Abs(n.Sure-0.3) > 1e-9 {
		t.Errorf("40 cents off, half sure: %+v", n)
	}
	if n := laid(notes, 0.15, key, pitch.Equal(69.4, 440))[1]; n.Name.Key() != 61 || math.Abs(n.Cents) > 1e-9 {
		t.Errorf("with the reference 40 cents higher: %+v", n)
	}
}

// The key is told by how long each tone sounds, not by when: a turn of four strange tones at the end of long ones of C
// moves nothing. All twelve tones alike make no key, which is written as C major.
func TestKeyOfALine(t *testing.T) {
	for _, c := range []struct {
		melody, key string
		a4          pitch.Hz
	}{
		{"C4:8 E4:8 G4:8 D4:4 B3:4 C4:8 F#4:1 C#4:1 G#4:1 D#4:1", "C major", 440},
		{"A3:8 B3:2 C4:4 D4:2 E4:8 G#3:4 A3:8", "A minor", 440},
		{"C4:4 C#4:4 D4:4 D#4:4 E4:4 F4:4 F#4:4 G4:4 G#4:4 A4:4 A#4:4 B4:4", "C major", 440},
		{"C4:8 E4:8 G4:8 D4:4 B3:4 C4:8", "B major", pitch.Equal(70, 440)},
	} {
		plucks, _ := played(t, c.melody, 8, 0.125, 0)
		var notes []listen.LineNote
		for _, p := range plucks {
			notes = append(notes, listen.LineNote{At: p.at, Until: p.until, Hz: p.hz})
		}
		if got := likeliestKey(notes, c.a4); got.String() != c.key {
			t.Errorf("%s: %s, want %s", c.melody, got, c.key)
		}
	}
}

// A length that no single value or dotted value has is tied from two, the longer first, and one that passes a barline is
// tied over it; rests are put together the same way. Common practice of engraving, no source.
func TestLengthsAreWritten(t *testing.T) {
	key, _ := pitch.ParseKey("C")
	for _, c := range []struct {
		at, length int
		want       string
	}{
		{0, 1, "C4:1 -:12 -:3 |"}, {0, 3, "C4:3 -:12 -:1 |"}, {0, 5, "C4:4~ C4:1 -:8 -:3 |"}, {0, 6, "C4:6 -:8 -:2 |"},
		{0, 7, "C4:6~ C4:1 -:8 -:1 |"}, {0, 9, "C4:8~ C4:1 -:6 -:1 |"}, {0, 11, "C4:8~ C4:3 -:4 -:1 |"},
		{0, 12, "C4:12 -:4 |"}, {0, 13, "C4:12~ C4:1 -:3 |"}, {0, 16, "C4:16 |"},
		{12, 8, "-:12 C4:4~ | C4:4 -:12 |"}, {15, 1, "-:12 -:3 C4:1 |"}, {16, 16, "-:16 | C4:16 |"}, {14, 35, "-:12 -:2 C4:2~ | C4:16~ | C4:16~ | C4:1 -:12 -:3 |"},
	} {
		notes := []WrittenNote{{At: tune.Ticks(c.at) * grid, Len: tune.Ticks(c.length) * grid, Name: pitch.Note(pitch.C, 0, 4)}}
		tn := writeLine(notes, key, 96.4)
		if got := written(tn); got != c.want || len(tn.Check()) > 0 || notes[0].BarNumber != 1+c.at/16 {
			t.Errorf("%d sixteenths from %d on: %s in bar %d, want %s; %v", c.length, c.at, got, notes[0].BarNumber, c.want, tn.Check())
		}
	}
}

// The tempo is that at which plucks fall on the grid, of those that fit alike the one nearest to 100 a minute
// (Parncutt 1994, as in transcribe.go), and a steady pulse is quarters rather than eighths.
func TestTempoOfPlucks(t *testing.T) {
	for _, c := range []struct {
		name      string
		at        []float64 // seconds
		perMinute float64
	}{
		{"a pulse of 0.6 s", []float64{0, 0.6, 1.2, 1.8, 2.4}, 100},
		{"a pulse of 0.75 s", []float64{0, 0.75, 1.5, 2.25, 3}, 80},
		{"a pulse of 0.4 s", []float64{0, 0.4, 0.8, 1.2, 1.6}, 150},
		{"a pulse of 0.3 s", []float64{0, 0.3, 0.6, 0.9, 1.2}, 100},
		{"a pulse of 1.5 s", []float64{0, 1.5, 3, 4.5}, 80},
		{"a pulse of 1.2 s, halves rather than quarters at 50", []float64{0, 1.2, 2.4, 3.6}, 100},
		{"a pulse of 0.1 s", []float64{0, 0.1, 0.2, 0.3, 0.4}, 150},
		{"two plucks, a quarter rather than an eighth at 87", []float64{0, 0.345}, 173.9},
		{"quarters and eighths", []float64{0, 0.5, 0.75, 1, 1.5, 2, 2.25, 2.5, 3}, 120},
		{"a dotted rhythm, of eighths rather than sixteenths", []float64{0, 0.6, 0.8, 1.4, 1.6, 2.4, 3.2}, 150},
		{"sixteenths, where no tempo makes them eighths", []float64{0, 0.5, 0.75, 0.875, 1, 1.5, 1.625, 1.75, 2}, 120},
		{"fast", []float64{0, 0.35, 0.525, 0.7, 1.05, 1.4, 1.575, 1.75, 2.1}, 171.4},
	} {
		var notes []listen.LineNote
		for _, s := range c.at {
			notes = append(notes, listen.LineNote{At: 0.3 + s})
		}
		if got := 15 / gridStep(notes); math.Abs(got/c.perMinute-1) > 0.006 {
			t.Errorf("%s: %.2f a minute, want %g", c.name, got, c.perMinute)
		}
	}
}

// What lies outside an instrument's compass is no note of it: hum below, a voice or a whistle above. Up to 60 cents
// beyond is: tuned low, or the steel past the last fret. A bender may let the lowest string down.
func TestCompass(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g").Clone() // G2 B2 D3 G3 B3 D4
	r.Frets = 12
	pedal := r.Clone()
	pedal.Benders = []rig.Bender{{Name: "knee", Mark: "A", Kind: rig.Knee, Moves: []rig.Move{{String: 6, Semitones: -2}}},
		{Name: "lever", Mark: "B", Kind: rig.Knee, Moves: []rig.Move{{String: 1, Semitones: 2}, {String: 6, Semitones: 1}}}}
	type sounding struct {
		name string
		key  float64
		in   bool
	}
	const g2, d5 = 43.0, 74.0
	for _, c := range []struct {
		rig   *rig.Rig
		notes []sounding
	}{
		{r, []sounding{{"string 1", 62, true}, {"the last fret", d5, true}, {"50 cents past it", d5 + 0.5, true},
			{"70 cents past it", d5 + 0.7, false}, {"a tone up, with no lever", d5 + 2, false}, {"string 3", 55, true},
			{"the lowest string", g2, true}, {"50 cents flat", g2 - 0.5, true}, {"70 cents flat", g2 - 0.7, false},
			{"a tone down, with no lever", g2 - 2, false}}},
		{pedal, []sounding{{"string 1", 62, true}, {"the highest string raised", d5 + 2, true}, {"a tone and a half up", d5 + 3, false},
			{"string 3", 55, true}, {"the lowest string let down", g2 - 2, true}, {"a tone and a half down", g2 - 3, false}}},
	} {
		var plucks []struck
		for i, n := range c.notes {
			plucks = append(plucks, struck{0.1 + 0.3*float64(i), 0.37 + 0.3*float64(i), float64(pitch.Equal(n.key, 440))})
		}
		w := Transcribe(heard(t, plain(plucks[len(plucks)-1].until+0.1, plucks...)), c.rig)
		for i, n := range c.notes {
			in := slices.ContainsFunc(w.Notes, func(v WrittenNote) bool { return math.Abs(v.Onset-plucks[i].at) < 0.02 })
			if in != n.in {
				t.Errorf("%s: written %v, want %v; %s", n.name, in, n.in, w.Refused)
			}
		}
	}
}

// What is no line of a string is refused: one note alone, a siren, silence.
func TestNoLine(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g")
	siren := make([]float32, 3*plainRate)
	phase := 0.0
	for i := range siren {
		phase += 2 * math.Pi * 300 * math.Exp2(0.5*math.Sin(2*math.Pi*1.5*float64(i)/plainRate)) / plainRate
		siren[i] = float32(0.2 * math.Sin(phase) * math.Abs(math.Sin(math.Pi*2*float64(i)/plainRate)))
	}
	for _, c := range []struct {
		name    string
		samples []float32
		says    string
	}{
		{"one note", plain(1.5, struck{0.2, 1.4, 196}), "No single line"},
		{"a siren", siren, "No single line"},
		{"silence", make([]float32, 2*plainRate), "nothing to hear"},
		{"a blink", plain(0.3, struck{0, 0.3, 196}), "shorter than half a second"},
	} {
		if w := Transcribe(heard(t, c.samples), r); !strings.Contains(w.Refused, c.says) || w.Tune != nil || w.Notes != nil {
			t.Errorf("%s: %+v, want %q", c.name, w, c.says)
		}
		v, err := Strings(heard(t, c.samples), r, nil)
		if err != nil || (c.says != "No single line") != strings.Contains(v.Refused, c.says) {
			t.Errorf("%s, for tuning: %+v, %v", c.name, v, err)
		}
	}
}
