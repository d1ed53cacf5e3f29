package midi

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"lapwright/fault"
	"lapwright/pitch"
	"lapwright/tune"
)

// unit is what one voice plays as one: sounds that begin, move and end
// together.
type unit struct {
	at, end tune.Ticks
	sounds  []sound // from the lowest up
	words   string
}

// composer makes a tune of sounds that have their places.
type composer struct {
	*layout
	f      *File
	out    *Import
	sounds []sound
}

// compose makes the tune of the sounds.
func (c *composer) compose(words map[tune.Ticks]string) (bad []int, err error) {
	voices := c.voices(c.units(words))
	t := &tune.Tune{Bars: slices.Clone(c.bars)}
	c.title(t)
	for v := range voices {
		id := fmt.Sprint(v + 1)
		t.Voices = append(t.Voices, tune.Voice{ID: id})
		failed := c.voice(t, voices[v], v == 0)
		bad = append(bad, failed...)
	}
	if len(t.Voices) == 1 {
		t.Voices[0].Name = c.f.Tracks[c.out.Track-1].Name
	}
	if len(bad) > 0 {
		return bad, nil
	}
	c.directions(t)
	if l := t.Check(); len(l) > 0 {
		return nil, &fault.Fault{File: c.f.Name, Bar: l[0].Bar, Beat: l[0].Beat, Msg: "the music does not come out as a tune: " + l[0].Msg}
	}
	c.out.Tune = t
	return nil, nil
}

// title names the tune: a file's first track is named for the piece.
func (c *composer) title(t *tune.Tune) {
	t.Title = c.f.Tracks[0].Name
	if c.f.Format == 2 || t.Title == "" {
		t.Title = c.f.Tracks[c.out.Track-1].Name
	}
}

// units joins sounds that make a chord.
func (c *composer) units(words map[tune.Ticks]string) []unit {
	var out []unit
	for _, s := range c.sounds {
		joined := false
		for i := len(out) - 1; i >= 0 && out[i].at == s.at; i-- {
			if out[i].takes(s) {
				// Sounds come from the top down within an onset.
				out[i].sounds = append([]sound{s}, out[i].sounds...)
				joined = true
				break
			}
		}
		if !joined {
			out = append(out, unit{at: s.at, end: s.end, sounds: []sound{s}})
		}
	}
	for i := range out {
		out[i].words = words[out[i].at]
		delete(words, out[i].at)
	}
	return out
}

// takes reports whether a sound may join the unit as its lowest: same times, and
// the lowest all the way, so that glides keep their places in the chord.
func (u *unit) takes(s sound) bool {
	low := u.sounds[0]
	if u.end != s.end || len(low.parts) != len(s.parts) || len(u.sounds) == tune.MaxNotes {
		return false
	}
	for i := range s.parts {
		if s.parts[i].at != low.parts[i].at || s.parts[i].key > low.parts[i].key {
			return false
		}
	}
	return true
}

// voices shares the units out so that none overlaps another in its voice.
func (c *composer) voices(units []unit) [][]unit {
	var out [][]unit
	for _, u := range units {
		v := slices.IndexFunc(out, func(l []unit) bool { return l[len(l)-1].end <= u.at })
		if v < 0 && len(out) < MaxVoices {
			out = append(out, nil)
			v = len(out) - 1
		}
		if v < 0 {
			// More at once than a tune is given voices: the sound that would end
			// first makes way.
			for i := range out {
				if l := out[i]; l[len(l)-1].at < u.at && (v < 0 || l[len(l)-1].end < out[v][len(out[v])-1].end) {
					v = i
				}
			}
			number := c.bars[c.barAt(u.at)].Number
			if v < 0 {
				c.out.Warnings.Add(&fault.Fault{File: c.f.Name, Bar: fmt.Sprint(number), Msg: fmt.Sprintf("more than %d lines sound at once; a note with key number %d is left out", MaxVoices, u.sounds[0].parts[0].key)})
				continue
			}
			last := &out[v][len(out[v])-1]
			last.cut(u.at)
			c.out.Warnings.Add(&fault.Fault{File: c.f.Name, Bar: fmt.Sprint(number), Msg: fmt.Sprintf("more than %d lines sound at once; the note with key number %d is ended early", MaxVoices, last.sounds[0].parts[0].key)})
		}
		out[v] = append(out[v], u)
	}
	return out
}

// cut ends a unit at a time.
func (u *unit) cut(at tune.Ticks) {
	u.end = at
	for i := range u.sounds {
		u.sounds[i].endAt(at)
	}
}

// stretch is one pitch or chord of a voice, before barlines.
type stretch struct {
	at, end tune.Ticks
	notes   []soundPitch
	glide   bool // moves into the next
	words   string
}

// voice writes one voice into the bars and gives the bars that no values write.
func (c *composer) voice(t *tune.Tune, units []unit, first bool) (bad []int) {
	parts := 0
	for _, u := range units {
		parts += len(u.sounds[0].parts)
	}
	line := make([]stretch, 0, parts)
	for _, u := range units {
		n := len(u.sounds[0].parts)
		for p := range n {
			s := stretch{at: u.sounds[0].parts[p].at, end: u.end, glide: p+1 < n}
			if p == 0 {
				s.words = u.words
			}
			if s.glide {
				s.end = u.sounds[0].parts[p+1].at
			}
			s.notes = make([]soundPitch, 0, len(u.sounds))
			for _, x := range u.sounds {
				s.notes = append(s.notes, x.parts[p])
			}
			line = append(line, s)
		}
	}
	gap := tune.Rest
	if !first {
		gap = tune.Skip
	}
	var events []tune.Event // of one bar
	for i := range t.Bars {
		b := &t.Bars[i]
		lo, hi := c.starts[i], c.starts[i+1]
		events = events[:0]
		at := lo
		silence := func(until tune.Ticks) {
			if until > at {
				events = append(events, tune.Event{At: at - lo, Len: until - at, Kind: gap})
				at = until
			}
		}
		for len(line) > 0 && line[0].at < hi {
			s := &line[0]
			silence(max(s.at, lo))
			end := min(s.end, hi)
			e := tune.Event{At: at - lo, Len: end - at, Notes: make([]tune.Note, 0, len(s.notes))}
			for _, n := range s.notes {
				note := tune.Note{Name: pitch.SpellKey(n.key, b.Key.Fifths()), Tie: end < s.end, Glide: s.glide && end == s.end}
				if at == s.at {
					note.Scoop = int8(n.scoop)
				}
				e.Notes = append(e.Notes, note)
			}
			if at == s.at && s.words != "" {
				text := strings.TrimSpace(s.words)
				e.Lyrics = []tune.Lyric{{Verse: 1, Text: strings.TrimSuffix(text, "-"), Hyphen: strings.HasSuffix(text, "-")}}
			}
			events = append(events, e)
			at = end
			if end < s.end {
				break
			}
			line = line[1:]
		}
		silence(hi)
		written, err := tune.Notate(b, events)
		if err != nil {
			bad = append(bad, i)
		}
		b.Lines = append(slices.Clone(b.Lines), written)
	}
	return bad
}

// directions puts tempos and markers into the bars.
func (c *composer) directions(t *tune.Tune) {
	track := c.out.Track - 1
	end := c.starts[len(c.starts)-1]
	for _, x := range inForce(c.f, c.out.Track, func(t *Track) []Tempo { return t.Tempos }, func(t Tempo) int64 { return t.At }) {
		at := near(c.f.Wholes(track, x.At))
		if at >= end {
			continue
		}
		i := c.barAt(at)
		b := &t.Bars[i]
		per := (60_000_000_000 + x.Microseconds/2) / x.Microseconds
		if per > tune.MaxPerMinute {
			c.out.Warnings.Add(&fault.Fault{File: c.f.Name, Bar: fmt.Sprint(b.Number), Msg: fmt.Sprintf("a tempo of %d microseconds a quarter note is left out", x.Microseconds)})
			continue
		}
		tempo := tune.Tempo{At: at - c.starts[i], Beat: tune.Whole / 4, PerMinute: per}
		if n := len(b.Tempos); n > 0 && b.Tempos[n-1].At == tempo.At {
			b.Tempos[n-1] = tempo
		} else {
			b.Tempos = append(b.Tempos, tempo)
		}
	}
	for i := range c.f.Tracks {
		if c.f.Format == 2 && i != track {
			continue
		}
		for _, m := range c.f.Tracks[i].Markers {
			at := near(c.f.Wholes(track, m.At))
			if m.Text == "" || at >= end {
				continue
			}
			j := c.barAt(at)
			b := &t.Bars[j]
			if at == c.starts[j] && b.Part == "" && utf8.RuneCountInString(m.Text) == 1 {
				b.Part = m.Text
			} else {
				b.Texts = append(b.Texts, tune.TextAt{At: at - c.starts[j], Text: m.Text})
			}
		}
	}
	for i := range t.Bars {
		slices.SortStableFunc(t.Bars[i].Texts, func(a, b tune.TextAt) int { return cmp.Compare(a.At, b.At) })
	}
	t.Bars[len(t.Bars)-1].Right.Style = tune.FinalBarline
}
