package pitch

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"lapwright/internal/seeds"
)

// The property tests are the same on every run; -rapid.seed and -rapid.checks
// on the command line try others.
func TestMain(m *testing.M) { seeds.Run(m, 20260101, 2000) }

var classGen = rapid.Custom(func(t *rapid.T) Class {
	return Class{Letter(rapid.IntRange(0, 6).Draw(t, "letter")), int8(rapid.IntRange(-2, 2).Draw(t, "alter"))}
})

var plainClassGen = rapid.Custom(func(t *rapid.T) Class {
	return Class{Letter(rapid.IntRange(0, 6).Draw(t, "letter")), int8(rapid.IntRange(-1, 1).Draw(t, "alter"))}
})

// qualityWords are the pieces chord qualities are made of; any sequence of them
// must be read to a stable form or refused.
var qualityWords = []string{"m", "maj", "M", "min", "-", "dim", "o", "ø", "aug", "+", "sus", "sus2", "sus4", "sus24",
	"add9", "add11", "add13", "add2", "add4", "add6", "addb9", "add#11", "addb6", "no3", "no5", "no9", "no11", "alt", "dom", "Δ",
	"5", "6", "7", "9", "11", "13", "6/9", "/9", "b5", "#5", "b9", "#9", "#11", "b13", "(", ")", ",", " ", "-5", "+5", "-9", "+9", "#7", "/E", "/g"}

func TestChordFormsAreStable(t *testing.T) {
	seen := 0
	rapid.Check(t, func(t *rapid.T) {
		text := plainClassGen.Draw(t, "root").String() +
			strings.Join(rapid.SliceOfN(rapid.SampledFrom(qualityWords), 0, 6).Draw(t, "quality"), "")
		c, err := ParseChord(text)
		if err != nil {
			return
		}
		seen++
		for _, form := range []string{c.String(), c.Pretty()} {
			again, err := ParseChord(form)
			if err != nil || !again.Equal(c) || again.TonesText() != c.TonesText() {
				t.Fatalf("%q reads as %s (%s), which reads back as %s (%s), %v", text, c, c.TonesText(), again, again.TonesText(), err)
			}
		}
		if len(c.Tones) < 1 || c.Tones[0].Label != "R" {
			t.Fatalf("%q has tones %s", text, c.TonesText())
		}
		for i, tone := range c.Tones {
			if i > 0 && tone.Interval.Semitones < c.Tones[i-1].Interval.Semitones {
				t.Fatalf("%q has tones out of order: %s", text, c.TonesText())
			}
			for _, s := range []Sevenths{FiveLimit, Harmonic} {
				if off := float64(c.Just(tone, s).Cents()) - 100*float64(tone.Interval.Semitones); math.Abs(off) > 45 {
					t.Fatalf("the just %s of %q is %.1f cents off equal temperament", tone.Label, text, off)
				}
			}
		}
	})
	if seen == 0 {
		t.Error("no chord was tried")
	}
}

func TestTransposition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := Name{plainClassGen.Draw(t, "class"), int8(rapid.IntRange(1, 6).Draw(t, "octave"))}
		iv := Interval{rapid.IntRange(-7, 7).Draw(t, "steps"), 0}
		iv.Semitones = FloorDiv(iv.Steps*12, 7) + rapid.IntRange(-1, 1).Draw(t, "more")
		up := n.Up(iv)
		if up.Key() != n.Key()+iv.Semitones {
			t.Fatalf("%v up %v is %v", n, iv, up)
		}
		if back := up.Up(Interval{-iv.Steps, -iv.Semitones}); up.Step() == n.Step()+iv.Steps && back != n {
			t.Fatalf("%v up and down %v is %v", n, iv, back)
		}
		q := rapid.SampledFrom(namedQualities).Draw(t, "quality")
		c, err := ParseChord(n.Class.String() + q.suffix + "/" + plainClassGen.Draw(t, "bass").String())
		if err != nil {
			t.Fatal(err)
		}
		moved := c.Up(iv)
		if Mod(moved.Bass.Semitone()-c.Bass.Semitone()-iv.Semitones, 12) != 0 {
			t.Fatalf("the bass of %v up %v is %v", c, iv, moved.Bass)
		}
		for i, tone := range moved.Tones {
			if Mod(moved.Class(tone).Semitone()-c.Class(c.Tones[i]).Semitone()-iv.Semitones, 12) != 0 {
				t.Fatalf("%v up %v is %v: tone %s moved wrongly", c, iv, moved, tone.Label)
			}
		}
		if again, err := ParseChord(moved.String()); err != nil || !again.Equal(moved) {
			t.Fatalf("%v up %v is %v, which reads as %v, %v", c, iv, moved, again, err)
		}
	})
}

// Every name that NameChord gives has all that sounds, and the name it was
// made from is among the names.
func TestNamesHoldWhatSounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		root := plainClassGen.Draw(t, "root")
		q := rapid.SampledFrom(namedQualities).Draw(t, "quality")
		c, err := ParseChord(root.String() + q.suffix)
		if err != nil {
			t.Fatal(err)
		}
		tones := c.Classes()
		bass := rapid.SampledFrom(tones).Draw(t, "bass")
		names := NameChord(tones, bass)
		same := false
		for _, n := range names {
			has := map[int]bool{n.Bass.Semitone(): true}
			for _, k := range n.Classes() {
				has[k.Semitone()] = true
			}
			for _, k := range append(tones, bass) {
				if !has[k.Semitone()] {
					t.Fatalf("%v over %v is called %v, which has no %v", tones, bass, n, k)
				}
			}
			same = same || n.Root.Semitone() == root.Semitone() && n.Quality == c.Quality
		}
		// A name may fall off the end of a long list, but not from a short one.
		if !same && len(names) < maxNamesGiven {
			t.Fatalf("%v over %v is called %v, never %v", tones, bass, names, c)
		}
	})
}

func TestTextForms(t *testing.T) {
	type all struct {
		Class Class
		Name  Name
		Key   Key
		Chord Chord
	}
	rapid.Check(t, func(t *rapid.T) {
		in := all{Class: classGen.Draw(t, "class"), Name: Name{classGen.Draw(t, "name"), int8(rapid.IntRange(-1, 10).Draw(t, "octave"))}}
		in.Key = Key{}.Up(Interval{0, 0})
		if rapid.Bool().Draw(t, "own") {
			in.Key.Own = true
			for l := range in.Key.Signature {
				in.Key.Signature[l] = int8(rapid.IntRange(-2, 2).Draw(t, "signature"))
			}
		}
		in.Chord, _ = ParseChord(plainClassGen.Draw(t, "root").String() + "m7b5/E")
		b, err := json.Marshal(in)
		if err != nil {
			t.Fatal(err)
		}
		var out all
		if err := json.Unmarshal(b, &out); err != nil {
			t.Fatalf("%s: %v", b, err)
		}
		if out.Class != in.Class || out.Name != in.Name || out.Key != in.Key || !out.Chord.Equal(in.Chord) {
			t.Fatalf("%+v became %+v by way of %s", in, out, b)
		}
	})
}

func TestSpelling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.IntRange(-50, 200).Draw(t, "key")
		f := rapid.IntRange(-7, 7).Draw(t, "fifths")
		if n := SpellKey(k, f); n.Key() != k && k > -100 && k < 200 {
			t.Fatalf("key number %d in %d fifths is spelled %v, which is %d", k, f, n, n.Key())
		}
		c := classGen.Draw(t, "class")
		if got := ClassAtFifths(c.Fifths()); got != c {
			t.Fatalf("%v lies at %d fifths, where %v is found", c, c.Fifths(), got)
		}
	})
}
