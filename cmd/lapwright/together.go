package main

import (
	"lapwright/arrange"
	"lapwright/arrange/accompany"
	"lapwright/feel"
	"lapwright/internal/console"
	"lapwright/internal/lesson"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/sheet"
	"lapwright/tab"
	"lapwright/tune"
)

// company are the flags that put other instruments beside the first.
type company struct {
	With []string `help:"Another instrument in the same score, under the first: a rig by name or file, which plays the tune in the same key; with :backup after it what accompanies, with :both each. May be given again." sep:"none" placeholder:"RIG"`
	Feel string   `help:"How backup moves; else as is usual for the meter and the kind of tune." placeholder:"FEEL"`
}

// asked reports whether another instrument is asked for, and says what is wrong with it.
func (c *company) asked() (bool, error) {
	if len(c.With) == 0 && c.Feel != "" {
		return false, console.Usagef("--feel is for backup: ask for it with --with RIG:backup")
	}
	return len(c.With) > 0, nil
}

// parts returns what stands in the score: the tab of the first instrument, then the others,
// which play the tune base as the wishes say, in the key of the first.
func (c *company) parts(con *console.Console, first *tab.Tab, base *tune.Tune, w *wishes) ([]sheet.Part, error) {
	out := []sheet.Part{{Tab: first, Name: first.Rig.Title}}
	var f *feel.Feel
	if c.Feel != "" {
		var err error
		if f, err = feel.Find(c.Feel); err != nil {
			return nil, console.Usagef("--feel: %v", err)
		}
	}
	key := first.Tune.Bars[0].Key.Tonic
	for _, text := range c.With {
		want, err := lesson.ParseWant(text)
		if err != nil {
			return nil, console.Usagef("--with: %v", err)
		}
		r, err := loadRig(con, want.Rig)
		if err != nil {
			return nil, err
		}
		o, err := w.options(r)
		if err != nil {
			return nil, err
		}
		o.Key, o.Octave, o.Capo, o.Pins = &key, nil, nil, nil
		if want.Grade != nil {
			o.Grade = *want.Grade
		}
		if want.Parts.HasTune() {
			res, err := arrange.Arrange(con.Ctx, base, r, o)
			if err != nil {
				return nil, err
			}
			out = append(out, sheet.Part{Tab: res.Tab, Name: r.Title})
		}
		if want.Parts.HasBackup() {
			a := accompany.OptionsOf(o)
			a.Feel = f
			res, err := accompany.Accompany(con.Ctx, base, r, a)
			if err != nil {
				return nil, err
			}
			out = append(out, sheet.Part{Tab: res.Tab, Name: report.BackupTitle(r.Title) + ", " + res.Feel.Name})
		}
	}
	return out, nil
}

// loadParts reads or makes the tab of the first instrument, and what stands beside it.
func loadParts(con *console.Console, file string, n int, rigName string, w *wishes, c *company) ([]sheet.Part, error) {
	r, err := loadRigFor(con, file, rigName)
	if err != nil {
		return nil, err
	}
	if isTabText(file) {
		first, err := loadTabOn(con, file, n, r, w)
		if err != nil {
			return nil, err
		}
		return c.parts(con, first, first.Whole(), w)
	}
	t, err := loadTune(con, file, n)
	if err != nil {
		return nil, err
	}
	return c.place(con, t, r, w)
}

// place frames a tune, places it on the first instrument and puts the others beside it.
func (c *company) place(con *console.Console, t *tune.Tune, r *rig.Rig, w *wishes) ([]sheet.Part, error) {
	o, err := w.options(r)
	if err != nil {
		return nil, err
	}
	framed, err := w.put(con.Ctx, t, r, &o)
	if err != nil {
		return nil, err
	}
	res, err := arrange.Arrange(con.Ctx, framed.Tune, r, o)
	if err != nil {
		return nil, err
	}
	return c.parts(con, res.Tab, framed.Tune, w)
}

// rigFiles returns the rigs that are asked for as they are named, without their wishes.
func rigFiles(with []string) []string {
	var out []string
	for _, text := range with {
		if want, err := lesson.ParseWant(text); err == nil {
			out = append(out, want.Rig)
		}
	}
	return out
}
