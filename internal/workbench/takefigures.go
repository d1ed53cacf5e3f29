package workbench

import (
	"fmt"
	"math"
	"slices"
	"time"

	"lapwright/internal/studio"
	"lapwright/listen"
	"lapwright/listen/picture"
	"lapwright/report"
	"lapwright/say"
	"lapwright/sheet/draw"
)

// Measured is a take's figures in a line, to be compared with others of the same tune and rig.
type Measured struct {
	ID, Player, Date string
	Judged           bool
	Wanted, Played   int     // notes
	Cents, Late      float64 // medians without sign: cents, milliseconds; NaN where nothing was told
	Tempo            float64 // quarters a minute, 0 when unknown
	figures          picture.Figures
}

// Measure returns the figures of a take as they are kept.
func Measure(it *studio.Item) (Measured, error) {
	k, err := ReadTake(it)
	if err != nil {
		return Measured{}, err
	}
	m := Measured{ID: it.ID, Player: k.Player, Judged: len(k.Review.Notes) > 0, Wanted: len(k.Review.Notes)}
	if at, err := time.Parse(time.RFC3339, k.Played); err == nil {
		m.Date = at.Local().Format("2 Jan 2006")
	}
	if k.Review.Tempo != nil {
		m.Tempo = *k.Review.Tempo
	}
	var cents, late []float64
	regions := listen.Regions()
	byString := make([][]float64, len(k.Review.Strings))
	byRegion := make([][]float64, len(regions))
	for _, n := range k.Review.Notes {
		if n.Status == string(listen.Played) {
			m.Played++
		}
		if n.Late != nil {
			late = append(late, math.Abs(*n.Late))
		}
		off := offOf(&n)
		if math.IsNaN(off) {
			continue
		}
		cents = append(cents, off)
		if n.String >= 1 && n.String <= len(byString) {
			byString[n.String-1] = append(byString[n.String-1], off)
		}
		for i, r := range regions {
			if r.Holds(n.Fret) {
				byRegion[i] = append(byRegion[i], off)
			}
		}
	}
	m.Cents, m.Late = middle(cents), middle(late)
	m.figures.Label = m.Date
	for _, v := range byString {
		m.figures.Strings = append(m.figures.Strings, middle(v))
	}
	for _, v := range byRegion {
		m.figures.Regions = append(m.figures.Regions, middle(v))
	}
	return m, nil
}

// offOf returns how far a note that is sure lies off (picture.Off), without sign; NaN where
// that is not told.
func offOf(n *report.ReviewNote) float64 {
	if n.Cents == nil || !n.Sure {
		return math.NaN()
	}
	just := math.NaN()
	if n.CentsJust != nil {
		just = *n.CentsJust
	}
	return math.Abs(picture.Off(*n.Cents, just))
}

// middle returns the median, NaN of nothing.
func middle(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	slices.Sort(v)
	return v[len(v)/2]
}

// Notes says how many notes were played as the tab has them.
func (m Measured) Notes() string {
	return fmt.Sprintf("%d of %s", m.Played, say.Count(m.Wanted, "note"))
}

// Off says how far off the notes were; "" where that was not told.
func (m Measured) Off() string { return orNothing(m.Cents, "%.0f cents") }

// Lateness says how far from a steady hand they were in time.
func (m Measured) Lateness() string { return orNothing(m.Late, "%.0f ms") }

// Pace says the tempo.
func (m Measured) Pace() string {
	if m.Tempo == 0 {
		return ""
	}
	return fmt.Sprintf("%.0f", m.Tempo)
}

func orNothing(v float64, format string) string {
	if math.IsNaN(v) {
		return ""
	}
	return fmt.Sprintf(format, v)
}

// Progress draws takes of one tune on one rig, the oldest first; "" of fewer than two that
// could be judged.
func Progress(takes []Measured) string {
	var all []picture.Figures
	for _, m := range takes {
		if m.Judged {
			all = append(all, m.figures)
		}
	}
	if len(all) < 2 {
		return ""
	}
	var names []string
	for _, r := range listen.Regions() {
		names = append(names, r.Name)
	}
	return string(draw.SVG(picture.Progress(all, names), 0))
}
