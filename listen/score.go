package listen

import (
	"cmp"
	"math"
	"slices"

	"lapwright/inorder"
	"lapwright/pitch"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// want is one note that the tab asks for, on one string.
type want struct {
	stroke     *tab.Stroke
	pluck      *tab.Pluck
	passIndex  int
	at         tune.Ticks // in sounding order
	len        tune.Ticks // as written, ties joined
	due        float64    // seconds from the music's start as written
	length     float64    // seconds as written
	key        float64    // as the tab has it, in equal temperament
	hz         float64    // that
	open       float64    // the open string's frequency, benders in, as tuned
	begun      bool       // by a finger: what has an onset
	groupIndex int        // index into the groups
	stays      float64    // seconds as written until the steel moves or the string is played again
}

// group is what is plucked at one moment.
type group struct {
	due       float64
	barIndex  int // index into the tune's bars
	passIndex int
	wants     []int // indexes into the wants, begun or not
	begun     bool  // whether a finger begins any
}

// score is what a take should hold.
type score struct {
	tab    *tab.Tab
	perf   *tune.Performance
	g      *steel.Geometry
	tuned  []float64 // cents of each string's open pitch from equal temperament
	wants  []want
	groups []group
	end    float64
}

// newScore lays a tab out in time, repeats unfolded. tuned says how the strings
// are tuned, in cents from equal temperament, string 1 first.
func newScore(t *tab.Tab, tuned []float64) *score {
	perf := t.Performance()
	s := &score{tab: t, perf: perf, g: steel.New(t.Rig), tuned: tuned}
	byBar := make([][]*tab.Stroke, len(t.Tune.Bars))
	for i := range t.Strokes {
		st := &t.Strokes[i]
		if st.BarIndex >= 0 && st.BarIndex < len(byBar) {
			byBar[st.BarIndex] = append(byBar[st.BarIndex], st)
		}
	}
	type sitting struct {
		st   *tab.Stroke
		pass int
		at   tune.Ticks
	}
	var all []sitting
	for p, pass := range perf.Passes {
		for _, st := range byBar[pass.BarIndex] {
			all = append(all, sitting{st, p, pass.Start + st.At})
		}
	}
	inorder.Stable(all, func(a, b sitting) int { return cmp.Compare(a.at, b.at) })
	for _, si := range all {
		due := perf.Clock.Seconds(si.at)
		if n := len(s.groups); n == 0 || due > s.groups[n-1].due+1e-6 {
			s.groups = append(s.groups, group{due: due, barIndex: si.st.BarIndex, passIndex: si.pass})
		}
		g := &s.groups[len(s.groups)-1]
		for i := range si.st.Plucks {
			p := &si.st.Plucks[i]
			if p.String < 1 || p.String > len(t.Rig.Strings) || p.Attack == tab.Chopped {
				continue
			}
			if p.Attack == tab.Tied {
				s.join(p, si.at)
				continue
			}
			w := want{
				stroke: si.st, pluck: p, passIndex: si.pass, at: si.at, len: p.Len, due: due,
				length: perf.Clock.Seconds(si.at+p.Len) - due, key: tab.Key(s.g, si.st, p),
				begun: !p.Attack.Carried(), groupIndex: len(s.groups) - 1,
			}
			w.hz = float64(pitch.Equal(w.key, t.Rig.Reference))
			w.open = float64(pitch.Equal(float64(t.Rig.OpenKey(p.String, si.st.Benders))+tuned[p.String-1]/100, t.Rig.Reference))
			g.begun = g.begun || w.begun
			g.wants = append(g.wants, len(s.wants))
			s.wants = append(s.wants, w)
			s.end = max(s.end, due+w.length)
		}
	}
	s.groups = slices.DeleteFunc(s.groups, func(g group) bool { return len(g.wants) == 0 })
	for i, g := range s.groups {
		for _, w := range g.wants {
			s.wants[w].groupIndex = i
		}
	}
	s.howLongNotesStay()
	return s
}

// join lengthens the note of a string that a tie goes on from.
func (s *score) join(p *tab.Pluck, at tune.Ticks) {
	for i := range slices.Backward(s.wants) {
		if w := &s.wants[i]; w.pluck.String == p.String {
			w.len = max(w.len, at+p.Len-w.at)
			return
		}
	}
}

// howLongNotesStay works out until when each note can be measured: until its length is over, a tie having lengthened
// it, or the next thing happens to its string.
func (s *score) howLongNotesStay() {
	next := make([]float64, len(s.tab.Rig.Strings)+1) // when each string is next touched
	steelMoves := math.Inf(1)
	for i := range next {
		next[i] = math.Inf(1)
	}
	for i := len(s.groups) - 1; i >= 0; i-- {
		g := &s.groups[i]
		if i+1 < len(s.groups) {
			n := &s.groups[i+1]
			if s.wants[n.wants[0]].stroke.Placement != s.wants[g.wants[0]].stroke.Placement {
				steelMoves = n.due
			}
		}
		for _, wi := range g.wants {
			w := &s.wants[wi]
			until := next[w.pluck.String]
			if w.pluck.Fret > 0 {
				until = min(until, steelMoves)
			}
			if w.pluck.Damp || w.pluck.Glide {
				until = min(until, w.due+w.length)
			}
			// What rings on after its length is still its pitch.
			w.stays = min(until-w.due, max(w.length, 3))
		}
		for _, wi := range g.wants {
			next[s.wants[wi].pluck.String] = g.due
		}
	}
}
