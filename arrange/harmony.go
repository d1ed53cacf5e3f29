package arrange

import (
	"fmt"
	"slices"

	"lapwright/arrange/outline"
	"lapwright/grip"
	"lapwright/inorder"
	"lapwright/pitch"
	"lapwright/say"
	"lapwright/tab"
	"lapwright/tune"
)

// Harmony says what to add under a melody.
type Harmony uint8

// The harmonies. The melody stays the highest note and is never changed.
const (
	GradeHarmony Harmony = iota // what goes with the grade
	NoHarmony
	Thirds     // one note, about a third below
	Sixths     // one note, about a sixth below
	Chords     // two notes of the chord
	FullChords // under strong beats as much of the chord as the hands have
)

// harmonyNames are their names.
var harmonyNames = [...]string{GradeHarmony: "", NoHarmony: "none", Thirds: "thirds", Sixths: "sixths", Chords: "chord", FullChords: "full"}

// String returns the harmony's name, "" for what goes with the grade.
func (h Harmony) String() string { return harmonyNames[h] }

// Harmonised tells what came of a harmony that was asked for.
type Harmonised struct {
	Notes   int // notes of the melody, graces left out
	Under   int // how many of them have notes under them
	Single  int // and how many have none
	FromKey int // how many have theirs from the key, for want of a chord symbol
	// Symbols says that the tune has chord symbols.
	Symbols bool
}

// Words tells it to a player.
func (h Harmonised) Words() string {
	words := fmt.Sprintf("harmony under %d of the melody's %s; %d stay single", h.Under, say.Count(h.Notes, "note"), h.Single)
	switch {
	case !h.Symbols:
		words += "; there are no chord symbols, so it is taken from the key"
	case h.FromKey > 0:
		words += fmt.Sprintf("; for want of a chord symbol %d of them are taken from the key", h.FromKey)
	}
	return words
}

// harmonised counts what harmony a way has.
func (f *finished) harmonised() *Harmonised {
	if f.n.opt.Harmony == NoHarmony {
		return nil
	}
	out := &Harmonised{}
	for i := range f.p.t.Bars {
		for _, c := range f.p.t.Bars[i].Chords {
			out.Symbols = out.Symbols || c.Chord != nil
		}
	}
	for i := range f.p.moments {
		m := &f.p.moments[i]
		if len(m.Wants) == 0 || m.grace || m.Wants[0].Kind == grip.Tied || m.Wants[0].Kind == grip.Held {
			continue
		}
		out.Notes++
		filled := false
		for j := range m.Wants {
			filled = filled || m.Wants[j].Kind == grip.Offered && f.way[i].grip.Strings[j] > 0
		}
		switch {
		case !filled:
			out.Single++
		default:
			out.Under++
			if m.fromKey {
				out.FromKey++
			}
		}
	}
	return out
}

// ParseHarmony reads a harmony's name; "" is what goes with the grade.
func ParseHarmony(s string) (Harmony, error) {
	if h := slices.Index(harmonyNames[:], s); h >= 0 {
		return Harmony(h), nil
	}
	return 0, fmt.Errorf("unknown harmony %q: it is thirds, sixths, chord, full or none", s)
}

// fullDown is how far below the melody a full chord reaches, in semitones.
const fullDown = 16

// harmonise offers notes under every melody note that asks for them: one that
// begins on a beat or lasts for one. A melody note outside the chord is a
// passing note, and left alone, unless it lasts for a beat.
func (p *problem) harmonise(w *watch, h Harmony) error {
	for i := range p.moments {
		if len(p.moments[i].Wants) > 1 || len(p.t.Voices) > 1 && len(p.moments[i].lost) > 0 {
			m := &p.moments[i]
			return refuse("bar %d, %s into it: harmony is added under a single line, and here are several notes", p.t.Bars[m.barIndex].Number, m.at)
		}
	}
	chords := outline.ChordsOf(p.t)
	for i := range p.moments {
		if err := w.moment(); err != nil {
			return err
		}
		m := &p.moments[i]
		if len(m.Wants) == 0 || !m.Wants[0].Kind.Single() || m.grace {
			continue
		}
		b := &p.t.Bars[m.barIndex]
		if h == FullChords {
			if m.at%outline.Strong(&b.Meter) == 0 {
				p.offerChord(m, chords)
			}
			continue
		}
		beat := b.Meter.Beat()
		w := &m.Wants[0]
		if m.at%beat != 0 && w.Len < beat {
			continue
		}
		var chord *pitch.Chord
		if !chords.Guessed {
			chord = chords.At(m.barIndex, m.at)
		}
		p.offer(m, h, chord, b, w.Len >= beat)
	}
	return nil
}

// offerChord offers as much of a chord under a melody note that belongs to it as the
// hands have, the more tones the better. The steel's way from one to the next decides
// between them, which leads the voices: what lies near is near in pitch too.
func (p *problem) offerChord(m *moment, chords *outline.Chords) {
	w := m.Wants[0]
	chord := chords.At(m.barIndex, m.at)
	if chord == nil || !chords.Has(m.barIndex, m.at, int(w.Key)) {
		return
	}
	for _, n := range under(int(w.Key), chord.Classes(), fullDown) {
		if int(w.Key)-n.Key() < 3 || len(m.Wants) == grip.MaxNotes {
			continue // a second under the melody would hide it
		}
		o := w
		o.Key, o.Kind, o.From, o.Name, o.Long = int16(n.Key()), grip.Offered, -1, n, false
		m.Wants = append(m.Wants, o)
	}
	below := len(m.Wants) - 1
	for set := uint16(1); set < 1<<below; set++ {
		tones := map[int]bool{pitch.Mod(int(w.Key), 12): true}
		notes := 0
		for j := range below {
			if set>>j&1 == 1 {
				tones[pitch.Mod(int(m.Wants[j+1].Key), 12)] = true
				notes++
			}
		}
		if notes > 3 || len(tones) < min(notes+1, 3) {
			continue // more than a hand plucks, or doubled before it is whole
		}
		m.Offers = append(m.Offers, grip.Offer{Notes: set << 1, Cost: p.prices.FullThin * int32(3-notes)})
	}
	if below > 0 {
		if m.Wants[0].Kind == grip.Stepped {
			m.Wants[0].Kind, m.Wants[0].From, m.Wants[0].Beat = grip.Begun, -1, false
		}
		m.Single, m.fromKey = p.prices.FullLeft, chords.Guessed
	}
}

// under lists the notes of some classes from just below a key number down to
// most semitones below it, nearest first.
func under(key int, classes []pitch.Class, most int) []pitch.Name {
	var out []pitch.Name
	for k := key - 1; k >= key-most; k-- {
		for _, c := range classes {
			if pitch.Mod(k, 12) != c.Semitone() {
				continue
			}
			if n, ok := pitch.Spell(k, c.Letter); ok {
				out = append(out, n)
				break
			}
		}
	}
	return out
}

// scaleOf returns the seven notes of a key's signature.
func scaleOf(k pitch.Key) []pitch.Class {
	var out []pitch.Class
	for l := pitch.C; l <= pitch.B; l++ {
		out = append(out, pitch.Class{Letter: l, Alter: int8(k.Alter(l))})
	}
	return out
}

// offer fills in what can be added to one moment.
func (p *problem) offer(m *moment, h Harmony, chord *pitch.Chord, b *tune.Bar, long bool) {
	key := int(m.Wants[0].Key)
	scale := scaleOf(b.Key)
	inChord := true
	var tones []pitch.Class
	if chord != nil {
		tones = chord.Classes()
		inChord = slices.ContainsFunc(tones, func(c pitch.Class) bool { return c.Semitone() == pitch.Mod(key, 12) })
	}
	if !inChord && !long {
		return
	}
	least, most := 3, 4
	wide := 5
	if h == Sixths {
		least, most, wide = 8, 9, 7
	}
	var offers []grip.Offer
	add := func(cost int32, names ...pitch.Name) {
		var o grip.Offer
		o.Cost = cost
		for _, n := range names {
			at := slices.IndexFunc(m.Wants, func(w grip.Note) bool { return w.Kind == grip.Offered && w.Name == n })
			if at < 0 {
				if len(m.Wants) == grip.MaxNotes {
					return
				}
				at = len(m.Wants)
				w := m.Wants[0]
				w.Key, w.Kind, w.From, w.Name = int16(n.Key()), grip.Offered, -1, n
				m.Wants = append(m.Wants, w)
			}
			o.Notes |= 1 << at
		}
		offers = append(offers, o)
	}
	pick := func(classes []pitch.Class, cost int32) bool {
		found := false
		for _, n := range under(key, classes, 9) {
			switch d := key - n.Key(); {
			case d >= least && d <= most:
				add(cost, n)
				found = true
			case d == wide:
				add(cost+p.prices.HarmonyWide, n)
				found = true
			}
		}
		return found
	}
	switch {
	case h == Chords && chord != nil && inChord:
		below := under(key, tones, 12)
		for i := range below {
			for j := i + 1; j < len(below) && j <= i+2; j++ {
				if below[i].Key()-below[j].Key() < 2 || key-below[i].Key() < 2 || pitch.Mod(below[j].Key(), 12) == pitch.Mod(key, 12) && key-below[j].Key() < 12 {
					continue
				}
				add(p.prices.HarmonyWide*int32(i+j-1), below[i], below[j])
			}
		}
		for _, n := range below[:min(2, len(below))] {
			if key-n.Key() > 2 {
				add(p.prices.HarmonyHalf, n)
			}
		}
	case chord != nil && inChord:
		if !pick(tones, 0) {
			pick(scale, p.prices.HarmonyScale)
		}
	default:
		if h == Chords {
			least, most, wide = 3, 4, 5
		}
		pick(scale, 0)
	}
	if len(offers) > 0 {
		m.Offers, m.fromKey = offers, chord == nil
		m.Single = p.prices.HarmonyLeft
		if !inChord {
			m.Single = p.prices.HarmonyLeft / 2
		}
	}
}

// harmonyAdded lists the notes that a way adds under the melody.
func (f *finished) harmonyAdded(t *tab.Tab) []tab.Added {
	var out []tab.Added
	for i := range f.p.moments {
		m := &f.p.moments[i]
		for j := range m.Wants {
			if w := &m.Wants[j]; w.Kind == grip.Offered && f.way[i].grip.Strings[j] > 0 {
				out = append(out, tab.Added{Kind: tab.AddHarmony, Ref: w.Ref, BarNumber: t.Tune.Bars[m.barIndex].Number, At: m.at, String: int(f.way[i].grip.Strings[j]), Name: w.Name})
			}
		}
	}
	return out
}

// add writes what a way adds under the melody into the tune that is told of: a new
// tune, and wants that point into it.
func (f *finished) add() {
	if f.n.opt.Harmony == NoHarmony {
		return
	}
	p := *f.p
	p.t = f.p.t.Clone()
	p.perf = f.p.perf.Of(p.t)
	p.moments = slices.Clone(f.p.moments)
	for i := range p.moments {
		m := &p.moments[i]
		m.Wants = slices.Clone(m.Wants)
		var added []int
		for j := range m.Wants {
			if m.Wants[j].Kind == grip.Offered && f.way[i].grip.Strings[j] > 0 {
				added = append(added, j)
			}
		}
		if len(added) == 0 {
			continue
		}
		ref := m.Wants[0].Ref
		e := &p.t.Bars[ref.Bar].Lines[ref.Voice][ref.Event]
		inorder.Stable(added, func(a, b int) int { return int(m.Wants[a].Key) - int(m.Wants[b].Key) })
		var notes []tune.Note
		for k, j := range added {
			m.Wants[j].Ref = ref
			m.Wants[j].Ref.Note = k
			notes = append(notes, tune.Note{Name: m.Wants[j].Name})
		}
		e.Notes = append(notes, e.Notes...)
		m.Wants[0].Ref.Note = len(added)
	}
	f.p = &p
}
