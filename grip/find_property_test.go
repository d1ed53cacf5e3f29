package grip

import (
	"fmt"
	"math"
	"math/bits"
	"slices"
	"testing"

	"lapwright/internal/seeds"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/wire"

	"pgregory.net/rapid"
)

// The property tests are the same on every run; -rapid.seed and -rapid.checks
// on the command line try others.
func TestMain(m *testing.M) { seeds.Run(m, 20260103, 2000) }

// randomRig draws a small rig: three to five strings, perhaps a bender or two,
// strings near enough for splits and now and then a steel too short for them
// all.
func randomRig(t *rapid.T) *rig.Rig {
	r, _ := rig.Builtin(rapid.SampledFrom([]string{"bender-open-d", "reso-open-g", "lap6-c6"}).Draw(t, "from"))
	n := rapid.IntRange(3, 5).Draw(t, "strings")
	r.Strings = r.Strings[:n]
	for i := range r.Strings {
		r.Strings[i].Open = pitch.SpellKey(rapid.IntRange(48, 66).Draw(t, "open"), 0)
	}
	apart := rapid.Float64Range(6, 11).Draw(t, "apart")
	r.NutSpread = wire.MM(apart * float64(n-1))
	r.BridgeSpread = r.NutSpread + 6
	r.Steel.Bullet, r.Steel.MaxSlant = rapid.IntRange(0, 3).Draw(t, "blunt") > 0, 60
	r.Steel.Length = wire.MM(rapid.SampledFrom([]float64{25, 60, 80}).Draw(t, "length"))
	r.Frets = rapid.IntRange(4, 14).Draw(t, "frets")
	r.Benders = slices.DeleteFunc(r.Benders, func(b rig.Bender) bool { return b.Moves[0].String > n })
	return r
}

// tally counts the kinds of grip that a property test met, so that none is
// missed for want of trying.
type tally map[string]int

func (c tally) add(g Way, benders int) {
	open, stopped := 0, 0
	for _, n := range g.Notes {
		if n.Fret == 0 {
			open++
		} else {
			stopped++
		}
	}
	kind := g.Placement.Kind.String()
	c[kind]++
	if open > 0 && stopped > 0 {
		c[kind+" beside open strings"]++
	}
	if g.Placement.Slanted() && g.Placement.FirstFret != math.Trunc(g.Placement.FirstFret) {
		c["eased"]++
	}
	if benders > 0 {
		c["with benders"]++
		if g.Placement.Slanted() {
			c["slant with benders"]++
		}
	}
	if g.Placement.Slanted() && stopped > 2 && g.Placement.Kind != steel.Split {
		c["slant on three strings"]++
	}
}

func (c tally) enough(t *testing.T, kinds ...string) {
	t.Helper()
	t.Logf("%v", map[string]int(c))
	missing := 0
	for _, k := range kinds {
		if c[k] > 0 {
			continue
		}
		// With -short a fifth of the cases is drawn, which may miss a rare kind.
		if missing++; !testing.Short() || missing > len(kinds)/4 {
			t.Errorf("no %q was tried", k)
		}
	}
}

// Every grip found sounds what it says, from the steel's geometry alone, and can
// be laid; nothing that trying every fret on every string under every placement
// finds is missed.
func TestFindAgainstTryingEverything(t *testing.T) {
	met := tally{}
	rapid.Check(t, func(t *rapid.T) {
		r := randomRig(t)
		text := rapid.SampledFrom([]string{"C", "Am", "G7", "D5", "Fmaj7", "E m3", "C/E", "Bdim", "A6", "Dsus4"}).Draw(t, "wanted")
		w, err := ParseWant(text)
		if err != nil {
			t.Fatal(err)
		}
		o := Options{Max: -1, Strings: rapid.IntRange(2, 4).Draw(t, "most strings"), Closed: rapid.Bool().Draw(t, "closed"),
			Cents: pitch.Cents(rapid.SampledFrom([]float64{12, 12, 4, 2}).Draw(t, "cents"))}
		if rapid.Bool().Draw(t, "region") {
			o.Low = float64(rapid.IntRange(1, 6).Draw(t, "low"))
			o.High = o.Low + float64(rapid.IntRange(0, 6).Draw(t, "wide"))
		}
		got := Find(r, w, o)
		geo := steel.New(r)
		found := map[string]bool{}
		for i, g := range got {
			met.add(g, bits.OnesCount16(uint16(g.Benders)))
			sound(t, r, geo, w, o, g)
			k := key(g.Benders, g.Notes)
			if found[k] {
				t.Fatalf("%s is given twice", text)
			}
			found[k] = true
			if i > 0 && got[i-1].Price.Sum() > g.Price.Sum() {
				t.Fatalf("%s comes before the cheaper %s", writeWay(r, got[i-1]), writeWay(r, g))
			}
		}
		for _, k := range everything(r, geo, w, o) {
			if !found[k] {
				t.Fatalf("%s on %s: %s is missed among %d grips", text, r.TuningText(), k, len(got))
			}
		}
	})
	met.enough(t, "open", "straight", "forward slant", "reverse slant", "split", "nose", "eased", "straight beside open strings",
		"forward slant beside open strings", "reverse slant beside open strings", "split beside open strings", "with benders", "slant with benders", "slant on three strings")
}

// Exact notes leave the page nothing that the search has not: both give the
// same strings, frets, benders, placements and prices.
func TestFindIsTheSearch(t *testing.T) {
	met := tally{}
	rapid.Check(t, func(t *rapid.T) {
		r := randomRig(t)
		// Notes that lie under a straight or leaning steel somewhere, or anywhere.
		var names []pitch.Name
		at, lean := rapid.IntRange(1, r.Frets).Draw(t, "fret"), rapid.IntRange(-1, 1).Draw(t, "lean")
		for i := range rapid.IntRange(1, 3).Draw(t, "notes") {
			k := r.OpenKey(i+1, 0) + max(0, at+lean*i)
			if rapid.IntRange(0, 4).Draw(t, "anywhere") == 0 {
				k = rapid.IntRange(50, 76).Draw(t, "key")
			}
			names = append(names, pitch.SpellKey(k, 0))
		}
		w := WantNotes(names)
		slices.SortFunc(w.Tones, func(a, b Tone) int { return b.Key - a.Key }) // as in a moment: the highest first
		o := Options{Max: -1, Strings: len(w.Tones), Cents: pitch.Cents(rapid.SampledFrom([]float64{12, 3}).Draw(t, "cents"))}
		o.fillDefaults()
		n := NewNeck(r, o.limits(r), o.region())
		due := Due{Pace: NewPace(1, n.Limits)}
		for _, tone := range w.Tones {
			due.Wants = append(due.Wants, Note{Key: int16(tone.Key), Kind: Begun, From: -1})
		}
		want := map[string]int32{}
		for _, g := range n.Grips(&due) {
			if bits.OnesCount16(g.Used) < len(w.Tones) || g.Node > 0 {
				continue // what the search gives up, or plays as a harmonic, where nothing sounds it all
			}
			a := n.Alone(&g, due.Wants)
			want[fmt.Sprint(g.Placement, g.Benders, g.Strings[:len(w.Tones)], g.Frets[:len(w.Tones)])] = a.sum()
		}
		got := Find(r, w, o)
		for _, g := range got {
			met.add(g, bits.OnesCount16(uint16(g.Benders)))
			strs, frets := make([]int8, len(w.Tones)), make([]int8, len(w.Tones))
			for _, note := range g.Notes {
				i := slices.IndexFunc(w.Tones, func(t Tone) bool { return t.Key == note.Name.Key() })
				strs[i], frets[i] = int8(note.String), int8(math.Round(note.Fret))
			}
			k := fmt.Sprint(g.Placement, g.Benders, strs, frets)
			price, ok := want[k]
			if !ok || price != g.Price.Alone.sum() {
				t.Fatalf("%s for %s: the search has it %v at %d, the page at %d", k, w.Text, ok, price, g.Price.Alone.sum())
			}
		}
		if len(got) != len(want) {
			t.Fatalf("%d ways to sound %s, and the search has %d", len(got), w.Text, len(want))
		}
	})
	met.enough(t, "open", "straight", "forward slant", "reverse slant", "split", "nose", "with benders", "eased")
}

func key(set rig.BenderSet, notes []Sounded) string {
	s := fmt.Sprint(set)
	for _, n := range notes {
		s += fmt.Sprintf(" %d:%.0f", n.String, n.Fret)
	}
	return s
}

// sound checks one grip against the geometry.
func sound(t *rapid.T, r *rig.Rig, geo *steel.Geometry, w Want, o Options, g Way) {
	if err := geo.Check(g.Placement); err != nil {
		t.Fatalf("%s: %v", writeWay(r, g), err)
	}
	have := map[string]bool{}
	lowest := math.Inf(1)
	for _, n := range g.Notes {
		k := geo.Key(g.Placement, n.String, g.Benders)
		if math.Abs(100*(k-float64(n.Name.Key()))-float64(n.CentsOff)) > 1e-6 || math.Abs(float64(n.CentsOff)) > float64(o.Cents)+CentsSlack {
			t.Fatalf("%s: string %d sounds %.4f, not %v and %.2f cents", writeWay(r, g), n.String, k, n.Name, n.CentsOff)
		}
		if n.Fret != geo.Contact(g.Placement, n.String) {
			t.Fatalf("%s: string %d is stopped at %g", writeWay(r, g), n.String, geo.Contact(g.Placement, n.String))
		}
		if n.Fret > 0 && (n.Fret < o.Low-1e-9 || o.High > 0 && n.Fret > o.High+1e-9) || o.Closed && n.Fret == 0 {
			t.Fatalf("%s lies outside its region", writeWay(r, g))
		}
		ok := false
		for _, tone := range w.Tones {
			if tone.Label == n.Label && tone.Class.Semitone() == n.Name.Semitone() {
				ok = true
			}
		}
		if !ok {
			t.Fatalf("%s: %v is no %s of %s", writeWay(r, g), n.Name, n.Label, w.Text)
		}
		have[n.Label] = true
		lowest = min(lowest, k)
	}
	for _, tone := range w.Tones {
		if have[tone.Label] == slices.Contains(g.Missing, tone.Label) {
			t.Fatalf("%s of %s: tone %s is sounded %v, missing %v", writeWay(r, g), w.Text, tone.Label, have[tone.Label], g.Missing)
		}
	}
	if w.Bass >= 0 {
		if k := int(math.Round(lowest)); mod12(k) != w.Tones[w.Bass].Class.Semitone() {
			t.Fatalf("%s of %s has %d lowest", writeWay(r, g), w.Text, k)
		}
	}
	if len(g.Notes) > o.Strings {
		t.Fatalf("%s plucks too many", writeWay(r, g))
	}
	frets := make([]int, len(r.Strings))
	for i := range frets {
		frets[i] = -1
	}
	for _, n := range g.Notes {
		frets[n.String-1] = int(math.Ceil(n.Fret))
	}
	if !free(geo, g.Placement, frets) {
		t.Fatalf("the end of the steel lies on an open string of %s", writeWay(r, g))
	}
	for i, f := range frets {
		if f == 0 && g.Placement.Touches(i+1) {
			t.Fatalf("the steel lies on the open string %d of %s", i+1, writeWay(r, g))
		}
	}
	summed(t, r, geo, g)
}

// summed checks what a grip tells of itself beside its notes.
func summed(t *rapid.T, r *rig.Rig, geo *steel.Geometry, g Way) {
	if g.Angle != geo.Angle(g.Placement) {
		t.Fatalf("%s is said to lean %g degrees", writeWay(r, g), g.Angle)
	}
	worst := 0.0
	for _, n := range g.Notes {
		worst = max(worst, math.Abs(float64(n.CentsOff)))
	}
	if math.Abs(float64(g.CentsOff)) != worst {
		t.Fatalf("%s is said to be %g cents off at worst, not %g", writeWay(r, g), g.CentsOff, worst)
	}
}

// everything tries every choice of a whole fret for every string, and keeps
// what sounds enough and what some placement stops.
func everything(r *rig.Rig, geo *steel.Geometry, w Want, o Options) []string {
	n := len(r.Strings)
	var out []string
	frets := make([]int, n) // −1 is not plucked
	var walk func(s, plucked int)
	for set := range rig.BenderSet(1) << len(r.Benders) {
		if bits.OnesCount16(uint16(set)) > 2 {
			continue
		}
		walk = func(s, plucked int) {
			if s == n {
				if plucked > 0 && enough(r, w, set, frets) && layable(geo, o, frets) {
					out = append(out, key(set, notesOf(frets)))
				}
				return
			}
			frets[s] = -1
			walk(s+1, plucked)
			if plucked == o.Strings {
				return
			}
			for f := 0; f <= r.Frets; f++ {
				if f == 0 && o.Closed || f > 0 && (float64(f) < o.Low || o.High > 0 && float64(f) > o.High) {
					continue
				}
				k := r.OpenKey(s+1, set) + f
				if !slices.ContainsFunc(w.Tones, func(t Tone) bool { return t.Class.Semitone() == mod12(k) }) {
					continue
				}
				frets[s] = f
				walk(s+1, plucked+1)
			}
			frets[s] = -1
		}
		walk(0, 0)
	}
	return out
}

func notesOf(frets []int) []Sounded {
	var out []Sounded
	for i, f := range frets {
		if f >= 0 {
			out = append(out, Sounded{String: i + 1, Fret: float64(f)})
		}
	}
	return out
}

func enough(r *rig.Rig, w Want, set rig.BenderSet, frets []int) bool {
	have := map[int]bool{}
	low, moved := 1000, rig.BenderSet(0)
	for i, f := range frets {
		if f < 0 {
			continue
		}
		k := r.OpenKey(i+1, set) + f
		have[mod12(k)] = true
		low = min(low, k)
		for b, x := range r.Benders {
			for _, m := range x.Moves {
				if m.String == i+1 && set.Has(b) {
					moved |= 1 << uint(b)
				}
			}
		}
	}
	if moved != set || len(have) < 2 {
		return false
	}
	for _, t := range w.Tones {
		if !t.Spare && !have[t.Class.Semitone()] {
			return false
		}
	}
	return w.Bass < 0 || mod12(low) == w.Tones[w.Bass].Class.Semitone()
}

// layable reports whether some placement stops the strings at their frets and
// leaves the open ones alone: the steel square from any string to any other, the
// nose, a split, or a slant moved along the strings by up to half a fret. A
// slant that must be moved to the last cent of the tolerance, or whose end just
// clears an open string only when moved so far and no farther, is not insisted
// on.
func layable(geo *steel.Geometry, o Options, frets []int) bool {
	var stopped []int
	for i, f := range frets {
		if f > 0 {
			stopped = append(stopped, i+1)
		}
	}
	if len(stopped) == 0 {
		return o.Low <= 0
	}
	first, last := stopped[0], stopped[len(stopped)-1]
	ff, lf := float64(frets[first-1]), float64(frets[last-1])
	n := len(frets)
	for a := 1; a <= first; a++ {
		for b := last; b <= n; b++ {
			for _, kind := range []steel.Kind{steel.Straight, steel.Nose} {
				p := steel.Placement{Kind: kind, First: int8(a), Last: int8(b), FirstFret: ff, LastFret: lf}
				if stops(geo, p, frets, 0) {
					return true
				}
			}
		}
	}
	if math.Abs(ff-lf) > maxSpan {
		return false
	}
	p := steel.Placement{Kind: steel.Split, First: int8(first), Last: int8(last), FirstFret: ff, LastFret: lf}
	if slices.Contains(stopped, first+1) && frets[first] == frets[first-1] && stops(geo, p, frets, float64(o.Cents)) {
		return true
	}
	p.Kind = steel.Forward
	if ff < lf {
		p.Kind = steel.Reverse
	}
	if stops(geo, p, frets, float64(o.Cents)) {
		return true
	}
	for _, d := range []float64{-0.1, 0, 0.1} {
		q := p
		q.FirstFret, q.LastFret = p.FirstFret+d, p.LastFret+d
		if !free(geo, q, frets) || geo.Check(q) != nil {
			return false
		}
	}
	for d := -50.0; d <= 50; d++ {
		q := p
		q.FirstFret, q.LastFret = p.FirstFret+d/100, p.LastFret+d/100
		lo, hi := min(q.FirstFret, q.LastFret), max(q.FirstFret, q.LastFret)
		if lo < o.Low+0.01 || o.High > 0 && hi > o.High-0.01 {
			continue
		}
		if stops(geo, q, frets, float64(o.Cents)-1) {
			return true
		}
	}
	return false
}

// stops reports whether a placement can be laid, stops what is stopped within so
// many cents, and leaves what is open alone.
func stops(geo *steel.Geometry, p steel.Placement, frets []int, cents float64) bool {
	if geo.Check(p) != nil {
		return false
	}
	for i, f := range frets {
		switch {
		case f < 0:
		case f == 0 && p.Touches(i+1):
			return false
		case f > 0 && !(math.Abs(geo.Contact(p, i+1)-float64(f))*100 <= cents):
			return false
		}
	}
	return free(geo, p, frets)
}

// free reports whether the ends of a slant leave the open strings beside it
// alone.
func free(geo *steel.Geometry, p steel.Placement, frets []int) bool {
	far, near := 0, 0
	for s := 1; s < int(p.First); s++ {
		if frets[s-1] == 0 {
			far = s
		}
	}
	for s := len(frets); s > int(p.Last); s-- {
		if frets[s-1] == 0 {
			near = s
		}
	}
	return geo.Clears(p, far, near)
}

func mod12(k int) int { return ((k % 12) + 12) % 12 }
