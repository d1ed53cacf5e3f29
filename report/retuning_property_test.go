package report

import (
	"encoding/json"
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"lapwright/pitch"
	"lapwright/retune"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/wire"
)

// longFigure is a number with more digits than any figure is worth: five or
// more significant ones after the point, or more than eight in all.
var longFigure = regexp.MustCompile(`[1-9][0-9]*\.[0-9]{5}|[0-9]{9}|\.0*[1-9][0-9]{4}`)

// TestReportsAreHonest: whatever rig passes Check, every report is made of plain numbers of honest
// length, and its lists are lists.
func TestReportsAreHonest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, to := rigtest.Strung(t)
		reports := map[string]any{"rig": RigOf(r), "tension": TensionOf(r, wire.MM(rapid.Float64Range(0, 10).Draw(t, "depth")))}
		if p, err := retune.NewPlan(r, to, "", rapid.SampledFrom([]pitch.Hz{0, 430.5}).Draw(t, "A4")); err == nil {
			reports["plan"] = PlanOf(p)
			if c := PlanOf(p).Changed; (c == nil) != (p.Changed == nil) || c != nil && c.Finding != p.Changed.Finding {
				t.Fatalf("a plan with its strings changed is %+v, reported as %+v", p.Changed, c)
			}
		}
		if e, err := retune.Reach(r); err == nil {
			reports["reach"] = ReachOf(r, e)
		}
		other, _ := rig.Builtin(rapid.SampledFrom([]string{"lap8-c13", "pedal10-e9"}).Draw(t, "other"))
		reports["compare"] = ComparisonOf(retune.Compare(r, other))
		w := retune.Requirements{Tunings: [][]pitch.Name{to}, Scale: r.Scale, Reference: 440, Pull: retune.DefaultPull, Limit: 1500, Sold: wire.Sold(wire.Nickel)}
		if d, err := retune.NewDesign(w); err == nil {
			reports["design"] = DesignOf(d, w)
		}
		if c, err := retune.OpenChordOf(r); err == nil {
			if x, err := retune.NewTuned(r, c, 440, 0.5, pitch.Harmonic); err == nil {
				reports["tuned"] = TargetsOf(x, r)
			}
		}
		for name, report := range reports {
			b, err := json.Marshal(report)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			text := string(b)
			if m := longFigure.FindString(text); m != "" {
				t.Fatalf("%s: the figure %s is longer than it is worth: %s", name, m, text)
			}
			if s := strings.ReplaceAll(text, `"runnerUp":null`, ""); strings.Contains(s, "null") {
				t.Fatalf("%s has a null: %s", name, text)
			}
		}
	})
}
