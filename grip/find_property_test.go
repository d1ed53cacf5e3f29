package grip

import (
	"flag"
	"fmt"
	"math"
	"math/bits"
	"os"
	"slices"
	"testing"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/wire"

	"pgregory.net/rapid"
)

// The property tests are the same on every run; -rapid.seed and -rapid.checks
// on the command line try others.
func TestMain(m *testing.M) {
	for name, value := range map[string]string{"rapid.seed": "20260103", "rapid.checks": "2000"} {
		if err := flag.Set(name, value); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(2)
		}
	}
	flag.Parse()
	os.Exit(m.Run())
}

// randomRig draws a small rig: three to five strings, perhaps a bender.
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
	r.Steel.Bullet, r.Steel.MaxSlant = true, 60
	r.Frets = rapid.IntRange(4, 14).Draw(t, "frets")
	r.Benders = slices.DeleteFunc(r.Benders, func(b rig.Bender) bool { return b.Moves[0].String > n })
	return r
}

// Every grip found sounds what it says, from the bar's geometry alone, and can
// be laid; nothing that an exhaustive search of whole frets finds is missed.
func TestFindAgainstTryingEverything(t *testing.T) {
	total, slants, splits, eased := 0, 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		r := randomRig(t)
		text := rapid.SampledFrom([]string{"C", "Am", "G7", "D5", "Fmaj7", "E m3", "C/E", "Bdim", "A6", "Dsus4"}).Draw(t, "wanted")
		w, err := ParseWant(text)
		if err != nil {
			t.Fatal(err)
		}
		o := Options{Max: -1, Strings: rapid.IntRange(2, 4).Draw(t, "most strings"), Closed: rapid.Bool().Draw(t, "closed")}
		if rapid.Bool().Draw(t, "region") {
			o.Low = float64(rapid.IntRange(1, 6).Draw(t, "low"))
			o.High = o.Low + float64(rapid.IntRange(0, 6).Draw(t, "wide"))
		}
		got := Find(r, w, o)
		geo := steel.New(r)
		found := map[string]bool{}
		for _, g := range got {
			total++
			switch g.Placement.Kind {
			case steel.Forward, steel.Reverse:
				slants++
				if f := g.Placement.FirstFret; f != math.Trunc(f) {
					eased++
				}
			case steel.Split:
				splits++
			}
			sound(t, r, geo, w, o, g)
			found[key(g.Benders, g.Notes)] = true
		}
		for _, k := range everything(r, geo, w, o) {
			if !found[k] {
				t.Fatalf("%s on %s: %s is missed among %d grips", text, r.TuningText(), k, len(got))
			}
		}
	})
	t.Logf("%d grips, %d slants of which %d eased, %d splits", total, slants, eased, splits)
	if total == 0 || slants == 0 || splits == 0 || eased == 0 {
		t.Error("too little was tried")
	}
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
		t.Fatalf("%s: %v", text(r, g), err)
	}
	have := map[string]bool{}
	lowest := math.Inf(1)
	for _, n := range g.Notes {
		k := geo.Key(g.Placement, n.String, g.Benders)
		if math.Abs(100*(k-float64(n.Name.Key()))-float64(n.CentsOff)) > 1e-6 || math.Abs(float64(n.CentsOff)) > 12 {
			t.Fatalf("%s: string %d sounds %.4f, not %v and %.2f cents", text(r, g), n.String, k, n.Name, n.CentsOff)
		}
		if n.Fret != geo.Contact(g.Placement, n.String) {
			t.Fatalf("%s: string %d is stopped at %g", text(r, g), n.String, geo.Contact(g.Placement, n.String))
		}
		if n.Fret > 0 && (n.Fret < o.Low-1e-9 || o.High > 0 && n.Fret > o.High+1e-9) || o.Closed && n.Fret == 0 {
			t.Fatalf("%s lies outside its region", text(r, g))
		}
		ok := false
		for _, tone := range w.Tones {
			if tone.Label == n.Label && tone.Class.Semitone() == n.Name.Semitone() {
				ok = true
			}
		}
		if !ok {
			t.Fatalf("%s: %v is no %s of %s", text(r, g), n.Name, n.Label, w.Text)
		}
		have[n.Label] = true
		lowest = min(lowest, k)
	}
	for _, tone := range w.Tones {
		if have[tone.Label] == slices.Contains(g.Missing, tone.Label) {
			t.Fatalf("%s of %s: tone %s is sounded %v, missing %v", text(r, g), w.Text, tone.Label, have[tone.Label], g.Missing)
		}
	}
	if w.Bass >= 0 {
		if k := int(math.Round(lowest)); mod12(k) != w.Tones[w.Bass].Class.Semitone() {
			t.Fatalf("%s of %s has %d lowest", text(r, g), w.Text, k)
		}
	}
	if len(g.Notes) > o.Strings {
		t.Fatalf("%s plucks too many", text(r, g))
	}
	frets := make([]int, len(r.Strings))
	for i := range frets {
		frets[i] = -1
	}
	for _, n := range g.Notes {
		frets[n.String-1] = int(n.Fret)
	}
	if !free(geo, g.Placement, frets) {
		t.Fatalf("the end of the bar lies on an open string of %s", text(r, g))
	}
}

// everything tries every choice of a whole fret for every string, and keeps
// what sounds enough and what some placement stops exactly: square, the nose,
// a two-string slant, or a split.
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
	for s := first; s <= last; s++ {
		if frets[s-1] == 0 {
			return false
		}
	}
	ff, lf := float64(frets[first-1]), float64(frets[last-1])
	p := steel.Placement{Kind: steel.Straight, First: int8(first), Last: int8(last), FirstFret: ff, LastFret: lf}
	same := true
	for _, s := range stopped {
		same = same && frets[s-1] == frets[first-1]
	}
	if same {
		return geo.Check(p) == nil
	}
	switch {
	case len(stopped) == 2 && math.Abs(ff-lf) <= maxSpan && ff != lf:
		p.Kind = steel.Forward
		if ff < lf {
			p.Kind = steel.Reverse
		}
		return geo.Check(p) == nil && free(geo, p, frets)
	case len(stopped) == 3 && stopped[1] == first+1 && frets[first] == frets[first-1] && math.Abs(ff-lf) <= maxSpan:
		p.Kind = steel.Split
		return geo.Check(p) == nil && free(geo, p, frets)
	}
	return false
}

// free says whether the ends of a slant leave the open strings beside it alone.
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
