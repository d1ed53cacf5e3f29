package pitch

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// BadChord says what in a text is not a chord symbol. Offset is the byte at
// which reading stopped.
type BadChord struct {
	Text   string
	Offset int
	Want   string
}

func (e *BadChord) Error() string {
	return fmt.Sprintf("%q is not a chord symbol: %s at character %d", e.Text, e.Want, utf8.RuneCountInString(e.Text[:e.Offset])+1)
}

// maxChord bounds the text of a chord symbol in bytes.
const maxChord = 64

// ParseChord reads a chord symbol: a root with a capital letter, a quality, and
// a bass after a slash, such as "F#m7b5/E", "C6", "G7sus4", "B♭13" or "D/f#".
//
// The usual ways to write a quality are read alike: "m", "min" and "-"; "maj",
// "M", "Δ"; "dim", "o", "°"; "aug", "+"; "ø"; "7b9", "7-9" and "7(♭9)"; "add9"
// and "/9"; "no3" and "omit3". "+9" straight after the root is the augmented
// ninth chord; later it is the sharp ninth.
//
// The error is always a *BadChord.
func ParseChord(s string) (Chord, error) {
	if len(s) > maxChord {
		return Chord{}, &BadChord{strings.ToValidUTF8(s[:maxChord], ""), 0, fmt.Sprintf("at most %d bytes expected", maxChord)}
	}
	text := strings.TrimSpace(s)
	if text == "" || text[0] < 'A' || text[0] > 'G' {
		return Chord{}, &BadChord{text, 0, "a capital letter A to G expected"}
	}
	root, n, err := scanClass(text)
	if err != nil {
		return Chord{}, &BadChord{text, n, "at most two sharps or two flats expected"}
	}
	p := chordReader{text: text, at: n, bass: root}
	if err := p.read(); err != nil {
		return Chord{}, err
	}
	p.recipe.normalise()
	return Chord{Root: root, Quality: p.recipe.suffix(), Bass: p.bass, Tones: p.recipe.tones()}, nil
}

// chordReader reads the part of a chord symbol after its root.
type chordReader struct {
	text   string
	at     int
	recipe recipe
	bass   Class

	named bool // the kind of third has been named
	apart bool // a bracket, comma or blank stands right before: a number is an addition
	begun bool // something of the quality has been read
	deep  int  // open brackets
}

func (p *chordReader) fail(want string) error { return &BadChord{p.text, p.at, want} }

// take moves past the longest of the words that stands here.
func (p *chordReader) take(words ...string) bool {
	best := ""
	for _, w := range words {
		if len(w) > len(best) && strings.HasPrefix(p.text[p.at:], w) {
			best = w
		}
	}
	p.at += len(best)
	return best != ""
}

// peekDegree returns the degree written at byte at, 0 when there is none, and its
// length.
func (p *chordReader) peekDegree(at int) (int8, int) {
	rest := p.text[min(at, len(p.text)):]
	for _, d := range [...]struct {
		text   string
		degree int8
	}{{"13", 13}, {"11", 11}, {"2", 2}, {"3", 3}, {"4", 4}, {"5", 5}, {"6", 6}, {"7", 7}, {"9", 9}} {
		if strings.HasPrefix(rest, d.text) {
			return d.degree, len(d.text)
		}
	}
	return 0, 0
}

func (p *chordReader) read() error {
	for p.at < len(p.text) {
		apart := p.apart
		p.apart = false
		before := p.at
		if err := p.step(apart); err != nil {
			return err
		}
		if p.at == before {
			return p.fail("a chord quality expected")
		}
	}
	if p.deep > 0 {
		return p.fail("a closing bracket expected")
	}
	return nil
}

func (p *chordReader) step(apart bool) error {
	rest := p.text[p.at:]
	switch r, size := utf8.DecodeRuneInString(rest); r {
	case '(':
		p.at += size
		p.deep++
		p.apart = true
		if p.deep > 1 {
			return p.fail("no bracket inside brackets expected")
		}
		return nil
	case ')':
		if p.deep == 0 {
			return p.fail("an opening bracket expected first")
		}
		p.at += size
		p.deep--
		p.apart = true
		return nil
	case ',', ' ':
		p.at += size
		p.apart = true
		return nil
	case '/':
		return p.slash()
	case 'b', '♭', '#', '♯':
		return p.alteration(size, r == '#' || r == '♯', false)
	case '-':
		if d, _ := p.peekDegree(p.at + size); p.begun && d != 0 || d == 5 {
			return p.alteration(size, false, false)
		}
	case '+':
		if d, _ := p.peekDegree(p.at + size); (p.begun && d != 0 && d != 7) || d == 5 || d == 11 {
			return p.alteration(size, true, false)
		}
	}
	if d, n := p.peekDegree(p.at); d != 0 {
		return p.degree(d, n, apart)
	}
	begun := p.begun
	p.begun = true
	switch {
	case p.take("add"):
		return p.addition()
	case p.take("no", "omit"):
		return p.omission()
	case p.take("sus"):
		return p.suspension()
	case p.take("alt"):
		if p.recipe.ext != 0 && p.recipe.ext != 7 || p.named || p.recipe.sixth || p.recipe.seventh == majorSeventh {
			return p.fail("\"alt\" expected only after the root or a 7")
		}
		p.recipe.altered = true
		p.recipe.seventh, p.recipe.ext = flatSeventh, 7
		return nil
	case !begun && p.take("dom"):
		return nil
	case strings.HasPrefix(rest, "madd"), strings.HasPrefix(rest, "malt"):
		p.at++
		return p.name(minorThird)
	case p.take("major", "Major", "maj", "Maj", "MAJ", "ma", "Ma", "M"):
		return p.major(false)
	case p.take("Δ", "△", "∆", "^"):
		return p.major(true)
	case p.take("minor", "min", "Min", "mi", "m"), !begun && p.take("-", "−", "–"):
		return p.name(minorThird)
	case p.take("dim", "Dim", "°", "º", "o"):
		return p.diminished()
	case p.take("ø", "Ø"):
		return p.halfDiminished()
	case p.take("aug", "Aug", "+"):
		return p.augmented()
	}
	p.begun = begun
	return nil
}

// name fixes the kind of third.
func (p *chordReader) name(t third) error {
	if p.named || p.recipe.ext != 0 || p.recipe.sixth || p.recipe.sus2 || p.recipe.sus4 {
		return p.fail("\"major\" or \"minor\" expected once, before any number")
	}
	p.named = true
	p.recipe.third = t
	return nil
}

// major reads what stands after "maj": a seventh and more, or nothing.
func (p *chordReader) major(triangle bool) error {
	d, n := p.peekDegree(p.at)
	switch d {
	case 7, 9, 11, 13:
		if p.recipe.ext != 0 {
			return p.fail("one number expected")
		}
		p.at += n
		p.recipe.seventh, p.recipe.ext = majorSeventh, d
		p.named = true
		return nil
	case 0, 6:
		if p.named {
			if !triangle {
				return p.fail("a 7, 9, 11 or 13 expected after \"maj\"")
			}
			p.recipe.seventh, p.recipe.ext = majorSeventh, 7
			return nil
		}
		if triangle && d == 0 {
			p.recipe.seventh, p.recipe.ext = majorSeventh, 7
		}
		p.named = true
		return nil
	}
	return p.fail("a 6, 7, 9, 11 or 13 expected after \"maj\"")
}

func (p *chordReader) diminished() error {
	if err := p.name(minorThird); err != nil {
		return err
	}
	if p.recipe.noFifth {
		return p.fail("a fifth that isn't left out expected")
	}
	p.recipe.flat5 = true
	d, n := p.peekDegree(p.at)
	switch d {
	case 7, 9, 11:
		p.at += n
		p.recipe.seventh, p.recipe.ext = dimSeventh, d
	}
	return nil
}

func (p *chordReader) halfDiminished() error {
	if err := p.name(minorThird); err != nil {
		return err
	}
	if p.recipe.noFifth {
		return p.fail("a fifth that isn't left out expected")
	}
	p.recipe.flat5 = true
	p.recipe.seventh, p.recipe.ext = flatSeventh, 7
	if d, n := p.peekDegree(p.at); d == 7 || d == 9 || d == 11 {
		p.at += n
		p.recipe.ext = d
	}
	return nil
}

func (p *chordReader) augmented() error {
	if p.recipe.sharp5 || p.recipe.noFifth {
		return p.fail("one fifth that isn't left out expected")
	}
	if d, _ := p.peekDegree(p.at); d == 7 && p.recipe.third == minorThird {
		return p.fail("\"maj7\" or \"7#5\" expected: a plus before a 7 after a minor chord is read both ways")
	}
	p.recipe.sharp5 = true
	if !p.named && p.recipe.ext == 0 {
		p.named = true
	}
	return nil
}

func (p *chordReader) suspension() error {
	if p.recipe.third == minorThird {
		return p.fail("no \"sus\" expected: a suspended chord has no third, minor or major")
	}
	if p.recipe.sus2 || p.recipe.sus4 {
		if p.take("2") && !p.recipe.sus2 || p.take("4") && !p.recipe.sus4 {
			p.recipe.sus2, p.recipe.sus4 = true, true
			return nil
		}
		return p.fail("one suspension expected")
	}
	switch {
	case p.take("24"):
		p.recipe.sus2, p.recipe.sus4 = true, true
	case p.take("2"):
		p.recipe.sus2 = true
	default:
		p.take("4")
		p.recipe.sus4 = true
	}
	p.recipe.third = noThird
	return nil
}

// degree reads a bare number.
func (p *chordReader) degree(d int8, n int, apart bool) error {
	if (p.recipe.ext != 0 || p.recipe.sixth || (apart && d > 7 && p.recipe.seventh == noSeventh)) && apart {
		if d < 9 {
			return p.fail("one number expected, others with \"add\"")
		}
		p.at += n
		p.recipe.add(tension{d, 0})
		return nil
	}
	if p.recipe.ext != 0 {
		return p.fail("one number expected, others with \"add\"")
	}
	switch d {
	case 7, 9, 11, 13:
		if p.recipe.seventh != noSeventh {
			return p.fail("one number expected")
		}
		if p.recipe.sixth {
			if d == 9 {
				p.at += n
				p.recipe.add(tension{9, 0})
				return nil
			}
			return p.fail("one number expected, others with \"add\"")
		}
		p.recipe.seventh, p.recipe.ext = flatSeventh, d
	case 6:
		if p.recipe.sixth {
			return p.fail("one 6 expected")
		}
		p.recipe.sixth = true
	case 5:
		if p.begun {
			return p.fail("a sharp or flat expected before the 5")
		}
		p.recipe.third = noThird
		p.named = true
	case 2:
		if p.begun {
			return p.fail("\"add2\" or \"sus2\" expected")
		}
		p.recipe.add(tension{2, 0})
	default:
		return p.fail("a 5, 6, 7, 9, 11 or 13 expected")
	}
	p.begun = true
	p.at += n
	return nil
}

// slash reads "/9", "/maj7" after minor, or the bass.
func (p *chordReader) slash() error {
	after := p.at + 1
	if d, n := p.peekDegree(after); d != 0 {
		p.at = after
		p.begun = true
		if d == 9 || d == 11 || d == 13 {
			p.at += n
			p.recipe.add(tension{d, 0})
			return nil
		}
		if d == 6 && p.recipe.seventh != noSeventh && !p.recipe.sixth {
			p.at += n
			p.recipe.sixth = true
			return nil
		}
		return p.fail("a bass note, 9, 11 or 13 expected after the slash")
	}
	rest := p.text[min(after, len(p.text)):]
	if p.recipe.third == minorThird && p.recipe.ext == 0 && strings.HasPrefix(strings.ToLower(rest), "ma") {
		p.at = after
		return nil
	}
	if r, size := utf8.DecodeRuneInString(rest); r == 'b' || r == '♭' || r == '#' || r == '♯' {
		if d, _ := p.peekDegree(after + size); d != 0 {
			p.at = after
			return p.alteration(size, r == '#' || r == '♯', true)
		}
	}
	if p.deep > 0 {
		return p.fail("no bass inside brackets expected")
	}
	c, n, err := scanClass(rest)
	p.at = after
	if err != nil {
		return p.fail("a bass note expected after the slash")
	}
	if after+n != len(p.text) {
		p.at = after + n
		return p.fail("nothing more expected after the bass")
	}
	p.bass = c
	p.at = after + n
	return nil
}

// alteration reads an accidental of the given size and the degree after it.
// added says that it was written as an addition.
func (p *chordReader) alteration(size int, sharp, added bool) error {
	p.begun = true
	d, n := p.peekDegree(p.at + size)
	alter := int8(-1)
	if sharp {
		alter = 1
	}
	if d == 5 && !added {
		if p.recipe.noFifth {
			return p.fail("a fifth that isn't left out expected")
		}
		if sharp {
			p.recipe.sharp5 = true
		} else {
			p.recipe.flat5 = true
		}
		p.at += size + n
		return nil
	}
	if d == 7 && sharp && p.recipe.third == minorThird && p.recipe.ext == 0 {
		p.recipe.seventh, p.recipe.ext = majorSeventh, 7
		p.at += size + n
		return nil
	}
	switch t := (tension{d, alter}); t {
	case tension{9, -1}, tension{9, 1}, tension{11, 1}, tension{13, -1}, tension{6, -1}, tension{2, -1}, tension{4, 1}:
		p.recipe.add(t)
		p.at += size + n
		return nil
	}
	p.at += size
	return p.fail("a degree that can be altered (b5 #5 b9 #9 #11 b13) expected")
}

// addition reads the degree after "add".
func (p *chordReader) addition() error {
	p.take(" ")
	r, size := utf8.DecodeRuneInString(p.text[p.at:])
	switch r {
	case 'b', '♭', '#', '♯', '-', '+':
		return p.alteration(size, r == '#' || r == '♯' || r == '+', true)
	}
	d, n := p.peekDegree(p.at)
	switch d {
	case 2, 4, 9, 11, 13:
		p.recipe.add(tension{d, 0})
	case 6:
		if p.recipe.sixth {
			return p.fail("one 6 expected")
		}
		p.recipe.sixth = true
	default:
		return p.fail("a degree expected after \"add\"")
	}
	p.at += n
	return nil
}

// omission reads the degree after "no".
func (p *chordReader) omission() error {
	p.take(" ")
	d, n := p.peekDegree(p.at)
	switch {
	case d == 3 && !p.recipe.sus2 && !p.recipe.sus4 && p.recipe.third != minorThird:
		p.recipe.third = noThird
		p.named = true
	case d == 5 && !p.recipe.flat5 && !p.recipe.sharp5 && !p.recipe.noFifth:
		p.recipe.noFifth = true
	case d == 9:
		p.recipe.omit9 = true
	case d == 11:
		p.recipe.omit11 = true
	default:
		return p.fail("a tone that the chord has (3, 5, 9 or 11) expected to be left out")
	}
	p.at += n
	return nil
}
