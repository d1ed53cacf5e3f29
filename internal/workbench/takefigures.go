package workbench

import (
	"time"

	"lapwright/internal/studio"
	"lapwright/page"
	"lapwright/report"
)

// Measured is a take's figures, to be compared with others of the same tune and rig.
type Measured struct {
	ID, Date string
	Played   string // when it came, RFC 3339
	report.TakeLine
	figures report.TakeFigures
}

// Measure returns the figures of a take as they are kept; in words they are told beside others (Compare).
func Measure(it *studio.Item) (Measured, error) {
	k, err := ReadTake(it)
	if err != nil {
		return Measured{}, err
	}
	m := Measured{ID: it.ID, Played: k.Played, figures: page.FiguresOf(&k.Review)}
	if at, err := time.Parse(time.RFC3339, k.Played); err == nil {
		m.Date = at.Local().Format("2 Jan 2006")
	}
	m.figures.Label = m.Date
	return m, nil
}

// Compare puts takes of one tune on one rig, the oldest first, in words, and draws how they
// went; nothing is drawn of fewer than two that could be judged.
func Compare(takes []Measured) (picture string) {
	all := make([]report.TakeFigures, len(takes))
	for i := range takes {
		all[i] = takes[i].figures
	}
	c := page.Compare(all)
	for i := range takes {
		takes[i].TakeLine = c.Takes[i]
	}
	return c.Picture
}
