package page

import (
	"lapwright/arrange"
	"lapwright/grip"
	"lapwright/pitch"
	"lapwright/report"
)

// WishesOf returns what of the arranger's wishes holds for any instrument: neither
// pins nor a capo's fret, which belong to the one they were made for.
func WishesOf(o arrange.Options) report.Wishes {
	w := report.Wishes{Octave: o.Octave, Level: o.Level.String(), Closed: o.Closed, Square: o.Square, Vibrato: o.Vibrato, Touch: o.Touch.String(), Harmony: o.Harmony.String()}
	if o.Key != nil {
		w.Key = o.Key.String()
	}
	return w
}

// Options returns wishes as the arranger takes them, without pins and capo.
func Options(w report.Wishes) (arrange.Options, error) {
	o := arrange.Options{Octave: w.Octave, Closed: w.Closed, Square: w.Square, Vibrato: w.Vibrato}
	var err error
	if w.Level != "" {
		if o.Level, err = grip.ParseLevel(w.Level); err != nil {
			return o, err
		}
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
