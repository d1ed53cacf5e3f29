package lesson

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"slices"
	"strings"
	"sync"
	"unicode/utf8"

	"golang.org/x/sync/errgroup"

	"lapwright/arrange"
	"lapwright/fault"
	"lapwright/notation/midi"
	"lapwright/notation/musicxml"
	"lapwright/notation/tabtext"
	"lapwright/page"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/say"
	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/sheet/pdf"
	"lapwright/sound"
	"lapwright/sound/flac"
	"lapwright/sound/opus"
	"lapwright/sound/wav"
	"lapwright/tab"
	"lapwright/tune"
)

// MaxRigs and MaxWords bound a lesson: rigs, and bytes of words.
const (
	MaxRigs  = 12
	MaxWords = 100_000
)

// Plan is what a lesson is to be made of.
type Plan struct {
	Title string // "" takes the tune's
	Words string // from the teacher, in CommonMark
	Tune  *tune.Tune
	Rigs  []*rig.Rig
	// Arrange holds the wishes for each rig by its name; "" is for those not
	// named.
	Arrange map[string]arrange.Options
	Sheet   sheet.Options
	// Layouts holds the layout of the sheet for each rig by its name; Sheet has that
	// of those not named.
	Layouts map[string]sheet.Layout
	Sound   sound.Options
	// Silent leaves the sound out; WAV adds it once more as a WAVE file, which is
	// some four times as large.
	Silent, WAV bool
}

// Progress is told, from any goroutine but one at a time, how much is done and
// what is being done now. It may be nil.
type Progress func(done, total int, what string)

// Lesson is a lesson that has been made.
type Lesson struct {
	Title    string
	Words    string
	Tune     *tune.Tune
	Editions []*Edition // one for each rig that could be made, in the plan's order
	// Missing are the rigs that could not be made, while others could.
	Missing []report.Missing
	handout []byte
	// wishes are those for instruments that are not named.
	wishes arrange.Options
}

// Edition is the lesson for one rig.
type Edition struct {
	Result  *arrange.Result
	Sheet   *draw.Drawing
	Pages   [][]byte // the sheet for a screen as SVG, a document a page
	Narrow  []byte   // the same for a narrow screen, in one piece
	Timing  *sound.Timing
	files   []File
	stream  []byte // compressed sound for the page
	Summary report.Summary
}

// File is one file of a lesson: its path with forward slashes, and its bytes.
type File struct {
	Name  string
	Bytes []byte
}

// fillDefaults checks a plan and fills in what it leaves open.
func (p *Plan) fillDefaults() error {
	switch {
	case p.Tune == nil:
		return errors.New("a lesson needs a tune")
	case len(p.Rigs) == 0:
		return &fault.Fault{Msg: "a lesson needs at least one rig"}
	case len(p.Rigs) > MaxRigs:
		return &fault.Fault{Msg: fmt.Sprintf("%d rigs are too many for one lesson; %d are the most", len(p.Rigs), MaxRigs)}
	case len(p.Words) > MaxWords:
		return &fault.Fault{Msg: fmt.Sprintf("the words are %d bytes long; %d are the most", len(p.Words), MaxWords)}
	case !utf8.ValidString(p.Words) || !utf8.ValidString(p.Title):
		return &fault.Fault{Msg: "the words or the title are not valid UTF-8 text"}
	}
	names := map[string]bool{}
	for _, r := range p.Rigs {
		if names[r.Name] {
			return &fault.Fault{Msg: fmt.Sprintf("the rig %q is in the lesson twice", r.Name)}
		}
		names[r.Name] = true
	}
	for name, layout := range p.Layouts {
		if !names[name] {
			return &fault.Fault{Msg: fmt.Sprintf("a layout is given for the rig %q, which is not in the lesson", name)}
		}
		if !slices.Contains(sheet.Layouts(), layout) {
			return &fault.Fault{Msg: fmt.Sprintf("%q is no layout of a sheet; those are %s", layout, layoutNames())}
		}
	}
	if p.Title == "" {
		p.Title = p.Tune.Title
	}
	if p.Title == "" {
		p.Title = "Untitled"
	}
	return nil
}

// layoutNames lists the layouts of a sheet in words.
func layoutNames() string {
	var out []string
	for _, l := range sheet.Layouts() {
		out = append(out, string(l))
	}
	return say.List(out)
}

// sheetFor returns how the sheet for a rig is drawn.
func (p *Plan) sheetFor(rig string) sheet.Options {
	o := p.Sheet
	if l, ok := p.Layouts[rig]; ok {
		o.Layout = l
	}
	return o
}

// Make makes a lesson. It stops early when ctx ends.
func Make(ctx context.Context, p Plan, progress Progress) (*Lesson, error) {
	if err := p.fillDefaults(); err != nil {
		return nil, err
	}
	l := &Lesson{Title: p.Title, Words: strings.TrimSpace(p.Words), Tune: p.Tune, wishes: p.Arrange[""], Editions: make([]*Edition, len(p.Rigs))}
	const steps = 4 // arrange, draw, write, sound
	var mu sync.Mutex
	done := 0
	tell := func(what string) {
		mu.Lock()
		defer mu.Unlock()
		done++
		if progress != nil {
			progress(done, steps*len(p.Rigs), what)
		}
	}
	g, parts := errgroup.WithContext(ctx)
	// Each part holds a whole recording while it is made; two at once keep two
	// cores busy and memory small.
	g.SetLimit(min(2, runtime.NumCPU()))
	failed := make([]error, len(p.Rigs))
	for i, r := range p.Rigs {
		g.Go(func() error {
			part, err := makeEdition(both{parts, ctx}, &p, r, tell)
			var theirs *fault.Fault
			switch {
			case err == nil:
				l.Editions[i] = part
			case errors.As(err, &theirs): // what this rig can't do, others may
				failed[i] = err
			default:
				return fmt.Errorf("%s: %w", r.Name, err)
			}
			return nil
		})
	}
	if err := g.Wait(); err != nil {
		return nil, err
	}
	for i, err := range failed {
		if err != nil {
			l.Missing = append(l.Missing, report.Missing{Rig: p.Rigs[i].Name, Title: p.Rigs[i].Title, Why: err.Error()})
		}
	}
	if len(l.Missing) == len(p.Rigs) {
		return nil, fmt.Errorf("%s: %w", p.Rigs[0].Name, failed[0])
	}
	l.Editions = slices.DeleteFunc(l.Editions, func(p *Edition) bool { return p == nil })
	if err := l.print(&p); err != nil {
		return nil, err
	}
	return l, nil
}

// print makes the handout: the words, then the sheet for every rig.
func (l *Lesson) print(p *Plan) error {
	h := &sheet.Handout{Title: l.Title, Words: passages(l.Words), Sheets: len(l.Editions)}
	for _, m := range l.Missing {
		h.Missing = append(h.Missing, m.Line())
	}
	h.Lay = func(i, firstPage int, top float64) (*draw.Drawing, error) {
		t := l.Editions[i].Result.Tab
		o := p.sheetFor(t.Rig.Name)
		o.FirstPage, o.Top = firstPage, top
		return sheet.Lay(t, o)
	}
	d, err := h.Pages(p.Sheet)
	if err != nil {
		return err
	}
	l.handout, err = pdf.Write(d)
	return err
}

// both is a context whose Err also asks an outer one, which a derived context
// does not: who gave it may have more to do there than answer, such as to let
// others have a turn.
type both struct {
	context.Context
	outer context.Context
}

func (b both) Err() error {
	if err := b.outer.Err(); err != nil {
		return err
	}
	return b.Context.Err()
}

func makeEdition(ctx context.Context, p *Plan, r *rig.Rig, tell func(string)) (*Edition, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	wishes, ok := p.Arrange[r.Name]
	if !ok {
		wishes = p.Arrange[""]
	}
	res, err := arrange.Arrange(ctx, p.Tune, r, wishes)
	if err != nil {
		return nil, err
	}
	part := &Edition{Result: res, Summary: report.Summarise(res)}
	tell("arranged for " + r.Title)
	if err := part.draw(p.sheetFor(r.Name)); err != nil {
		return nil, err
	}
	tell("drew the sheet for " + r.Title)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if err := part.write(res.Tab); err != nil {
		return nil, err
	}
	tell("wrote the files for " + r.Title)
	if part.Timing, err = page.Timing(res.Tab, p.Sound); err != nil {
		return nil, err
	}
	if !p.Silent {
		if err := part.sound(ctx, p); err != nil {
			return nil, err
		}
	}
	tell("played it on " + r.Title)
	return part, nil
}

func (p *Edition) name(file string) string { return p.Result.Tab.Rig.Name + "/" + file }

func (p *Edition) add(file string, b []byte) { p.files = append(p.files, File{p.name(file), b}) }

func (p *Edition) draw(o sheet.Options) error {
	var err error
	if p.Sheet, err = sheet.Lay(p.Result.Tab, o); err != nil {
		return err
	}
	document, err := pdf.Write(p.Sheet)
	if err != nil {
		return err
	}
	p.add("sheet.pdf", document)
	for i := range p.Sheet.Pages {
		svg := draw.SVG(p.Sheet, i)
		name := "sheet.svg"
		if i > 0 {
			name = fmt.Sprintf("sheet-%d.svg", i+1)
		}
		p.add(name, svg)
	}
	p.Pages, p.Narrow, err = page.Screen(p.Result.Tab, o)
	return err
}

func (p *Edition) write(t *tab.Tab) error {
	p.add("tab.txt", tabtext.Format(t))
	p.add("tell.txt", []byte(say.Tell(t)))
	xml, err := musicxml.Write(t)
	if err != nil {
		return err
	}
	p.add("tab.musicxml", xml)
	mid, err := midi.Write(t)
	if err != nil {
		return err
	}
	p.add("tab.mid", mid)
	return nil
}

func (p *Edition) sound(ctx context.Context, plan *Plan) error {
	o := plan.Sound
	o.Progress = func(float64) bool { return ctx.Err() == nil }
	file := o
	if file.CountIn == 0 {
		file.CountIn = 1
	}
	stems, err := sound.RenderStems(p.Result.Tab, file)
	if err != nil {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		return err
	}
	// The page counts in and clicks by itself: it gets the instrument alone,
	// from where the music begins.
	timing, err := sound.Timeline(p.Result.Tab, file)
	if err != nil {
		return err
	}
	start := int(timing.CountIn*sound.Rate + 0.5)
	if p.stream, err = opus.Write(from(stems.Lead, start)); err != nil {
		return err
	}
	mix := stems.Mix()
	b, err := flac.WriteTagged(mix, sound.TagsOf(p.Result.Tab, file))
	if err != nil {
		return err
	}
	p.add("audio.flac", b)
	if plan.WAV {
		p.add("audio.wav", wav.Write(mix))
	}
	return nil
}

// from returns a recording from a sample on.
func from(a *sound.Audio, start int) *sound.Audio {
	out := &sound.Audio{}
	for _, c := range a.Channels {
		out.Channels = append(out.Channels, c[min(start, len(c)):])
	}
	return out
}
