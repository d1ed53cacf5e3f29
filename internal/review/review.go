package review

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"html/template"
	"os"
	"path/filepath"

	"lapwright/arrange/drill"
	"lapwright/internal/lesson"
	"lapwright/internal/recording"
	"lapwright/listen"
	"lapwright/listen/picture"
	"lapwright/notation/tabtext"
	"lapwright/page"
	"lapwright/report"
	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/sheet/pdf"
	"lapwright/sound"
	"lapwright/sound/flac"
	"lapwright/sound/opus"
	"lapwright/tab"
)

// Plan is what a review is handed back with.
type Plan struct {
	Reviewed  *listen.Reviewed
	Tab       *tab.Tab
	Recording *recording.Recording
	Words     string         // from the teacher, in CommonMark
	Beside    []picture.Word // and beside single notes
	About     string         // a line on who played and when; may be empty
	Sheet     sheet.Options  // paper, layout
}

// Review is a review to hand back.
type Review struct {
	plan    Plan
	sheets  Sheets   // the sheet with its lanes
	drills  []Sheets // of each piece of advice; empty where it has no exercise
	view    *View
	handout []byte
}

// paperScale is the size of the music in the handout: the lanes take room too.
const paperScale = 0.85

// ErrRefused is the error for a take that nothing can be told of.
var ErrRefused = errors.New("nothing can be told of this take")

// Pack returns a recording as it is kept: FLAC, one channel, 48 kHz, 16 bits.
func Pack(r *recording.Recording) ([]byte, error) {
	return flac.Write(&sound.Audio{Channels: [][]float32{r.At(sound.Rate)}})
}

// Make draws a review. Its error wraps ErrRefused when there is nothing to draw.
func Make(p Plan) (*Review, error) {
	if p.Reviewed.Refused != "" {
		return nil, fmt.Errorf("%w: %s", ErrRefused, p.Reviewed.Refused)
	}
	r := &Review{plan: p}
	o := p.Sheet
	o.Lane = picture.New(p.Reviewed, p.Tab, p.Beside).Lane
	var err error
	if r.sheets, err = screened(p.Tab, o); err != nil {
		return nil, err
	}
	plain := p.Sheet
	var drills []*drill.Drill
	for _, a := range p.Reviewed.Advice {
		var s Sheets
		if a.Drill != nil {
			drills = append(drills, a.Drill)
			// The words of care stand once, not with each.
			one := *a.Drill.Tab
			one.Tune = one.Tune.Clone()
			one.Tune.Words = nil
			if s, err = screened(&one, plain); err != nil {
				return nil, err
			}
		}
		r.drills = append(r.drills, s)
	}
	r.view = r.seen()
	h := sheet.Handout{
		Title: "Review: " + p.title(), Words: r.passages(), Sheets: 1,
		Lay: func(i, firstPage int, top float64) (*draw.Drawing, error) {
			if i > 0 {
				plain.FirstPage, plain.Top = firstPage, top
				return sheet.Lay(drill.Together("Exercises", drills), plain)
			}
			o.FirstPage, o.Top, o.Scale = firstPage, top, paperScale
			return sheet.Lay(p.Tab, o)
		},
	}
	if len(drills) > 0 {
		h.Sheets = 2
	}
	d, err := h.Pages(sheet.Options{Paper: p.Sheet.Paper, Language: p.Sheet.Language})
	if err != nil {
		return nil, err
	}
	r.handout, err = pdf.Write(d)
	return r, err
}

// screened draws a tab for screens.
func screened(t *tab.Tab, o sheet.Options) (Sheets, error) {
	wide, narrow, err := page.Screen(t, o)
	out := Sheets{Narrow: template.HTML(narrow)} // our own, in which every word is escaped
	for _, svg := range wide {
		out.Wide = append(out.Wide, template.HTML(svg))
	}
	return out, err
}

// title returns the tune's title.
func (p *Plan) title() string {
	if p.Tab.Tune.Title == "" {
		return "Untitled"
	}
	return p.Tab.Tune.Title
}

// Handout returns the review as a PDF to print.
func (r *Review) Handout() []byte { return r.handout }

// passages returns the words of the handout.
func (r *Review) passages() []sheet.Passage {
	p := &r.plan
	var out []sheet.Passage
	text := func(head, indent int, mark, s string) {
		out = append(out, sheet.Passage{Head: head, Indent: indent, Mark: mark, Close: mark != "", Runs: []sheet.Run{{Text: s}}})
	}
	if p.About != "" {
		text(0, 0, "", p.About)
	}
	out = append(out, lesson.Passages(p.Words)...)
	text(2, 0, "", "What to practise")
	for i, a := range p.Reviewed.Advice {
		text(0, 1, fmt.Sprintf("%d.", i+1), a.Text)
		if a.Drill != nil {
			out = append(out, sheet.Passage{Indent: 1, Close: true, Runs: []sheet.Run{{Text: "Exercise: " + a.Drill.Tab.Tune.Title, Italic: true}}})
		}
	}
	if lines := r.Beside(); len(lines) > 0 {
		text(2, 0, "", "Beside the notes")
		for i, l := range lines {
			text(0, 1, fmt.Sprintf("%d.", i+1), l)
		}
	}
	text(2, 0, "", "How the strings stand")
	text(0, 0, "", picture.Strings(p.Reviewed))
	text(2, 0, "", "The marks")
	for _, s := range picture.Signs() {
		text(0, 1, s.Mark, s.Means)
	}
	return out
}

// Beside lists the words beside notes, with where they stand.
func (r *Review) Beside() []string {
	var out []string
	for _, w := range r.plan.Beside {
		if w.Text == "" {
			continue
		}
		where := fmt.Sprintf("String %d", w.String)
		for i := range r.plan.Reviewed.Notes {
			if n := &r.plan.Reviewed.Notes[i]; n.At == w.At && n.String == w.String {
				where = fmt.Sprintf("Bar %d, string %d", n.BarNumber, n.String)
			}
		}
		out = append(out, where+": "+w.Text)
	}
	return out
}

// markFile is the file by which a folder is known for a review.
const markFile = "review.json"

// Files returns everything that a review's folder holds.
func (r *Review) Files() ([]lesson.File, error) {
	stream, err := opus.Write(&sound.Audio{Channels: [][]float32{r.plan.Recording.At(sound.Rate)}})
	if err != nil {
		return nil, err
	}
	kept, err := Pack(r.plan.Recording)
	if err != nil {
		return nil, err
	}
	index, err := r.Page(stream)
	if err != nil {
		return nil, err
	}
	var told bytes.Buffer
	enc := json.NewEncoder(&told)
	enc.SetIndent("", "  ")
	if err := enc.Encode(report.ReviewOf(r.plan.Reviewed)); err != nil {
		return nil, err
	}
	files := []lesson.File{{Name: "handout.pdf", Bytes: r.handout}, {Name: "index.html", Bytes: index}, {Name: markFile, Bytes: told.Bytes()}, {Name: "take.flac", Bytes: kept}}
	for i, a := range r.plan.Reviewed.Advice {
		if a.Drill != nil {
			files = append(files, lesson.File{Name: fmt.Sprintf("exercise-%d.txt", i+1), Bytes: tabtext.Format(a.Drill.Tab)})
		}
	}
	return files, nil
}

// WriteFolder puts the review at path, whole or not at all. A review that is there
// already is replaced; a folder with anything else in it is left alone.
func (r *Review) WriteFolder(path string) error {
	files, err := r.Files()
	if err != nil {
		return err
	}
	return lesson.WriteFiles(path, IsReview, files)
}

// IsReview reports whether a folder is a review that WriteFolder made.
func IsReview(dir string) bool {
	b, err := os.ReadFile(filepath.Join(dir, markFile))
	var v report.Review
	return err == nil && json.Unmarshal(b, &v) == nil && v.Version > 0 && v.Notes != nil
}
