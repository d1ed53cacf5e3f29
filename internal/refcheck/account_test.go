package refcheck

import (
	"flag"
	"testing"

	"lapwright/arrange"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/tab"
	"lapwright/tune"
)

// TestEveryTabGivesAccount: what a tab of a tune of the books sounds, without what is
// Added and with what is LeftOut, is the tune note by note, and nothing is added that is
// not listed. Every touch and harmony, tunes and rigs taken in turn.
func TestEveryTabGivesAccount(t *testing.T) {
	all, rigs := corpusTunes(t), rig.Builtins()
	touches := []arrange.Touch{arrange.PlainTouch, arrange.LightTouch}
	harmonies := []arrange.Harmony{arrange.NoHarmony, arrange.Thirds, arrange.Sixths, arrange.Chords}
	tabs, added := 0, 0
	for i := 0; i < len(all); i += *accountEvery {
		for _, touch := range touches {
			for _, h := range harmonies {
				r := rigs[(tabs+i)%len(rigs)]
				o := arrange.Options{Touch: touch, Harmony: h, Vibrato: i%2 == 0}
				res, err := arrange.Arrange(t.Context(), all[i], r, o)
				if err != nil && h != arrange.NoHarmony {
					continue // several notes at once
				}
				if err != nil {
					t.Fatal(err)
				}
				tabs++
				added += len(res.Tab.Added)
				of := all[i]
				if n := res.Transposed; n != 0 {
					of = tune.Transpose(of, tune.Shift(of.Bars[0].Key, n))
				}
				if l := res.Tab.Accounts(of); len(l) > 0 {
					t.Fatalf("%q on %s, %v, harmony %v: %v", all[i].Title, r.Name, touch, h, l)
				}
				mustTell(t, res.Tab, of)
			}
		}
	}
	t.Logf("%d tabs, %d additions", tabs, added)
	if tabs < 20 || added < tabs {
		t.Errorf("%d tabs with %d additions: that is no test", tabs, added)
	}
}

// accountEvery is how many tunes of the books lie between those that are looked at; the
// sweeps take every one.
var accountEvery = flag.Int("account-every", 23, "look at every so many tunes of the books for what a tab adds and leaves out")

// mustTell plants what isn't listed into a tab, one thing after another, and wants each
// told of.
func mustTell(t *testing.T, tb *tab.Tab, of *tune.Tune) {
	t.Helper()
	planted := map[string]tab.Tab{}
	if len(tb.Added) > 0 {
		x := *tb
		x.Added = x.Added[1:]
		planted["an addition that is not listed"] = x
	}
	x := *tb
	x.Added = append([]tab.Added{{Kind: tab.AddVibrato, Ref: tb.Strokes[0].Plucks[0].Ref, BarNumber: -1, String: 1}}, tb.Added...)
	planted["a listed addition that nobody plays"] = x
	y := *tb
	y.LeftOut = []tab.LeftOut{{At: of.Bars[0].Len / 2, Len: of.Bars[0].Len / 2, Grace: -1, Name: pitch.Note(pitch.C, 0, 1)}}
	planted["a note left out that is not in the tune"] = y
	z := *tb
	z.Tune, z.Performed = tb.Tune.Clone(), nil
	z.Strokes = z.Strokes[:len(z.Strokes)-1]
	planted["a note that is left out and not listed"] = z
	for what, bad := range planted {
		if len(tb.Compromises) == 0 && len(bad.Accounts(of)) == 0 {
			t.Errorf("%q on %s: %s is not told of", of.Title, tb.Rig.Name, what)
		}
	}
}
