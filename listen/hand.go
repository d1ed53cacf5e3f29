package listen

import (
	"math"
	"slices"

	"lapwright/steel"
	"lapwright/tab"
)

// tunedDoubt is the largest standard error, in cents, with which a string's
// tuning is told.
const tunedDoubt = 3.0

// centsPerMM returns how much the pitch rises for each millimetre that the steel
// lies nearer to the bridge: 1200/(ln 2·(L − x)), from f = f_open·L/(L − x).
func (r *reviewer) centsPerMM(fret float64) float64 {
	return 1200 / math.Ln2 / (float64(r.s.tab.Rig.Scale) - float64(r.s.g.X(fret)))
}

// offTuned returns how far a note lies from what its string, tuned as it is meant
// to be, would sound with the steel where the tab has it.
func (r *reviewer) offTuned(n *note) float64 { return n.cents - r.s.tuned[n.pluck.String-1] }

// strings tells how the strings are tuned from how the hand lies. The steel d mm
// off raises a string by d·k cents, k growing towards the bridge (centsPerMM); a
// string out of tune is off by the same at every fret and when it is open. So
// cents = tuning of the string + hand·k over all straight notes, solved by least
// squares, those far off weighing less (P. J. Huber, Robust Statistics, 1981).
// What the notes played don't determine is left untold.
func (r *reviewer) strings() {
	count := len(r.s.tab.Rig.Strings)
	type row struct {
		string int
		k, c   float64
		weight float64
	}
	var rows []row
	for _, n := range r.notes {
		if !n.found || n.doubt > 4 || n.stroke.Placement.Slanted() || n.pluck.Attack == tab.Harmonic {
			continue
		}
		k := 0.0
		if n.pluck.Fret > 0 {
			k = r.centsPerMM(n.pluck.Fret)
		}
		rows = append(rows, row{n.pluck.String - 1, k, r.offTuned(n), 1})
	}
	r.noise = 2
	size := count + 1 // the tunings, then the hand
	var solution, doubt []float64
	for range 8 {
		a := make([][]float64, size)
		for i := range a {
			a[i] = make([]float64, size+1)
		}
		for _, w := range rows {
			a[w.string][w.string] += w.weight
			a[w.string][count] += w.weight * w.k
			a[count][w.string] += w.weight * w.k
			a[count][count] += w.weight * w.k * w.k
			a[w.string][size] += w.weight * w.c
			a[count][size] += w.weight * w.k * w.c
		}
		solution, doubt = solve(a)
		var rest []float64
		for i := range rows {
			w := &rows[i]
			w.weight = math.Abs(w.c - solution[w.string] - solution[count]*w.k)
			rest = append(rest, w.weight)
		}
		r.noise = max(1, 1.48*median(rest))
		for i := range rows {
			rows[i].weight = min(1, 1.5*r.noise/max(rows[i].weight, 1e-9))
		}
	}
	for s := range count {
		t := StringTuning{String: s + 1, Cents: solution[s], fitted: doubt[s] * r.noise}
		played := 0
		var open []float64
		for _, w := range rows {
			if w.string == s {
				played++
				if w.k == 0 {
					open = append(open, w.c)
				}
			}
		}
		if math.IsInf(doubt[count], 1) {
			// Without the hand only open strings speak for themselves.
			played = len(open)
			t.fitted = r.noise / math.Sqrt(float64(max(1, len(open))))
			t.Cents = median(open)
		}
		t.Doubt = math.Hypot(t.fitted, bodyPull)
		t.Told = played >= 2 && t.fitted <= tunedDoubt
		if !t.Told {
			t.Cents = 0
		}
		r.tuned = append(r.tuned, t)
	}
	r.out.Strings = r.tuned
	r.out.HandOff = doubt[count] * r.noise
	if r.out.HandOff < 0.4 {
		r.out.HandMM = solution[count]
	} else {
		r.out.HandOff = math.Inf(1)
	}
	r.nearer()
}

// nearer tells whether the fretted thirds and sevenths lie nearer to equal
// temperament or to the just chord: what both have in the same place says nothing.
func (r *reviewer) nearer() {
	var equal, just []float64
	for _, n := range r.notes {
		if off, ok := r.just(n); ok && n.sure() && math.Abs(off) > 8 {
			equal = append(equal, math.Abs(n.cents))
			just = append(just, math.Abs(n.cents-off))
		}
	}
	if len(equal) < 4 {
		return
	}
	switch e, j := median(equal), median(just); {
	case e < j-2:
		r.out.Nearer = "equal"
	case j < e-2:
		r.out.Nearer = "just"
	}
}

// solve solves the normal equations a (the right side in the last column) and
// gives the square root of the diagonal of the inverse: the standard errors for
// rows of unit scatter, +Inf for what is not determined.
func solve(a [][]float64) (x, doubt []float64) {
	n := len(a)
	m := make([][]float64, n)
	var open []int
	for i := range a {
		m[i] = append(slices.Clone(a[i][:n]), a[i][n])
		m[i] = append(m[i], make([]float64, n)...)
		m[i][n+1+i] = 1
		if a[i][i] == 0 {
			open = append(open, i)
			m[i][i] = 1
		}
	}
	for i := range n {
		p := i
		for k := i + 1; k < n; k++ {
			if math.Abs(m[k][i]) > math.Abs(m[p][i]) {
				p = k
			}
		}
		m[i], m[p] = m[p], m[i]
		if math.Abs(m[i][i]) < 1e-7*a[i][i] {
			open = append(open, i)
			m[i][i] = 1
		}
		d := m[i][i]
		for c := i; c < len(m[i]); c++ {
			m[i][c] /= d
		}
		for k := range n {
			if k == i || m[k][i] == 0 {
				continue
			}
			f := m[k][i]
			for c := i; c < len(m[k]); c++ {
				m[k][c] -= f * m[i][c]
			}
		}
	}
	x, doubt = make([]float64, n), make([]float64, n)
	for i := range n {
		x[i] = m[i][n]
		doubt[i] = math.Sqrt(max(0, m[i][n+1+i]))
	}
	for _, i := range open {
		x[i], doubt[i] = 0, math.Inf(1)
	}
	return x, doubt
}

// offsTold returns how each string is out of tune, the zero value where that is not told.
func (r *reviewer) offsTold() []StringTuning {
	out := make([]StringTuning, len(r.s.tab.Rig.Strings))
	for _, t := range r.tuned {
		if t.Told {
			out[t.String-1] = t
		}
	}
	return out
}

// slants tells how the steel lay under each grip of two strings or more: the
// straight line nearest to where it stops them.
func (r *reviewer) slants() {
	offs := r.offsTold()
	for i := 0; i < len(r.notes); {
		j := i + 1
		for j < len(r.notes) && r.notes[j].groupIndex == r.notes[i].groupIndex {
			j++
		}
		if s, ok := r.slant(r.notes[i:j], offs); ok {
			r.out.Slants = append(r.out.Slants, s)
		}
		i = j
	}
}

// slant tells of one grip.
func (r *reviewer) slant(grip []*note, offs []StringTuning) (Slant, bool) {
	type contact struct{ x, y, want, doubt float64 }
	var at []contact
	out := Slant{stroke: grip[0].stroke, Kind: grip[0].stroke.Placement.Kind, At: grip[0].want.at, BarNumber: r.s.tab.Tune.Bars[r.s.groups[grip[0].groupIndex].barIndex].Number, Sure: true}
	p := grip[0].stroke.Placement
	if p.Kind == steel.Lifted || p.Kind == steel.Nose {
		return out, false
	}
	for _, n := range grip {
		if !n.found || n.pluck.Fret == 0 || n.pluck.Attack == tab.Harmonic || n.stroke.Placement != p {
			continue
		}
		x := r.place(n, offs[n.pluck.String-1].Cents)
		y := float64(r.s.g.Y(n.pluck.String, r.s.g.X(n.pluck.Fret)))
		if p.Kind == steel.Split && n.pluck.String <= int(p.First)+1 {
			// The nose stops both under its middle.
			y = float64(r.s.g.Y(int(p.First), r.s.g.X(p.FirstFret))+r.s.g.Y(int(p.First)+1, r.s.g.X(p.FirstFret))) / 2
		}
		at = append(at, contact{x, y, float64(r.s.g.X(n.pluck.Fret)), math.Hypot(max(modelDoubt, n.doubt), offs[n.pluck.String-1].fitted) / r.centsPerMM(n.pluck.Fret)})
		out.Strings = append(out.Strings, n.pluck.String)
		out.Right = out.Right || r.right != nil && r.right(n.want.at, n.pluck.String)
		out.Sure = out.Sure && n.sure()
	}
	if len(at) < 2 {
		return out, false
	}
	var w, wy, wx, wwant, wyy, wyx, wywant float64
	for _, c := range at {
		v := 1 / (c.doubt * c.doubt)
		w += v
		wy += v * c.y
		wx += v * c.x
		wwant += v * c.want
		wyy += v * c.y * c.y
		wyx += v * c.y * c.x
		wywant += v * c.y * c.want
	}
	d := w*wyy - wy*wy
	if d < 1e-9*w*w {
		return out, false
	}
	slope := (w*wyx - wy*wx) / d
	wanted := (w*wywant - wy*wwant) / d
	// Forward, with string 1's side at the higher fret, is positive (steel.Angle).
	out.Degrees = -math.Atan(slope) * 180 / math.Pi
	out.Wanted = -math.Atan(wanted) * 180 / math.Pi
	out.PlusMinus = math.Sqrt(w/d) * 180 / math.Pi
	out.SteelMM = (wx - wwant) / w
	out.MMDoubt = math.Hypot(math.Sqrt(1/w), bodyPull/r.centsPerMM(grip[0].pluck.Fret))
	out.Sure = out.Sure && out.PlusMinus < 6
	return out, true
}
