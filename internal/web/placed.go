package web

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"net/http"
	"strconv"

	"lapwright/arrange"
	"lapwright/fault"
	"lapwright/grip"
	"lapwright/internal/lesson"
	"lapwright/internal/studio"
	"lapwright/notation"
	"lapwright/pitch"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/sheet"
	"lapwright/sound"
	"lapwright/tune"
)

// pinOf returns the pin to keep for a choice.
func pinOf(g *rig.Rig, c *arrange.Choice) report.Pin {
	out := report.Pin{
		Bar: c.Pin.FromBar, At: c.Pin.At.String(), Words: c.Words, Grip: [][2]int{},
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

// arrangedPin gives a kept pin for a rig, or the letters of the benders that it needs
// and the rig does not have any more.
func arrangedPin(p *report.Pin, g *rig.Rig) (arranged arrange.Pin, gone []string, err error) {
	at, err := ticksOf(p.At)
	if err != nil {
		return arrange.Pin{}, nil, err
	}
	out := arrange.Pin{FromBar: p.Bar, At: &at, Whole: p.Whole, In: (*arrange.Setting)(p.In)}
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

// asleepOf says of each pin that needs a bender which a rig has no more what it
// needs. Such a pin fixes nothing until the bender is there again.
func asleepOf(w report.Wishes, g *rig.Rig) []string {
	out := []string{}
	for i := range w.Pins {
		p := &w.Pins[i]
		if _, gone, err := arrangedPin(p, g); err == nil && len(gone) > 0 {
			where := fmt.Sprintf("bar %d", p.Bar)
			if p.At != "0" {
				where += ", " + p.At + " in"
			}
			out = append(out, fmt.Sprintf("%s: %s needs %s, which this instrument does not have", where, p.Words, benderWords(gone)))
		}
	}
	return out
}

func optionsOf(w report.Wishes, g *rig.Rig) (arrange.Options, error) {
	o := arrange.Options{Octave: w.Octave, Closed: w.Closed, Square: w.Square, Vibrato: w.Vibrato, Capo: w.Capo}
	var err error
	if o.Harmony, err = arrange.ParseHarmony(w.Harmony); err != nil {
		return o, &fault.Fault{Msg: err.Error()}
	}
	if w.Key != "" {
		c, err := pitch.ParseClass(w.Key)
		if err != nil {
			return o, &fault.Fault{Msg: err.Error()}
		}
		o.Key = &c
	}
	if w.Level != "" {
		l, err := grip.ParseLevel(w.Level)
		if err != nil {
			return o, &fault.Fault{Msg: err.Error()}
		}
		o.Level = l
	}
	for i := range w.Pins {
		a, gone, err := arrangedPin(&w.Pins[i], g)
		if err != nil {
			return o, err
		}
		if len(gone) == 0 {
			o.Pins = append(o.Pins, a)
		}
	}
	return o, nil
}

// readTune reads a tune as it is kept.
func readTune(body string) (*tune.Tune, fault.List, error) {
	pieces, warnings, err := notation.Read([]byte(body), "tune.abc")
	if err != nil {
		return nil, warnings, err
	}
	return pieces[0].Tune, warnings, nil
}

// tuneOf gives the tune of an item, at the tempo that is kept with it.
func tuneOf(it *studio.Item, x report.TuneSettings) (*tune.Tune, error) {
	t, _, err := readTune(it.Body)
	if err != nil || x.Tempo == 0 || len(t.Bars) == 0 {
		return t, err
	}
	t = t.Clone()
	for i := range t.Bars {
		t.Bars[i].Tempos = nil
	}
	first := &t.Bars[0]
	first.Tempos = []tune.Tempo{{Beat: first.Meter.Beat(), PerMinute: int64(x.Tempo) * 1000}}
	return t, nil
}

// The bounds on a tune in the workbench, which many people share: notes as
// written, and how long it plays with its repeats. It is far more than a lesson
// holds, and seconds of work; the command line has no such bound.
const (
	maxNotes   = 10_000
	maxMinutes = 20
	maxText    = 100 << 10 // bytes, ten a note; so that what is far too long is not even read
)

// benchTune gives the tune of an item, if it is within the workbench's bounds.
func benchTune(it *studio.Item, x report.TuneSettings) (*tune.Tune, error) {
	if len(it.Body) > maxText {
		return nil, &refusal{http.StatusUnprocessableEntity, fmt.Sprintf("this tune's text is %d KB long, and the workbench takes up to %d: part it into several, or use lapwright on the command line", len(it.Body)>>10, maxText>>10)}
	}
	t, err := tuneOf(it, x)
	if err != nil {
		return nil, err
	}
	return t, withinBench(t)
}

func withinBench(t *tune.Tune) error {
	notes := 0
	for i := range t.Bars {
		for _, line := range t.Bars[i].Lines {
			for j := range line {
				notes += len(line[j].Notes)
			}
		}
	}
	if notes > maxNotes {
		return &refusal{http.StatusUnprocessableEntity, fmt.Sprintf("this tune has %d notes, and the workbench takes tunes of up to %d: part it into several, or use lapwright on the command line", notes, maxNotes)}
	}
	if minutes := minutesOf(t); minutes > maxMinutes {
		return &refusal{http.StatusUnprocessableEntity, fmt.Sprintf("this tune plays for %.0f minutes, and the workbench takes tunes of up to %d: leave out repeats, or use lapwright on the command line", minutes, maxMinutes)}
	}
	return nil
}

// minutesOf gives how long a tune plays with its repeats.
func minutesOf(t *tune.Tune) float64 {
	clock := tune.NewClock(t)
	return clock.Seconds(clock.Len()) / 60
}

// shownTab is a tune placed on a rig, drawn and timed.
type shownTab struct {
	result *arrange.Result
	report.Placed
	tune   *tune.Tune
	rig    *rig.Rig
	wishes arrange.Options
}

// tabKey names a tab by everything that it depends on.
func tabKey(it *studio.Item, r *rig.Rig) string {
	sum := sha256.Sum256([]byte(it.Body + "\x00" + string(it.Extra) + "\x00" + string(rig.Format(r))))
	return hex.EncodeToString(sum[:])
}

// place gives an item's tune on a rig.
func (s *Site) place(ctx context.Context, it *studio.Item, r *rig.Rig) (*shownTab, error) {
	return s.tabs.get(ctx, tabKey(it, r), func(ctx context.Context) (*shownTab, int64, error) {
		var out *shownTab
		err := s.light.do(ctx, func(ctx context.Context) error {
			var err error
			out, err = placeNow(ctx, it, r)
			return err
		})
		if err != nil {
			return nil, 0, err
		}
		return out, out.size(), nil
	})
}

// size is about how many bytes a tab keeps in memory: its drawings, and what a
// stroke and a bar take in tab, tune and timing (measured on tunes of 1000 and
// 10,000 notes, rounded up).
func (t *shownTab) size() int64 {
	size := int64(64<<10) + int64(len(t.Narrow)) + 4<<10*int64(len(t.result.Tab.Strokes)+len(t.tune.Bars))
	for _, p := range t.Pages {
		size += int64(len(p))
	}
	return size
}

func placeNow(ctx context.Context, it *studio.Item, r *rig.Rig) (*shownTab, error) {
	x, _, err := extraOf(it)
	if err != nil {
		return nil, err
	}
	t, err := benchTune(it, x)
	if err != nil {
		return nil, err
	}
	wishes, err := optionsOf(x.Wishes[r.Name], r)
	if err != nil {
		return nil, err
	}
	res, err := arrange.Arrange(ctx, t, r, wishes)
	if err != nil {
		return nil, err
	}
	pages, narrow, err := lesson.Screen(res.Tab, sheet.Options{})
	if err != nil {
		return nil, err
	}
	timing, err := lesson.Timing(res.Tab, sound.Options{})
	if err != nil {
		return nil, err
	}
	out := &shownTab{
		result: res, tune: t, rig: r, wishes: wishes,
		Placed: report.Placed{Shown: report.TabOf(res.Tab, timing), About: report.Summarise(res), Pages: []string{}, Narrow: string(narrow), Asleep: asleepOf(x.Wishes[r.Name], r)},
	}
	for _, p := range pages {
		out.Pages = append(out.Pages, string(p))
	}
	return out, nil
}

// askedTab is the tab that a request names: /tunes/{id}/…?rig=…&revision=….
func (s *Site) askedTab(r *http.Request) (*studio.Item, *shownTab, error) {
	it, err := s.askedItem(r, studio.Tune)
	if err != nil {
		return nil, nil, err
	}
	g, err := s.findRig(r.Context(), r.FormValue("rig"))
	if err != nil {
		return it, nil, err
	}
	shown, err := s.place(r.Context(), it, g)
	return it, shown, err
}

// askedItem is the item that a request names, at the revision that it names.
func (s *Site) askedItem(r *http.Request, kind studio.Kind) (*studio.Item, error) {
	id := r.PathValue("id")
	var it *studio.Item
	var err error
	if text := r.FormValue("revision"); text != "" {
		n, bad := strconv.Atoi(text)
		if bad != nil {
			return nil, studio.ErrNone // as for any revision that is not there
		}
		it, err = s.studio.GetRevision(r.Context(), id, n)
	} else {
		it, err = s.studio.Get(r.Context(), id)
	}
	if err == nil && it.Kind != kind {
		err = studio.ErrNone
	}
	return it, err
}
