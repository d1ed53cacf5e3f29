package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/alecthomas/kong"

	"lapwright/arrange"
	"lapwright/arrange/frame"
	"lapwright/fault"
	"lapwright/feel"
	"lapwright/internal/console"
	"lapwright/internal/lesson"
	"lapwright/internal/whole"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/say"
	"lapwright/sheet"
	"lapwright/sheet/draw"
)

type lessonCommand struct {
	File   string   `arg:"" help:"File with the tune."`
	Tune   int      `default:"1" placeholder:"N" help:"Which tune of the file, counted from 1."`
	Rig    []string `required:"" placeholder:"NAME" help:"A rig, by name or file; give it several times for several instruments. After it, each with a colon, a grade (first, second, third) and what the rig is to have: tune, backup (from the tune's chord symbols) or both."`
	Feel   string   `placeholder:"FEEL" help:"How backup moves; else as is usual for the meter and the kind of tune. lapwright accompany --list names them."`
	Out    string   `required:"" placeholder:"DIR" help:"Folder to make, or with --alone the file. An earlier lesson there is replaced."`
	wishes `embed:""`
	Title  string   `help:"Title of the lesson; otherwise the tune's."`
	Words  string   `placeholder:"FILE" help:"Text file with your words to the students."`
	Paper  string   `default:"a4" enum:"a4,letter" help:"Paper of the sheets: ${enum}."`
	Layout []string `placeholder:"LAYOUT" help:"Layout of the sheets: full, lead-sheet, tab-only, large-print or grips; RIG=LAYOUT for one instrument. May be given again."`
	facing `embed:""`
	Alone  bool   `help:"One page to send by mail, with all in it: --out names a file that ends in .html."`
	Hosted bool   `help:"For a web space, in any folder of it: the page brings its program and recordings from files beside it, and is kept on the student's device."`
	Sound  string `name:"recordings" default:"one" enum:"none,one,all" help:"Whose sound is recorded: ${enum}. One is the first instrument's; the page sounds the others itself, from the notes, on all but old devices."`
	WAV    bool   `name:"wav" help:"Recordings as WAV as well as FLAC."`
	JSON   bool   `name:"json" help:"Report as JSON."`
}

// Help shows an example that runs.
func (lessonCommand) Help() string {
	return `Example:
  lapwright lesson waltzes.abc --tune 3 --rig reso-open-g --rig tricone-open-d --out lesson/

The tune on one and backup on the other:
  lapwright lesson waltzes.abc --rig lap6-c6 --rig reso-open-g:backup --feel waltz --out lesson/

The folder gets index.html, which opens in any browser without a network, and
for each rig the sheet (PDF, SVG), the tab (text, in words, MusicXML, MIDI) and, for the
first or with --recordings all for every one, the sound; handout.pdf has your words and all sheets to print. --words takes CommonMark:
line breaks, lists and *stress* are kept.`
}

// Run makes the lesson and reports on it.
func (c *lessonCommand) Run(con *console.Console, _ *kong.Context) error {
	p := lesson.Plan{Hosted: c.Hosted, Title: c.Title, Recordings: lesson.Recordings(c.Sound), WAV: c.WAV, Sheet: sheet.Options{Paper: draw.Paper(c.Paper), StringOneLow: c.StringOneLow, LeftHanded: c.Left}}
	files, err := c.instruments(con, &p)
	if err != nil {
		return err
	}
	if err := c.layouts(&p); err != nil {
		return err
	}
	if p.Words, err = wordsFrom(c.Words); err != nil {
		return err
	}
	if err := whole.Apart(append(files, c.File, c.Words), c.Out); err != nil {
		return err
	}
	if err := c.mayWrite(); err != nil {
		return err
	}
	if p.Tune, err = loadTune(con, c.File, c.Tune); err != nil {
		return err
	}
	framed, err := c.frame(con, &p)
	if err != nil {
		return err
	}
	meter := con.Progress()
	l, err := lesson.Make(con.Ctx, p, meter.Draw)
	meter.End()
	if err == nil {
		err = c.write(l)
	}
	if err != nil {
		return err
	}
	if c.JSON {
		return con.JSON(l.Record())
	}
	place := c.Out
	if !c.Alone {
		place = strings.TrimSuffix(c.Out, string(os.PathSeparator)) + string(os.PathSeparator)
	}
	con.Printf("%s, in %s\n", con.Strong(console.OneLine(l.Title)), place)
	printFrame(con, framed)
	for _, part := range l.Editions {
		c.report(con, part.Summary)
	}
	for _, m := range l.Missing {
		con.Printf("\n%s  %s\n", con.Strong(m.Rig), m.Line())
	}
	return nil
}

// instruments reads --rig and --feel: the rigs of a plan, what each is to have and how
// it is arranged. It returns the names or files of the rigs.
func (c *lessonCommand) instruments(con *console.Console, p *lesson.Plan) ([]string, error) {
	var wants []lesson.Want
	var names []string
	for _, text := range c.Rig {
		w, err := lesson.ParseWant(text)
		if err != nil {
			return nil, console.Usagef("--rig: %v", err)
		}
		wants, names = append(wants, w), append(names, w.Rig)
	}
	var err error
	if p.Rigs, err = loadRigs(con, names); err != nil {
		return nil, err
	}
	p.Arrange, p.Parts = map[string]arrange.Options{}, map[string]lesson.Parts{}
	backup := false
	for i, r := range p.Rigs {
		o, err := c.options(r)
		if err != nil {
			return nil, err
		}
		if wants[i].Grade != nil {
			o.Grade = *wants[i].Grade
		}
		p.Arrange[r.Name], p.Parts[r.Name] = o, wants[i].Parts
		backup = backup || wants[i].Parts.HasBackup()
	}
	if c.Feel == "" {
		return names, nil
	}
	if !backup {
		return nil, console.Usagef("--feel is for backup: ask for it after a rig, such as --rig %s:both", c.Rig[0])
	}
	f, err := feel.Find(c.Feel)
	if err != nil {
		return nil, console.Usagef("--feel: %v", err)
	}
	p.Feels = map[string]*feel.Feel{"": f}
	return names, nil
}

// frame sets around the tune what is asked for, as it is easiest on the first rig: all
// instruments of a lesson play the same bars.
func (c *lessonCommand) frame(con *console.Console, p *lesson.Plan) (*frame.Framed, error) {
	first := p.Arrange[p.Rigs[0].Name]
	framed, err := c.put(con.Ctx, p.Tune, p.Rigs[0], &first)
	if err != nil {
		return nil, err
	}
	for name, o := range p.Arrange {
		o.Pins = framed.Pins(o.Pins)
		p.Arrange[name] = o
	}
	p.Tune, p.Frame = framed.Tune, report.FrameOf(framed)
	return framed, nil
}

// layouts reads LAYOUT, for every rig, and RIG=LAYOUT, for one.
func (c *lessonCommand) layouts(p *lesson.Plan) error {
	p.Layouts = map[string]sheet.Layout{}
	for _, s := range c.Layout {
		name, layout, one := strings.Cut(s, "=")
		if !one {
			layout = s
		}
		if !slices.Contains(sheet.Layouts(), sheet.Layout(layout)) {
			return console.Usagef("--layout: %q is none of full, lead-sheet, tab-only, large-print and grips", layout)
		}
		if !one {
			p.Sheet.Layout = sheet.Layout(layout)
			continue
		}
		if !slices.ContainsFunc(p.Rigs, func(r *rig.Rig) bool { return r.Name == name }) {
			return console.Usagef("--layout: no rig of this lesson is called %q", name)
		}
		p.Layouts[name] = sheet.Layout(layout)
	}
	return nil
}

// mayWrite tells whether the lesson may be put where it is to be, before any
// work is done.
func (c *lessonCommand) mayWrite() error {
	if !c.Alone {
		probe, err := whole.NewFolder(c.Out, lesson.IsLesson)
		if err == nil {
			probe.Abandon()
		}
		return err
	}
	if ext := filepath.Ext(c.Out); ext != ".html" && ext != ".htm" {
		return &fault.Fault{Msg: fmt.Sprintf("--alone makes one file: --out must end in .html, not %q", c.Out)}
	}
	if c.WAV || c.Hosted {
		return &fault.Fault{Msg: "--wav and --hosted are for a folder; --alone makes one file"}
	}
	return nil
}

func (c *lessonCommand) write(l *lesson.Lesson) error {
	if !c.Alone {
		return l.WriteFolder(c.Out)
	}
	page, err := l.Page(false)
	if err != nil {
		return err
	}
	return whole.WriteFile(c.Out, page)
}

func (c *lessonCommand) report(con *console.Console, s report.Summary) {
	title := s.Title
	if s.Feel != "" {
		title = report.BackupTitle(title) + ", " + s.Feel
	}
	con.Printf("\n%s  %s, %s\n", con.Strong(s.Rig), title, s.Tuning)
	key := strings.NewReplacer("♯", "#", "♭", "b").Replace(s.Key) // as it is typed, like all on the terminal
	if moved := say.MovedBy(s.Transposed); moved != "" {
		key += " (" + moved + ")"
	}
	con.Printf("  key         %s\n", key)
	if s.Capo > 0 {
		con.Printf("  capo        fret %d\n", s.Capo)
	}
	for _, o := range s.Capos {
		con.Printf("  %s\n", o.Words)
	}
	if s.HighFret > 0 {
		con.Printf("  frets       %g to %g\n", s.LowFret, s.HighFret)
	} else {
		con.Printf("  frets       open strings only\n")
	}
	con.Printf("  slants      %d\n", s.Slants)
	con.Printf("  difficulty  %.1f of 10\n", s.Difficulty)
	for _, l := range s.Account {
		con.Printf("  %s\n", l)
	}
	if len(s.Compromises) == 0 {
		con.Printf("  everything sounds as written\n")
		return
	}
	con.Printf("  %s of %d notes:\n", say.Count(len(s.Compromises), "compromise"), s.Notes+len(s.Compromises))
	for _, k := range s.Compromises {
		where := fmt.Sprintf("bar %d", k.Bar)
		if k.At != "0" {
			where += ", " + k.At + " into it"
		}
		con.Printf("    %s: %s is written, %s sounds (%s)\n", where, k.Wanted, k.Got, k.Why)
	}
}
