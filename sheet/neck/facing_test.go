package neck

import (
	"math"
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/sheet/draw"
	"lapwright/steel"
)

// seen is what stands where in a picture of a neck.
type seen struct {
	dots   map[string]draw.Point // by string and fret
	frets  []float64
	middle float64      // of the board, from top to bottom
	steel  []draw.Point // the ends of its line
	body   draw.Rect    // all of the steel
	names  map[string]draw.Text
	bounds draw.Rect
	height float64
}

func look(t *testing.T, v View) seen {
	t.Helper()
	g, height := v.Picture(120)
	out := seen{dots: map[string]draw.Point{}, names: map[string]draw.Text{}, frets: frets(g), bounds: g.Bounds(), height: height}
	(&draw.Page{Items: []draw.Item{g}}).Walk(func(in []*draw.Group, it draw.Item) {
		in = in[1:] // but the neck itself
		x, text := it.(draw.Text)
		if l, ok := it.(draw.Rule); ok && l.Ink == draw.Pale && l.X1 == l.X2 {
			out.middle = (l.Y1 + l.Y2) / 2
		}
		switch {
		case len(in) == 0 && text:
			out.names[x.S] = x
		case len(in) > 0 && in[0].Class == "dot" && text:
			out.dots[in[0].Keys[0].Value+" "+in[0].Keys[1].Value] = draw.Point{X: x.X, Y: x.Y}
		case len(in) > 0 && in[0].Class == "steel":
			if l, ok := it.(draw.Rule); ok {
				out.steel = []draw.Point{{X: l.X1, Y: l.Y1}, {X: l.X2, Y: l.Y2}}
				out.body = in[0].Bounds()
			}
		}
	})
	if len(out.dots) < 3 || len(out.frets) < 4 || len(out.steel) != 2 {
		t.Fatalf("%d places, %d frets, steel %v", len(out.dots), len(out.frets), out.steel)
	}
	return out
}

// TestFacing: a left-handed player's neck is the usual one in a mirror that stands
// upright, and one with string 1 at the bottom in a mirror that lies; words stay as
// they are read.
func TestFacing(t *testing.T) {
	own, _ := rig.Builtin("reso-open-g")
	long := *own
	long.Steel.Length = 200 // it is cut off at the board's edge
	r := &long
	slant := steel.Placement{Kind: steel.Forward, First: 1, Last: 3, FirstFret: 5, LastFret: 4}
	view := Grip(r, slant, 0, []int{1, 2, 3, 6}, nil)
	view.Caption = "G"
	usual := look(t, view)
	for _, f := range []Facing{{Left: true}, {StringOneLow: true}, {Left: true, StringOneLow: true}} {
		view.Facing = f
		got := look(t, view)
		width := usual.frets[0] + got.frets[0]
		var middles []float64
		for at, p := range usual.dots {
			q := got.dots[at]
			if want := map[bool]float64{true: width - p.X, false: p.X}[f.Left]; math.Abs(q.X-want) > 1e-9 {
				t.Errorf("%+v: the place %s stands at %.3f, want %.3f", f, at, q.X, want)
			}
			middles = append(middles, p.Y+map[bool]float64{true: q.Y, false: -q.Y}[f.StringOneLow])
		}
		for i, x := range usual.frets {
			if want := map[bool]float64{true: width - x, false: x}[f.Left]; math.Abs(got.frets[i]-want) > 1e-9 {
				t.Errorf("%+v: fret %d stands at %.3f, want %.3f", f, i, got.frets[i], want)
			}
		}
		for _, m := range middles { // labels stand on baselines, all as far below their dots
			if math.Abs(m-middles[0]) > 0.3 {
				t.Errorf("%+v: places are turned about %.2f and %.2f", f, m, middles[0])
			}
		}
		// The steel is the same, nose and cut end, in the mirrors.
		want := usual.body
		want.Y0, want.Y1 = want.Y0-usual.middle, want.Y1-usual.middle
		if f.Left {
			want.X0, want.X1 = width-want.X1, width-want.X0
		}
		if f.StringOneLow {
			want.Y0, want.Y1 = -want.Y1, -want.Y0
		}
		body := got.body
		body.Y0, body.Y1 = body.Y0-got.middle, body.Y1-got.middle
		for i, d := range []float64{body.X0 - want.X0, body.X1 - want.X1, body.Y0 - want.Y0, body.Y1 - want.Y1} {
			if math.Abs(d) > 1e-9 {
				t.Errorf("%+v: the steel takes up %+v, want %+v (%d)", f, body, want, i)
			}
		}
		lean := func(s seen) bool { return (s.steel[0].X-s.steel[1].X)*(s.steel[0].Y-s.steel[1].Y) > 0 }
		if turned := f.Left != f.StringOneLow; (lean(got) != lean(usual)) != turned {
			t.Errorf("%+v: the steel leans as %v, usually %v", f, got.steel, usual.steel)
		}
		name := got.names["D4"]
		if at := (name.X > got.frets[len(got.frets)-1]); at != f.Left || (name.Anchor == draw.Start) != f.Left {
			t.Errorf("%+v: string 1 is named at %.1f, the frets are %v", f, name.X, got.frets)
		}
		if low := name.Y > got.names["G2"].Y; low != f.StringOneLow {
			t.Errorf("%+v: string 1 is named at %.1f, string 6 at %.1f", f, name.Y, got.names["G2"].Y)
		}
		if b := got.bounds; b.X0 < -0.01 || b.Y0 < -0.01 || b.X1 > 120.01 || b.Y1 > got.height+0.01 {
			t.Errorf("%+v: the picture reaches %+v in a height of %.2f", f, b, got.height)
		}
		// The numbers of frets stand clear below the steel and the board.
		for _, n := range []string{"4", "5"} {
			if num := got.names[n]; num.Y-0.8*small < got.body.Y1 {
				t.Errorf("%+v: the number %s at %.2f stands in the steel that ends at %.2f", f, n, num.Y, got.body.Y1)
			}
		}
	}
}

// TestCapoIsDrawn: a clamped capo lies over the nut of the picture, since frets are
// counted from it, and its own fret is named under it, in the picture and in words.
func TestCapoIsDrawn(t *testing.T) {
	off, _ := rig.Builtin("bender-open-d")
	on, err := off.WithCapo(5)
	if err != nil {
		t.Fatal(err)
	}
	for _, left := range []bool{false, true} {
		for r, want := range map[*rig.Rig]string{off: "", on: "capo 5"} {
			v := View{Rig: r, To: 12, Facing: Facing{Left: left}}
			g, _ := v.Picture(150)
			said, under, over := "", 0.0, 0.0
			(&draw.Page{Items: []draw.Item{g}}).Walk(func(in []*draw.Group, it draw.Item) {
				if in[len(in)-1].Class != "capo" {
					return
				}
				switch it := it.(type) {
				case draw.Text:
					said, under = it.S, it.X
				case draw.Rule:
					over = it.X1
				}
			})
			if said != want {
				t.Errorf("left-handed %v: at the nut stands %q, want %q", left, said, want)
			}
			at := frets(g)
			if want != "" && (under != over || left != (over > at[0])) {
				t.Errorf("left-handed %v: the capo lies at %.2f and is named at %.2f; the first fret is at %.2f", left, over, under, at[0])
			}
			if told := v.Describe(); strings.Contains(told, "capo at fret 5") != (want != "") {
				t.Errorf("in words: %q", told)
			}
		}
	}
}

// TestCaptionsStandInLine: in a row of pictures the captions stand in one line, and the
// boards too, whether a steel lies on them or not.
func TestCaptionsStandInLine(t *testing.T) {
	r, _ := rig.Builtin("reso-open-g")
	c, err := pitch.ParseChord("G")
	if err != nil {
		t.Fatal(err)
	}
	open := Grip(r, steel.Placement{}, 0, []int{2, 3, 4}, &c)
	stopped := Grip(r, steel.Placement{Kind: steel.Straight, First: 1, Last: 3, FirstFret: 5, LastFret: 5}, 0, []int{1, 2, 3}, &c)
	open.Caption, stopped.Caption = "open", "stopped"
	for _, low := range []bool{false, true} {
		d, err := Page("Two", []View{open, stopped}, Options{Facing: Facing{StringOneLow: low}})
		if err != nil {
			t.Fatal(err)
		}
		captions, strings := map[string]float64{}, map[string]float64{}
		d.Pages[0].Walk(func(in []*draw.Group, it draw.Item) {
			switch it := it.(type) {
			case draw.Text:
				if it.S == "open" || it.S == "stopped" {
					captions[it.S] = it.Y
				}
				if it.S == "D4" {
					strings[map[bool]string{true: "open", false: "stopped"}[len(strings) == 0]] = it.Y
				}
			}
		})
		if len(captions) != 2 || captions["open"] != captions["stopped"] {
			t.Errorf("string 1 low %v: captions stand at %v", low, captions)
		}
		if a, b := strings["open"], strings["stopped"]; math.Abs(a-b) > 0.6 { // strings run apart towards the bridge
			t.Errorf("string 1 low %v: string 1 is named at %.2f and %.2f", low, a, b)
		}
	}
}
