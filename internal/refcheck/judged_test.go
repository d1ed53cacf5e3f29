package refcheck

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/notation/abc"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// passage is a piece of music on a rig with what a player accepts of its tab,
// and why. It is written down before any price is set to meet it: a passage is
// added or left out with its reason, and never made easier.
type passage struct {
	rule string
	name string
	why  string // "common practice, no source" where nothing else is said
	rig  string
	o    arrange.Options
	abc  string // our own music; for a tune of the witness books empty
	book string // else the first tune of this book that fits
	fits func(*tune.Tune) bool
	met  func(*reading) error // what is not accepted; nil when all of it is
}

// reading is a tab as a player reads it.
type reading struct {
	res   *arrange.Result
	notes []lead
	slow  bool // see slow
}

// lead is the highest note of a stroke.
type lead struct {
	bar, key, str, fret int
	benders             rig.BenderSet
	open                bool
	joined              bool // begun without a pluck: glided, hammered or pulled
	held                bool // tied on
	grace               bool
	slurred             bool // under a slur of the source, and not its first note
	slanted             bool
	finger              tab.Finger
	seconds             float64 // until the next stroke
	length              float64 // how long it lasts as written
	hand                float64 // the fret under the steel, −1 for a lifted one
}

// read makes a reading of a result.
func read(res *arrange.Result) *reading {
	out := &reading{res: res, slow: slow(res.Tab.Tune)}
	t := res.Tab
	g := steel.New(t.Rig)
	perf := t.Performance()
	slurs := slurredBy(t.Tune)
	for i := range t.Strokes {
		s := &t.Strokes[i]
		best := -1
		for j := range s.Plucks {
			if best < 0 || tab.Key(g, s, &s.Plucks[j]) > tab.Key(g, s, &s.Plucks[best]) {
				best = j
			}
		}
		if best < 0 {
			continue
		}
		p := &s.Plucks[best]
		l := lead{
			bar: t.Tune.Bars[s.BarIndex].Number, key: int(math.Round(tab.Key(g, s, p))), str: p.String, fret: int(math.Round(p.Fret)),
			benders: s.Benders, open: p.Fret == 0, held: p.Attack == tab.Tied, grace: s.Grace, slanted: s.Placement.Slanted(), finger: p.Finger,
			joined: p.Attack.Carried() || p.Attack == tab.Hammered || p.Attack == tab.PulledOff,
			length: perf.Seconds(s.BarIndex, s.At, p.Len), hand: -1, slurred: p.Ref.Grace < 0 && slurs[[3]int{p.Ref.Bar, p.Ref.Voice, p.Ref.Event}],
		}
		if s.Placement.Kind != steel.Lifted {
			l.hand = (s.Placement.FirstFret + s.Placement.LastFret) / 2
		}
		l.seconds = l.length
		if i+1 < len(t.Strokes) && t.Strokes[i+1].BarIndex == s.BarIndex {
			l.seconds = perf.Seconds(s.BarIndex, s.At, t.Strokes[i+1].At-s.At)
		}
		out.notes = append(out.notes, l)
	}
	return out
}

// slurredBy returns the events (bar, voice, event) under a slur that is not begun there.
func slurredBy(t *tune.Tune) map[[3]int]bool {
	out := map[[3]int]bool{}
	for v := range t.Voices {
		open := 0
		for b := range t.Bars {
			for e := range t.Bars[b].Lines[v] {
				ev := &t.Bars[b].Lines[v][e]
				out[[3]int{b, v, e}] = open > 0
				open += ev.Slurs - ev.SlurEnds
			}
		}
	}
	return out
}

// slow tells slow tunes from quick ones by what a reader of the page goes by, and
// apart from how the program does it: airs, hymns, songs, ballads and waltzes are
// slow, and of the rest those with a written tempo under 80 quarter notes a minute.
func slow(t *tune.Tune) bool {
	for _, w := range []string{"air", "hymn", "song", "ballad", "waltz", "lament", "carol"} {
		if strings.Contains(strings.ToLower(t.Rhythm), w) {
			return true
		}
	}
	if all := t.Bars[0].Tempos; len(all) > 0 {
		return all[0].PerMinute*int64(all[0].Beat) < 80_000*int64(tune.Whole/4)
	}
	return t.Bars[0].Meter.Beats == 3 && t.Bars[0].Meter.Unit == 4
}

// all joins what several demands say.
func all(demands ...func(*reading) error) func(*reading) error {
	return func(r *reading) error {
		for _, d := range demands {
			if err := d(r); err != nil {
				return err
			}
		}
		return nil
	}
}

// between demands that stopped notes lie between two frets.
func between(low, high int) func(*reading) error {
	return func(r *reading) error {
		for _, n := range r.notes {
			if !n.open && (n.fret < low || n.fret > high) {
				return fmt.Errorf("bar %d: fret %d", n.bar, n.fret)
			}
		}
		return nil
	}
}

// onStrings demands that the melody lies on strings up to last.
func onStrings(last int) func(*reading) error {
	return func(r *reading) error {
		for _, n := range r.notes {
			if n.str > last {
				return fmt.Errorf("bar %d: string %d", n.bar, n.str)
			}
		}
		return nil
	}
}

// asWritten demands the written octave.
func asWritten(r *reading) error {
	if r.res.Transposed != 0 {
		return fmt.Errorf("moved by %d semitones", r.res.Transposed)
	}
	return nil
}

// closed demands that at most a share of the notes is open.
func closed(share float64) func(*reading) error {
	return func(r *reading) error {
		n := 0
		for _, l := range r.notes {
			if l.open {
				n++
			}
		}
		if float64(n) > share*float64(len(r.notes)) {
			return fmt.Errorf("%d of %d notes on open strings", n, len(r.notes))
		}
		return nil
	}
}

// someOpen demands open strings.
func someOpen(least int) func(*reading) error {
	return func(r *reading) error {
		n := 0
		for _, l := range r.notes {
			if l.open {
				n++
			}
		}
		if n < least {
			return fmt.Errorf("only %d notes on open strings", n)
		}
		return nil
	}
}

// homeShare demands that a share of the stopped notes lies at one fret.
func homeShare(fret int, share float64) func(*reading) error {
	return func(r *reading) error {
		at, stopped := 0, 0
		for _, l := range r.notes {
			if !l.open {
				stopped++
				if l.fret == fret {
					at++
				}
			}
		}
		if stopped == 0 || float64(at) < share*float64(stopped) {
			return fmt.Errorf("%d of %d stopped notes at fret %d", at, stopped, fret)
		}
		return nil
	}
}

// stillSteel demands one place of the steel for all of it, and nothing open.
func stillSteel(r *reading) error {
	for _, l := range r.notes {
		if l.open || math.Abs(l.hand-r.notes[0].hand) > 1e-9 {
			return fmt.Errorf("bar %d: fret %d after %d", l.bar, l.fret, r.notes[0].fret)
		}
	}
	return nil
}

// longOpen counts long notes (0.9 s or more) and those of them on open strings.
func (r *reading) longOpen() (open, long int) {
	for _, l := range r.notes {
		if l.length >= 0.9 && !l.held {
			long++
			if l.open {
				open++
			}
		}
	}
	return open, long
}

// longStopped demands that at most one long note in ten is open.
func longStopped(r *reading) error {
	if open, long := r.longOpen(); long == 0 || 10*open > long {
		return fmt.Errorf("%d of %d long notes on open strings", open, long)
	}
	return nil
}

// joinedSteps counts the steps of one to three semitones on one string, plucked
// or joined, and those joined that no slur asks for.
func (r *reading) joinedSteps() (joined, steps int) {
	for i := 1; i < len(r.notes); i++ {
		a, b := &r.notes[i-1], &r.notes[i]
		if d := max(a.key-b.key, b.key-a.key); a.str != b.str || d < 1 || d > 3 || a.grace || b.grace || b.held || b.slurred {
			continue
		}
		steps++
		if b.joined {
			joined++
		}
	}
	return joined, steps
}

// someJoined demands that between a fifth and three fifths of the steps on one
// string are joined, and never three notes running.
func someJoined(r *reading) error {
	running := 0
	for _, l := range r.notes {
		if running++; !l.joined || l.slurred {
			running = 0
		}
		if running >= 3 {
			return fmt.Errorf("bar %d: three notes running are joined", l.bar)
		}
	}
	joined, steps := r.joinedSteps()
	if steps == 0 || 5*joined < steps || 5*joined > 3*steps {
		return fmt.Errorf("%d of %d steps on one string are joined", joined, steps)
	}
	return nil
}

// gracesJoined demands that nine graces in ten and their notes are one pluck on
// one string.
func gracesJoined(r *reading) error {
	one, all := r.graces()
	if all == 0 || 10*one < 9*all {
		return fmt.Errorf("%d of %d graces are one pluck with their note", one, all)
	}
	return nil
}

func (r *reading) graces() (one, all int) {
	for i := 1; i < len(r.notes); i++ {
		a, b := &r.notes[i-1], &r.notes[i]
		if !a.grace || b.grace {
			continue
		}
		all++
		if a.str == b.str && b.joined {
			one++
		}
	}
	return one, all
}

// slursJoined demands that every slurred note is reached without a pluck.
func slursJoined(r *reading) error {
	n := 0
	for i := 1; i < len(r.notes); i++ {
		if l := &r.notes[i]; l.slurred && l.key != r.notes[i-1].key {
			n++
			if !l.joined || l.str != r.notes[i-1].str {
				return fmt.Errorf("bar %d: a slurred note is plucked on string %d after string %d", l.bar, l.str, r.notes[i-1].str)
			}
		}
	}
	if n == 0 {
		return fmt.Errorf("no slur is played")
	}
	return nil
}

// bends demands that slurred notes are bent: a bender moves and the steel doesn't.
func bends(r *reading) error {
	for i := 1; i < len(r.notes); i++ {
		a, b := &r.notes[i-1], &r.notes[i]
		if b.slurred && (b.benders == a.benders || a.hand != b.hand || a.str != b.str || !b.joined) {
			return fmt.Errorf("bar %d: string %d fret %d after string %d fret %d, benders %b after %b, joined %t", b.bar, b.str, b.fret, a.str, a.fret, b.benders, a.benders, b.joined)
		}
	}
	return nil
}

// benderMoves demands that benders move at least so often while the steel lies still.
func benderMoves(least int) func(*reading) error {
	return func(r *reading) error {
		n := 0
		ss := r.res.Tab.Strokes
		for i := 1; i < len(ss); i++ {
			if ss[i].Benders != ss[i-1].Benders {
				n++
			}
			if ss[i].Placement.FirstFret != ss[0].Placement.FirstFret {
				return fmt.Errorf("the steel goes from fret %g to %g", ss[0].Placement.FirstFret, ss[i].Placement.FirstFret)
			}
		}
		if n < least {
			return fmt.Errorf("benders move %d times", n)
		}
		return nil
	}
}

// line counts, between neighbouring stopped notes, the moves of more than two
// frets against the melody; and how often a note above the fourth fret is
// followed by an open string and by the same fret again.
func (r *reading) line() (against, steps, back int) {
	for i := 1; i < len(r.notes); i++ {
		a, b := &r.notes[i-1], &r.notes[i]
		if a.open || b.open || a.hand < 0 || b.hand < 0 || b.held {
			continue
		}
		steps++
		if moved := b.hand - a.hand; math.Abs(moved) > 2 && moved*float64(b.key-a.key) < 0 {
			against++
		}
	}
	for i := 2; i < len(r.notes); i++ {
		a, b, c := &r.notes[i-2], &r.notes[i-1], &r.notes[i]
		if b.open && a.fret > 4 && a.fret == c.fret {
			back++
		}
	}
	return against, steps, back
}

// smooth demands a line of the steel that follows the melody.
func smooth(r *reading) error {
	if against, _, back := r.line(); against > 0 || back > 0 {
		return fmt.Errorf("%d moves of more than two frets against the melody, %d times up the neck, open and back", against, back)
	}
	return nil
}

// alternates demands that no finger plays twice running in under a third of a
// second, but for one stroke in twenty.
func alternates(r *reading) error {
	again := 0
	for i := 1; i < len(r.notes); i++ {
		a, b := &r.notes[i-1], &r.notes[i]
		if a.seconds < 1.0/3 && a.finger != tab.NoFinger && a.finger == b.finger {
			again++
		}
	}
	if 20*again > len(r.notes) {
		return fmt.Errorf("a finger is used again at once %d times in %d notes", again, len(r.notes))
	}
	return nil
}

// rolls demands that at least so many notes lie in rolls.
func rolls(least int) func(*reading) error {
	return func(r *reading) error {
		n := 0
		for _, roll := range r.res.Rolls() {
			n += roll.Strokes
		}
		if n < least {
			return fmt.Errorf("%d notes in rolls", n)
		}
		return nil
	}
}

// slants demands slants and no note lost.
func slants(least, most int) func(*reading) error {
	return func(r *reading) error {
		n, _ := r.res.Tab.Slants()
		if n < least || n > most || len(r.res.Tab.Compromises) > 0 {
			return fmt.Errorf("%d slants, %d compromises", n, len(r.res.Tab.Compromises))
		}
		return nil
	}
}

// judgedFloor is how many passages of each rule are met. It is raised when prices
// improve and never lowered.
var judgedFloor = map[string]int{
	"touch": 8, "register": 8, "long notes": 7, "kind of instrument": 8, "benders": 5, "line of the steel": 4, "picking hand": 5, "slants": 3,
}

// TestJudgedPassages arranges passages that were judged before the prices were
// set, and counts how many come out as players accept them.
func TestJudgedPassages(t *testing.T) {
	books := tuneBooks(t)
	met, total, fromBooks := map[string]int{}, map[string]int{}, 0
	names := map[string]bool{}
	for i := range judged {
		p := &judged[i]
		if names[p.name] || p.why == "" || (p.abc == "") == (p.book == "") {
			t.Fatalf("%q is there twice, or without a reason or music", p.name)
		}
		names[p.name] = true
		in := p.music(t, books)
		if p.book != "" {
			fromBooks++
		}
		r := rigtest.Builtin(t, p.rig)
		res, err := arrange.Arrange(t.Context(), in, r, p.o)
		if err != nil {
			t.Fatalf("%s: %v", p.name, err)
		}
		total[p.rule]++
		if err := p.met(read(res)); err != nil {
			t.Logf("%s: %s (%s on %s): %v", p.rule, p.name, in.Title, p.rig, err)
		} else {
			met[p.rule]++
		}
	}
	sum, of := 0, 0
	for _, rule := range slices.Sorted(maps.Keys(total)) {
		floor, ok := judgedFloor[rule]
		t.Logf("%s: %d of %d", rule, met[rule], total[rule])
		if !ok || total[rule] < 4 || met[rule] < floor {
			t.Errorf("%s: %d of %d passages are met, and %d were", rule, met[rule], total[rule], floor)
		}
		sum, of = sum+met[rule], of+total[rule]
	}
	t.Logf("all: %d of %d, %d of them from the books", sum, of, fromBooks)
	if 10*sum < 9*of {
		t.Errorf("%d of %d passages are met; nine in ten are to be", sum, of)
	}
	if len(total) != len(judgedFloor) || 3*fromBooks < of {
		t.Errorf("%d rules, and %d of %d passages from the books", len(total), fromBooks, of)
	}
}

// music returns a passage's tune.
func (p *passage) music(t *testing.T, books map[string][]*tune.Tune) *tune.Tune {
	t.Helper()
	if p.book != "" {
		for _, in := range books[p.book] {
			if p.fits(in) {
				return in
			}
		}
		t.Fatalf("%s: no tune of %s fits", p.name, p.book)
	}
	tunes, warnings, err := abc.Read([]byte("X:1\nT:"+p.name+"\n"+p.abc), p.name)
	if err != nil || len(warnings) > 0 {
		t.Fatalf("%s: %v %v", p.name, err, warnings)
	}
	return tunes[0]
}
