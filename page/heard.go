package page

import (
	"fmt"
	"math"
	"slices"

	"lapwright/arrange/drill"
	"lapwright/listen"
	"lapwright/listen/picture"
	"lapwright/report"
	"lapwright/say"
	"lapwright/sheet/draw"
)

// heard reviews a take and draws it over its sheet.
func heard(q *report.Asked, recording *Recording) (*report.HeardTake, error) {
	t, err := readTab(q.Rig, q.Tab)
	if err != nil {
		return nil, err
	}
	take, tuned, err := takeOn(t.Rig, q, recording)
	if err != nil {
		return nil, err
	}
	if err := q.Along.Check(); err != nil {
		return nil, err
	}
	v, err := listen.Review(take, t, listen.Options{Tuned: tuned, Click: q.Along.Click()})
	if err != nil {
		return nil, err
	}
	out := &report.HeardTake{Review: report.ReviewOf(v), Refused: v.Refused, Told: []string{}, Marks: []report.TakeMark{}, Drills: []string{}}
	out.Figures = FiguresOf(&out.Review)
	if v.Refused != "" {
		return out, nil
	}
	for i := range out.Review.Advice {
		says := ""
		if d := out.Review.Advice[i].Drill; d != nil {
			says, out.Caution = d.Says(), drill.Caution
		}
		out.Drills = append(out.Drills, says)
	}
	out.Summary, out.Strings = picture.Summary(v), picture.Strings(v)
	for i := range v.Notes {
		out.Told = append(out.Told, picture.Tell(&v.Notes[i]))
	}
	for _, s := range picture.Signs() {
		out.Marks = append(out.Marks, report.TakeMark(s))
	}
	o := sheetOf(q)
	o.Lane = picture.New(v, t, nil).Lane
	recording.rest()
	wide, err := wideScreen(t, o)
	if err != nil {
		return nil, err
	}
	recording.rest()
	narrow, err := narrowScreen(t, o)
	if err != nil {
		return nil, err
	}
	recording.rest()
	out.Sheet = screenSheet(wide, narrow)
	return out, nil
}

// FiguresOf returns the figures of a review, to be compared with others of the same tab.
func FiguresOf(r *report.Review) report.TakeFigures {
	out := report.TakeFigures{Wanted: len(r.Notes), Tempo: r.Tempo, Against: r.Against, Strings: []*float64{}, Regions: []*float64{}}
	var cents, late []float64
	regions := listen.Regions()
	byString := make([][]float64, len(r.Strings))
	byRegion := make([][]float64, len(regions))
	for i := range r.Notes {
		n := &r.Notes[i]
		if n.Status == string(listen.Played) {
			out.Played++
		}
		if n.Late != nil {
			late = append(late, math.Abs(*n.Late))
		}
		off, told := offOf(n)
		if !told {
			continue
		}
		cents = append(cents, off)
		if n.String >= 1 && n.String <= len(byString) {
			byString[n.String-1] = append(byString[n.String-1], off)
		}
		for i, g := range regions {
			if g.Holds(n.Fret) {
				byRegion[i] = append(byRegion[i], off)
			}
		}
	}
	out.Cents, out.Late = middle(cents), middle(late)
	for _, v := range byString {
		out.Strings = append(out.Strings, middle(v))
	}
	for _, v := range byRegion {
		out.Regions = append(out.Regions, middle(v))
	}
	return out
}

// offOf returns how far a note that is sure lies off (picture.Off), without sign.
func offOf(n *report.ReviewNote) (off float64, told bool) {
	if n.Cents == nil || !n.Sure {
		return 0, false
	}
	just := math.NaN()
	if n.CentsJust != nil {
		just = *n.CentsJust
	}
	return math.Abs(picture.Off(*n.Cents, just)), true
}

// middle returns the median, nil of nothing.
func middle(v []float64) *float64 {
	if len(v) == 0 {
		return nil
	}
	slices.Sort(v)
	return &v[len(v)/2]
}

// Compare tells of takes of one tab, in the order given.
func Compare(takes []report.TakeFigures) report.TakesCompared {
	out := report.TakesCompared{Takes: []report.TakeLine{}}
	var all []picture.Figures
	for i := range takes {
		f := &takes[i]
		line := report.TakeLine{Judged: f.Wanted > 0}
		if line.Judged {
			line.Notes = fmt.Sprintf("%d of %s", f.Played, say.Count(f.Wanted, "note"))
			late := "%.0f ms"
			if f.Against == string(listen.AgainstClick) || f.Against == string(listen.AgainstDifferences) {
				late = "%.0f ms from the click"
			}
			line.Late, line.Tempo = orNothing(f.Late, late), orNothing(f.Tempo, "%.0f")
			if f.Cents != nil {
				line.Off = say.Count(int(math.Round(*f.Cents)), "cent")
			}
			all = append(all, picture.Figures{Label: f.Label, Strings: orNaN(f.Strings), Regions: orNaN(f.Regions)})
		}
		out.Takes = append(out.Takes, line)
	}
	if len(all) < 2 {
		return out
	}
	var names []string
	for _, r := range listen.Regions() {
		names = append(names, r.Name)
	}
	out.Picture = string(draw.SVG(picture.Progress(all, names), 0))
	return out
}

func orNothing(v *float64, format string) string {
	if v == nil {
		return ""
	}
	return fmt.Sprintf(format, *v)
}

func orNaN(v []*float64) []float64 {
	out := make([]float64, len(v))
	for i, x := range v {
		out[i] = math.NaN()
		if x != nil {
			out[i] = *x
		}
	}
	return out
}
