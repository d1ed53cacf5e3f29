package drill

import (
	"context"
	"fmt"
	"strings"

	"lapwright/arrange"
	"lapwright/fault"
	"lapwright/grip"
	"lapwright/pitch"
	"lapwright/rig"
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
// least is lost: from the lowest tonic of the upper two thirds of the strings, else one
// above or below. It fails where the rig has
// nothing to do it with, and when ctx ends.
func Make(ctx context.Context, k Kind, r *rig.Rig, key pitch.Key, level grip.Level) (*Drill, error) {
	if l := r.Check(); len(l) > 0 {
		return nil, l
	}
	if k.make == nil {
		return nil, &fault.Fault{Msg: fmt.Sprintf("there is no exercise \"%s\"", k.Name)}
	}
	m := &maker{ctx: ctx, kind: k, rig: r, key: key, level: level, lim: grip.LimitsOf(level)}
	var best *arrange.Result
	for _, up := range []int{0, 12, -12} {
		m.low, m.events, m.result = m.tonic()+up, nil, nil
		err := k.make(m)
		if err == nil && m.result == nil {
			err = m.place(arrange.Options{})
		}
		switch {
		case err != nil && (up == 0 || ctx.Err() != nil):
			return nil, err
		case err == nil && (best == nil || len(m.result.Tab.Compromises) < len(best.Tab.Compromises)):
			best = m.result
		}
		if len(best.Tab.Compromises) == 0 {
			break
		}
	}
	return &Drill{best, k}, nil
}

// maker makes one exercise.
type maker struct {
	ctx    context.Context
	kind   Kind
	rig    *rig.Rig
	key    pitch.Key
	level  grip.Level
	lim    grip.Limits
	low    int // key number of the tonic that the exercise is built on
	events []event
	result *arrange.Result
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

// tune writes the events in bars of four-four.
func (m *maker) tune() (*tune.Tune, [][]arrange.Played, error) {
	t := &tune.Tune{Index: 1, Title: fmt.Sprintf("%s in %s", strings.ToUpper(m.kind.Name[:1])+m.kind.Name[1:], m.key),
		Subtitles: []string{fmt.Sprintf("begin at %d, reach %d", m.kind.Start, m.kind.Target)}, Voices: []tune.Voice{{ID: "1"}}, Words: []string{Caution}}
	var bars [][]event
	at := whole
	for _, e := range m.events {
		if at == whole {
			bars, at = append(bars, nil), 0
		}
		bars[len(bars)-1] = append(bars[len(bars)-1], e)
		if at += e.length; at > whole {
			return nil, nil, fmt.Errorf("an exercise's note goes over the bar")
		}
	}
	if at < whole {
		bars[len(bars)-1] = append(bars[len(bars)-1], event{length: whole - at})
	}
	var strokes [][]arrange.Played
	for i, line := range bars {
		b := tune.Bar{Key: m.key, Meter: tune.Meter{Beats: 4, Unit: 4}, Len: whole}
		if i == 0 {
			b.Tempos = []tune.Tempo{{Beat: quarter, PerMinute: int64(m.kind.Start) * 1000}}
		}
		var out []tune.Event
		at := tune.Ticks(0)
		for _, e := range line {
			x := tune.Event{At: at, Len: e.length, Kind: tune.Rest}
			var played []arrange.Played
			for k, key := range e.keys {
				x.Kind = tune.Sounding
				x.Notes = append(x.Notes, tune.Note{Name: pitch.SpellKey(key, m.key.Fifths()), Glide: e.glide})
				if e.stops != nil {
					p := e.stops[k]
					p.Ref = tune.Ref{Bar: i, Event: len(out), Grace: -1, Note: k}
					played = append(played, p)
				}
			}
			if e.short {
				x.Marks = []tune.Mark{tune.Staccato}
			}
			if x.Kind == tune.Sounding {
				strokes = append(strokes, played)
			}
			out = append(out, x)
			at += e.length
		}
		written, err := tune.Notate(&b, out)
		if err != nil {
			return nil, nil, err
		}
		b.Lines = [][]tune.Event{written}
		t.Bars = append(t.Bars, b)
	}
	t.Bars[len(t.Bars)-1].Right.Style = tune.FinalBarline
	tune.Number(t.Bars)
	if l := t.Check(); len(l) > 0 {
		return nil, nil, l
	}
	return t, strokes, nil
}

// place has the search place the exercise as it stands.
func (m *maker) place(o arrange.Options) error {
	t, strokes, err := m.tune()
	if err != nil {
		return err
	}
	o.Level, o.Touch, o.In = m.level, arrange.PlainTouch, &arrange.Setting{Capo: m.rig.Capo.At}
	if m.events[0].stops != nil {
		o.Shape = &arrange.Shape{Whole: true, Strokes: strokes}
	}
	m.result, err = arrange.Arrange(m.ctx, t, m.rig, o)
	return err
}

func (m *maker) refuse(format string, a ...any) error {
	return &fault.Fault{Msg: fmt.Sprintf(format, a...)}
}
