package refcheck

import (
	"testing"

	"lapwright/arrange"
	"lapwright/arrange/transfer"
	"lapwright/rig"
	"lapwright/tab"
	"lapwright/tune"
)

// TestTransferGivesAccount: a tab that is taken to another rig carries what its tune has.
// What it sounds there, without what is Added and with what is LeftOut, is the tune note
// by note; of what was added only vibrato goes along; how notes are joined is decided
// anew; and what an outline left out it goes on leaving out, moved with the rest. Tunes
// of the books in every grade and touch, with and without harmony, rigs taken in turn.
func TestTransferGivesAccount(t *testing.T) {
	all, rigs := corpusTunes(t), rig.Builtins()
	var manners []arrange.Options
	for _, g := range arrange.Grades {
		for _, touch := range []arrange.Touch{arrange.PlainTouch, arrange.LightTouch, arrange.FullTouch} {
			for _, h := range []arrange.Harmony{arrange.NoHarmony, arrange.Thirds, arrange.FullChords} {
				manners = append(manners, arrange.Options{Grade: g, Touch: touch, Harmony: h})
			}
		}
	}
	tabs, whole := 0, 0
	added := map[tab.Addition]int{} // in what is taken over
	joined, plain, left, vibrato := 0, 0, 0, 0
	for i := 0; i < len(all); i += transferEvery {
		for k := i % 5; k < len(manners); k += 5 {
			o := manners[k]
			from, to := rigs[(tabs+i)%len(rigs)], rigs[(tabs/2+i+1+tabs%3)%len(rigs)]
			res, err := arrange.Arrange(t.Context(), all[i], from, o)
			if err != nil && o.Harmony > arrange.NoHarmony {
				continue // several notes at once
			}
			if err != nil {
				t.Fatal(err)
			}
			for _, touch := range []arrange.Touch{arrange.PlainTouch, arrange.LightTouch} {
				moved, err := transfer.Tab(t.Context(), res.Tab, to, arrange.Options{Touch: touch})
				if err != nil {
					t.Fatalf("%q from %s to %s: %v", all[i].Title, from.Name, to.Name, err)
				}
				tabs++
				if moved.Whole {
					whole++
				}
				got := moved.Result.Tab
				of := all[i]
				if n := res.Transposed + moved.Result.Transposed; n != 0 {
					of = tune.Transpose(of, tune.Shift(of.Bars[0].Key, n))
				}
				if l := got.Accounts(of); len(l) > 0 {
					t.Fatalf("%q from %s to %s, grade %v, touch %v, harmony %v: %v", all[i].Title, from.Name, to.Name, o.Grade, o.Touch, o.Harmony, l)
				}
				for _, a := range got.Added {
					switch {
					case a.Kind == tab.AddVibrato:
						vibrato++
					case a.Kind == tab.AddJoin || a.Kind == tab.AddBend:
						joined++
						if touch == arrange.PlainTouch {
							plain++
						}
					default:
						t.Errorf("%q from %s to %s: %s went along", all[i].Title, from.Name, to.Name, a.Text())
					}
				}
				if len(got.LeftOut) != len(res.Tab.LeftOut) {
					t.Fatalf("%q from %s to %s: %d notes left out before, %d now", all[i].Title, from.Name, to.Name, len(res.Tab.LeftOut), len(got.LeftOut))
				}
				for j, l := range got.LeftOut {
					was := res.Tab.LeftOut[j]
					left++
					if l.BarIndex != was.BarIndex || l.Voice != was.Voice || l.At != was.At || l.Len != was.Len || !l.Chop && l.Name.Key() != was.Name.Key()+moved.Result.Transposed {
						t.Errorf("%q from %s to %s: %+v was left out, and %+v is", all[i].Title, from.Name, to.Name, was, l)
					}
				}
				mustTell(t, got, of)
			}
			for _, a := range res.Tab.Added {
				added[a.Kind]++
			}
		}
	}
	t.Logf("%d tabs, %d of them moved whole; added before %v, joined after %d; %d notes left out; vibrato on %d", tabs, whole, added, joined, left, vibrato)
	if plain > 0 {
		t.Errorf("%d steps are joined where every note is to be plucked", plain)
	}
	for _, k := range []tab.Addition{tab.AddJoin, tab.AddSlideIn, tab.AddVibrato, tab.AddRoll, tab.AddHarmony} {
		if added[k] == 0 {
			t.Errorf("no tab had a %s to be taken over: that is no test", k)
		}
	}
	if tabs < 40 || whole == 0 || joined == 0 || left < tabs || vibrato == 0 {
		t.Errorf("%d tabs, %d whole, %d joined, %d left out, %d vibrato: that is no test", tabs, whole, joined, left, vibrato)
	}
}

// transferEvery is how many tunes of the books lie between those that are taken over.
const transferEvery = 61
