package sound

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"lapwright/fault"
	"lapwright/inorder"
	"lapwright/pitch"
	"lapwright/sound/click"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// How the hands move, in seconds. Common practice where it can be heard on any
// record of the instruments; no printed source.
const (
	glideLeast     = 0.09  // a glide of no distance
	glidePerFret   = 0.018 // and for each fret more
	glideMost      = 0.35
	glideShare     = 0.7  // of the time since the last stroke, at most
	slowGlideShare = 0.9  // and of one that is drawn out
	benderTravel   = 0.06 // a bender from rest to its stop
	scoopMost      = 0.14 // a glide into a note, at most half of it
	hammerTravel   = 0.003
	liftTravel     = 0.004
	retuneTravel   = 0.001 // under a finger that has stopped the string
	pickBlock      = 0.010 // the finger is on the string before it plucks
	moveBlock      = 0.025 // strings are stopped before the bar leaves them
	brushEach      = 0.007 // from string to string when the thumb brushes more than three
	brushMost      = 0.035
	landing        = 0.012 // the bar is in place before the string is plucked
	reachMost      = 0.15  // it sets off this long before, at most half of the time there is
)

// How fast a stopped string dies, in seconds to −60 dB: by the finger about to
// pluck it, or under the palm.
const (
	blockT60 = 0.045
	palmT60  = 0.085
)

// palmRest is how long the palm stays, in seconds.
const palmRest = 0.2

// How long a pick takes to slip off the string, in seconds: a thumb pick is
// broad, finger picks are narrow. The brightness test pins what follows from it.
var pickSlip = [4]float64{tab.NoFinger: 0.00022, tab.Thumb: 0.00030, tab.Index: 0.00017, tab.Middle: 0.00018}

// Levels relative to an ordinary stroke.
const (
	hammerLevel   = 0.38
	pullLevel     = 0.45
	harmonicLevel = 0.8
	chopLevel     = 0.9
)

// A chop rings this long, in seconds, before the palm has it, and then decays by
// 60 dB in so long: too short for a pitch. Ours, by ear.
const (
	chopLasts = 0.004
	chopT60   = 0.02
)

// sitting is one stroke at the time it sounds.
type sitting struct {
	stroke      *tab.Stroke // as it is played then
	strokeIndex int         // into Tab.Strokes
	passIndex   int         // index into the unfolded bars
	at          float64
	end         float64
}

// score is what every part of the sounding machine has to do, in samples.
type score struct {
	parts      []stringPart // by string
	knocks     []knock
	landings   []knock // the steel laid down and lifted
	beats      []click.Beat
	steelTimes []SteelTime
	sittings   []sitting
	passes     []tune.Pass
	silent     []bool    // by pass: it is somebody else's turn; nil for none
	hushes     []float64 // when somebody else's turn comes, those ahead
	countIn    float64   // seconds before the music
	music      float64   // seconds of music
	end        float64   // when the last written note is over
}

// landLevel and liftLevel are the knocks of the steel laid on the strings and taken off, ours.
const (
	landLevel = 0.012
	liftLevel = 0.005
)

// knock is a hand or the bar touching the instrument.
type knock struct {
	at    int
	level float64
}

// never is when a note is to be stopped that rings on.
const never = -1.0

// ringing is what one string is doing while the score is written.
type ringing struct {
	key       float64 // what it sounds
	stop      float64 // where the bar and the benders have it: another for a harmonic
	sounding  bool
	since     float64 // when its last pluck was
	noteEnd   float64
	dampAt    float64 // when its note is to be stopped, or never
	gliding   bool    // its note goes on into the next pluck by a glide
	kept      bool    // its note goes on in the stroke in hand
	rests     bool    // a rest follows its note: everything is stopped with it
	lastSweep int     // sample at which the last sweep ends
}

// scribe writes a score from a tab.
type scribe struct {
	t      *tab.Tab
	o      Options
	g      *steel.Geometry
	v      voice
	perf   *tune.Performance
	clock  *tune.Clock // perf's
	drift  drift
	sc     *score
	hands  []ringing
	laid   steel.Placement // where the steel is
	before float64         // when the last stroke was
}

// seconds returns when a place in sounding order is heard.
func (w *scribe) seconds(at tune.Ticks) float64 {
	return w.sc.countIn + w.clock.Seconds(at)/w.o.Speed
}

func sampleAt(seconds float64) int { return int(math.Round(seconds * Rate)) }

// written returns the options with all that is left out filled in, and what they have a
// tab play.
func (o Options) written(t *tab.Tab) (Options, *score, error) {
	o, err := o.settled()
	if err != nil {
		return o, nil, err
	}
	sc, err := write(t, o)
	return o, sc, err
}

// write makes the score. o must be settled.
func write(t *tab.Tab, o Options) (*score, error) {
	if t == nil || t.Tune == nil || t.Rig == nil || len(t.Rig.Strings) == 0 {
		return nil, refuse("there is no tune on a rig to sound")
	}
	return writeAs(t, o, t.Performance())
}

// writeAs makes the score of a tab as it is performed.
func writeAs(t *tab.Tab, o Options, perf *tune.Performance) (*score, error) {
	v, ok := voices[t.Rig.Body]
	if !ok {
		return nil, refuse("no sound is known for a body of kind %q", t.Rig.Body)
	}
	w := &scribe{
		t: t, o: o, g: steel.New(t.Rig), v: v, perf: perf, clock: perf.Clock,
		drift: newDrift(noise(o.Seed*0x9e3779b97f4a7c15 + 0x1234567)), sc: &score{},
		hands: make([]ringing, len(t.Rig.Strings)),
	}
	w.sc.parts = make([]stringPart, len(t.Rig.Strings))
	for s := range w.hands {
		key := w.g.Key(steel.Placement{}, s+1, 0)
		w.hands[s] = ringing{key: key, stop: key, dampAt: never}
		w.sc.parts[s].first = key
	}
	w.sc.passes, w.sc.silent = perf.Passes, perf.Silent
	w.sc.countIn = click.LeadIn(perf, w.o.CountIn) / w.o.Speed
	w.sc.music = w.seconds(w.clock.Len()) - w.sc.countIn
	if total := w.sc.countIn + w.sc.music; !(total <= MaxSeconds) {
		return nil, &fault.Fault{
			Msg:  fmt.Sprintf("the piece lasts %.0f seconds at this speed, and %d is the most that is sounded", total, MaxSeconds),
			Hint: "sound fewer repeats, or a faster tempo",
		}
	}
	w.sc.beats = click.Write(perf, click.Options{CountIn: o.CountIn, Through: o.Click, On: o.ClickOn, Out: o.ClickOut}, w.sc.sampleOf(perf.Clock, o.Speed))
	if err := w.orderStrokes(); err != nil {
		return nil, err
	}
	w.before = w.sc.countIn
	w.sc.steelTimes = append(w.sc.steelTimes, SteelAt(w.g, 0, steel.Placement{}))
	for i := range w.sc.sittings {
		w.hush(w.sc.sittings[i].at)
		if err := w.play(&w.sc.sittings[i]); err != nil {
			return nil, err
		}
	}
	w.hush(math.Inf(1))
	w.stopDue(math.Inf(1), make([]*tab.Pluck, len(w.hands)))
	for s := range w.sc.parts {
		p := &w.sc.parts[s]
		inorder.Stable(p.actions, func(a, b action) int { return cmp.Compare(a.at, b.at) })
	}
	inorder.Stable(w.sc.landings, func(a, b knock) int { return cmp.Compare(a.at, b.at) })
	inorder.Stable(w.sc.knocks, func(a, b knock) int { return cmp.Compare(a.at, b.at) })
	return w.sc, nil
}

// hush stops what rings where somebody else's turn comes, up to a time.
func (w *scribe) hush(until float64) {
	for len(w.sc.hushes) > 0 && w.sc.hushes[0] <= until {
		n := sampleAt(w.sc.hushes[0])
		for s := range w.hands { // those too that only answer others
			a := &w.sc.parts[s].actions
			*a = append(*a, action{at: n, kind: damp, t60: palmT60})
			if h := &w.hands[s]; !h.sounding {
				*a = append(*a, action{at: n + sampleAt(palmRest), kind: lift, since: n})
			}
			w.hands[s].sounding, w.hands[s].dampAt, w.hands[s].gliding = false, never, false
		}
		w.sc.hushes = w.sc.hushes[1:]
	}
}

// orderStrokes puts the strokes in sounding order.
func (w *scribe) orderStrokes() error {
	byBar := make([][]int, len(w.t.Tune.Bars))
	for i := range w.t.Strokes {
		b := w.t.Strokes[i].BarIndex
		if b < 0 || b >= len(byBar) {
			return refuse("stroke %d stands in bar index %d, and the tune has %d bars", i+1, b, len(byBar))
		}
		byBar[b] = append(byBar[b], i)
	}
	w.sc.end = w.sc.countIn
	j := tab.NewJoiner(w.t, w.g, w.perf)
	for p, pass := range w.sc.passes {
		if w.perf.Silent != nil && w.perf.Silent[p] {
			w.sc.hushes = append(w.sc.hushes, w.seconds(pass.Start))
			continue
		}
		j.Enter(pass, byBar[pass.BarIndex])
		for _, i := range byBar[pass.BarIndex] {
			st := j.Stroke(&w.t.Strokes[i])
			s := sitting{stroke: st, strokeIndex: i, passIndex: p, at: w.seconds(pass.Start + st.At), end: w.seconds(pass.Start + st.At + st.Len)}
			if len(w.sc.sittings) == maxStrokes {
				return refuse("the piece has more than %d strokes, the most that are sounded", maxStrokes)
			}
			w.sc.sittings = append(w.sc.sittings, s)
			w.sc.end = max(w.sc.end, s.end)
		}
	}
	inorder.Stable(w.sc.sittings, func(a, b sitting) int { return cmp.Compare(a.at, b.at) })
	return nil
}

// fault makes a fault at a stroke.
func (w *scribe) fault(st *tab.Stroke, str int, format string, args ...any) error {
	return &fault.Fault{
		Bar: strconv.Itoa(w.t.Tune.Bars[st.BarIndex].Number), Beat: st.At.String(), Str: str, Msg: fmt.Sprintf(format, args...),
	}
}

// play writes what the hands do for one stroke.
func (w *scribe) play(si *sitting) error {
	st, at := si.stroke, si.at
	plucks := make([]*tab.Pluck, len(w.hands))
	keys := make([]float64, len(w.hands))
	picked := 0
	for i := range st.Plucks {
		p := &st.Plucks[i]
		if p.String < 1 || p.String > len(w.hands) {
			return w.fault(st, 0, "string %d is none of the %d there are", p.String, len(w.hands))
		}
		if plucks[p.String-1] != nil {
			return w.fault(st, p.String, "plucked twice in one stroke")
		}
		plucks[p.String-1] = p
		if p.Attack == tab.Picked {
			picked++
		}
	}
	for s := range w.hands {
		keys[s] = w.g.Key(st.Placement, s+1, st.Benders)
		if plucks[s] != nil {
			keys[s] = tab.Key(w.g, st, plucks[s])
		}
		if hz := pitch.Equal(keys[s], w.t.Rig.Reference); plucks[s] != nil && !(hz >= minHz && hz <= maxHz) {
			return w.fault(st, s+1, "a note of %.0f Hz is not between %d and %d", float64(hz), minHz, maxHz)
		}
	}
	w.stopDue(at, plucks)
	m := w.move(st, plucks, at)
	w.layBar(st, at, m)
	brushed := 0
	for s := len(w.hands) - 1; s >= 0; s-- { // the thumb comes from the low strings
		delay := 0.0
		if picked > 3 && plucks[s] != nil && plucks[s].Attack == tab.Picked {
			each := min(brushEach, brushMost/float64(picked-1), (si.end-at)/3/float64(picked-1))
			delay = each * float64(brushed)
			brushed++
		}
		w.onString(s, si, plucks[s], keys[s], m, delay)
	}
	w.before = at
	return nil
}

// move is how the bar, or a bender, gets from one stroke to the next.
type move struct {
	travel  float64 // seconds, ending at the stroke
	slides  bool    // the bar goes elsewhere
	carries bool    // and takes the sound of a string with it
}

// move works out how the bar (or a bender) comes to this stroke.
func (w *scribe) move(st *tab.Stroke, plucks []*tab.Pluck, at float64) move {
	m := move{travel: benderTravel, slides: st.Placement != w.laid}
	if m.slides {
		frets := max(math.Abs(st.Placement.FirstFret-w.laid.FirstFret), math.Abs(st.Placement.LastFret-w.laid.LastFret))
		m.travel = w.o.glides() * min(glideLeast+glidePerFret*frets, glideMost)
		for s := range w.hands {
			m.carries = m.carries || w.hands[s].carried(plucks[s])
		}
	}
	m.travel = min(m.travel, min(glideShare*w.o.glides(), slowGlideShare)*(at-w.before))
	return m
}

// carried reports whether a pluck is reached with the string still sounding and
// the bar on it.
func (h *ringing) carried(p *tab.Pluck) bool {
	return p != nil && h.sounding && (p.Attack == tab.Tied || p.Attack.Carried() || h.gliding)
}

// goesOn reports whether a pluck goes on from what the string sounds.
func (h *ringing) goesOn(p *tab.Pluck) bool {
	return h.carried(p) || p != nil && h.sounding && (p.Attack == tab.Hammered || p.Attack == tab.PulledOff)
}

// layBar notes where the bar goes for the picture of the neck, and its small
// noise when it lands.
func (w *scribe) layBar(st *tab.Stroke, at float64, m move) {
	if !m.slides {
		return
	}
	from, to := at-m.travel, at
	if !m.carries {
		gap := at - w.before
		to = at - min(landing, gap/4)
		from = to - min(reachMost, gap/2)
		if st.Placement.Kind != steel.Lifted {
			w.sc.landings = append(w.sc.landings, knock{max(0, sampleAt(to)), landLevel})
		}
		if w.laid.Kind != steel.Lifted {
			w.sc.landings = append(w.sc.landings, knock{max(0, sampleAt(from)), liftLevel})
		}
	}
	w.addSteelTime(from, w.laid)
	w.addSteelTime(to, st.Placement)
	w.laid = st.Placement
}

func (w *scribe) addSteelTime(at float64, p steel.Placement) {
	keys := w.sc.steelTimes
	at = max(at, keys[len(keys)-1].At)
	w.sc.steelTimes = append(keys, SteelAt(w.g, at, p))
}

// stopDue writes the damping that is owed before the time at, when plucks (by
// string, nil for none) are played.
func (w *scribe) stopDue(at float64, plucks []*tab.Pluck) {
	var due []int
	for s := range w.hands {
		h := &w.hands[s]
		h.kept = h.goesOn(plucks[s])
		if h.dampAt != never && (plucks[s] != nil || h.dampAt <= at) {
			due = append(due, s)
		}
	}
	// In the order of time: the palm lies on every string that is silent then.
	inorder.Stable(due, func(a, b int) int { return cmp.Compare(w.hands[a].dampAt, w.hands[b].dampAt) })
	for _, s := range due {
		h := &w.hands[s]
		if h.dampAt < at-0.001 || !h.kept {
			w.palm(s, min(h.dampAt, at))
		}
		h.dampAt = never
	}
}

// stop lays a hand on a string.
func (w *scribe) stop(s int, at, t60 float64) {
	h := &w.hands[s]
	if !h.sounding {
		return
	}
	h.sounding = false
	n := max(0, sampleAt(at))
	w.sc.parts[s].actions = append(w.sc.parts[s].actions, action{at: n, kind: damp, t60: t60})
	w.sc.knocks = append(w.sc.knocks, knock{n, 0.004})
}

// palm stops string s with the side of the hand, which for palmRest lies on every
// other string that no note is being heard on, and so on what they answered. At
// a rest it stops those too whose notes were left to ring.
func (w *scribe) palm(s int, at float64) {
	w.stop(s, at, palmT60)
	n := max(0, sampleAt(at))
	for o := range w.hands {
		h := &w.hands[o]
		if h.sounding && w.hands[s].rests && h.noteEnd <= at+0.005 && !h.gliding && !h.kept {
			w.stop(o, at, palmT60)
		} else if !h.sounding && o != s {
			a := &w.sc.parts[o].actions
			*a = append(*a, action{at: n, kind: damp, t60: palmT60}, action{at: n + sampleAt(palmRest), kind: lift, since: n})
		}
	}
}

// sweep moves string s to a key between two times.
func (w *scribe) sweep(s int, from, to, key float64, barred, scrapes bool) {
	h := &w.hands[s]
	lo := max(sampleAt(from), h.lastSweep)
	hi := max(sampleAt(to), lo+1)
	w.sc.parts[s].sweeps = append(w.sc.parts[s].sweeps, sweep{lo, hi, key, barred, scrapes})
	h.lastSweep = hi
	h.key = key
}

// sameKey is how close two keys are when nothing moved: a hundredth of a cent.
const sameKey = 1e-4

// movesTo reports whether a string comes to another key.
func (h *ringing) movesTo(key float64) bool { return math.Abs(key-h.key) > sameKey }

// onString writes what happens to one string at a stroke.
func (w *scribe) onString(s int, si *sitting, p *tab.Pluck, key float64, m move, delay float64) {
	h := &w.hands[s]
	at := si.at
	barred := si.stroke.Placement.Touches(s + 1)

	if p == nil {
		// A bar laid out of range on strings that are not played is no matter.
		if hz := pitch.Equal(key, w.t.Rig.Reference); math.Abs(key-h.stop) <= sameKey || hz > maxHz {
			return
		}
		// Under a bar that carries another string along this one goes as soon as
		// the bar sets off; else the bar jumps, and nothing rings under it then.
		leaves := moveBlock
		if m.carries {
			leaves = m.travel
		}
		// A note that is over is stopped before the bar leaves it. So is one that
		// has to be let go early; a bar that leans may touch up one that is held.
		if h.sounding && (h.noteEnd <= at+0.005 || !tab.SameStop(key, h.stop)) {
			w.stop(s, max(at-leaves, h.since), blockT60)
		}
		sounds := key
		if h.sounding {
			sounds += h.key - h.stop // a harmonic stays one
		}
		w.sweep(s, at-leaves, at, sounds, barred, false)
		h.stop = key
		return
	}
	h.stop = w.g.Key(si.stroke.Placement, s+1, si.stroke.Benders)
	moved := h.movesTo(key)

	// A tie into another pitch than the string has comes from elsewhere in the
	// piece, over a repeat: the note is begun.
	fromElsewhere := p.Attack == tab.Tied && !h.gliding && math.Abs(key-h.key) > 0.5
	switch {
	case p.Attack == tab.Tied && h.sounding && !fromElsewhere, p.Attack.Carried() && h.sounding:
		if moved {
			w.sweep(s, at-m.travel, at, key, barred, m.slides)
		}
	case p.Attack == tab.Hammered && h.sounding:
		w.sweep(s, at, at+hammerTravel, key, true, false)
		w.pluck(s, si, p, at, hammerLevel, 0.0005, false, barred)
	case p.Attack == tab.PulledOff && h.sounding:
		w.sweep(s, at, at+liftTravel, key, barred, false)
		w.pluck(s, si, p, at, pullLevel, 0.0004, false, barred)
	case p.Attack == tab.Chopped:
		w.chop(s, si, p, delay, barred)
		return
	default:
		w.freshPluck(s, si, p, key, m, delay, barred)
	}
	w.beginNote(s, si, p, delay)
}

// chop writes a stroke on a string that the palm lies on: what rang is stopped, and
// what is struck is over before it has a pitch.
func (w *scribe) chop(s int, si *sitting, p *tab.Pluck, delay float64, barred bool) {
	h := &w.hands[s]
	at := si.at + delay
	if h.sounding {
		w.stop(s, max(at-pickBlock, h.since), blockT60)
	}
	w.pluck(s, si, p, at, chopLevel, pickSlip[min(p.Finger, tab.Middle)], true, barred)
	h.sounding = true
	w.stop(s, at+chopLasts, chopT60)
	h.gliding, h.noteEnd, h.dampAt, h.rests = false, at, never, false
}

// freshPluck writes a note that is begun with the picking hand.
func (w *scribe) freshPluck(s int, si *sitting, p *tab.Pluck, key float64, m move, delay float64, barred bool) {
	h := &w.hands[s]
	at := si.at + delay
	if h.sounding {
		if h.gliding {
			w.sweep(s, si.at-m.travel, si.at, key, barred, m.slides)
		}
		early := pickBlock
		if h.movesTo(key) {
			early = moveBlock
		}
		w.stop(s, max(at-early, h.since+(at-h.since)/2), blockT60)
	}
	scoop := 0.0
	if p.Attack == tab.Picked || p.Attack.Carried() {
		scoop = max(p.Scoop, -p.Fret) // no farther down than the nut
	}
	w.sweep(s, at-retuneTravel, at, key+scoop, barred, false)
	if scoop != 0 {
		long := min(w.o.glides()*scoopMost, (si.end-si.at)/2)
		w.sweep(s, at, at+long, key, barred, true)
		from, to := si.stroke.Placement, si.stroke.Placement
		from.FirstFret += scoop
		from.LastFret += scoop
		if last := w.sc.steelTimes[len(w.sc.steelTimes)-1]; last.At <= at {
			w.addSteelTime(si.at, from)
			w.addSteelTime(si.at+long, to)
		}
	}
	level, slip := 1.0, pickSlip[min(p.Finger, tab.Middle)]
	if p.Attack == tab.Harmonic || p.Attack == tab.PalmHarmonic {
		level, slip, barred = harmonicLevel, 0.00045, p.Attack == tab.PalmHarmonic
	}
	w.pluck(s, si, p, at, level, slip, true, barred)
}

// pluck writes the stroke of the finger itself.
func (w *scribe) pluck(s int, si *sitting, p *tab.Pluck, at, level, slip float64, fresh, barred bool) {
	d := w.drift.next()
	h := strokingOf(max(0, min(1, strengthOf(w, si, p)+d.strength)))
	level *= h.level / math.Sqrt(d.place) // nearer the bridge a stroke is softer, and the hand makes up for half of it
	openPeriod := Rate / float64(pitch.Equal(float64(w.t.Rig.OpenKey(s+1, 0)), w.t.Rig.Reference))
	w.sc.parts[s].actions = append(w.sc.parts[s].actions, action{
		at: sampleAt(at), kind: pluck, level: level, width: slip * h.edge * d.edge * Rate, snap: h.snap, lean: d.lean, cents: d.cents,
		from: w.v.pick / float64(w.t.Rig.Scale) * openPeriod * h.place * d.place, fresh: fresh, barred: barred,
	})
	w.hands[s].since = at
}

// event finds the event of the tune that a pluck plays; nil when the Ref points
// nowhere.
func (w *scribe) event(r tune.Ref) *tune.Event {
	if w.t.Tune.Note(r) == nil || r.Grace >= 0 {
		return nil
	}
	return &w.t.Tune.Bars[r.Bar].Lines[r.Voice][r.Event]
}

// beginNote notes how long a note is to sound.
func (w *scribe) beginNote(s int, si *sitting, p *tab.Pluck, delay float64) {
	h := &w.hands[s]
	pass := w.sc.passes[si.passIndex]
	length := p.Len
	short := false
	if e := w.event(p.Ref); e != nil && slices.Contains(e.Marks, tune.Staccato) && !p.Glide && !e.Notes[p.Ref.Note].Tie {
		length, short = length/2, true
	}
	if p.Attack != tab.Tied && w.t.Tune.Swells(p.Ref) {
		from := si.at + delay
		w.sc.parts[s].swells = append(w.sc.parts[s].swells, swell{sampleAt(from), sampleAt(from + w.growth(si, p))})
	}
	h.sounding = true
	h.gliding = p.Glide
	h.noteEnd = max(w.seconds(pass.Start+si.stroke.At+length), si.at+delay)
	h.dampAt = never
	h.rests = w.restAfter(si, p)
	if p.Damp || short || h.rests {
		h.dampAt = h.noteEnd
	}
	if p.Vibrato {
		lo, hi := sampleAt(si.at+delay), sampleAt(h.noteEnd)
		v := w.sc.parts[s].wobbles
		if n := len(v); n > 0 && p.Attack == tab.Tied && v[n-1].to >= lo-1 {
			lo, p, v = v[n-1].from, v[n-1].pluck, v[:n-1]
		}
		w.sc.parts[s].wobbles = append(v, wobble{lo, hi, tab.VibratoOf(w.t.Rig, p, float64(hi-lo)/Rate), p})
	}
}

// growth returns how long a swell takes to be at its loudest, in seconds: half the
// note, and no longer than swellMost.
func (w *scribe) growth(si *sitting, p *tab.Pluck) float64 {
	start := w.sc.passes[si.passIndex].Start + si.stroke.At
	return min(swellMost, (w.seconds(start+p.Len)-w.seconds(start))/2)
}

// restAfter reports whether a rest is written after a note in its voice, with more
// music to come: a rest is silence. The last notes of a piece ring out.
func (w *scribe) restAfter(si *sitting, p *tab.Pluck) bool {
	if w.event(p.Ref) == nil || w.sc.sittings[len(w.sc.sittings)-1].at <= si.at {
		return false
	}
	line := w.t.Tune.Bars[p.Ref.Bar].Lines[p.Ref.Voice]
	if next := p.Ref.Event + 1; next < len(line) {
		return line[next].Kind == tune.Rest
	}
	if si.passIndex+1 >= len(w.sc.passes) {
		return false
	}
	lines := w.t.Tune.Bars[w.sc.passes[si.passIndex+1].BarIndex].Lines
	return p.Ref.Voice < len(lines) && len(lines[p.Ref.Voice]) > 0 && lines[p.Ref.Voice][0].Kind == tune.Rest
}

// swellMost is the longest that a swell takes, in seconds; common practice, no source.
const swellMost = 1.2

// maxStrokes bounds a piece: a quarter of an hour of 100 strokes a second.
const maxStrokes = 90_000
