package midi

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"lapwright/fault"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/tab"
	"lapwright/tune"
)

const (
	// BendRange is the bend range written on member channels, in semitones: the
	// default of an MPE zone (M1-100-UM, section 2.4).
	BendRange = 48
	// BendSteps is how many bend messages a whole note's worth of glide takes:
	// one every 4.7 ms at 100 quarter notes a minute, under the 5 cents that
	// are audible for a two-fret glide over an eighth note.
	BendSteps = 512
	// FinestPPQ is the most ticks a quarter note the header can hold.
	FinestPPQ = 32767
	// usualPPQ is used when it holds every onset of the piece exactly.
	usualPPQ = 960
	// fallbackPPQ is used when nothing up to FinestPPQ is exact: 2^5·3^3·5·7.
	fallbackPPQ = 30240
)

// Velocities: a plain pluck, an accented one, and a note that is not plucked
// but hammered or pulled off. Chosen by ear.
const (
	plainVelocity  = 88
	accentVelocity = 112
	softVelocity   = 64
)

// A stroke without pitch is one key of the channel that General MIDI gives to drums:
// the side stick.
const (
	chopChannel = 10
	chopKey     = 37
)

// A swell is so many steps of the expression controller, from so soft.
const (
	swellSteps     = 24
	softExpression = 16
)

// Write returns a tab as a Standard MIDI File. It is Encode without the list of
// what was rounded.
func Write(t *tab.Tab) ([]byte, error) {
	b, _, err := Encode(t)
	return b, err
}

// WriteTune returns a tune as a Standard MIDI File. It is EncodeTune without the
// list of what was rounded.
func WriteTune(t *tune.Tune) ([]byte, error) {
	b, _, err := EncodeTune(t)
	return b, err
}

// Encode returns a tab as a Standard MIDI File and lists what the format could
// not hold exactly. It fails for a rig of more than 15 strings (an MPE zone
// has 15 members) and for a pitch outside the format's 128 keys.
func Encode(t *tab.Tab) ([]byte, fault.List, error) {
	n := len(t.Rig.Strings)
	if n > 15 {
		return nil, nil, &fault.Fault{Msg: fmt.Sprintf("the rig %q has %d strings, and one MIDI zone holds 15 channels", t.Rig.Name, n)}
	}
	perf := t.Performance()
	lines, wide, err := tabLines(t, perf)
	if err != nil {
		return nil, nil, err
	}
	faults := slices.Concat(perf.Faults, wide)
	if len(t.Added) > 0 {
		faults.Add(&fault.Fault{Msg: "what the player adds to the tune sounds, and nothing says that it is added"})
	}
	if len(t.LeftOut) > 0 {
		faults.Add(&fault.Fault{Msg: "the notes of the tune that are left out are not in the file"})
	}
	w := &writer{tune: t.Tune, passes: perf.Passes, lines: lines, program: program(t.Rig.Body), name: t.Rig.Title, losses: faults, clock: perf.Clock, speeds: perf.Clock.Speeds()}
	// Channel 10 means drums to players that know nothing of zones, so it is
	// left out of the zone's use as long as there are channels enough.
	for c := 2; len(w.channels) < n; c++ {
		if c != 10 || n > 14 {
			w.channels = append(w.channels, byte(c))
		}
	}
	return w.file()
}

// EncodeTune returns a tune as a Standard MIDI File and lists what the format
// could not hold exactly. Notes are spread over the channels of one MPE zone,
// so that each can glide by itself; more than 14 at once is an error.
func EncodeTune(t *tune.Tune) ([]byte, fault.List, error) {
	perf := tune.Perform(t)
	lines, lanes, wide, err := tuneLines(t)
	if err != nil {
		return nil, nil, err
	}
	faults := slices.Concat(perf.Faults, wide)
	w := &writer{tune: t, passes: perf.Passes, lines: lines, program: 25, name: t.Title, losses: faults, clock: perf.Clock, speeds: perf.Clock.Speeds()}
	for c := 2; len(w.channels) < max(lanes, 1); c++ {
		if c != 10 {
			w.channels = append(w.channels, byte(c))
		}
	}
	return w.file()
}

// program is the General MIDI program (from 0) nearest to a body: steel
// acoustic guitar, or clean electric guitar.
func program(b rig.Body) byte {
	if b.Electric() {
		return 27
	}
	return 25
}

// writer makes the bytes.
type writer struct {
	tune     *tune.Tune
	passes   []tune.Pass
	clock    *tune.Clock
	speeds   []tune.Speed
	lines    []strand
	channels []byte // of each lane, from 1
	program  byte
	name     string
	ppq      int64
	losses   fault.List
}

// message is one event of a track.
type message struct {
	at       int64
	from, to int32 // its bytes in the track's
	order    int8  // among events of the same tick: note-offs, then settings, then note-ons
}

const (
	orderOff int8 = iota
	orderSet
	orderOn
)

// track gathers messages.
type track struct {
	messages []message
	bytes    []byte
}

// put adds a message.
func (t *track) put(at int64, order int8, b ...byte) {
	from := len(t.bytes)
	t.bytes = append(t.bytes, b...)
	t.messages = append(roomy(t.messages), message{at, int32(from), int32(len(t.bytes)), order})
}

// roomy returns a list that has room for one more: where there is none for as many again, since a
// glide is hundreds of bends, and append makes room for a quarter more.
func roomy[T any](list []T) []T {
	if n := len(list); n == cap(list) {
		return slices.Grow(list, n+64)
	}
	return list
}

// meta adds a message of the file itself, of a kind.
func (t *track) meta(at int64, order int8, kind byte, b []byte) {
	t.put(at, order, append(appendVar([]byte{0xFF, kind}, uint32(len(b))), b...)...)
}

// ticks returns when a written time is heard, in ticks of the file.
func (w *writer) ticks(t tune.Ticks) int64 {
	t = w.clock.Swung(t)
	num := int64(t) / int64(tune.Whole) * 4 * w.ppq
	rest := int64(t) % int64(tune.Whole) * 4 * w.ppq
	return num + (2*rest+int64(tune.Whole))/(2*int64(tune.Whole))
}

func (w *writer) isExact(t tune.Ticks) bool {
	return int64(t)%int64(tune.Whole)*4*w.ppq%int64(tune.Whole) == 0
}

// choosePPQ finds the fewest ticks a quarter, from 960 up, that hold every
// onset and ending exactly.
func (w *writer) choosePPQ() {
	base := int64(1)
	add := func(t tune.Ticks) {
		if base <= 4*FinestPPQ {
			_, den := t.Fraction()
			base = pitch.LCM(base, den)
		}
	}
	for i := range w.lines {
		l := &w.lines[i]
		add(l.at)
		add(l.end)
		for _, m := range l.moves {
			add(m.to)
		}
	}
	for _, p := range w.passes {
		add(p.Start)
	}
	base /= pitch.GCD(base, 4)
	switch {
	case usualPPQ%base == 0:
		w.ppq = usualPPQ
	case base > FinestPPQ:
		w.ppq = fallbackPPQ
		w.listRounded()
	default:
		w.ppq = base * ((usualPPQ + base - 1) / base)
	}
}

// listRounded names each onset that does not fall on a tick.
func (w *writer) listRounded() {
	for i := range w.lines {
		l := &w.lines[i]
		if !w.isExact(l.at) {
			w.losses.Add(&fault.Fault{Bar: fmt.Sprint(l.barNumber), Msg: fmt.Sprintf("the note at %s from the start is rounded to the nearest of %d ticks a quarter", l.at, w.ppq)})
		}
	}
}

func (w *writer) file() ([]byte, fault.List, error) {
	w.choosePPQ()
	notes, err := w.notes()
	if err != nil {
		return nil, nil, err
	}
	out := append([]byte("MThd"), 0, 0, 0, 6, 0, 1, 0, 2, byte(w.ppq>>8), byte(w.ppq))
	var end tune.Ticks
	if n := len(w.passes); n > 0 {
		p := w.passes[n-1]
		end = p.Start + w.tune.Bars[p.BarIndex].Len
	}
	out = appendTrack(out, w.conductor(), w.ticks(end))
	out = appendTrack(out, notes, w.ticks(end))
	return out, w.losses, nil
}

// conductor is the first track: title, tempo, meter, key, parts.
func (w *writer) conductor() *track {
	out := &track{}
	meta := func(at int64, kind byte, b []byte) { out.meta(at, orderSet, kind, b) }
	if w.tune.Title != "" {
		meta(0, 0x03, []byte(w.tune.Title))
	}
	if w.tune.Composer != "" {
		meta(0, 0x01, []byte(w.tune.Composer))
	}
	lastMeter, lastKey := tune.Meter{}, pitch.Key{Mode: -9}
	for _, p := range w.passes {
		b := &w.tune.Bars[p.BarIndex]
		at := w.ticks(p.Start)
		if m := barMeter(b); m.Beats != lastMeter.Beats || m.Unit != lastMeter.Unit {
			lastMeter = m
			log := log2(m.Unit)
			if log < 0 || m.Beats > 255 {
				w.losses.Add(&fault.Fault{Bar: fmt.Sprint(b.Number), Msg: fmt.Sprintf("the meter %d/%d has no place in a MIDI file and is left out", m.Beats, m.Unit)})
			} else {
				// A MIDI clock is 1/24 of a quarter.
				clocks := min(int64(b.Meter.Beat())*96/int64(tune.Whole), 255)
				meta(at, 0x58, []byte{byte(m.Beats), byte(log), byte(max(clocks, 1)), 8})
			}
		}
		if b.Key != lastKey {
			lastKey = b.Key
			f := b.Key.Fifths()
			if f < -7 || f > 7 || b.Key.Signature != pitch.SignatureOf(f) {
				w.losses.Add(&fault.Fault{Bar: fmt.Sprint(b.Number), Msg: "the key signature mixes accidentals in its own way, which a MIDI file can't say, and is left out"})
			} else {
				mode := byte(0)
				if b.Key.Mode == pitch.Minor {
					mode = 1
				}
				meta(at, 0x59, []byte{byte(int8(f)), mode})
			}
		}
		if b.Part != "" {
			meta(at, 0x06, []byte(b.Part))
		}
	}
	last := int64(0)
	for _, t := range w.speeds {
		us := microseconds(t)
		if us > slowest {
			w.losses.Add(&fault.Fault{Msg: fmt.Sprintf("the tempo at %s from the start is slower than a MIDI file can say and is written as 3.58 quarter notes a minute", t.At)})
			us = slowest
		}
		if us != last {
			last = us
			meta(w.ticks(t.At), 0x51, []byte{byte(us >> 16), byte(us >> 8), byte(us)})
		}
	}
	slices.SortStableFunc(out.messages, func(a, b message) int { return cmp.Compare(a.at, b.at) })
	return out
}

// barMeter returns the meter that makes a bar as long as it is: its own, or, for a
// pickup and any other bar of another length, as many units as it holds, so
// that barlines stand where they should. A MIDI file knows no pickups.
func barMeter(b *tune.Bar) tune.Meter {
	if b.Len == b.Meter.Len() {
		return b.Meter
	}
	num, den := b.Len.Fraction()
	if u := int64(b.Meter.Unit); u > den && u%den == 0 {
		num, den = num*u/den, u
	}
	return tune.Meter{Beats: int(num), Unit: int(den)}
}

// slowest is the longest quarter note, in microseconds, that a tempo event holds.
const slowest = 0xFFFFFF

// microseconds returns the length of a quarter note, from 1 up.
func microseconds(t tune.Speed) int64 {
	num, den := t.Beat.Fraction() // the beat is num/den of a whole note
	us := 60e9 / float64(t.PerMinute) * float64(den) / float64(num) / 4
	return max(int64(math.Round(min(us, 1e12))), 1)
}

func log2(n int) int {
	for i := range 8 {
		if 1<<i == n {
			return i
		}
	}
	return -1
}

// secondsPerWhole returns how many seconds a whole note lasts at a time.
func (w *writer) secondsPerWhole(at tune.Ticks) float64 {
	now := w.speeds[0]
	for _, t := range w.speeds {
		if t.At <= at {
			now = t
		}
	}
	return 4 * float64(microseconds(now)) / 1e6
}

// notes is the second track.
func (w *writer) notes() (*track, error) {
	out := &track{}
	if w.name != "" {
		out.meta(0, orderOff, 0x03, []byte(w.name))
	}
	out.meta(0, orderOff, 0x01, []byte(exactLengths))
	rpn := func(ch, number, value byte) {
		out.put(0, orderOff, 0xB0|ch, 101, 0)
		out.put(0, orderOff, 0xB0|ch, 100, number)
		out.put(0, orderOff, 0xB0|ch, 6, value)
		if number == 0 {
			out.put(0, orderOff, 0xB0|ch, 38, 0)
		}
		out.put(0, orderOff, 0xB0|ch, 101, 127)
		out.put(0, orderOff, 0xB0|ch, 100, 127)
	}
	members := byte(0)
	if n := len(w.channels); n > 0 {
		members = w.channels[n-1] - 1
	}
	rpn(0, 6, members)
	out.put(0, orderOff, 0xC0, w.program)
	for _, c := range w.channels {
		rpn(c-1, 0, BendRange)
		out.put(0, orderOff, 0xC0|(c-1), w.program)
	}
	bent := make([]int, len(w.channels))
	for i := range bent {
		bent[i] = 8192
	}
	slices.SortStableFunc(w.lines, func(a, b strand) int { return cmp.Compare(a.at, b.at) })
	for i := range w.lines {
		if err := w.sound(out, &w.lines[i], bent); err != nil {
			return nil, err
		}
	}
	w.syllables(out)
	slices.SortStableFunc(out.messages, func(a, b message) int {
		return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.order, b.order))
	})
	return out, nil
}

// syllables adds the lyrics of the first voice as lyric events: in each pass
// of a bar the verse whose turn it is. A syllable whose word goes on ends in a
// hyphen (RP-017).
func (w *writer) syllables(out *track) {
	turn := make([]int, len(w.tune.Bars))
	for _, p := range w.passes {
		b := &w.tune.Bars[p.BarIndex]
		turn[p.BarIndex]++
		if len(b.Lines) == 0 {
			continue
		}
		for i := range b.Lines[0] {
			e := &b.Lines[0][i]
			for _, l := range e.Lyrics {
				if l.Verse != turn[p.BarIndex] || l.Text == "" {
					continue
				}
				text := l.Text
				if l.Hyphen {
					text += "-"
				}
				out.meta(w.ticks(p.Start+e.At), orderSet, 0x05, []byte(text))
			}
		}
	}
}

// sound writes one line.
func (w *writer) sound(out *track, l *strand, bent []int) error {
	ch := w.channels[l.lane] - 1
	note := math.Round(l.key)
	if note < pitch.MinKey || note > pitch.MaxKey {
		return &fault.Fault{Bar: fmt.Sprint(l.barNumber), Msg: fmt.Sprintf("the pitch with key number %g is outside the 128 keys of MIDI", l.key)}
	}
	at, end := w.ticks(l.at), w.ticks(l.end)
	if end <= at {
		end = at + 1
	}
	if l.chop {
		if !slices.Contains(w.channels, chopChannel) {
			out.put(at, orderOn, 0x90|(chopChannel-1), chopKey, l.velocity)
			out.put(end, orderOff, 0x80|(chopChannel-1), chopKey, 64)
		}
		return nil
	}
	value := func(semitones float64) int {
		return max(min(int(math.Round(8192+semitones*8192/BendRange)), 16383), 0)
	}
	bend := func(t int64, semitones float64) {
		v := value(semitones)
		if v != bent[l.lane] {
			bent[l.lane] = v
			out.put(t, orderSet, 0xE0|ch, byte(v&127), byte(v>>7))
		}
	}
	step := max(4*w.ppq/BendSteps, 1)
	ramp := func(from, to int64, a, b float64) {
		// However short, a glide is seen to be on the way.
		step := min(step, max((to-from)/4, 1))
		for t := from + step; t < to; t += step {
			// It must not seem to arrive before it does.
			if x := a + (b-a)*float64(t-from)/float64(to-from); value(x) != value(b) {
				bend(t, x)
			}
		}
		bend(to, b)
	}
	here := l.key - note
	bend(at, here+l.scoop)
	if l.scoop != 0 {
		ramp(at, at+max(w.ticks(l.at+l.scoopLen)-at, 1), here+l.scoop, here)
	}
	w.grow(out, l, ch)
	out.put(at, orderOn, 0x90|ch, byte(note), l.velocity)
	from, moves := l.at, l.moves
	for {
		until := l.end
		if len(moves) > 0 {
			until = moves[0].from
		}
		for _, v := range l.vibratos {
			w.vibrato(v, max(v.from, from), min(v.to, until), here, step, bend)
		}
		if len(moves) == 0 {
			break
		}
		m := moves[0]
		moves = moves[1:]
		ramp(w.ticks(m.from), w.ticks(m.to), here, m.key-note)
		here, from = m.key-note, m.to
	}
	out.put(end, orderOff, 0x80|ch, byte(note), 64)
	return nil
}

// grow opens the channel's expression controller (11) while a note swells.
func (w *writer) grow(out *track, l *strand, ch byte) {
	if l.swell == 0 {
		return
	}
	at, until := w.ticks(l.at), w.ticks(l.at+l.swell)
	for i := range int64(swellSteps) {
		out.put(at+(until-at)*i/swellSteps, orderSet, 0xB0|ch, 11, byte(softExpression+(127-softExpression)*i/swellSteps))
	}
	out.put(until, orderSet, 0xB0|ch, 11, 127)
}

// vibrato swings the pitch about its place between two times as tab.VibratoOf has it, and ends where
// it began.
func (w *writer) vibrato(v vibrato, from, to tune.Ticks, here float64, step int64, bend func(int64, float64)) {
	a, b := w.ticks(from), w.ticks(to)
	if b <= a {
		return
	}
	perTick := w.secondsPerWhole(v.from) / float64(4*w.ppq)
	begins, ends := w.ticks(v.from), w.ticks(v.to)
	swing := tab.VibratoOf(v.rig, v.pluck, float64(ends-begins)*perTick)
	swung := false
	for t := a + step; t < b; t += step {
		if x := swing.At(float64(t-begins)*perTick, float64(ends-t)*perTick); x != 0 {
			bend(t, here+float64(x)/100)
			swung = true
		}
	}
	if swung {
		bend(b, here)
	}
}

// appendTrack writes a track chunk: events with the time between them, no
// running status, and the end-of-track event no earlier than end.
func appendTrack(out []byte, t *track, end int64) []byte {
	out = slices.Grow(out, len(t.bytes)+3*len(t.messages)+16)
	out = append(out, "MTrk\x00\x00\x00\x00"...)
	start := len(out)
	at := int64(0)
	for _, e := range t.messages {
		out = appendDelta(out, e.at-at)
		out = append(out, t.bytes[e.from:e.to]...)
		at = e.at
	}
	out = appendDelta(out, max(end-at, 0))
	out = append(out, 0xFF, 0x2F, 0)
	n := len(out) - start
	out[start-4], out[start-3], out[start-2], out[start-1] = byte(n>>24), byte(n>>16), byte(n>>8), byte(n)
	return out
}

// appendVar writes a variable-length quantity, at most 28 bits.
func appendVar(out []byte, v uint32) []byte {
	for shift := 21; shift > 0; shift -= 7 {
		if v>>shift > 0 {
			out = append(out, 0x80|byte(v>>shift&127))
		}
	}
	return append(out, byte(v&127))
}

// maxDelta is the longest time between events that four bytes hold.
const maxDelta = 1<<28 - 1

// appendDelta writes the time before an event; a longer one than the format
// holds is broken up by empty text events.
func appendDelta(out []byte, d int64) []byte {
	for ; d > maxDelta; d -= maxDelta {
		out = append(appendVar(out, maxDelta), 0xFF, 0x01, 0)
	}
	return appendVar(out, uint32(d))
}

// Lost lists, by bar, what a MIDI file has no place for in a tune: a text for
// each kind, where it is first, as docs/formats/midi.md has it. What rounding
// and the bend range cost is told by Encode and EncodeTune.
func Lost(t *tune.Tune) fault.List {
	var out fault.List
	told := map[string]bool{}
	for i := range t.Bars {
		b := &t.Bars[i]
		first := func(there bool, msg string) {
			if there && !told[msg] {
				told[msg] = true
				out.Add(&fault.Fault{Bar: fmt.Sprint(b.Number), Msg: msg})
			}
		}
		first(len(b.Chords) > 0, "chord symbols have no place in a MIDI file and are left out")
		first(len(b.Texts) > 0, "words over the music have no place in a MIDI file and are left out")
		first(!t.Swing.Even(), "swung eighths are written as long as they sound")
		first(b.Left.Repeat+b.Right.Repeat+len(b.Endings)+len(b.Signs) > 0, "repeats, endings and signs are played out")
		for _, line := range b.Lines {
			for j := range line {
				e := &line[j]
				first(len(e.Graces) > 0, "graces are written as the short notes they are played as")
				first(e.Slurs > 0, "slurs have no place in a MIDI file and are left out")
				first(slices.ContainsFunc(e.Notes, func(n tune.Note) bool { return n.Chop }), "strokes without pitch are written as the drum channel's side stick")
				for _, m := range e.Marks {
					first(m != tune.Accent && m != tune.StrongAccent && m != tune.Swell, "marks other than accents and swells have no place in a MIDI file and are left out")
				}
				first(len(e.Lyrics) > 1, "of several verses only the one whose turn it is is written")
			}
		}
	}
	return out
}
