package band

import (
	"fmt"

	"lapwright/feel"
	"lapwright/pitch"
	"lapwright/sound"
	"lapwright/tab"
	"lapwright/tune"
)

// written is what the three play, in samples.
type written struct {
	guitar, bass []sound.Struck
	brush        []hit
}

// How strongly the band plays; ours.
const (
	guitarStrength = 0.42
	bassStrength   = 0.5
	accentMore     = 0.08
	upLess         = 0.10 // a stroke upwards, between beats
	chopLess       = 0.05
)

// strumEach is how much later each string of a stroke is, in seconds, and early how long before the next chord the
// strings are let go, so that two chords don't sound together.
const (
	strumEach = 0.006
	early     = 0.012
)

// writer writes what is played in one performance.
type writer struct {
	b   *Backing
	p   *tune.Performance
	at  func(tune.Ticks) int
	all []stretch
	out written
}

// write writes what is played in a performance, which may be another than the tab's: a part of it, over and over.
func (b *Backing) write(p *tune.Performance, at func(tune.Ticks) int) *written {
	w := &writer{b: b, p: p, at: at, all: b.chords.stretches(p)}
	for i := range w.all {
		w.strings(i)
	}
	for k := range p.Passes {
		w.brush(k)
	}
	letGo(w.out.bass, true)
	letGo(w.out.guitar, false)
	return &w.out
}

// Written tells all that is played with a tab as it is performed: backings that tell the same of their tabs sound alike at one A4.
func (b *Backing) Written(t *tab.Tab) string {
	p := t.Performance()
	return fmt.Sprint(*b.write(p, func(at tune.Ticks) int { return int(p.Clock.Seconds(at) * sound.Rate) }))
}

// figure returns the figure for a bar, and how far into a full bar it begins.
func (w *writer) figure(bar int) (*feel.Figure, tune.Ticks) {
	fig, err := w.b.Feel.In(w.p.Tune.Bars[bar].Meter)
	if err != nil {
		panic("band: " + err.Error()) // NewBacking looked at every bar
	}
	return fig, w.p.Tune.Within(bar)
}

// last reports whether a stretch is the one that the piece ends in.
func (w *writer) last(i int) bool { return i == len(w.all)-1 }

// strings writes bass and guitar under one stretch.
func (w *writer) strings(i int) {
	s := w.all[i]
	if s.chord == nil {
		return
	}
	pass := w.p.Passes[s.passIndex]
	if w.last(i) { // a proper end: struck once, and left to ring
		full := feel.Stroke{At: s.from, Len: s.to - s.from, Accent: true}
		full.Sign = feel.Bass
		w.strikeBass(i, pass, full, true)
		full.Sign = feel.Grip
		w.strum(i, pass, full, true)
		return
	}
	fig, within := w.figure(pass.BarIndex)
	begins := s.begins || i == 0
	line := func(l feel.Line) []feel.Stroke {
		strokes := fig.Strokes(l, within+s.from, within+s.to, begins && s.from > 0)
		for k := range strokes {
			strokes[k].At -= within
		}
		return strokes
	}
	bass := line(fig.Bass)
	if begins && (len(bass) == 0 || bass[0].At > s.from) { // each chord begins with its own bass, where it begins
		end := s.to
		if len(bass) > 0 {
			end = bass[0].At
		}
		beat := w.p.Tune.Bars[pass.BarIndex].Meter.Beat()
		bass = append([]feel.Stroke{{At: s.from, Len: min(end-s.from, beat), Sign: feel.Bass}}, bass...)
	}
	if begins {
		bass[0].Sign = feel.Bass
	}
	for _, st := range bass {
		w.strikeBass(i, pass, st, false)
	}
	guitar := line(fig.Guitar)
	if begins && len(guitar) == 0 && w.ends(i) {
		guitar = []feel.Stroke{{At: s.from, Len: s.to - s.from, Sign: feel.Grip}} // a short chord is heard all the same
	}
	for _, st := range guitar {
		w.strum(i, pass, st, false)
	}
}

// ends reports whether the chord of a stretch is over with it.
func (w *writer) ends(i int) bool {
	return i+1 >= len(w.all) || w.all[i+1].chord == nil || w.all[i+1].begins
}

// The bass's keys: roots lie from E1 to E♭2, what walks above them up to C3.
const (
	lowestBass  = 28
	highestBass = 48
)

// bassOf returns the bass of a chord: the lowest on the instrument.
func bassOf(c pitch.Class) int { return lowestBass + pitch.Mod(c.Semitone()-lowestBass, 12) }

// strikeBass writes one stroke of the bass.
func (w *writer) strikeBass(i int, pass tune.Pass, st feel.Stroke, rings bool) {
	chord := w.all[i].chord
	root := bassOf(chord.Bass)
	key := root
	switch st.Sign {
	case feel.Fifth:
		key = other(root, fifthOf(chord))
	case feel.Sixth:
		key = root + 9
	case feel.Near:
		if next := w.next(i); next != nil {
			key = bassOf(next.Bass) - 1
			if key < lowestBass {
				key += 12
			}
		} else {
			key = other(root, fifthOf(chord))
		}
	}
	if key > highestBass {
		key -= 12
	}
	n := sound.Struck{At: w.at(pass.Start + st.At), StringIndex: 1, Key: key, Strength: bassStrength}
	if open, _ := sound.BandBass.Strings(); key >= open[0] {
		n.StringIndex = 0
	}
	if !rings {
		n.End = w.at(pass.Start + st.At + st.Len)
	}
	if st.Accent {
		n.Strength += accentMore
	}
	w.out.bass = append(w.out.bass, n)
}

// fifthOf returns the fifth of a chord, as it has it.
func fifthOf(c *pitch.Chord) pitch.Class {
	for _, t := range c.Tones {
		if t.Interval.Steps == 4 {
			return c.Class(t)
		}
	}
	return c.Root.Up(pitch.Interval{Steps: 4, Semitones: 7})
}

// other returns the key of a class nearest to the root, below it where both are as near as a fifth and a fourth.
func other(root int, c pitch.Class) int {
	up := root + pitch.Mod(c.Semitone()-root, 12)
	if down := up - 12; down >= lowestBass && root-down <= up-root {
		return down
	}
	return up
}

// next returns the chord that follows the one of a stretch when it is over before the bar's next stroke could come; nil where it stays.
func (w *writer) next(i int) *pitch.Chord {
	if i+1 < len(w.all) && w.all[i+1].begins {
		return w.all[i+1].chord
	}
	return nil
}

// strum writes one stroke of the guitar.
func (w *writer) strum(i int, pass tune.Pass, st feel.Stroke, rings bool) {
	s := w.all[i]
	v := w.b.voicings[spot{pass.BarIndex, s.from, s.chord.String()}]
	if v == nil {
		return
	}
	at := w.at(pass.Start + st.At)
	upwards := w.p.Tune.Bars[pass.BarIndex].Meter.Beat() > 0 && st.At%w.p.Tune.Bars[pass.BarIndex].Meter.Beat() != 0
	strength := guitarStrength
	if st.Accent {
		strength += accentMore
	}
	if upwards {
		strength -= upLess
	}
	if st.Sign == feel.Chop {
		strength -= chopLess
	}
	struck := 0
	for k := range guitarStrings {
		str := guitarStrings - 1 - k // the low strings first
		if upwards {
			str = k
		}
		if v.keys[str] == 0 {
			continue
		}
		n := sound.Struck{
			At: at + struck*int(strumEach*sound.Rate), StringIndex: str, Key: v.keys[str], Strength: strength, Chopped: st.Sign == feel.Chop,
		}
		if !rings {
			n.End = w.at(pass.Start + st.At + st.Len)
		}
		w.out.guitar = append(w.out.guitar, n)
		struck++
	}
}

// letGo stops notes in time for those that follow: on a bass there is one at a time, on a guitar one chord.
func letGo(notes []sound.Struck, one bool) {
	for i := range notes {
		n := &notes[i]
		if n.End == 0 {
			continue
		}
		for j := i + 1; j < len(notes); j++ {
			next := &notes[j]
			if !one && next.At-n.At < int(4*strumEach*sound.Rate) && next.StringIndex != n.StringIndex {
				continue // of the same stroke
			}
			if next.StringIndex != n.StringIndex {
				n.End = min(n.End, max(n.At+1, next.At-int(early*sound.Rate)))
			}
			break
		}
	}
}

// brush writes the brush's part of one bar.
func (w *writer) brush(k int) {
	pass := w.p.Passes[k]
	b := &w.p.Tune.Bars[pass.BarIndex]
	fig, within := w.figure(pass.BarIndex)
	end := b.Len
	if k == len(w.p.Passes)-1 && len(w.all) > 0 && w.all[len(w.all)-1].chord != nil {
		end = w.all[len(w.all)-1].from // the last chord has one sweep
		w.out.brush = append(w.out.brush, hit{at: w.at(pass.Start + end), sign: feel.Sweep, strength: bassStrength + accentMore})
	}
	for _, st := range fig.Strokes(fig.Brush, within, within+end, false) {
		strength := bassStrength
		if st.Accent {
			strength += accentMore
		}
		w.out.brush = append(w.out.brush, hit{at: w.at(pass.Start + st.At - within), sign: st.Sign, strength: strength})
	}
}
