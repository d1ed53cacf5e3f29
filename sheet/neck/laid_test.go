package neck

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"lapwright/internal/golden"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/sheet/draw"
	"lapwright/steel"
	"lapwright/tune/tunetest"
	"lapwright/wire"
)

// told tells what a picture of a neck has, in millimetres: its places with their labels and how large those are, its joins, its steel, its frets, its names.
func told(b *strings.Builder, g *draw.Group) {
	r := g.Bounds()
	fmt.Fprintf(b, "neck %.2f, %.2f to %.2f, %.2f:", r.X0, r.Y0, r.X1, r.Y1)
	for _, it := range g.Items {
		switch it := it.(type) {
		case *draw.Group:
			fmt.Fprintf(b, " %s", it.Class)
			for _, k := range it.Keys {
				fmt.Fprintf(b, " %s", k.Value)
			}
			for _, x := range it.Items {
				switch x := x.(type) {
				case draw.Rule:
					fmt.Fprintf(b, " %.2f, %.2f–%.2f, %.2f of %.2f", x.X1, x.Y1, x.X2, x.Y2, x.Width)
				case draw.Text:
					fmt.Fprintf(b, " at %.2f, %.2f of %.2f ink %x", x.X, x.Y, x.Size, x.Ink)
				case draw.Path:
					fmt.Fprintf(b, " as wide as %.2f", x.Width)
				}
			}
			b.WriteString(";")
		case draw.Rule:
			if it.X1 == it.X2 {
				fmt.Fprintf(b, " fret %.2f", it.X1)
			}
		case draw.Text:
			fmt.Fprintf(b, " %q %.2f, %.2f of %.2f;", it.S, it.X, it.Y, it.Size)
		case draw.Box:
			fmt.Fprintf(b, " shade %.2f, %.2f by %.2f, %.2f;", it.X, it.Y, it.W, it.H)
		}
	}
	b.WriteString("\n")
}

func laidOut(b *strings.Builder, d *draw.Drawing) {
	for _, m := range d.Bookmarks {
		fmt.Fprintf(b, "bookmark %q page %d at %.2f\n", m.Title, m.Page+1, m.Y)
	}
	for i, p := range d.Pages {
		fmt.Fprintf(b, "page %d\n", i+1)
		for _, it := range p.Items {
			switch it := it.(type) {
			case *draw.Group:
				told(b, it)
			case draw.Text:
				fmt.Fprintf(b, "%.2f, %.2f %q of %.2f\n", it.X, it.Y, it.S, it.Size)
			case draw.Rule:
				fmt.Fprintf(b, "line %.2f, %.2f to %.2f\n", it.X1, it.Y1, it.X2)
			}
		}
	}
}

// TestNecksAsLookedAt: booklets, cards and pictures of grips as they were when they were looked at, down to each place on the neck.
func TestNecksAsLookedAt(t *testing.T) {
	var b strings.Builder
	for _, c := range []struct {
		rig, key string
		o        Options
	}{{"bender-open-d", "D", Options{Paper: draw.Letter, Margin: 40}}, {"lap6-c6", "E minor", Options{Facing: Facing{Left: true, StringOneLow: true}}}} {
		r := *rigtest.Builtin(t, c.rig)
		if c.key == "D" {
			r.Title, r.Reference, r.Tuning = "", 432, ""
		}
		d, err := Booklet(&r, tunetest.Key(t, c.key), c.o)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&b, "# %s\n%s\n", d.Title, d.Description)
		laidOut(&b, d)
	}
	many := *rigtest.Builtin(t, "lap8-c13")
	for len(many.Strings) < 12 {
		many.Strings = append(many.Strings, many.Strings[7])
	}
	fmt.Fprintf(&b, "# a card of many strings\n")
	laidOut(&b, TuningCard(&many))
	// Steels longer and shorter than what they stop, of no length and no thickness, at the end of the neck and over it; labels too wide for their place.
	c, err := pitch.ParseChord("G7#11")
	if err != nil {
		t.Fatal(err)
	}
	for _, size := range [][2]float64{{82, 19}, {30, 19}, {0, 0}} {
		r := *rigtest.Builtin(t, "reso-open-g")
		r.Steel.Length, r.Steel.Diameter = wire.MM(size[0]), wire.MM(size[1])
		for _, p := range []steel.Placement{
			{Kind: steel.Straight, First: 1, Last: 3, FirstFret: 5, LastFret: 5}, {Kind: steel.Straight, First: 4, Last: 6, FirstFret: 5, LastFret: 5}, {Kind: steel.Forward, First: 1, Last: 3, FirstFret: 9, LastFret: 7},
			{Kind: steel.Reverse, First: 1, Last: 4, FirstFret: 7, LastFret: 9}, {Kind: steel.Split, First: 1, Last: 3, FirstFret: 7, LastFret: 6}, {Kind: steel.Nose, First: 2, Last: 2, FirstFret: 1, LastFret: 1},
		} {
			v := Grip(&r, p, 0, []int{1, 2, 3, 6}, &c)
			g, h := v.Picture(90)
			fmt.Fprintf(&b, "steel %g by %g, frets %d to %d, height %.2f: ", size[0], size[1], v.From, v.To, h)
			told(&b, g)
		}
	}
	for _, name := range []string{"lap6-c6", "pedal10-e9"} {
		r := rigtest.Builtin(t, name)
		for _, fret := range []float64{0, 2, 3, 12, float64(r.Frets) - 1} {
			v := View{Rig: r, To: r.Frets, Dots: []Dot{{String: 2, Fret: fret, Label: "♯11"}, {String: 3, Fret: fret + 1, Strong: true}, {String: 1}}, Marked: []int{0, int(fret)}, Caption: "part"}
			for _, long := range []wire.MM{120, 300} {
				p := v.Part(long)
				g, h := p.Picture(70)
				fmt.Fprintf(&b, "%s at %g, %g mm: from %d to %d, height %.2f: ", name, fret, float64(long), p.From, p.To, h)
				told(&b, g)
			}
		}
	}
	golden.File(t, "testdata/laid.txt", []byte(b.String()))
}

// TestPairsAreTheBestThereAre: of all pairs of strings no other has more degrees of the scale, or as many with less slant; the tonic alone is filled; every place
// on two strings where a third or sixth of the scale can be laid is shown, up to the last fret.
func TestPairsAreTheBestThereAre(t *testing.T) {
	major, _ := pitch.ParseScale("major")
	for _, name := range []string{"reso-open-g", "lap6-c6", "bender-open-d"} {
		r := rigtest.Builtin(t, name)
		g := steel.New(r)
		tonic := tunetest.Key(t, "G").Tonic
		for _, steps := range []int{2, 5} {
			v, ok := Pairs(r, tonic, major, steps)
			if !ok {
				t.Fatalf("%s has no pairs", name)
			}
			type found struct {
				degrees int
				slant   float64
				joins   []Join
			}
			best, shown := found{}, found{}
			for high := 1; high <= len(r.Strings); high++ {
				for low := high + 1; low <= len(r.Strings); low++ {
					var f found
					degrees := map[int]bool{}
					for i, iv := range major.Steps {
						up := major.Steps[(i+steps)%7].Semitones - iv.Semitones
						if up < 0 {
							up += 12
						}
						for fret := 0; fret <= LastFret(r); fret++ {
							key := r.OpenKey(low, 0) + fret
							to := key + up - r.OpenKey(high, 0)
							if (key-tonic.Semitone()-iv.Semitones)%12 != 0 || to < 0 || to > LastFret(r) {
								continue
							}
							p := steel.Placement{Kind: steel.Straight, First: int8(high), Last: int8(low), FirstFret: float64(to), LastFret: float64(fret)}
							if to > fret {
								p.Kind = steel.Forward
							} else if to < fret {
								p.Kind = steel.Reverse
							}
							if (to == 0 || fret == 0) && to != fret || to > 0 && fret > 0 && g.Check(p) != nil {
								continue
							}
							degrees[i] = true
							f.slant += math.Abs(float64(to - fret))
							f.joins = append(f.joins, Join{high, low, float64(to), float64(fret)})
						}
					}
					if f.degrees = len(degrees); f.degrees > best.degrees || f.degrees == best.degrees && f.degrees > 0 && f.slant < best.slant {
						best = f
					}
					if len(v.Joins) > 0 && v.Joins[0].From == high && v.Joins[0].To == low {
						shown = f
					}
				}
			}
			if shown.degrees != best.degrees || shown.slant != best.slant {
				t.Errorf("%s, %d steps: %d degrees that slant by %g, the best has %d by %g", name, steps, shown.degrees, shown.slant, best.degrees, best.slant)
			}
			if len(v.Joins) != len(shown.joins) {
				t.Errorf("%s, %d steps: %d places of %d are shown", name, steps, len(v.Joins), len(shown.joins))
			}
			for _, j := range shown.joins {
				if !slices.Contains(v.Joins, j) {
					t.Errorf("%s, %d steps: %v is not shown", name, steps, j)
				}
			}
			for _, d := range v.Dots {
				if d.Strong != ((r.OpenKey(d.String, 0)+int(d.Fret)-tonic.Semitone())%12 == 0) {
					t.Errorf("%s: string %d at %g is filled: %v", name, d.String, d.Fret, d.Strong)
				}
			}
		}
	}
}

// TestJoinsAreOfThree: neighbouring strings with tones at one fret are joined from three on, at every fret from the nut to the last, each string once.
func TestJoinsAreOfThree(t *testing.T) {
	r := rigtest.Builtin(t, "lap6-c6")
	for _, name := range []string{"C", "Am7", "F6", "D9"} {
		c, err := pitch.ParseChord(name)
		if err != nil {
			t.Fatal(err)
		}
		v := Chord(r, c)
		for f := 0; f <= v.To; f++ {
			for s := 1; s <= 6; s++ {
				run := 1 // of strings about s with a tone here
				has := func(k int) bool {
					return slices.ContainsFunc(v.Dots, func(d Dot) bool { return d.String == k && d.Fret == float64(f) })
				}
				if !has(s) {
					run = 0
				} else {
					for k := s - 1; has(k); k-- {
						run++
					}
					for k := s + 1; has(k); k++ {
						run++
					}
				}
				n := 0
				for _, j := range v.Joins {
					if j.FromFret == float64(f) && j.ToFret == float64(f) && s >= j.From && s <= j.To {
						n++
					}
				}
				if want := map[bool]int{true: 1}[run >= 3]; n != want {
					t.Errorf("%s: string %d at fret %d, one of %d side by side, is in %d joins", name, s, f, run, n)
				}
			}
		}
	}
}

// TestScalesOverTheNeck: every degree of a scale stands where its pitch is, by its number over the tonic, in any key; degrees are altered against the major scale.
func TestScalesOverTheNeck(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g")
	for name, want := range map[string][12]string{
		"major": {"R", "", "2", "", "3", "4", "", "5", "", "6", "", "7"}, "dorian": {"R", "", "2", "♭3", "", "4", "", "5", "", "6", "♭7", ""}, "lydian": {"R", "", "2", "", "3", "", "♯4", "5", "", "6", "", "7"}, "phrygian": {"R", "♭2", "", "♭3", "", "4", "", "5", "♭6", "", "♭7", ""},
	} {
		sc, err := pitch.ParseScale(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, key := range []string{"C", "B", "F#"} {
			tonic := tunetest.Key(t, key).Tonic
			v := Scale(r, tonic, sc)
			n := 0
			for s := 1; s <= 6; s++ {
				for f := 0; f <= LastFret(r); f++ {
					label := want[(r.OpenKey(s, 0)+f-tonic.Semitone()+120)%12]
					i := slices.IndexFunc(v.Dots, func(d Dot) bool { return d.String == s && d.Fret == float64(f) })
					if label == "" && i >= 0 || label != "" && (i < 0 || v.Dots[i].Label != label || v.Dots[i].Strong != (label == "R")) {
						t.Fatalf("%s %s: string %d at fret %d should be %q", key, name, s, f, label)
					}
					if i >= 0 {
						n++
					}
				}
			}
			if n != len(v.Dots) {
				t.Errorf("%s %s: %d places of %d lie on the neck", key, name, n, len(v.Dots))
			}
		}
	}
	if short := (&rig.Rig{Frets: 0}); LastFret(short) != 1 || LastFret(&rig.Rig{Frets: 24}) != 24 || LastFret(&rig.Rig{Frets: 36}) != 24 || LastFret(&rig.Rig{Frets: 19}) != 19 {
		t.Error("the last fret that is shown is another")
	}
}
