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
	"lapwright/arrange/accompany"
	"lapwright/fault"
	"lapwright/feel"
	"lapwright/notation/midi"
	"lapwright/notation/musicxml"
	"lapwright/notation/tabtext"
	"lapwright/page"
	"lapwright/pitch"
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
	// ID tells the lesson from others on a student's device, whatever its title is later;
	// "" takes one from the titles of lesson and tune.
	ID string
	// Hosted makes it for a web space: see Lesson.Files.
	Hosted bool
	Title  string // "" takes the tune's
	Words  string // from the teacher, in CommonMark
	Tune   *tune.Tune
	Rigs   []*rig.Rig
	// Arrange holds the wishes for each rig by its name; "" is for those not
	// named.
	Arrange map[string]arrange.Options
	Sheet   sheet.Options
	// Frame tells what stands around the tune, whose bars are in Tune.
	Frame []report.FramePart
	// Parts says what each rig is to have, by its name; "" is for those not named.
	Parts map[string]Parts
	// Feels is how what accompanies moves on each rig, by its name; "" is for those not
	// named, and nil is what is usual for the tune.
	Feels map[string]*feel.Feel
	// Layouts holds the layout of the sheet for each rig by its name; Sheet has that
	// of those not named.
	Layouts map[string]sheet.Layout
	Sound   sound.Options
	// Recordings says for which instruments there are recordings, for devices that can't
	// sound the notes themselves; WAV adds each once more as a WAVE file, which is
	// some four times as large.
	Recordings Recordings
	WAV        bool
}

// Recordings says which instruments of a lesson are recorded; "" is all.
type Recordings string

// What can be recorded.
const (
	NoRecordings  Recordings = "none"
	OneRecording  Recordings = "one" // of the first instrument
	AllRecordings Recordings = "all"
)

// Progress is told, from any goroutine but one at a time, how much is done and
// what is being done now. It may be nil.
type Progress func(done, total int, what string)

// Lesson is a lesson that has been made.
type Lesson struct {
	ID       string
	Hosted   bool
	Title    string
	Words    string
	Tune     *tune.Tune
	Editions []*Edition // what could be made, in the plan's order, for each rig the tune before its backup
	// Missing are the parts that could not be made, while others could.
	Missing []report.Missing
	Frame   []report.FramePart
	handout []byte
	// wishes are those for instruments that are not named.
	wishes arrange.Options
}

// Edition is the lesson for one rig: the tune, or what accompanies it.
type Edition struct {
	Result  *arrange.Result
	Backup  *accompany.Result // nil for the tune; else Result is its own
	Sheet   *draw.Drawing
	Pages   [][]byte // the sheet for a screen as SVG, a document a page
	Narrow  []byte   // the same for a narrow screen, in one piece
	Timing  *sound.Timing
	drawnAs sheet.Options
	files   []File
	stream  []byte  // compressed sound for the page; nil without a recording
	gain    float64 // decibels by which who sounds it from the notes turns it up
	band    []byte  // what plays along, compressed for the page; nil for none
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
	if p.ID == "" {
		p.ID = shortDigest([]byte(p.Title + "\n" + p.Tune.Title))
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

// recorded reports whether an edition, which may be the first, is recorded.
func (p *Plan) recorded(first bool) bool {
	return p.Recordings != NoRecordings && (first || p.Recordings != OneRecording)
}

// partsFor returns what a rig is to have, and wishesFor how it is to be arranged.
func (p *Plan) partsFor(rig string) Parts {
	if parts, ok := p.Parts[rig]; ok {
		return parts
	}
	return p.Parts[""]
}

func (p *Plan) wishesFor(rig string) arrange.Options {
	if o, ok := p.Arrange[rig]; ok {
		return o
	}
	return p.Arrange[""]
}

// Make makes a lesson. It stops early when ctx ends.
func Make(ctx context.Context, p Plan, progress Progress) (*Lesson, error) {
	if err := p.fillDefaults(); err != nil {
		return nil, err
	}
	l := &Lesson{ID: p.ID, Hosted: p.Hosted, Title: p.Title, Words: strings.TrimSpace(p.Words), Tune: p.Tune, Frame: p.Frame, wishes: p.Arrange[""]}
	m := &maker{ctx: ctx, plan: &p, progress: progress}
	for _, r := range p.Rigs {
		parts := p.partsFor(r.Name)
		if parts.HasTune() {
			m.seats = append(m.seats, &seat{rig: r, tab: make(chan *tab.Tab, 1)})
		}
		if parts.HasBackup() {
			m.seats = append(m.seats, &seat{rig: r, backup: true, tab: make(chan *tab.Tab, 1)})
		}
	}
	// What accompanies is played in the key in which the tune is.
	for _, backup := range []bool{false, true} {
		if err := m.make(backup); err != nil {
			return nil, err
		}
	}
	var first error
	for _, s := range m.seats {
		if s.made != nil {
			l.Editions = append(l.Editions, s.made)
			continue
		}
		if first == nil {
			first = fmt.Errorf("%s: %w", s.rig.Name, s.failed)
		}
		l.Missing = append(l.Missing, report.Missing{Rig: s.rig.Name, Title: s.title(), Why: s.failed.Error()})
	}
	if len(l.Editions) == 0 {
		return nil, first
	}
	if err := l.print(&p); err != nil {
		return nil, err
	}
	return l, nil
}

// seat is one rig's place in a lesson that is being made, with the tune or with what
// accompanies it.
type seat struct {
	rig    *rig.Rig
	backup bool
	made   *Edition
	failed error         // what this rig can't do, others may
	tab    chan *tab.Tab // its tab, once it is placed; closed when the edition is made or given up
	band   []byte        // what plays along with it, compressed; nil for none
}

// title is what the seat is called.
func (s *seat) title() string {
	if s.backup {
		return report.BackupTitle(s.rig.Title)
	}
	return s.rig.Title
}

// maker makes the editions of one lesson.
type maker struct {
	ctx      context.Context
	bands    bands
	plan     *Plan
	seats    []*seat
	progress Progress
	mu       sync.Mutex
	done     int
}

// tell says what was done, from any goroutine.
func (m *maker) tell(what string) {
	const steps = 4 // arrange, draw, write, sound
	m.mu.Lock()
	defer m.mu.Unlock()
	m.done++
	if m.progress != nil {
		m.progress(m.done, steps*len(m.seats), what)
	}
}

// make makes the editions with the tune, or those that accompany.
func (m *maker) make(backup bool) error {
	g, parts := errgroup.WithContext(m.ctx)
	// Each part holds a whole recording while it is made; two at once keep two
	// cores busy and memory small.
	g.SetLimit(min(2, runtime.NumCPU()))
	for _, s := range m.seats {
		if s.backup != backup {
			continue
		}
		g.Go(func() error {
			defer close(s.tab)
			var err error
			s.made, err = m.edition(both{parts, m.ctx}, s)
			return m.failed(s, err)
		})
	}
	if !backup && m.plan.Recordings != NoRecordings { // the page does not sound a band from its notes
		m.playAlong(g, both{parts, m.ctx})
	}
	if err := g.Wait(); err != nil {
		return err
	}
	for _, s := range m.seats {
		switch {
		case s.failed != nil:
			s.made = nil
		case s.made != nil:
			s.made.band = s.band
		}
	}
	return nil
}

// failed keeps an error that is a rig's own, which leaves the others their turn, and
// returns any other.
func (m *maker) failed(s *seat, err error) error {
	var theirs *fault.Fault
	var list fault.List
	switch {
	case err == nil:
		return nil
	case errors.As(err, &theirs), errors.As(err, &list):
		m.mu.Lock()
		defer m.mu.Unlock()
		s.failed = err
		return nil
	}
	return fmt.Errorf("%s: %w", s.rig.Name, err)
}

// playAlong has the band of every tune sounded when the editions are under way, so that
// none waits for it while there is another to make.
func (m *maker) playAlong(g *errgroup.Group, ctx context.Context) {
	for _, s := range m.seats {
		if s.backup {
			continue
		}
		t := <-s.tab
		if t == nil {
			continue // it can't be placed
		}
		g.Go(func() error {
			var err error
			s.band, err = m.bands.of(ctx, t, m.plan.Sound)
			return m.failed(s, err)
		})
	}
}

// key returns the key of the lesson's tune on a rig, or else on the first that has it;
// nil where no edition has the tune.
func (m *maker) key(r *rig.Rig) *pitch.Class {
	var out *pitch.Class
	for _, s := range m.seats {
		if s.backup || s.made == nil {
			continue
		}
		if out == nil || s.rig == r {
			out = &s.made.Result.Key.Tonic
		}
	}
	return out
}

// print makes the handout: the words, then the sheet for every rig.
func (l *Lesson) print(p *Plan) error {
	h := &sheet.Handout{Title: l.Title, Words: Passages(l.Words), Sheets: len(l.Editions)}
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

// edition makes one edition.
func (m *maker) edition(ctx context.Context, s *seat) (*Edition, error) {
	p, r := m.plan, s.rig
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	part, err := m.place(ctx, s)
	if err != nil {
		return nil, err
	}
	res := part.Result
	s.tab <- res.Tab
	m.tell("arranged for " + s.title())
	if err := part.draw(p.sheetFor(r.Name)); err != nil {
		return nil, err
	}
	m.tell("drew the sheet for " + s.title())
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if err := part.write(res.Tab); err != nil {
		return nil, err
	}
	m.tell("wrote the files for " + s.title())
	if part.Timing, err = page.Timing(res.Tab, p.Sound); err != nil {
		return nil, err
	}
	if p.recorded(s == m.seats[0]) {
		err = part.sound(ctx, p)
	} else {
		part.gain, err = sound.ForetoldGain(res.Tab, p.Sound)
	}
	if err != nil {
		return nil, err
	}
	m.tell("played it on " + s.title())
	return part, nil
}

// place arranges the tune, or makes what accompanies it.
func (m *maker) place(ctx context.Context, s *seat) (*Edition, error) {
	wishes := m.plan.wishesFor(s.rig.Name)
	if !s.backup {
		res, err := arrange.Arrange(ctx, m.plan.Tune, s.rig, wishes)
		if err != nil {
			return nil, err
		}
		return &Edition{Result: res, Summary: report.Summarise(res)}, nil
	}
	o := accompany.OptionsOf(wishes)
	var own bool
	if o.Feel, own = m.plan.Feels[s.rig.Name]; !own {
		o.Feel = m.plan.Feels[""]
	}
	if key := m.key(s.rig); key != nil {
		o.Key = key
	}
	res, err := accompany.Accompany(ctx, m.plan.Tune, s.rig, o)
	if err != nil {
		return nil, err
	}
	return &Edition{Result: res.Result, Backup: res, Summary: report.SummariseBackup(res)}, nil
}

// Folder is where the files stand of the tune on a rig, or of what accompanies it; a
// slash ends it.
func Folder(rig string, backup bool) string {
	if backup {
		return rig + "/backup/"
	}
	return rig + "/"
}

// folder is where the files of an edition stand.
func (p *Edition) folder() string { return Folder(p.Result.Tab.Rig.Name, p.Backup != nil) }

// title is what the edition is called among the others.
func (p *Edition) title() string {
	if p.Backup != nil {
		return report.BackupTitle(p.Result.Tab.Rig.Title)
	}
	return p.Result.Tab.Rig.Title
}

func (p *Edition) name(file string) string { return p.folder() + file }

func (p *Edition) add(file string, b []byte) { p.files = append(p.files, File{p.name(file), b}) }

func (p *Edition) draw(o sheet.Options) error {
	p.drawnAs = o
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
	p.gain = stems.Gain
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
