package tabtext

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"lapwright/notation/columns"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"

	"pgregory.net/rapid"
)

// randomTab draws a valid tab that uses everything a tab can hold. Rhythm comes
// first, then the bar is laid, and the notes are what that sounds.
func randomTab(t *rapid.T) *tab.Tab {
	r := rapid.SampledFrom(rig.Builtins()).Draw(t, "rig")
	if r.Capo.Highest > 0 && rapid.Bool().Draw(t, "capo") {
		r, _ = r.WithCapo(rapid.IntRange(1, r.Capo.Highest).Draw(t, "at"))
	}
	g := &drawer{t: t, r: r, geo: steel.New(r)}
	u := &tune.Tune{
		Index: rapid.IntRange(0, 99).Draw(t, "index"),
		Title: g.text("title"), Subtitles: g.texts("subtitle"), Composer: g.text("composer"), Origin: g.text("origin"),
		Rhythm: g.text("rhythm"), Source: g.text("source"), Notes: g.texts("note"), Words: g.texts("words"),
	}
	u.Swing = rapid.SampledFrom([]tune.Swing{{}, {}, tune.TripletSwing, tune.TempoSwing, {Long: 7, Short: 5}}).Draw(t, "swing")
	voices := rapid.SampledFrom([]int{1, 1, 1, 2, 3}).Draw(t, "voices")
	for v := range voices {
		voice := tune.Voice{}
		if voices > 1 || rapid.Bool().Draw(t, "named") {
			voice = tune.Voice{ID: fmt.Sprint("V", v), Name: g.text("voice")}
		}
		u.Voices = append(u.Voices, voice)
	}
	out := &tab.Tab{Tune: u, Rig: r, Transposed: rapid.IntRange(-11, 11).Draw(t, "transposed")}
	key, _ := pitch.ParseKey("D")
	meter := tune.Meter{Beats: 3, Unit: 4}
	for i := range rapid.IntRange(1, 6).Draw(t, "bars") {
		if i == 0 || g.seldom("new key") {
			k, err := pitch.NewKey(pitch.ClassAtFifths(rapid.IntRange(-5, 5).Draw(t, "fifths")), pitch.Mode(rapid.IntRange(-1, 5).Draw(t, "mode")))
			if err == nil {
				key = k
			}
			if g.seldom("own signature") {
				key.Own = true
				key.Signature = [7]int8{0, 1, 0, 0, -1, 0, 2}
			}
		}
		if i == 0 || g.seldom("new meter") {
			meter = rapid.SampledFrom([]tune.Meter{{Beats: 3, Unit: 4}, {Beats: 4, Unit: 4, Symbol: "C"}, {Beats: 6, Unit: 8}, {}, {Beats: 7, Unit: 8, Groups: []int{2, 2, 3}}}).Draw(t, "meter")
		}
		u.Bars = append(u.Bars, g.bar(i, key, meter, voices))
	}
	g.repeats(u)
	g.place(out)
	return out
}

type drawer struct {
	t   *rapid.T
	r   *rig.Rig
	geo *steel.Geometry
}

func (g *drawer) seldom(what string) bool { return rapid.IntRange(0, 7).Draw(g.t, what) == 0 }

func (g *drawer) text(what string) string {
	return rapid.SampledFrom([]string{"", "", "Low Tide", "a \"quoted\" one", " blanks ", "Føroyar – naïve", "two\nlines", "a @ {b} | c", "-"}).Draw(g.t, what)
}

func (g *drawer) texts(what string) []string {
	var out []string
	for range rapid.IntRange(0, 2).Draw(g.t, what+"s") {
		out = append(out, g.text(what))
	}
	return out
}

// bar draws a bar with the rhythm of all voices.
func (g *drawer) bar(i int, key pitch.Key, meter tune.Meter, voices int) tune.Bar {
	b := tune.Bar{Number: i + rapid.IntRange(0, 2).Draw(g.t, "number"), Key: key, Meter: meter, LineBreak: g.seldom("break")}
	b.Lines = append(b.Lines, g.line(0))
	for _, e := range b.Lines[0] {
		b.Len = max(b.Len, e.At+e.Len)
	}
	for range voices - 1 {
		// Other voices fill the same length: the first voice's rhythm anew, a
		// bar rest, or one long note where a plain value has it.
		switch v, ok := tune.ValueOf(b.Len); {
		case g.seldom("bar rest"):
			b.Lines = append(b.Lines, []tune.Event{{Len: b.Len, Kind: rapid.SampledFrom([]tune.Kind{tune.Rest, tune.Skip}).Draw(g.t, "kind"), Value: tune.Value{BarRest: true}}})
		case ok && rapid.Bool().Draw(g.t, "long"):
			b.Lines = append(b.Lines, []tune.Event{{Len: b.Len, Value: v}})
		default:
			line := slices.Clone(b.Lines[0])
			for i := range line {
				line[i].Graces = nil
				line[i].Tuplets = slices.Clone(line[i].Tuplets)
			}
			b.Lines = append(b.Lines, line)
		}
	}
	for range rapid.IntRange(0, 2).Draw(g.t, "chords") {
		c := tune.ChordAt{At: g.timeIn(&b), Text: rapid.SampledFrom([]string{"G", "Am7", "F#m7b5/E", "N.C.", "two words", "D/f+"}).Draw(g.t, "chord")}
		c.Chord = columns.ReadChord(c.Text)
		if c.Text == "D/f+" {
			c.Chord = columns.ReadChord("D/F#")
		}
		if g.seldom("no chord") {
			c.Chord = nil
		}
		b.Chords = append(b.Chords, c)
	}
	for range rapid.IntRange(0, 1).Draw(g.t, "texts") {
		b.Texts = append(b.Texts, tune.TextAt{At: g.timeIn(&b), Text: g.text("words"), Below: rapid.Bool().Draw(g.t, "below")})
	}
	for range rapid.IntRange(0, 1).Draw(g.t, "tempos") {
		b.Tempos = append(b.Tempos, tune.Tempo{At: g.timeIn(&b), Beat: rapid.SampledFrom([]tune.Ticks{tune.Whole / 4, 3 * tune.Whole / 8, 5 * tune.Whole / 16}).Draw(g.t, "beat"),
			PerMinute: int64(rapid.IntRange(0, 300000).Draw(g.t, "rate")), Text: g.text("tempo")})
	}
	if g.seldom("part") {
		b.Part = rapid.SampledFrom([]string{"A", "B", "the end"}).Draw(g.t, "label")
	}
	slices.SortStableFunc(b.Chords, func(x, y tune.ChordAt) int { return cmp.Compare(x.At, y.At) })
	return b
}

func (g *drawer) timeIn(b *tune.Bar) tune.Ticks {
	e := rapid.SampledFrom(b.Lines[0]).Draw(g.t, "at")
	if g.seldom("between") {
		return e.At + e.Len/2
	}
	return e.At
}

// line draws one voice's events.
func (g *drawer) line(int) []tune.Event {
	var out []tune.Event
	var at tune.Ticks
	put := func(e tune.Event) {
		e.At = at
		e.Len, _ = e.Value.Scaled(e.Tuplets)
		at += e.Len
		out = append(out, e)
	}
	for range rapid.IntRange(1, 4).Draw(g.t, "events") {
		e := g.event()
		if !g.seldom("tuplet") {
			put(e)
			continue
		}
		tp := rapid.SampledFrom([]tune.Tuplet{{Actual: 3, Normal: 2}, {Actual: 5, Normal: 4}, {Actual: 5, Normal: 6}}).Draw(g.t, "ratio")
		n := rapid.IntRange(1, 3).Draw(g.t, "members")
		for i := range n {
			e := g.event()
			x := tp
			x.Starts, x.Ends = i == 0, i == n-1
			e.Tuplets = []tune.Tuplet{x}
			if g.seldom("nested") {
				e.Tuplets = append(e.Tuplets, tune.Tuplet{Actual: 3, Normal: 2, Starts: true, Ends: true})
			}
			put(e)
		}
	}
	if n := len(out); n > 1 && g.seldom("slur") {
		out[0].Slurs, out[n-1].SlurEnds = 2, 1
		out[n/2].SlurEnds++
	}
	return out
}

func (g *drawer) event() tune.Event {
	e := tune.Event{
		Kind:    rapid.SampledFrom([]tune.Kind{tune.Sounding, tune.Sounding, tune.Sounding, tune.Rest, tune.Skip}).Draw(g.t, "kind"),
		Value:   tune.Value{Log2: int8(rapid.SampledFrom([]int{2, 3, 3, 1, 0, 4, -1, -3, 7}).Draw(g.t, "value")), Dots: int8(rapid.IntRange(0, 2).Draw(g.t, "dots"))},
		BeamEnd: rapid.Bool().Draw(g.t, "beam"),
	}
	if g.seldom("verse") {
		for v := range rapid.IntRange(1, 3).Draw(g.t, "verses") {
			e.Lyrics = append(e.Lyrics, tune.Lyric{Verse: v + 1, Text: rapid.SampledFrom([]string{"sail", "two words", "", "end-", "höher"}).Draw(g.t, "syllable"),
				Hyphen: rapid.Bool().Draw(g.t, "hyphen"), Extend: rapid.Bool().Draw(g.t, "extend")})
		}
	}
	if e.Kind != tune.Sounding {
		return e
	}
	if g.seldom("graces") {
		for range rapid.IntRange(1, 2).Draw(g.t, "count") {
			e.Graces = append(e.Graces, tune.Grace{Value: tune.Value{Log2: 4}, Slash: rapid.Bool().Draw(g.t, "slash")})
		}
	}
	if g.seldom("marks") {
		e.Marks = []tune.Mark{tune.Mark(rapid.IntRange(1, 14).Draw(g.t, "mark")), tune.Fermata}
	}
	return e
}

// repeats draws barlines, and endings that can be followed.
func (g *drawer) repeats(u *tune.Tune) {
	styles := []tune.BarlineStyle{tune.SingleBarline, tune.SingleBarline, tune.DoubleBarline, tune.FinalBarline, tune.DottedBarline, tune.NoBarline, tune.OpenBarline}
	for i := range u.Bars {
		b := &u.Bars[i]
		b.Right.Style = rapid.SampledFrom(styles).Draw(g.t, "right")
		if g.seldom("repeat") {
			b.Right.Repeat = rapid.IntRange(1, 3).Draw(g.t, "times")
		}
		if g.seldom("repeat from") {
			b.Left = tune.Barline{Style: rapid.SampledFrom(styles).Draw(g.t, "left"), Repeat: 1}
		}
	}
	if n := len(u.Bars); n >= 3 && rapid.Bool().Draw(g.t, "endings") {
		u.Bars[n-2].Endings, u.Bars[n-2].EndingEnds = []int{1}, true
		u.Bars[n-2].Right.Repeat = 1
		u.Bars[n-1].Endings, u.Bars[n-1].EndingEnds = []int{2}, rapid.Bool().Draw(g.t, "closed")
		u.Bars[n-1].Right.Repeat = 0
	}
}

// place lays the bar for every instant and writes what sounds into the tune.
func (g *drawer) place(out *tab.Tab) {
	u := out.Tune
	type at struct {
		bar int
		t   tune.Ticks
	}
	slots := map[at][]tune.Ref{}
	var order []at
	lens := map[tune.Ref]tune.Ticks{}
	for bi := range u.Bars {
		var here []at
		add := func(t tune.Ticks, r tune.Ref, l tune.Ticks) {
			k := at{bi, t}
			if slots[k] == nil {
				here = append(here, k)
			}
			slots[k] = append(slots[k], r)
			lens[r] = l
		}
		for v := range u.Bars[bi].Lines {
			for ei := range u.Bars[bi].Lines[v] {
				e := &u.Bars[bi].Lines[v][ei]
				if e.Kind != tune.Sounding {
					continue
				}
				each := tune.GraceTime(e)
				for gi := range e.Graces {
					add(e.At+tune.Ticks(gi)*each, tune.Ref{Bar: bi, Voice: v, Event: ei, Grace: gi}, each)
				}
				late := each * tune.Ticks(len(e.Graces))
				add(e.At+late, tune.Ref{Bar: bi, Voice: v, Event: ei, Grace: -1}, e.Len-late)
			}
		}
		slices.SortFunc(here, func(a, b at) int { return cmp.Compare(a.t, b.t) })
		order = append(order, here...)
	}
	for _, k := range order {
		s := tab.Stroke{BarIndex: k.bar, At: k.t, Grace: true, Placement: g.placement()}
		for b := range g.r.Benders {
			if g.seldom("bender") {
				s.Benders |= 1 << uint(b)
			}
		}
		free := rapid.Permutation(rangeOf(len(g.r.Strings))).Draw(g.t, "strings")
		for _, ref := range slots[k] {
			n := rapid.SampledFrom([]int{1, 1, 1, 2, 3}).Draw(g.t, "notes")
			if n > len(free) {
				n = len(free)
			}
			if n == 0 {
				n, free = 1, []int{1}
			}
			g.event2(u, &s, ref, free[:n], lens[ref])
			free = free[n:]
		}
		slices.SortStableFunc(s.Plucks, func(a, b tab.Pluck) int { return cmp.Compare(a.String, b.String) })
		for _, p := range s.Plucks {
			s.Len = max(s.Len, p.Len)
			s.Grace = s.Grace && p.Ref.Grace >= 0
		}
		out.Strokes = append(out.Strokes, s)
	}
	g.join(out)
	g.spoil(out)
	g.account(out)
}

// join ties or glides some single notes into the next on the same string.
func (g *drawer) join(t *tab.Tab) {
	for v := range t.Tune.Voices {
		var before *tab.Stroke
		var last *tab.Pluck
		for i := range t.Strokes {
			s := &t.Strokes[i]
			var mine []*tab.Pluck
			for j := range s.Plucks {
				if s.Plucks[j].Ref.Voice == v {
					mine = append(mine, &s.Plucks[j])
				}
			}
			if len(mine) != 1 || mine[0].Ref.Grace >= 0 || len(t.Tune.Bars[s.BarIndex].Lines[v][mine[0].Ref.Event].Graces) > 0 {
				before, last = nil, nil
				continue
			}
			p := mine[0]
			next := last != nil && (last.String == p.String || len(s.Plucks) == 1) && last.Node == 0 && p.Node == 0 && last.Attack != tab.Chopped && p.Attack != tab.Chopped && g.follows(t, last.Ref, p.Ref)
			if next && rapid.Bool().Draw(g.t, "join") {
				n, m := t.Tune.Note(last.Ref), t.Tune.Note(p.Ref)
				if len(s.Plucks) == 1 && rapid.Bool().Draw(g.t, "tie") {
					s.Placement, s.Benders, p.String = before.Placement, before.Benders, last.String
					p.Fret, p.Attack, p.Scoop = last.Fret, tab.Tied, 0
					m.Name, m.Scoop = n.Name, 0
					n.Tie = !n.Glide
				} else if !n.Tie && last.String == p.String {
					p.Attack, last.Glide, n.Glide = tab.Glided, true, true
				}
			}
			before, last = s, p
		}
	}
}

// follows reports whether b is the event right after a in its voice.
func (g *drawer) follows(t *tab.Tab, a, b tune.Ref) bool {
	if a.Bar == b.Bar {
		return b.Event == a.Event+1
	}
	return b.Bar == a.Bar+1 && b.Event == 0 && a.Event == len(t.Tune.Bars[a.Bar].Lines[a.Voice])-1
}

func rangeOf(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i + 1
	}
	return out
}

func (g *drawer) placement() steel.Placement {
	n := len(g.r.Strings)
	a := rapid.IntRange(1, n).Draw(g.t, "first")
	b := rapid.IntRange(a, n).Draw(g.t, "last")
	f := float64(rapid.IntRange(1, 12).Draw(g.t, "fret"))
	if g.seldom("between frets") {
		f += 0.25
	}
	p := steel.Placement{Kind: steel.Straight, First: int8(a), Last: int8(b), FirstFret: f, LastFret: f}
	switch rapid.IntRange(0, 9).Draw(g.t, "kind") {
	case 0:
		return steel.Placement{}
	case 1:
		if b > a {
			p.Kind, p.FirstFret = steel.Forward, f+1
		}
	case 2:
		if b > a {
			p.Kind, p.LastFret = steel.Reverse, f+1
		}
	case 3:
		if b > a+1 {
			p.Kind, p.FirstFret = steel.Split, f+1
		}
	case 4:
		p.Kind, p.Last = steel.Nose, p.First
	}
	return p
}

// event2 plays an event or grace on the given strings.
func (g *drawer) event2(u *tune.Tune, s *tab.Stroke, ref tune.Ref, strs []int, length tune.Ticks) {
	type one struct {
		p tab.Pluck
		n tune.Note
	}
	var all []one
	for _, str := range strs {
		p := tab.Pluck{Ref: ref, String: str, Fret: g.geo.Contact(s.Placement, str), Len: length,
			Finger: tab.Finger(rapid.IntRange(0, 3).Draw(g.t, "finger")), Vibrato: g.seldom("vibrato"), Damp: g.seldom("damp")}
		switch {
		case g.seldom("harmonic"):
			p.Attack, p.Node = tab.Harmonic, int8(rapid.IntRange(2, 8).Draw(g.t, "node"))
			p.Fret = tab.NodeFret(int(p.Node))
		case g.seldom("palm harmonic"):
			p.Attack, p.Node = tab.PalmHarmonic, int8(rapid.IntRange(2, 5).Draw(g.t, "node"))
		case g.seldom("chop"):
			p.Attack, p.Fret, p.Finger = tab.Chopped, 0, tab.NoFinger
		case g.seldom("other attack"):
			p.Attack = rapid.SampledFrom([]tab.Attack{tab.Hammered, tab.PulledOff, tab.Glided, tab.BentTo}).Draw(g.t, "attack")
		case g.seldom("scoop") && p.Fret >= 1:
			p.Scoop = -1
		}
		key := int(math.Round(tab.Key(g.geo, s, &p)))
		n := tune.Note{Name: pitch.SpellKey(key, u.Bars[ref.Bar].Key.Fifths()), Scoop: int8(p.Scoop), Chop: p.Attack == tab.Chopped}
		if g.seldom("spelled otherwise") {
			n.Name = pitch.SpellKey(key, -6)
		}
		n.Show, n.Courtesy = g.seldom("show"), g.seldom("courtesy")
		all = append(all, one{p, n})
	}
	slices.SortStableFunc(all, func(a, b one) int {
		return cmp.Or(cmp.Compare(a.n.Name.Key(), b.n.Name.Key()), cmp.Compare(b.p.String, a.p.String))
	})
	e := &u.Bars[ref.Bar].Lines[ref.Voice][ref.Event]
	notes := &e.Notes
	if ref.Grace >= 0 {
		notes = &e.Graces[ref.Grace].Notes
	}
	for i, o := range all {
		o.p.Ref.Note = i
		*notes = append(*notes, o.n)
		s.Plucks = append(s.Plucks, o.p)
	}
}

// spoil takes some plucks away and lists them as compromises, as an arranger
// does.
func (g *drawer) spoil(t *tab.Tab) {
	for i := range t.Strokes {
		s := &t.Strokes[i]
		if len(s.Plucks) == 0 || !g.seldom("compromise") {
			continue
		}
		p := s.Plucks[0]
		t.Compromises = append(t.Compromises, tab.NewCompromise(t.Tune, p.Ref, s.At, tab.NotPlayed, 0, "no string reaches it, \"quite\""))
		s.Plucks = s.Plucks[1:]
	}
}

// account says of some plucks that they are added, and of some places that a note of
// the tune is left out there.
func (g *drawer) account(t *tab.Tab) {
	for i := range t.Strokes {
		s := &t.Strokes[i]
		for _, p := range s.Plucks {
			if g.seldom("added") {
				t.Added = append(t.Added, tab.Added{Kind: tab.Addition(rapid.IntRange(0, int(tab.AddBend)).Draw(g.t, "kind")), Ref: p.Ref,
					BarNumber: t.Tune.Bars[s.BarIndex].Number, At: s.At, String: p.String, Name: t.Tune.Note(p.Ref).Name})
			}
			if g.seldom("left out") {
				l := tab.LeftOut{BarIndex: s.BarIndex, Voice: p.Ref.Voice, At: s.At, Len: t.Tune.Bars[s.BarIndex].Len - s.At, Grace: -1, Name: t.Tune.Note(p.Ref).Name, Tie: rapid.Bool().Draw(g.t, "tied on")}
				if rapid.Bool().Draw(g.t, "a grace") {
					l.Grace = rapid.IntRange(0, 3).Draw(g.t, "which")
				}
				t.LeftOut = append(t.LeftOut, l)
			}
		}
	}
}
