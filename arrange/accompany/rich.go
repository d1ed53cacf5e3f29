package accompany

import (
	"lapwright/feel"
	"lapwright/pitch"
	"lapwright/tune"
)

// colours says what a rich feel makes of a quality, the dearest first; what the rig
// can't sound is passed over. All keep the third and the seventh.
var colours = map[string][]string{
	"": {"6"}, "6": {"6/9"}, "m": {"m7"}, "7": {"13", "9"}, "9": {"13"}, "m7": {"m9"}, "maj7": {"maj9"},
}

// coloured returns the chords to try for a spell, the first that can be had counts;
// the last is the chord as written.
func coloured(c pitch.Chord, in pitch.Key, f *feel.Feel) []pitch.Chord {
	var out []pitch.Chord
	if f.Colour == feel.Rich && c.Bass == c.Root {
		qualities := colours[c.Quality]
		if c.Quality == "m" && in.Mode == pitch.Minor && c.Root == in.Tonic {
			qualities = []string{"m6"} // the tonic of a minor key rests on its sixth
		}
		for _, q := range qualities {
			if d, err := pitch.ParseChord(c.Root.String() + q); err == nil {
				out = append(out, d)
			}
		}
	}
	return append(out, c)
}

// passing parts a spell before one whose bass lies a whole tone higher: its last beat
// becomes the diminished chord between the two. A spell of two beats or less, or one
// of another feel, stays whole.
func passing(t *tune.Tune, s *spell, f *feel.Feel) *spell {
	last := &s.parts[len(s.parts)-1]
	beat := t.Bars[last.bar].Meter.Beat()
	if f.Colour != feel.Rich || s.next == nil || last.to-last.from <= 2*beat || s.written.Bass != s.written.Root || s.next.written.Bass != s.next.written.Root {
		return nil
	}
	if rise := s.next.written.Root.Semitone() - s.written.Root.Semitone(); (rise+12)%12 != 2 {
		return nil
	}
	root := s.written.Root.Up(pitch.Interval{Steps: 0, Semitones: 1})
	c, err := pitch.ParseChord(root.String() + "dim7")
	if err != nil {
		return nil
	}
	between := &spell{written: c, chord: c, seconds: s.seconds, next: s.next, parts: []part{{bar: last.bar, from: last.to - beat, to: last.to}}}
	last.to -= beat
	s.next = between
	return between
}
