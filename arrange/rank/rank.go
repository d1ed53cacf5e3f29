// Package rank says on which rig a tune plays best: it arranges the tune on each
// and weighs what that takes, for a note.
//
// Entry point: Rigs.
package rank

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"lapwright/arrange"
	"lapwright/inorder"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/say"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// Ranked is how well a tune plays on one rig.
type Ranked struct {
	Rig     *rig.Rig
	Score   float64  // points a note: lower plays better; the ranking goes by it
	Travel  float64  // mm that the bar moves, a note
	Rings   float64  // share of the notes that ring on into the next
	Reasons []string // why it stands where it does, in a player's words
	// Of the arrangement, which is not kept: a long piece on many rigs would fill
	// the memory.
	Difficulty  float64
	Key         pitch.Key
	Transposed  int
	Slants      int
	Compromises int
	Capos       []arrange.CapoOffer // what a clamp-on capo would save
}

// What the ranking adds to the cost of a note, in points.
const (
	rankCompromise = 20.0 // each compromise, shared over the notes
	rankOtherKey   = 0.6  // the tune had to leave its key
	rankFarOctave  = 0.3  // or sounds other than as written or an octave lower
	rankIdiom      = 1.5  // the rig is what players of this kind of tune go to: taken off, in the measure of idiom
	rankHome       = 0.7  // its open strings have the key's own chord: taken off
	rankRings      = 0.5  // every note rings into the next: taken off in proportion
)

// kinds says to which styles of playing a kind of dance or song belongs (common practice,
// no source): where players go to first for it, and where it is played too. A song is
// sung everywhere.
var kinds = map[string]struct{ chief, too []string }{
	"reel":        {[]string{"bluegrass"}, []string{"country", "early country", "fingerstyle"}},
	"hornpipe":    {[]string{"bluegrass"}, []string{"country", "early country", "fingerstyle"}},
	"breakdown":   {[]string{"bluegrass"}, []string{"country", "western swing"}},
	"polka":       {[]string{"western swing"}, []string{"country", "early country"}},
	"jig":         {[]string{"bluegrass", "fingerstyle"}, []string{"acoustic slide"}},
	"slip jig":    {[]string{"bluegrass", "fingerstyle"}, []string{"acoustic slide"}},
	"waltz":       {[]string{"country"}, []string{"western swing", "island", "early country", "bluegrass"}},
	"air":         {[]string{"acoustic slide", "fingerstyle"}, []string{"island"}},
	"slow air":    {[]string{"acoustic slide", "fingerstyle"}, []string{"island"}},
	"song":        {nil, []string{"country", "island", "gospel", "acoustic slide"}},
	"hymn":        {[]string{"gospel", "sacred steel"}, []string{"bluegrass"}},
	"carol":       {nil, []string{"gospel", "sacred steel", "fingerstyle"}},
	"blues":       {[]string{"blues"}, []string{"jazz", "acoustic slide"}},
	"rag":         {[]string{"blues"}, []string{"jazz", "western swing", "early country"}},
	"swing":       {[]string{"western swing", "jazz"}, nil},
	"march":       {[]string{"early country"}, []string{"country", "gospel"}},
	"lullaby":     {[]string{"island"}, []string{"acoustic slide", "fingerstyle"}},
	"hula":        {[]string{"island"}, nil},
	"two-step":    {[]string{"western swing"}, []string{"country"}},
	"schottische": {[]string{"western swing", "early country"}, []string{"country"}},
}

// idiom says how much it is an instrument's business to play a kind of tune, from 0 to
// 1, and by which of its styles: all of it for the first style of the instrument where
// it is a chief one of the kind, half for one of the others, and a fifth less for each
// style that the instrument has before it.
func idiom(kind string, styles []string) (weight float64, style string) {
	for i, s := range styles {
		w := 1 - float64(min(i, 4))/5
		switch k := kinds[kind]; {
		case slices.Contains(k.chief, s):
		case slices.Contains(k.too, s):
			w /= 2
		default:
			continue
		}
		if w > weight {
			weight, style = w, s
		}
	}
	return weight, style
}

// home reports whether the open strings of a rig have the three tones of a key's own
// chord: that is the key in which it is most itself.
func home(r *rig.Rig, k pitch.Key) bool {
	for _, up := range []int{0, k.Scale().Steps[2].Semitones, 7} {
		if !slices.ContainsFunc(r.Strings, func(s rig.String) bool {
			return pitch.Mod(s.Open.Key()-k.Tonic.Semitone(), 12) == up
		}) {
			return false
		}
	}
	return true
}

// Rigs arranges a tune on every rig and sorts the rigs, the one that plays it best
// first.
func Rigs(ctx context.Context, t *tune.Tune, rigs []*rig.Rig, o arrange.Options) ([]Ranked, error) {
	var out []Ranked
	for _, r := range rigs {
		o := o
		if o.Capo != nil && r.Capo.Highest == 0 {
			o.Capo = nil // a wish for one rig is no fault of another
		}
		res, err := arrange.Arrange(ctx, t, r, o)
		if err != nil {
			return nil, err
		}
		out = append(out, rate(t, r, res))
	}
	inorder.Stable(out, func(a, b Ranked) int { return cmp.Compare(a.Score, b.Score) })
	return out, nil
}

func rate(t *tune.Tune, r *rig.Rig, res *arrange.Result) Ranked {
	k := Ranked{Rig: r, Difficulty: res.Difficulty, Key: res.Key, Transposed: res.Transposed, Compromises: len(res.Tab.Compromises), Capos: res.Capos}
	k.Slants, _ = res.Tab.Slants()
	notes := 0
	for i := range res.Tab.Strokes {
		for j := range res.Tab.Strokes[i].Plucks {
			if res.Tab.Strokes[i].Plucks[j].Attack != tab.Tied {
				notes++
			}
		}
	}
	per := 1 / math.Max(1, float64(notes))
	lost := 0.0
	for _, e := range res.Events {
		lost += e.Broken
	}
	k.Travel = travel(res.Tab) * per
	k.Rings = rings(res.Tab)
	k.Score = (res.Cost-lost)*per + rankCompromise*float64(len(res.Tab.Compromises))*per - rankRings*k.Rings
	add := func(format string, a ...any) { k.Reasons = append(k.Reasons, fmt.Sprintf(format, a...)) }

	if n := len(res.Tab.Compromises); n == 0 {
		add("every note as written")
	} else {
		add("%s not as written", say.Count(n, "note"))
	}
	switch {
	case res.Transposed%12 != 0:
		k.Score += rankOtherKey
		add("moved from %s to %s", t.Bars[0].Key, res.Key)
	case res.Transposed == 0 || res.Transposed == -12:
		add("in its own key, %s", res.Key)
	default:
		k.Score += rankFarOctave
		add("in its own key, %s, but in another octave", res.Key)
	}
	low, high := res.Tab.Frets()
	if high == 0 {
		add("on open strings alone")
	} else {
		add("frets %s to %s", fretWords(low), fretWords(high))
	}
	if k.Slants == 0 {
		add("the bar always square")
	} else {
		add("%s", say.Count(k.Slants, "slant"))
	}
	add("the bar moves %.0f mm a note", k.Travel)
	add("%.0f notes in a hundred ring on", 100*k.Rings)
	if at := res.Tab.Rig.Capo.At; at > 0 {
		add("with the capo at fret %d", at)
	}
	for i := range res.Capos {
		add("%s", res.Capos[i].Words())
	}
	kind := strings.ToLower(strings.TrimSpace(t.Rhythm))
	if w, style := idiom(kind, r.Styles); w > 0 {
		k.Score -= rankIdiom * w
		add("%s suits it: it is usual in %s music", withArticle(kind), style)
	}
	if home(res.Tab.Rig, res.Key) {
		k.Score -= rankHome
		add("at home in %s: its open strings have the chord", res.Key)
	}
	k.Score = math.Round(100*k.Score) / 100
	return k
}

// travel returns how far the bar moves in all, in millimetres, each written bar
// once.
func travel(t *tab.Tab) float64 {
	g := steel.New(t.Rig)
	sum, at := 0.0, -1.0
	for i := range t.Strokes {
		p := t.Strokes[i].Placement
		if p.Kind == steel.Lifted {
			continue
		}
		x := float64(g.X(p.FirstFret)+g.X(p.LastFret)) / 2
		if at >= 0 {
			sum += math.Abs(x - at)
		}
		at = x
	}
	return sum
}

// rings returns the share of the notes, from 0 to 1, that go on ringing when the
// next stroke falls: their string is not played again, and neither bar nor
// benders disturb it.
func rings(t *tab.Tab) float64 {
	g := steel.New(t.Rig)
	notes, ringing := 0, 0
	for i := 0; i+1 < len(t.Strokes); i++ {
		a, b := &t.Strokes[i], &t.Strokes[i+1]
		for j := range a.Plucks {
			p := &a.Plucks[j]
			notes++
			again := slices.ContainsFunc(b.Plucks, func(q tab.Pluck) bool { return q.String == p.String && q.Attack != tab.Tied })
			same := math.Abs(g.Key(a.Placement, p.String, a.Benders)-g.Key(b.Placement, p.String, b.Benders)) < 0.01 &&
				(g.Contact(a.Placement, p.String) > 0) == (g.Contact(b.Placement, p.String) > 0)
			if !again && same {
				ringing++
			}
		}
	}
	return float64(ringing) / math.Max(1, float64(notes))
}

// withArticle puts "a" or "an" before a word.
func withArticle(word string) string {
	if strings.ContainsRune("aeiou", rune(word[0])) {
		return "an " + word
	}
	return "a " + word
}

// fretWords writes a fret, with hundredths where the steel leans between frets.
func fretWords(f float64) string {
	if f == math.Round(f) {
		return fmt.Sprintf("%.0f", f)
	}
	return fmt.Sprintf("%.2f", f)
}
