package page

import (
	"cmp"

	"lapwright/arrange"
	"lapwright/report"
	"lapwright/say"
	"lapwright/sheet"
	"lapwright/sound"
	"lapwright/sound/click"
	"lapwright/tab"
)

// Placed draws a tune that was placed on an instrument for screens.
func Placed(res *arrange.Result, o sheet.Options) (*report.Placed, error) {
	drawn, err := Sheet(res.Tab, o)
	if err != nil {
		return nil, err
	}
	return placedWith(drawn, res)
}

func placedWith(drawn *report.ScreenSheet, res *arrange.Result) (*report.Placed, error) {
	timing, err := Timing(res.Tab, sound.Options{})
	if err != nil {
		return nil, err
	}
	return &report.Placed{Shown: report.TabOf(res.Tab, timing), About: report.Summarise(res), ScreenSheet: *drawn}, nil
}

// Timing is when everything in a tab sounds, without the count-in, which a page adds
// itself. Of its clicks, which are all that there can be, a page takes those that are wanted.
func Timing(t *tab.Tab, o sound.Options) (*sound.Timing, error) {
	o.Click, o.ClickOn, o.CountIn = true, click.Subdivided, 0
	return sound.Timeline(t, o)
}

// InWords tells a tab in words: what it is, then bar by bar.
func InWords(t *tab.Tab) report.InWords {
	tl := say.NewTeller(t.Tune, t)
	out := report.InWords{Head: tl.Head(), Bars: []string{}}
	for i := range t.Tune.Bars {
		out.Bars = append(out.Bars, tl.Bar(i))
	}
	return out
}

// steelOf tells the way of the steel with glides drawn out, at a speed, in seconds of the tune's own. No speed is that of
// the tune.
func steelOf(q *report.Asked) ([]sound.SteelTime, error) {
	t, err := readTab(q.Rig, q.Tab)
	if err != nil {
		return nil, err
	}
	speed := cmp.Or(q.Speed, 1)
	timing, err := sound.Timeline(t, sound.Options{Speed: speed, Glides: q.Glides})
	if err != nil {
		return nil, err
	}
	for i := range timing.Steel {
		timing.Steel[i].At *= speed
	}
	return timing.Steel, nil
}
