package workbench

import (
	"slices"
	"strings"

	"lapwright/grip"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/sheet/draw"
	"lapwright/sheet/neck"
)

// FoundGrip is a grip that sounds what was wanted, as a card shows it.
type FoundGrip struct {
	Grip
	Words string     // how the steel lies, and what is missing
	Tones []GripTone // from the lowest up
	Body  string     // as it is kept
	Back  string     // the query of the search that found it
	Kept  bool       // it was kept just now

	drawn *draw.Page
}

// GripTone is one tone of a grip: its pitch, what it is in the chord and which
// string sounds it.
type GripTone struct {
	Pitch  string
	Label  string // "root", "♭3"; "" for notes that make no chord
	String int
}

// The pictures of grips: how much of the neck each shows, as a share of its scale,
// and the widths in millimetres of one of them, of one alone and of a whole neck.
const (
	cardShare  = 0.27
	cardWidth  = 62.0
	aloneWidth = 110.0
	neckWidth  = 210.0
)

func foundGrip(g *rig.Rig, w *GripWish, x *grip.Way, c *pitch.Chord) FoundGrip {
	out := FoundGrip{Grip: Grip{Ref: w.Rig, Rig: g, Want: w.Want, Placement: x.Placement, Benders: x.Benders}}
	for _, n := range slices.Backward(x.Notes) {
		out.Tones = append(out.Tones, GripTone{n.Name.Pretty(), toneName(n.Label), n.String})
	}
	for _, n := range x.Notes {
		out.Strings = append(out.Strings, n.String)
	}
	out.Words = lies(&out.Grip)
	if len(x.Missing) > 0 {
		var lacks []string
		for _, label := range x.Missing {
			lacks = append(lacks, toneName(label))
		}
		out.Words += ", without the " + strings.Join(lacks, " and the ")
	}
	out.Body, _ = out.Text()
	out.Back = w.Query()
	out.drawn = gripPage(&out.Grip, c, cardWidth)
	return out
}

// toneName returns what a chord's tone is called: "root", "♭3", "5".
func toneName(label string) string {
	if label == "R" {
		return "root"
	}
	return strings.NewReplacer("b", "♭", "#", "♯").Replace(label)
}

// chord is the chord that is wanted, nil when it is another thing.
func (w *GripWish) chord() *pitch.Chord { return (&Grip{Want: w.Want}).Chord() }

// gripPage draws a grip on the part of the neck round it.
func gripPage(b *Grip, c *pitch.Chord, width float64) *draw.Page {
	v := neck.Grip(b.Rig, b.Placement, b.Benders, b.Strings, c).Part(cardShare * b.Rig.Scale)
	group, height := v.Picture(width)
	return &draw.Page{W: width, H: height, Items: []draw.Item{group}, Description: v.Describe()}
}

// sameSize gives all cards the height of the tallest.
func sameSize(f *GripsFound) {
	tall := 0.0
	f.each(func(x *FoundGrip) { tall = max(tall, x.drawn.H) })
	f.each(func(x *FoundGrip) {
		x.drawn.Items = []draw.Item{draw.Placed(x.drawn.Items[0], 1, 0, (tall-x.drawn.H)/2)}
		x.drawn.H = tall
	})
}

// Picture returns the card's drawing as SVG.
func (x *FoundGrip) Picture() string { return svg("Grip", x.drawn) }

// Picture draws a grip alone, as SVG.
func (b *Grip) Picture() string { return svg("Grip", gripPage(b, b.Chord(), aloneWidth)) }

func svg(title string, p *draw.Page) string {
	return string(draw.SVG(&draw.Drawing{Title: title, Pages: []*draw.Page{p}}, 0))
}

// Neck draws, as SVG, the one neck that the found grips lie along: every place of a
// chord's tones, or of the grips' own when there is no chord, with the places of
// the grips shaded.
func (w *GripWish) Neck(g *rig.Rig, f *GripsFound) string {
	v := neck.View{Rig: g, To: neck.LastFret(g)}
	if c := w.chord(); c != nil {
		v = neck.Chord(g, *c)
	} else {
		seen := map[neck.Dot]bool{}
		f.each(func(x *FoundGrip) {
			for _, d := range neck.Grip(g, x.Placement, x.Benders, x.Strings, nil).Dots {
				if !seen[d] && d.Fret <= float64(v.To) {
					seen[d], v.Dots = true, append(v.Dots, d)
				}
			}
		})
	}
	v.Caption = ""
	for _, p := range f.Places {
		v.Marked = append(v.Marked, p.Fret)
	}
	group, height := v.Picture(neckWidth)
	// The dots at the last fret stand out over the board.
	return svg("The neck of "+g.Title, &draw.Page{W: neckWidth + 2, H: height, Items: []draw.Item{group}, Description: v.Describe()})
}
