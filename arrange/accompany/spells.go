package accompany

import (
	"slices"

	"lapwright/fault"
	"lapwright/feel"
	"lapwright/pitch"
	"lapwright/tune"
)

// spell is a stretch of written music under one chord: neighbouring stretches of one
// chord are one spell, over barlines too.
type spell struct {
	written pitch.Chord           // as the symbol says
	chord   pitch.Chord           // as it is played
	parts   []part                // one for each bar that it is in
	seconds float64               // a beat of its first bar: how long there is to come to it
	second  map[*feel.Stroke]bool // those that strike the voicing's second grip
	next    *spell                // the one that follows without silence between; nil for none
}

// part is what a spell has in one bar.
type part struct {
	bar      int
	from, to tune.Ticks
	strokes  []feel.Stroke // At counts from the start of the bar
}

// Unread is a chord symbol that is no chord known here: what was played goes on.
type Unread struct {
	BarNumber int        // as printed
	At        tune.Ticks // from the start of the bar
	Text      string
}

// spells cuts a tune where its chord changes. Where there is no chord yet, in a pickup
// and after words that ask for silence ("N.C."), there is none.
func spells(p *tune.Performance) (out []*spell, unread []Unread, err error) {
	t := p.Tune
	var now *pitch.Chord
	var open *spell
	for i := range t.Bars {
		b := &t.Bars[i]
		at := tune.Ticks(0)
		take := func(to tune.Ticks) {
			switch {
			case to <= at:
				return
			case now == nil || i == 0 && t.Within(0) > 0:
				open = nil
			default:
				if open == nil || !open.written.Equal(*now) {
					s := &spell{written: *now, chord: *now, seconds: p.Seconds(i, at, b.Meter.Beat())}
					if open != nil {
						open.next = s
					}
					open = s
					out = append(out, s)
				}
				open.parts = append(open.parts, part{bar: i, from: at, to: to})
			}
			at = to
		}
		for _, c := range b.Chords {
			if c.Chord == nil && !c.Silent() {
				number, place := t.Place(i, c.At)
				unread = append(unread, Unread{number, place, c.Text})
				continue
			}
			take(c.At)
			now = c.Chord
		}
		take(b.Len)
	}
	if len(out) == 0 {
		return nil, nil, &fault.Fault{Msg: "there are no chord symbols to accompany from"}
	}
	return out, unread, nil
}

// fill gives each part of a spell its strokes by a feel, and makes sure that the whole
// chord is heard: the first stroke of a new chord has its bass, and where no stroke of
// the spell has the bass or the whole grip, that one has both.
func (s *spell) fill(t *tune.Tune, f *feel.Feel) error {
	bass, grip := false, false
	var single [3]bool
	for i := range s.parts {
		p := &s.parts[i]
		b := &t.Bars[p.bar]
		fig, err := f.In(b.Meter)
		if err != nil {
			number, _ := t.Place(p.bar, 0)
			return faultIn(number, "%v", err)
		}
		within := t.Within(p.bar)
		p.strokes = fig.Strokes(fig.Part, within+p.from, within+p.to, i == 0 && p.from > 0)
		for k := range p.strokes {
			p.strokes[k].At -= within
		}
		if i == 0 {
			p.begin(b, fig, within)
		}
		for _, st := range p.strokes {
			bass = bass || st.Sign == feel.Bass || st.Sign == feel.Whole || st.Sign == feel.Swell
			switch st.Sign {
			case feel.Grip, feel.Whole, feel.Swell:
				grip = true
			case feel.Low:
				single[0] = true
			case feel.Mid:
				single[1] = true
			case feel.High:
				single[2] = true
			}
		}
	}
	if first := &s.parts[0].strokes[0]; first.Sign != feel.Swell && (!bass || !grip && single != [3]bool{true, true, true}) {
		first.Sign = feel.Whole
	}
	return nil
}

// sounding returns the strokes of a spell at which strings sound: all but chops.
func (s *spell) sounding() []*feel.Stroke {
	var out []*feel.Stroke
	for i := range s.parts {
		for k := range s.parts[i].strokes {
			if st := &s.parts[i].strokes[k]; st.Sign != feel.Chop {
				out = append(out, st)
			}
		}
	}
	return out
}

// share parts the strokes of a spell that has two grips: those of the second are
// returned. Of each the whole grip is heard, so that strokes become whole ones where
// single strings would leave some of it out.
func (s *spell) share() map[*feel.Stroke]bool {
	all := s.sounding()
	grips := func() []*feel.Stroke {
		return slices.DeleteFunc(slices.Clone(all), func(st *feel.Stroke) bool { _, has := st.Sign.Plays(); return !has })
	}
	if len(grips()) < 2 {
		all[0].Sign = feel.Whole
	}
	if len(grips()) < 2 {
		all[len(all)-1].Sign = feel.Grip
	}
	own := grips()
	half := len(own) / 2
	hear(own[:half])
	hear(own[half:])
	out := map[*feel.Stroke]bool{}
	for _, st := range own[half:] {
		out[st] = true
	}
	return out
}

// hear makes sure that strokes let a whole grip be heard: the first three single
// strings are low, middle and high in turn, and where there are fewer the first stroke
// has all.
func hear(strokes []*feel.Stroke) {
	single := 0
	for _, st := range strokes {
		switch st.Sign {
		case feel.Low, feel.Mid, feel.High:
			single++
		default:
			return
		}
	}
	if single < 3 {
		strokes[0].Sign = feel.Grip
		return
	}
	for i, sign := range []feel.Sign{feel.Low, feel.Mid, feel.High} {
		strokes[i].Sign = sign
	}
}

// begin makes the first part of a spell begin where its chord does, with its own bass,
// for as long as the figure lets what sounds there go on, or a beat.
func (p *part) begin(b *tune.Bar, fig *feel.Figure, within tune.Ticks) {
	if len(p.strokes) == 0 || p.strokes[0].At > p.from {
		st := feel.Stroke{At: p.from, Len: b.Meter.Beat(), Sign: feel.Whole}
		for _, x := range fig.Strokes(fig.Part, 0, fig.Meter().Len(), false) {
			if at := x.At - within; at < p.from && at+x.Len > p.from {
				st.Len = at + x.Len - p.from
				if x.Sign == feel.Swell {
					st.Sign = feel.Swell
				}
			}
		}
		end := p.to
		if len(p.strokes) > 0 {
			end = p.strokes[0].At
		}
		st.Len = min(st.Len, end-p.from)
		p.strokes = append([]feel.Stroke{st}, p.strokes...)
	}
	switch first := &p.strokes[0]; first.Sign {
	case feel.Fifth, feel.Sixth, feel.Near:
		first.Sign = feel.Bass
	}
}

// end lets the last chord of a piece ring: from where it begins in its last bar it is
// struck once, whole.
func (s *spell) end() {
	p := &s.parts[len(s.parts)-1]
	sign := feel.Whole
	if p.strokes[0].Sign == feel.Swell {
		sign = feel.Swell
	}
	p.strokes = []feel.Stroke{{At: p.from, Len: p.to - p.from, Sign: sign, Accent: p.strokes[0].Accent}}
}
