package band

import (
	"fmt"

	"lapwright/fault"
	"lapwright/feel"
	"lapwright/pitch"
	"lapwright/sound"
	"lapwright/sound/hall"
	"lapwright/tab"
	"lapwright/tune"
)

// Backing is a bass, a rhythm guitar and a brush or shaker that play from a tune's chord symbols in a feel
// (sound.Options.Band).
type Backing struct {
	Feel *feel.Feel
	// Guessed names the chords that were guessed, where the tune has no symbols; "" where it has.
	Guessed string

	chords   *harmony
	voicings map[spot]*voicing
}

// NewBacking prepares what is played with a tab; a nil feel is what is usual for its meter and kind. The error is a
// tune that has no beat to keep.
func NewBacking(t *tab.Tab, f *feel.Feel) (*Backing, error) {
	tn := t.Tune
	if len(tn.Bars) == 0 {
		return nil, &fault.Fault{Msg: "the tune has no bars"}
	}
	if f == nil {
		f = feel.Usual(tn)
	}
	if err := keeps(f, tn); err != nil {
		return nil, err
	}
	p := t.Performance()
	b := &Backing{Feel: f, chords: harmonyOf(p)}
	b.voicings = voice(p, b.chords.stretches(p))
	if b.chords.guessed {
		b.Guessed = b.chords.words()
	}
	return b, nil
}

// keeps returns why a feel has no figure for a bar of a tune.
func keeps(f *feel.Feel, t *tune.Tune) error {
	for i := range t.Bars {
		if _, err := f.In(t.Bars[i].Meter); err != nil {
			number, _ := t.Place(i, 0)
			return &fault.Fault{Bar: fmt.Sprint(number), Msg: err.Error()}
		}
	}
	return nil
}

// Plays reports whether a tune has what a band goes by: chord symbols, and a beat in every bar.
func Plays(t *tune.Tune) bool {
	symbols := false
	for i := range t.Bars {
		for _, c := range t.Bars[i].Chords {
			symbols = symbols || c.Chord != nil
		}
	}
	return symbols && keeps(feel.Usual(t), t) == nil
}

// FromSymbols prepares what plays along by a tune's chord symbols, in the feel that is usual; nil when it has none, or no beat.
func FromSymbols(t *tab.Tab) (*Backing, error) {
	if !Plays(t.Tune) {
		return nil, nil
	}
	return NewBacking(t, nil)
}

// Swung returns the tab as it is performed in the feel: its eighths are parted as the feel parts them, for
// lead, click and backing alike. A tune that says itself how it swings stays, and so does the tab that is given.
func (b *Backing) Swung(t *tab.Tab) *tab.Tab {
	if b.Feel.Swing.Even() || !t.Tune.Swing.Even() {
		return t
	}
	out, of := *t, *t.Tune
	of.Swing = b.Feel.Swing
	out.Tune, out.Performed = &of, nil
	return &out
}

// Words tells what plays.
func (b *Backing) Words() string {
	words := b.Feel.Name
	if !b.Feel.Swing.Even() {
		words += ", " + b.Feel.Swing.Words()
	}
	if b.Guessed != "" {
		words += "; there are no chord symbols, so the chords are guessed from the melody: " + b.Guessed
	}
	return words
}

// Levels and places, ours: the backing lies 6 LU under the lead (TestBackingLevels), bass in the middle, guitar and brush
// to the sides.
const (
	bassLevel   = 0.62
	guitarLevel = 0.3
	brushLevel  = 0.5
	guitarPlace = -0.35
	brushPlace  = 0.3
	roomLevel   = 0.12
)

// Begin implements sound.Band.
func (b *Backing) Begin(t *tab.Tab, o sound.Options) (sound.Players, error) {
	a4 := t.Rig.Reference
	if a4 == 0 {
		a4 = pitch.StandardA
	}
	p := &players{b: b, guitar: sound.NewFretted(sound.BandGuitar, a4, o.Seed+11), bass: sound.NewFretted(sound.BandBass, a4, o.Seed+12), brush: newBrush(o.Seed + 13)}
	if !o.Dry {
		p.room = hall.New(roomLevel)
	}
	return p, nil
}

// players are the three at work.
type players struct {
	b            *Backing
	guitar, bass *sound.Fretted
	brush        *brush
	room         *hall.Room
	sides        [2][]float64
}

// Play implements sound.Players.
func (p *players) Play(perf *tune.Performance, at func(tune.Ticks) int, from, now int) {
	sc := p.b.write(perf, at)
	p.guitar.Play(sc.guitar, from, now)
	p.bass.Play(sc.bass, from, now)
	p.brush.play(sc.brush, from, now)
}

// Add implements sound.Players.
func (p *players) Add(left, right []float64) {
	for c := range p.sides {
		p.sides[c] = append(p.sides[c][:0], left...)
		clear(p.sides[c])
	}
	l, r := p.sides[0], p.sides[1]
	p.bass.Add(l, r, bassLevel, bassLevel)
	toLeft, toRight := sound.Placed(guitarPlace)
	p.guitar.Add(l, r, guitarLevel*toLeft, guitarLevel*toRight)
	toLeft, toRight = sound.Placed(brushPlace)
	p.brush.add(l, r, brushLevel*toLeft, brushLevel*toRight)
	if p.room != nil {
		p.room.Add(l, r)
	}
	for i := range l {
		left[i] += l[i]
		right[i] += r[i]
	}
}

// Mono returns a stereo recording as one channel, the mean of both.
func Mono(a *sound.Audio) *sound.Audio {
	out := make([]float32, a.Len())
	for i := range out {
		out[i] = 0.5 * (a.Channels[0][i] + a.Channels[1][i])
	}
	return &sound.Audio{Channels: [][]float32{out}}
}
