package main

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"lapwright/grip"
	"lapwright/internal/console"
	"lapwright/pitch"
	"lapwright/report"
	"lapwright/rig"
)

// gripsCommand finds the grips of a chord, interval or set of notes, or names
// what a grip sounds.
type gripsCommand struct {
	Want    string `arg:"" optional:"" help:"A chord (\"A7\"), an interval (\"G sixth\"), exact notes (\"G3 B3 D4\") or tones (\"G B D\")."`
	Rig     string `required:"" help:"A built-in rig or a rig file." placeholder:"RIG"`
	Name    string `help:"Name what these strings and frets sound, such as 1:5,2:5,3:4 (3:0A engages bender A)." placeholder:"STRINGS"`
	Region  string `help:"Keep the steel between two frets, such as 5-9." placeholder:"LOW-HIGH"`
	Strings int    `help:"The most strings plucked at once." default:"3" placeholder:"N"`
	Capo    int    `help:"Put the capo at this fret." placeholder:"FRET"`
	Benders int    `help:"The most benders engaged at once." default:"2" placeholder:"N"`
	Square  bool   `help:"Never lean the steel."`
	Closed  bool   `help:"Use no open strings."`
	Most    int    `help:"How many grips to show, the best first." default:"20" placeholder:"N"`
	JSON    bool   `help:"Report as JSON."`
}

// Help returns an example that runs.
func (gripsCommand) Help() string {
	return "Example: lapwright grips \"A7\" --rig bender-open-d --region 5-9\n\nThe other way round: lapwright grips --name 1:5,2:5,3:5 --rig reso-open-g"
}

func (c *gripsCommand) Run(con *console.Console) error {
	r, err := loadRigAt(con, c.Rig, c.Capo)
	if err != nil {
		return err
	}
	switch {
	case c.Name != "" && c.Want != "":
		return console.Usagef("choose one: %q to be found, or --name %s to be named", c.Want, c.Name)
	case c.Name != "":
		return c.name(con, r)
	case c.Want == "":
		return console.Usagef("say what to find, as in lapwright grips \"A7\" --rig %s, or what to name with --name", c.Rig)
	}
	return c.find(con, r)
}

// gripBounds are the bounds of the numbers that may be asked for.
const (
	maxPlucked = 6
	maxShown   = 10_000
)

func (c *gripsCommand) find(con *console.Console, r *rig.Rig) error {
	w, err := grip.ParseWant(c.Want)
	if err != nil {
		return console.Usagef("%v", err)
	}
	o := grip.Options{Strings: c.Strings, Benders: c.Benders, NoBenders: c.Benders == 0, Square: c.Square, Closed: c.Closed, Max: c.Most}
	switch {
	case c.Strings < 1 || c.Strings > maxPlucked:
		return console.Usagef("--strings: \"%d\" is not from 1 to %d", c.Strings, maxPlucked)
	case c.Benders < 0 || c.Benders > rig.MaxBenders:
		return console.Usagef("--benders: \"%d\" is not from 0 to %d", c.Benders, rig.MaxBenders)
	case c.Most < 1 || c.Most > maxShown:
		return console.Usagef("--most: \"%d\" is not from 1 to %d", c.Most, maxShown)
	}
	if c.Region != "" {
		low, high, ok := strings.Cut(c.Region, "-")
		a, err1 := strconv.ParseFloat(low, 64)
		b, err2 := strconv.ParseFloat(high, 64)
		if !ok || err1 != nil || err2 != nil || !(a >= 0 && a <= b && b <= float64(r.Frets)) {
			return console.Usagef("--region: %q is no range of frets from 0 to %d, such as 5-9", c.Region, r.Frets)
		}
		if b == 0 {
			return console.Usagef("--region: %q leaves no place for the steel", c.Region)
		}
		o.Low, o.High = a, b
	}
	found := grip.Find(r, w, o)
	rep := report.GripsOf(r, w, found)
	if c.JSON {
		return con.JSON(rep)
	}
	var tones []string
	for _, t := range rep.Tones {
		if t.Label == t.Name {
			tones = append(tones, t.Name)
		} else {
			tones = append(tones, t.Name+" ("+t.Label+")")
		}
	}
	con.Printf("%s on %s (%s): %s\n\n", con.Strong(w.Text), r.Name, r.TuningWords(), strings.Join(tones, ", "))
	if len(found) == 0 {
		con.Printf("no grip within these limits sounds it\n")
		return nil
	}
	var rows [][]string
	for _, g := range rep.Grips {
		rows = append(rows, gripRow(r, g))
	}
	con.Table([]string{"strings", "frets", "steel", "sounds", "tones", "left out", ">cents off", "strings that fit too"}, rows)
	return nil
}

func gripRow(r *rig.Rig, g report.Grip) []string {
	var strs, frets, names, labels, more []string
	for _, n := range g.Notes {
		strs = append(strs, strconv.Itoa(n.String))
		frets = append(frets, fretWords(r, n, g.Benders))
		names = append(names, n.Sounds)
		labels = append(labels, n.Label)
	}
	for _, s := range g.More {
		more = append(more, strconv.Itoa(s))
	}
	return []string{strings.Join(strs, " "), strings.Join(frets, " "), steelWords(g.Bar), strings.Join(names, " "), strings.Join(labels, " "),
		strings.Join(g.Missing, " "), console.Signed(g.CentsOff, 1), strings.Join(more, " ")}
}

// fretWords writes a string's fret and the benders that move it.
func fretWords(r *rig.Rig, n report.GripNote, benders []string) string {
	s := strconv.FormatFloat(math.Round(n.Fret*100)/100, 'f', -1, 64)
	for _, mark := range benders {
		for _, b := range r.Benders {
			if b.Mark != mark {
				continue
			}
			for _, m := range b.Moves {
				if m.String == n.String {
					s += mark
				}
			}
		}
	}
	return s
}

func steelWords(b report.GripPlacement) string {
	if b.Angle != 0 {
		return fmt.Sprintf("%s, %.0f°", b.Kind, math.Abs(b.Angle))
	}
	return b.Kind
}

func (c *gripsCommand) name(con *console.Console, r *rig.Rig) error {
	stops, set, err := grip.ParseStops(r, c.Name)
	if err != nil {
		return console.Usagef("--name: %v", err)
	}
	n, err := grip.Name(r, stops, set)
	if err != nil {
		return console.Usagef("--name: %v", err)
	}
	rep := report.NamedGripOf(r, n)
	if c.JSON {
		return con.JSON(rep)
	}
	if len(n.Chords) == 0 {
		con.Printf("%s\n", con.Strong("no chord that has a name"))
	} else {
		con.Printf("%s\n", con.Strong(n.Chords[0].String()))
	}
	for _, l := range [][2]string{
		{"also", chordNames(n.Chords[min(1, len(n.Chords)):])},
		{"holds", chordNames(n.Within)},
		{"left out", strings.Join(n.Missing, ", ")},
		{"steps", strings.Join(rep.Intervals, ", ")},
		{"steel", steelWords(rep.Bar)},
	} {
		if l[1] != "" {
			con.Paragraph(fmt.Sprintf("%-9s", l[0]), l[1])
		}
	}
	con.Printf("\n")
	var rows [][]string
	for i, note := range rep.Notes {
		rows = append(rows, []string{strconv.Itoa(note.String), fretWords(r, note, rep.Benders), n.Notes[i].Name.String(), note.Label, console.Signed(note.CentsOff, 1)})
	}
	con.Table([]string{">string", ">fret", "sounds", "tone", ">cents off"}, rows)
	return nil
}

func chordNames(cs []pitch.Chord) string {
	var out []string
	for _, c := range cs {
		out = append(out, c.String())
	}
	return strings.Join(out, ", ")
}
