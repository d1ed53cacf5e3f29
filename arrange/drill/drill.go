package drill

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"lapwright/arrange"
	"lapwright/fault"
	"lapwright/grip"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/say"
	"lapwright/tab"
	"lapwright/tune"
)

// Caution stands with every exercise.
const Caution = "Stop when something hurts. Shoulders low, wrists straight, no more pressure than the string needs to sound clean; " +
	"five minutes of one exercise, then another, and a rest every twenty. Pain, tingling or numbness that comes back wants a doctor, not practice."

// Kind is one kind of exercise.
type Kind struct {
	Name  string
	Words string // what it trains
	// Start and Target are beats a minute to begin at and to reach.
	Start, Target int
	make          func(m *maker) error
}

var kinds = []Kind{
	{"scale", "the scale up and down an octave, one note a beat", 60, 120, (*maker).scale},
	{"thirds", "the scale in thirds, two strings at once", 50, 88, (*maker).thirds},
	{"sixths", "the scale in sixths, two strings at once", 50, 88, (*maker).sixths},
	{"arpeggio", "the chords on one, four and five, up and down", 60, 112, (*maker).arpeggio},
	{"roll", "low, middle, high round and round over one, four and five", 60, 120, (*maker).roll},
	{"shift", "from the tonic to each note of the scale and back on one string, by eye and ear", 50, 80, (*maker).shift},
	{"slant", "the steel square and leaned in turn over two strings", 40, 66, (*maker).slant},
	{"unison", "one pitch on two strings, open and stopped, until they do not beat", 40, 60, (*maker).unison},
	{"block", "short notes across the strings, each stopped before the next", 60, 112, (*maker).block},
	{"bender", "each pedal, lever and palm bender, in tune under a ringing note", 40, 60, (*maker).bender},
}

// Kinds returns the kinds of exercise in the order in which they are told.
func Kinds() []Kind { return append([]Kind(nil), kinds...) }

// Find returns the kind of a name.
func Find(name string) (Kind, error) {
	var names []string
	for _, k := range kinds {
		if k.Name == strings.ToLower(strings.TrimSpace(name)) {
			return k, nil
		}
		names = append(names, k.Name)
	}
	return Kind{}, fmt.Errorf("unknown exercise %q: it is one of %s", name, strings.Join(names, ", "))
}

// Drill is an exercise placed on a rig.
type Drill struct {
	*arrange.Result
	Kind Kind
}

// Make makes an exercise for a rig in a key, for a player, in the octave in which the
// least is lost, and of those the one that goes least beyond the 12th fret: from the lowest
// tonic of the upper two thirds of the strings, else one above or below. It fails where the
// rig has nothing to do it with, and when ctx ends.
func Make(ctx context.Context, k Kind, r *rig.Rig, key pitch.Key, level grip.Level) (*Drill, error) {
	if l := r.Check(); len(l) > 0 {
		return nil, l
	}
	if k.make == nil {
		return nil, &fault.Fault{Msg: fmt.Sprintf("there is no exercise \"%s\"", k.Name)}
	}
	m := &maker{ctx: ctx, kind: k, rig: r, key: key, level: level, lim: grip.LimitsOf(level)}
	var best *arrange.Result
	for _, from := range [...]struct {
		up   int
		over bool
	}{{0, false}, {0, true}, {12, false}, {12, true}, {-12, false}, {-12, true}} {
		if from.over && !m.paired {
			continue
		}
		m.low, m.over, m.events, m.result = m.tonic()+from.up, from.over, nil, nil
		err := k.make(m)
		if err == nil && m.result == nil {
			err = m.place(arrange.Options{})
		}
		switch {
		case err != nil && (best == nil || ctx.Err() != nil):
			return nil, err
		case err == nil && (best == nil || easier(m.result, best)):
			best = m.result
		}
		if len(best.Tab.Compromises) == 0 && beyond(best) == 0 {
			break
		}
	}
	return &Drill{best, k}, nil
}

// easyFret is the highest fret that an exercise goes to where it has the choice: beyond
// it the places lie close, and many necks have no marks. Common practice, no source.
const easyFret = 12

// easier reports whether a loses less than b, or as little and goes less far up the neck.
func easier(a, b *arrange.Result) bool {
	return cmp.Or(cmp.Compare(len(a.Tab.Compromises), len(b.Tab.Compromises)), cmp.Compare(beyond(a), beyond(b))) < 0
}

// beyond returns how many frets beyond easyFret an exercise goes.
func beyond(r *arrange.Result) float64 {
	_, high := r.Tab.Frets()
	return max(0, high-easyFret)
}

// maker makes one exercise.
type maker struct {
	ctx    context.Context
	kind   Kind
	rig    *rig.Rig
	key    pitch.Key
	level  grip.Level
	lim    grip.Limits
	low    int  // key number of the tonic that the exercise is built on
	over   bool // in pairs the tonic is the upper note
	paired bool // it goes in pairs
	events []event
	result *arrange.Result

	// Of an exercise for a place (At):
	title string
	only  int        // the string that a unison is for; 0 for all
	meter tune.Meter // four-four where it is free
	bar   tune.Ticks // a bar's length; 0 for that of the meter
	beat  tune.Ticks // that the speeds count; 0 for a quarter
}

// event is one thing to play: pitches, low to high, or a rest.
type event struct {
	length tune.Ticks
	keys   []int
	stops  []arrange.Played // as they must be played, in the order of keys; nil leaves it to the search
	short  bool
	glide  bool // into the next event
}

const (
	whole   = tune.Whole
	half    = tune.Whole / 2
	quarter = tune.Whole / 4
	eighth  = tune.Whole / 8
)

// tonic returns the lowest tonic that the upper two thirds of the strings have.
func (m *maker) tonic() int {
	n := len(m.rig.Strings)
	open := m.rig.OpenKey((2*n+2)/3, 0)
	return open + (m.key.Tonic.Semitone()-open%12+12)%12
}

// degree returns the key number of a step of the scale above the low tonic, 0 being it.
func (m *maker) degree(step int) int {
	steps := m.key.Scale().Steps
	n := len(steps)
	octave := step / n
	if step%n < 0 {
		octave--
	}
	return m.low + 12*octave + steps[step-octave*n].Semitones
}

func (m *maker) play(length tune.Ticks, steps ...int) {
	e := event{length: length}
	for _, s := range steps {
		e.keys = append(e.keys, m.degree(s))
	}
	m.events = append(m.events, e)
}

// tune writes the events in bars.
func (m *maker) tune() (*tune.Tune, [][]arrange.Played, error) {
	meter, length, beat, title := m.meter, m.bar, m.beat, m.title
	if meter.Len() == 0 && length == 0 {
		meter = tune.Meter{Beats: 4, Unit: 4}
	}
	length, beat = cmp.Or(length, meter.Len()), cmp.Or(beat, quarter)
	title = cmp.Or(title, fmt.Sprintf("%s in %s", say.Capital(m.kind.Name), m.key))
	t := &tune.Tune{Index: 1, Title: title, Subtitles: []string{fmt.Sprintf("begin at %d, reach %d", m.kind.Start, m.kind.Target)}, Voices: []tune.Voice{{ID: "1"}}, Words: []string{Caution}}
	var bars [][]event
	at := length
	for _, e := range m.events {
		if at == length {
			bars, at = append(bars, nil), 0
		}
		bars[len(bars)-1] = append(bars[len(bars)-1], e)
		if at += e.length; at > length {
			return nil, nil, fmt.Errorf("an exercise's note goes over the bar")
		}
	}
	if at < length {
		bars[len(bars)-1] = append(bars[len(bars)-1], event{length: length - at})
	}
	var strokes [][]arrange.Played
	for i, line := range bars {
		b := tune.Bar{Key: m.key, Meter: meter, Len: length}
		if i == 0 {
			b.Tempos = []tune.Tempo{{Beat: beat, PerMinute: int64(m.kind.Start) * 1000}}
		}
		written, err := tune.Notate(&b, lineOf(line, m.key.Fifths()))
		if err != nil {
			return nil, nil, err
		}
		b.Lines = [][]tune.Event{written}
		strokes = append(strokes, stopsIn(i, line, written)...)
		t.Bars = append(t.Bars, b)
	}
	t.Bars[len(t.Bars)-1].Right.Style = tune.FinalBarline
	tune.Number(t.Bars)
	if l := t.Check(); len(l) > 0 {
		return nil, nil, l
	}
	return t, strokes, nil
}

// lineOf returns a bar's events before they are given written values.
func lineOf(events []event, fifths int) []tune.Event {
	var out []tune.Event
	at := tune.Ticks(0)
	for _, e := range events {
		x := tune.Event{At: at, Len: e.length, Kind: tune.Rest}
		for _, key := range e.keys {
			x.Kind = tune.Sounding
			x.Notes = append(x.Notes, tune.Note{Name: pitch.SpellKey(key, fifths), Glide: e.glide})
		}
		if e.short {
			x.Marks = []tune.Mark{tune.Staccato}
		}
		out = append(out, x)
		at += e.length
	}
	return out
}

// stopsIn returns how the notes of bar i must be played, moment by moment as they are
// written: what is parted by ties is held on.
func stopsIn(i int, events []event, written []tune.Event) [][]arrange.Played {
	var out [][]arrange.Played
	k, end := 0, events[0].length
	for n := range written {
		w := &written[n]
		begun := n == 0
		for w.At >= end {
			k++
			end += events[k].length
			begun = true
		}
		if w.Kind != tune.Sounding {
			continue
		}
		var played []arrange.Played
		for j, p := range events[k].stops {
			p.Ref = tune.Ref{Bar: i, Event: n, Grace: -1, Note: j}
			if !begun {
				p.Attack = tab.Tied
			}
			played = append(played, p)
		}
		out = append(out, played)
	}
	return out
}

// place has the search place the exercise as it stands.
func (m *maker) place(o arrange.Options) error {
	t, strokes, err := m.tune()
	if err != nil {
		return err
	}
	o.Level, o.Touch, o.In = m.level, arrange.PlainTouch, &arrange.Setting{Capo: m.rig.Capo.At}
	if slices.ContainsFunc(m.events, func(e event) bool { return e.stops != nil }) {
		o.Shape = &arrange.Shape{Whole: true, Strokes: strokes}
	}
	m.result, err = arrange.Arrange(m.ctx, t, m.rig, o)
	return err
}

func (m *maker) refuse(format string, a ...any) error {
	return &fault.Fault{Msg: fmt.Sprintf(format, a...)}
}
