package refcheck

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"lapwright/internal/arrange"
	"lapwright/internal/notation/abc"
	"lapwright/internal/rig"
	"lapwright/internal/tab"
	"lapwright/internal/tune"
)

// tunes reads every tune of the reference folder.
func tunes(t testing.TB) []*tune.Tune {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(Reference(t, "tunes"), "*.abc"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no tunes: %v", err)
	}
	var out []*tune.Tune
	for _, f := range files {
		b, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		ts, _, err := abc.Read(b, filepath.Base(f))
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, ts...)
	}
	return out
}

func TestCorpus(t *testing.T) {
	all := tunes(t)
	t.Logf("%d tunes", len(all))
	for _, r := range rig.Builtins() {
		t.Run(r.Name, func(t *testing.T) {
			start := time.Now()
			notes, lost := 0, 0
			var work arrange.Work
			diff, shifted := 0.0, 0
			for _, tn := range all {
				res, err := arrange.Arrange(tn, r, arrange.Options{})
				if err != nil {
					t.Errorf("%s: %v", tn.Title, err)
					continue
				}
				for _, m := range tune.Moments(tn) {
					notes += len(m.Notes)
				}
				lost += len(res.Tab.Compromises)
				work.Moments += res.Work.Moments
				work.Grips += res.Work.Grips
				work.States += res.Work.States
				work.Transitions += res.Work.Transitions
				work.Pruned += res.Work.Pruned
				diff += res.Difficulty
				if res.Transposed%12 != 0 {
					shifted++
				}
				if l := res.Tab.Check(); len(l) > 0 {
					t.Errorf("%s: %v", tn.Title, l)
				}
				_ = tab.Sounding(res.Tab)
			}
			t.Logf("%s: %d notes, %d compromises, %v, %+v, mean difficulty %.2f, key changed %d", r.Name, notes, lost, time.Since(start).Round(time.Millisecond), work, diff/float64(len(all)), shifted)
		})
	}
}
