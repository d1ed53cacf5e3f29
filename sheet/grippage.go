package sheet

import (
	"lapwright/pitch"
	"lapwright/sheet/draw"
	"lapwright/sheet/neck"
	"math"
	"strings"
)

// gripPieces are the neck pictures of the grips layout: every grip of two
// strings or more once, with the chord that is sounding, and under a melody of
// single notes the places that it uses.
func (p *pager) gripPieces() []piece {
	s := p.s
	if !s.st.grips {
		return nil
	}
	var necks []neck.View
	for _, st := range s.grips() {
		var strs []int
		for _, pl := range st.plays {
			strs = append(strs, pl.pluck.String)
		}
		ch := s.chordAt(st)
		n := neck.Grip(s.tab.Rig, st.stroke.Placement, st.stroke.Benders, strs, ch)
		if ch != nil {
			n.Caption = ch.Pretty()
		}
		if w := s.stopBenders(st); w != "" {
			n.Caption = strings.TrimSpace(n.Caption + " with " + w)
		}
		necks = append(necks, n)
	}
	necks = append(necks, s.placesUsed())
	var out []piece
	for _, row := range neck.Rows(necks, p.width) {
		var pc piece
		g := &draw.Group{Class: "necks"}
		for _, c := range row {
			g.Items = append(g.Items, c.At(0, 0))
			pc.height = max(pc.height, c.Height)
		}
		pc.items = []draw.Item{g}
		pc.after = 4
		out = append(out, pc)
	}
	return out
}

// stopBenders names the benders that a stroke works.
func (s *score) stopBenders(st *stop) string {
	out := ""
	for i := range s.tab.Rig.Benders {
		if st.stroke.Benders.Has(i) {
			out += s.tab.Rig.Benders[i].Mark
		}
	}
	return out
}

// chordAt returns the chord that is sounding at a stroke, or nil.
func (s *score) chordAt(st *stop) *pitch.Chord {
	for i := st.stroke.Bar; i >= 0; i-- {
		var c *pitch.Chord
		for j := range s.t.Bars[i].Chords {
			if k := &s.t.Bars[i].Chords[j]; i < st.stroke.Bar || k.At <= st.stroke.At {
				c = k.Chord
			}
		}
		if c != nil {
			return c
		}
	}
	return nil
}

// placesUsed is a map of every place that the tab plays, by note name.
func (s *score) placesUsed() neck.View {
	n := neck.View{Rig: s.tab.Rig, Caption: "Where it lies"}
	type place struct {
		str  int
		fret float64
	}
	seen := map[place]bool{}
	hi := 0.0
	for i := range s.tab.Strokes {
		st := &s.tab.Strokes[i]
		for j := range st.Plucks {
			p := &st.Plucks[j]
			k := s.geo.Key(st.Placement, p.String, st.Benders)
			f := p.Fret
			if int(p.Node) > 0 && f == 0 {
				continue // a harmonic is no place of the steel
			}
			d := neck.Dot{String: p.String, Fret: math.Round(f*10) / 10, Label: pitch.SpellKey(int(math.Round(k)), s.t.Bars[st.Bar].Key.Fifths()).Class.Pretty()}
			if st.Benders != 0 {
				d.Label = pitch.SpellKey(s.tab.Rig.OpenKey(p.String, 0)+int(math.Round(f)), s.t.Bars[st.Bar].Key.Fifths()).Class.Pretty()
			}
			if at := (place{d.String, d.Fret}); !seen[at] {
				seen[at] = true
				n.Dots = append(n.Dots, d)
				hi = max(hi, d.Fret)
			}
		}
	}
	n.To = min(max(int(math.Ceil(hi))+1, 12), max(neck.LastFret(s.tab.Rig), int(math.Ceil(hi))))
	return n
}
