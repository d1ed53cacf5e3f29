package sign_test

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/sheet/draw"
	"lapwright/sheet/sign"
	"lapwright/tune"
)

// The parts of a chord symbol: root and bass full size, letters smaller, figures
// raised.
func ExampleChord() {
	for _, r := range sign.Chord(&tune.ChordAt{Text: "F♯m7/A"}) {
		fmt.Printf("%s %g %g\n", r.Text, r.Size, r.Rise)
	}
	// Output:
	// F♯ 1 0
	// m 0.86 0
	// 7 0.72 0.26
	// /A 1 0
}

// TestKey: sharps are added in the order F C G D A E B, flats in the opposite one,
// on the places of the treble staff; a signature that is given up is cancelled by
// naturals (common practice, no source). Places count half spaces from the middle
// line, B.
func TestKey(t *testing.T) {
	key := func(name string) pitch.Key {
		k, err := pitch.ParseKey(name)
		if err != nil {
			t.Fatal(err)
		}
		return k
	}
	a := key("A")
	for _, c := range []struct {
		key    string
		before *pitch.Key
		want   string
	}{
		{"C", nil, ""},
		{"A", nil, "# 4, # 1, # 5"},
		{"Eb", nil, "b 0, b 3, b -1"},
		{"C", &a, "n 4, n 1, n 5"},
		{"F", &a, "b 0"},
	} {
		signs, w := sign.Key(key(c.key), c.before)
		var got []string
		for i, s := range signs {
			letter := map[draw.Symbol]string{draw.AccidentalSharp: "#", draw.AccidentalFlat: "b", draw.AccidentalNatural: "n"}[s.Symbol]
			got = append(got, fmt.Sprint(letter, " ", s.P))
			if s.X+s.Symbol.Advance() > w || i > 0 && s.X < signs[i-1].X+signs[i-1].Symbol.Advance() {
				t.Errorf("%s: sign %d stands at %g in a signature %g wide, over its neighbour or out of it", c.key, i, s.X, w)
			}
		}
		if text := strings.Join(got, ", "); text != c.want {
			t.Errorf("%s: %s, want %s", c.key, text, c.want)
		}
	}
}

// TestEveryValueHasItsSigns: what each value is drawn with (common practice, no source).
func TestEveryValueHasItsSigns(t *testing.T) {
	for _, c := range []struct {
		v          tune.Value
		head, rest draw.Symbol
	}{
		{tune.Value{Log2: -1}, draw.NoteheadDoubleWhole, draw.RestDoubleWhole},
		{tune.Value{}, draw.NoteheadWhole, draw.RestWhole},
		{tune.Value{Log2: 1}, draw.NoteheadHalf, draw.RestHalf},
		{tune.Value{Log2: 2}, draw.NoteheadBlack, draw.RestQuarter},
		{tune.Value{Log2: 4}, draw.NoteheadBlack, draw.Rest16th},
		{tune.Value{Log2: 2, BarRest: true}, draw.NoteheadBlack, draw.RestWhole},
	} {
		if h, r := sign.Head(c.v), sign.Rest(c.v); h != c.head || r != c.rest {
			t.Errorf("%+v: head %v, rest %v, want %v and %v", c.v, h, r, c.head, c.rest)
		}
	}
	if up, down := sign.Flag(2, true), sign.Flag(2, false); up != draw.Flag16thUp || down != draw.Flag16thDown {
		t.Errorf("flags of a sixteenth: %v, %v", up, down)
	}
}
