package main

import (
	"strconv"
	"strings"

	"lapwright/internal/console"
	"lapwright/sound"
	"lapwright/sound/click"
	"lapwright/tab"
	"lapwright/tune"
)

// practice are the flags of a recording that is practised with.
type practice struct {
	Bars       string `help:"Only these bars, by their printed numbers, as they sound first: 5-8, or 5." placeholder:"FIRST-LAST"`
	Times      int    `help:"Play it over so many times without a gap." default:"1" placeholder:"N"`
	Climb      number `help:"From --speed on, be faster by so many per cent of the full tempo each time, up to full." placeholder:"PERCENT"`
	Turns      int    `help:"My turn, your turn: after so many bars, they come again without the instrument; band, click and drone go on." placeholder:"BARS"`
	ClickOn    string `help:"Where it clicks: beats, two-and-four (the ones between the strong ones), or subdivided (softly between the beats, too)." enum:"beats,two-and-four,subdivided" default:"beats"`
	ClickOut   int    `help:"Let the click drop out: so many bars with it, so many without." placeholder:"BARS"`
	SlowGlides number `help:"Glides take so many times as long, 1 to 4." default:"1" placeholder:"X"`
}

// practise returns the tab as it is played over, begun at a speed.
func (p *practice) practise(t *tab.Tab, speed float64) (*tab.Tab, error) {
	first, last, err := p.bars()
	if err != nil {
		return nil, err
	}
	if err := p.Climb.within("--climb", 0, 100, " per cent"); err != nil {
		return nil, err
	}
	o := tune.Practice{FirstBar: first, LastBar: last, Times: p.Times, Turn: p.Turns}
	if p.Climb.value > 0 {
		o.Tempo = func(round int) float64 { return max(1, min(1, speed+float64(round)*p.Climb.value/100)/speed) }
	}
	switch {
	case p.Times < 1 || p.Times > tune.MaxTimes:
		return nil, console.Usagef("--times: \"%d\" is not from 1 to %d", p.Times, tune.MaxTimes)
	case p.Turns < 0 || p.Turns > tune.MaxTurn:
		return nil, console.Usagef("--turns: \"%d\" is not from 1 to %d bars", p.Turns, tune.MaxTurn)
	case p.Climb.value > 0 && p.Times < 2:
		return nil, console.Usagef("--climb: say how often with --times")
	case first == 0 && last == 0 && p.Times == 1 && p.Turns == 0:
		return t, nil
	}
	perf, err := t.Performance().Practised(o)
	if err != nil {
		return nil, err
	}
	out := *t
	out.Performed = perf
	return &out, nil
}

// bars reads the bars that are asked for, 0 for all.
func (p *practice) bars() (first, last int, err error) {
	if p.Bars == "" {
		return 0, 0, nil
	}
	from, to, row := strings.Cut(p.Bars, "-")
	if !row {
		to = from
	}
	first, bad := strconv.Atoi(from)
	last, worse := strconv.Atoi(to)
	if bad != nil || worse != nil || first < 1 || last < first {
		return 0, 0, console.Usagef("--bars: %q is no row of bars, such as 5-8", p.Bars)
	}
	return first, last, nil
}

// set puts what is asked of click and glides into the options.
func (p *practice) set(o *sound.Options) error {
	if err := p.SlowGlides.within("--slow-glides", 1, sound.MaxGlides, ""); err != nil {
		return err
	}
	if p.ClickOut < 0 || p.ClickOut > click.MaxOut {
		return console.Usagef("--click-out: \"%d\" is not from 0 to %d bars", p.ClickOut, click.MaxOut)
	}
	var err error
	if o.ClickOn, err = click.ParseOn(p.ClickOn); err != nil {
		return console.Usagef("--click-on: %v", err)
	}
	// Who says where it clicks wants it to.
	o.Click = o.Click || o.ClickOn != click.Beats || p.ClickOut > 0
	o.ClickOut, o.Glides = p.ClickOut, p.SlowGlides.value
	return nil
}
