package accompany

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"lapwright/feel"
	"lapwright/grip"
	"lapwright/notation/abc/abctest"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/tab"
	"lapwright/tune"
)

func play(t *testing.T, src, rigName, feelName string) *Result {
	t.Helper()
	f, err := feel.Find(feelName)
	if err != nil {
		t.Fatal(err)
	}
	res, err := Accompany(context.Background(), abctest.Tune(t, src), rigtest.Builtin(t, rigName), Options{Feel: f})
	if err != nil {
		t.Fatalf("%s on %s: %v", feelName, rigName, err)
	}
	if l := res.Tab.Check(); len(l) > 0 {
		t.Fatalf("%s on %s: %v", feelName, rigName, l)
	}
	return res
}

const chart = "X:1\nT:A chart\nM:4/4\nL:1/4\nQ:1/4=120\nK:G\n" +
	`"G"z4|"C"z4|"G"z2"Em"z2|"Am7"z2"D7"z2|"G"z4|"C"z2"Cm"z2|"G/B"z2"D7"z2|"G"z4|]` + "\n"

// The cheapest sequence is what trying every sequence gives.
func TestLeadAgainstEverything(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	names := []string{"G", "C", "D7", "Em", "Am7", "F", "Bb", "Bm7b5", "E7", "A", "Cm", "Gmaj7"}
	for _, rigName := range []string{"reso-open-g", "lap6-c6", "bender-open-d"} {
		f, _ := feel.Find("boom-chuck")
		v := newVoicer(rigtest.Builtin(t, rigName), &Options{}, f, 0.5)
		for range 40 {
			choices := make([][]*voicing, 1+rnd.IntN(4))
			for i := range choices {
				c, _ := pitch.ParseChord(names[rnd.IntN(len(names))])
				all := slices.Clone(v.of(c, pitch.Key{}, true))
				rnd.Shuffle(len(all), func(a, b int) { all[a], all[b] = all[b], all[a] })
				choices[i] = all[:min(len(all), 5)]
			}
			best := int64(-1)
			var try func(k int, before *voicing, sum int64)
			try = func(k int, before *voicing, sum int64) {
				if k == len(choices) {
					if best < 0 || sum < best {
						best = sum
					}
					return
				}
				for _, x := range choices[k] {
					c := sum + x.own
					if before != nil {
						c += v.change(before, x)
					}
					try(k+1, x, c)
				}
			}
			try(0, nil, 0)
			way, cost := v.lead(choices)
			told := int64(0)
			for i, x := range way {
				told += x.own
				if i > 0 {
					told += v.change(way[i-1], x)
				}
			}
			if cost != best || told != best {
				t.Fatalf("%s: the search finds %d and says %d, everything tried gives %d", rigName, told, cost, best)
			}
		}
	}
}

// documented reads the figures that docs/backup.md prints: by feel and meter the
// weight and the part.
func documented(t *testing.T) map[[2]string][2]string {
	t.Helper()
	b, err := os.ReadFile("../../docs/backup.md")
	if err != nil {
		t.Fatal(err)
	}
	out := map[[2]string][2]string{}
	name := ""
	for line := range strings.SplitSeq(string(b), "\n") {
		if s, ok := strings.CutPrefix(line, "### "); ok {
			name = s
		}
		cells := strings.Split(line, "|")
		if name == "" || len(cells) != 8 || !strings.Contains(cells[2], "`") {
			continue
		}
		code := func(i int) string { return strings.Trim(cells[i], " `") }
		out[[2]string{name, code(1)}] = [2]string{code(2), code(3)}
	}
	if len(out) < 20 {
		t.Fatalf("%d figures read", len(out))
	}
	return out
}

// The strokes and the weight of a part fall where docs/backup.md prints them, in every
// feel and meter, over bars of one chord.
func TestFiguresAsDocumented(t *testing.T) {
	for key, fig := range documented(t) {
		slots := len(fig[0])
		src := fmt.Sprintf("X:1\nM:%s\nL:1/8\nQ:1/4=90\nK:G\n\"G\"Z|Z|Z|\n", key[1])
		res := play(t, src, "reso-open-g", key[0])
		bar := &res.Tab.Tune.Bars[1]
		var weight, strokes []byte
		weight, strokes = []byte(strings.Repeat(".", slots)), []byte(strings.Repeat(".", slots))
		for i, e := range bar.Lines[0] {
			if e.Kind != tune.Sounding || i > 0 && bar.Lines[0][i-1].Kind == tune.Sounding && bar.Lines[0][i-1].Notes[0].Tie {
				continue
			}
			slot := int(e.At * tune.Ticks(slots) / bar.Len)
			if bar.Len*tune.Ticks(slot) != e.At*tune.Ticks(slots) {
				t.Errorf("%v: a stroke at %s, between the slots", key, e.At)
			}
			strokes[slot] = 'x'
			if slices.Contains(e.Marks, tune.Accent) {
				weight[slot] = '>'
			}
		}
		want := strings.Map(func(r rune) rune {
			if r == '-' || r == '.' {
				return '.'
			}
			return 'x'
		}, fig[1])
		if string(weight) != fig[0] || string(strokes) != want {
			t.Errorf("%v: weight %s and strokes %s, documented %s and %s", key, weight, strokes, fig[0], want)
		}
	}
}

// A part begins after the pickup, follows repeats as they are written, is silent under
// N.C., and ends with one whole chord that rings.
func TestForm(t *testing.T) {
	res := play(t, "X:1\nM:4/4\nL:1/4\nQ:1/4=120\nK:G\n\"G\"D|:\"G\"G4|\"N.C.\"A4|\"D7\"A4:|\"G\"G3|]\n", "reso-open-g", "boom-chuck")
	bars := res.Tab.Tune.Bars
	for _, i := range []int{0, 2} {
		for _, e := range bars[i].Lines[0] {
			if e.Kind == tune.Sounding {
				t.Errorf("bar %d is not silent", bars[i].Number)
			}
		}
	}
	if bars[3].Right.Repeat != 1 || len(res.Tab.Performance().Passes) != 8 {
		t.Errorf("the repeat is gone")
	}
	last := bars[4].Lines[0]
	if len(last) != 1 || last[0].Len != 3*tune.Whole/4 || len(last[0].Notes) < 4 {
		t.Errorf("it ends with %v", last)
	}
	if len(bars[1].Lines[0]) < 4 {
		t.Errorf("bar 1 has %d events", len(bars[1].Lines[0]))
	}
	for _, b := range bars {
		for _, e := range b.Lines[0] {
			if len(e.Lyrics) > 0 {
				t.Error("the words belong to the singer")
			}
		}
	}
}

// What a rest follows is damped, and so is what would ring into the next chord; the
// last chord is not.
func TestDamped(t *testing.T) {
	res := play(t, "X:1\nM:4/4\nL:1/4\nK:G\n\"G\"z4|\"C\"z4|\"G\"z4|]\n", "reso-open-g", "forward roll")
	s := res.Tab.Strokes
	damped := func(i int) bool { return s[i].Plucks[0].Damp }
	if !damped(7) || !damped(15) || damped(3) || damped(len(s)-1) {
		t.Errorf("damped: the last of G %v, the last of C %v, within %v, at the end %v", damped(7), damped(15), damped(3), damped(len(s)-1))
	}
	res = play(t, "X:1\nM:4/4\nL:1/4\nK:G\n\"G\"z4|\"G\"z4|]\n", "reso-open-g", "boom-chuck")
	if s = res.Tab.Strokes; damped(0) || !damped(1) || !damped(3) {
		t.Errorf("boom-chuck damps bass %v, chords %v %v", damped(0), damped(1), damped(3))
	}
}

// A rich feel colours chords and passes over a diminished one where the bass rises by
// a whole tone.
func TestRich(t *testing.T) {
	res := play(t, "X:1\nM:4/4\nL:1/4\nQ:1/4=140\nK:C\n\"C\"z4|\"Dm7\"z4|\"G7\"z4|\"C\"z4|]\n", "lap8-c13", "swing")
	var got []string
	for _, c := range res.Chords {
		got = append(got, c.Played.String())
	}
	if want := "C6 C#dim7 Dm9 G13 C6"; strings.Join(got, " ") != want {
		t.Errorf("%v, want %s", got, want)
	}
	if c := res.Tab.Tune.Bars[0].Chords; len(c) != 2 || c[1].Text != "C#dim7" {
		t.Errorf("the symbols of bar 1: %v", c)
	}
	if n := res.Tab.Performance().Clock.Seconds(tune.Whole / 8); n < 0.27 {
		t.Errorf("the first eighth lasts %.3f s at 140: it is not swung", n)
	}
}

// Every feel serves every built-in rig, with nothing but what the chart says.
func TestEverywhere(t *testing.T) {
	rigs := rig.Builtins()
	for i, f := range feel.All() {
		for _, r := range []*rig.Rig{rigs[i%len(rigs)], rigs[(i+3)%len(rigs)]} {
			res := play(t, chart, r.Name, f.Name)
			if n := len(res.Tab.Compromises); n > 0 {
				t.Errorf("%s on %s: %d compromises", f.Name, r.Name, n)
			}
			for _, c := range res.Chords {
				if len(c.Missing) > 0 {
					t.Errorf("%s on %s: %s lacks %v", f.Name, r.Name, c.Written, c.Missing)
				}
			}
		}
	}
}

// Another key, level and region are kept to.
func TestWishes(t *testing.T) {
	key, _ := pitch.ParseClass("A")
	res, err := Accompany(context.Background(), abctest.Tune(t, chart), rigtest.Builtin(t, "hollow-neck-open-d"), Options{Key: &key, Level: grip.FirstYear, Square: true, Low: 2, High: 12})
	if err != nil {
		t.Fatal(err)
	}
	if res.Key.String() != "A major" || res.Transposed != 2 || res.Chords[0].Written.String() != "A" {
		t.Errorf("in %s, moved by %d, first %s", res.Key, res.Transposed, res.Chords[0].Written)
	}
	if n, _ := res.Tab.Slants(); n > 0 {
		t.Errorf("%d slants", n)
	}
	if low, high := res.Tab.Frets(); low < 2 || high > 12 {
		t.Errorf("frets %g to %g", low, high)
	}
}

func TestRefused(t *testing.T) {
	for src, want := range map[string]string{
		"X:1\nM:4/4\nL:1/4\nK:G\nG4|\n":       "there are no chord symbols to accompany from",
		"X:1\nM:none\nL:1/4\nK:G\n\"G\"G4|\n": "bar 1: there is no accompaniment in free meter",
	} {
		if _, err := Accompany(context.Background(), abctest.Tune(t, src), rigtest.Builtin(t, "lap6-c6"), Options{}); err == nil || err.Error() != want {
			t.Errorf("%q: %v, want %s", src, err, want)
		}
	}
	if _, err := Accompany(context.Background(), &tune.Tune{}, rigtest.Builtin(t, "lap6-c6"), Options{}); err == nil {
		t.Error("no bars, and no error")
	}
	if _, err := Accompany(context.Background(), abctest.Tune(t, chart), rigtest.Builtin(t, "lap6-c6"), Options{Low: 5, High: 3}); err == nil {
		t.Error("frets 5 to 3, and no error")
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := Accompany(ctx, abctest.Tune(t, chart), rigtest.Builtin(t, "lap6-c6"), Options{}); err != context.Canceled {
		t.Errorf("after the end: %v", err)
	}
	// A symbol that is none is told, and the chord goes on.
	res := play(t, "X:1\nM:4/4\nL:1/4\nK:G\n\"G\"z2\"Gxyz\"z2|\"C\"z4|]\n", "lap6-c6", "boom-chuck")
	if len(res.Unread) != 1 || res.Unread[0].Text != "Gxyz" || res.Unread[0].BarNumber != 1 || len(res.Chords) != 2 {
		t.Errorf("unread %v, chords %v", res.Unread, res.Chords)
	}
}

// A vamp's chops are strokes without pitch across the strings of the grip, undamped by
// the other hand; pads swell on electric instruments and are held on the others.
func TestChopsAndSwells(t *testing.T) {
	chops, damped := 0, 0
	res := play(t, chart, "reso-open-g", "vamp")
	for _, s := range res.Tab.Strokes {
		for _, p := range s.Plucks {
			if n := res.Tab.Tune.Note(p.Ref); n.Chop != (p.Attack == tab.Chopped) || n.Chop && n.Name != res.Tab.Rig.Strings[p.String-1].Open {
				t.Fatalf("bar index %d: %v is played as %v on string %d", s.BarIndex, *n, p.Attack, p.String)
			}
			if p.Attack == tab.Chopped {
				chops++
				if p.Damp {
					damped++
				}
			}
		}
	}
	if chops < 20 || damped > 0 {
		t.Errorf("%d chopped strings, %d of them damped too", chops, damped)
	}
	for _, rigName := range []string{"pedal10-e9", "lap6-c6", "reso-open-g", "hollow-neck-open-d"} {
		swells, events := 0, 0
		res := play(t, chart, rigName, "pad")
		for _, b := range res.Tab.Tune.Bars {
			for _, e := range b.Lines[0] {
				if e.Kind != tune.Sounding {
					continue
				}
				events++
				if slices.Contains(e.Marks, tune.Swell) {
					swells++
				}
			}
		}
		if electric := res.Tab.Rig.Body.Electric(); events == 0 || electric && swells < len(res.Chords) || !electric && swells > 0 {
			t.Errorf("%s: %d swells on %d events", rigName, swells, events)
		}
	}
}

// A chord that comes again over a whole bar is played as before: a vamp is learnt once
// (common practice, no source). Voice-leading alone played the second G and the second
// D7 otherwise.
func TestChordsAreLearntOnce(t *testing.T) {
	res := play(t, "X:1\nT:A chart\nM:4/4\nL:1/4\nQ:1/4=120\nK:G\n"+
		`"G"z4|"C"z4|"G"z4|"D7"z4|"G"z4|"C"z4|"D7"z4|"G"z4|]`+"\n", "reso-open-g", "vamp")
	first := map[string]Chord{}
	for _, c := range res.Chords[:len(res.Chords)-1] {
		name := c.Written.String()
		was, ok := first[name]
		if !ok {
			first[name] = c
			continue
		}
		if !slices.Equal(c.Grip, was.Grip) || !slices.Equal(c.Second, was.Second) {
			t.Errorf("bar %d: %s is played as %v, %v, and was %v, %v", c.BarNumber, name, c.Grip, c.Second, was.Grip, was.Second)
		}
	}
}
