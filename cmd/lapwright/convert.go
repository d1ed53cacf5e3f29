package main

import (
	"fmt"
	"slices"

	"lapwright/arrange"
	"lapwright/fault"
	"lapwright/internal/console"
	"lapwright/internal/whole"
	"lapwright/notation"
	"lapwright/rig"
	"lapwright/say"
	"lapwright/sheet"
	"lapwright/tab"
)

// convertCommand takes music from one format to another.
type convertCommand struct {
	In      string `arg:"" help:"The file to read: ABC, MusicXML (.musicxml, .xml, .mxl), MIDI, tab text (.txt, .tab) or a chart of chords (.chart)."`
	Out     string `arg:"" help:"The file to write; its ending tells the format. - is standard output."`
	As      string `help:"The format to write: abc, musicxml, mxl, midi, text or chart." placeholder:"FORMAT"`
	From    string `help:"The format to read, when neither ending nor content tells it." placeholder:"FORMAT"`
	Rig     string `help:"A built-in rig or a rig file: what the tab is for, or what to place a tune on." placeholder:"NAME"`
	Part    string `help:"The part of a score, by name or number, or the track of a MIDI file (1:4 is channel 4 of track 1)." placeholder:"PART"`
	Tune    *int   `help:"Which tune of the file, counted from 1; else all when the format holds several." placeholder:"N"`
	Grid    *int   `help:"The shortest note of a MIDI file's timing: 4, 8, 16, 32 or 64; else as it seems written." placeholder:"N"`
	wishes  `embed:""`
	company `embed:""`
}

// Help returns an example that runs.
func (convertCommand) Help() string {
	return "Example: lapwright convert waltz.abc waltz.musicxml --rig lap6-c6\n\nTwo instruments in one score: lapwright convert waltz.abc duo.musicxml --rig lap6-c6 --with reso-open-g:backup"
}

func (c *convertCommand) Run(con *console.Console) error {
	format, err := formatTo(c.As, c.Out)
	if err != nil {
		return err
	}
	if err := whole.Apart([]string{c.In, c.Rig}, c.Out); err != nil {
		return err
	}
	m, r, err := openMaterial(con, c.In, c.From, c.Part, c.Rig, c.Grid)
	if err != nil {
		return err
	}
	items, err := chooseItems(m, c.In, c.Tune, format)
	if err != nil {
		return err
	}
	several, err := c.asked()
	switch {
	case err != nil:
		return err
	case several && (r == nil || len(items) > 1):
		return console.Usagef("--with puts an instrument under that of --rig, for one tune: name both, and --tune where there are several")
	}
	if c.Tune != nil {
		con.Warn(m.WarningsOf(*c.Tune - 1))
	} else {
		con.Warn(m.Warnings)
	}
	var out []byte
	for i := range items {
		it := items[i]
		con.Warn(it.Lost)
		if it.Tab != nil {
			con.Warn(compromised(it.Tab))
		}
		if !several && it.Tab == nil && r != nil || format == notation.TabText && it.Tab == nil {
			if r == nil {
				return console.Usagef("%s holds a tune; name the instrument to place it on with --rig", c.In)
			}
			if it.Tab, err = c.place(con, &it, r); err != nil {
				return err
			}
			it.Tune = it.Tab.Tune
		}
		if !several && it.Tab == nil && !c.names().None() {
			framed, err := c.put(con.Ctx, it.Tune, nil, &arrange.Options{})
			if err != nil {
				return err
			}
			it.Tune = framed.Tune
		}
		b, lost, err := c.encode(con, format, &it, r)
		if err != nil {
			return err
		}
		con.Warn(lost)
		if i > 0 {
			out = append(out, '\n')
		}
		out = append(out, b...)
	}
	if c.Out == "-" {
		_, err := con.Stdout.Write(out)
		return err
	}
	if err := whole.WriteFile(c.Out, out); err != nil {
		return err
	}
	what := say.Count(len(items), "tune")
	if len(items) == 1 && items[0].Tune.Title != "" {
		what = fmt.Sprintf("%q", items[0].Tune.Title)
	}
	con.Printf("%s: %s as %s\n", c.Out, what, formatWords[format])
	return nil
}

// encode writes one tune or tab, or one score of it and the instruments beside it.
func (c *convertCommand) encode(con *console.Console, f notation.Format, it *notation.Item, r *rig.Rig) ([]byte, fault.List, error) {
	if len(c.With) == 0 {
		return notation.Encode(f, it)
	}
	var parts []sheet.Part
	var err error
	if it.Tab != nil {
		parts, err = c.parts(con, it.Tab, it.Tab.Whole(), &c.wishes)
	} else {
		parts, err = c.company.place(con, it.Tune, r, &c.wishes)
	}
	if err != nil {
		return nil, nil, err
	}
	var tabs []*tab.Tab
	for _, p := range parts {
		con.Warn(compromised(p.Tab))
		tabs = append(tabs, p.Tab)
	}
	return notation.EncodeTogether(f, tabs)
}

// place puts a tune on a rig as the wishes say.
func (c *convertCommand) place(con *console.Console, it *notation.Item, r *rig.Rig) (*tab.Tab, error) {
	result, err := c.arrange(con.Ctx, it.Tune, r)
	if err != nil {
		return nil, err
	}
	con.Warn(compromised(result.Tab))
	return result.Tab, nil
}

// formatWords says the formats to people.
var formatWords = map[notation.Format]string{
	notation.ABC: "ABC", notation.MusicXML: "MusicXML", notation.Compressed: "compressed MusicXML", notation.MIDI: "MIDI", notation.TabText: "tab text", notation.Chart: "a chart",
}

// formatTo chooses what to write by name or by the ending of the file.
func formatTo(as, out string) (notation.Format, error) {
	if as != "" {
		f, err := notation.ParseFormat(as)
		if err != nil {
			return "", console.Usagef("--as: %v", err)
		}
		return f, nil
	}
	f, err := formatOf(out)
	if err != nil {
		return "", console.Usagef("%v, or say --as", err)
	}
	return f, nil
}

// formatOf chooses what to write by the ending of the file.
func formatOf(out string) (notation.Format, error) {
	f, ok := notation.FormatOf(out)
	if !ok {
		return "", console.Usagef("the ending of %q tells no format; use .abc, .musicxml, .mxl, .mid, .txt or .chart", out)
	}
	return f, nil
}

// writeItem writes a tune or a tab to a file and tells what the format can't say; no
// file writes nothing.
func writeItem(con *console.Console, to string, format notation.Format, it *notation.Item) error {
	if to == "" {
		return nil
	}
	b, lost, err := notation.Encode(format, it)
	if err != nil {
		return err
	}
	con.Warn(lost)
	return whole.WriteFile(to, b)
}

// openMaterial reads a file in whatever format it is.
func openMaterial(con *console.Console, in, from, part, rigName string, grid *int) (*notation.Material, *rig.Rig, error) {
	w := notation.Options{Part: part}
	if grid != nil {
		if !slices.Contains([]int{4, 8, 16, 32, 64}, *grid) {
			return nil, nil, console.Usagef("--grid: \"%d\" is not 4, 8, 16, 32 or 64", *grid)
		}
		w.Grid = *grid
	}
	if from != "" {
		f, err := notation.ParseFormat(from)
		if err != nil {
			return nil, nil, console.Usagef("--from: %v", err)
		}
		w.Format = f
	}
	if rigName != "" {
		r, err := loadRig(con, rigName)
		if err != nil {
			return nil, nil, err
		}
		w.Rig = r
	}
	src, err := readInput(in)
	if err != nil {
		return nil, nil, err
	}
	m, err := notation.Open(src, in, w)
	return m, w.Rig, err
}

// chooseItems returns the n-th tune, or all when the format holds several.
func chooseItems(m *notation.Material, in string, choice *int, to notation.Format) ([]notation.Item, error) {
	switch {
	case choice != nil:
		n := *choice
		if n < 1 || n > len(m.Items) {
			return nil, noTune(in, n, len(m.Items))
		}
		return m.Items[n-1 : n], nil
	case len(m.Items) > 1 && to != notation.ABC:
		return nil, console.Usagef("%s holds %d tunes, and %s holds one; choose with --tune", in, len(m.Items), formatWords[to])
	}
	return m.Items, nil
}
