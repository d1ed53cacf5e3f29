package page

import (
	"lapwright/arrange"
	"lapwright/pitch"
	"lapwright/report"
)

// WishesOf returns what of the arranger's wishes holds for any instrument: neither
// pins nor a capo's fret, which belong to the one they were made for.
func WishesOf(o arrange.Options) report.Wishes {
	w := report.Wishes{Octave: o.Octave, Grade: o.Grade.String(), Whole: o.Whole, Closed: o.Closed, Square: o.Square, Vibrato: o.Vibrato, Touch: o.Touch.String(), Harmony: o.Harmony.String()}
	if o.Key != nil {
		w.Key = o.Key.String()
	}
	return w
}

// Options returns wishes as the arranger takes them, without pins and capo.
func Options(w report.Wishes) (arrange.Options, error) {
	o := arrange.Options{Octave: w.Octave, Whole: w.Whole, Closed: w.Closed, Square: w.Square, Vibrato: w.Vibrato}
	var err error
	if o.Grade, err = arrange.ParseGrade(w.Grade); err != nil {
		return o, err
	}
	if o.Touch, err = arrange.ParseTouch(w.Touch); err != nil {
		return o, err
	}
	if o.Harmony, err = arrange.ParseHarmony(w.Harmony); err != nil {
		return o, err
	}
	if w.Key != "" {
		c, err := pitch.ParseClass(w.Key)
		if err != nil {
			return o, err
		}
		o.Key = &c
	}
	return o, nil
}
