package listen

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"lapwright/arrange/drill"
	"lapwright/pitch"
	"lapwright/retune"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// Options says what a review may take for granted.
type Options struct {
	// Tuned is how far each open string is meant to be from equal temperament, in
	// cents, string 1 first; nil for equal temperament. TunedTo gives it.
	Tuned []float64
	// Right reports whether a teacher said of a note that it was right as it was
	// played: advice passes it over. nil for none.
	Right func(at tune.Ticks, str int) bool
	// Click is what was sounded to play along with; nil for nothing.
	Click *Click
}

// TunedTo returns Options.Tuned for "equal", "just" or "between" (half of the way),
// the last two for the chord of the rig's open strings, or for cents from equal of each
// string, low to high, with commas between.
func TunedTo(r *rig.Rig, way string) ([]float64, error) {
	out := make([]float64, len(r.Strings))
	if strings.ContainsAny(way, "0123456789") {
		parts := strings.Split(way, ",")
		if len(parts) != len(out) {
			return nil, fmt.Errorf("%q has cents for %d strings, and the rig has %d", way, len(parts), len(out))
		}
		for i, p := range parts {
			v, err := strconv.ParseFloat(strings.TrimSpace(p), 64)
			if err != nil || math.IsNaN(v) || math.Abs(v) > 100 {
				return nil, fmt.Errorf("%q is no number of cents from -100 to 100", p)
			}
			out[len(parts)-1-i] = v
		}
		return out, nil
	}
	if way == "equal" {
		return out, nil
	}
	chord, err := retune.OpenChordOf(r)
	if err != nil {
		return nil, err
	}
	t, err := retune.NewTuned(r, chord, r.Reference, 0.5, pitch.FiveLimit)
	if err != nil {
		return nil, err
	}
	for i, target := range t.Targets {
		hz := target.Blend
		switch way {
		case "just":
			hz = target.Just
		case "between":
		default:
			return nil, fmt.Errorf("%q is no way to tune: equal, just or between", way)
		}
		out[i] = float64(pitch.Between(target.Equal, hz))
	}
	return out, nil
}

// Status says what became of a note.
type Status string

// What becomes of notes.
const (
	Played Status = "played"
	Missed Status = "missed"
	Wrong  Status = "wrong" // something else was played instead
)

// Note is what the take did about one note of the tab.
type Note struct {
	BarNumber int        // as printed
	PassIndex int        // index into the unfolded bars
	At        tune.Ticks // from the tune's start, repeats unfolded
	Len       tune.Ticks // as written, ties joined
	String    int
	Fret      float64
	Wanted    pitch.Hz // as the tab has it, in equal temperament
	Key       float64
	Status    Status
	Onset     float64 // seconds; for a note glided into, when it is due
	// Late is how much later it is than Reviewed.Against would have it, in seconds; NaN where
	// that can't be told or the note has no beginning of its own.
	Late      float64
	Cents     float64 // against equal temperament; NaN when it could not be measured
	CentsJust float64 // against the just target of the chord; NaN when there is none
	Spread    float64 // cents, standard deviation in the settled part; NaN when unknown
	SteelMM   float64 // from where the tab has the steel; NaN for open strings
	Doubt     float64 // standard error of Cents; NaN where Cents is
	MMDoubt   float64 // standard error of SteelMM; NaN where SteelMM is, and where the string's tuning can't be told
	Sure      bool
	Scoop     float64 // cents from the pitch at the beginning
	Settles   float64 // seconds until the pitch is steady
	Vibrato   float64 // a second, 0 for none
	Width     float64 // of the vibrato, cents to either side
	Glided    bool    // reached by moving the steel
	Slanted   bool    // under a steel that leans
	Adrift    bool    // in or beside a bar of Reviewed.Paces: there is no steady hand to be late against
	Right     bool    // a teacher said so (Options.Right)
	Meant     float64 // how far from equal temperament its string is meant to be, cents (Options.Tuned)
	// Until is when in the take it is over, for as long as it could be measured.
	Until float64
	// Curve is its pitch as it went, every 10 ms; nil where only the settled part
	// could be measured.
	Curve []Moment
}

// Moment is the pitch of a note at a time of the take.
type Moment struct {
	At    float64 // seconds
	Cents float64 // against equal temperament, as Note.Cents
}

// Pace is a bar that goes faster or slower than those around.
type Pace struct {
	PassIndex int     // index into the unfolded bars
	Taken     float64 // its time against what the bars around would give it; below 1 is hurried
}

// Place is a pluck of the tab that was heard: when in the take, and where in the tune.
type Place struct {
	Seconds   float64
	PassIndex int        // index into the unfolded bars
	At        tune.Ticks // from the tune's start, repeats unfolded
	Joined    bool       // the take goes on from the step before without a pause or jump
}

// Extra is something played that the tab does not have.
type Extra struct {
	Onset float64
	Pitch pitch.Name
}

// StringTuning is how an open string is tuned, against how it is meant to be.
type StringTuning struct {
	String int
	Cents  float64
	Doubt  float64 // standard error
	Told   bool    // whether the take can tell it from the place of the steel
	fitted float64 // standard error against the other strings, without bodyPull
}

// Slant is how the steel lay under one grip.
type Slant struct {
	BarNumber int
	At        tune.Ticks
	Strings   []int
	Kind      steel.Kind
	Wanted    float64 // degrees, forward positive
	Degrees   float64
	PlusMinus float64 // standard error of Degrees
	SteelMM   float64 // its middle from where the tab has it
	MMDoubt   float64
	Sure      bool
	Right     bool // a teacher said of a note of it that it was right
	stroke    *tab.Stroke
}

// Advice is one thing to practise.
type Advice struct {
	Bars  []int // as printed; nil for the whole piece
	Text  string
	Drill *drill.Drill // made for that spot; nil where there is nothing to practise, or to practise it with
	worth float64
	spot  drill.Spot
}

// Reviewed is what a take did against a tab.
type Reviewed struct {
	// Refused says in one sentence why nothing can be told; all else is then empty.
	Refused string
	Notes   []Note
	Extra   []Extra
	Strings []StringTuning
	Slants  []Slant
	Tempo   float64 // quarters a minute; 0 when unknown
	HandMM  float64 // how far the steel lies off throughout
	HandOff float64 // standard error of HandMM
	Nearer  string  // "equal" or "just": what the player's fretted chord tones are nearer to; "" when it can't be told
	Advice  []Advice
	Paces   []Pace  // bars that go faster or slower than those around
	Path    []Place // the plucks that were heard, in the order of the take
	// Against says what lateness is told against.
	Against  Against
	Delay    float64 // of the device, seconds, where it was known and counts; NaN otherwise
	TakenOff float64 // the median that was taken off in its place, seconds; NaN for none
}

// Review compares a take with a tab.
func Review(take *Take, t *tab.Tab, o Options) (*Reviewed, error) {
	if t == nil || t.Tune == nil || t.Rig == nil || len(t.Strokes) == 0 {
		return nil, fmt.Errorf("there is no tab to compare with")
	}
	if o.Tuned == nil {
		o.Tuned = make([]float64, len(t.Rig.Strings))
	}
	if len(o.Tuned) != len(t.Rig.Strings) {
		return nil, fmt.Errorf("%d strings are said to be tuned, and the rig has %d", len(o.Tuned), len(t.Rig.Strings))
	}
	r := &reviewer{take: take, s: newScore(t, o.Tuned), right: o.Right, out: &Reviewed{}}
	if why := take.Unfit(); why != "" {
		r.out.Refused = why
		return r.out, nil
	}
	a4 := float64(t.Rig.Reference)
	describe := take.describer(a4, riseGap, riseLook)
	for _, o := range take.Onsets() {
		r.heard = append(r.heard, describe(o))
	}
	if c := o.Click; c != nil && !math.IsNaN(c.Delay) {
		r.heard = take.passClicks(r.heard, c.times(r.s.perf, c.Delay, take.Seconds()), clickWithin, a4)
	}
	r.a = align(r.s, r.heard, 0)
	if why := r.stranger(); why != "" {
		r.out.Refused = why
		return r.out, nil
	}
	r.time = newTiming(r.s, r.a, r.heard)
	f := newFollower(o.Click, r.s, r.time)
	if off, ok := f.offset(); ok && math.IsNaN(f.Delay) {
		// When the clicks are heard shows only now.
		r.heard = take.passClicks(r.heard, f.times(r.s.perf, off, take.Seconds()), clickAround, a4)
		r.a = align(r.s, r.heard, 0)
		r.time = newTiming(r.s, r.a, r.heard)
		f = newFollower(o.Click, r.s, r.time)
	}
	f.late(r.out)
	r.measure()
	if why := r.unclear(); why != "" {
		r.out.Refused = why
		return r.out, nil
	}
	r.strings()
	r.writeNotes()
	r.path()
	r.extras()
	r.slants()
	r.tempo()
	r.out.Advice = (&adviser{r}).advise()
	return r.out, nil
}

// reviewer works out one review.
type reviewer struct {
	take  *Take
	s     *score
	right func(tune.Ticks, int) bool // Options.Right
	heard []pluckHeard
	a     *aligned
	time  *timing
	notes []*note // those that the take goes through, in the order of the score
	tuned []StringTuning
	noise float64 // cents: how far single notes scatter
	out   *Reviewed
}

// measure measures every note that the take goes through.
func (r *reviewer) measure() {
	m := &measurer{take: r.take, look: newLook(r.take.rate)}
	for g := range r.s.groups {
		if !r.a.reach[g] {
			continue
		}
		var now []*note
		for _, wi := range r.s.groups[g].wants {
			w := &r.s.wants[wi]
			at, ok := r.time.seconds(g, w.due)
			if !ok {
				continue
			}
			n := &note{want: w, at: at}
			until, _ := r.time.seconds(g, w.due+w.stays)
			// Where the next pluck is known the string is stopped for it.
			n.until = min(until, r.take.Seconds())
			if next := r.time.nextTouch(r.s, w, g); next > at {
				n.until = min(n.until, next)
			}
			n.after = r.time.pluckedAfter(r.s, r.a, n, g)
			now = append(now, n)
		}
		r.notes = append(r.notes, now...)
		// Only notes near this one can sound with it.
		m.notes = r.notes[max(0, len(r.notes)-40):]
		played := r.a.onset[g] >= 0
		for _, n := range now {
			n.single = len(now) == 1
			if n.begun && !played {
				continue
			}
			m.measure(n)
		}
		r.judge(now, g)
	}
}

// judge decides which notes of a group were not played, or are something else.
func (r *reviewer) judge(now []*note, g int) {
	loudest := 0.0
	for _, n := range now {
		if n.found {
			loudest = max(loudest, n.loud)
		}
	}
	j := r.a.onset[g]
	for _, n := range now {
		if j < 0 || !n.begun {
			continue
		}
		h := &r.heard[j]
		rise := h.rise[min(127, max(0, int(math.Round(n.key))))]
		switch {
		case n.found && len(now) > 1 && n.loud < absent*loudest:
			n.found = false
		case len(now) == 1 && rise < 0.5 && h.clear > n.standsOut() && !(n.known() && (r.rings(n) || h.kin(n.key))):
			n.found, n.wrong = false, true
		case len(now) == 1 && !n.found && n.until-n.at > 0.1:
			n.wrong = h.clear > leastClear
		}
	}
}

// known reports whether several partials say that a note is where the tab has it.
func (n *note) known() bool { return n.found && n.partials >= 3 && math.Abs(n.cents) < 40 }

// sure reports whether a note is measured well enough to tell the tuning or the steel by it. One whose partials are all
// another's too carries more doubt than that.
func (n *note) sure() bool { return n.found && n.doubt < 3 }

// held reports whether a note has a settled part whose pitch wanders by less than so many cents.
func (n *note) held(cents float64) bool { return n.spread >= 0 && n.spread < cents }

// brief reports whether a note is too short for its pitch to be told.
func (n *note) brief() bool { return n.until-n.at < 0.12 }

// standsOut returns how clearly another pitch than a note's must rise for that to have been played in its place. Where
// no more than two partials say that the note is there, it is a faint trace of something else's: every played note of
// TestMissedAndExtraNotes shows three or more. On low strings all that rises stands out less.
func (n *note) standsOut() float64 {
	if n.found && !n.known() {
		return leastClearOverTrace
	}
	return leastClear
}

// strongest returns the key that rose most; −1 where none did.
func (p *pluckHeard) strongest() int { return slices.Index(p.rise[:], 1) }

// kin reports whether what rose most shares its partials with a key, lying
// octaves or octaves and fifths from it: then it may be that key over what rang on.
func (p *pluckHeard) kin(key float64) bool {
	off := p.strongest() - int(math.Round(key))
	return slices.Contains([]int{0, 12, 19, 24, 28, 31}, max(off, -off))
}

// rings reports whether the pitch of a note is still there from before, so that
// its pluck adds little.
func (r *reviewer) rings(n *note) bool {
	for i := len(r.notes) - 1; i >= 0; i-- {
		o := r.notes[i]
		if o.at > n.at-0.01 {
			continue
		}
		if o.at < n.at-3 {
			return false
		}
		if math.Abs(o.key-n.key) < 0.5 {
			return true
		}
	}
	return false
}

// path writes the way that the take went through the tab.
func (r *reviewer) path() {
	for i := range r.time.anchors {
		a := &r.time.anchors[i]
		g := &r.s.groups[a.group]
		r.out.Path = append(r.out.Path, Place{
			Seconds: a.at, PassIndex: g.passIndex, At: r.s.wants[g.wants[0]].at, Joined: i > 0 && r.time.anchors[i-1].stretch == a.stretch,
		})
	}
}

// writeNotes writes the notes.
func (r *reviewer) writeNotes() {
	offs := r.offsTold()
	for _, n := range r.notes {
		bar := r.s.groups[n.groupIndex].barIndex
		out := Note{
			BarNumber: r.s.tab.Tune.Bars[bar].Number, PassIndex: n.passIndex, At: n.want.at, Len: n.want.len, String: n.pluck.String, Fret: n.pluck.Fret,
			Wanted: pitch.Hz(n.want.hz), Key: n.key, Status: Missed, Onset: n.at, Late: math.NaN(), Cents: math.NaN(), CentsJust: math.NaN(),
			Spread: math.NaN(), SteelMM: math.NaN(), Doubt: math.NaN(), MMDoubt: math.NaN(), Glided: !n.begun, Slanted: n.stroke.Placement.Slanted(),
			Right: r.right != nil && r.right(n.want.at, n.pluck.String), Until: max(n.at, n.until), Meant: r.s.tuned[n.pluck.String-1],
		}
		j := r.a.onset[n.groupIndex]
		switch {
		case n.wrong:
			out.Status = Wrong
		case n.found, n.begun && j >= 0 && (n.single || n.shared || n.brief()), !n.begun:
			out.Status = Played
		}
		if n.begun && j >= 0 && out.Status != Missed {
			if i := r.time.before[n.groupIndex]; i >= 0 && r.time.anchors[i].group == n.groupIndex {
				out.Late = r.time.anchors[i].late
			}
		}
		if n.found {
			out.Cents, out.Scoop, out.Settles = n.cents, n.attack.scoop, n.attack.settles
			out.Doubt = math.Hypot(n.doubt, bodyPull)
			out.Vibrato, out.Width = n.vibrato.rate, n.vibrato.width
			for _, p := range n.curve {
				out.Curve = append(out.Curve, Moment{p.at, p.cents})
			}
			if n.spread >= 0 {
				out.Spread = n.spread
			}
			if off, ok := r.just(n); ok {
				out.CentsJust = n.cents - off
			}
			if n.pluck.Fret > 0 && n.pluck.Attack != tab.Harmonic {
				off := offs[n.pluck.String-1]
				out.SteelMM = r.place(n, off.Cents) - float64(r.s.g.X(n.pluck.Fret))
				if off.Told {
					// What the body pulls is a part of the tuning told, and taken off with it.
					out.MMDoubt = math.Hypot(n.doubt, off.fitted) / r.centsPerMM(n.pluck.Fret)
				}
			}
			out.Sure = n.sure() && n.held(25)
		}
		r.out.Notes = append(r.out.Notes, out)
	}
}

// place returns where the steel stops the string of a note, in millimetres from
// the nut: x = L·(1 − f_open/f), off being the cents that the string is out of
// tune. Harmonics above the steel count from what it stops.
func (r *reviewer) place(n *note, off float64) float64 {
	f := n.hz / float64(max(1, n.pluck.Node))
	return float64(r.s.tab.Rig.Scale) * (1 - n.open*factor(off)/f)
}

// just returns how far the just target of a note lies from equal temperament, by
// the chord that sounds there.
func (r *reviewer) just(n *note) (float64, bool) {
	c := r.chordAt(n.passIndex, n.want.at)
	if c == nil {
		return 0, false
	}
	above := pitch.Mod(int(math.Round(n.key))-c.Root.Semitone(), 12)
	for _, t := range c.Tones {
		if pitch.Mod(t.Interval.Semitones, 12) == above {
			cents := float64(c.Just(t, pitch.FiveLimit).Cents())
			return cents - 1200*math.Floor(cents/1200+1e-9) - 100*float64(above), true
		}
	}
	return 0, false
}

// chordAt returns the chord symbol in force at a place in sounding order; nil for
// none.
func (r *reviewer) chordAt(pass int, at tune.Ticks) *pitch.Chord {
	perf := r.s.perf
	for p := pass; p >= 0 && p > pass-4; p-- {
		b := &r.s.tab.Tune.Bars[perf.Passes[p].BarIndex]
		for i := len(b.Chords) - 1; i >= 0; i-- {
			if perf.Passes[p].Start+b.Chords[i].At <= at {
				return b.Chords[i].Chord
			}
		}
	}
	return nil
}

// From when on an onset that the tab doesn't have counts as a pluck. One as strong as the others
// (weakExtra) counts unless the strings end softer than they rang before it, by more than 3 dB
// (softestExtra), as when they are stopped. A softer one, or one on a ringing string that is softer after it, counts when
// a pitch rises by softestRise of what it does at the tab's own plucks, which no stopping brings about. Fitted on
// takes with extra plucks as loud as the others and 6 and 12 dB softer (TestMissedAndExtraNotes; with recorded strings,
// TestMissedAndExtraRecordedNotes in refcheck; TestNoiseIsNoPluck).
const (
	weakExtra    = 0.3 // the strength against the take's clear onsets
	softestExtra = 0.71
	softestRise  = 0.35
	leastClear   = 2.4

	leastClearOverTrace = 1.9 // the least at a wrong note of TestMissedAndExtraNotes is 2.0
)

// extras lists what was played beyond the tab.
func (r *reviewer) extras() {
	var rises []float64
	for j := range r.heard {
		if r.a.used[j] {
			rises = append(rises, r.heard[j].rose)
		}
	}
	soft := softestRise * median(rises)
	for j := range r.heard {
		h := &r.heard[j]
		if r.a.used[j] || r.a.again[j] || h.click || h.clear < leastClear || r.glides(h.At) {
			continue
		}
		if (h.Strength < weakExtra || h.gain < softestExtra) && h.rose < soft {
			continue
		}
		r.out.Extra = append(r.out.Extra, Extra{h.At, pitch.SpellKey(h.strongest(), r.s.tab.Tune.Bars[0].Key.Fifths())})
	}
}

// glides reports whether the steel is carrying a string at a time of the take.
func (r *reviewer) glides(at float64) bool {
	for _, n := range r.notes {
		if !n.begun && at > n.at-0.3 && at < n.at+0.08 {
			return true
		}
	}
	return false
}

// tempo works out the take's tempo in quarters a minute.
func (r *reviewer) tempo() {
	if len(r.time.anchors) < 4 {
		return
	}
	perf := r.s.perf
	first, last := r.notes[0], r.notes[len(r.notes)-1]
	quarters := float64(last.want.at-first.want.at) / float64(tune.Whole/4)
	if seconds := perf.Clock.Seconds(last.want.at) - perf.Clock.Seconds(first.want.at); seconds > 0 {
		r.out.Tempo = 60 * quarters / (seconds * r.time.pace())
	}
}
