package line

import (
	"math"

	"lapwright/listen"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/tune"
)

// Written is a single line written down from a take.
type Written struct {
	Refused string // why nothing could be written, in one sentence
	Tune    *tune.Tune
	Notes   []WrittenNote
	Tempo   float64 // quarters a minute
}

// WrittenNote is one note of it.
type WrittenNote struct {
	BarNumber int // as printed
	At        tune.Ticks
	Len       tune.Ticks
	Name      pitch.Name
	Onset     float64
	Cents     float64 // how far it sounds from its name
	Sure      float64 // 0 to 1: how clear its pitch is, and how near its length lies to what is written
}

// grid is the shortest value that is written.
const grid = tune.Whole / 16

// The tempos that are tried, in quarters a minute; of those that fit alike the one
// nearest to usualTempo is taken (the preference of R. Parncutt, A perceptual model of pulse
// salience and metrical accent, Music Perception 11(4), 1994: 100 a minute).
const (
	slowestTempo = 50.0
	fastestTempo = 180.0
	usualTempo   = 100.0
)

// Transcribe writes down a take of a single line, in 4/4 and in the key that its
// notes make likeliest. Rhythm is a guess: plucks are laid on a grid of
// sixteenths at the steady tempo that fits them best.
func Transcribe(take *listen.Take, r *rig.Rig) *Written {
	out := &Written{Refused: take.Unfit()}
	if out.Refused != "" {
		return out
	}
	var notes []listen.LineNote
	low, high := compass(r)
	for _, n := range take.Line() {
		if k := pitch.KeyOf(pitch.Hz(n.Hz), r.Reference); k > float64(low)-outside && k < float64(high)+outside {
			notes = append(notes, n)
		}
	}
	if len(notes) < 2 || !take.Stringy() {
		out.Refused = "No single line can be heard in this take: it may be chords, speech or noise."
		return out
	}
	step := gridStep(notes)
	out.Tempo = 60 / (4 * step)
	key := likeliestKey(notes, r.Reference)
	out.Notes = laid(notes, step, key, r.Reference)
	out.Tune = writeLine(out.Notes, key, out.Tempo)
	return out
}

// outside is how far from its compass a rig's notes may sound, in semitones: tuned low, or the steel past the last fret.
const outside = 0.6

// compass returns the lowest and the highest key number that a rig sounds, benders engaged or not.
func compass(r *rig.Rig) (low, high int) {
	low = r.OpenKey(1, 0)
	for s := range r.Strings {
		low = min(low, r.OpenKey(s+1, 0))
		for b := range r.Benders {
			low = min(low, r.OpenKey(s+1, 1<<b))
		}
		high = max(high, r.HighestKey(s+1)+r.Frets)
	}
	return low, high
}

// likeliestKey returns the key that the lengths of notes make likeliest, C major where they make none.
func likeliestKey(notes []listen.LineNote, a4 pitch.Hz) pitch.Key {
	var long [12]float64
	for _, n := range notes {
		k := int(math.Round(pitch.KeyOf(pitch.Hz(n.Hz), a4)))
		long[k%12] += n.Until - n.At
	}
	key, _ := pitch.LikeliestKey(long)
	return key
}

// laid lays notes on the grid of sixteenths, step seconds long, from the first one on.
func laid(notes []listen.LineNote, step float64, key pitch.Key, a4 pitch.Hz) []WrittenNote {
	var out []WrittenNote
	begin := notes[0].At
	for i, n := range notes {
		at := int(math.Round((n.At - begin) / step))
		end := at + max(1, int(math.Round((n.Until-n.At)/step)))
		if i+1 < len(notes) {
			next := int(math.Round((notes[i+1].At - begin) / step))
			if next <= at {
				continue // two within one sixteenth: the second is kept
			}
			// A string rings until the next is plucked: small gaps are no rests.
			if next-end <= 2 {
				end = next
			}
		}
		k := pitch.KeyOf(pitch.Hz(n.Hz), a4)
		name := pitch.SpellKey(int(math.Round(k)), key.Fifths())
		off := math.Abs((n.At-begin)/step - float64(at))
		out = append(out, WrittenNote{
			At: tune.Ticks(at) * grid, Len: tune.Ticks(end-at) * grid, Name: name, Onset: n.At, Cents: 100 * (k - math.Round(k)),
			Sure: n.Sure * (1 - off) * (1 - math.Abs(k-math.Round(k))),
		})
	}
	return out
}

// gridStep finds the length of a sixteenth in seconds: that of the tempo at which
// the gaps between plucks lie nearest to whole numbers of them, against chance.
func gridStep(notes []listen.LineNote) float64 {
	best, step := math.Inf(1), 60/usualTempo/4
	for tempo := slowestTempo; tempo <= fastestTempo; tempo *= 1.004 {
		s := 60 / tempo / 4
		sum := 0.0
		for i := 1; i < len(notes); i++ {
			gap := (notes[i].At - notes[i-1].At) / s
			off := math.Abs(gap - math.Round(gap))
			if math.Round(gap) < 1 {
				off = 1
			}
			// Eighths are likelier than sixteenths, quarters likelier still.
			switch whole := int(math.Round(gap)); {
			case whole%4 == 0:
			case whole%2 == 0:
				off += 0.03
			default:
				off += 0.12
			}
			sum += min(off, 0.5)
		}
		sum /= float64(len(notes) - 1)
		if score := sum + 0.02*math.Abs(math.Log2(tempo/usualTempo)); score < best {
			best, step = score, s
		}
	}
	return step
}

// writeLine makes the tune of notes in 4/4, ties over barlines and where one
// value can't hold a length, and tells each note its bar.
func writeLine(notes []WrittenNote, key pitch.Key, tempo float64) *tune.Tune {
	t := &tune.Tune{Title: "Transcribed", Voices: []tune.Voice{{ID: "1"}}}
	last := notes[len(notes)-1]
	bars := int((last.At + last.Len + tune.Whole - 1) / tune.Whole)
	for b := range bars {
		t.Bars = append(t.Bars, tune.Bar{Number: b + 1, Key: key, Meter: tune.Meter{Beats: 4, Unit: 4}, Len: tune.Whole, Lines: [][]tune.Event{nil}})
	}
	t.Bars[0].Tempos = []tune.Tempo{{Beat: tune.Whole / 4, PerMinute: int64(math.Round(tempo)) * 1000}}
	put := func(from, to tune.Ticks, note *pitch.Name) {
		for from < to {
			b := int(from / tune.Whole)
			at := from - tune.Ticks(b)*tune.Whole
			length := min(to-from, tune.Whole-at)
			v, ok := tune.ValueOf(length)
			for !ok || v.Dots > 1 {
				length -= grid
				v, ok = tune.ValueOf(length)
			}
			e := tune.Event{At: at, Len: length, Kind: tune.Rest, Value: v}
			if note != nil {
				e.Kind = tune.Sounding
				e.Notes = []tune.Note{{Name: *note, Tie: from+length < to}}
			}
			t.Bars[b].Lines[0] = append(t.Bars[b].Lines[0], e)
			from += length
		}
	}
	at := tune.Ticks(0)
	for i := range notes {
		n := &notes[i]
		n.BarNumber = int(n.At/tune.Whole) + 1
		put(at, n.At, nil)
		put(n.At, n.At+n.Len, &n.Name)
		at = n.At + n.Len
	}
	put(at, tune.Ticks(bars)*tune.Whole, nil)
	return t
}
