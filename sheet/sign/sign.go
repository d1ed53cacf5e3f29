package sign

import (
	"strconv"
	"strings"
	"unicode"

	"lapwright/pitch"
	"lapwright/sheet/draw"
	"lapwright/tune"
)

// Accidental returns the sign of an alteration.
func Accidental(alter int) draw.Symbol {
	return [...]draw.Symbol{draw.AccidentalDoubleFlat, draw.AccidentalFlat, draw.AccidentalNatural, draw.AccidentalSharp, draw.AccidentalDoubleSharp}[min(max(alter, -2), 2)+2]
}

// KeySign is one sign of a key signature.
type KeySign struct {
	X      float64
	P      int
	Symbol draw.Symbol
}

// Where the signs of a key signature stand on the treble staff, in half spaces
// from the middle line.
var (
	sharpPlaces = map[pitch.Letter]int{pitch.F: 4, pitch.C: 1, pitch.G: 5, pitch.D: 2, pitch.A: -1, pitch.E: 3, pitch.B: 0}
	flatPlaces  = map[pitch.Letter]int{pitch.B: 0, pitch.E: 3, pitch.A: -1, pitch.D: 2, pitch.G: -2, pitch.C: 1, pitch.F: -3}
	sharpOrder  = [7]pitch.Letter{pitch.F, pitch.C, pitch.G, pitch.D, pitch.A, pitch.E, pitch.B}
	flatOrder   = [7]pitch.Letter{pitch.B, pitch.E, pitch.A, pitch.D, pitch.G, pitch.C, pitch.F}
)

// Key lists the signs of a signature. A change to a signature without
// signs cancels the old one with naturals.
func Key(k pitch.Key, before *pitch.Key) (out []KeySign, w float64) {
	add := func(p int, symbol draw.Symbol) {
		out = append(out, KeySign{w, p, symbol})
		w += symbol.Advance()
		if symbol == draw.AccidentalNatural {
			w += 0.25
		}
	}
	for _, l := range sharpOrder {
		if a := k.Alter(l); a > 0 {
			add(sharpPlaces[l], Accidental(a))
		}
	}
	for _, l := range flatOrder {
		if a := k.Alter(l); a < 0 {
			add(flatPlaces[l], Accidental(a))
		}
	}
	if len(out) == 0 && before != nil {
		for _, l := range sharpOrder {
			if before.Alter(l) > 0 {
				add(sharpPlaces[l], draw.AccidentalNatural)
			}
		}
		for _, l := range flatOrder {
			if before.Alter(l) < 0 {
				add(flatPlaces[l], draw.AccidentalNatural)
			}
		}
	}
	return out, w
}

// MeterWidth returns the room that a time signature takes.
func MeterWidth(m *tune.Meter) float64 {
	switch {
	case m.Beats == 0:
		return 0
	case m.Symbol != "":
		return draw.TimeSigCommon.Advance()
	}
	return max(DigitsWidth(m.Numerator()), DigitsWidth(strconv.Itoa(m.Unit)))
}

// Digit returns the symbol of a figure of a time signature, or of its plus.
func Digit(c byte) draw.Symbol {
	if c == '+' {
		return draw.TimeSigPlusSmall
	}
	return draw.TimeSig0 + draw.Symbol(c-'0')
}

// DigitAdvance is the room that a figure takes; a plus stands clear of both
// its neighbours.
func DigitAdvance(c byte) float64 {
	if c == '+' {
		return Digit(c).Advance() + 0.3
	}
	return Digit(c).Advance()
}

// DigitsWidth returns the room that figures take beside each other.
func DigitsWidth(s string) float64 {
	w := 0.0
	for i := range len(s) {
		w += DigitAdvance(s[i])
	}
	return w
}

// DotsWidth returns the room that augmentation dots take to the right of a head.
func DotsWidth(v tune.Value, size float64) float64 {
	if v.Dots == 0 {
		return 0
	}
	return size * (0.35 + 0.4*float64(v.Dots) + 0.15*float64(v.Dots-1))
}

// ChordRun is a stretch of a chord symbol set in one size.
type ChordRun struct {
	Text string
	Size float64 // against the root
	Rise float64 // above the baseline, in ems of the root
}

// Chord splits a chord symbol: root and bass full size, letters such as m
// and sus a little smaller, figures and alterations raised.
func Chord(c *tune.ChordAt) []ChordRun {
	text := c.Text
	if c.Chord != nil {
		text = c.Chord.Pretty()
	}
	n := 0
	for i, r := range text {
		if i == 0 && r >= 'A' && r <= 'G' || i > 0 && (r == '♭' || r == '♯') {
			n = i + len(string(r))
			continue
		}
		break
	}
	if n == 0 {
		return []ChordRun{{text, 1, 0}} // words, such as N.C.
	}
	out := []ChordRun{{text[:n], 1, 0}}
	rest, bass := text[n:], ""
	if i := strings.LastIndex(rest, "/"); i >= 0 && i+1 < len(rest) && rest[i+1] >= 'A' && rest[i+1] <= 'G' {
		rest, bass = rest[:i], rest[i:]
	}
	for _, r := range rest {
		run := ChordRun{string(r), 0.86, 0}
		if !unicode.IsLetter(r) {
			run = ChordRun{string(r), 0.72, 0.26}
		}
		if last := &out[len(out)-1]; len(out) > 1 && last.Size == run.Size {
			last.Text += run.Text
		} else {
			out = append(out, run)
		}
	}
	if bass != "" {
		out = append(out, ChordRun{bass, 1, 0})
	}
	return out
}

// ChordEms returns the width of a chord symbol in ems of its root.
func ChordEms(runs []ChordRun) float64 {
	w := 0.0
	for _, r := range runs {
		w += draw.Serif.Width(r.Text) * r.Size
	}
	return w
}

// Tempo returns the symbol and the dots of a beat in a tempo.
func Tempo(beat tune.Ticks) (draw.Symbol, int, bool) {
	v, ok := tune.ValueOf(beat)
	if !ok {
		return 0, 0, false
	}
	switch v.Log2 {
	case -1:
		return draw.MetNoteDoubleWhole, int(v.Dots), true
	case 0:
		return draw.MetNoteWhole, int(v.Dots), true
	case 1:
		return draw.MetNoteHalfUp, int(v.Dots), true
	case 2:
		return draw.MetNoteQuarterUp, int(v.Dots), true
	case 3:
		return draw.MetNote8thUp, int(v.Dots), true
	case 4:
		return draw.MetNote16thUp, int(v.Dots), true
	case 5:
		return draw.MetNote32ndUp, int(v.Dots), true
	}
	return 0, 0, false
}

// Head returns the notehead of a value.
func Head(v tune.Value) draw.Symbol {
	switch {
	case v.Log2 < 0:
		return draw.NoteheadDoubleWhole
	case v.Log2 == 0:
		return draw.NoteheadWhole
	case v.Log2 == 1:
		return draw.NoteheadHalf
	}
	return draw.NoteheadBlack
}

// Diamond returns the head of a harmonic.
func Diamond(h draw.Symbol) draw.Symbol {
	switch h {
	case draw.NoteheadBlack:
		return draw.NoteheadDiamondBlack
	case draw.NoteheadHalf:
		return draw.NoteheadDiamondHalf
	}
	return draw.NoteheadDiamondWhole
}

// Cross returns the head of a stroke without pitch.
func Cross(h draw.Symbol) draw.Symbol {
	switch h {
	case draw.NoteheadBlack:
		return draw.NoteheadXBlack
	case draw.NoteheadHalf:
		return draw.NoteheadXHalf
	}
	return draw.NoteheadXWhole
}

// Rest returns the rest of a value.
func Rest(v tune.Value) draw.Symbol {
	if v.BarRest {
		return draw.RestWhole
	}
	if v.Log2 < 0 {
		return draw.RestDoubleWhole
	}
	return [...]draw.Symbol{draw.RestWhole, draw.RestHalf, draw.RestQuarter, draw.Rest8th, draw.Rest16th, draw.Rest32nd, draw.Rest64th, draw.Rest128th, draw.Rest256th, draw.Rest512th, draw.Rest1024th}[min(int(v.Log2), 10)]
}

// Flag returns the flag of a value with tails.
func Flag(tails int, up bool) draw.Symbol {
	i := min(max(tails, 1), 8) - 1
	s := draw.Flag8thUp + draw.Symbol(2*i)
	if !up {
		s++
	}
	return s
}
