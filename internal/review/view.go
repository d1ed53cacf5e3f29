package review

import (
	_ "embed"
	"fmt"
	"html/template"

	"lapwright/arrange/drill"
	"lapwright/listen/picture"
	"lapwright/report"
	"lapwright/tune"
)

// Parts are the parts of a page that show a View: "practise", what to practise, and
// "heard", the sheet with what was played.
//
//go:embed page/parts.html
var Parts string

// View is what a page shows of a review.
type View struct {
	Sheets
	Advice  []ViewAdvice
	Caution string // that stands with exercises; "" where there are none
	Keep    string // the address that keeps an exercise as a tune; "" where there is none
	Beside  []string
	Signs   []picture.Sign
	Strings string
	Notes   []ViewNote
}

// Sheets is a drawing for a wide screen, page by page, and a narrow one.
type Sheets struct {
	Wide   []template.HTML
	Narrow template.HTML
}

// ViewAdvice is a piece of advice.
type ViewAdvice struct {
	Text  string
	Drill *ViewDrill
}

// ViewDrill is its exercise. It has no sheets where only its words are known.
type ViewDrill struct {
	Title, Says string
	Sheets
}

// ViewNote is a note in words, with what a teacher said of it.
type ViewNote struct {
	Seconds string
	Says    string
	Right   bool
	Word    string
}

// ViewOf returns what to practise as it was told to other programs, without sheets.
func ViewOf(all []report.ReviewAdvice) *View {
	out := &View{}
	for _, a := range all {
		v := ViewAdvice{Text: a.Text}
		if d := a.Drill; d != nil {
			v.Drill = &ViewDrill{Title: d.Title, Says: d.Says()}
			out.Caution = drill.Caution
		}
		out.Advice = append(out.Advice, v)
	}
	return out
}

// View returns what a page shows of the review; what the page adds is its own.
func (r *Review) View() *View {
	v := *r.view
	return &v
}

// seen makes the view of a review that is drawn.
func (r *Review) seen() *View {
	p := &r.plan
	v := ViewOf(report.AdviceOf(p.Reviewed.Advice))
	v.Sheets, v.Beside, v.Signs, v.Strings = r.sheets, r.Beside(), picture.Signs(), picture.Strings(p.Reviewed)
	for i, s := range r.drills {
		if d := v.Advice[i].Drill; d != nil {
			d.Sheets = s
		}
	}
	for i := range p.Reviewed.Notes {
		n := &p.Reviewed.Notes[i]
		v.Notes = append(v.Notes, ViewNote{Seconds: fmt.Sprintf("%.2f", n.Onset), Says: picture.Tell(n), Right: n.Right, Word: p.wordBeside(n.At, n.String)})
	}
	return v
}

// wordBeside returns the word beside a note; "" for none.
func (p *Plan) wordBeside(at tune.Ticks, str int) string {
	for _, w := range p.Beside {
		if w.At == at && w.String == str {
			return w.Text
		}
	}
	return ""
}
