package accompany

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/feel"
	"lapwright/grip"
	"lapwright/internal/golden"
	"lapwright/notation/abc/abctest"
	"lapwright/pitch"
	"lapwright/rig/rigtest"
	"lapwright/tab"
	"lapwright/tune"
)

// TestPartsAsLookedAt: the parts of charts that have what charts have are as they were when they
// were looked at: each chord with its grip and bass, then a line a bar: when each stroke comes, for how
// long, its strings and frets, and how it is played.
func TestPartsAsLookedAt(t *testing.T) {
	var b strings.Builder
	tell := func(title, rig, feelName, src string, o Options) {
		f, ok := feel.Find(feelName)
		if ok != nil {
			t.Fatal(feelName)
		}
		o.Feel = f
		res, err := Accompany(context.Background(), abctest.Tune(t, "X:1\nT:x\n"+src+"\n"), rigtest.Builtin(t, rig), o)
		if err != nil {
			t.Fatalf("%s: %v", title, err)
		}
		if l := res.Tab.Check(); len(l) > 0 {
			t.Errorf("%s: %v", title, l)
		}
		fmt.Fprintf(&b, "# %s: %s on %s\n", title, feelName, rig)
		tellPart(&b, res)
	}
	const four = "M:4/4\nL:1/4\nQ:1/4=120\n"
	rigs := []string{"reso-open-g", "lap6-c6", "bender-open-d", "pedal10-e9"}
	for i, f := range feel.All() {
		m := f.Figures[0].Meter()
		tell("one chord a bar", rigs[i%len(rigs)], f.Name, fmt.Sprintf("M:%d/%d\nL:1/%d\nQ:1/4=100\nK:G\n\"G\"z%d|\"C\"z%d|\"D7\"z%d|\"G\"z%d|]", m.Beats, m.Unit, m.Unit, m.Beats, m.Beats, m.Beats, m.Beats), Options{})
	}
	tell("chords of many kinds", "lap8-c13", "boom-chuck", four+"K:Bb\n\"Bb\"z4|\"Eb6\"z4|\"F7sus4\"z4|\"Dm7b5\"z4|\"G7b9\"z4|\"Cdim7\"z4|\"F13\"z4|\"Bb5\"z4|\"Bbaug\"z4|\"Ebsus2\"z4|\"Bbmaj9\"z4|]", Options{})
	tell("several chords a bar, off the beat too", "reso-open-g", "boom-chuck", four+"K:C\n\"C\"z\"F\"z\"G7\"z\"C\"z|\"C\"z3\"G7\"z|\"Am\"z3/2\"F\"z3/2\"G\"z|\"Dm\"z\"N.C.\"z3|\"G7\"z2\"C\"z2|]", Options{})
	tell("a step after three beats, and none after one", "lap8-c13", "swing", four+"K:C\n\"C\"z3\"Dm\"z|\"G7\"z2\"C\"z\"Dm\"z|\"C\"z4|]", Options{})
	tell("coloured, with a step between", "lap8-a6", "swing", four+"K:A\n\"A\"z4|\"Bm\"z4|\"E7\"z4|\"F#m7\"z2\"G#m7\"z2|\"D/F#\"z4|\"E9\"z4|\"A\"z4|]", Options{})
	tell("in minor", "lap6-c6", "swing", four+"K:Am\n\"Am\"z4|\"Dm\"z4|\"E7\"z4|\"Am\"z4|]", Options{})
	tell("a pickup, a repeat and endings", "bender-open-d", "shuffle", four+"K:D\nA|:\"D\"d4|[1\"A7\"c4:|[2\"G\"B4|\"D\"d3|]", Options{})
	tell("within bounds", "hollow-neck-open-d", "boom-chuck", four+"K:D\n\"D\"z4|\"G\"z4|\"A7\"z4|\"D\"z4|]", Options{Square: true, Closed: true, Low: 3, High: 12, Level: grip.FirstYear})
	golden.File(t, "testdata/parts.txt", []byte(b.String()))
}

// tellPart tells a part.
func tellPart(b *strings.Builder, res *Result) {
	for _, c := range res.Chords {
		fmt.Fprintf(b, "bar %d at %v: %s as %s, grip %s", c.BarNumber, c.At, c.Written, c.Played, GripWords(c.Grip))
		if c.Second != nil {
			fmt.Fprintf(b, " then %s", GripWords(c.Second))
		}
		if c.Bass != nil {
			fmt.Fprintf(b, ", bass %s", GripWords([]grip.Sounded{*c.Bass}))
		}
		if len(c.Missing) > 0 {
			fmt.Fprintf(b, ", without %s", strings.Join(c.Missing, " "))
		}
		b.WriteString("\n")
	}
	strokes := res.Tab.Strokes
	for i := range res.Tab.Tune.Bars {
		bar := &res.Tab.Tune.Bars[i]
		var words []string
		for _, e := range bar.Lines[0] {
			w := fmt.Sprintf("%v for %v", e.At, e.Len)
			if e.Kind == tune.Rest {
				w += " rest"
			}
			for _, s := range strokes {
				if s.BarIndex != i || s.At != e.At {
					continue
				}
				for k, bender := range res.Tab.Rig.Benders {
					if s.Benders.Has(k) {
						w += " " + bender.Mark
					}
				}
				for _, p := range s.Plucks {
					w += fmt.Sprintf(" %d@%g", p.String, p.Fret)
					switch {
					case p.Attack == tab.Chopped:
						w += "x"
					case p.Attack == tab.Tied:
						w += "_"
					case p.Damp:
						w += "."
					}
				}
			}
			if slices.Contains(e.Marks, tune.Accent) {
				w += " >"
			}
			if slices.Contains(e.Marks, tune.Swell) {
				w += " <"
			}
			words = append(words, w)
		}
		for _, c := range bar.Chords {
			words = append(words, c.Text+" at "+c.At.String())
		}
		fmt.Fprintf(b, "%d: %s\n", bar.Number, strings.Join(words, ", "))
	}
}

// TestKeysAreReached: a part in another key is moved by no more than six semitones, up
// rather than down where both are as far; its capo is put where it is asked for.
func TestKeysAreReached(t *testing.T) {
	src := "X:1\nM:4/4\nL:1/4\nK:C\n\"C\"z4|\"G7\"z4|\"C\"z4|]\n"
	for key, want := range map[string]int{"C": 0, "D": 2, "F": 5, "F#": -6, "G": -5, "B": -1, "Bb": -2} {
		k, _ := pitch.ParseClass(key)
		res, err := Accompany(context.Background(), abctest.Tune(t, src), rigtest.Builtin(t, "lap6-c6"), Options{Key: &k})
		if err != nil {
			t.Errorf("%s: %v", key, err)
			continue
		}
		if res.Transposed != want || res.Tab.Transposed != want || res.Chords[0].Written.Root.Semitone() != k.Semitone() {
			t.Errorf("from C to %s it is moved by %d, and begins with %s; want %d", key, res.Transposed, res.Chords[0].Written, want)
		}
	}
	capo := 3
	res, err := Accompany(context.Background(), abctest.Tune(t, src), rigtest.Builtin(t, "bender-open-d"), Options{Capo: &capo})
	if err != nil || res.Tab.Rig.Capo.At != 3 {
		t.Errorf("the capo is at %v, %v", res, err)
	}
	if _, err := Accompany(context.Background(), abctest.Tune(t, src), rigtest.Builtin(t, "lap6-c6"), Options{Capo: &capo}); err == nil {
		t.Error("a capo is put on an instrument that has none")
	}
}

// TestOptionsAreChecked: the frets may be one and the same, or bound on one side.
func TestOptionsAreChecked(t *testing.T) {
	for _, c := range []struct {
		o    Options
		good bool
	}{
		{Options{}, true}, {Options{Low: 5, High: 5}, true}, {Options{Low: 5}, true}, {Options{High: 1}, true}, {Options{Low: 6, High: 5}, false},
		{Options{Low: -1}, false}, {Options{High: -1}, false}, {Options{Level: 77}, false},
	} {
		if err := c.o.check(); (err == nil) != c.good {
			t.Errorf("%+v: %v", c.o, err)
		}
	}
	o := OptionsOf(arrange.Options{Closed: true, Low: 2, High: 9})
	if !o.Closed || o.Square || o.Low != 2 || o.High != 9 {
		t.Errorf("the wishes become %+v", o)
	}
}

// TestFigureSigns: strokes of single strings let a grip be heard when there are three, low,
// middle and high; of fewer the first has them all.
func TestFigureSigns(t *testing.T) {
	for signs, want := range map[string]string{"": "", "LLL": "LMH", "HMLH": "LMHH", "LM": "GM", "L": "G", "GL": "GL", "LG": "LG", "LMB": "LMB"} {
		of := map[rune]feel.Sign{'L': feel.Low, 'M': feel.Mid, 'H': feel.High, 'G': feel.Grip, 'B': feel.Bass}
		var strokes []*feel.Stroke
		for _, s := range signs {
			strokes = append(strokes, &feel.Stroke{Sign: of[s]})
		}
		if signs != "" {
			hear(strokes)
		}
		got := ""
		for _, st := range strokes {
			for r, s := range of {
				if s == st.Sign {
					got += string(r)
				}
			}
		}
		if got != want {
			t.Errorf("%s becomes %s; want %s", signs, got, want)
		}
	}
}
