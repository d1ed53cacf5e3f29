package page

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/listen"
	"lapwright/notation/tabtext"
	"lapwright/pitch"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/sound"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// asked puts a question and reads the answer.
func asked[T any](t *testing.T, l *Lesson, q report.Asked, heard Recording) (out struct {
	report.Refused
	Answer T
}) {
	t.Helper()
	b, err := json.Marshal(q)
	if err != nil {
		t.Fatal(err)
	}
	answer := l.Answer(b, heard)
	if err := json.Unmarshal(answer, &out.Refused); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(answer, &out.Answer); err != nil {
		t.Fatal(err)
	}
	return out
}

// said joins what was wrong with a question.
func said(r report.Refused) string {
	var out []string
	for _, f := range r.Faults {
		out = append(out, f.Text)
	}
	return strings.Join(out, "; ")
}

// TestQuestionsHaveBounds: an instrument's file and a tab are read up to their bounds and refused over them, unread.
func TestQuestionsHaveBounds(t *testing.T) {
	r := rigtest.Builtin(t, "lap6-c6")
	file := string(rig.Format(r))
	full := file + strings.Repeat("#", MaxText-len(file))
	for what, c := range map[string]struct {
		q    report.Asked
		long bool
	}{
		"a file as long as may be":  {report.Asked{What: "instrument", Rig: full}, false},
		"a file too long":           {report.Asked{What: "instrument", Rig: full + "#"}, true},
		"a tab too long":            {report.Asked{What: "sheet", Rig: file, Tab: strings.Repeat(" ", MaxTab+1)}, true},
		"a tab as long as may be":   {report.Asked{What: "instrument", Rig: file, Tab: strings.Repeat(" ", MaxTab)}, false},
		"both too long, for nobody": {report.Asked{What: "instruments", Rig: full + "#"}, true},
	} {
		got := said(asked[any](t, &Lesson{}, c.q, Recording{}).Refused)
		if strings.Contains(got, "too long") != c.long || !c.long && got != "" {
			t.Errorf("%s: %q", what, got)
		}
	}
	stage := new(Stage)
	for _, w := range []report.Wished{{Rig: full + "#", Tab: "x"}, {Rig: file, Tab: strings.Repeat(" ", MaxTab+1)}} {
		if _, err := stage.Begin(&w); err == nil || !strings.Contains(err.Error(), "too long") {
			t.Errorf("what is sounded is too long: %v", err)
		}
	}
	if _, err := stage.Begin(&report.Wished{Rig: full, Tab: "no tab"}); err == nil || strings.Contains(err.Error(), "too long") {
		t.Errorf("a file as long as may be is not read: %v", err)
	}
}

// TestInstrumentsAreJudged: strings that pull as their rig was made for are fine, and are told with their load; ones tuned up a
// fourth are not, with a word of caution; gauges that nobody told are not judged.
func TestInstrumentsAreJudged(t *testing.T) {
	r := rigtest.Builtin(t, "lap6-c6")
	fine := asked[report.CheckedInstrument](t, &Lesson{}, report.Asked{What: "instrument", Rig: string(rig.Format(r))}, Recording{}).Answer
	if fine.Finding != rig.Fine || fine.Caution != "" || len(fine.Strings) != 6 || len(fine.Reasons) != 0 || fine.Load == "" {
		t.Errorf("a usual rig is %s (%q, %q), %d strings, load %q", fine.Finding, fine.Caution, fine.Reasons, len(fine.Strings), fine.Load)
	}
	tight := *r
	tight.Strings = append([]rig.String(nil), r.Strings...)
	for i := range tight.Strings {
		tight.Strings[i].Open = pitch.SpellKey(tight.Strings[i].Open.Key()+5, 0)
	}
	hard := asked[report.CheckedInstrument](t, &Lesson{}, report.Asked{What: "instrument", Rig: string(rig.Format(&tight))}, Recording{}).Answer
	if hard.Finding == rig.Fine || hard.Caution != rig.TensionCaution || len(hard.Reasons) == 0 {
		t.Errorf("a fourth higher it is %s (%q, %q)", hard.Finding, hard.Caution, hard.Reasons)
	}
	form := &report.AskedInstrument{Title: "Mine", Body: string(rig.Bodies()[0]), Scale: "22.5 in", Strings: "6", Tuning: "C3 E3 G3 A3 C4 E4"}
	made := asked[report.CheckedInstrument](t, &Lesson{}, report.Asked{What: "form", Form: form}, Recording{})
	if len(made.Faults) > 0 || made.Answer.Title != "Mine" || len(made.Answer.Strings) != 0 || made.Answer.Load != "" || made.Answer.Caution != "" {
		t.Errorf("one described without gauges: %q, %+v", said(made.Refused), made.Answer)
	}
	if got := said(asked[any](t, &Lesson{}, report.Asked{What: "form"}, Recording{}).Refused); !strings.Contains(got, "form is missing") {
		t.Errorf("nothing described: %q", got)
	}
	if got := said(asked[any](t, &Lesson{}, report.Asked{What: "place", Rig: string(rig.Format(r))}, Recording{}).Refused); !strings.Contains(got, "no tune") {
		t.Errorf("placed without a tune: %q", got)
	}
}

// pluck is a string's tone with its partials dying, in sound.Rate.
func pluck(hz, seconds float64) []float32 {
	out := make([]float32, int(seconds*sound.Rate))
	for i := range out {
		s := float64(i) / sound.Rate
		for n := 1.0; n <= 8; n++ {
			out[i] += float32(0.25 / n * math.Exp(-s*(1+0.4*n)) * math.Sin(2*math.Pi*n*hz*s))
		}
	}
	return out
}

// TestNowIsHeldAgainstAStroke: what sounds is told by the string and fret of the tab that it is nearest to; a stroke that is not
// there is none, and another tab is another question.
func TestNowIsHeldAgainstAStroke(t *testing.T) {
	instrument, text, placed := sounded(t)
	l := &Lesson{}
	p := placed.Strokes[0].Plucks[0]
	hz := float64(pitch.Equal(float64(placed.Rig.OpenKey(p.String, 0))+p.Fret+0.2, placed.Rig.Reference))
	heard := Whole(pluck(hz, 0.5), sound.Rate)
	at := func(n int) *int { return &n }
	var answers []report.Now
	for _, due := range []*int{at(0), nil, at(-1), at(len(placed.Strokes)), at(math.MaxInt)} {
		got := asked[report.Now](t, l, report.Asked{What: "now", Rig: instrument, Tab: text, Tuned: "equal", Stroke: due}, heard)
		if len(got.Faults) > 0 {
			t.Fatalf("stroke %v: %s", due, said(got.Refused))
		}
		answers = append(answers, got.Answer)
	}
	if n := answers[0]; n.String != p.String || n.Fret != p.Fret || n.Cents == nil || math.Abs(*n.Cents-20) > 3 {
		t.Errorf("string %d at fret %g, 20 cents sharp, is told as %+v (%v cents)", p.String, p.Fret, n, deref(n.Cents))
	}
	for _, n := range answers[2:] {
		a, _ := json.Marshal(n)
		b, _ := json.Marshal(answers[1])
		if !bytes.Equal(a, b) {
			t.Errorf("a stroke that is not there is told as %s, none as %s", a, b)
		}
	}
	kept := l.steel
	asked[report.Now](t, l, report.Asked{What: "now", Rig: instrument, Tab: text, Tuned: "equal"}, heard)
	if l.steel != kept {
		t.Error("the same tab is read again")
	}
	asked[report.Now](t, l, report.Asked{What: "now", Rig: instrument, Tab: text, Tuned: "just"}, heard)
	if l.steel == kept {
		t.Error("a tab on strings tuned otherwise is not read anew")
	}
	if got := asked[any](t, l, report.Asked{What: "now", Rig: instrument, Tab: "no tab", Tuned: "equal"}, heard); len(got.Faults) == 0 {
		t.Error("no tab is taken for one")
	}
}

// TestDelaysAreMeasured: of what was heard and then what was sounded, each half of the samples; a rate out of bounds or too long
// a recording is refused.
func TestDelaysAreMeasured(t *testing.T) {
	const rate, late = 16000, 0.1875
	clicks := make([]float32, 4*rate)
	for _, at := range []float64{0.3, 0.75, 1.3, 1.7, 2.25, 2.7, 3.25, 3.6} {
		for i := range rate / 20 {
			s := float64(i) / rate
			clicks[int(at*rate)+i] = float32(0.4 * min(s/0.002, 1) * math.Exp(-max(0, s-0.002)*100) * math.Sin(2*math.Pi*1568*s))
		}
	}
	both := append(make([]float32, int(late*rate)), clicks[:len(clicks)-int(late*rate)]...)
	both = append(both, clicks...)
	got := asked[report.MeasuredDelay](t, &Lesson{}, report.Asked{What: "delay"}, Whole(both, rate))
	if got.Answer.Refused != "" || math.Abs(got.Answer.Seconds-late) > 0.002 {
		t.Errorf("clicks that come %g s late are told as %+v", late, got.Answer)
	}
	none := func(n int, rate float64) Recording {
		return Recording{Samples: n, Rate: rate, Block: func(from, to int) []float32 { return make([]float32, to-from) }}
	}
	for what, c := range map[string]struct {
		r       Recording
		refused bool
	}{
		"at the lowest rate": {none(100, listen.LowestRate), false}, "at a lower one": {none(100, listen.LowestRate-1), true},
		"at the highest rate": {none(100, listen.HighestRate), false}, "at a higher one": {none(100, listen.HighestRate+1), true},
		"over twenty seconds and twenty": {none(40*8000+2, 8000), true}, "at no rate": {none(100, math.NaN()), true},
	} {
		if got := asked[any](t, &Lesson{}, report.Asked{What: "delay"}, c.r); (len(got.Faults) > 0) != c.refused {
			t.Errorf("%s: %q", what, said(got.Refused))
		}
	}
}

// TestRecordingsComeInPieces: whatever the length, each sample is asked for once, in order, and no piece is longer than a block.
func TestRecordingsComeInPieces(t *testing.T) {
	for _, n := range []int{0, 1, readBlock - 1, readBlock, readBlock + 1, 3 * readBlock} {
		next := 0
		r := Recording{Samples: n, Rate: sound.Rate, Block: func(from, to int) []float32 {
			if from != next || to <= from || to-from > readBlock {
				t.Errorf("of %d samples those from %d to %d are asked for after %d", n, from, to, next)
			}
			next = to
			return make([]float32, to-from)
		}}
		if got := len(r.all()); got != n || next != n {
			t.Errorf("of %d samples %d are read, up to %d", n, got, next)
		}
	}
	rested := 0
	r := Recording{Rest: func() { rested++ }}
	r.rest()
	(&Recording{}).rest()
	if rested != 1 {
		t.Errorf("it rested %d times", rested)
	}
}

// TestLandingsHaveBounds: any place of the neck can be asked for and none beside it; half a window of sound is told but is not steady, a
// fifth is nothing; a tone that sways a little has come to rest, one that sways much has not; what is over a semitone and a half off is
// another note.
func TestLandingsHaveBounds(t *testing.T) {
	r := rigtest.Builtin(t, "lap6-c6")
	file := string(rig.Format(r))
	ask := func(str, fret int, samples []float32) (report.Landing, string) {
		got := asked[report.Landing](t, &Lesson{}, report.Asked{What: "landing", Rig: file, String: str, Fret: fret}, Whole(samples, sound.Rate))
		return got.Answer, said(got.Refused)
	}
	quiet := make([]float32, sound.Rate)
	for _, c := range []struct {
		str, fret int
		there     bool
	}{{1, 0, true}, {6, rig.MaxFrets, true}, {0, 0, false}, {7, 0, false}, {1, -1, false}, {1, rig.MaxFrets + 1, false}} {
		if _, why := ask(c.str, c.fret, quiet); (why == "") != c.there || !c.there && !strings.Contains(why, "no place") {
			t.Errorf("string %d at fret %d: %q", c.str, c.fret, why)
		}
	}
	open := float64(pitch.Equal(float64(r.OpenKey(2, 0)), r.Reference))
	tone := func(lead, seconds float64, cents func(s float64) float64) []float32 {
		out := make([]float32, int((lead+seconds)*sound.Rate))
		phase := 0.0
		for i := int(lead * sound.Rate); i < len(out); i++ {
			phase += 2 * math.Pi * open * math.Exp2((5+cents(float64(i)/sound.Rate)/100)/12) / sound.Rate
			for n := 1.0; n <= 5; n++ {
				out[i] += float32(0.2 / n * math.Sin(n*phase))
			}
		}
		return out
	}
	still := func(float64) float64 { return 0 }
	sways := func(by float64) func(float64) float64 {
		return func(s float64) float64 { return by * math.Sin(2*math.Pi*5*s) }
	}
	for what, c := range map[string]struct {
		samples      []float32
		told, steady bool
	}{
		"half of it": {tone(0.8, 0.26, still), true, false}, "a fifth of it": {tone(0.8, 0.11, still), false, false},
		"nine tenths of it": {tone(0.8, 0.47, still), true, true}, "swaying by 4 cents": {tone(0, 1, sways(4)), true, true}, "swaying by 12 cents": {tone(0, 1, sways(12)), true, false},
		"140 cents sharp": {tone(0, 1, func(float64) float64 { return 140 }), true, true}, "165 cents sharp": {tone(0, 1, func(float64) float64 { return 165 }), false, false},
		"140 cents flat": {tone(0, 1, func(float64) float64 { return -140 }), true, true}, "165 cents flat": {tone(0, 1, func(float64) float64 { return -165 }), false, false},
		// Only the end counts.
		"before the end": {append(tone(0, 1, still), make([]float32, sound.Rate*6/10)...), false, false}, "well after the beginning": {tone(0, 1, func(s float64) float64 { return 60 * min(1, math.Floor(2.2*s)) }), true, true},
	} {
		got, why := ask(2, 5, c.samples)
		if why != "" || (got.Cents != nil) != c.told || got.Steady != c.steady {
			t.Errorf("%s: %v cents, steady %v %s", what, deref(got.Cents), got.Steady, why)
		}
	}
}

// TestStageKeepsWhatItSounds: a tab is read once, and anew when it or its instrument changes; the gain that nobody wishes is what
// the whole piece needs; a block is 50 ms at most, and past the end there is none.
func TestStageKeepsWhatItSounds(t *testing.T) {
	instrument, text, placed := sounded(t)
	stage := new(Stage)
	l, err := stage.Begin(&report.Wished{Rig: instrument, Tab: text, Speed: 1})
	if err != nil {
		t.Fatal(err)
	}
	first, gain := stage.tab, stage.gain
	want, err := sound.ForetoldGain(placed, sound.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if gain == nil || *gain != want {
		t.Errorf("the gain foretold is %v, want %g", gain, want)
	}
	if b := l.Next(MaxBlock + 1); b.Len() != MaxBlock {
		t.Errorf("a block has %d samples", b.Len())
	}
	if b := l.Next(7); b.Len() != 7 {
		t.Errorf("of 7 samples %d are given", b.Len())
	}
	own := want - 6
	quiet, err := stage.Begin(&report.Wished{Rig: instrument, Tab: text, Speed: 1, Gain: &own})
	if err != nil {
		t.Fatal(err)
	}
	if stage.tab != first || stage.gain != gain {
		t.Error("the same tab is read again, or its gain foretold again")
	}
	again, err := stage.Begin(&report.Wished{Rig: instrument, Tab: text, Speed: 1})
	if err != nil {
		t.Fatal(err)
	}
	loud, soft := 0.0, 0.0
	for range 20 {
		for _, v := range again.Next(MaxBlock).Left {
			loud += float64(v) * float64(v)
		}
		for _, v := range quiet.Next(MaxBlock).Left {
			soft += float64(v) * float64(v)
		}
	}
	if db := 10 * math.Log10(loud/soft); math.Abs(db-6) > 0.5 {
		t.Errorf("6 dB less gain sounds %.2f dB softer", db)
	}
	for what, w := range map[string]report.Wished{"tab": {Rig: instrument, Tab: text + "\n", Speed: 1}, "instrument": {Rig: instrument + "\n", Tab: text + "\n", Speed: 1}} {
		before := stage.tab
		if _, err := stage.Begin(&w); err != nil {
			t.Fatal(err)
		}
		if stage.tab == before {
			t.Errorf("another %s is not read", what)
		}
	}
	last, err := stage.Begin(&report.Wished{Rig: instrument, Tab: text, Speed: 1, Where: report.Where{Pass: len(placed.Performance().Passes) - 1}, Gain: &own})
	if err != nil {
		t.Fatal(err)
	}
	for n := 0; last.Next(MaxBlock) != nil; n++ {
		if n > 20*60 {
			t.Fatal("it goes on for over a minute")
		}
	}
}

// TestTurnsAreBounded: in turns each phrase counts twice, and no more bars sound than a piece may have.
func TestTurnsAreBounded(t *testing.T) {
	_, _, placed := sounded(t)
	n := len(placed.Performance().Passes)
	var many [][2]int
	for range tune.MaxPasses / 2 / n {
		many = append(many, [2]int{0, n})
	}
	rest := tune.MaxPasses/2 - len(many)*n
	if rest > 0 {
		many = append(many, [2]int{0, rest})
	}
	got, err := inTurns(placed, many)
	if err != nil || len(got.Performance().Passes) != tune.MaxPasses {
		t.Fatalf("%d phrases: %v", len(many), err)
	}
	if _, err := inTurns(placed, append(many, [2]int{n - 1, n})); err == nil || !strings.Contains(err.Error(), strconv.Itoa(tune.MaxPasses)) {
		t.Errorf("a bar more: %v", err)
	}
	for _, p := range [][2]int{{0, n + 1}, {2, 2}, {3, 2}, {-1, 1}} {
		if _, err := inTurns(placed, [][2]int{p}); err == nil || !strings.Contains(err.Error(), fmt.Sprintf("from bar %d to %d among the %d", p[0]+1, p[1], n)) {
			t.Errorf("bars from %d up to %d: %v", p[0], p[1], err)
		}
	}
	if got, err := inTurns(placed, [][2]int{{n - 1, n}, {0, 1}}); err != nil || len(got.Performance().Passes) != 4 {
		t.Errorf("the last bar and the first in turns: %v", err)
	}
	if got, err := inTurns(placed, nil); err != nil || got != placed {
		t.Error("without phrases the piece is another")
	}
}

var viewBox = regexp.MustCompile(`viewBox="0 0 (\S+) (\S+)"`)

// TestScreensEndBelowTheirMusic: a wide screen's page is as wide as paper and ends 8 mm below its last mark; a phone has one, whose fret numbers come to 14 to 15 CSS pixels when it is 390 wide; it has no description of its own.
func TestScreensEndBelowTheirMusic(t *testing.T) {
	_, _, short := sounded(t)
	r := rigtest.Builtin(t, "reso-open-g")
	res, err := arrange.Arrange(t.Context(), tunetest.Score(t, "G", strings.Repeat("D4:8 G4:8 A4:8 B4:8 D4:8 B4:8 A4:8 G4:8 ", 40)), r, arrange.Options{})
	if err != nil {
		t.Fatal(err)
	}
	size := func(svg []byte) (w, h float64) {
		m := viewBox.FindSubmatch(svg)
		w, _ = strconv.ParseFloat(string(m[1]), 64)
		h, _ = strconv.ParseFloat(string(m[2]), 64)
		return w, h
	}
	pages, narrow, err := Screen(short, sheet.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if w, h := size(pages[0]); len(pages) != 1 || w != 210 || h > 150 || h < 40 {
		t.Errorf("a short piece takes %d pages, the first of %g by %g mm", len(pages), w, h)
	}
	w, h := size(narrow)
	if w != 105 || h > 1000 {
		t.Errorf("on a phone it is %g by %g mm", w, h)
	}
	for _, scale := range []float64{0.5, 1} {
		_, narrow, err := Screen(short, sheet.Options{Scale: scale})
		if err != nil {
			t.Fatal(err)
		}
		most := 0.0
		for _, m := range regexp.MustCompile(`font-size="(\S+)" font-weight="bold"[^>]*>\d+<`).FindAllSubmatch(narrow, -1) {
			v, _ := strconv.ParseFloat(string(m[1]), 64)
			most = max(most, v*390/105)
		}
		if most < 14 || most > 15 {
			t.Errorf("at scale %g fret numbers come to %.1f pixels on a phone", scale, most)
		}
	}
	pages, _, err = Screen(res.Tab, sheet.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range pages {
		if w, h := size(p); w != 210 || h != 297 { // the number of a page stands at its foot
			t.Errorf("page %d of %d is %g by %g mm", i+1, len(pages), w, h)
		}
	}
	if len(pages) < 2 {
		t.Fatal("a long piece has one page")
	}
	for _, c := range []struct {
		items []draw.Item
		want  float64
	}{
		{nil, 297}, {[]draw.Item{draw.Box{Y: 20, W: 5, H: 30}, draw.Box{Y: 10, W: 5, H: 10}}, 58}, {[]draw.Item{draw.Box{Y: 20, W: 5, H: 275}}, 297},
	} {
		d := &draw.Drawing{Pages: []*draw.Page{{H: 297}, {H: 297, Items: c.items}}}
		if trim(d); d.Pages[1].H != c.want || d.Pages[0].H != 297 {
			t.Errorf("a page with %v ends at %g, want %g, the one before at %g", c.items, d.Pages[1].H, c.want, d.Pages[0].H)
		}
	}
	trim(&draw.Drawing{})
}

// TestCarriedTabs: a tab is carried as its instrument's file and its exact text, with how it is drawn, its gain to a hundredth of a decibel.
func TestCarriedTabs(t *testing.T) {
	_, _, placed := sounded(t)
	c := CarriedTab(Part{Tab: placed, Sheet: sheet.Options{Layout: sheet.TabOnly, StringOneLow: true}, Gain: -3.14159})
	if c.Gain != -3.14 || c.Layout != "tab-only" || !c.StringOneLow || c.LeftHanded {
		t.Errorf("carried as %+v", c)
	}
	back, err := readTab(c.Rig, c.Tab)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(tabtext.Format(back), tabtext.Format(placed)) {
		t.Error("the tab came back as another")
	}
	in := InWords(placed)
	if len(in.Bars) != len(placed.Tune.Bars) || len(in.Head) == 0 || !strings.Contains(in.Bars[0], "1") {
		t.Errorf("told in %d bars of %d: %q", len(in.Bars), len(placed.Tune.Bars), in.Bars[0])
	}
}
