package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"lapwright/arrange"
	"lapwright/fault"
	"lapwright/internal/console"
	"lapwright/notation"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/say"
	"lapwright/tab"
	"lapwright/tune"
)

// checkCommand says what is in a file and what would be lost where.
type checkCommand struct {
	File string `arg:"" help:"The file to look at: ABC, MusicXML, MIDI or tab text."`
	From string `help:"The format to read, when neither ending nor content tells it." placeholder:"FORMAT"`
	Rig  string `help:"A built-in rig or a rig file: what a tab is for, or what a tune would be placed on." placeholder:"NAME"`
	Part string `help:"The part of a score, by name or number, or the track of a MIDI file (1:4 is channel 4 of track 1)." placeholder:"PART"`
	Tune *int   `help:"Which tune of the file, counted from 1; else all." placeholder:"N"`
	Grid *int   `help:"The shortest note of a MIDI file's timing: 4, 8, 16, 32 or 64; else as it seems written." placeholder:"N"`
	JSON bool   `help:"Report as JSON."`
}

// Help returns an example that runs.
func (checkCommand) Help() string { return "Example: lapwright check waltz.abc --json" }

func (c *checkCommand) Run(con *console.Console) error {
	m, r, err := openMaterial(con, c.File, c.From, c.Part, c.Rig, c.Grid)
	if err != nil {
		return err
	}
	if c.Tune != nil && (*c.Tune < 1 || *c.Tune > len(m.Items)) {
		return noTune(c.File, *c.Tune, len(m.Items))
	}
	warnings := m.Warnings
	if c.Tune != nil {
		warnings = m.WarningsOf(*c.Tune - 1)
	}
	rep := report.CheckedFile{File: c.File, Format: string(m.Format), Warnings: report.Faults(warnings), Tunes: []report.CheckedTune{}}
	for i := range m.Items {
		if c.Tune == nil || *c.Tune == i+1 {
			rep.Tunes = append(rep.Tunes, lookAt(con.Ctx, &m.Items[i], i+1, r))
		}
	}
	if err := con.Ctx.Err(); err != nil {
		return err
	}
	if c.JSON {
		return con.JSON(rep)
	}
	con.Printf("%s: %s, %s\n", c.File, formatWords[m.Format], say.Count(len(m.Items), "tune"))
	listFindings(con, "not kept in reading it", rep.Warnings)
	for i := range rep.Tunes {
		showTune(con, &rep.Tunes[i])
	}
	return nil
}

// lookAt describes one item; a tune is placed on the rig, when there is one, to
// see what that costs.
func lookAt(ctx context.Context, it *notation.Item, n int, r *rig.Rig) report.CheckedTune {
	t := it.Tune
	perf := tune.Perform(t)
	out := report.CheckedTune{
		Number: n, Title: t.Title, Part: it.Name, About: append([]string{}, it.About...), Bars: t.CountBars(), Played: len(perf.Passes), Voices: len(t.Voices),
		Warnings: report.Faults(it.Lost), Lost: map[string][]report.Fault{},
	}
	if len(t.Bars) > 0 {
		b := &t.Bars[min(1, len(t.Bars)-1)]
		out.Key, out.Meter = t.Bars[0].Key.String(), "free"
		if b.Meter.Beats > 0 {
			out.Meter = fmt.Sprintf("%d/%d", b.Meter.Beats, b.Meter.Unit)
		}
	}
	out.Lasts(perf.Clock.Seconds(perf.Clock.Len()))
	lowest, highest := 1000, -1
	for i := range t.Bars {
		out.Chords += len(t.Bars[i].Chords)
		for _, line := range t.Bars[i].Lines {
			for j := range line {
				out.Lyrics = out.Lyrics || len(line[j].Lyrics) > 0
				out.Notes += len(line[j].Notes)
				for _, note := range line[j].Notes {
					if k := note.Name.Key(); k < lowest {
						lowest, out.Lowest = k, note.Name.String()
					}
					if k := note.Name.Key(); k > highest {
						highest, out.Highest = k, note.Name.String()
					}
				}
			}
		}
	}
	if it.Tab != nil {
		out.Rig, out.Compromises = it.Tab.Rig.Name, len(it.Tab.Compromises)
		out.Warnings = append(out.Warnings, report.Faults(compromised(it.Tab))...)
	}
	for _, f := range notation.Formats {
		if f == notation.Compressed || f == notation.Chart {
			continue
		}
		var lost fault.List
		var err error
		if it.Tab == nil && r != nil && f == notation.TabText {
			lost, err = placed(ctx, it, r)
		} else {
			_, lost, err = notation.Encode(f, it)
		}
		if err != nil {
			lost = fault.List{{Msg: err.Error()}}
			var one *fault.Fault
			if errors.As(err, &one) {
				lost = fault.List{one}
			}
		}
		out.Lost[string(f)] = report.Faults(lost)
	}
	return out
}

// placed lists what a tune loses on a rig.
func placed(ctx context.Context, it *notation.Item, r *rig.Rig) (fault.List, error) {
	result, err := arrange.Arrange(ctx, it.Tune, r, arrange.Options{})
	if err != nil {
		return nil, err
	}
	return compromised(result.Tab), nil
}

// compromised returns the compromises of a tab as findings.
func compromised(t *tab.Tab) fault.List {
	var out fault.List
	for _, x := range t.Compromises {
		out.Add(&fault.Fault{Bar: fmt.Sprint(x.BarNumber), Beat: x.At.String(), Msg: fmt.Sprintf("%s becomes %s: %s", x.Wanted, x.Got, x.Why)})
	}
	return out
}

// findingText writes one finding with its place.
func findingText(f *report.Fault) string {
	var s []string
	switch {
	case f.Byte != nil:
		s = append(s, fmt.Sprintf("%s, byte %d", f.Part, *f.Byte))
	case f.Line > 0:
		s = append(s, fmt.Sprintf("line %d, column %d", f.Line, f.Column))
	}
	if f.Bar != "" {
		s = append(s, "bar "+f.Bar)
	}
	if f.At != "" {
		s = append(s, f.At+" into it")
	}
	text := f.Text
	if len(s) > 0 {
		text = strings.Join(s, ", ") + ": " + text
	}
	if f.Hint != "" {
		text += " (" + f.Hint + ")"
	}
	return console.OneLine(text)
}

// listFindings prints a heading and what stands under it, when there is any.
func listFindings(con *console.Console, heading string, list []report.Fault) {
	if len(list) == 0 {
		return
	}
	con.Printf("  %s:\n", heading)
	for i := range list {
		con.Printf("    %s\n", findingText(&list[i]))
		if list[i].Shown != "" {
			for l := range strings.SplitSeq(list[i].Shown, "\n") {
				con.Printf("      %s\n", console.OneLine(l))
			}
		}
	}
}

// showTune prints what is in one tune.
func showTune(con *console.Console, t *report.CheckedTune) {
	title := t.Title
	if title == "" {
		title = "untitled"
	}
	if t.Part != "" && t.Part != t.Title {
		title += " (" + t.Part + ")"
	}
	con.Printf("\n%s\n", con.Strong(fmt.Sprintf("%d. %s", t.Number, console.OneLine(title))))
	played := ""
	if t.Played != t.Bars {
		played = fmt.Sprintf(" (%d with repeats)", t.Played)
	}
	con.Printf("  %s%s, %s in %s, %s, %s, about %.0f s\n", say.Count(t.Bars, "bar"), played, say.Count(t.Notes, "note"), say.Count(t.Voices, "voice"), t.Key, t.Meter, t.Seconds)
	if t.Lowest != "" {
		more := ""
		if t.Chords > 0 {
			more += ", " + say.Count(t.Chords, "chord symbol")
		}
		if t.Lyrics {
			more += ", with words"
		}
		con.Printf("  from %s to %s%s\n", t.Lowest, t.Highest, more)
	}
	for _, a := range t.About {
		con.Printf("  %s\n", console.OneLine(a))
	}
	if t.Rig != "" && t.Compromises > 0 {
		con.Printf("  %s\n", say.Count(t.Compromises, "note")+" not exactly as written")
	}
	listFindings(con, "not kept in reading it", t.Warnings)
	for _, f := range notation.Formats {
		if list := t.Lost[string(f)]; len(list) > 0 {
			listFindings(con, "not kept as "+formatWords[f], list)
		}
	}
}
