package sheet

import (
	"math"
	"strconv"
	"strings"

	"lapwright/pitch"
	"lapwright/say"
	"lapwright/sheet/draw"
	"lapwright/sheet/neck"
	"lapwright/sheet/score"
)

// gripPieces are the neck pictures of the grips layout: every grip of two
// strings or more once, with the chord that is sounding, and under a melody of
// single notes the places that it uses.
func (p *pager) gripPieces() []piece {
	s := p.s
	if !s.Style.Grips {
		return nil
	}
	var necks []neck.View
	for _, st := range usedGrips(s) {
		var strs []int
		for _, pl := range st.Plays {
			strs = append(strs, pl.Pluck.String)
		}
		ch := chordAt(s, st)
		n := neck.Grip(s.Tab.Rig, st.Stroke.Placement, st.Stroke.Benders, strs, ch)
		if ch != nil {
			n.Caption = ch.Pretty()
		}
		if w := stopBenders(s, st); w != "" {
			n.Caption = strings.TrimSpace(n.Caption + " with " + w)
		}
		necks = append(necks, n)
	}
	necks = append(necks, placesUsed(s))
	for i := range necks {
		necks[i].Facing = neck.Facing{Left: s.Options.LeftHanded, StringOneLow: s.Options.StringOneLow}
	}
	var out []piece
	for _, row := range neck.Rows(necks, p.width, gripRoom) {
		var pc piece
		g := &draw.Group{Class: "necks"}
		for _, c := range row {
			pc.height = max(pc.height, c.Height)
		}
		for _, c := range row { // their lower edges in one line
			g.Items = append(g.Items, c.At(0, pc.height-c.Height))
		}
		pc.items = []draw.Item{g}
		pc.after = 4
		out = append(out, pc)
	}
	return out
}

// gripRoom is the least width of a picture of a grip, in millimetres.
const gripRoom = 50.0

// stopBenders names the benders that a stroke works.
func stopBenders(s *score.Score, st *score.Stop) string {
	out := ""
	for i := range s.Tab.Rig.Benders {
		if st.Stroke.Benders.Has(i) {
			out += s.Tab.Rig.Benders[i].Mark
		}
	}
	return out
}

// chordAt returns the chord that is sounding at a stroke, or nil.
func chordAt(s *score.Score, st *score.Stop) *pitch.Chord {
	for i := st.Stroke.BarIndex; i >= 0; i-- {
		var c *pitch.Chord
		for j := range s.Tune.Bars[i].Chords {
			if k := &s.Tune.Bars[i].Chords[j]; i < st.Stroke.BarIndex || k.At <= st.Stroke.At {
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
func placesUsed(s *score.Score) neck.View {
	n := neck.View{Rig: s.Tab.Rig, Caption: "Where it lies"}
	type place struct {
		str  int
		fret float64
	}
	seen := map[place]bool{}
	hi := 0.0
	for i := range s.Tab.Strokes {
		st := &s.Tab.Strokes[i]
		for j := range st.Plucks {
			p := &st.Plucks[j]
			k := s.Geo.Key(st.Placement, p.String, st.Benders)
			f := p.Fret
			if int(p.Node) > 0 && f == 0 {
				continue // a harmonic is no place of the steel
			}
			d := neck.Dot{String: p.String, Fret: math.Round(f*10) / 10, Label: pitch.SpellKey(int(math.Round(k)), s.Tune.Bars[st.BarIndex].Key.Fifths()).Class.Pretty()}
			if st.Benders != 0 {
				d.Label = pitch.SpellKey(s.Tab.Rig.OpenKey(p.String, 0)+int(math.Round(f)), s.Tune.Bars[st.BarIndex].Key.Fifths()).Class.Pretty()
			}
			if at := (place{d.String, d.Fret}); !seen[at] {
				seen[at] = true
				n.Dots = append(n.Dots, d)
				hi = max(hi, d.Fret)
			}
		}
	}
	n.To = min(max(int(math.Ceil(hi))+1, 12), max(neck.LastFret(s.Tab.Rig), int(math.Ceil(hi))))
	return n
}

// usedGrips lists the different placements of the tab in order of first use.
func usedGrips(s *score.Score) []*score.Stop {
	var out []*score.Stop
	seen := map[string]bool{}
	for _, m := range s.Bars {
		for _, nd := range m.Nodes {
			for _, st := range nd.Stops {
				if st.Stroke == nil || len(st.Plays) < 2 || nd.Grace < 0 {
					continue
				}
				key := ""
				for _, p := range st.Plays {
					key += strconv.Itoa(p.Pluck.String) + ":" + say.Fret(p.Pluck.Fret) + s.BenderText(p) + " "
				}
				if !seen[key] {
					seen[key] = true
					out = append(out, st)
				}
			}
		}
	}
	return out
}
