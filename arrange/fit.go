package arrange

import (
	"cmp"
	"context"
	"slices"

	"lapwright/arrange/estimate"
	"lapwright/arrange/outline"
	"lapwright/grip"
	"lapwright/inorder"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/tune"
)

// The rule for key, octave and capo, when they are free. An octave that is asked
// for by itself leaves nothing free but the capo: the tune's own key stays, and
// what does not fit is a compromise. Every setting is
// estimated with a square steel and open strings alone, melody note by melody
// note. The tune's own key stays, in the octave that plays best, unless another
// key loses fewer notes or is easier by more than KeepKey a note. The capo stays
// off unless a sliding one saves more than KeepCapo a note, and is tried only where every
// open string then is a note of the key and one is its tonic: that is what
// players use it for. Of octaves, as written and one
// lower count as equal, since music for these instruments sounds an octave below
// where it is written; any other octave must save FarOctave a note. But a melody that
// fits the strings that suit one (request.written) is played there, where it
// carries, unless lower saves KeepOctave a note.
//
// When the best setting has compromises, or when harmony is added, of which the
// estimate knows nothing, the best eight are arranged in full, and
// weighed by their cost with KeepOctave a note likewise, Broken for every tie or hold that breaks and
// every glide not made, four times that for a lost note, and KeepKey a note for
// another key, which is taken only when it loses fewer notes.
//
// minShift and maxShift bound the moves that are tried, in semitones.
const minShift, maxShift = -29, 17

// maxSettings is how many settings are arranged in full where more than one
// must be.
const maxSettings = 8

// Settings returns the keys, octaves and capos that Arrange would try for a
// tune, in order of preference. It fails as Arrange does.
func Settings(ctx context.Context, t *tune.Tune, r *rig.Rig, o Options) ([]Setting, error) {
	q, err := newRequest(newWatch(ctx), t, r, o)
	if err != nil {
		return nil, err
	}
	return q.settings()
}

// settings lists the choices that the options leave, the nearest to what is
// asked first: the best rated maxSettings, those in the tune's own key first
// where there are pins; after them, for pins that none of those can keep, what
// is left in the key asked for or the tune's own.
func (q *request) settings() ([]Setting, error) {
	t, r, o := q.perf.Tune, q.rig, &q.o
	if in := o.fixedSetting(t); in != nil {
		return []Setting{*in}, nil
	}
	key := t.Bars[0].Key
	var shifts []int
	for s := minShift; s <= maxShift; s++ {
		if o.Lets(t, s) {
			shifts = append(shifts, s)
		}
	}
	if len(shifts) == 0 {
		return nil, refuse("octave \"%d\" is farther than the tune can be moved: from %d to %d", *o.Octave, minShift/12, maxShift/12)
	}
	capos := []int{r.Capo.At}
	switch {
	case o.Capo != nil:
		if *o.Capo != 0 || r.Capo.At != 0 {
			if _, err := r.WithCapo(*o.Capo); err != nil {
				return nil, refuse("%v", err)
			}
		}
		capos = []int{*o.Capo}
	case r.Capo.At == 0 && !r.Capo.Clamp: // a clamp-on one is offered (request.offers), and put on when asked for
		for c := 1; c <= r.Capo.Highest; c++ {
			capos = append(capos, c)
		}
	}
	if len(shifts) == 1 && len(capos) == 1 {
		return []Setting{{shifts[0], capos[0]}}, nil
	}
	melody := estimate.Melody(q.moments)
	type rated struct {
		Setting
		cost int64
	}
	var all []rated
	lim, p := o.limits(), o.prices()
	written := q.written(melody)
	for _, c := range capos {
		e := q.estimate(c, lim, o)
		for _, s := range shifts {
			if c != r.Capo.At && o.Capo == nil && !e.Suits(key, s) {
				continue
			}
			cost, err := e.Cost(q.w.moment, melody, s)
			if err != nil {
				return nil, err
			}
			notes := int64(len(melody))
			if s != 0 && s != -12 {
				cost += int64(p.FarOctave) * notes * int64((max(s, -s-12)+11)/12)
			}
			if written && s <= -12 {
				cost += int64(p.KeepOctave) * notes
			}
			if pitch.Mod(s, 12) != 0 && o.Key == nil {
				cost += int64(p.KeepKey) * notes
			}
			if c != 0 && o.Capo == nil {
				cost += int64(p.KeepCapo) * notes
			}
			all = append(all, rated{Setting{s, c}, cost})
		}
	}
	inorder.Stable(all, func(a, b rated) int { return cmp.Compare(a.cost, b.cost) })
	var out, others []Setting
	for i, a := range all {
		own := o.Key != nil || pitch.Mod(a.Semitones, 12) == 0
		switch {
		case i < maxSettings && (own || len(o.Pins) == 0):
			out = append(out, a.Setting)
		case i < maxSettings:
			others = append(others, a.Setting)
		}
	}
	out = append(out, others...)
	for i, a := range all {
		if own := o.Key != nil || pitch.Mod(a.Semitones, 12) == 0; i >= maxSettings && own && len(o.Pins) > 0 {
			out = append(out, a.Setting)
		}
	}
	return out, nil
}

// fixedSetting returns the setting that In asks for, or that of the latest pin made in
// one that the other options allow; nil for neither.
func (o *Options) fixedSetting(t *tune.Tune) *Setting {
	if o.In != nil {
		return o.In
	}
	for _, p := range slices.Backward(o.Pins) {
		if p.In == nil || o.Capo != nil && *o.Capo != p.In.Capo || !o.Lets(t, p.In.Semitones) {
			continue
		}
		return p.In
	}
	return nil
}

// Lets reports whether key and octave asked for allow moving a tune by so many
// semitones.
func (o *Options) Lets(t *tune.Tune, semitones int) bool {
	oct := pitch.FloorDiv(semitones+6, 12)
	switch {
	case o.Octave != nil && oct != *o.Octave, o.Octave != nil && o.Key == nil && semitones%12 != 0:
		return false
	}
	return o.Key == nil || pitch.Mod(t.Bars[0].Key.Tonic.Semitone()+semitones, 12) == o.Key.Semitone()
}

// estimate returns the estimate for a capo's fret under some options.
func (q *request) estimate(capo int, lim grip.Limits, o *Options) *estimate.Estimate {
	thin := grip.Thin(len(q.rig.Strings))
	if o.Harmony != NoHarmony {
		thin = len(q.rig.Strings) / 2 // room for the notes under it
	}
	return estimate.New(q.rig, capo, lim, o.region(), thin)
}

// region returns what of the neck the options leave.
func (o *Options) region() grip.Region {
	return grip.Region{Closed: o.Closed, Square: o.Square, Low: o.Low, High: o.High}
}

// written reports whether a melody lies, as written, on the strings that suit one
// (grip.Thin) below the 12th fret; in a slow tune, where there is time to go there, at
// the 12th too.
func (q *request) written(melody []int) bool {
	if q.outline != nil {
		return false // a beginner plays where it is easy
	}
	r, highest := q.rig, 11
	if outline.Unhurried(q.perf) {
		highest = 12
	}
	for _, m := range melody {
		if !slices.ContainsFunc(r.Strings[:grip.Thin(len(r.Strings))], func(s rig.String) bool {
			f := m - s.Open.Key()
			return f >= 0 && f <= highest
		}) {
			return false
		}
	}
	return true
}

// moved returns what is arranged, moved to a setting's key.
func (q *request) moved(c Setting) *tune.Tune {
	iv := q.interval(c)
	if iv == (pitch.Interval{}) {
		return q.perf.Tune
	}
	return tune.Transpose(q.perf.Tune, iv)
}

// interval returns how far a setting moves the tune: into the key that has the tonic
// asked for as it is spelled, else into the one with the fewest accidentals.
func (q *request) interval(c Setting) pitch.Interval {
	k, tonic, semitones := q.perf.Tune.Bars[0].Key, q.o.Key, c.Semitones
	iv := pitch.Interval{}
	if semitones != 0 {
		iv = tune.Shift(k, semitones)
	}
	if tonic != nil && pitch.Mod(k.Tonic.Semitone()+semitones, 12) == tonic.Semitone() {
		if _, err := pitch.NewKey(*tonic, k.Mode); err == nil {
			iv = spelled(k.Tonic, *tonic, semitones)
		}
	}
	return iv
}

// spelled returns the interval of so many semitones that leads from one tonic to
// the other by their letters. They must be so many semitones apart, or octaves
// more or less.
func spelled(from, to pitch.Class, semitones int) pitch.Interval {
	iv := pitch.From(pitch.Name{Class: from, Octave: 4}, pitch.Name{Class: to, Octave: 4})
	iv.Steps += (semitones - iv.Semitones) / 12 * 7
	iv.Semitones = semitones
	return iv
}
