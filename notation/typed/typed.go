package typed

import (
	"fmt"
	"slices"
	"strconv"

	"lapwright/fault"
	"lapwright/notation/columns"
	"lapwright/rig"
	"lapwright/tab"
)

// guesses are what was guessed or passed over in a text.
type guesses struct {
	file  string
	found fault.List
}

// maxSaid bounds how many guesses are listed.
const maxSaid = 1000

func (r *guesses) guess(l columns.TextLine, col int, format string, args ...any) {
	if len(r.found) > maxSaid {
		return
	}
	if len(r.found) == maxSaid {
		format, args = "more was guessed or passed over than is listed", nil
	}
	r.found.Add(&fault.Fault{File: r.file, Line: l.Number, Col: l.ByteAt(col) + 1, Msg: fmt.Sprintf(format, args...)})
}

func (r *guesses) fatal(l columns.TextLine, col int, format string, args ...any) error {
	return fault.List{{File: r.file, Line: l.Number, Col: l.ByteAt(col) + 1, Msg: fmt.Sprintf(format, args...)}}
}

// Parse reads a tab as players type it. r is the rig it is for, without its
// capo; file names the text in messages. The list holds what was guessed or
// passed over, with line and column, and what tab.Check finds (a bar that can't
// be laid so, a held note moved), with bar and beat.
//
// When nothing can be made of the text the error is a fault.List. Every fault
// with a line carries that line and a caret in Shown.
func Parse(src []byte, file string, r *rig.Rig) (*tab.Tab, fault.List, error) {
	lines, err := columns.Cut(src, file, r)
	if err != nil {
		return nil, nil, err
	}
	t, said, err := readLoose(lines, file, r)
	columns.Show(lines, said)
	if list, ok := err.(fault.List); ok {
		columns.Show(lines, list)
	}
	return t, said, err
}

// readLoose reads a text that is not in the exact form.
func readLoose(lines []columns.TextLine, file string, rg *rig.Rig) (*tab.Tab, fault.List, error) {
	said := &guesses{file: file}
	systems, err := systemsOf(lines, rg, said)
	if err != nil {
		return nil, nil, err
	}
	head := headReader{guesses: said, rig: rg, heading: heading{capo: -1}}
	if err := head.read(systems[0]); err != nil {
		return nil, nil, err
	}
	rg = head.rig
	names := stringOrder{guesses: said, rig: rg, top: true}
	if err := names.order(systems); err != nil {
		return nil, nil, err
	}
	systems = slices.DeleteFunc(systems, func(s *looseSystem) bool { return !s.cutBars(said) })
	if len(systems) == 0 {
		return nil, nil, said.found.FirstPerLine()
	}
	reader := barReader{guesses: said, rig: rg, last: make([]*looseToken, len(rg.Strings))}
	bars, err := reader.bars(systems)
	if err != nil {
		return nil, nil, err
	}
	rhythm := rhythmReader{said, systems[0]}
	meter := rhythm.meterOf(bars, head.meter)
	rhythm.timeBars(bars, meter)
	maker := gridMaker{said, rg, &head.heading}
	g := maker.fill(bars, meter)
	t, faults := g.Derive(file)
	if len(faults) > 0 {
		return nil, nil, faults.FirstPerLine()
	}
	for i := range t.Tune.Bars {
		b := &t.Tune.Bars[i]
		for v := range b.Lines {
			for e, end := range columns.Beamed(b, v, columns.BeamBeats) {
				b.Lines[v][e].BeamEnd = end
			}
		}
	}
	if err := columns.CheckRead(t, file); err != nil {
		return nil, nil, err
	}
	said.found.Sort()
	return t, append(said.found, placed(g, columns.CheckTab(t, file))...), nil
}

// placed returns faults that name a bar and beat the place in the text where the
// numbers of that instant stand.
func placed(g *columns.Grid, list fault.List) fault.List {
	for _, f := range list {
		for i := range g.Bars {
			if f.Bar != strconv.Itoa(g.Tune.Bars[i].Number) || f.Line > 0 {
				continue
			}
			for _, col := range g.Bars[i].Columns {
				if col.At.String() != f.Beat {
					continue
				}
				p := col.Cells[0].Place
				for _, c := range col.Cells {
					if c.Str == f.Str {
						p = c.Place
					}
				}
				f.Line, f.Col = p.Line, p.Col
			}
		}
	}
	return list
}
