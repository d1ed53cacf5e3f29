package main

import (
	"fmt"

	"lapwright/arrange"
	"lapwright/arrange/drill"
	"lapwright/grip"
	"lapwright/internal/console"
	"lapwright/internal/whole"
	"lapwright/notation"
	"lapwright/notation/tabtext"
	"lapwright/pitch"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/say"
	"lapwright/sheet"
	"lapwright/sheet/draw"
)

// drillCommand makes an exercise for a rig.
type drillCommand struct {
	Kind  string `arg:"" optional:"" help:"The exercise; --list names them."`
	Rig   string `help:"A built-in rig or a rig file." default:"reso-open-g" placeholder:"NAME"`
	Key   string `help:"The key: a tonic, and a mode after a space." default:"G" placeholder:"KEY"`
	Grade string `help:"How far the student has come: first, second or third." default:"second" placeholder:"GRADE"`
	Level string `hidden:""`
	List  bool   `help:"List the exercises."`
	Set   bool   `help:"Make a booklet of all exercises that the rig has something for: --out names a .pdf, .svg or .png."`
	Out   string `help:"Write the exercise to this file: .txt (tab text), .musicxml, .mxl, .mid or .abc; with --set the booklet." short:"o" placeholder:"FILE"`
	JSON  bool   `help:"Report as JSON."`
}

// Help returns an example that runs.
func (drillCommand) Help() string {
	return "Example: lapwright drill thirds --rig lap6-c6 --key C --out thirds.txt\n\nA booklet: lapwright drill --set --rig lap6-c6 --key C --out booklet.pdf\n\n" + drill.Caution
}

func (c *drillCommand) Run(con *console.Console) error {
	if c.List {
		return c.list(con)
	}
	r, err := loadRig(con, c.Rig)
	if err != nil {
		return err
	}
	key, err := pitch.ParseKey(c.Key)
	if err != nil {
		return console.Usagef("--key: %v", err)
	}
	if err := noLevel(c.Level); err != nil {
		return err
	}
	grade, err := arrange.ParseGrade(c.Grade)
	if err != nil {
		return console.Usagef("--grade: %v", err)
	}
	level := grade.Level()
	if err := whole.Apart([]string{c.Rig}, c.Out); err != nil {
		return err
	}
	switch {
	case c.Set && c.Kind != "":
		return console.Usagef("--set makes a booklet of all exercises: leave out %q", c.Kind)
	case c.Set && c.Out == "":
		return console.Usagef("--set needs --out: the file of the booklet")
	case c.Set:
		return c.booklet(con, r, key, level)
	case c.Kind == "":
		return console.Usagef("name an exercise, or ask for --list")
	}
	k, err := drill.Find(c.Kind)
	if err != nil {
		return console.Usagef("%v", err)
	}
	var format notation.Format
	if c.Out != "" {
		if format, err = formatOf(c.Out); err != nil {
			return err
		}
	}
	d, err := drill.Make(con.Ctx, k, r, key, level)
	if err != nil {
		return err
	}
	if err := writeItem(con, c.Out, format, &notation.Item{Tune: d.Tab.Tune, Tab: d.Tab}); err != nil {
		return err
	}
	if c.JSON {
		return con.JSON(report.DrillOf(d))
	}
	if c.Out == "" {
		con.Printf("%s\n", tabtext.Format(d.Tab))
	}
	con.Printf("%s\n", con.Strong(fmt.Sprintf("%s: %s", k.Name, k.Words)))
	con.Printf("%s\n", summary(d.Result))
	con.Printf("begin at %d beats a minute; %d is the speed to reach, when every note is clean\n", k.Start, k.Target)
	printCompromises(con, d.Tab)
	con.Printf("%s\n", drill.Caution)
	return nil
}

// list names the exercises.
func (c *drillCommand) list(con *console.Console) error {
	if c.JSON {
		return con.JSON(report.Drills())
	}
	for _, k := range drill.Kinds() {
		con.Printf("%-9s %s; from %d to %d beats a minute\n", k.Name, k.Words, k.Start, k.Target)
	}
	return nil
}

// booklet draws all exercises that the rig has something for.
func (c *drillCommand) booklet(con *console.Console, r *rig.Rig, key pitch.Key, level grip.Level) error {
	var made []*drill.Drill
	var without []string
	for _, k := range drill.Kinds() {
		d, err := drill.Make(con.Ctx, k, r, key, level)
		if con.Ctx.Err() != nil {
			return con.Ctx.Err()
		}
		if err != nil {
			without = append(without, fmt.Sprintf("%s: %v", k.Name, err))
			continue
		}
		made = append(made, d)
	}
	title := fmt.Sprintf("Exercises for %s in %s", r.Title, key)
	drawing, err := sheet.Book(title, len(made), func(i, first int) (*draw.Drawing, error) {
		return sheet.Lay(made[i].Tab, sheet.Options{Paper: draw.A4, FirstPage: first})
	}, sheet.Options{Paper: draw.A4})
	if err != nil {
		return unsuited(err)
	}
	files, err := writeDrawing(drawing, c.Out, 150, c.Rig)
	if err != nil {
		return err
	}
	if c.JSON {
		return con.JSON(report.NewBooklet(files, made, without))
	}
	con.Printf("%s: %s, %s\n", c.Out, say.Count(len(made), "exercise"), say.Count(len(drawing.Pages), "page"))
	for _, w := range without {
		con.Printf("left out, %s\n", w)
	}
	return nil
}
