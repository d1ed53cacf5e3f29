package page

import (
	"bytes"
	"encoding/json"
	"math"
	"testing"

	"lapwright/arrange"
	"lapwright/notation/abc"
	"lapwright/notation/tabtext"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/sound"
	"lapwright/sound/band"
	"lapwright/tab"
	"lapwright/tune"
)

// chorded is a tab of four bars with chord symbols, with slides into its notes.
func chorded(t *testing.T) (instrument, text string, placed *tab.Tab) {
	t.Helper()
	all, _, err := abc.Read([]byte("X:1\nT:Low Tide\nM:4/4\nL:1/4\nQ:1/4=120\nK:G\n\"G\"D(GB)A|\"C\"(GA)B2|\"D7\"DBAF|\"G\"G4|]\n"), "low-tide.abc")
	if err != nil {
		t.Fatal(err)
	}
	r, _ := rig.Builtin("reso-open-g")
	res, err := arrange.Arrange(t.Context(), all[0], r, arrange.Options{Touch: arrange.FullTouch})
	if err != nil {
		t.Fatal(err)
	}
	return string(rig.Format(res.Tab.Rig)), string(tabtext.Format(res.Tab)), res.Tab
}

// TestStagePractises: my turn, your turn, slow glides and a band sound in a page as the command has them, to the
// sample; the page knows whose bar it is at.
func TestStagePractises(t *testing.T) {
	instrument, text, placed := chorded(t)
	gain := 3.0
	perf, err := placed.Performance().Practised(tune.Practice{Turn: 2})
	if err != nil {
		t.Fatal(err)
	}
	command := *placed
	command.Performed = perf
	backing, err := band.NewBacking(placed, nil)
	if err != nil {
		t.Fatal(err)
	}
	var stage Stage
	for _, speed := range []float64{0.7, 1} {
		l, err := stage.Begin(&report.Wished{Rig: instrument, Tab: text, Speed: speed, Gain: &gain, Phrases: [][2]int{{0, 2}, {2, 4}}, Glides: 3, Band: true})
		if err != nil {
			t.Fatal(err)
		}
		want, err := sound.NewStream(&command, sound.Options{Speed: speed, Gain: &gain, Glides: 3, Band: backing})
		if err != nil {
			t.Fatal(err)
		}
		total, played := 0, 0.0
		for {
			a := l.Next(2400)
			if a == nil {
				break
			}
			b, err := want.Next(a.Len())
			if err != nil || b == nil {
				t.Fatalf("the command is over at sample %d: %v", total, err)
			}
			for k, got := range [][]float32{a.Left, a.Right, a.Backing[0], a.Backing[1]} {
				if w := [][]float32{b.Left, b.Right, b.Backing[0], b.Backing[1]}[k]; !bytes.Equal(bits(got), bits(w)) {
					t.Fatalf("at %v they part within the block at sample %d, in channel %d", speed, total, k)
				}
			}
			total += a.Len()
			at := l.Now()
			if at.Pass >= 2 && at.Pass < 4 && at.Past > 0.3 {
				for k := range a.Left {
					played = max(played, math.Abs(float64(a.Left[k])))
				}
			}
		}
		if total != want.Len() {
			t.Errorf("at %v it sounds %d samples, want %d", speed, total, want.Len())
		}
		if played > 2e-3 {
			t.Errorf("at %v the instrument has %g in the student's turn", speed, played)
		}
	}
	for _, bad := range [][][2]int{{{0, 5}}, {{2, 2}}, {{-1, 2}}, {{3, 1}}} {
		if _, err := stage.Begin(&report.Wished{Rig: instrument, Tab: text, Speed: 1, Phrases: bad}); err == nil {
			t.Errorf("phrases %v are taken", bad)
		}
	}
}

// TestTurnsComeRound: a loop in turns comes round, the student's turn still the student's.
func TestTurnsComeRound(t *testing.T) {
	instrument, text, _ := chorded(t)
	gain := 0.0
	var stage Stage
	l, err := stage.Begin(&report.Wished{Rig: instrument, Tab: text, Speed: 1, Gain: &gain, Phrases: [][2]int{{1, 2}}, Loop: &[2]int{0, 2}, Where: report.Where{Pass: 1, Past: 1}})
	if err != nil {
		t.Fatal(err)
	}
	lead := [2]float64{}
	for range 10 * sound.Rate / MaxBlock {
		b := l.Next(MaxBlock)
		if b == nil {
			t.Fatal("a loop has ended")
		}
		at := l.Now()
		if at.Past < 0.3 {
			continue
		}
		for _, v := range b.Left {
			lead[at.Pass] = max(lead[at.Pass], math.Abs(float64(v)))
		}
		if b.Backing[0] != nil {
			t.Fatal("a band plays that nobody asked for")
		}
	}
	if lead[0] < 0.02 || lead[1] > 2e-3 {
		t.Errorf("the instrument has %g in its own turn and %g in the student's", lead[0], lead[1])
	}
}

// TestNobodyPlaysAlong: a tune without chord symbols has no band, and sounds all the same.
func TestNobodyPlaysAlong(t *testing.T) {
	instrument, text, placed := sounded(t)
	gain := 0.0
	l, err := new(Stage).Begin(&report.Wished{Rig: instrument, Tab: text, Speed: 1, Gain: &gain, Band: true})
	if err != nil {
		t.Fatal(err)
	}
	if b := l.Next(480); b == nil || b.Backing[0] != nil {
		t.Error("a band plays without chords")
	}
	if report.TabOf(placed, &sound.Timing{}).Band {
		t.Error("the page is told of a band that there is not")
	}
	_, _, with := chorded(t)
	if !report.TabOf(with, &sound.Timing{}).Band {
		t.Error("the page is not told of the band")
	}
}

// TestSteelAtNoSpeed: a question without a speed is of the tune as it is written, and one that is too slow or too
// fast is refused.
func TestSteelAtNoSpeed(t *testing.T) {
	instrument, text, _ := chorded(t)
	ask := func(speed float64) []byte {
		q, err := json.Marshal(report.Asked{What: "steel", Rig: instrument, Tab: text, Speed: speed, Glides: 2})
		if err != nil {
			t.Fatal(err)
		}
		return new(Lesson).Answer(q, Recording{})
	}
	if got, want := ask(0), ask(1); !bytes.Equal(got, want) {
		t.Errorf("without a speed the steel goes\n%.200s\nand at that of the tune\n%.200s", got, want)
	}
	for _, speed := range []float64{-1, sound.SlowestSpeed / 2, 2 * sound.FastestSpeed} {
		if got := ask(speed); !bytes.Contains(got, []byte("speed")) {
			t.Errorf("at speed %g the steel goes %.200s", speed, got)
		}
	}
}
