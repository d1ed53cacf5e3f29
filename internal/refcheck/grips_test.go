package refcheck

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"slices"
	"testing"

	"lapwright/grip"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/steel"
)

// What grips sound is checked against the npm library "tonal" 6.4.3: every note
// of a grip found for a chord is one of the chord's notes there, and the string
// stopped where the bar lies has the frequency that the library gives the note,
// f = f_open·L/(L − x), within the cents that the grip states.
func TestGripsAgainstTheory(t *testing.T) {
	dir := NodeTools(t, "tonal")
	type asked struct {
		r     *rig.Rig
		chord string
		found []grip.Way
	}
	var all []asked
	var chords [][2]string
	var names []string
	index := map[string]int{}
	name := func(n pitch.Name) int {
		s := n.String()
		if _, ok := index[s]; !ok {
			index[s] = len(names)
			names = append(names, s)
		}
		return index[s]
	}
	for _, r := range rig.Builtins() {
		for _, c := range [][2]string{{"G", ""}, {"A", "m"}, {"A", "7"}, {"C", "6"}, {"E", "m7"}, {"F", "maj7"}, {"D", "9"}, {"B", "dim"}, {"D", "5"}} {
			w, err := grip.ParseWant(c[0] + c[1])
			if err != nil {
				t.Fatal(err)
			}
			found := grip.Find(r, w, grip.Options{Max: 60, Benders: 1})
			all = append(all, asked{r, c[0] + c[1], found})
			theirs := c[1]
			if theirs == "" {
				theirs = "M"
			}
			chords = append(chords, [2]string{c[0], theirs})
			for s := range r.Strings {
				name(r.Strings[s].Open)
			}
			for _, g := range found {
				for _, n := range g.Notes {
					name(n.Name)
					name(pitch.SpellKey(r.OpenKey(n.String, g.Benders), 0))
				}
			}
		}
	}
	in, err := json.Marshal(map[string]any{"chords": chords, "names": names})
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("node", "chords.cjs")
	cmd.Dir, cmd.Stdin, cmd.Stderr = dir, bytes.NewReader(in), os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("node: %v\nnode 18 or later must be on the path", err)
	}
	var said struct {
		Chords [][]string
		Hertz  []float64
	}
	if err := json.Unmarshal(out, &said); err != nil {
		t.Fatal(err)
	}
	total, leaning := 0, 0
	for i, a := range all {
		geo := steel.New(a.r)
		if len(a.found) == 0 {
			t.Logf("%s on %s: no grip", a.chord, a.r.Name)
		}
		for _, g := range a.found {
			total++
			if g.Placement.Slanted() {
				leaning++
			}
			for _, n := range g.Notes {
				if !slices.Contains(said.Chords[i], n.Name.Class.String()) {
					t.Errorf("%s on %s: %v is none of %v", a.chord, a.r.Name, n.Name, said.Chords[i])
				}
				open := said.Hertz[index[pitch.SpellKey(a.r.OpenKey(n.String, g.Benders), 0).String()]]
				length := float64(a.r.Scale)
				x := float64(geo.X(n.Fret))
				f := open * length / (length - x)
				off := 1200*math.Log2(f/said.Hertz[index[n.Name.String()]]) - float64(n.CentsOff)
				if math.Abs(off) > 0.01 {
					t.Errorf("%s on %s: string %d sounds %.3f Hz, %.3f cents from what is said of %v", a.chord, a.r.Name, n.String, f, off, n.Name)
				}
			}
			if len(g.Missing) > 0 {
				continue
			}
			// Named the other way round, it is the chord that was wanted.
			var stops []grip.Stop
			for _, n := range g.Notes {
				stops = append(stops, grip.Stop{String: n.String, Fret: n.Fret})
			}
			named, err := grip.Name(a.r, stops, g.Benders)
			if err != nil {
				t.Errorf("%s on %s: %v", a.chord, a.r.Name, err)
				continue
			}
			want, err := pitch.ParseChord(a.chord)
			if err != nil {
				t.Fatal(err)
			}
			if !slices.ContainsFunc(named.Chords, func(c pitch.Chord) bool {
				c.Bass = c.Root // whatever the inversion
				return c.SoundsAs(want)
			}) {
				t.Errorf("a grip for %s on %s is named %v", a.chord, a.r.Name, named.Chords)
			}
		}
	}
	if total < 1000 || leaning < 50 {
		t.Errorf("only %d grips were checked, %d leaning", total, leaning)
	}
	t.Logf("%d grips, %d leaning", total, leaning)
}

// Two facts of the trade (common practice, no source): strings 1 to 4 of high
// open G have the intervals of strings 2 to 5 of open D, and high open G is two
// stacked major triads, so whatever strings 1 to 3 sound strings 4 to 6 sound
// an octave lower.
func TestSharedShapes(t *testing.T) {
	g, _ := rig.Builtin("reso-open-g")
	d, _ := rig.Builtin("tricone-open-d")
	sounds := func(r *rig.Rig, first, last int, fret float64) []int {
		var stops []grip.Stop
		for s := first; s <= last; s++ {
			stops = append(stops, grip.Stop{String: s, Fret: fret})
		}
		n, err := grip.Name(r, stops, 0)
		if err != nil {
			t.Fatal(err)
		}
		var keys []int
		for _, x := range n.Notes {
			keys = append(keys, x.Name.Key())
		}
		return keys
	}
	steps := func(keys []int) []int {
		var out []int
		for i := 1; i < len(keys); i++ {
			out = append(out, keys[i-1]-keys[i])
		}
		return out
	}
	for fret := 0.0; fret <= 20; fret++ {
		if a, b := steps(sounds(g, 1, 4, fret)), steps(sounds(d, 2, 5, fret)); !slices.Equal(a, b) {
			t.Errorf("at fret %g strings 1-4 of open G step %v, strings 2-5 of open D %v", fret, a, b)
		}
		high, low := sounds(g, 1, 3, fret), sounds(g, 4, 6, fret)
		for i := range high {
			if high[i]-low[i] != 12 {
				t.Errorf("at fret %g string %d lies %d over string %d", fret, i+1, high[i]-low[i], i+4)
			}
		}
	}
}
