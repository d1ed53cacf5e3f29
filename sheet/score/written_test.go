package score_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"lapwright/internal/golden"
	"lapwright/notation/abc/abctest"
	"lapwright/sheet/draw"
	"lapwright/sheet/score"
	"lapwright/sheet/sheettest"
	"lapwright/tab"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

func read(t testing.TB, text string) *tune.Tune {
	t.Helper()
	return abctest.Tune(t, "X:1\nT:x\n"+text+"\n")
}

// TestScoreAsLookedAt: what stands at each instant, where, and how far it reaches is as it was when it was looked at, for what
// engravers come across: beams of every meter, voices that meet, accidentals, graces, rests, words, and every mark of the tablature.
func TestScoreAsLookedAt(t *testing.T) {
	var b strings.Builder
	tell := func(title string, s *score.Score) {
		fmt.Fprintf(&b, "# %s\n", title)
		written(&b, s)
	}
	plain := score.Options{}
	for _, c := range []struct{ title, text string }{
		{"accidentals", "M:4/4\nL:1/4\nK:G\n^c c c' =c|c ^d _B B|F f ^F =f|f =F ^g =g|^G4-|G2 ^g2-|g G =G G|_e2- e e|e =e !courtesy!c ^^c|[^C^c] [_B=B] [^A=B_d] z|"},
		{"two voices meet", "M:4/4\nL:1/4\nK:C\n%%score (1 2)\nV:1\nc B A G|c3/2 d/2 c3 ||c2 z2|z4|e d c B|[ce]3/2 [df]/2 g2|c4|z2 z2|c/2d/2e/2f/2 g/4a/4 g/2 z|\nV:2\nc A B G|c B c2-||z2 c2|C2 D2|c2 B2|c3/2 B/2 [ce]2|c2 c2|E2 z2|c3/2 c/2 [AB]2|"},
		{"dots", "M:6/8\nL:1/8\nK:C\n%%score (1 2)\nV:1\n[ce]3 [Bd]3|[cde]3 c3|c3/2 d/2e/2 f/2 g2-g/2 a/2|\nV:2\n[EG]3 [FA]3|[CEG]3 A3|B3/2 A/2 G/2A/2 [FG]3|"},
		{"graces", "M:4/4\nL:1/4\nK:D\n{^g}a {ag}f {a}[fa] {/c}B|{[ce]}d {e2}d {^c=c}c z|"},
		{"flags and stems", "M:4/4\nL:1/8\nK:C\nC z c z c' z C,2|[C,c'] z B/ z/ z c/4 z/4 z/2 z d/8 z/8 z/4 z/2|a'4 A,,4|A/8 z/8 z/4 z/2 e'/4 z/4 z/2 [Aac'] z z4|"},
		{"beams that lean", "M:4/4\nL:1/8\nK:C\nCc cC gB,B,g|DF FA Ac ce|fd dB BG GE|CEGc c'gec|[CE][DF] [gb][ac'] A,C c'a'|F/G/A/B/ f/e/d/c/ C/4D/4E/4F/4 G c'/8b/8a/8g/8 f/2 e|"},
		{"hooks", "M:4/4\nL:1/8\nK:C\nc3/2d/2 c/2d3/2 c/2dc/2 c3/4d/4e|c/2d/4e/4 f/4g/4a/2 c/4d3/4 e7/4f/4|c3/4d/4e3/4f/4 c/2d/4e/2f/4 g/2|"},
		{"tuplets", "M:4/4\nL:1/8\nK:C\n(3ABc (3:2:2A2B (3:2:4A/B/cd|(5:4:5A/B/c/d/e/ (3Ac2 z(3BAG|"},
		{"slurs and graces", "M:4/4\nL:1/4\nK:C\n(c d) (e {f}g|{ef}e) (c (d e) |f) (z c) c|({d}c d) {c}c {ec}c|"},
		{"endings", "M:2/4\nL:1/4\nK:C\n|:c d|[1c d:|[2d e|e f|f g|[3g a|a b|b c'|c' b|[4,5 c d|]"},
		{"an ending of four bars", "M:2/4\nL:1/4\nK:C\n|:c d:|[2d e|e f|f g|g a|"},
		{"low", "M:4/4\nL:1/4\nK:C\nC D B, C|E, A C C|"},
		{"no lower than the clef", "M:4/4\nL:1/4\nK:C\nC D C D|"},
		{"words", "M:4/4\nL:1/4\nK:C\n\"Am\"c d e f|g2 a2|\nw: har-bour street_ and a~long one\nw: 2.~how-ever lit-tle * so\n\"G7\"c4|\nw:syllables-that-go-on-and-on\n"},
		{"signs and texts", "M:4/4\nL:1/4\nK:C\n\"^first\"c4|c2\"_under\"d2|!segno!c2 !coda!d2|c4!fine!|[Q:1/4=90]c2[Q:\"slow\"]d2|"},
	} {
		tell(c.title, score.New(read(t, c.text), nil, plain))
	}
	for _, m := range []string{"2/4", "3/4", "4/4", "5/4", "6/4", "2/2", "3/2", "4/8", "3/8", "2/8", "5/8", "7/8", "6/8", "9/8", "12/8", "8/8", "5/16", "7/16", "6/16", "none"} {
		for _, pick := range []string{"", "ABc|"} {
			tn := read(t, "M:"+m+"\nL:1/8\nK:C\n"+pick+"ABcABcABcABcABcA|A/B/c/d/A/B/c/d/A/B/c/d/A/B/c/d/|A2BcdA3B|\n")
			fmt.Fprintf(&b, "# beams in %s%s\n%s", m, map[bool]string{true: " after a pickup"}[pick != ""], beams(score.New(tn, nil, plain)))
		}
	}
	groups := read(t, "M:8/8\nL:1/8\nK:C\nABcABcAB|A2BcdABc|\n")
	groups.Bars[0].Meter.Groups, groups.Bars[1].Meter.Groups = []int{3, 3, 2}, []int{2, 3, 3}
	fmt.Fprintf(&b, "# beams in groups of a meter's own\n%s", beams(score.New(groups, nil, plain)))
	for _, l := range []score.Layout{score.Full, score.TabOnly} {
		tell("every mark, "+string(l), score.New(sheettest.EveryMark(t).Tune, sheettest.EveryMark(t), score.Options{Layout: l}))
	}
	turned := sheettest.Turned(t)
	tell("every turn under the hand", score.New(turned.Tune, turned, score.Options{Layout: score.TabOnly, NoFingers: true, NoLean: true}))
	golden.File(t, "testdata/score.txt", []byte(b.String()))
}

// beams tells how the notes of each bar are joined: "(AB)" where two are, with the beams between them.
func beams(s *score.Score) string {
	var b strings.Builder
	for _, m := range s.Bars {
		seen := map[*score.Beam]bool{}
		for _, n := range m.Notes {
			switch {
			case n.Rest:
				b.WriteString("z ")
			case n.Beam == nil:
				b.WriteString(n.Top().Note.Name.String() + " ")
			case !seen[n.Beam]:
				seen[n.Beam] = true
				b.WriteString("(")
				for i, k := range n.Beam.Notes {
					if i > 0 {
						b.WriteString(" ")
					}
					b.WriteString(k.Top().Note.Name.String())
				}
				b.WriteString(") ")
			}
		}
		b.WriteString("|")
	}
	return b.String() + "\n"
}

// written tells all that stands in a score, its instants at natural distance.
func written(b *strings.Builder, s *score.Score) {
	fmt.Fprintf(b, "low %v, verses %v\n", s.Low, s.Verses)
	lanes := []string{"staff", "tab", "chord", "lean", "finger"}
	for i := len(lanes); i < score.Lanes; i++ {
		lanes = append(lanes, fmt.Sprintf("lyric %d", i-score.LaneLyric+1))
	}
	set := map[*score.Beam]bool{}
	x := 0.0
	for _, m := range s.Bars {
		for _, nd := range m.Nodes {
			nd.X = x
			x += nd.Ideal + 1
		}
	}
	for _, m := range s.Bars {
		fmt.Fprintf(b, "bar %d", m.Index+1)
		if m.Rests > 1 {
			fmt.Fprintf(b, ", rests of %d", m.Rests)
		}
		if m.Skip {
			b.WriteString(", in a rest")
		}
		b.WriteString("\n")
		for _, nd := range m.Nodes {
			fmt.Fprintf(b, " %v", nd.At)
			if nd.Grace < 0 {
				fmt.Fprintf(b, " grace %d", nd.Grace)
			}
			fmt.Fprintf(b, ": %.2f to the next;", nd.Ideal)
			for i, has := range nd.Has {
				if has {
					fmt.Fprintf(b, " %s %.2f+%.2f", lanes[i], nd.Left[i], nd.Right[i])
				}
			}
			if nd.Chord != nil {
				fmt.Fprintf(b, "; %s", nd.Chord.Text)
			}
			b.WriteString("\n")
			for _, n := range nd.Notes {
				note(b, n, set)
			}
			for _, st := range nd.Stops {
				stop(b, s, nd, st)
			}
		}
	}
	for _, x := range s.Slurs {
		fmt.Fprintf(b, "slur from %d %v %d to %d %v %d\n", x.From.Measure.Index+1, x.From.At, x.From.Grace, x.To.Measure.Index+1, x.To.At, x.To.Grace)
	}
	for _, g := range s.Groups {
		fmt.Fprintf(b, "tuplet of %d, level %d: %d notes from %v\n", g.Actual, g.Level, len(g.Notes), g.Notes[0].At)
	}
	for _, e := range s.Endings {
		fmt.Fprintf(b, "ending %s over bars %d to %d, closed %v\n", e.Label, e.From+1, e.To+1, e.Closed)
	}
}

func note(b *strings.Builder, n *score.Note, set map[*score.Beam]bool) {
	if n.Rest {
		fmt.Fprintf(b, "  voice %d rest of %d flags at %.2f", n.Voice+1, n.Value.Flags(), n.RestY)
		if n.Hidden {
			b.WriteString(", hidden")
		}
		b.WriteString("\n")
		return
	}
	fmt.Fprintf(b, "  voice %d", n.Voice+1)
	if n.DX != 0 {
		fmt.Fprintf(b, " aside %.2f", n.DX)
	}
	if n.Stemmed() {
		if n.Beam == nil {
			n.SetStem()
		} else if !set[n.Beam] {
			set[n.Beam] = true
			line := n.Beam.Set()
			first, last := n.Beam.Notes[0], n.Beam.Notes[len(n.Beam.Notes)-1]
			fmt.Fprintf(b, " beam %.2f to %.2f", line.Height(first.StemX), line.Height(last.StemX))
			for _, p := range n.Beam.Pieces() {
				fmt.Fprintf(b, " %d:%d–%d", p.Level, p.From+1, p.To+1)
				if p.Half {
					b.WriteString(map[bool]string{true: " to the left", false: " to the right"}[p.Left])
				}
			}
		}
		fmt.Fprintf(b, " stem %.2f from %.2f to %.2f up %v", n.StemX-n.Node.X, n.StemRoot(), n.StemTip, n.Up)
	}
	if w := n.DotShift(); w != 0 {
		fmt.Fprintf(b, " dots aside %.2f", w)
	}
	for _, h := range n.Heads {
		fmt.Fprintf(b, "; %s %s at %d", h.Note.Name, h.Symbol, h.Place)
		if h.DX != 0 {
			fmt.Fprintf(b, " aside %.2f", h.DX)
		}
		if h.Accidental != 0 {
			fmt.Fprintf(b, " %s at %.2f", h.Accidental, h.AccidentalX)
			if h.Brackets {
				b.WriteString(" in brackets")
			}
		}
		if n.Value.Dots > 0 {
			fmt.Fprintf(b, " dot at %d", h.DotP)
		}
	}
	b.WriteString("\n")
}

func stop(b *strings.Builder, s *score.Score, nd *score.Node, st *score.Stop) {
	fmt.Fprintf(b, "  steel %q short %v amiss %v rolled %v glides %v joins %v fingers %v:", st.Lean, st.Short, st.Amiss, st.Rolled(), nd.Glides(), nd.Joins(), st.Fingers())
	for _, p := range st.Plays {
		fmt.Fprintf(b, " %d %s at %.2f half %.2f high %.2f of %.2f", p.Pluck.String, p.Text, p.Middle()-nd.X, p.Half, p.HalfHeight(s.Style.Number), p.Size)
		if p.Joins() {
			b.WriteString(" " + s.JoinLetter(s.Before[p], p))
		}
		if p.Tip() {
			b.WriteString(" tip")
		}
	}
	b.WriteString("\n")
}

// TestSilentBarsAreTakenTogether: bars of rest are one rest of many up to whatever must be read at its place: a chord, a word, a sign, a
// tempo, a part, an ending, a repeat, another key or meter, a barline of its own, a remark, a mark or a word under a rest, a bar that isn't full.
func TestSilentBarsAreTakenTogether(t *testing.T) {
	whole := tune.Whole
	for what, c := range map[string]struct {
		change func(b *tune.Bar) // to the third of six bars
		want   string
	}{
		"nothing":            {func(b *tune.Bar) {}, "6"},
		"a chord":            {func(b *tune.Bar) { b.Chords = []tune.ChordAt{{Text: "G"}} }, "2 1 3"},
		"a word":             {func(b *tune.Bar) { b.Texts = []tune.TextAt{{Text: "softly"}} }, "2 1 3"},
		"a sign":             {func(b *tune.Bar) { b.Signs = []tune.Sign{{Kind: tune.Segno}} }, "2 1 3"},
		"a tempo":            {func(b *tune.Bar) { b.Tempos = []tune.Tempo{{Beat: whole / 4, PerMinute: 60_000}} }, "2 1 3"},
		"a chord and a word": {func(b *tune.Bar) { b.Chords, b.Texts = []tune.ChordAt{{Text: "G"}}, []tune.TextAt{{Text: "softly"}} }, "2 1 3"},
		"a sign and a tempo": {func(b *tune.Bar) {
			b.Signs, b.Tempos = []tune.Sign{{Kind: tune.Segno}}, []tune.Tempo{{Beat: whole / 4, PerMinute: 60_000}}
		}, "2 1 3"},
		"a word and a sign":   {func(b *tune.Bar) { b.Texts, b.Signs = []tune.TextAt{{Text: "softly"}}, []tune.Sign{{Kind: tune.Segno}} }, "2 1 3"},
		"a part":              {func(b *tune.Bar) { b.Part = "B" }, "2 1 3"},
		"an ending":           {func(b *tune.Bar) { b.Endings = []int{1} }, "2 1 3"},
		"the end of one":      {func(b *tune.Bar) { b.EndingEnds = true }, "2 1 3"},
		"a repeat back":       {func(b *tune.Bar) { b.Right.Repeat = 1 }, "3 3"},
		"a repeat on":         {func(b *tune.Bar) { b.Left.Repeat = 1 }, "2 4"},
		"a double barline":    {func(b *tune.Bar) { b.Right.Style = tune.DoubleBarline }, "3 3"},
		"another key":         {func(b *tune.Bar) { b.Key = tunetest.Key(t, "D") }, "2 1 3"},
		"another meter":       {func(b *tune.Bar) { b.Meter = tune.Meter{Beats: 2, Unit: 2} }, "2 1 3"},
		"no meter":            {func(b *tune.Bar) { b.Meter = tune.Meter{} }, "2 1 3"},
		"half a bar":          {func(b *tune.Bar) { b.Len = whole / 2 }, "2 1 3"},
		"no notes":            {func(b *tune.Bar) { b.Lines[0] = nil }, "2 1 3"},
		"a pause":             {func(b *tune.Bar) { b.Lines[0][0].Marks = []tune.Mark{tune.Fermata} }, "2 1 3"},
		"a word under it":     {func(b *tune.Bar) { b.Lines[0][0].Lyrics = []tune.Lyric{{Verse: 1, Text: "oh"}} }, "2 1 3"},
		"a note":              {func(b *tune.Bar) { b.Lines[0] = sheettest.Events(t, whole, "A4/1") }, "2 1 3"},
		"a remark":            {nil, "2 1 3"},
		"every bar, as asked": {nil, "1 1 1 1 1 1"},
	} {
		tn := &tune.Tune{Title: "Hush", Voices: []tune.Voice{{ID: "1"}}}
		for i := range 6 {
			tn.Bars = append(tn.Bars, sheettest.Measure(t, i+1, 4, 4, "bar"))
		}
		o := score.Options{EveryBar: strings.HasPrefix(what, "every")}
		if c.change != nil {
			c.change(&tn.Bars[2])
		} else if !o.EveryBar {
			o.Remarks = []score.Remark{{BarIndex: 2, Text: "count"}}
		}
		s := score.New(tn, nil, o)
		var got []string
		for _, m := range s.Bars {
			if m.Skip {
				continue
			}
			got = append(got, fmt.Sprint(max(m.Rests, 1)))
			if last := s.Last(m).Index; last != m.Index+max(m.Rests, 1)-1 {
				t.Errorf("%s: a rest from bar %d ends with bar %d", what, m.Index+1, last+1)
			}
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%s in the third bar: rests of %v, want %s", what, got, c.want)
		}
	}
	one := &tune.Tune{Voices: []tune.Voice{{ID: "1"}}, Bars: []tune.Bar{sheettest.Measure(t, 1, 4, 4, "bar"), sheettest.Measure(t, 2, 4, 4, "A4/1")}}
	if m := score.New(one, nil, score.Options{}).Bars[0]; m.Rests > 1 || len(m.Nodes) != 1 || m.Nodes[0].Ideal >= 12 {
		t.Errorf("a single bar of rest is a rest of %d, %g to the next", m.Rests, m.Nodes[0].Ideal)
	}
}

// TestOptionsHaveBounds: what a user may choose is taken up to its bounds, and what is left out is filled in.
func TestOptionsHaveBounds(t *testing.T) {
	for _, c := range []struct {
		o    score.Options
		good bool
	}{
		{score.Options{}, true}, {score.Options{Scale: 0.5}, true}, {score.Options{Scale: 0.49}, false}, {score.Options{Scale: 2.5}, true}, {score.Options{Scale: 2.51}, false}, {score.Options{Scale: -1}, false},
		{score.Options{Top: 148.5}, true}, {score.Options{Top: 148.6}, false}, {score.Options{Top: -0.1}, false},
		{score.Options{Top: 10_000, Paper: draw.Phone}, true}, {score.Options{Top: 10_001, Paper: draw.Scroll}, false}, {score.Options{Top: 500, Paper: draw.Letter}, false},
		{score.Options{Layout: "tiny"}, false}, {score.Options{Layout: score.Grips}, true}, {score.Options{Layout: score.Full}, true}, {score.Options{Margin: 7}, false}, {score.Options{Paper: "a5"}, false},
	} {
		got, err := c.o.Filled()
		if (err == nil) != c.good {
			t.Errorf("%+v: %v", c.o, err)
		}
		if err == nil && (got.Layout == "" || got.Paper == "" || got.Margin == 0 || got.Scale == 0 || got.FirstPage != 1) {
			t.Errorf("%+v is filled to %+v", c.o, got)
		}
	}
	if got, _ := (score.Options{FirstPage: 7, Layout: score.LeadSheet, Scale: 2, Margin: 9, Paper: draw.Letter}).Filled(); got.FirstPage != 7 || got.Layout != score.LeadSheet || got.Scale != 2 || got.Margin != 9 || got.Paper != draw.Letter {
		t.Errorf("what was chosen becomes %+v", got)
	}
}

// TestStylesOfLayouts: which staves a layout has, and how large it is, with and without a tab.
func TestStylesOfLayouts(t *testing.T) {
	tb := sheettest.EveryMark(t)
	wide := *tb
	many := *tb.Rig
	for len(many.Strings) < 9 {
		many.Strings = append(many.Strings, many.Strings[0])
	}
	wide.Rig = &many
	eight := *tb
	fewer := many
	fewer.Strings = many.Strings[:8]
	eight.Rig = &fewer
	style := func(tb *tab.Tab, o score.Options) score.Style {
		s, err := o.Filled()
		if err != nil {
			t.Fatal(err)
		}
		return score.New(sheettest.EveryMark(t).Tune, tb, s).Style
	}
	for _, c := range []struct {
		tb   *tab.Tab
		o    score.Options
		want string // staff, tab, rhythm, grips
	}{
		{tb, score.Options{}, "staff tab"}, {nil, score.Options{}, "staff"}, {tb, score.Options{Layout: score.TabOnly}, "tab rhythm"}, {nil, score.Options{Layout: score.TabOnly}, "staff"},
		{tb, score.Options{Layout: score.LeadSheet}, "staff"}, {tb, score.Options{Layout: score.Grips}, "staff tab grips"}, {nil, score.Options{Layout: score.Grips}, "staff"},
		{tb, score.Options{Layout: score.LargePrint}, "staff tab"}, {tb, score.Options{Rhythm: true}, "staff tab rhythm"}, {nil, score.Options{Rhythm: true}, "staff"}, {tb, score.Options{Layout: score.LeadSheet, Rhythm: true}, "staff"},
	} {
		s := style(c.tb, c.o)
		var got []string
		for i, name := range []string{"staff", "tab", "rhythm", "grips"} {
			if []bool{s.Staff, s.Tab, s.Rhythm, s.Grips}[i] {
				got = append(got, name)
			}
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%s with a tab %v: %v, want %s", c.o.Layout, c.tb != nil, got, c.want)
		}
	}
	if nine, eight := style(&wide, score.Options{}).TabGap, style(&eight, score.Options{}).TabGap; nine >= eight {
		t.Errorf("nine strings lie %g apart, eight %g", nine, eight)
	}
	for _, c := range []struct {
		layout score.Layout
		scale  float64
		want   float64 // of its usual size
	}{{score.Full, 0.5, 0.5}, {score.Full, 2, 2}, {score.LargePrint, 0.5, 1}, {score.LargePrint, 1.5, 1.5}, {score.Grips, 1, 1}} {
		usual, got := style(tb, score.Options{Layout: c.layout}).Space, style(tb, score.Options{Layout: c.layout, Scale: c.scale}).Space
		if got != usual*c.want {
			t.Errorf("%s at %g is %g of its size", c.layout, c.scale, got/usual)
		}
	}
	// Large print has nothing under 18 points.
	large := style(tb, score.Options{Layout: score.LargePrint})
	for _, em := range []float64{large.Number, large.Letter, large.Chord, large.Words, large.Lyric, large.Small} {
		if em*large.Space < 18*draw.PointMM-1e-9 {
			t.Errorf("large print has letters of %.1f points", em*large.Space/draw.PointMM)
		}
	}
	if len(slices.Compact(slices.Sorted(slices.Values(score.Layouts())))) != 5 {
		t.Error("there are five layouts")
	}
}
