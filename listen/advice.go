package listen

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"lapwright/inorder"
	"lapwright/say"
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
	handWords   = 0.9   // millimetres
	unsteady    = 10.0  // cents, spread
	scoopWords  = 25.0  // cents
	regionFrets = 12
)

// advise says what to practise, what matters most first. worth is about how many
// times over a fault can be heard, times the root of the share of the take that
// it touches.
func (r *reviewer) advise() []Advice {
	var all []Advice
	for _, find := range []func() []Advice{r.adviseStrings, r.adviseSlants, r.adviseTempo, r.adviseHand, r.adviseRegion, r.adviseMissed, r.adviseExtra, r.adviseLate, r.adviseAttack, r.adviseSteady} {
		all = append(all, find()...)
	}
	inorder.Stable(all, func(a, b Advice) int { return cmp.Compare(b.worth, a.worth) })
	if len(all) > mostAdvice {
		all = all[:mostAdvice]
	}
	if len(all) == 0 && len(r.out.Notes) > 0 {
		all = []Advice{{Text: "Well played: in tune and in time as far as can be heard. Take the next tab, or this one a little faster."}}
	}
	return all
}

// share is the root of what part of the take's notes n is.
func (r *reviewer) share(n int) float64 {
	return math.Sqrt(float64(n) / float64(max(1, len(r.out.Notes))))
}

func (r *reviewer) adviseStrings() []Advice {
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
		way, turn := "flat", "raise it"
		if t.Cents > 0 {
			way, turn = "sharp", "let it down below the pitch and come up to it"
		}
		out = append(out, Advice{
			Text: fmt.Sprintf("String %d is tuned about %.0f cents %s, open and under the steel alike: %s before you play, and check it again after the first minutes.",
				t.String, math.Abs(t.Cents), way, turn),
			worth: 2 * math.Abs(t.Cents) / heardCents * r.share(n),
		})
	}
	return out
}

func (r *reviewer) adviseSlants() []Advice {
	var off []float64
	var bars []int
	var effect []float64
	for _, s := range r.out.Slants {
		if !s.Sure || math.Abs(s.Wanted) < 1 || s.Right {
			continue
		}
		d := s.Degrees - s.Wanted
		if s.Wanted < 0 {
			d = -d
		}
		off = append(off, d)
		effect = append(effect, math.Abs(d))
		if math.Abs(d) > leanWords {
			bars = append(bars, s.BarNumber)
		}
	}
	if len(off) < 2 {
		return nil
	}
	middle := median(slices.Clone(off))
	if math.Abs(middle) < leanWords {
		return nil
	}
	way := "lean too much"
	fix := "turn the tail of the steel back a little"
	if middle < 0 {
		way, fix = "do not lean enough", "turn the tail of the steel farther"
	}
	return []Advice{{
		Bars: tidy(bars),
		Text: fmt.Sprintf("The slants %s, by about %.0f degrees: lay the nose first, then %s until the outer string is in tune. Play both strings one after the other, then together.",
			way, math.Abs(middle), fix),
		worth: 1.5 * median(effect) * r.share(2*len(off)),
	}}
}

// adviseTempo finds bars that go faster or slower than those around them.
func (r *reviewer) adviseTempo() []Advice {
	type span struct {
		bar    int
		ratio  float64 // time taken against written
		pass   int
		stitch int
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
		if b.due <= a.due || a.stretch != b.stretch || b.group <= a.group {
			continue
		}
		spans = append(spans, span{bar: r.s.tab.Tune.Bars[r.s.groups[a.group].barIndex].Number, ratio: (b.at - a.at) / (b.due - a.due), pass: p, stitch: a.stretch})
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
		if math.Abs(off) > hurryWords {
			for k := max(0, i-1); k < min(len(spans), i+2); k++ {
				broken[spans[k].bar] = true
			}
			r.out.Paces = append(r.out.Paces, Pace{spans[i].pass, math.Exp(off)})
		}
		switch {
		case off < -hurryWords:
			hurried = append(hurried, spans[i].bar)
			worst = max(worst, -off)
		case off > hurryWords:
			dragged = append(dragged, spans[i].bar)
		}
	}
	for i := range r.out.Notes {
		r.out.Notes[i].Adrift = broken[r.out.Notes[i].BarNumber]
	}
	var out []Advice
	if len(hurried) > 0 {
		bars := tidy(hurried)
		out = append(out, Advice{
			Bars:  bars,
			Text:  fmt.Sprintf("%s hurried, by up to %.0f %% against the bars around: count aloud there, or play with the click at three quarters of the speed.", barsAre(bars), 100*(1-math.Exp(-worst))),
			worth: 3 * worst / hurryWords * math.Sqrt(float64(len(hurried))/float64(len(spans))),
		})
	}
	if len(dragged) > 0 {
		bars := tidy(dragged)
		out = append(out, Advice{
			Bars:  bars,
			Text:  fmt.Sprintf("The time gets longer in %s: look where the steel has to go next before it is due, and practise that move alone.", barWords(bars)),
			worth: 2 * math.Sqrt(float64(len(dragged))/float64(len(spans))),
		})
	}
	return out
}

func (r *reviewer) adviseHand() []Advice {
	h := r.out.HandMM
	if math.Abs(h) < handWords || !(r.out.HandOff < math.Abs(h)/2) {
		return nil
	}
	way, to := "short of the fret line, towards the nut", "forward"
	if h > 0 {
		way, to = "beyond the fret line, towards the bridge", "back"
	}
	return []Advice{{
		Text: fmt.Sprintf("Your steel lies about %.1f mm %s throughout, which is heard more the higher you play: bring it %s until its middle is right over the line, and look straight down on it.",
			math.Abs(h), way, to),
		worth: 1.5 * math.Abs(h) * 2.5 / heardCents * 2,
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
func (r *reviewer) adviseRegion() []Advice {
	var out []Advice
	for _, g := range Regions() {
		var off []float64
		var bars []int
		for i := range r.out.Notes {
			n := &r.out.Notes[i]
			if n.Sure && !n.Right && !math.IsNaN(n.SteelMM) && !n.Slanted && g.Holds(n.Fret) {
				off = append(off, n.SteelMM-r.out.HandMM)
				bars = append(bars, n.BarNumber)
			}
		}
		if len(off) < 6 {
			continue
		}
		m := median(slices.Clone(off))
		if math.Abs(m) < handWords {
			continue
		}
		way := "towards the nut"
		if m > 0 {
			way = "towards the bridge"
		}
		out = append(out, Advice{
			Bars:  tidy(bars),
			Text:  fmt.Sprintf("%s the steel lies about %.1f mm too far %s: play a scale there slowly against an open string.", upper(g.Name), math.Abs(m), way),
			worth: math.Abs(m) * 2 / heardCents * 2 * r.share(len(off)),
		})
	}
	return out
}

func (r *reviewer) adviseMissed() []Advice {
	var missed, wrong []int
	for i := range r.out.Notes {
		if r.out.Notes[i].Right {
			continue
		}
		switch r.out.Notes[i].Status {
		case Missed:
			missed = append(missed, r.out.Notes[i].BarNumber)
		case Wrong:
			wrong = append(wrong, r.out.Notes[i].BarNumber)
		}
	}
	var out []Advice
	if n := len(missed); n > 0 {
		bars := tidy(missed)
		out = append(out, Advice{Bars: bars, Text: fmt.Sprintf("%s not heard, in %s: play there slowly enough that every string speaks.", say.Count(n, "note")+isAre(n), barWords(bars)), worth: 4 * r.share(n)})
	}
	if n := len(wrong); n > 0 {
		bars := tidy(wrong)
		out = append(out, Advice{Bars: bars, Text: fmt.Sprintf("Another note than the tab's sounds %s, in %s: look at string and fret there once more.", times(n), barWords(bars)), worth: 4.5 * r.share(n)})
	}
	return out
}

func (r *reviewer) adviseExtra() []Advice {
	n := len(r.out.Extra)
	if n < 2 {
		return nil
	}
	return []Advice{{Text: fmt.Sprintf("%s that the tab does not have: rest the picking hand on the strings between notes, so that no other string speaks.", upper(say.Count(n, "note")+isWere(n)+" heard")), worth: 3 * r.share(n)}}
}

func (r *reviewer) adviseLate() []Advice {
	var late []float64
	var bars []int
	for i := range r.out.Notes {
		if n := &r.out.Notes[i]; !n.Right && !math.IsNaN(n.Late) && n.Late > lateWords && !n.Adrift {
			late = append(late, n.Late)
			bars = append(bars, n.BarNumber)
		}
	}
	if len(late) < 3 {
		return nil
	}
	b := tidy(bars)
	return []Advice{{Bars: b, Text: fmt.Sprintf("%s late, by about %.0f ms, in %s: let the steel set off sooner, and pluck when it is there.", upper(say.Count(len(late), "note")+isAre(len(late))), 1000*median(late), barWords(b)), worth: 1.2 * r.share(len(late)) * median(late) / lateWords}}
}

func (r *reviewer) adviseAttack() []Advice {
	var scoops []float64
	var bars []int
	for i := range r.out.Notes {
		n := &r.out.Notes[i]
		if n.Sure && !n.Right && !n.Glided && math.Abs(n.Scoop) > scoopWords && n.Settles > 0.09 {
			scoops = append(scoops, n.Scoop)
			bars = append(bars, n.BarNumber)
		}
	}
	if len(scoops) < 4 {
		return nil
	}
	b := tidy(bars)
	return []Advice{{Bars: b, Text: fmt.Sprintf("%s after the pluck before they are in tune: bring the steel to rest first, then play.", upper(say.Count(len(scoops), "note")+" slide")), worth: 1.5 * r.share(len(scoops))}}
}

func (r *reviewer) adviseSteady() []Advice {
	var wide []float64
	var bars []int
	for i := range r.out.Notes {
		n := &r.out.Notes[i]
		if !n.Right && !math.IsNaN(n.Spread) && n.Spread > unsteady && n.Vibrato == 0 && n.Fret > 0 {
			wide = append(wide, n.Spread)
			bars = append(bars, n.BarNumber)
		}
	}
	if len(wide) < 4 {
		return nil
	}
	b := tidy(bars)
	return []Advice{{Bars: b, Text: fmt.Sprintf("The pitch wanders in %s: let the weight of the steel do the pressing and damp behind it with the ring finger.", barWords(b)), worth: r.share(len(wide))}}
}

// tidy sorts bars and drops what is there twice.
func tidy(bars []int) []int {
	slices.Sort(bars)
	return slices.Compact(bars)
}

// barWords names bars: "bar 6", "bars 2, 3 and 7".
func barWords(bars []int) string {
	if len(bars) == 1 {
		return fmt.Sprintf("bar %d", bars[0])
	}
	if len(bars) > 8 {
		return "many bars"
	}
	s := "bars "
	for i, b := range bars {
		switch {
		case i == 0:
		case i == len(bars)-1:
			s += " and "
		default:
			s += ", "
		}
		s += fmt.Sprint(b)
	}
	return s
}

func barsAre(bars []int) string {
	if len(bars) == 1 {
		return upper(barWords(bars)) + " is"
	}
	return upper(barWords(bars)) + " are"
}

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

func times(n int) string {
	if n == 1 {
		return "once"
	}
	return say.Count(n, "time")
}

// upper begins a sentence.
func upper(s string) string {
	if s != "" && s[0] >= 'a' && s[0] <= 'z' {
		return string(s[0]-32) + s[1:]
	}
	return s
}
