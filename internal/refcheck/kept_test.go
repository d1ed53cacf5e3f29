package refcheck

import (
	"reflect"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/arrange/accompany"
	"lapwright/feel"
	"lapwright/notation/abc"
	"lapwright/notation/midi"
	"lapwright/notation/musicxml"
	"lapwright/notation/tabtext"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/tab"
	"lapwright/tune"
)

// holdings is what a tab holds beside strings and frets.
type holdings struct {
	Added   []tab.Added
	LeftOut []tab.LeftOut
	Bent    int // plucks that a bender reaches
	Chops   int // notes without pitch
	Swells  int // marks
}

func holds(t *tab.Tab) holdings {
	h := holdings{Added: t.Added, LeftOut: t.LeftOut}
	for i := range t.Strokes {
		for _, p := range t.Strokes[i].Plucks {
			if p.Attack == tab.BentTo {
				h.Bent++
			}
		}
	}
	for b := range t.Tune.Bars {
		for _, line := range t.Tune.Bars[b].Lines {
			for e := range line {
				for _, n := range line[e].Notes {
					if n.Chop {
						h.Chops++
					}
				}
				for _, m := range line[e].Marks {
					if m == tune.Swell {
						h.Swells++
					}
				}
			}
		}
	}
	return h
}

// TestFilesKeepWhatATabHolds: tab text and MusicXML give back what is added to a tune and
// left out of it, what a bender reaches, chops and swells, each exactly, with the strokes;
// a MIDI file sounds them and names what it can't say. Tunes of the books in every
// grade, and what accompanies those that have chord symbols.
func TestFilesKeepWhatATabHolds(t *testing.T) {
	var tabs []*tab.Tab
	rigs := rig.Builtins()
	for i, tn := range corpusTunes(t) {
		if i%67 != 0 {
			continue
		}
		for k, g := range arrange.Grades {
			res, err := arrange.Arrange(t.Context(), tn, rigs[(i/67+k)%len(rigs)], arrange.Options{Grade: g})
			if err != nil {
				t.Fatal(err)
			}
			tabs = append(tabs, res.Tab)
		}
	}
	const chart = "X:1\nT:A chart\nM:4/4\nL:1/4\nQ:1/4=120\nK:G\n\"G\"z4|\"C\"z4|\"D7\"z2\"Em\"z2|\"G\"z4|]\n"
	for name, feels := range map[string][]string{"reso-open-g": {"vamp", "forward roll"}, "pedal10-e9": {"pad"}, "bender-open-d": {"pad"}, "lap8-c13": {"swing"}} {
		for _, fn := range feels {
			f, err := feel.Find(fn)
			if err != nil {
				t.Fatal(err)
			}
			ts, _, err := abc.Read([]byte(chart), "chart.abc")
			if err != nil {
				t.Fatal(err)
			}
			res, err := accompany.Accompany(t.Context(), ts[0], rigtest.Builtin(t, name), accompany.Options{Feel: f})
			if err != nil {
				t.Fatal(err)
			}
			tabs = append(tabs, res.Tab)
		}
	}
	var all holdings
	for _, tb := range tabs {
		want := holds(tb)
		all.Added, all.LeftOut = append(all.Added, want.Added...), append(all.LeftOut, want.LeftOut...)
		all.Bent, all.Chops, all.Swells = all.Bent+want.Bent, all.Chops+want.Chops, all.Swells+want.Swells
		for form, again := range map[string]*tab.Tab{"tab text": fromText(t, tb), "MusicXML": fromMusicXML(t, tb)} {
			if got := holds(again); !reflect.DeepEqual(want, got) {
				t.Errorf("%q on %s as %s: it held\n%+v\nand holds\n%+v", tb.Tune.Title, tb.Rig.Name, form, want, got)
			}
			if !reflect.DeepEqual(tb.Strokes, again.Strokes) {
				t.Errorf("%q on %s as %s: the strokes differ", tb.Tune.Title, tb.Rig.Name, form)
			}
		}
		b, losses, err := midi.Encode(tb)
		if err != nil {
			t.Fatal(err)
		}
		names := losses.Error()
		for words, held := range map[string]bool{"nothing says that it is added": len(want.Added) > 0, "left out are not in the file": len(want.LeftOut) > 0} {
			if strings.Contains(names, words) != held {
				t.Errorf("%q on %s as MIDI: %q is told: %v", tb.Tune.Title, tb.Rig.Name, words, !held)
			}
		}
		f, err := midi.Read(b, "tab.mid")
		if err != nil {
			t.Fatal(err)
		}
		im, err := f.Tune(midi.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if len(im.Tune.Bars) == 0 {
			t.Errorf("%q as MIDI is silent", tb.Tune.Title)
		}
	}
	t.Logf("%d tabs: %d additions, %d left out, %d bent, %d chops, %d swells", len(tabs), len(all.Added), len(all.LeftOut), all.Bent, all.Chops, all.Swells)
	if len(all.Added) < 50 || len(all.LeftOut) < 50 || all.Bent < 5 || all.Chops < 10 || all.Swells < 4 {
		t.Error("that is no test")
	}
}

func fromText(t *testing.T, tb *tab.Tab) *tab.Tab {
	t.Helper()
	out, said, err := tabtext.Parse(tabtext.Format(tb), "tab.txt", tb.Rig)
	if err != nil || len(said) > 0 {
		t.Fatalf("%q on %s: %v %v", tb.Tune.Title, tb.Rig.Name, err, said)
	}
	return out
}

func fromMusicXML(t *testing.T, tb *tab.Tab) *tab.Tab {
	t.Helper()
	b, err := musicxml.Write(tb)
	if err != nil {
		t.Fatal(err)
	}
	s, err := musicxml.Read(b, "tab.musicxml")
	if err != nil {
		t.Fatal(err)
	}
	p, err := s.Part("")
	if err != nil {
		t.Fatal(err)
	}
	out, said, err := p.Tab(nil)
	if err != nil || len(said)+len(s.Warnings) > 0 {
		t.Fatalf("%q on %s: %v %v %v", tb.Tune.Title, tb.Rig.Name, err, said, s.Warnings)
	}
	return out
}
