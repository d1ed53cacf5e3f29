package accompany

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/feel"
	"lapwright/grip"
	"lapwright/pitch"
	"lapwright/rig/rigtest"
	"lapwright/steel"
	"lapwright/tune"
)

// stops makes a grip of strings, frets and key numbers.
func stops(kind steel.Kind, from ...[3]int) *struck {
	s := &struck{grip: &grip.Grip{Place: &grip.Place{}}, low: from[0][2], high: from[0][2]}
	s.grip.Kind = kind
	for _, n := range from {
		s.notes = append(s.notes, grip.Sounded{String: n[0], Fret: float64(n[1]), Name: pitch.SpellKey(n[2], 0)})
		s.low, s.high = min(s.low, n[2]), max(s.high, n[2])
	}
	return s
}

func openG(t *testing.T) *voicer {
	t.Helper()
	f, err := feel.Find("boom-chuck")
	if err != nil {
		t.Fatal(err)
	}
	return newVoicer(rigtest.Builtin(t, "reso-open-g"), &Options{}, f, 0.5)
}

// TestMannerOfGrips: each fret above the 9th, each semitone below E3 (key 52) and each string passed
// over by a slant has its price (docs/backup.md).
func TestMannerOfGrips(t *testing.T) {
	v := openG(t)
	for name, c := range map[string]struct {
		s    *struck
		want int32
	}{
		"at the 9th":       {stops(steel.Straight, [3]int{1, 9, 71}, [3]int{2, 9, 68}), 0},
		"at the 10th":      {stops(steel.Straight, [3]int{1, 10, 72}, [3]int{2, 10, 69}), costUpNeck},
		"at the 12th":      {stops(steel.Straight, [3]int{1, 12, 74}, [3]int{2, 12, 71}), 3 * costUpNeck},
		"one over it":      {stops(steel.Straight, [3]int{1, 0, 62}, [3]int{2, 11, 70}), 2 * costUpNeck},
		"down to E3":       {stops(steel.Straight, [3]int{4, 2, 52}, [3]int{3, 2, 57}), 0},
		"below E3":         {stops(steel.Straight, [3]int{4, 0, 50}, [3]int{3, 0, 55}), 2 * costMuddy},
		"slanted":          {stops(steel.Forward, [3]int{1, 5, 67}, [3]int{2, 4, 63}), costLeaning},
		"slanted over one": {stops(steel.Reverse, [3]int{1, 5, 67}, [3]int{3, 6, 61}), costLeaning + costWideLean},
		"over two":         {stops(steel.Forward, [3]int{1, 5, 67}, [3]int{4, 3, 53}), costLeaning + 2*costWideLean},
		"three slanted":    {stops(steel.Forward, [3]int{1, 6, 68}, [3]int{2, 5, 64}, [3]int{3, 4, 59}), costLeaning},
	} {
		if got := v.manner(c.s); got != c.want {
			t.Errorf("%s: %d, want %d", name, got, c.want)
		}
	}
}

// TestBassUnderGrip: a bass wants to be low, five semitones from its grip or more, and not above it.
func TestBassUnderGrip(t *testing.T) {
	v := openG(t)
	g := stops(steel.Straight, [3]int{1, 5, 67}, [3]int{2, 5, 64}, [3]int{3, 5, 60})
	cost := func(key int) int64 {
		b := stops(steel.Straight, [3]int{6, 5, key})
		b.grip.Place = g.grip.Place
		return v.under(g, b)
	}
	base := cost(v.lowest)
	for _, c := range []struct {
		key  int
		want int64
	}{
		{v.lowest + 1, costDeep}, {v.lowest + 5, 5 * costDeep},
		{55, costDeep * int64(55-v.lowest)},
		{56, costDeep*int64(56-v.lowest) + costNear},
		{59, costDeep*int64(59-v.lowest) + 4*costNear},
		{60, costDeep*int64(60-v.lowest) + 5*costNear},
		{61, costDeep*int64(61-v.lowest) + 5*costNear + costCrossed},
	} {
		if got := cost(c.key) - base; got != c.want {
			t.Errorf("a bass on key %d under one on key 60 costs %d more than the lowest, want %d", c.key, got, c.want)
		}
	}
	elsewhere := stops(steel.Straight, [3]int{6, 5, v.lowest})
	lifted := stops(steel.Lifted, [3]int{6, 0, v.lowest})
	if got := v.under(g, elsewhere) - v.step(g, elsewhere) - v.step(elsewhere, g); got != costApart {
		t.Errorf("a bass with the steel elsewhere costs %d, want %d", got, costApart)
	}
	if got := v.under(g, lifted) - v.step(g, lifted) - v.step(lifted, g); got != 0 {
		t.Errorf("an open bass costs %d, want 0", got)
	}
}

// TestVoicesMove: every note counts as far as the nearest of the other chord; G to C on three strings
// moves by a tone, a semitone and none.
func TestVoicesMove(t *testing.T) {
	chord := func(keys ...int) *struck {
		var n [][3]int
		for i, k := range keys {
			n = append(n, [3]int{i + 1, 0, k})
		}
		return stops(steel.Straight, n...)
	}
	for _, c := range []struct {
		a, b *struck
		want int
	}{
		{chord(67, 62, 59), chord(67, 64, 60), 3}, {chord(67, 62, 59), chord(67, 62, 59), 0}, {chord(67), chord(60, 70), 3}, {chord(60, 70), chord(67), 10}, {chord(60), chord(72), 12},
	} {
		if got := moved(c.a, c.b); got != c.want {
			t.Errorf("%v to %v moves by %d, want %d", c.a.notes, c.b.notes, got, c.want)
		}
	}
	if s := chord(67, 62, 59); !s.has(pitch.Class{Letter: pitch.D}) || !s.has(pitch.Class{Letter: pitch.B}) || s.has(pitch.Class{Letter: pitch.C}) {
		t.Errorf("%v has other notes than it has", s.notes)
	}
	for k, want := range []int{59, 62, 67} {
		if got := chord(67, 62, 59).voice(k); got.low != want || got.high != want || len(got.notes) != 1 || got.notes[0].Name.Key() != want {
			t.Errorf("voice %d from the lowest is %v, want key %d", k, got.notes, want)
		}
	}
}

// TestWhatTellsAChord: third, or what stands for it, and seventh tell a chord; of the wants the second
// can spare the rest, the third all but the third.
func TestWhatTellsAChord(t *testing.T) {
	for label, want := range map[string]bool{"R": false, "3": true, "b3": true, "4": true, "2": true, "5": false, "b5": false, "#5": false, "6": false, "7": true, "b7": true, "bb7": true, "9": false, "13": false} {
		if essential(label) != want {
			t.Errorf("%s tells a chord: %v", label, !want)
		}
	}
	text := func(w grip.Want) string {
		var out []string
		for _, x := range w.Tones {
			s := x.Label
			if x.Spare {
				s = "(" + s + ")"
			}
			out = append(out, s)
		}
		return strings.Join(out, " ")
	}
	for name, want := range map[string][3]string{
		"G":     {"(R) 3 (5)", "(R) 3 (5)", "(R) 3 (5)"},
		"D7":    {"(R) 3 (5) b7", "(R) 3 (5) b7", "(R) 3 (5) (b7)"},
		"Am/C":  {"(R) b3 (5)", "(R) b3 (5)", "(R) b3 (5)"},
		"Dsus4": {"(R) 4 (5)", "(R) 4 (5)", "(R) 4 (5)"},
		"C6":    {"(R) 3 (5) 6", "(R) 3 (5) (6)", "(R) 3 (5) (6)"},
		"E5":    {"R 5", "(R) (5)", "(R) (5)"},
	} {
		c, err := pitch.ParseChord(name)
		if err != nil {
			t.Fatal(err)
		}
		all := wants(c)
		if len(all) != 3 || all[0].Bass != -1 {
			t.Fatalf("%s: %+v", name, all)
		}
		if got := [3]string{text(all[0]), text(all[1]), text(all[2])}; got != want {
			t.Errorf("%s wants %q, want %q", name, got, want)
		}
	}
	for name, want := range map[string]string{"D7": "(R) 3 (5) + (R) (3) (5) b7, true", "Gmaj9": "(R) 3 (5) (9) + (R) (3) (5) 7 (9), true", "C": "(R) 3 (5) + (R) (3) (5), false"} {
		c, err := pitch.ParseChord(name)
		if err != nil {
			t.Fatal(err)
		}
		third, seventh, ok := halves(c)
		if got := fmt.Sprintf("%s + %s, %v", text(third), text(seventh), ok); got != want {
			t.Errorf("%s is shared as %s, want %s", name, got, want)
		}
	}
}

// TestBassAndGripAtOnce: a hand strikes both where the bass is below the grip, on a string of its own
// and under the same place of the steel.
func TestBassAndGripAtOnce(t *testing.T) {
	v := openG(t)
	c, err := pitch.ParseChord("C")
	if err != nil {
		t.Fatal(err)
	}
	grips := v.ways(wants(c)[0])
	if len(grips) == 0 {
		t.Fatal("no C in open G")
	}
	g := grips[0]
	if GripWords(g.notes) != "3@5 2@5 1@5" {
		t.Fatalf("C is %s", GripWords(g.notes))
	}
	bass := func(str, fret, key int) *struck { return stops(steel.Straight, [3]int{str, fret, key}) }
	for name, x := range map[string]struct {
		b    *struck
		want string
	}{
		"the sixth string":   {bass(6, 5, 48), "6@5 3@5 2@5 1@5"},
		"a string of it":     {bass(3, 5, 48), ""},
		"as high":            {bass(5, 5, g.low), ""},
		"above it":           {bass(4, 12, 62), ""},
		"elsewhere the same": {bass(6, 7, 50), ""},
	} {
		got := ""
		if s := v.together(x.b, g); s != nil {
			got = GripWords(s.notes)
		}
		if got != x.want {
			t.Errorf("%s: %q, want %q", name, got, x.want)
		}
	}
}

func signed(signs string) *spell {
	of := map[rune]feel.Sign{'B': feel.Bass, 'L': feel.Low, 'M': feel.Mid, 'H': feel.High, 'G': feel.Grip, 'W': feel.Whole, 'x': feel.Chop, 'F': feel.Fifth}
	s := &spell{parts: []part{{}}}
	for _, r := range signs {
		s.parts[0].strokes = append(s.parts[0].strokes, feel.Stroke{Sign: of[r]})
	}
	return s
}

// TestSharedSpells: of a spell with two grips the first half of what strikes a grip has the one, the
// rest the other; bass strokes and chops keep out of it, and where there are not two, the first and
// the last stroke become such.
func TestSharedSpells(t *testing.T) {
	for signs, want := range map[string]string{
		"BGFG": "B G F G*", "GGGG": "G G G* G*", "GGG": "G G* G*", "BB": "W G*", "BBB": "W B G*", "BG": "W G*", "BxGxG": "B x G x G*", "GB": "W G*", "BGB": "W G* B", "LMHLMH": "L M H L* M* H*", "LMLM": "G M G* M*",
	} {
		s := signed(signs)
		second := s.share()
		var got []string
		for i := range s.parts[0].strokes {
			st := &s.parts[0].strokes[i]
			w := map[feel.Sign]string{feel.Bass: "B", feel.Low: "L", feel.Mid: "M", feel.High: "H", feel.Grip: "G", feel.Whole: "W", feel.Chop: "x", feel.Fifth: "F"}[st.Sign]
			if second[st] {
				w += "*"
			}
			got = append(got, w)
		}
		if g := strings.Join(got, " "); g != want {
			t.Errorf("%s is shared as %s, want %s", signs, g, want)
		}
	}
}

// TestChordsBeginOnTheirBass: a chord that begins between strokes is struck where it begins, whole,
// for as long as what sounds there goes on: boom-chuck in 4/4 is struck each quarter, of which the
// second and the fourth are let go after an eighth.
func TestChordsBeginOnTheirBass(t *testing.T) {
	boom, err := feel.Find("boom-chuck")
	if err != nil {
		t.Fatal(err)
	}
	pad, err := feel.Find("pad")
	if err != nil {
		t.Fatal(err)
	}
	b := &tune.Bar{Meter: tune.Meter{Beats: 4, Unit: 4}, Len: tune.Whole}
	const e = tune.Whole / 8
	for name, c := range map[string]struct {
		f        *feel.Feel
		from, to tune.Ticks
		want     string
	}{
		"while it rings":     {boom, 2*e + e/2, 8 * e, "5/16+1/16 w"},
		"after the last":     {boom, 7 * e, 8 * e, "7/8+1/8 w"},
		"on the bar":         {boom, 0, 8 * e, "0+1/4 b"},
		"within a quarter":   {boom, e / 2, 8 * e, "1/16+3/16 w"},
		"half of a quarter":  {boom, e, 8 * e, "1/8+1/8 w"},
		"as it is let go":    {boom, 3 * e, 8 * e, "3/8+1/8 w"},
		"until the next":     {boom, e / 2, e, "1/16+1/16 w"},
		"swelled":            {pad, 2*e + e/2, 8 * e, "5/16+11/16 p"},
		"swelled till it is": {pad, 2*e + e/2, 4 * e, "5/16+3/16 p"},
	} {
		fig, err := c.f.In(b.Meter)
		if err != nil {
			t.Fatal(err)
		}
		p := part{from: c.from, to: c.to, strokes: fig.Strokes(fig.Part, c.from, c.to, false)}
		p.begin(b, fig, 0)
		st := p.strokes[0]
		if got := fmt.Sprintf("%s+%s %c", st.At, st.Len, st.Sign); got != c.want {
			t.Errorf("%s: %s, want %s", name, got, c.want)
		}
	}
	// A bar that is the second half of one has the second half of the figure: its last chord rings for an eighth.
	fig, err := boom.In(b.Meter)
	if err != nil {
		t.Fatal(err)
	}
	half := part{from: 2*e + e/2, to: 4 * e}
	if half.begin(b, fig, 4*e); half.strokes[0].At != half.from || half.strokes[0].Len != e/2 {
		t.Errorf("in half a bar: %s+%s, want 5/16+1/16", half.strokes[0].At, half.strokes[0].Len)
	}
	for _, sign := range []feel.Sign{feel.Fifth, feel.Sixth, feel.Near, feel.Grip} {
		fig, _ := boom.In(b.Meter)
		p := part{to: tune.Whole, strokes: []feel.Stroke{{Len: e, Sign: sign}}}
		want := feel.Bass
		if sign == feel.Grip {
			want = feel.Grip
		}
		if p.begin(b, fig, 0); p.strokes[0].Sign != want || len(p.strokes) != 1 {
			t.Errorf("a chord that begins with %c is begun with %c", sign, p.strokes[0].Sign)
		}
	}
}

// TestGapsAreRests: what no stroke fills is rest.
func TestGapsAreRests(t *testing.T) {
	const q = tune.Whole / 4
	event := func(at, length tune.Ticks) tune.Event {
		return tune.Event{At: at * q, Len: length * q, Kind: tune.Sounding}
	}
	for want, line := range map[string][]tune.Event{
		"r0+4":           nil,
		"n0+4":           {event(0, 4)},
		"r0+1 n1+3":      {event(1, 3)},
		"n0+1 r1+3":      {event(0, 1)},
		"n0+1 n1+1 r2+2": {event(0, 1), event(1, 1)},
		"n0+1 r1+2 n3+1": {event(0, 1), event(3, 1)},
	} {
		var got []string
		for _, x := range rests(line, 4*q) {
			w := "n"
			if x.Kind == tune.Rest {
				w = "r"
			}
			got = append(got, fmt.Sprintf("%s%d+%d", w, x.At/q, x.Len/q))
		}
		if g := strings.Join(got, " "); g != want {
			t.Errorf("got %s, want %s", g, want)
		}
	}
	for passes, want := range map[string]bool{"": false, "0": true, "00": false, "01": true, "010": false} {
		var list []tune.Pass
		for _, r := range passes {
			list = append(list, tune.Pass{BarIndex: int(r - '0')})
		}
		if got := once(list, 0); got != want {
			t.Errorf("bar 1 in the passes %q sounds once: %v", passes, got)
		}
	}
	if got := GripWords([]grip.Sounded{{String: 1, Fret: 4.6}, {String: 3, Fret: 5.4}}); got != "3@5 1@5" {
		t.Errorf("a slanted grip is told as %s", got)
	}
}

// TestWholeChordsAreHeard: where no stroke of a spell has the bass, or none the whole grip and no three
// its low, middle and high string, the first has both.
func TestWholeChordsAreHeard(t *testing.T) {
	figure := func(part string) *feel.Feel {
		return &feel.Feel{Name: "x", Strings: 3, Figures: []feel.Figure{{Beats: 4, Unit: 4, Part: feel.Line(part), Bass: "b---", Guitar: "c---", Brush: "z---", Accents: "...."}}}
	}
	b := tune.Bar{Number: 1, Meter: tune.Meter{Beats: 4, Unit: 4}, Len: tune.Whole}
	tn := &tune.Tune{Bars: []tune.Bar{b}, Voices: []tune.Voice{{ID: "1"}}}
	sign := func(s feel.Sign) string { return string(rune(s)) }
	of := func(signs ...feel.Sign) string {
		out := ""
		for _, s := range signs {
			out += sign(s)
		}
		return out
	}
	for in, want := range map[string]string{
		of(feel.Bass, feel.Grip, feel.Fifth, feel.Grip):  of(feel.Bass, feel.Grip, feel.Fifth, feel.Grip),
		of(feel.Bass, feel.Low, feel.Mid, feel.High):     of(feel.Bass, feel.Low, feel.Mid, feel.High),
		of(feel.Bass, feel.Low, feel.Mid, feel.Mid):      of(feel.Whole, feel.Low, feel.Mid, feel.Mid),
		of(feel.Bass, feel.High, feel.Mid, feel.High):    of(feel.Whole, feel.High, feel.Mid, feel.High),
		of(feel.Bass, feel.Low, feel.High, feel.High):    of(feel.Whole, feel.Low, feel.High, feel.High),
		of(feel.Grip, feel.Grip, feel.Grip, feel.Grip):   of(feel.Whole, feel.Grip, feel.Grip, feel.Grip),
		of(feel.Grip, feel.Grip, feel.Fifth, feel.Grip):  of(feel.Whole, feel.Grip, feel.Fifth, feel.Grip),
		of(feel.Grip, feel.Whole, feel.Fifth, feel.Grip): of(feel.Grip, feel.Whole, feel.Fifth, feel.Grip),
		of(feel.Grip, feel.Swell, feel.Fifth, feel.Grip): of(feel.Grip, feel.Swell, feel.Fifth, feel.Grip),
		of(feel.Bass, feel.Fifth, feel.Bass, feel.Fifth): of(feel.Whole, feel.Fifth, feel.Bass, feel.Fifth),
		of(feel.Fifth, feel.Grip, feel.Fifth, feel.Grip): of(feel.Bass, feel.Grip, feel.Fifth, feel.Grip),
		of(feel.Swell, feel.Hold, feel.Hold, feel.Hold):  of(feel.Swell),
	} {
		s := &spell{parts: []part{{to: tune.Whole}}}
		if err := s.fill(tn, figure(in)); err != nil {
			t.Fatal(err)
		}
		got := ""
		for _, st := range s.parts[0].strokes {
			got += sign(st.Sign)
		}
		if got != want {
			t.Errorf("the figure %s is played %s, want %s", in, got, want)
		}
	}
}
