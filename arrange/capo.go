package arrange

import (
	"fmt"

	"lapwright/arrange/estimate"
	"lapwright/pitch"
	"lapwright/say"
	"lapwright/tune"
)

// CapoOffer tells what a clamp-on capo would save. It is offered and never put on
// unasked: who screws one on does it for a whole piece, and must have one at hand.
type CapoOffer struct {
	Setting              // of the tune with the capo on
	Shapes     pitch.Key // the key whose shapes are then played: the tune's as it sounds, down by the capo's fret
	Saves      float64   // points a note; negative where it only makes it easier
	Difficulty float64   // 0 to 10, with the capo
	Without    float64   // and without
	Open       int       // how many notes are played on open strings with the capo
	OpenNow    int       // and without
}

// Words tells an offer as a teacher would.
func (o *CapoOffer) Words() string {
	saves := ""
	if 100*o.Saves >= offerCapo {
		saves = fmt.Sprintf(", which saves %.1f points a note", o.Saves)
	}
	words := fmt.Sprintf("with the capo at fret %d it is played as in %s%s: difficulty %.1f in place of %.1f", o.Capo, o.Shapes, saves, o.Difficulty, o.Without)
	if o.Open > o.OpenNow {
		words += fmt.Sprintf(", %s on open strings in place of %d", say.Count(o.Open, "note"), o.OpenNow)
	}
	return words
}

// What makes a clamp-on capo worth a word: hundredths of a point that it saves a note,
// or how much easier the tune is with it.
const (
	offerCapo   = 10
	offerEasier = 0.5
	// offerTry is how much dearer a note, in hundredths of a point, the capo is guessed
	// to be at most for it to be tried.
	offerTry = 30
)

// offers tries a clamp-on capo where players put one: for a key that the open strings
// don't play in, at the frets where every open string is a note of the key and one is its
// tonic. It keeps what it saves against
// what is played now, and how the tune is then played: in the same key, in the octave
// that plays best.
func (q *request) offers(now *Result) (out []CapoOffer, played []*Result, err error) {
	capo := q.rig.Capo
	if !capo.Clamp || capo.At != 0 || q.o.Capo != nil || q.o.Shape != nil || len(q.o.Pins) > 0 || q.o.In != nil {
		return nil, nil, nil
	}
	melody, lim := estimate.Melody(q.moments), q.o.limits()
	without := q.estimate(0, lim, &q.o)
	if without.Suits(q.perf.Tune.Bars[0].Key, now.Transposed) {
		return nil, nil, nil // the open strings play in this key as they are
	}
	bare, err := without.Cost(q.w.moment, melody, now.Transposed)
	if err != nil {
		return nil, nil, err
	}
	for c := 1; c <= capo.Highest; c++ {
		e := q.estimate(c, lim, &q.o)
		if !e.Suits(q.perf.Tune.Bars[0].Key, now.Transposed) {
			continue
		}
		promising := false
		for s := now.Transposed - 12; s <= now.Transposed+12 && !promising; s += 12 {
			if !q.o.Lets(q.perf.Tune, s) {
				continue
			}
			cost, err := e.Cost(q.w.moment, melody, s)
			if err != nil {
				return nil, nil, err
			}
			promising = cost < bare+offerTry*int64(len(melody))
		}
		if !promising {
			continue
		}
		with := *q
		with.o.Capo, with.o.Key = &c, &now.Key.Tonic
		res, err := with.arrange()
		if err != nil {
			if q.w.ctx.Err() != nil {
				return nil, nil, err
			}
			continue // it can't be had with the capo there
		}
		saves := (now.overall() - res.overall()) / float64(len(now.Tab.Strokes))
		if len(res.Tab.Compromises) > len(now.Tab.Compromises) || 100*saves < offerCapo && now.Difficulty-res.Difficulty < offerEasier {
			continue
		}
		k := now.Key
		out = append(out, CapoOffer{
			Setting: res.Setting(), Shapes: k.Up(tune.Shift(k, -c)), Saves: saves, Difficulty: res.Difficulty, Without: now.Difficulty,
			Open: res.Tab.Open(), OpenNow: now.Tab.Open(),
		})
		played = append(played, res)
	}
	return out, played, nil
}
