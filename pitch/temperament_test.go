package pitch

import (
	"math"
	"testing"
)

func TestChordJust(t *testing.T) {
	for _, c := range []struct {
		chord, label string
		sevenths     Sevenths
		want         Just
	}{
		{"G", "3", FiveLimit, Just{5, 4}},
		{"G", "5", FiveLimit, Just{3, 2}},
		{"Gm", "b3", FiveLimit, Just{6, 5}},
		{"G7", "b7", FiveLimit, Just{9, 5}},
		{"G7", "b7", Harmonic, Just{7, 4}},
		{"Gm7", "b7", Harmonic, Just{9, 5}},
		{"G6", "6", FiveLimit, Just{5, 3}},
		{"Gmaj7", "7", FiveLimit, Just{15, 8}},
		{"G9", "9", FiveLimit, Just{9, 4}},
		{"G13", "13", FiveLimit, Just{10, 3}},
		{"Gm7b5", "b5", FiveLimit, Just{36, 25}},
		{"Gdim", "b5", Harmonic, Just{7, 5}},
		{"Gdim7", "bb7", FiveLimit, Just{128, 75}},
		{"Gdim7", "bb7", Harmonic, Just{17, 10}},
		{"G7#9", "#9", FiveLimit, Just{12, 5}},
		{"Gsus4", "4", FiveLimit, Just{4, 3}},
		{"G", "R", Harmonic, Just{1, 1}},
	} {
		ch, err := ParseChord(c.chord)
		if err != nil {
			t.Fatal(err)
		}
		found := false
		for _, tone := range ch.Tones {
			if tone.Label == c.label {
				found = true
				if got := ch.Just(tone, c.sevenths); got != c.want {
					t.Errorf("the %s of %s is %v; want %v", c.label, c.chord, got, c.want)
				}
			}
		}
		if !found {
			t.Errorf("%s has no %s", c.chord, c.label)
		}
	}
}

func TestJustInterval(t *testing.T) {
	for iv, want := range map[Interval]Just{
		{0, 0}: {1, 1}, {9, 16}: {5, 2}, {14, 24}: {4, 1}, {-4, -7}: {2, 3}, {-2, -3}: {5, 6}, {8, 14}: {9, 4},
	} {
		if got, ok := JustInterval(iv); !ok || got != want {
			t.Errorf("JustInterval(%v) = %v, %v; want %v", iv, got, ok, want)
		}
	}
	for _, iv := range []Interval{{3, 8}, {math.MaxInt / 16, math.MaxInt / 16 * 12}, {0, 7}} {
		if got, ok := JustInterval(iv); ok {
			t.Errorf("JustInterval(%v) = %v; want none", iv, got)
		}
	}
}

// Meantone and Pythagorean sizes are worked from their definitions: a
// quarter-comma major third is pure, a Pythagorean one 81/64.
func TestTemperaments(t *testing.T) {
	for _, c := range []struct {
		t        Temperament
		semitone int
		want     Cents
	}{
		{EqualTemperament, 4, 400},
		{JustTemperament, 4, Ratio(5, 4)},
		{Pythagorean, 4, Ratio(81, 64)},
		{Pythagorean, 10, Ratio(16, 9)},
		{QuarterComma, 4, Ratio(5, 4)},
		{QuarterComma, 8, Ratio(8, 5)},
		{QuarterComma, 2, Ratio(5, 4) / 2},
	} {
		if got := c.t.Cents[c.semitone]; math.Abs(float64(got-c.want)) > 1e-9 {
			t.Errorf("%s temperament puts semitone %d at %.6f cents; want %.6f", c.t.Name, c.semitone, got, c.want)
		}
	}
	g, b := Class{G, 0}, Note(B, 0, 3)
	if got := JustTemperament.Hz(b, g, 440) / JustTemperament.Hz(Note(G, 0, 3), g, 440); math.Abs(float64(got)-1.25) > 1e-12 {
		t.Errorf("a just third is %v; want 1.25", got)
	}
	if got := EqualTemperament.Hz(Note(A, 0, 4), g, 442); got != 442 {
		t.Errorf("A4 under 442 Hz sounds %v", got)
	}
	for _, temper := range Temperaments {
		for i := 1; i < 12; i++ {
			if temper.Cents[i] <= temper.Cents[i-1] || math.Abs(float64(temper.Cents[i])-100*float64(i)) > 45 {
				t.Errorf("%s temperament is out of order at semitone %d: %v", temper.Name, i, temper.Cents)
			}
		}
	}
}
