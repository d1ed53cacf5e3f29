package tab

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lapwright/inorder"
	"lapwright/pitch"
	"lapwright/tune"
)

// Added is one thing in a tab that its tune doesn't ask for and a player adds. It is
// no compromise: Whole takes it away again.
type Added struct {
	Kind      Addition
	Ref       tune.Ref // the note that is added or begun otherwise
	BarNumber int      // as printed
	At        tune.Ticks
	String    int        // on which it is played
	Name      pitch.Name // what is played there
}

// Addition is a kind of thing that a player adds.
type Addition uint8

// The additions.
const (
	AddJoin    Addition = iota // the note is hammered, pulled or slid to, where the tune has no slur
	AddSlideIn                 // it is slid into from a fret or two below
	AddVibrato                 // it is given vibrato
	AddRoll                    // it is a note of a roll under a long one
	AddHarmony                 // it sounds under the melody
	AddBend                    // it is reached by a bender, where the tune has no slur
)

// additions are their names, in files and for people.
var additions = [...]string{AddJoin: "joined", AddSlideIn: "slide-in", AddVibrato: "vibrato", AddRoll: "roll", AddHarmony: "harmony", AddBend: "bend"}

// String returns the name of an addition.
func (a Addition) String() string { return additions[a] }

// Note reports whether a note is added, rather than a way to play one.
func (a Addition) Note() bool { return a == AddRoll || a == AddHarmony }

// LeftOut is one note of the whole tune that a tab does without, as an outline
// does. Tab.Tune has something else there, or nothing; Whole puts it back.
type LeftOut struct {
	BarIndex int // into Tune.Bars
	Voice    int
	At       tune.Ticks // from the start of the bar
	Len      tune.Ticks
	Grace    int // index among the graces before the event at At, −1 for a note of the event itself
	Name     pitch.Name
	Tie      bool // it is held on into the next event
	Glide    bool // it glides into the next event
	Scoop    int8 // where the glide into it begins, as in tune.Note
	Chop     bool // it is a stroke without pitch
	Beside   bool // it sounds beside what the tab has at its place, not in its stead
}

// Text returns an addition as files keep it: its name, bar, voice, event and note of
// Tab.Tune counted from 1, and what is told of it.
func (a Added) Text() string {
	grace := ""
	if a.Ref.Grace >= 0 {
		grace = "g" + strconv.Itoa(a.Ref.Grace+1)
	}
	return fmt.Sprintf("%s %d.%d.%d%sn%d bar %d at %s string %d %s", a.Kind, a.Ref.Bar+1, a.Ref.Voice+1, a.Ref.Event+1, grace, a.Ref.Note+1, a.BarNumber, a.At, a.String, a.Name)
}

// ParseAdded reads what Added.Text wrote. The Ref is not looked up.
func ParseAdded(s string) (Added, bool) {
	a := Added{Ref: tune.Ref{Grace: -1}}
	w := strings.Fields(s)
	if len(w) != 9 || w[2] != "bar" || w[4] != "at" || w[6] != "string" {
		return a, false
	}
	kind := slices.Index(additions[:], w[0])
	if kind < 0 {
		return a, false
	}
	a.Kind = Addition(kind)
	place, note, ok := strings.Cut(w[1], "n")
	if !ok {
		return a, false
	}
	place, grace, graced := strings.Cut(place, "g")
	parts := strings.Split(place, ".")
	if len(parts) != 3 {
		return a, false
	}
	counted := []struct {
		text string
		to   *int
	}{{parts[0], &a.Ref.Bar}, {parts[1], &a.Ref.Voice}, {parts[2], &a.Ref.Event}, {note, &a.Ref.Note}, {w[7], &a.String}}
	if graced {
		counted = append(counted, struct {
			text string
			to   *int
		}{grace, &a.Ref.Grace})
	}
	for _, c := range counted {
		n, err := strconv.Atoi(c.text)
		if err != nil || n < 1 || n > 1<<20 {
			return a, false
		}
		*c.to = n - 1
	}
	a.String++
	bar, err := strconv.Atoi(w[3])
	at, okAt := parseTicks(w[5])
	name, err2 := pitch.ParseName(w[8])
	a.BarNumber, a.At, a.Name = bar, at, name
	return a, err == nil && okAt && err2 == nil
}

// Text returns a note left out as files keep it: bar and voice counted from 1, place,
// length and name.
func (l LeftOut) Text() string {
	s := fmt.Sprintf("%d.%d at %s len %s %s", l.BarIndex+1, l.Voice+1, l.At, l.Len, l.Name)
	for _, x := range []struct {
		is   bool
		word string
	}{{l.Tie, "tied"}, {l.Glide, "glides"}, {l.Chop, "chopped"}, {l.Beside, "beside"}} {
		if x.is {
			s += " " + x.word
		}
	}
	if l.Scoop != 0 {
		s += fmt.Sprintf(" scoop %d", l.Scoop)
	}
	if l.Grace >= 0 {
		s += fmt.Sprintf(" grace %d", l.Grace+1)
	}
	return s
}

// ParseLeftOut reads what LeftOut.Text wrote.
func ParseLeftOut(s string) (LeftOut, bool) {
	l := LeftOut{Grace: -1}
	w := strings.Fields(s)
	if len(w) < 6 || w[1] != "at" || w[3] != "len" {
		return l, false
	}
	bar, voice, ok := strings.Cut(w[0], ".")
	b, err := strconv.Atoi(bar)
	v, err2 := strconv.Atoi(voice)
	at, okAt := parseTicks(w[2])
	length, okLen := parseTicks(w[4])
	name, err3 := pitch.ParseName(w[5])
	if !ok || err != nil || err2 != nil || err3 != nil || !okAt || !okLen || b < 1 || v < 1 || length <= 0 {
		return l, false
	}
	l.BarIndex, l.Voice, l.At, l.Len, l.Name = b-1, v-1, at, length, name
	rest := w[6:]
	for _, x := range []struct {
		is   *bool
		word string
	}{{&l.Tie, "tied"}, {&l.Glide, "glides"}, {&l.Chop, "chopped"}, {&l.Beside, "beside"}} {
		if len(rest) > 0 && rest[0] == x.word {
			*x.is, rest = true, rest[1:]
		}
	}
	if len(rest) > 1 && rest[0] == "scoop" {
		n, err := strconv.ParseInt(rest[1], 10, 8)
		if err != nil || n == 0 {
			return l, false
		}
		l.Scoop, rest = int8(n), rest[2:]
	}
	if len(rest) == 2 && rest[0] == "grace" {
		n, err := strconv.Atoi(rest[1])
		if err != nil || n < 1 || n > tune.MaxGraces {
			return l, false
		}
		l.Grace, rest = n-1, nil
	}
	return l, len(rest) == 0
}

// parseTicks reads a time as Ticks.String writes it: 0, 3/8 or 2, of a whole note.
func parseTicks(s string) (tune.Ticks, bool) {
	num, den, is := strings.Cut(s, "/")
	n, err := strconv.ParseInt(num, 10, 32)
	d := int64(1)
	if is && err == nil {
		d, err = strconv.ParseInt(den, 10, 32)
	}
	if err != nil || n < 0 || d < 1 {
		return 0, false
	}
	return tune.Of(n, d)
}

// SortAdded puts additions into written order.
func SortAdded(a []Added) {
	inorder.Stable(a, func(a, b Added) int { return cmp.Or(cmp.Compare(a.Ref.Bar, b.Ref.Bar), cmp.Compare(a.At, b.At)) })
}

// Touched lists the joins, bends, slides in and vibrato of a tab that its tune doesn't
// ask for: no slur leads into the note, no grace stands before it, nothing glides to it.
func Touched(t *Tab) []Added {
	joined := tune.Slurred(t.Tune)
	var out []Added
	glides := map[int]bool{} // by string: the tune has its sound glide on
	for i := range t.Strokes {
		s := &t.Strokes[i]
		for j := range s.Plucks {
			p := &s.Plucks[j]
			n, e := t.Tune.Note(p.Ref), t.Tune.Event(p.Ref)
			if n == nil {
				continue
			}
			add := func(k Addition) {
				out = append(out, Added{k, p.Ref, t.Tune.Bars[s.BarIndex].Number, s.At, p.String, n.Name})
			}
			asked := glides[p.String] || joined[[3]int{p.Ref.Bar, p.Ref.Voice, p.Ref.Event}] || p.Ref.Grace > 0 || p.Ref.Grace < 0 && len(e.Graces) > 0
			switch {
			case asked:
			case p.Attack == BentTo:
				add(AddBend)
			case p.Attack == Glided, p.Attack == Hammered, p.Attack == PulledOff:
				add(AddJoin)
			}
			if p.Scoop != 0 && n.Scoop == 0 {
				add(AddSlideIn)
			}
			if p.Vibrato {
				add(AddVibrato)
			}
			glides[p.String] = p.Glide && n.Glide
		}
	}
	return out
}
