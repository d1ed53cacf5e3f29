package midi

import (
	"cmp"
	"math"
	"slices"

	"lapwright/fault"
	"lapwright/pitch"
)

// File is a Standard MIDI File as read.
type File struct {
	Name     string // as the user named it
	Format   int    // 0 one track, 1 tracks played together, 2 tracks that are pieces of their own
	Division Division
	Tracks   []Track
	Warnings fault.List // what was odd in the file or has been passed over

	exact   bool     // the file says that its notes end as the music has it
	members [17]bool // channels, from 1, that have been members of an MPE zone
}

// Division says how long a tick is: PPQ ticks a quarter note or, when Frames
// is above 0, TicksPerFrame ticks in each of Frames SMPTE frames a second.
type Division struct {
	PPQ           int
	Frames        int // 24, 25, 29 (drop frame, 30000/1001 a second) or 30
	TicksPerFrame int
}

// Track is one track chunk.
type Track struct {
	Name    string
	Notes   []Note // by onset, then key
	Tempos  []Tempo
	Meters  []Meter
	Keys    []Key
	Lyrics  []Text
	Markers []Text
	Program int   // of the first program change, from 0; −1 when there is none
	End     int64 // tick of the end of the track
}

// Note is one note-on with the note-off that belongs to it.
type Note struct {
	At, Len  int64 // ticks
	Channel  int   // 1–16
	Key      int   // 0–127
	Velocity int   // 1–127
	Bend     float64
	Bends    []Bend // changes while it sounds, in order
	Offset   int64  // of the note-on in the file
}

// Bend sets the distance from the key in semitones from a tick on.
type Bend struct {
	At        int64
	Semitones float64
}

// Tempo is a change of speed.
type Tempo struct {
	At           int64
	Microseconds int64 // a quarter note
}

// Meter is a change of time signature.
type Meter struct {
	At          int64
	Beats, Unit int
}

// Key is a key signature.
type Key struct {
	At     int64
	Fifths int
	Minor  bool
}

// Text is words at a tick.
type Text struct {
	At   int64
	Text string
}

// Heard is one note as it reaches the ear: a pitch that stays, whether it was
// struck or reached by a bend.
type Heard struct {
	At, Len pitch.Fraction // of a whole note
	Ticks   int64          // the onset in ticks
	Key     int            // nearest key number, bends counted in
	Cents   float64        // how far the pitch is from that key
	Channel int
	Track   int     // 1-based
	Slid    bool    // reached by a bend, not struck
	Scoop   float64 // where the pitch began, in semitones from Key; 0 when it began there
	// First and Pitch point at the note-on it belongs to: an index into
	// the track's Notes, and which of its pitches this is.
	First, Pitch int
}

// glideFrom is the least change of pitch, in semitones, that counts as a new
// note. It lies above vibrato (a swing of half a semitone is a wide one) and
// below the semitone.
const glideFrom = 0.6

// Sounding returns every note as it is heard, by onset, then from the highest
// pitch down, then by channel. A note that bends by more than 0.6 of a
// semitone in one direction is heard as a note for each pitch it rests on; the
// second begins when the movement ends. A movement that begins with the note
// is a scoop and makes no note of its own.
//
// Times are fractions of a whole note. In a file whose ticks are parts of SMPTE
// frames they are worked out from the first tempo (120 when there is none).
func (f *File) Sounding() []Heard {
	var out []Heard
	for i := range f.Tracks {
		for j := range f.Tracks[i].Notes {
			out = f.appendHeard(out, i, j)
		}
	}
	slices.SortStableFunc(out, func(a, b Heard) int {
		return cmp.Or(cmp.Compare(a.Ticks, b.Ticks), cmp.Compare(b.Key, a.Key), cmp.Compare(a.Channel, b.Channel))
	})
	return out
}

// appendHeard takes one note apart.
func (f *File) appendHeard(out []Heard, track, index int) []Heard {
	n := &f.Tracks[track].Notes[index]
	rests, scoop := n.rests(MaxHeard)
	for i, r := range rests {
		end := n.At + n.Len
		if i+1 < len(rests) {
			end = rests[i+1].At
		}
		pitch := float64(n.Key) + r.Semitones
		key := math.Round(pitch)
		h := Heard{At: f.Wholes(track, r.At), Len: f.Wholes(track, end-r.At), Ticks: r.At, Key: int(key), Cents: 100 * (pitch - key), Channel: n.Channel, Track: track + 1, Slid: i > 0, First: index, Pitch: i}
		if i == 0 {
			h.Scoop = scoop
		}
		out = append(out, h)
	}
	return out
}

// Wholes returns a number of ticks as a fraction of a whole note.
func (f *File) Wholes(track int, ticks int64) pitch.Fraction {
	if f.Division.Frames == 0 {
		return pitch.NewFraction(ticks, 4*int64(f.Division.PPQ))
	}
	us := int64(500_000)
	for _, i := range []int{track, 0} {
		if t := f.Tracks[i].Tempos; len(t) > 0 {
			us = max(t[0].Microseconds, 1)
			break
		}
	}
	// ticks/(frames·ticksPerFrame) s, over 4·us microseconds a whole note.
	num, den := int64(1_000_000), 4*us
	perSecond := int64(f.Division.Frames * f.Division.TicksPerFrame)
	if f.Division.Frames == 29 {
		num, perSecond = 1_001_000, int64(30*f.Division.TicksPerFrame)
	}
	r := pitch.NewFraction(num, den)
	r = pitch.NewFraction(r.Num, r.Den*perSecond)
	g := pitch.GCD(ticks, r.Den)
	return pitch.Fraction{Num: ticks / g * r.Num, Den: r.Den / g}
}

// run is a movement in one direction.
type run struct {
	end      int64
	from, to float64
}

// rests returns the pitches a note rests on, with when it comes to each, at most
// as many as asked for, and how far from the first of them it began.
func (n *Note) rests(most int) (out []Bend, scoop float64) {
	out = []Bend{{n.At, n.Bend}}
	var runs []run
	gap := int64(math.MaxInt64) // the shortest time between two bends of the run
	sole := false               // gap is that from the note's beginning to its first bend
	prev, prevAt := n.Bend, n.At
	for k, b := range n.Bends {
		if b.Semitones == prev {
			continue
		}
		up := b.Semitones > prev
		last := len(runs) - 1
		fresh := last < 0 || up != (runs[last].to > runs[last].from)
		if !fresh {
			// A pause well over the spacing of the run's own bends ends it.
			d := b.At - prevAt
			if sole && k+1 < len(n.Bends) {
				gap = max(gap, n.Bends[k+1].At-b.At) // the first may come as soon as it will
			}
			sole = false
			if gap != math.MaxInt64 && 2*d > 5*gap {
				fresh = true
			} else if d > 0 {
				gap = min(gap, d)
			}
		}
		if fresh {
			// Small movements, such as vibrato, need not be kept.
			if last >= 1 && math.Abs(runs[last].to-runs[last].from) < glideFrom {
				runs = runs[:last]
			}
			if len(runs) > most {
				break
			}
			runs = append(runs, run{b.At, prev, b.Semitones})
			gap, sole = math.MaxInt64, false
			if d := b.At - prevAt; last < 0 && d > 0 && d < n.Len/8 {
				gap, sole = d, true
			}
		} else {
			runs[last].end, runs[last].to = b.At, b.Semitones
		}
		prev, prevAt = b.Semitones, b.At
	}
	for i, r := range runs {
		switch {
		case math.Abs(r.to-r.from) < glideFrom:
		case i == 0 && startsAtOnce(n):
			scoop = r.from - r.to
			out[0].Semitones = r.to
		default:
			out = append(out, Bend{r.end, r.to})
		}
	}
	if len(out) > 1 && out[len(out)-1].At >= n.At+n.Len {
		out = out[:len(out)-1]
	}
	return out, scoop
}

// startsAtOnce reports whether the pitch moves as soon as the note begins.
func startsAtOnce(n *Note) bool {
	if len(n.Bends) < 2 {
		return false
	}
	first := n.Bends[0].At - n.At
	return first <= 2*(n.Bends[1].At-n.Bends[0].At)
}
