package workbench

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lapwright/arrange"
	"lapwright/fault"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/tune"
)

// pinOf returns the pin to keep for a choice in a tune whose bars' numbers an intro makes
// so much higher.
func pinOf(g *rig.Rig, c *arrange.Choice, before int) report.Pin {
	out := report.Pin{
		Bar: c.Pin.FromBarNumber - before, At: c.Pin.At.String(), Words: c.Words, Grip: [][2]int{},
		Whole: c.Pin.Whole, In: (*report.PinSetting)(c.Pin.In),
	}
	if c.Pin.Benders != nil {
		letters := report.Marks(g, *c.Pin.Benders)
		out.Benders = &letters
	}
	for _, g := range c.Pin.Grip {
		out.Grip = append(out.Grip, [2]int{g.String, g.Fret})
	}
	return out
}

// arrangedPin returns a kept pin for a rig, or the letters of the benders that it needs
// and the rig does not have any more.
func arrangedPin(p *report.Pin, g *rig.Rig) (arranged arrange.Pin, gone []string, err error) {
	at, err := ticksOf(p.At)
	if err != nil {
		return arrange.Pin{}, nil, err
	}
	out := arrange.Pin{FromBarNumber: p.Bar, At: &at, Whole: p.Whole, In: (*arrange.Setting)(p.In)}
	if p.Benders != nil {
		set, gone := bendersOf(g, *p.Benders)
		if len(gone) > 0 {
			return out, gone, nil
		}
		out.Benders = &set
	}
	for _, g := range p.Grip {
		out.Grip = append(out.Grip, arrange.Stop{String: g[0], Fret: g[1]})
	}
	return out, nil, nil
}

// samePin reports whether two pins ask for the same at the same place. One without a
// setting holds in all.
func samePin(a, b *arrange.Pin) bool {
	switch {
	case a.FromBarNumber != b.FromBarNumber, a.At == nil, b.At == nil, *a.At != *b.At, a.In != nil && b.In != nil && *a.In != *b.In:
		return false
	case a.Benders != nil && b.Benders != nil && *a.Benders != *b.Benders:
		return false
	}
	by := func(x, y arrange.Stop) int { return x.String - y.String }
	return slices.Equal(slices.SortedFunc(slices.Values(a.Grip), by), slices.SortedFunc(slices.Values(b.Grip), by))
}

// asleepOf says of each pin that needs a bender which a rig has no more what it
// needs, behind an intro of so many bars. Such a pin fixes nothing until the bender is there again.
func asleepOf(w report.Wishes, g *rig.Rig, before int) []string {
	out := []string{}
	for i := range w.Pins {
		p := &w.Pins[i]
		if _, gone, err := arrangedPin(p, g); err == nil && len(gone) > 0 {
			where := fmt.Sprintf("bar %d", p.Bar+before)
			if p.At != "0" {
				where += ", " + p.At + " in"
			}
			out = append(out, fmt.Sprintf("%s: %s needs %s, which this instrument does not have", where, p.Words, benderWords(gone)))
		}
	}
	return out
}

// ticksOf reads a fraction of a whole note.
func ticksOf(text string) (tune.Ticks, error) {
	num, den, ok := strings.Cut(text, "/")
	if !ok {
		den = "1"
	}
	n, err1 := strconv.ParseInt(num, 10, 64)
	d, err2 := strconv.ParseInt(den, 10, 64)
	at, ok := tune.Of(n, d)
	if errors.Join(err1, err2) != nil || !ok {
		return 0, &fault.Fault{Msg: fmt.Sprintf("%q is no length or place in music", text)}
	}
	return at, nil
}
