package report

import (
	"fmt"
	"math"

	"lapwright/listen"
	"lapwright/listen/line"
	"lapwright/notation/tabtext"
	"lapwright/pitch"
	"lapwright/say"
)

// ReviewVersion is the version of the form Review. A field that changes its
// meaning or goes away raises it.
const ReviewVersion = 1

// Review is what a take did against a tab.
type Review struct {
	Version int            `json:"version"`
	Notes   []ReviewNote   `json:"notes"`
	Extra   []ReviewExtra  `json:"extra"`
	Strings []ReviewString `json:"strings"`
	Slants  []ReviewSlant  `json:"slants"`
	Tempo   *float64       `json:"tempo"` // quarters a minute; null when it can't be told
	// Against is what notes are late against: "click"; "differences", the click with the median taken off; "tempo", the
	// player's own; "" of a take that can't be judged.
	Against  string         `json:"against"`
	Delay    *float64       `json:"delay"`    // milliseconds of the device, taken off; null where it isn't known or no click counts
	TakenOff *float64       `json:"takenOff"` // milliseconds, the median, where Against is "differences"
	Advice   []ReviewAdvice `json:"advice"`
}

// ReviewNote is what became of one note on one string.
type ReviewNote struct {
	Bar            int      `json:"bar"`
	At             string   `json:"at"` // of a whole note, from the tune's start, repeats unfolded
	String         int      `json:"string"`
	Fret           float64  `json:"fret"`
	Wanted         float64  `json:"wanted"` // hertz, in equal temperament
	Status         string   `json:"status"` // played, missed or wrong
	Onset          *float64 `json:"onset"`  // seconds
	Late           *float64 `json:"late"`   // milliseconds, against Review.Against
	Cents          *float64 `json:"cents"`
	PlusMinus      *float64 `json:"plusMinus"` // standard error of both cents
	CentsJust      *float64 `json:"centsJust"`
	Spread         *float64 `json:"spread"`
	SteelMM        *float64 `json:"steelMM"`        // positive towards the bridge
	SteelPlusMinus *float64 `json:"steelPlusMinus"` // standard error of it
	Sure           bool     `json:"sure"`
}

// ReviewExtra is something played that the tab does not have.
type ReviewExtra struct {
	Onset float64 `json:"onset"`
	Pitch string  `json:"pitch"`
}

// ReviewString is how a string is tuned; null where that can't be told from how
// the steel lies.
type ReviewString struct {
	String    int      `json:"string"`
	Cents     *float64 `json:"cents"`
	PlusMinus *float64 `json:"plusMinus"` // standard error
}

// ReviewSlant is how the steel lay under one grip.
type ReviewSlant struct {
	Bar            int     `json:"bar"`
	At             string  `json:"at"` // as in ReviewNote
	Strings        []int   `json:"strings"`
	Kind           string  `json:"kind"`
	Wanted         float64 `json:"wanted"` // degrees from square, forward positive
	Degrees        float64 `json:"degrees"`
	PlusMinus      float64 `json:"plusMinus"`      // degrees, standard error
	SteelMM        float64 `json:"steelMM"`        // its middle
	SteelPlusMinus float64 `json:"steelPlusMinus"` // standard error of it
	Sure           bool    `json:"sure"`
}

// ReviewAdvice is one thing to practise.
type ReviewAdvice struct {
	Bars  []int        `json:"bars"` // empty for the whole piece
	Text  string       `json:"text"`
	Drill *ReviewDrill `json:"drill"` // null where there is nothing to practise, or to practise it with
}

// ReviewDrill is the exercise for one piece of advice, made for the spot.
type ReviewDrill struct {
	DrillKind
	Title string `json:"title"`
	Tab   string `json:"tab"` // as tab text
}

// ReviewOf returns a review to other programs. A take that can't be judged has no
// figures and one piece of advice, which says why.
func ReviewOf(r *listen.Reviewed) Review {
	out := Review{
		Version: ReviewVersion, Notes: []ReviewNote{}, Extra: []ReviewExtra{}, Strings: []ReviewString{},
		Slants: []ReviewSlant{}, Advice: []ReviewAdvice{},
	}
	if r.Refused != "" {
		out.Advice = append(out.Advice, ReviewAdvice{Bars: []int{}, Text: r.Refused})
		return out
	}
	for i := range r.Notes {
		n := &r.Notes[i]
		note := ReviewNote{
			Bar: n.BarNumber, At: n.At.String(), String: n.String, Fret: decimals(n.Fret, 3), Wanted: decimals(float64(n.Wanted), 3), Status: string(n.Status),
			Late: known(1000*n.Late, 0), Cents: known(n.Cents, 2), CentsJust: known(n.CentsJust, 2), Spread: known(n.Spread, 2), SteelMM: known(n.SteelMM, 2),
			PlusMinus: known(n.Doubt, 2), SteelPlusMinus: known(n.MMDoubt, 2), Sure: n.Sure,
		}
		if n.Status != listen.Missed {
			note.Onset = known(n.Onset, 4)
		}
		out.Notes = append(out.Notes, note)
	}
	for _, e := range r.Extra {
		out.Extra = append(out.Extra, ReviewExtra{decimals(e.Onset, 4), e.Pitch.String()})
	}
	for _, s := range r.Strings {
		x := ReviewString{String: s.String}
		if s.Told {
			x.Cents, x.PlusMinus = known(s.Cents, 1), known(s.Doubt, 1)
		}
		out.Strings = append(out.Strings, x)
	}
	for _, s := range r.Slants {
		out.Slants = append(out.Slants, ReviewSlant{
			s.BarNumber, s.At.String(), s.Strings, s.Kind.String(), decimals(s.Wanted, 1), decimals(s.Degrees, 1), decimals(s.PlusMinus, 1), decimals(s.SteelMM, 2), decimals(s.MMDoubt, 2), s.Sure,
		})
	}
	if r.Tempo > 0 {
		out.Tempo = known(r.Tempo, 1)
	}
	out.Against, out.Delay, out.TakenOff = string(r.Against), known(1000*r.Delay, 0), known(1000*r.TakenOff, 0)
	out.Advice = append(out.Advice, AdviceOf(r.Advice)...)
	return out
}

// AdviceOf returns what to practise to other programs.
func AdviceOf(all []listen.Advice) []ReviewAdvice {
	var out []ReviewAdvice
	for _, a := range all {
		bars := a.Bars
		if bars == nil {
			bars = []int{}
		}
		advice := ReviewAdvice{Bars: bars, Text: a.Text}
		if d := a.Drill; d != nil {
			advice.Drill = &ReviewDrill{drillKind(d.Kind), d.Tab.Tune.Title, string(tabtext.Format(d.Tab))}
		}
		out = append(out, advice)
	}
	return out
}

// Says tells what an exercise is, in a line.
func (d *ReviewDrill) Says() string {
	return say.Capital(fmt.Sprintf("%s; from %d to %d beats a minute.", d.Words, d.Start, d.Target))
}

// Open is how a rig's strings stand.
type Open struct {
	Strings []OpenString `json:"strings"`
	Refused string       `json:"refused,omitempty"` // why nothing could be told
}

// OpenString is how one open string stands.
type OpenString struct {
	String int      `json:"string"`
	Wanted float64  `json:"wanted"` // hertz
	Hz     *float64 `json:"hz"`     // null when the string was not heard
	Cents  *float64 `json:"cents"`
	Onset  *float64 `json:"onset"` // seconds
}

// OpenOf returns how strings stand to other programs.
func OpenOf(r *line.Tuning) Open {
	out := Open{Strings: []OpenString{}, Refused: r.Refused}
	for _, s := range r.Strings {
		x := OpenString{String: s.String, Wanted: decimals(float64(s.Wanted), 3)}
		if s.Heard {
			x.Hz, x.Cents, x.Onset = known(float64(s.Hz), 3), known(float64(pitch.Between(s.Wanted, s.Hz)), 1), known(s.Onset, 3)
		}
		out.Strings = append(out.Strings, x)
	}
	return out
}

// Now is where the steel is at this moment; null where nothing is clear, or the string is open.
type Now struct {
	String int      `json:"string"` // of the tab's place that it is held against; 0 for none
	Fret   float64  `json:"fret"`
	Cents  *float64 `json:"cents"`   // from that place
	MM     *float64 `json:"steelMM"` // positive towards the bridge
	At     float64  `json:"at"`      // where the steel is, in frets; 0 where the string is open
	Behind float64  `json:"behind"`  // milliseconds before the last sample of what is told
}

// NowOf returns what sounds now to other programs; nothing that is clear is the zero value.
func NowOf(h listen.Heard, ok bool) Now {
	if !ok {
		return Now{}
	}
	return Now{h.String, decimals(h.Fret, 3), known(h.Cents, 1), known(h.MM, 2), decimals(h.At, 3), decimals(1000*h.Behind, 1)}
}

// Written is a single line written down from a take.
type Written struct {
	Tempo   *float64      `json:"tempo"` // quarters a minute
	Notes   []WrittenNote `json:"notes"`
	Refused string        `json:"refused,omitempty"` // why nothing could be written
}

// WrittenNote is one note of it.
type WrittenNote struct {
	Bar        int     `json:"bar"`
	At         string  `json:"at"`     // of a whole note, from the start
	Length     string  `json:"length"` // the same
	Pitch      string  `json:"pitch"`
	Onset      float64 `json:"onset"` // seconds
	Cents      float64 `json:"cents"` // from the pitch written
	Confidence float64 `json:"confidence"`
}

// WrittenOf gives a line written down to other programs.
func WrittenOf(r *line.Written) Written {
	out := Written{Notes: []WrittenNote{}, Refused: r.Refused}
	if r.Refused != "" {
		return out
	}
	out.Tempo = known(r.Tempo, 1)
	for _, n := range r.Notes {
		out.Notes = append(out.Notes, WrittenNote{n.BarNumber, n.At.String(), n.Len.String(), n.Name.String(), decimals(n.Onset, 3), decimals(n.Cents, 1), decimals(n.Sure, 2)})
	}
	return out
}

// known returns v to so many places, nil for what is no number.
func known(v float64, places int) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	r := decimals(v, places)
	return &r
}
