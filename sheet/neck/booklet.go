package neck

import (
	"fmt"
	"math"
	"slices"

	"lapwright/inorder"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/sheet/draw"
	"lapwright/steel"
)

// Pairs shows a scale in pairs of strings that are steps apart, 2 for thirds and 5 for
// sixths: each degree where the steel stops both, square or slanted as it can be laid.
// Of all pairs of strings that is taken which has most degrees of the scale, then the
// one that slants least; ok is false when none has a pair.
func Pairs(r *rig.Rig, tonic pitch.Class, sc pitch.Scale, steps int) (v View, ok bool) {
	classes := sc.On(tonic)
	g := steel.New(r)
	most, least := 0, math.Inf(1)
	for high := 1; high <= len(r.Strings); high++ {
		for low := high + 1; low <= len(r.Strings); low++ {
			n, degrees, slant := pairsOn(g, r, classes, steps, high, low)
			if degrees > most || degrees == most && degrees > 0 && slant < least {
				v, most, least = n, degrees, slant
			}
		}
	}
	name := map[int]string{2: "thirds", 5: "sixths"}[steps]
	v.Caption = fmt.Sprintf("%s %s in %s", tonic.Pretty(), sc.Name, name)
	return v, most > 0
}

// pairsOn finds the pairs of one pair of strings: how many degrees of the scale have
// one, and by how many frets they slant together.
func pairsOn(g *steel.Geometry, r *rig.Rig, classes []pitch.Class, steps, high, low int) (v View, degrees int, slant float64) {
	v = View{Rig: r, To: LastFret(r)}
	for i, c := range classes {
		upper := classes[(i+steps)%len(classes)]
		above := (upper.Semitone() - c.Semitone() + 12) % 12
		found := false
		for f := 0; f <= v.To; f++ {
			key := r.OpenKey(low, 0) + f
			if (key-c.Semitone())%12 != 0 {
				continue
			}
			to := key + above - r.OpenKey(high, 0)
			if to < 0 || to > v.To || !stops(g, high, low, to, f) {
				continue
			}
			v.Dots = append(v.Dots, Dot{String: low, Fret: float64(f), Label: c.Pretty(), Strong: i == 0}, Dot{String: high, Fret: float64(to), Label: upper.Pretty(), Strong: (i+steps)%len(classes) == 0})
			v.Joins = append(v.Joins, Join{high, low, float64(to), float64(f)})
			slant += math.Abs(float64(to - f))
			found = true
		}
		if found {
			degrees++
		}
	}
	return v, degrees, slant
}

// stops reports whether the steel stops two strings at two frets: both open, or
// neither and laid square or as a slant that hand and steel allow.
func stops(g *steel.Geometry, high, low, highFret, lowFret int) bool {
	if highFret == 0 || lowFret == 0 {
		return highFret == lowFret
	}
	p := steel.Placement{Kind: steel.Straight, First: int8(high), Last: int8(low), FirstFret: float64(highFret), LastFret: float64(lowFret)}
	switch {
	case highFret > lowFret:
		p.Kind = steel.Forward
	case highFret < lowFret:
		p.Kind = steel.Reverse
	}
	return g.Check(p) == nil
}

// Chords are the three chords of a key on its first, fourth and fifth degree; the
// fifth has its seventh, and is major in minor keys too (common practice, no source).
func Chords(k pitch.Key) ([]pitch.Chord, error) {
	sc := k.Scale()
	if len(sc.Steps) != 7 {
		return nil, fmt.Errorf("%s has no seven degrees", k)
	}
	on := sc.On(k.Tonic)
	minor := ""
	if sc.Steps[2].Semitones == 3 {
		minor = "m"
	}
	var out []pitch.Chord
	for _, name := range []string{on[0].String() + minor, on[3].String() + minor, on[4].String() + "7"} {
		c, err := pitch.ParseChord(name)
		if err != nil {
			return nil, err
		}
		out = append(out, c)
	}
	return out, nil
}

// Booklet is what a student begins a key with on an instrument: its tuning; the neck
// with the chords I, IV and V, and again with each bender or pedal that makes a
// straight grip of one of them; the scale; pairs in thirds and in sixths.
func Booklet(r *rig.Rig, k pitch.Key, o Options) (*draw.Drawing, error) {
	chords, err := Chords(k)
	if err != nil {
		return nil, err
	}
	title := r.Title
	if title == "" {
		title = r.Name
	}
	f, err := newFlow(title+" in "+k.Pretty(), o)
	if err != nil {
		return nil, err
	}
	f.heading(f.d.Title, 18*draw.PointMM, draw.Middle)
	f.y += 4
	card := TuningCard(r)
	width := f.w - 2*f.o.Margin
	scale := min(width/cardWidth, 1)
	for _, it := range card.Pages[0].Items {
		f.put(draw.Placed(it, scale, f.o.Margin+(width-cardWidth*scale)/2, f.y))
	}
	f.told = append(f.told, card.Description)
	low := 0.0 // of the card, what is drawn
	for _, it := range card.Pages[0].Items {
		low = max(low, it.Bounds().Y1)
	}
	f.y += low*scale + 8

	var straight, bent []View
	for _, c := range chords {
		straight = append(straight, Chord(r, c))
		bent = append(bent, bentGrips(r, c)...)
	}
	sc := k.Scale()
	parts := []struct {
		head  string
		views []View
	}{{"The chords I, IV and V", straight}, {"With benders and pedals", bent}, {"The scale", []View{Scale(r, k.Tonic, sc)}}}
	for _, p := range []struct {
		head  string
		steps int
	}{{"Pairs in thirds", 2}, {"Pairs in sixths", 5}} {
		if v, ok := Pairs(r, k.Tonic, sc, p.steps); ok {
			parts = append(parts, struct {
				head  string
				views []View
			}{p.head, []View{v}})
		}
	}
	const em = 13 * draw.PointMM
	for _, p := range parts {
		if len(p.views) == 0 {
			continue
		}
		_, first := p.views[0].Picture(f.w - 2*f.o.Margin)
		f.room(em*1.25 + 3 + first)
		f.d.Bookmarks = append(f.d.Bookmarks, draw.Bookmark{Title: p.head, Level: 1, Page: len(f.d.Pages) - 1, Y: f.y})
		f.heading(p.head, em, draw.Start)
		f.y += 3
		f.necks(p.views)
	}
	return f.end(), nil
}

// maxBent is how many ways to bend a chord a booklet shows.
const maxBent = 4

// bentGrips shows a chord with the benders or pedals, one or two, that make straight
// grips of it in which each of them moves a string, those with most strings first;
// only those grips are shown.
func bentGrips(r *rig.Rig, c pitch.Chord) []View {
	type bent struct {
		view    View
		strings int
	}
	var all []bent
	for i := range r.Benders {
		for j := i; j < len(r.Benders); j++ {
			set := rig.BenderSet(1)<<i | rig.BenderSet(1)<<j
			v := ChordWith(r, c, set)
			moved := func(join Join) bool {
				return within(join, r.Benders[i].Changes) && within(join, r.Benders[j].Changes)
			}
			v.Joins = slices.DeleteFunc(v.Joins, func(join Join) bool { return !moved(join) })
			v.Dots = slices.DeleteFunc(v.Dots, func(d Dot) bool {
				return !slices.ContainsFunc(v.Joins, func(j Join) bool { return d.Fret == j.FromFret && d.String >= j.From && d.String <= j.To })
			})
			if len(v.Joins) > 0 {
				all = append(all, bent{v, len(v.Dots)})
			}
		}
	}
	inorder.Stable(all, func(a, b bent) int { return b.strings - a.strings })
	var out []View
	for _, b := range all[:min(len(all), maxBent)] {
		out = append(out, b.view)
	}
	return out
}

// within reports whether a join has a string of the kind asked for.
func within(j Join, is func(s int) bool) bool {
	for s := j.From; s <= j.To; s++ {
		if is(s) {
			return true
		}
	}
	return false
}
