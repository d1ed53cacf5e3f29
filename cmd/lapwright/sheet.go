package main

import (
	"fmt"
	"path/filepath"
	"strconv"
	"strings"

	"lapwright/arrange"
	"lapwright/internal/console"
	"lapwright/internal/whole"
	"lapwright/notation"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/say"
	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/sheet/pdf"
	"lapwright/sheet/png"
	"lapwright/tab"
	"lapwright/tune"
)

// sheetCommand draws a tune or a tab as a sheet of music.
type sheetCommand struct {
	File    string `arg:"" help:"The tune's file, or tab text (.txt) made for the rig."`
	Tune    int    `help:"Which tune of the file, counted from 1." default:"1" placeholder:"N"`
	Book    string `help:"Draw every tune of the file, with contents in front, under this title." placeholder:"TITLE"`
	Rig     string `help:"A built-in rig or a rig file; none draws the tune alone. Left out, it is the one that tab text names, else reso-open-g." placeholder:"NAME"`
	wishes  `embed:""`
	company `embed:""`
	Out     string   `help:"The sheet to write: .pdf for all pages, .svg or .png for one file a page." short:"o" default:"sheet.pdf" placeholder:"FILE"`
	Layout  string   `help:"full, lead-sheet, tab-only, large-print or grips (with neck pictures)." default:"full" enum:"full,lead-sheet,tab-only,large-print,grips" placeholder:"LAYOUT"`
	Paper   string   `help:"a4 or letter." default:"a4" enum:"a4,letter" placeholder:"PAPER"`
	Scale   number   `help:"Size of the music, 0.5 to 2.5." default:"1" placeholder:"X"`
	DPI     number   `help:"Resolution of .png in dots an inch." default:"150" placeholder:"N"`
	Header  string   `help:"Words over the title, such as the class's name." placeholder:"WORDS"`
	Name    bool     `help:"Leave a line for the student's name."`
	Rhythm  bool     `help:"Draw the rhythm under the tablature too."`
	Remark  []string `help:"Words in a box before the line with a bar: \"9: lighter here\"; may be given again." sep:"none" placeholder:"BAR: WORDS"`
	Fingers bool     `help:"Print the picking fingers." default:"true" negatable:""`
	Lean    bool     `help:"Print the angle of slants." default:"true" negatable:""`
	facing  `embed:""`
	Origins bool `name:"provenance" help:"Print who wrote the tune down, its group and its history." default:"true" negatable:""`
	Grades  bool `help:"The first, the second and the third grade under one another, bar under bar."`
	JSON    bool `help:"Report as JSON."`
}

// Help returns an example that runs.
func (sheetCommand) Help() string {
	return "Example: lapwright sheet waltz.abc --rig lap6-c6 --layout tab-only --out waltz.pdf\n\nA second instrument that accompanies: lapwright sheet waltz.abc --rig lap6-c6 --with reso-open-g:backup --out duo.pdf\n\nA whole file: lapwright sheet waltzes.abc --book \"Waltzes for Tuesday\" --out book.pdf"
}

func (c *sheetCommand) Run(con *console.Console) error {
	ending := strings.ToLower(filepath.Ext(c.Out))
	if ending != ".pdf" && ending != ".svg" && ending != ".png" {
		return console.Usagef("a sheet ending in %q can't be written; use .pdf, .svg or .png", ending)
	}
	if err := c.DPI.within("--dpi", png.MinDPI, png.MaxDPI, ""); err != nil {
		return err
	}
	if err := c.Scale.within("--scale", 0.5, 2.5, ""); err != nil {
		return err
	}
	o := sheet.Options{Layout: sheet.Layout(c.Layout), Paper: draw.Paper(c.Paper), Scale: c.Scale.value, Header: c.Header, NameLine: c.Name, Rhythm: c.Rhythm, NoFingers: !c.Fingers, NoLean: !c.Lean, StringOneLow: c.StringOneLow, LeftHanded: c.Left, NoProvenance: !c.Origins}
	var drawing *draw.Drawing
	var breaks sheet.Breaks
	rep := report.Sheet{Unprinted: []string{}}
	several, err := c.asked()
	if err != nil {
		return err
	}
	if several && (c.Book != "" || c.Rig == "none") {
		return console.Usagef("--with puts an instrument under that of --rig, for one tune")
	}
	if c.Grades && (several || c.Book != "" || c.Rig == "none" || strings.EqualFold(filepath.Ext(c.File), ".txt")) {
		return console.Usagef("--grades draws one tune's three grades on one instrument")
	}
	if several || c.Grades {
		if drawing, breaks, rep.Compromises, err = c.together(con, o); err != nil {
			return err
		}
	} else if c.Book != "" {
		if len(c.Remark) > 0 {
			return console.Usagef("--remark belongs to one tune, not to a book")
		}
		if drawing, rep.Compromises, err = c.book(con, o); err != nil {
			return err
		}
	} else if c.Rig == "none" {
		t, err := loadTune(con, c.File, c.Tune)
		if err != nil {
			return err
		}
		framed, err := c.put(con.Ctx, t, nil, &arrange.Options{})
		if err != nil {
			return err
		}
		t = framed.Tune
		if o.Remarks, err = remarks(c.Remark, t.Bars); err != nil {
			return err
		}
		if drawing, breaks, err = sheet.LayTuneWithBreaks(t, o); err != nil {
			return unsuited(err)
		}
	} else {
		t, err := loadTab(con, c.File, c.Tune, c.Rig, &c.wishes)
		if err != nil {
			return err
		}
		if o.Remarks, err = remarks(c.Remark, t.Tune.Bars); err != nil {
			return err
		}
		if drawing, breaks, err = sheet.LayWithBreaks(t, o); err != nil {
			return unsuited(err)
		}
		rep.Compromises = len(t.Compromises)
	}
	rep.Lines = report.SheetLines(breaks)
	rep.Pages = len(drawing.Pages)
	rep.Unprinted = append(rep.Unprinted, drawing.Unprinted()...)
	if rep.Files, err = writeDrawing(drawing, c.Out, c.DPI.value, append(rigFiles(c.With), c.File, c.Rig)...); err != nil {
		return err
	}
	if c.JSON {
		return con.JSON(rep)
	}
	con.Printf("%s: %s\n", strings.Join(rep.Files, ", "), say.Count(rep.Pages, "page"))
	if rep.Compromises > 0 {
		con.Printf("%s not exactly as written; the sheet lists them\n", say.Count(rep.Compromises, "note"))
	}
	for _, u := range rep.Unprinted {
		con.Printf("some letters of %q are in no built-in font; a square stands for each in print\n", u)
	}
	return nil
}

// grades places the tune in every grade, the first and the third in the key of the second.
func (c *sheetCommand) grades(con *console.Console) ([]sheet.Part, error) {
	w := c.wishes
	w.Grade = arrange.SecondGrade.String()
	second, err := loadTab(con, c.File, c.Tune, c.Rig, &w)
	if err != nil {
		return nil, err
	}
	if w.Key == "" {
		w.Key = second.Tune.Bars[0].Key.Tonic.String()
	}
	out := []sheet.Part{}
	for _, g := range arrange.Grades {
		t := second
		if g != arrange.SecondGrade {
			w.Grade = g.String()
			if t, err = loadTab(con, c.File, c.Tune, c.Rig, &w); err != nil {
				return nil, err
			}
		}
		out = append(out, sheet.Part{Tab: t, Name: "grade " + g.String()})
	}
	return out, nil
}

// together draws several instruments in one score, and counts their compromises.
func (c *sheetCommand) together(con *console.Console, o sheet.Options) (drawing *draw.Drawing, breaks sheet.Breaks, compromises int, err error) {
	var parts []sheet.Part
	if c.Grades {
		parts, err = c.grades(con)
	} else {
		parts, err = loadParts(con, c.File, c.Tune, c.Rig, &c.wishes, &c.company)
	}
	if err != nil {
		return nil, sheet.Breaks{}, 0, err
	}
	if o.Remarks, err = remarks(c.Remark, parts[0].Tab.Tune.Bars); err != nil {
		return nil, sheet.Breaks{}, 0, err
	}
	for _, p := range parts {
		compromises += len(p.Tab.Compromises)
	}
	if drawing, breaks, err = sheet.LayTogether(parts, o); err != nil {
		return nil, sheet.Breaks{}, 0, unsuited(err)
	}
	return drawing, breaks, compromises, nil
}

// book draws every tune of the file.
func (c *sheetCommand) book(con *console.Console, o sheet.Options) (drawing *draw.Drawing, compromises int, err error) {
	src, err := readInput(c.File)
	if err != nil {
		return nil, 0, err
	}
	pieces, warnings, err := notation.Read(src, c.File)
	con.Warn(warnings)
	if err != nil {
		return nil, 0, err
	}
	var r *rig.Rig
	if c.Rig != "none" {
		if r, err = loadRig(con, c.Rig); err != nil {
			return nil, 0, err
		}
		if _, err = c.options(r); err != nil {
			return nil, 0, err
		}
	}
	m := con.Progress()
	defer m.End()
	drawing, err = sheet.Book(c.Book, len(pieces), func(i, first int) (*draw.Drawing, error) {
		if err := con.Ctx.Err(); err != nil {
			return nil, err
		}
		m.Draw(i, len(pieces), "drawing")
		o := o
		o.FirstPage = first
		if r == nil {
			return sheet.LayTune(pieces[i].Tune, o)
		}
		result, err := c.arrange(con.Ctx, pieces[i].Tune, r)
		if err != nil {
			return nil, fmt.Errorf("tune %d: %w", i+1, err)
		}
		compromises += len(result.Tab.Compromises)
		return sheet.Lay(result.Tab, o)
	}, o)
	switch {
	case con.Ctx.Err() != nil:
		return nil, 0, con.Ctx.Err()
	case err != nil:
		return nil, 0, unsuited(err)
	}
	return drawing, compromises, nil
}

// writeDrawing writes a drawing in the format of the name's ending, and names
// the files: one for PDF, else one a page. None may be one of the inputs.
func writeDrawing(drawing *draw.Drawing, name string, dpi float64, inputs ...string) ([]string, error) {
	ext := filepath.Ext(name)
	files := []string{name}
	if !strings.EqualFold(ext, ".pdf") && len(drawing.Pages) > 1 {
		files = nil
		for i := range drawing.Pages {
			files = append(files, fmt.Sprintf("%s-%d%s", strings.TrimSuffix(name, ext), i+1, ext))
		}
	}
	if err := whole.Apart(inputs, files...); err != nil {
		return nil, err
	}
	for i, file := range files {
		var b []byte
		var err error
		switch strings.ToLower(ext) {
		case ".pdf":
			b, err = pdf.Write(drawing)
		case ".svg":
			b = draw.SVG(drawing, i)
		default:
			b, err = png.Write(drawing, i, dpi)
		}
		if err != nil {
			return nil, err
		}
		if err := whole.WriteFile(file, b); err != nil {
			return nil, err
		}
	}
	return files, nil
}

// loadTab reads tab text, or arranges a tune for a rig.
func loadTab(con *console.Console, file string, n int, rigName string, w *wishes) (*tab.Tab, error) {
	r, err := loadRigFor(con, file, rigName)
	if err != nil {
		return nil, err
	}
	return loadTabOn(con, file, n, r, w)
}

// loadTabOn is loadTab on a rig that is at hand.
func loadTabOn(con *console.Console, file string, n int, r *rig.Rig, w *wishes) (*tab.Tab, error) {
	if isTabText(file) {
		if !w.names().None() {
			return nil, console.Usagef("%s is placed already: --intro, --turnaround and --ending are for tunes", file)
		}
		src, err := readInput(file)
		if err != nil {
			return nil, err
		}
		t, warnings, err := notation.ReadTab(src, file, r)
		con.Warn(warnings)
		return t, err
	}
	return arranged(con, file, n, r, w)
}

func arranged(con *console.Console, file string, n int, r *rig.Rig, w *wishes) (*tab.Tab, error) {
	t, err := loadTune(con, file, n)
	if err != nil {
		return nil, err
	}
	result, err := w.arrange(con.Ctx, t, r)
	if err != nil {
		return nil, err
	}
	return result.Tab, nil
}

// remarks reads "BAR: WORDS"; bars are named by their printed numbers.
func remarks(texts []string, bars []tune.Bar) ([]sheet.Remark, error) {
	var out []sheet.Remark
	for _, t := range texts {
		head, words, ok := strings.Cut(t, ":")
		n, err := strconv.Atoi(strings.TrimSpace(head))
		if !ok || err != nil || strings.TrimSpace(words) == "" {
			return nil, console.Usagef("--remark: %q is not a bar's number, a colon and words", t)
		}
		found := false
		for i := range bars {
			if bars[i].Number == n {
				out = append(out, sheet.Remark{BarIndex: i, Text: strings.TrimSpace(words)})
				found = true
				break
			}
		}
		if !found {
			return nil, console.Usagef("--remark: there is no bar %d", n)
		}
	}
	return out, nil
}
