package listen

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"lapwright/arrange/drill"
	"lapwright/inorder"
	"lapwright/say"
	"lapwright/tab"
)

// mostAdvice is how many things a student is told at once.
const mostAdvice = 5

// From where a fault is worth a word. heardCents is about what is heard as a
// difference of pitch; the others are common practice, no source.
const (
	heardCents  = 5.0
	leanWords   = 1.5   // degrees
	hurryWords  = 0.09  // of the bar's length
	lateWords   = 0.045 // seconds
	aheadWords  = 0.03  // seconds, of all notes
	handWords   = 0.9   // millimetres
	unsteady    = 10.0  // cents, spread
	scoopWords  = 25.0  // cents
	regionFrets = 12
	untoldLeast = 4 // notes
)

// adviser says what to practise.
type adviser struct{ *reviewer }

// advise says what to practise, what matters most first. worth is about how many
// times over a fault can be heard, times the root of the share of the take that
// it touches.
func (r *adviser) advise() []Advice {
	var all []Advice
	for _, find := range []func() []Advice{r.adviseStrings, r.adviseSlants, r.adviseTempo, r.adviseHand, r.adviseUntold, r.adviseRegion, r.adviseMissed, r.adviseExtra, r.adviseLate, r.adviseAhead, r.adviseAttack, r.adviseSteady} {
		all = append(all, find()...)
	}
	inorder.Stable(all, func(a, b Advice) int { return cmp.Compare(b.worth, a.worth) })
	all = all[:min(len(all), mostAdvice)]
	for i := range all {
		all[i].Drill = r.drill(all[i].spot)
	}
	if len(all) == 0 && len(r.out.Notes) > 0 {
		all = []Advice{{Text: "Well played: in tune and in time as far as can be heard. Take the next tab, or this one a little faster."}}
	}
	return all
}

// drill makes the exercise for a spot; nil where the rig has nothing to practise it with.
func (r *adviser) drill(s drill.Spot) *drill.Drill {
	d, err := drill.At(context.Background(), r.s.tab, s)
	if err != nil {
		return nil
	}
	return d
}

// spot is the place of notes, indexes into the notes of the review.
func (r *adviser) spot(k drill.SpotKind, notes []int) drill.Spot {
	out := drill.Spot{Kind: k}
	for _, i := range notes {
		if st := r.notes[i].stroke; !slices.Contains(out.Strokes, st) {
			out.Strokes = append(out.Strokes, st)
		}
	}
	return out
}

// barsOf returns the bars of notes as printed, in order.
func (r *adviser) barsOf(notes []int) []int {
	var bars []int
	for _, i := range notes {
		bars = append(bars, r.out.Notes[i].BarNumber)
	}
	return tidy(bars)
}

// inBars is the spot of bars as printed, in their order.
func (r *adviser) inBars(k drill.SpotKind, bars []int) drill.Spot {
	var notes []int
	for i := range r.out.Notes {
		if slices.Contains(bars, r.out.Notes[i].BarNumber) {
			notes = append(notes, i)
		}
	}
	return r.spot(k, notes)
}

// share is the root of what part of the take's notes n is.
func (r *adviser) share(n int) float64 {
	return math.Sqrt(float64(n) / float64(max(1, len(r.out.Notes))))
}

// wayOff returns the word for what lies below (flat, towards the nut) or above (sharp, towards the bridge) where it
// should.
func wayOff(off float64, below, above string) string {
	if math.Signbit(off) {
		return below
	}
	return above
}

func (r *adviser) adviseStrings() []Advice {
	var out []Advice
	for _, t := range r.tuned {
		if !t.Told || math.Abs(t.Cents) < max(heardCents, 2*t.Doubt) {
			continue
		}
		n := 0
		for i := range r.out.Notes {
			if r.out.Notes[i].String == t.String && !math.IsNaN(r.out.Notes[i].Cents) {
				n++
			}
		}
		out = append(out, Advice{
			Text: fmt.Sprintf("String %d is tuned about %.0f cents %s, open and under the steel alike: %s before you play, and check it again after the first minutes.",
				t.String, math.Abs(t.Cents), wayOff(t.Cents, "flat", "sharp"), wayOff(t.Cents, "raise it", "let it down below the pitch and come up to it")),
			worth: 2 * math.Abs(t.Cents) / heardCents * r.share(n),
			spot:  drill.Spot{Kind: drill.Unison, String: t.String},
		})
	}
	return out
}

func (r *adviser) adviseSlants() []Advice {
	var off []float64
	var bars []int
	var effect []float64
	spot := drill.Spot{Kind: drill.Leans}
	for _, s := range r.out.Slants {
		if !s.Sure || math.Abs(s.Wanted) < 1 || s.Right {
			continue
		}
		d := math.Copysign(1, s.Wanted) * (s.Degrees - s.Wanted) // more than 0 leans too much, either way
		off = append(off, d)
		effect = append(effect, math.Abs(d))
		if math.Abs(d) > leanWords {
			bars = append(bars, s.BarNumber)
			spot.Strokes = append(spot.Strokes, s.stroke)
		}
	}
	if len(off) < 2 {
		return nil
	}
	middle := median(slices.Clone(off))
	if math.Abs(middle) < leanWords {
		return nil
	}
	return []Advice{{
		Bars: tidy(bars),
		Text: fmt.Sprintf("The slants %s, by about %.0f degrees: lay the nose first, then %s until the outer string is in tune. Play both strings one after the other, then together.",
			wayOff(middle, "do not lean enough", "lean too much"), math.Abs(middle), wayOff(middle, "turn the tail of the steel farther", "turn the tail of the steel back a little")),
		worth: 1.5 * median(effect) * r.share(2*len(off)),
		spot:  spot,
	}}
}

// adviseTempo finds bars that go faster or slower than those around them.
func (r *adviser) adviseTempo() []Advice {
	type span struct {
		bar   int
		ratio float64 // time taken against written
		pass  int
	}
	var spans []span
	first := map[int]int{} // by pass, the first anchor
	var order []int
	for i, c := range r.time.anchors {
		p := r.s.groups[c.group].passIndex
		if _, ok := first[p]; !ok {
			first[p] = i
			order = append(order, p)
		}
	}
	for k, p := range order {
		a := &r.time.anchors[first[p]]
		b := &r.time.anchors[len(r.time.anchors)-1]
		if k+1 < len(order) {
			b = &r.time.anchors[first[order[k+1]]]
		}
		if a == b || a.stretch != b.stretch {
			continue
		}
		spans = append(spans, span{bar: r.s.tab.Tune.Bars[r.s.groups[a.group].barIndex].Number, ratio: (b.at - a.at) / (b.due - a.due), pass: p})
	}
	var hurried, dragged []int
	worst := 0.0
	broken := map[int]bool{}
	for i := range spans {
		var near []float64
		for k := max(0, i-4); k < min(len(spans), i+5); k++ {
			if k != i {
				near = append(near, spans[k].ratio)
			}
		}
		if len(near) < 3 {
			continue
		}
		off := math.Log(spans[i].ratio / median(near))
		if math.Abs(off) <= hurryWords {
			continue
		}
		for k := max(0, i-1); k < min(len(spans), i+2); k++ {
			broken[spans[k].bar] = true
		}
		r.out.Paces = append(r.out.Paces, Pace{spans[i].pass, math.Exp(off)})
		if math.Signbit(off) {
			hurried = append(hurried, spans[i].bar)
			worst = max(worst, -off)
		} else {
			dragged = append(dragged, spans[i].bar)
		}
	}
	for i := range r.out.Notes {
		r.out.Notes[i].Adrift = r.out.Against == AgainstTempo && broken[r.out.Notes[i].BarNumber]
	}
	var out []Advice
	if len(hurried) > 0 {
		bars := tidy(hurried)
		out = append(out, Advice{
			Bars:  bars,
			Text:  fmt.Sprintf("%s hurried, by up to %.0f %% against the bars around: count aloud there, or play with the click at three quarters of the speed.", barsAre(bars), 100*(1-math.Exp(-worst))),
			worth: 3 * worst / hurryWords * math.Sqrt(float64(len(hurried))/float64(len(spans))),
			spot:  r.inBars(drill.Again, bars),
		})
	}
	if len(dragged) > 0 {
		bars := tidy(dragged)
		out = append(out, Advice{
			Bars:  bars,
			Text:  fmt.Sprintf("The time gets longer in %s: look where the steel has to go next before it is due, and practise that move alone.", barWords(bars)),
			worth: 2 * math.Sqrt(float64(len(dragged))/float64(len(spans))),
			spot:  r.inBars(drill.Again, bars),
		})
	}
	return out
}

// handTold reports whether the take tells how far the steel lies off throughout.
func (r *adviser) handTold() bool { return r.out.HandOff < math.Abs(r.out.HandMM)/2 }

func (r *adviser) adviseHand() []Advice {
	h := r.out.HandMM
	if math.Abs(h) < handWords || !r.handTold() {
		return nil
	}
	var straight []int
	for i := range r.out.Notes {
		if n := &r.out.Notes[i]; n.Fret > 0 && !n.Slanted {
			straight = append(straight, i)
		}
	}
	return []Advice{{
		Text: fmt.Sprintf("Your steel lies about %.1f mm %s throughout, which is heard more the higher you play: bring it %s until its middle is right over the line, and look straight down on it.",
			math.Abs(h), wayOff(h, "short of the fret line, towards the nut", "beyond the fret line, towards the bridge"), wayOff(h, "forward", "back")),
		worth: 1.5 * math.Abs(h) * 2.5 / heardCents * 2,
		spot:  r.spot(drill.Opens, straight),
	}}
}

// adviseUntold finds that nearly all lies off one way where the take can't tell the tuning from the hand, as when
// nothing open was played.
func (r *adviser) adviseUntold() []Advice {
	if r.handTold() || slices.ContainsFunc(r.tuned, func(t StringTuning) bool { return t.Told }) {
		return nil
	}
	var off []float64
	var notes []int
	for i := range r.out.Notes {
		if n := &r.out.Notes[i]; n.Sure && !n.Right {
			off, notes = append(off, n.Cents-n.Meant), append(notes, i)
		}
	}
	if len(off) < untoldLeast {
		return nil
	}
	slices.Sort(off)
	m, most := off[len(off)/2], off[len(off)/5] // four in five lie above it
	if math.Signbit(m) {
		most = off[len(off)-1-len(off)/5]
	}
	if math.Abs(m) < heardCents || math.Copysign(1, m)*most < heardCents/2 {
		return nil
	}
	return []Advice{{
		// The body pulls all by a cent or so, so "about" is to the next five.
		Text:  fmt.Sprintf("Nearly all you play lies about %.0f cents %s. Whether the strings are tuned so or the steel lies so can't be told from this take: tune the open strings first, then play it again.", 5*math.Round(math.Abs(m)/5), wayOff(m, "flat", "sharp")),
		worth: 2 * math.Abs(m) / heardCents * r.share(len(off)),
		spot:  r.spot(drill.Opens, notes),
	}}
}

// Region is a stretch of the neck.
type Region struct {
	Name   string
	lo, hi float64 // frets, from lo on and below hi
}

// Regions lists the regions of the neck from the nut up; open strings are in none.
func Regions() []Region {
	return []Region{{"below fret 5", 0.01, 5}, {"between frets 5 and 12", 5, regionFrets}, {"from fret 12 up", regionFrets, 99}}
}

// Holds reports whether a fret lies in a region.
func (r Region) Holds(fret float64) bool { return fret >= r.lo && fret < r.hi }

// adviseRegion finds a region of the neck where the steel lies off and elsewhere
// not.
func (r *adviser) adviseRegion() []Advice {
	if len(r.adviseUntold()) > 0 {
		return nil // nor can it be told there
	}
	var out []Advice
	for _, g := range Regions() {
		var off []float64
		var notes []int
		for i := range r.out.Notes {
			n := &r.out.Notes[i]
			if n.Sure && !n.Right && !math.IsNaN(n.SteelMM) && !n.Slanted && g.Holds(n.Fret) {
				off = append(off, n.SteelMM-r.out.HandMM)
				notes = append(notes, i)
			}
		}
		if len(off) < 6 {
			continue
		}
		m := median(slices.Clone(off))
		if math.Abs(m) < handWords {
			continue
		}
		out = append(out, Advice{
			Bars:  r.barsOf(notes),
			Text:  fmt.Sprintf("%s the steel lies about %.1f mm too far %s: play a scale there slowly against an open string.", say.Capital(g.Name), math.Abs(m), wayOff(m, "towards the nut", "towards the bridge")),
			worth: math.Abs(m) * 2 / heardCents * 2 * r.share(len(off)),
			spot:  r.spot(drill.Opens, notes),
		})
	}
	return out
}

func (r *adviser) adviseMissed() []Advice {
	var missed, wrong []int
	for i := range r.out.Notes {
		if r.out.Notes[i].Right {
			continue
		}
		switch r.out.Notes[i].Status {
		case Missed:
			missed = append(missed, i)
		case Wrong:
			wrong = append(wrong, i)
		}
	}
	var out []Advice
	if n := len(missed); n > 0 {
		bars := r.barsOf(missed)
		out = append(out, Advice{Bars: bars, Text: fmt.Sprintf("%s not heard, in %s: play there slowly enough that every string speaks.", say.Count(n, "note")+isAre(n), barWords(bars)), worth: 4 * r.share(n), spot: r.spot(drill.Again, missed)})
	}
	if n := len(wrong); n > 0 {
		bars := r.barsOf(wrong)
		out = append(out, Advice{Bars: bars, Text: fmt.Sprintf("Another note than the tab's sounds %s, in %s: look at string and fret there once more.", say.Times(n), barWords(bars)), worth: 4.5 * r.share(n), spot: r.spot(drill.Again, wrong)})
	}
	return out
}

func (r *adviser) adviseExtra() []Advice {
	n := len(r.out.Extra)
	if n < 2 {
		return nil
	}
	spot := drill.Spot{Kind: drill.Blocks}
	var bars []int
	for _, e := range r.out.Extra {
		if st := r.playedBefore(e.Onset); st != nil {
			spot.Strokes = append(spot.Strokes, st)
			bars = append(bars, r.s.tab.Tune.Bars[st.BarIndex].Number)
		}
	}
	return []Advice{{Bars: tidy(bars), Text: fmt.Sprintf("%s that the tab does not have: rest the picking hand on the strings between notes, so that no other string speaks.", say.Count(n, "note")+isWere(n)+" heard"), worth: 3 * r.share(n), spot: spot}}
}

// playedBefore returns the stroke of the tab that was played last before a time of the
// take; nil for none.
func (r *adviser) playedBefore(at float64) *tab.Stroke {
	var last *tab.Stroke
	for i := range r.time.anchors {
		if a := &r.time.anchors[i]; a.at <= at {
			last = r.s.wants[r.s.groups[a.group].wants[0]].stroke
		}
	}
	return last
}

func (r *adviser) adviseLate() []Advice {
	var late []float64
	var notes []int
	for i := range r.out.Notes {
		if n := &r.out.Notes[i]; !n.Right && !math.IsNaN(n.Late) && n.Late > lateWords && !n.Adrift {
			late = append(late, n.Late)
			notes = append(notes, i)
		}
	}
	if len(late) < 3 {
		return nil
	}
	b := r.barsOf(notes)
	against := ""
	if r.out.Against != AgainstTempo {
		against = " against the click"
	}
	return []Advice{{Bars: b, Text: fmt.Sprintf("%s late%s, by about %.0f ms, in %s: let the steel set off sooner, and pluck when it is there.", say.Count(len(late), "note")+isAre(len(late)), against, 1000*median(late), barWords(b)), worth: 1.2 * r.share(len(late)) * median(late) / lateWords, spot: r.spot(drill.Moves, notes)}}
}

// adviseAhead says when somebody plays ahead of the click throughout, which only a click shows.
func (r *adviser) adviseAhead() []Advice {
	if r.out.Against != AgainstClick {
		return nil
	}
	var all []float64
	var notes []int
	for i := range r.out.Notes {
		if n := &r.out.Notes[i]; !n.Right && !math.IsNaN(n.Late) {
			all = append(all, n.Late)
			notes = append(notes, i)
		}
	}
	if len(all) < 8 {
		return nil
	}
	early := -median(all)
	if early < aheadWords {
		return nil
	}
	return []Advice{{Text: fmt.Sprintf("You play about %.0f ms ahead of the click throughout: listen for it in every note, and let it come to you.", 1000*early), worth: 1.2 * early / aheadWords, spot: r.spot(drill.Again, notes)}}
}

func (r *adviser) adviseAttack() []Advice {
	var notes []int
	for i := range r.out.Notes {
		n := &r.out.Notes[i]
		if n.Sure && !n.Right && !n.Glided && math.Abs(n.Scoop) > scoopWords && n.Settles > 0.09 {
			notes = append(notes, i)
		}
	}
	if len(notes) < 4 {
		return nil
	}
	b := r.barsOf(notes)
	return []Advice{{Bars: b, Text: fmt.Sprintf("%s after the pluck before they are in tune: bring the steel to rest first, then play.", say.Count(len(notes), "note")+" slide"), worth: 1.5 * r.share(len(notes)), spot: r.spot(drill.Moves, notes)}}
}

func (r *adviser) adviseSteady() []Advice {
	var notes []int
	for i := range r.out.Notes {
		n := &r.out.Notes[i]
		if !n.Right && !math.IsNaN(n.Spread) && n.Spread > unsteady && n.Vibrato == 0 && n.Fret > 0 {
			notes = append(notes, i)
		}
	}
	if len(notes) < 4 {
		return nil
	}
	b := r.barsOf(notes)
	return []Advice{{Bars: b, Text: fmt.Sprintf("The pitch wanders in %s: let the weight of the steel do the pressing and damp behind it with the ring finger.", barWords(b)), worth: r.share(len(notes)), spot: r.spot(drill.Holds, notes)}}
}

// tidy sorts bars and drops what is there twice.
func tidy(bars []int) []int {
	slices.Sort(bars)
	return slices.Compact(bars)
}

// barWords names bars: "bar 6", "bars 2, 3 and 7".
func barWords(bars []int) string {
	switch {
	case len(bars) == 1:
		return fmt.Sprintf("bar %d", bars[0])
	case len(bars) > 8:
		return "many bars"
	}
	var names []string
	for _, b := range bars {
		names = append(names, fmt.Sprint(b))
	}
	return "bars " + say.List(names)
}

func barsAre(bars []int) string { return say.Capital(barWords(bars)) + isAre(len(bars)) }

func isAre(n int) string {
	if n == 1 {
		return " is"
	}
	return " are"
}

func isWere(n int) string {
	if n == 1 {
		return " was"
	}
	return " were"
}
