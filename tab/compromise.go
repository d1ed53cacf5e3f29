package tab

import (
	"fmt"
	"strconv"
	"strings"

	"lapwright/tune"
)

// Compromise is one place where the tab does not sound exactly what the tune
// says. Kind is what happened; the words are for people, and no code reads them.
type Compromise struct {
	Ref       tune.Ref
	Kind      Kind
	BarNumber int        // as printed
	At        tune.Ticks // from the start of the bar
	Wanted    string     // "F#4", "F#4 held for 3/8"
	Got       string     // "nothing", "F#4 plucked again"
	Why       string     // in a player's words
}

// Kind is what happened to a note that does not sound as the tune says.
type Kind uint8

// The kinds of compromise.
const (
	Otherwise    Kind = iota // told in words alone, by a person or by another program
	NotPlayed                // it begins in the tune and is not played at all
	LetGoEarly               // it is played, and stopped before its time is over
	AlreadyGone              // it should be held on, and had been let go before
	PluckedAgain             // it should be held on, and is plucked again
	OneString                // two voices meet on its pitch, and one string sounds both
	GlidePlucked             // it should be glided into, and is plucked
	ScoopLeftOut             // it should be scooped into, and begins at its pitch
	SlurPlucked              // it stands under a slur, and is plucked
	OtherPitch               // it sounds at another pitch
)

// kinds are the words for each kind, each with the note's name where %s stands.
var kinds = [...]struct{ wanted, got string }{
	NotPlayed:    {"%s", "nothing"},
	LetGoEarly:   {"%s", "let go early"},
	AlreadyGone:  {"%s held on", "nothing"},
	PluckedAgain: {"%s held on", "%s plucked again"},
	OneString:    {"%s", "one string for both notes"},
	GlidePlucked: {"a glide into %s", "%s plucked"},
	ScoopLeftOut: {"a scoop into %s", "%s without it"},
	SlurPlucked:  {"%s under a slur", "%s plucked"},
	OtherPitch:   {"%s", "a pitch off it"}, // OffPitch says by how much
}

// Lost reports whether the note is not heard at all where it stands.
func (k Kind) Lost() bool { return k == NotPlayed || k == AlreadyGone }

// NewCompromise tells what happened to the note at ref, at a place in its bar.
// held is how long a note that is LetGoEarly was to be held; 0 leaves that unsaid.
func NewCompromise(t *tune.Tune, ref tune.Ref, at tune.Ticks, k Kind, held tune.Ticks, why string) Compromise {
	name := t.Note(ref).Name.String()
	wanted := named(kinds[k].wanted, name)
	if k == LetGoEarly && held > 0 {
		wanted += fmt.Sprintf(" held for %s", held)
	}
	return Compromise{Ref: ref, Kind: k, BarNumber: t.Bars[ref.Bar].Number, At: at, Wanted: wanted, Got: named(kinds[k].got, name), Why: why}
}

// OffPitch tells of the note at ref that it sounds so many cents from its pitch.
func OffPitch(t *tune.Tune, ref tune.Ref, at tune.Ticks, cents float64, why string) Compromise {
	c := NewCompromise(t, ref, at, OtherPitch, 0, why)
	c.Got = fmt.Sprintf(offPitch, cents)
	return c
}

const (
	centsVerb = "%+.0f"
	offPitch  = "a pitch " + centsVerb + " cents from it"
)

// named puts a note's name where a text has %s.
func named(text, name string) string { return strings.Replace(text, "%s", name, 1) }

// ReadKind returns the kind of a compromise that stands in a file in the words
// that NewCompromise gives; Otherwise when they are other words.
func ReadKind(note, wanted, got string) Kind {
	for k := NotPlayed; int(k) < len(kinds); k++ {
		asked := named(kinds[k].wanted, note)
		held := k == LetGoEarly && strings.HasPrefix(wanted, asked)
		if got == named(kinds[k].got, note) && (wanted == asked || held) {
			return k
		}
	}
	before, after, _ := strings.Cut(offPitch, centsVerb)
	figure := strings.TrimSuffix(strings.TrimPrefix(got, before), after)
	if cents, err := strconv.ParseFloat(figure, 64); err == nil && wanted == note && got == fmt.Sprintf(offPitch, cents) {
		return OtherPitch
	}
	return Otherwise
}
