package refcheck

import (
	"testing"

	"lapwright/arrange"
	"lapwright/internal/further"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/tab"
	"lapwright/tune"
)

// TestEveryTabGivesAccount: what a tab of a tune of the books sounds, without what is
// Added and with what is LeftOut, is the tune note by note, and nothing is added that is
// not listed. Every grade with every touch and harmony, tunes and rigs taken in turn.
func TestEveryTabGivesAccount(t *testing.T) {
	all, rigs := corpusTunes(t), rig.Builtins()
	var manners []arrange.Options
	for _, g := range arrange.Grades {
		for _, touch := range []arrange.Touch{arrange.GradeTouch, arrange.PlainTouch, arrange.LightTouch, arrange.FullTouch} {
			for _, h := range []arrange.Harmony{arrange.GradeHarmony, arrange.NoHarmony, arrange.Thirds, arrange.Sixths, arrange.Chords, arrange.FullChords} {
				manners = append(manners, arrange.Options{Grade: g, Touch: touch, Harmony: h})
			}
		}
	}
	tabs, added, left := 0, 0, 0
	tried := map[int]int{}
	for i := 0; i < len(all); i += every(23) {
		for k := i % mannersEvery; k < len(manners); k += mannersEvery {
			o := manners[k]
			o.Vibrato = i%2 == 0
			r := rigs[(tabs+i)%len(rigs)]
			res, err := arrange.Arrange(t.Context(), all[i], r, o)
			if err != nil && o.Harmony > arrange.NoHarmony {
				continue // several notes at once
			}
			if err != nil {
				t.Fatal(err)
			}
			tabs++
			tried[k]++
			added, left = added+len(res.Tab.Added), left+len(res.Tab.LeftOut)
			of := all[i]
			if n := res.Transposed; n != 0 {
				of = tune.Transpose(of, tune.Shift(of.Bars[0].Key, n))
			}
			if l := res.Tab.Accounts(of); len(l) > 0 {
				t.Fatalf("%q on %s, grade %v, touch %v, harmony %v: %v", all[i].Title, r.Name, o.Grade, o.Touch, o.Harmony, l)
			}
			if l := res.Tab.Check(); len(l) > 0 {
				t.Fatalf("%q on %s, grade %v, touch %v, harmony %v: %v", all[i].Title, r.Name, o.Grade, o.Touch, o.Harmony, l)
			}
			mustTell(t, res.Tab, of)
		}
	}
	t.Logf("%d tabs in %d of %d manners, %d additions, %d notes left out", tabs, len(tried), len(manners), added, left)
	if tabs < 20 || added < tabs || left < tabs || len(tried) < len(manners) {
		t.Errorf("%d tabs in %d of %d manners with %d additions and %d notes left out: that is no test", tabs, len(tried), len(manners), added, left)
	}
}

// mannersEvery is how many manners lie between those that one tune is arranged in.
const mannersEvery = 6

// every returns how many tunes of the books, or other cases, lie between those that are looked at: all of them are where
// everything is tested.
func every(n int) int { return further.Few(n, 1) }

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
	if len(tb.LeftOut) > 0 {
		x := *tb
		x.LeftOut = x.LeftOut[1:]
		planted["a note of the outline's tune that is not listed as left out"] = x
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
