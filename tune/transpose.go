package tune

import (
	"strings"
	"unicode/utf8"

	"lapwright/pitch"
)

// Transpose returns a copy of t with every note, key and chord symbol moved by
// the interval, but for strokes without pitch. The sounding pitch is moved by exactly iv.Semitones. Where the
// key that iv asks for would need more than seven sharps or flats its simpler
// enharmonic key is taken, and the notes under it are spelled to suit.
// Chord symbols that are no known chord ("N.C.") stay as they are.
func Transpose(t *Tune, iv pitch.Interval) *Tune {
	out := t.Clone()
	for i := range out.Bars {
		b := &out.Bars[i]
		moved := b.Key.Up(iv)
		by := within(b.Key.Tonic, moved.Tonic, iv.Semitones)
		b.Key = moved
		for j := range b.Chords {
			b.Chords[j] = b.Chords[j].up(by)
		}
		for _, line := range b.Lines {
			for k := range line {
				upAll(line[k].Notes, by)
				for _, g := range line[k].Graces {
					upAll(g.Notes, by)
				}
			}
		}
	}
	return out
}

// Shift returns the interval that moves key k by a number of semitones to the
// key with the fewest sharps or flats, sharps when there are as many of each.
func Shift(k pitch.Key, semitones int) pitch.Interval {
	best, fewest := pitch.Interval{Semitones: semitones}, 1<<30
	rough := semitones * 7 / 12
	for steps := rough - 2; steps <= rough+2; steps++ {
		iv := pitch.Interval{Steps: steps, Semitones: semitones}
		moved := k.Up(iv)
		if within(k.Tonic, moved.Tonic, semitones) != iv {
			continue
		}
		count := 0
		for _, a := range moved.Signature {
			count += 2 * max(int(a), -int(a))
		}
		if moved.Fifths() < 0 {
			count++
		}
		if count < fewest {
			best, fewest = iv, count
		}
	}
	return best
}

// within returns the interval of so many semitones from one tonic to the other.
func within(from, to pitch.Class, semitones int) pitch.Interval {
	low := pitch.Name{Class: from, Octave: 4}
	best := pitch.Interval{Semitones: semitones}
	for octave := 3; octave <= 5; octave++ {
		iv := pitch.From(low, pitch.Name{Class: to, Octave: int8(octave)})
		if whole := semitones - iv.Semitones; whole%12 == 0 {
			best.Steps = iv.Steps + whole/12*7
			break
		}
	}
	return best
}

func upAll(notes []Note, by pitch.Interval) {
	for i := range notes {
		if !notes[i].Chop {
			notes[i].Name = notes[i].Name.Up(by)
		}
	}
}

// up moves a chord symbol. The text keeps its own way of writing the quality,
// and brackets round it, where it is taken apart with certainty; else it is
// the chord's own name.
func (c ChordAt) up(by pitch.Interval) ChordAt {
	if c.Chord == nil {
		return c
	}
	c.Chord.Root = c.Chord.Root.Up(by)
	c.Chord.Bass = c.Chord.Bass.Up(by)
	text, open, end := c.Text, "", ""
	if strings.HasPrefix(text, "(") && strings.HasSuffix(text, ")") {
		text, open, end = text[1:len(text)-1], "(", ")"
	}
	root, quality, bass := splitChord(text)
	switch {
	case root == "" || strings.Contains(quality, "/"):
		text = c.Chord.String()
	case bass != "":
		text = c.Chord.Root.String() + quality + "/" + c.Chord.Bass.String()
	default:
		text = c.Chord.Root.String() + quality
	}
	c.Text = open + text + end
	return c
}

// splitChord takes the text of a chord symbol apart: "F#m7/E" is F#, m7, E. A
// text that does not begin with a note has no root.
func splitChord(s string) (root, quality, bass string) {
	n := classLen(s)
	if n == 0 {
		return "", "", ""
	}
	quality = s[n:]
	if i := strings.LastIndexByte(quality, '/'); i >= 0 {
		if b := quality[i+1:]; b != "" && classLen(b) == len(b) {
			quality, bass = quality[:i], b
		}
	}
	return s[:n], quality, bass
}

// classLen returns the number of bytes of the note name at the head of s.
func classLen(s string) int {
	if s == "" || !strings.ContainsRune("ABCDEFGabcdefg", rune(s[0])) {
		return 0
	}
	n := 1
	for n < len(s) {
		r, size := utf8.DecodeRuneInString(s[n:])
		if !strings.ContainsRune("#b♯♭", r) {
			break
		}
		n += size
	}
	return n
}
