package frame

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lapwright/inorder"
	"lapwright/pitch"
	"lapwright/tune"
)

// Kind says where a phrase stands.
type Kind uint8

// The kinds.
const (
	Intro Kind = iota
	Turnaround
	Ending
)

var kindNames = [...]string{"intro", "turnaround", "ending"}

// String returns the kind's name.
func (k Kind) String() string { return kindNames[k] }

// Kinds lists them in the order in which they are played.
func Kinds() []Kind { return []Kind{Intro, Turnaround, Ending} }

// Phrase is one intro, turnaround or ending.
type Phrase struct {
	Kind  Kind
	Name  string // unique in its kind
	Words string
	Suits []string     // words of the kinds of tune that it is made for; nil for any
	Modes []pitch.Mode // of the keys that it is in
	// Beats and Unit are the meter that it is written in; 4/4 serves 2/2, and 2/4 in
	// halves.
	Beats, Unit int
	// Text has its bars, parted by "|". A chord symbol by number in brackets (as
	// pitch.ParseDegree has it) stands before the note that it begins with. A note is a
	// degree of the major scale on the tonic, "b" or "#" before it, "," an octave below or
	// "'" above after it; then a colon and its length in eighths. "r" is a rest.
	Text string
}

// item is a note or rest of a phrase.
type item struct {
	degree string // "b3"; "" for a rest
	octave int
	chord  string // by number; "" where none begins
	at     tune.Ticks
	length tune.Ticks
}

// read reads the phrase's text: its items and its whole length.
func (p *Phrase) read() ([]item, tune.Ticks, error) {
	var out []item
	at := tune.Ticks(0)
	chord := ""
	for i, bar := range strings.Split(p.Text, "|") {
		for _, word := range strings.Fields(bar) {
			if c, ok := strings.CutPrefix(word, "["); ok {
				chord = strings.TrimSuffix(c, "]")
				continue
			}
			note, count, ok := strings.Cut(word, ":")
			n, err := strconv.Atoi(count)
			if !ok || err != nil || n < 1 {
				return nil, 0, fmt.Errorf("%s %s: %q is no note", p.Kind, p.Name, word)
			}
			x := item{chord: chord, at: at, length: tune.Ticks(n) * tune.Whole / 8}
			chord = ""
			if note != "r" {
				x.degree = strings.TrimRight(note, ",'")
				x.octave = strings.Count(note, "'") - strings.Count(note, ",")
			}
			out = append(out, x)
			at += x.length
		}
		if full := tune.Ticks(i+1) * p.meter().Len(); at != full {
			return nil, 0, fmt.Errorf("%s %s: bar %d ends at %s, not at %s", p.Kind, p.Name, i+1, at, full)
		}
	}
	return out, at, nil
}

func (p *Phrase) meter() tune.Meter { return tune.Meter{Beats: p.Beats, Unit: p.Unit} }

// name returns the pitch of a degree against a tonic.
func (x *item) name(tonic pitch.Name) (pitch.Name, error) {
	c, err := pitch.ParseDegree(x.degree, tonic.Class)
	if err != nil {
		return pitch.Name{}, err
	}
	up := pitch.Interval{Steps: (int(c.Root.Letter-tonic.Letter) + 7) % 7, Semitones: (c.Root.Semitone() - tonic.Semitone() + 12) % 12}
	up.Steps += 7 * x.octave
	up.Semitones += 12 * x.octave
	return tonic.Up(up), nil
}

// All returns the phrases of a kind in the order in which they are told.
func All(k Kind) []*Phrase {
	var out []*Phrase
	for i := range phrases {
		if phrases[i].Kind == k {
			out = append(out, &phrases[i])
		}
	}
	return out
}

// Find returns the phrase of a kind and a name.
func Find(k Kind, name string) (*Phrase, error) {
	var names []string
	for _, p := range All(k) {
		if p.Name == name {
			return p, nil
		}
		names = append(names, p.Name)
	}
	return nil, fmt.Errorf("unknown %s %q: it is %s or one of %s", k, name, Any, strings.Join(names, ", "))
}

// Any asks for the phrase that fits best.
const Any = "any"

// Fits reports whether a phrase can stand beside a bar, in its key and meter.
func (p *Phrase) Fits(b *tune.Bar) bool {
	m, own := b.Meter, p.meter()
	alike := m.Len() == own.Len() && (m.Beat() == own.Beat() || m.Beats == 2 && m.Unit == 2)
	halves := p.Beats == 4 && m.Beats == 2 && m.Unit == 4
	return slices.Contains(p.Modes, b.Key.Mode) && (alike || halves)
}

// suits reports whether a phrase is made for a kind of tune.
func (p *Phrase) suits(rhythm string) bool {
	return slices.ContainsFunc(p.Suits, func(word string) bool { return strings.Contains(strings.ToLower(rhythm), word) })
}

// Fitting returns the phrases of a kind that fit a tune: those made for its kind of
// tune first, then those for any, then those for others.
func Fitting(k Kind, t *tune.Tune) []*Phrase {
	var out []*Phrase
	for _, p := range All(k) {
		if p.Fits(beside(t, k)) {
			out = append(out, p)
		}
	}
	rank := func(p *Phrase) int {
		switch {
		case p.suits(t.Rhythm):
			return 0
		case p.Suits == nil:
			return 1
		}
		return 2
	}
	inorder.Stable(out, func(a, b *Phrase) int { return rank(a) - rank(b) })
	return out
}

// beside returns the bar of a tune whose key and meter a kind of phrase takes: the
// last for endings, else the first.
func beside(t *tune.Tune, k Kind) *tune.Bar {
	if k == Ending {
		return &t.Bars[len(t.Bars)-1]
	}
	return &t.Bars[0]
}
