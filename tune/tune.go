package tune

import (
	"slices"
	"strconv"
	"strings"

	"lapwright/pitch"
)

// Tune is one piece of written music. Readers give only tunes for which Check
// finds nothing.
type Tune struct {
	Index     int // its number in the file it came from
	Title     string
	Subtitles []string
	Composer  string
	Origin    string
	Rhythm    string   // kind of dance or feel: "waltz", "reel"
	Source    string   // who it was had from
	Notes     []string // remarks
	Words     []string // verses printed after the music
	Swing     Swing    // how its eighths are parted
	PartOrder string   // the order of Bar.Part labels when played, such as "AABB"; "" is as written
	Voices    []Voice  // at least one
	Bars      []Bar
}

// Voice names one line of the music.
type Voice struct {
	ID   string
	Name string
}

// Bar is one written bar.
type Bar struct {
	Number     int // as printed; 0 for a pickup, a first and second ending count on
	Key        pitch.Key
	Meter      Meter
	Len        Ticks   // actual length; shorter than the meter's for a pickup
	Part       string  // label of the part that begins here, or ""
	Left       Barline // the barline before it, for what repeats forward
	Right      Barline // the barline after it
	Endings    []int   // pass numbers of the ending that begins here; nil when none begins
	EndingEnds bool    // the ending's bracket ends after this bar
	Signs      []Sign
	Tempos     []Tempo
	Chords     []ChordAt
	Texts      []TextAt
	Lines      [][]Event // one for each voice, events in order of At, no gaps, no overlaps
	LineBreak  bool      // the source breaks its line after this bar
}

// Marked returns the times in the bar at which its tempos, chord symbols, texts
// and signs stand, kind by kind.
func (b *Bar) Marked() []Ticks {
	var at []Ticks
	for _, x := range b.Tempos {
		at = append(at, x.At)
	}
	for _, x := range b.Chords {
		at = append(at, x.At)
	}
	for _, x := range b.Texts {
		at = append(at, x.At)
	}
	for _, x := range b.Signs {
		at = append(at, x.At)
	}
	return at
}

// Meter is a time signature. A zero Meter is free meter.
type Meter struct {
	Beats, Unit int    // 6, 8 for 6/8
	Symbol      string // "C" or "C|" when written so
	Groups      []int  // the parts of an additive meter such as 2+2+3; nil otherwise
}

// Equal reports whether two meters are the same and written the same way.
func (m Meter) Equal(o Meter) bool {
	return m.Beats == o.Beats && m.Unit == o.Unit && m.Symbol == o.Symbol && slices.Equal(m.Groups, o.Groups)
}

// Len returns the length of a full bar, 0 for free meter.
func (m Meter) Len() Ticks {
	t, _ := Of(int64(m.Beats), int64(max(m.Unit, 1)))
	return t
}

// Numerator writes the beats as a time signature has them: "4", "3+2".
func (m Meter) Numerator() string {
	if len(m.Groups) == 0 {
		return strconv.Itoa(m.Beats)
	}
	parts := make([]string, len(m.Groups))
	for i, g := range m.Groups {
		parts[i] = strconv.Itoa(g)
	}
	return strings.Join(parts, "+")
}

// Beat returns the length of one felt beat: a dotted unit in compound time
// (6/8, 9/8, 12/8 and their kin), else one unit. Free meter gives a quarter.
func (m Meter) Beat() Ticks {
	switch {
	case m.Beats == 0:
		return Whole / 4
	case m.Unit >= 8 && m.Beats > 3 && m.Beats%3 == 0:
		return 3 * Whole / Ticks(m.Unit)
	}
	return Whole / Ticks(m.Unit)
}

// Barline is a barline and the repeats that go with it.
type Barline struct {
	Style  BarlineStyle
	Repeat int // on the left: 1 when a repeat starts here; on the right: how often more to play (1 for the usual sign)
}

// BarlineStyle is how a barline is drawn.
type BarlineStyle uint8

// The barline styles.
const (
	SingleBarline BarlineStyle = iota
	DoubleBarline              // thin thin
	FinalBarline               // thin thick
	OpenBarline                // thick thin
	DottedBarline
	NoBarline // not drawn
)

// Sign is a navigation mark.
type Sign struct {
	At   Ticks
	Kind SignKind
	Text string // what is printed, when the music has its own words for it
}

// SignKind is a navigation mark's meaning.
type SignKind uint8

// The navigation marks.
const (
	Segno SignKind = iota + 1
	Coda
	ToCoda
	Fine
	DaCapo
	DalSegno
	DaCapoAlFine
	DalSegnoAlFine
	DaCapoAlCoda
	DalSegnoAlCoda
)

// Tempo sets the speed from a place in a bar on.
type Tempo struct {
	At   Ticks
	Beat Ticks // the note that is counted; Whole/4 for a quarter
	// PerMinute is how many beats a minute, in thousandths, so that it is exact.
	PerMinute int64
	Text      string // "Slowly"; may stand alone with PerMinute 0
}

// ChordAt is a chord symbol over the music.
type ChordAt struct {
	At    Ticks
	Text  string       // as written
	Chord *pitch.Chord // nil when the text is no chord that is known
}

// Silent reports whether the text asks for no chord, as "N.C." does.
func (c ChordAt) Silent() bool {
	plain := strings.ToLower(strings.Trim(c.Text, "() "))
	return c.Chord == nil && (strings.HasPrefix(plain, "n.c") || plain == "nc" || plain == "tacet")
}

// TextAt is words at a place in a bar.
type TextAt struct {
	At    Ticks
	Text  string
	Below bool
}

// Kind says what an event is.
type Kind uint8

// The kinds of event.
const (
	Sounding Kind = iota
	Rest
	Skip // time that passes with nothing drawn
)

// Event is one thing in a voice: a note, a chord or a rest.
type Event struct {
	At, Len  Ticks
	Kind     Kind
	Notes    []Note   // low to high, at least one when Kind is Sounding
	Graces   []Grace  // played before Notes
	Value    Value    // as written; Value.Len() scaled by the tuplets equals Len except for bar rests
	Tuplets  []Tuplet // outermost first; each event inside carries it
	BeamEnd  bool     // the source separates this from the next event: no beam across
	Slurs    int      // slurs that begin here
	SlurEnds int      // slurs that end here
	Marks    []Mark
	Lyrics   []Lyric
}

// Value is a written note value. A bar rest has BarRest set.
type Value struct {
	Log2    int8 // 0 whole, 1 half, 2 quarter, 3 eighth …; −1 breve
	Dots    int8
	BarRest bool // a rest for the whole bar, whatever its length
}

// Tuplet is one level of tuplet: Actual notes in the time of Normal.
type Tuplet struct {
	Actual, Normal int
	Starts, Ends   bool
}

// Note is one note of an event.
type Note struct {
	Name pitch.Name
	Tie  bool // holds on into the same pitch of the next event of the voice
	// Glide says that the pitch moves without a break into a note of the next
	// event of the voice: the one at the same place in it, counted from the top.
	Glide bool
	// Scoop is how many semitones away the glide into this note begins: −1 is
	// from one fret below. 0 is no scoop.
	Scoop int8
	// Chop says that no pitch is heard: the palm lies on the strings when they are
	// struck. Name is then that of the open string that is struck, or should be.
	Chop bool
	// Show forces the accidental to be printed; Courtesy puts it in brackets.
	Show, Courtesy bool
}

// Grace is a note or chord played quickly before an event.
type Grace struct {
	Notes []Note
	Value Value
	Slash bool // a crushed note
}

// Mark is an articulation or ornament.
type Mark uint8

// The marks.
const (
	Staccato Mark = iota + 1
	Tenuto
	Accent
	StrongAccent
	Fermata
	Trill
	Turn
	Mordent
	InvertedMordent
	UpBow
	DownBow
	Arpeggio
	Roll
	Breath
	Swell // the note is begun softly and grows, as with a volume pedal
)

// Lyric is one syllable.
type Lyric struct {
	Verse  int // 1-based
	Text   string
	Hyphen bool // the word goes on
	Extend bool // the syllable is drawn out
}

// Ref points at one written note.
type Ref struct {
	Bar, Voice, Event int
	Grace             int // index of the grace, −1 for the event's own notes
	Note              int
}

// Note finds the note that a Ref points at, or nil.
func (t *Tune) Note(r Ref) *Note {
	if r.Bar < 0 || r.Bar >= len(t.Bars) {
		return nil
	}
	b := &t.Bars[r.Bar]
	if r.Voice < 0 || r.Voice >= len(b.Lines) || r.Event < 0 || r.Event >= len(b.Lines[r.Voice]) {
		return nil
	}
	e := &b.Lines[r.Voice][r.Event]
	notes := e.Notes
	if r.Grace >= 0 {
		if r.Grace >= len(e.Graces) {
			return nil
		}
		notes = e.Graces[r.Grace].Notes
	}
	if r.Note < 0 || r.Note >= len(notes) {
		return nil
	}
	return &notes[r.Note]
}

// Event finds the event that a note stands in or, as a grace, before; nil when the
// Ref points nowhere.
func (t *Tune) Event(r Ref) *Event {
	if t.Note(r) == nil {
		return nil
	}
	return &t.Bars[r.Bar].Lines[r.Voice][r.Event]
}

// Swells reports whether a note is to grow from soft.
func (t *Tune) Swells(r Ref) bool {
	e := t.Event(r)
	return e != nil && r.Grace < 0 && slices.Contains(e.Marks, Swell)
}

// FromTop counts the notes above the one that a Ref points at in its event or
// grace, which is how glides find their notes; −1 when it points nowhere.
func (t *Tune) FromTop(r Ref) int {
	if t.Note(r) == nil {
		return -1
	}
	e := &t.Bars[r.Bar].Lines[r.Voice][r.Event]
	if r.Grace >= 0 {
		return len(e.Graces[r.Grace].Notes) - 1 - r.Note
	}
	return len(e.Notes) - 1 - r.Note
}

// EventBefore returns the event that stands before event e of a voice of a bar, in
// that bar or at the end of the one before, or nil.
func (t *Tune) EventBefore(bar, voice, e int) *Event {
	if e > 0 {
		return &t.Bars[bar].Lines[voice][e-1]
	}
	return lastEvent(t, bar-1, voice)
}

// Flags returns how many flags or beams a note of that value has: 0 for a quarter
// note and longer.
func (v Value) Flags() int {
	if v.BarRest {
		return 0
	}
	return max(0, int(v.Log2)-2)
}

// Flags returns how many flags or beams an event has, 0 for all that doesn't sound.
func (e *Event) Flags() int {
	if e.Kind != Sounding {
		return 0
	}
	return e.Value.Flags()
}

// Len returns the plain length of a value, dots and all, without tuplets. It is
// 0 for a bar rest, whose length is the bar's.
func (v Value) Len() Ticks {
	if v.BarRest {
		return 0
	}
	base := Whole
	if v.Log2 >= 0 {
		base >>= uint(v.Log2)
	} else {
		base <<= uint(-v.Log2)
	}
	sum := base
	for i := int8(0); i < v.Dots; i++ {
		base /= 2
		sum += base
	}
	return sum
}
