package picture_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"lapwright/listen"
	"lapwright/listen/picture"
	"lapwright/notation/abc"
	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/tab"
	"lapwright/tune"
)

// Lanes are looked at over a line of music that is a ruler: 4/4 at a beat a second, 10 mm to a
// beat, so 40 mm to a bar, from 20 mm on. With a staff space of 2 mm the lane's letters are 2.9 mm
// high, the wanted pitch lies 14.57 mm under the lane's top, and a cent is 0.36 mm. The last beat of a bar has
// 8 mm: a bar ends at its barline, 2 mm before the next one's first beat.
const (
	rulerLeft = 20.0
	beatMM    = 10.0
	letterMM  = 2.9
	middleMM  = 14.57
	centMM    = 0.36
)

// song returns a tune of so many bars as a tab; with repeat they are played twice.
func song(t *testing.T, bars int, repeat bool) *tab.Tab {
	t.Helper()
	music := strings.Repeat("CDEF|", bars)
	if repeat {
		music = "|:" + strings.TrimSuffix(music, "|") + ":|"
	}
	tunes, _, err := abc.Read([]byte("X:1\nT:Ruler\nM:4/4\nL:1/4\nQ:1/4=60\nK:C\n"+music+"\n"), "a.abc")
	if err != nil {
		t.Fatal(err)
	}
	return &tab.Tab{Tune: tunes[0]}
}

// ruler is a line with some bars.
func ruler(bars ...int) sheet.Line {
	l := sheet.Line{Left: rulerLeft, Right: rulerLeft + 4*beatMM*float64(len(bars)), Bars: bars, Space: 2}
	l.X = func(bar int, at tune.Ticks) (float64, bool) {
		for k, b := range bars {
			if b == bar {
				beats := min(4, 4*float64(at)/float64(tune.Whole))
				return rulerLeft + beatMM*(4*float64(k)+beats-0.2*max(0, beats-3)), true
			}
		}
		return 0, false
	}
	return l
}

// beat is a place, repeats unfolded, on the ruler.
func beat(pass int, beats float64) tune.Ticks {
	return tune.Ticks(pass)*tune.Whole + tune.Ticks(beats*float64(tune.Whole)/4)
}

// played is a quarter that was played in tune on string 1; with has it differ.
func played(pass int, beats float64, with ...func(*listen.Note)) listen.Note {
	n := listen.Note{
		BarNumber: pass + 1, PassIndex: pass, At: beat(pass, beats), Len: tune.Whole / 4, String: 1, Status: listen.Played, Onset: 4*float64(pass) + beats,
		Late: math.NaN(), CentsJust: math.NaN(), SteelMM: math.NaN(), Sure: true,
	}
	for _, w := range with {
		w(&n)
	}
	return n
}

func off(cents float64) func(*listen.Note)    { return func(n *listen.Note) { n.Cents = cents } }
func late(seconds float64) func(*listen.Note) { return func(n *listen.Note) { n.Late = seconds } }
func on(str int) func(*listen.Note)           { return func(n *listen.Note) { n.String = str } }
func lasting(beats float64) func(*listen.Note) {
	return func(n *listen.Note) { n.Len = beat(0, beats) }
}
func missed(n *listen.Note) { n.Status, n.Cents = listen.Missed, math.NaN() }
func wrong(n *listen.Note)  { n.Status, n.Cents = listen.Wrong, math.NaN() }
func untold(n *listen.Note) { n.Cents, n.Sure = math.NaN(), false }
func unsure(n *listen.Note) { n.Sure = false }

// plucks is the way of a take that plays every beat of some passes, seconds of it to a beat.
func plucks(seconds float64, passes ...int) (path []listen.Place) {
	for _, p := range passes {
		for b := range 4 {
			path = append(path, listen.Place{Seconds: seconds * float64(len(path)), PassIndex: p, At: beat(p, float64(b)), Joined: len(path) > 0})
		}
	}
	return path
}

// looked is what is seen in the lanes of a line.
type looked struct {
	page  *draw.Page
	takes []*draw.Group // one a lane, from the top
	notes map[string]*draw.Group
	ticks []*draw.Group // of what was heard
	extra []*draw.Group
	loose []draw.Item // what stands in no group but a lane's
}

// look draws the lanes of a review over bars of a ruler.
func look(v *listen.Reviewed, tb *tab.Tab, words []picture.Word, bars ...int) looked {
	l := ruler(bars...)
	d := picture.New(v, tb, words).Lane(l)
	s := looked{page: &draw.Page{W: l.Right + 5, H: d.Height, Items: d.Items}, notes: map[string]*draw.Group{}}
	for _, it := range d.Items {
		take := it.(*draw.Group)
		s.takes = append(s.takes, take)
		for _, it := range take.Items {
			g, ok := it.(*draw.Group)
			if !ok {
				s.loose = append(s.loose, it)
				continue
			}
			switch g.Class {
			case "played":
				s.notes[key(g, "note")] = g
			case "heard":
				s.ticks = append(s.ticks, g)
			case "extra":
				s.extra = append(s.extra, g)
			}
		}
	}
	return s
}

// x returns where the beginning of a note stands in a line of the bars from the first on, played as written.
func (s looked) x(n listen.Note) float64 {
	x, _ := ruler(0, 1, 2).X(n.PassIndex%3, n.At-beat(n.PassIndex, 0))
	return x
}

// mark is a sign as it is seen.
type mark struct {
	looks string // its colour and shape
	x, y  float64
}

var colours = map[draw.Ink]string{0x007A59: "green", 0xC04F00: "orange", 0x0072B2: "blue", 0x9B3F78: "purple", draw.Black: "black", draw.Grey: "grey", draw.Pale: "pale", draw.Faint: "faint", 0x3A3A3A: "dark"}

// markOf finds the sign in a group: a round, a triangle, a square, a diamond, or the two strokes
// of a cross.
func markOf(g *draw.Group) mark {
	var cross []draw.Rule
	for _, it := range g.Items {
		switch it := it.(type) {
		case draw.Box:
			if b := it.Bounds(); it.Ink != draw.Black { // else it is the ring of a teacher's number
				return mark{colours[it.Ink] + hollow(it.Width) + " round", (b.X0 + b.X1) / 2, (b.Y0 + b.Y1) / 2}
			}
		case draw.Path:
			n := len(it.Steps) - 1
			if it.Steps[n].Op != draw.Close || it.Ink == draw.Black {
				continue // a curve, a tick or an arrow
			}
			m := mark{}
			for _, s := range it.Steps[:n] {
				m.x, m.y = m.x+s.P[0].X/float64(n), m.y+s.P[0].Y/float64(n)
			}
			shape := map[int]string{3: "down", 4: "square"}[n]
			if first := it.Steps[0].P[0]; math.Abs(first.X-m.x) < 1e-6 && first.Y < m.y {
				shape = map[int]string{3: "up", 4: "diamond"}[n]
			}
			m.looks = colours[it.Ink] + hollow(it.Width) + " " + shape
			return m
		case draw.Rule:
			if it.Y1 != it.Y2 {
				cross = append(cross, it)
			}
		}
	}
	if len(cross) != 2 || cross[0].Bounds() != cross[1].Bounds() {
		return mark{}
	}
	return mark{colours[cross[0].Ink] + " cross", (cross[0].X1 + cross[0].X2) / 2, (cross[0].Y1 + cross[0].Y2) / 2}
}

func hollow(width float64) string {
	if width > 0 {
		return " hollow"
	}
	return ""
}

// texts lists what is written among items, each with where it begins.
func texts(items []draw.Item) (out []draw.Text) {
	for _, it := range items {
		switch it := it.(type) {
		case draw.Text:
			out = append(out, it)
		case *draw.Group:
			out = append(out, texts(it.Items)...)
		}
	}
	return out
}

// at writes a place to a hundredth of a millimetre.
func at(x, y float64) string { return fmt.Sprintf("%.2f %.2f", x, y) }
