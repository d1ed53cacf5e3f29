package accompany

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"lapwright/arrange"
	"lapwright/fault"
	"lapwright/feel"
	"lapwright/grip"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/tab"
	"lapwright/tune"
)

// Options are the wishes of the person who asks. The zero value leaves everything to
// the tune.
type Options struct {
	Feel *feel.Feel // nil is what is usual for the tune's meter and kind
	// Key moves the chords to another tonic; nil leaves them.
	Key *pitch.Class
	// Capo fixes the capo's fret; nil leaves it as the rig has it.
	Capo  *int
	Level grip.Level
	// Closed forbids open strings, Square forbids slants; Low and High bound the
	// frets, 0 is no bound.
	Closed, Square bool
	Low, High      int
}

// OptionsOf takes from the wishes for a tune what holds for its backup too: key, capo,
// player and where the steel may be.
func OptionsOf(o arrange.Options) Options {
	return Options{Key: o.Key, Capo: o.Capo, Level: o.Player(), Closed: o.Closed, Square: o.Square, Low: o.Low, High: o.High}
}

// Result is a part that accompanies.
type Result struct {
	*arrange.Result // its Tab.Tune is the part, swung as the feel is
	Feel            *feel.Feel
	Chords          []Chord  // in the order in which they are written
	Unread          []Unread // symbols that were passed over
}

// Chord is one chord of the part.
type Chord struct {
	BarNumber int        // as printed
	At        tune.Ticks // from the start of the bar
	Written   pitch.Chord
	Played    pitch.Chord // as the feel colours it
	Grip      []grip.Sounded
	Second    []grip.Sounded // the grip of its second half, where that is another; nil for none
	Bass      *grip.Sounded  // nil where the rig has none
	Missing   []string       // labels of third or seventh that nothing sounds
}

// Accompany makes a part for a rig from a tune's chord symbols; its melody, if it has
// one, is left to others. It fails when there are none, in free meter, and when the
// options contradict each other or the rig; when ctx ends it stops soon.
func Accompany(ctx context.Context, t *tune.Tune, r *rig.Rig, o Options) (*Result, error) {
	if len(t.Bars) == 0 {
		return nil, &fault.Fault{Msg: "the tune has no bars"}
	}
	if l := r.Check(); len(l) > 0 {
		return nil, l
	}
	if err := o.check(); err != nil {
		return nil, err
	}
	if o.Capo != nil && *o.Capo != r.Capo.At {
		var err error
		if r, err = r.WithCapo(*o.Capo); err != nil {
			return nil, &fault.Fault{Msg: err.Error()}
		}
	}
	semitones := 0
	if o.Key != nil {
		key := t.Bars[0].Key
		semitones = (o.Key.Semitone()-key.Tonic.Semitone()+18)%12 - 6
		if semitones != 0 {
			t = tune.Transpose(t, tune.Shift(key, semitones))
		}
	}
	if o.Feel == nil {
		o.Feel = feel.Usual(t)
	}
	perf, faults := tune.Checked(t)
	if len(faults) > 0 {
		return nil, faults
	}
	b, err := newBuilder(ctx, perf, r, &o)
	if err != nil {
		return nil, err
	}
	return b.result(ctx, semitones)
}

// check says what in the options can't be.
func (o *Options) check() error {
	switch {
	case !o.Level.Known():
		return &fault.Fault{Msg: fmt.Sprintf("there is no player level \"%d\"", o.Level)}
	case o.Low < 0, o.High < 0, o.High > 0 && o.Low > o.High:
		return &fault.Fault{Msg: fmt.Sprintf("the steel cannot be kept between frets \"%d\" and \"%d\"", o.Low, o.High)}
	}
	return nil
}

// builder makes one part.
type builder struct {
	perf   *tune.Performance
	rig    *rig.Rig
	o      *Options
	v      *voicer
	spells []*spell
	unread []Unread
	way    []*voicing
	played map[place]*struck // what each event of the part strikes
}

// place is where an event of the part begins.
type place struct {
	bar int
	at  tune.Ticks
}

func newBuilder(ctx context.Context, perf *tune.Performance, r *rig.Rig, o *Options) (*builder, error) {
	b := &builder{perf: perf, rig: r, o: o, played: map[place]*struck{}}
	var err error
	if b.spells, b.unread, err = spells(perf); err != nil {
		return nil, err
	}
	t := perf.Tune
	for i := 0; i < len(b.spells); i++ {
		if s := passing(t, b.spells[i], o.Feel); s != nil {
			b.spells = slices.Insert(b.spells, i+1, s)
		}
	}
	for _, s := range b.spells {
		if err := s.fill(t, o.Feel); err != nil {
			return nil, err
		}
	}
	if last := perf.Passes[len(perf.Passes)-1].BarIndex; once(perf.Passes, last) {
		if s := b.spells[len(b.spells)-1]; s.parts[len(s.parts)-1].bar == last {
			s.end()
		}
	}
	b.v = newVoicer(r, o, o.Feel, b.spells[0].seconds)
	choices := make([][]*voicing, len(b.spells))
	for i, s := range b.spells {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if choices[i] = b.v.of(s.written, t.Bars[s.parts[0].bar].Key, len(s.sounding()) > 1); len(choices[i]) == 0 {
			number, at := t.Place(s.parts[0].bar, s.parts[0].from)
			return nil, &fault.Fault{Bar: fmt.Sprint(number), Beat: at.String(), Msg: fmt.Sprintf("no grip within the limits asked for sounds \"%s\"", s.written)}
		}
	}
	b.way = b.v.leadAlike(choices)
	for i, s := range b.spells {
		s.chord = b.way[i].chord
		if b.way[i].second != nil {
			s.second = s.share()
		}
	}
	return b, nil
}

// once reports whether a written bar sounds once.
func once(passes []tune.Pass, bar int) bool {
	n := 0
	for _, p := range passes {
		if p.BarIndex == bar {
			n++
		}
	}
	return n == 1
}

func faultIn(number int, format string, a ...any) error {
	return &fault.Fault{Bar: fmt.Sprint(number), Msg: fmt.Sprintf(format, a...)}
}

// result writes the part and has it placed.
func (b *builder) result(ctx context.Context, semitones int) (*Result, error) {
	t, err := b.write()
	if err != nil {
		return nil, err
	}
	shape := b.shape(t)
	ao := arrange.Options{Level: b.o.Level, Closed: b.o.Closed, Square: b.o.Square, Low: b.o.Low, High: b.o.High,
		Touch: arrange.PlainTouch, In: &arrange.Setting{Capo: b.rig.Capo.At}, Shape: shape}
	res, err := arrange.Arrange(ctx, t, b.rig, ao)
	if err != nil {
		return nil, err
	}
	res.Transposed, res.Tab.Transposed = semitones, semitones
	b.damp(res)
	out := &Result{Result: res, Feel: b.o.Feel, Unread: b.unread}
	for i, s := range b.spells {
		number, at := t.Place(s.parts[0].bar, s.parts[0].from)
		c := Chord{BarNumber: number, At: at, Written: s.written, Played: s.chord, Grip: b.way[i].grip.notes, Missing: b.way[i].missing}
		if x := b.way[i].second; x != nil {
			c.Second = x.notes
		}
		if x := b.way[i].bass; x != nil {
			c.Bass = &x.notes[0]
		}
		out.Chords = append(out.Chords, c)
	}
	return out, nil
}

// damp marks what the hand must stop: what a rest follows, and what would ring into
// another chord. The last stroke rings out.
func (b *builder) damp(res *arrange.Result) {
	strokes := res.Tab.Strokes
	chordAt := map[place]bool{}
	for _, s := range b.spells {
		chordAt[place{s.parts[0].bar, s.parts[0].from}] = true
	}
	begin := make([]tune.Ticks, len(b.perf.Tune.Bars)) // of each bar, as written
	for i := range begin[1:] {
		begin[i+1] = begin[i] + b.perf.Tune.Bars[i].Len
	}
	for i := 1; i < len(strokes); i++ {
		s, next := &strokes[i-1], &strokes[i]
		rest := begin[next.BarIndex] + next.At - (begin[s.BarIndex] + s.At + s.Len)
		if rest <= 0 && !chordAt[place{next.BarIndex, next.At}] {
			continue
		}
		for k := range s.Plucks {
			s.Plucks[k].Damp = s.Plucks[k].Attack != tab.Chopped // the palm stops those
		}
	}
}

// GripWords says which strings are stopped where, the lowest first: "4@5 3@5 2@5" is
// strings 4, 3 and 2 at the fifth fret.
func GripWords(notes []grip.Sounded) string {
	var out []string
	for _, n := range slices.Backward(notes) {
		out = append(out, fmt.Sprintf("%d@%d", n.String, int(n.Fret+0.5)))
	}
	return strings.Join(out, " ")
}
