package retune

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/wire"
)

// Raising any string raises the load, its own share, and never another's.
func TestRaisingNeverLowersTheLoad(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, _ := rigtest.Strung(t)
		s := rapid.IntRange(0, len(r.Strings)-1).Draw(t, "which")
		up := r.Clone()
		up.Strings[s].Open = pitch.SpellKey(r.Strings[s].Open.Key()+rapid.IntRange(1, 12).Draw(t, "up"), 0)
		a, b := r.Load(), up.Load()
		if b.Total <= a.Total || b.Most < a.Most || b.Strings[s].Share <= a.Strings[s].Share {
			t.Fatalf("string %d raised: %g N became %g N", s+1, a.Total, b.Total)
		}
		for i := range a.Strings {
			if i != s && (a.Strings[i].Pull != b.Strings[i].Pull || a.Strings[i].Finding != b.Strings[i].Finding) {
				t.Fatalf("string %d raised, and string %d changed", s+1, i+1)
			}
		}
		worse := map[rig.Finding]int{rig.Fine: 0, rig.Caution: 1, rig.DoNot: 2}
		if a.Strings[s].Pull >= rig.Slackest && worse[b.Strings[s].Finding] < worse[a.Strings[s].Finding] {
			t.Fatalf("string %d raised from %s to %s", s+1, a.Strings[s].Finding, b.Strings[s].Finding)
		}
	})
}

// The order moves every string that moves exactly once, ends at the new
// tuning, and never exceeds the greatest of start, end and limit on the way.
func TestOrderNeverExceeds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, to := rigtest.Strung(t)
		a4 := rapid.SampledFrom([]pitch.Hz{0, 415, 440, 466}).Draw(t, "A4")
		p, err := NewPlan(r, to, "", a4)
		if err != nil {
			t.Skip("out of range")
		}
		at := r.Clone()
		at.Reference = p.To.Reference // the reference is a matter of where the pegs end
		moved := map[int]bool{}
		const slack = 1 + 1e-9
		for i, s := range p.Steps {
			if moved[s.String] {
				t.Fatalf("string %d is moved twice", s.String)
			}
			moved[s.String] = true
			// Weigh the strings as they are: those moved at the new pitch and
			// reference, the others at the old.
			total := wire.Newtons(0)
			for j := range r.Strings {
				str, a := r.Strings[j], r.Reference
				if moved[j+1] {
					str, a = p.To.Strings[j], p.To.Reference
				}
				total += str.Wire.Tension(r.Scale, str.Open.Hz(a))
			}
			if math.Abs(float64(total-s.Load)) > 1e-6*float64(total) {
				t.Fatalf("step %d says %g N, the strings pull %g N", i, s.Load, total)
			}
			if total > max(p.Start, p.End, p.Limit)*slack || total > p.Peak*slack {
				t.Fatalf("step %d pulls %g N, over start %g, end %g and limit %g", i, total, p.Start, p.End, p.Limit)
			}
		}
		if p.Peak > max(p.Start, p.End)*slack {
			t.Fatalf("peak %g N over start %g and end %g", p.Peak, p.Start, p.End)
		}
		for j, m := range p.Moves {
			if moves := r.Strings[j].Open != to[j] || a4 != 0 && a4 != r.Reference; m.Cents != 0 && moves != moved[j+1] {
				t.Fatalf("string %d goes %g cents and is moved: %v", j+1, m.Cents, moved[j+1])
			}
		}
		if (p.Passes == 0) != (len(p.Steps) == 0) || p.Passes > 12 {
			t.Fatalf("%d passes for %d steps", p.Passes, len(p.Steps))
		}
	})
}

// The set designed is the one that trying every set finds, and so is the
// runner-up; neither breaks a limit.
func TestDesignEqualsBruteForce(t *testing.T) {
	found := 0
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 4).Draw(t, "strings")
		w := Requirements{
			Body:  rapid.SampledFrom([]rig.Body{"", rig.LapSteel, rig.HollowNeckAcoustic}).Draw(t, "body"),
			Scale: wire.MM(rapid.Float64Range(550, 660).Draw(t, "scale")), Reference: 440,
			Pull: wire.Newtons(rapid.Float64Range(70, 160).Draw(t, "pull")), Rise: rapid.Float64Range(-0.2, 0.5).Draw(t, "rise"),
			Share: rapid.Float64Range(0.5, wire.BreakShare).Draw(t, "share"),
		}
		// Some strings that can serve each place, and so some that others can use too.
		keys := make([]int, n)
		for i := range keys {
			keys[i] = rapid.IntRange(43, 66).Draw(t, "key")
			var fit []wire.String
			for _, s := range wire.Sold(wire.Nickel) {
				if pull := s.Tension(w.Scale, pitch.Equal(float64(keys[i]), 440)); pull > 55 && pull < 250 && !slices.Contains(w.Sold, s) {
					fit = append(fit, s)
				}
			}
			w.Sold = append(w.Sold, rapid.SliceOfNDistinct(rapid.SampledFrom(fit), 1, 3, GaugeText).Draw(t, "sold")...)
		}
		for range rapid.IntRange(1, 3).Draw(t, "tunings") {
			var p []pitch.Name
			for _, k := range keys {
				p = append(p, pitch.SpellKey(k+rapid.IntRange(-2, 2).Draw(t, "off"), 0))
			}
			w.Tunings = append(w.Tunings, p)
		}
		// A limit that bites: a little over what some set pulls, or under all.
		w.Limit = wire.Newtons(math.Inf(1))
		var most []wire.Newtons
		for _, s := range everySet(w) {
			most = append(most, s.most)
		}
		slices.Sort(most)
		w.Limit = 60
		if at := rapid.IntRange(-1, len(most)-1).Draw(t, "limit"); at >= 0 {
			w.Limit = most[at] + 0.001
		}
		sets := everySet(w)
		d, err := NewDesign(w)
		if len(sets) == 0 {
			if err == nil {
				t.Fatalf("there is no set, and %v was designed", d.Best)
			}
			return
		}
		if err != nil {
			t.Fatalf("there are %d sets, and none was found: %v", len(sets), err)
		}
		found++
		check := func(name string, s Set, want bruteSet) {
			if math.Abs(s.Worst-want.worst) > 1e-9 || math.Abs(s.Sum-want.sum) > 1e-9 {
				t.Fatalf("%s: worst %.9f, sum %.9f; trying all gives %.9f, %.9f", name, s.Worst, s.Sum, want.worst, want.sum)
			}
			for i, str := range s.Strings {
				if s.Shares[i] >= w.Share {
					t.Fatalf("%s: string %d carries %.0f %%", name, i+1, 100*s.Shares[i])
				}
				for k := range w.Tunings {
					pull := str.Tension(w.Scale, w.Tunings[k][i].Hz(w.Reference))
					if pull < rig.Slackest || pull != s.Pulls[k][i] || float64(pull/str.BreakingLoad()) > s.Shares[i]+1e-12 {
						t.Fatalf("%s: string %d pulls %g N in tuning %d", name, i+1, pull, k)
					}
				}
			}
			for k, total := range s.Totals {
				if s.Loads[k] > w.Limit || (s.Loads[k] > total) != (w.Body == rig.HollowNeckAcoustic) {
					t.Fatalf("%s: tuning %d pulls %g N, counted as %g N, of %g N on a %q", name, k, total, s.Loads[k], w.Limit, w.Body)
				}
			}
		}
		check("best", d.Best, sets[0])
		if (d.RunnerUp != nil) != (len(sets) > 1) {
			t.Fatalf("runner-up %v of %d sets", d.RunnerUp, len(sets))
		}
		if d.RunnerUp != nil {
			check("runner-up", *d.RunnerUp, sets[1])
			if slices.Equal(d.RunnerUp.Strings, d.Best.Strings) {
				t.Fatal("the runner-up is the best set again")
			}
		}
	})
	least := 20
	if testing.Short() {
		least /= 5 // as rapid draws a fifth of the cases
	}
	if found < least {
		t.Fatalf("only %d wishes had a set", found)
	}
}

type bruteSet struct {
	worst, sum float64
	most       wire.Newtons // the greatest total of any tuning
}

// everySet tries every set of the sold strings, best first.
func everySet(w Requirements) []bruteSet {
	n := len(w.Tunings[0])
	var out []bruteSet
	pick := make([]int, n)
	for {
		ok := true
		s := bruteSet{}
		totals := make([]wire.Newtons, len(w.Tunings))
		for i, k := range pick {
			want := w.Pull
			if n > 1 {
				want *= wire.Newtons(1 + w.Rise*float64(i)/float64(n-1))
			}
			off := 0.0
			for t, p := range w.Tunings {
				pull := w.Sold[k].Tension(w.Scale, p[i].Hz(w.Reference))
				totals[t] += pull
				if w.Body == rig.HollowNeckAcoustic {
					totals[t] += pull * wire.Newtons(w.Sold[k].MassSpread())
				}
				off = math.Max(off, math.Abs(float64(pull/want)-1))
				ok = ok && pull >= rig.Slackest && float64(pull/w.Sold[k].BreakingLoad()) < w.Share
			}
			s.worst, s.sum = math.Max(s.worst, off), s.sum+off
		}
		s.most = slices.Max(totals)
		if ok && s.most <= w.Limit {
			out = append(out, s)
		}
		i := 0
		for ; i < n; i++ {
			if pick[i]++; pick[i] < len(w.Sold) {
				break
			}
			pick[i] = 0
		}
		if i == n {
			break
		}
	}
	slices.SortFunc(out, func(a, b bruteSet) int { return cmp.Or(cmp.Compare(a.worst, b.worst), cmp.Compare(a.sum, b.sum)) })
	return out
}

// The shared shapes are those that trying every choice of strings finds.
func TestRunsEqualBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) *rig.Rig {
			r := &rig.Rig{}
			for range rapid.IntRange(2, 6).Draw(t, name) {
				r.Strings = append(r.Strings, rig.String{Open: pitch.SpellKey(rapid.IntRange(50, 58).Draw(t, name+" key"), 0)})
			}
			return r
		}
		a, b := draw("a"), draw("b")
		want := bruteRuns(a, b)
		var got []string
		for _, r := range Runs(a, b) {
			got = append(got, fmt.Sprint(r.Up, r.A, r.B))
			together := true
			for k := range r.A {
				if b.Strings[r.B[k]-1].Open.Key()-a.Strings[r.A[k]-1].Open.Key() != r.Up {
					t.Fatalf("%v is no run", r)
				}
				together = together && r.A[k] == r.A[0]+k && r.B[k] == r.B[0]+k
			}
			if together != r.Together {
				t.Fatalf("%v lies together: %v", r, together)
			}
		}
		slices.Sort(got)
		if !slices.Equal(got, want) {
			t.Fatalf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
	})
}

// bruteRuns tries every pairing of a choice of strings with another, in order,
// and keeps those that no further pair extends.
func bruteRuns(a, b *rig.Rig) []string {
	key := func(r *rig.Rig, s int) int { return r.Strings[s].Open.Key() }
	all := map[string][][2]int{}
	for x := 1; x < 1<<len(a.Strings); x++ {
		for y := 1; y < 1<<len(b.Strings); y++ {
			var pairs [][2]int
			j := 0
			ok := true
			for i := range a.Strings {
				if x>>i&1 == 0 {
					continue
				}
				for j < len(b.Strings) && y>>j&1 == 0 {
					j++
				}
				if j == len(b.Strings) {
					ok = false
					break
				}
				pairs = append(pairs, [2]int{i, j})
				j++
			}
			for ; j < len(b.Strings); j++ {
				ok = ok && y>>j&1 == 0
			}
			if !ok {
				continue
			}
			up := key(b, pairs[0][1]) - key(a, pairs[0][0])
			for _, p := range pairs {
				ok = ok && key(b, p[1])-key(a, p[0]) == up
			}
			if ok {
				all[fmt.Sprint(up, pairs)] = pairs
			}
		}
	}
	var out []string
	for _, p := range all {
		if len(p) < MinRun {
			continue
		}
		up := key(b, p[0][1]) - key(a, p[0][0])
		maximal := true
		for _, q := range all {
			if len(q) == len(p)+1 && key(b, q[0][1])-key(a, q[0][0]) == up {
				held := 0
				for _, x := range p {
					if slices.Contains(q, x) {
						held++
					}
				}
				maximal = maximal && held < len(p)
			}
		}
		if !maximal {
			continue
		}
		var x, y []int
		for _, q := range p {
			x, y = append(x, q[0]+1), append(y, q[1]+1)
		}
		out = append(out, fmt.Sprint(up, x, y))
	}
	slices.Sort(out)
	return out
}

// Of partial sets just those are dropped that another matches or beats in
// everything.
func TestUnbeaten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		dims := rapid.IntRange(1, 3).Draw(t, "tunings")
		var all []*partial
		for range rapid.IntRange(1, 12).Draw(t, "sets") {
			p := &partial{sum: float64(rapid.IntRange(0, 4).Draw(t, "sum"))}
			for range dims {
				p.totals = append(p.totals, wire.Newtons(rapid.IntRange(0, 4).Draw(t, "pull")))
			}
			all = append(all, p)
		}
		kept := unbeaten(slices.Clone(all))
		beats := func(q, p *partial) bool { // matches or beats
			for i := range q.totals {
				if q.totals[i] > p.totals[i] {
					return false
				}
			}
			return q.sum <= p.sum
		}
		for i, p := range kept {
			for j, q := range kept {
				if i != j && beats(q, p) {
					t.Fatalf("%v is kept beside %v", *p, *q)
				}
			}
		}
		for _, p := range all {
			if !slices.ContainsFunc(kept, func(q *partial) bool { return beats(q, p) }) {
				t.Fatalf("%v was dropped, and nothing beats it", *p)
			}
		}
	})
}
