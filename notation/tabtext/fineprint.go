package tabtext

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"lapwright/notation/columns"
	"lapwright/rig"
	"lapwright/tab"
	"lapwright/tune"
)

// finePrintLabel heads the part below the systems.
const finePrintLabel = "fine print:"

var styleWords = map[tune.BarlineStyle]string{
	tune.SingleBarline: "single", tune.DoubleBarline: "double", tune.FinalBarline: "final",
	tune.OpenBarline: "open", tune.DottedBarline: "dotted", tune.NoBarline: "none",
}

var markWords = map[tune.Mark]string{
	tune.Staccato: "staccato", tune.Tenuto: "tenuto", tune.Accent: "accent", tune.StrongAccent: "strong-accent",
	tune.Fermata: "fermata", tune.Trill: "trill", tune.Turn: "turn", tune.Mordent: "mordent",
	tune.InvertedMordent: "inverted-mordent", tune.UpBow: "up-bow", tune.DownBow: "down-bow",
	tune.Arpeggio: "arpeggio", tune.Roll: "roll", tune.Breath: "breath", tune.Swell: "swell",
}

var attackWords = map[tab.Attack]string{
	tab.Picked: "picked", tab.Tied: "tied", tab.Glided: "glided", tab.Hammered: "hammered",
	tab.PulledOff: "pulled-off", tab.Harmonic: "harmonic", tab.PalmHarmonic: "palm-harmonic",
	tab.BentTo: "bent-to", tab.Chopped: "chopped",
}

// finePrint returns what the columns do not show: it reads the text so far as
// Parse will, and writes a line for everything that comes out otherwise than
// in the tab.
func finePrint(t *tab.Tab, text []byte) string {
	got, _, _, err := readGrid(columns.SplitLines(text), "", t.Rig)
	var out []string
	add := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	if err == nil && !sameFrame(t.Tune, got.Tune) {
		err = fmt.Errorf("its bars and events differ")
	}
	if err != nil {
		// Only a tab that tab.Check refuses comes here: say so where the reader
		// will see it.
		return fmt.Sprintf("unreadable: %v\n", err)
	}
	var breaks []string
	for i := range t.Tune.Bars {
		if t.Tune.Bars[i].LineBreak {
			breaks = append(breaks, strconv.Itoa(i+1))
		}
	}
	for len(breaks) > 0 {
		n := min(len(breaks), 20)
		add("breaks: %s", strings.Join(breaks[:n], " "))
		breaks = breaks[n:]
	}
	rule := beamRule(t.Tune)
	if rule != columns.BeamBeats {
		add("beams: %s", rule)
	}
	var beams []string
	for i := range t.Tune.Bars {
		want, have := &t.Tune.Bars[i], &got.Tune.Bars[i]
		if want.Left != have.Left {
			add("left %d: %s", i+1, formatLine(want.Left))
		}
		if want.Right != have.Right {
			add("right %d: %s", i+1, formatLine(want.Right))
		}
		for v := range want.Lines {
			var ends []string
			for e := range want.Lines[v] {
				if want.Lines[v][e].BeamEnd {
					ends = append(ends, strconv.Itoa(e+1))
				}
			}
			if same := slices.EqualFunc(want.Lines[v], columns.Beamed(want, v, rule), func(e tune.Event, b bool) bool { return e.BeamEnd == b }); !same {
				if len(ends) == 0 {
					ends = []string{"none"}
				}
				beams = append(beams, fmt.Sprintf("%d.%d: %s", i+1, v+1, strings.Join(ends, " ")))
			}
			for e := range want.Lines[v] {
				ref := tune.Ref{Bar: i, Voice: v, Event: e, Grace: -1}
				out = append(out, eventPrint(ref, &want.Lines[v][e], &have.Lines[v][e])...)
			}
		}
	}
	for len(beams) > 0 {
		n := min(len(beams), 6)
		add("beams %s", strings.Join(beams[:n], "; "))
		beams = beams[n:]
	}
	out = append(out, strokesPrint(t, got)...)
	for _, c := range t.Compromises {
		add("compromise %s: bar %d at %s wanted %s got %s why %s", formatRef(c.Ref), c.BarNumber, c.At, columns.Quote(c.Wanted), columns.Quote(c.Got), columns.Quote(c.Why))
	}
	for _, a := range t.Added {
		add("added: %s", a.Text())
	}
	for _, l := range t.LeftOut {
		add("left-out: %s", l.Text())
	}
	if len(out) == 0 {
		return ""
	}
	return strings.Join(out, "\n") + "\n"
}

// beamRule returns the rule that leaves the fewest bars to be named.
func beamRule(u *tune.Tune) string {
	best, bestOff := "", 1<<30
	for _, rule := range columns.BeamRules {
		off := 0
		for i := range u.Bars {
			for v := range u.Bars[i].Lines {
				if !slices.EqualFunc(u.Bars[i].Lines[v], columns.Beamed(&u.Bars[i], v, rule), func(e tune.Event, b bool) bool { return e.BeamEnd == b }) {
					off++
				}
			}
		}
		if off < bestOff {
			best, bestOff = rule, off
		}
	}
	return best
}

// sameFrame reports whether two tunes have the same bars, events and graces.
func sameFrame(a, b *tune.Tune) bool {
	return slices.EqualFunc(a.Bars, b.Bars, func(x, y tune.Bar) bool {
		return slices.EqualFunc(x.Lines, y.Lines, func(v, w []tune.Event) bool {
			return slices.EqualFunc(v, w, func(e, f tune.Event) bool {
				return e.At == f.At && e.Len == f.Len && len(e.Graces) == len(f.Graces)
			})
		})
	})
}

func formatLine(l tune.Barline) string {
	s := styleWords[l.Style]
	if l.Repeat > 0 {
		s += " " + strconv.Itoa(l.Repeat)
	}
	return s
}

// formatRef names a place in the tune: bar, voice and event, counted from 1,
// then a grace and a note.
func formatRef(r tune.Ref) string {
	s := fmt.Sprintf("%d.%d.%d", r.Bar+1, r.Voice+1, r.Event+1)
	if r.Grace >= 0 {
		s += "g" + strconv.Itoa(r.Grace+1)
	}
	return s + "n" + strconv.Itoa(r.Note+1)
}

// eventRef names an event or grace as a whole.
func eventRef(r tune.Ref) string {
	s := formatRef(r)
	return s[:strings.LastIndexByte(s, 'n')]
}

func eventPrint(ref tune.Ref, want, have *tune.Event) []string {
	var out []string
	if !slices.Equal(want.Notes, have.Notes) {
		out = append(out, "notes "+eventRef(ref)+": "+formatNotes(want.Notes))
	}
	for g := range want.Graces {
		if !slices.Equal(want.Graces[g].Notes, have.Graces[g].Notes) {
			r := ref
			r.Grace = g
			out = append(out, "notes "+eventRef(r)+": "+formatNotes(want.Graces[g].Notes))
		}
	}
	if len(want.Marks) > 0 {
		words := make([]string, len(want.Marks))
		for i, m := range want.Marks {
			words[i] = markWords[m]
		}
		out = append(out, "marks "+eventRef(ref)+": "+strings.Join(words, " "))
	}
	if !slices.Equal(want.Lyrics, have.Lyrics) {
		words := make([]string, len(want.Lyrics))
		for i, y := range want.Lyrics {
			plain := y
			plain.Hyphen, plain.Extend = false, false
			words[i] = strconv.Itoa(y.Verse) + columns.Quote(y.Text) + strings.TrimPrefix(formatLyric(y), formatLyric(plain))
		}
		out = append(out, "lyrics "+eventRef(ref)+": "+strings.Join(words, " "))
	}
	return out
}

func formatNotes(notes []tune.Note) string {
	if len(notes) == 0 {
		return "none"
	}
	words := make([]string, len(notes))
	for i, n := range notes {
		w := n.Name.String()
		for _, f := range [...]struct {
			set  bool
			mark string
		}{{n.Show, "!"}, {n.Courtesy, "?"}, {n.Tie, "-"}, {n.Glide, "/"}, {n.Chop, "x"}} {
			if f.set {
				w += f.mark
			}
		}
		if n.Scoop != 0 {
			w += "s" + strconv.Itoa(int(n.Scoop))
		}
		words[i] = w
	}
	return strings.Join(words, " ")
}

// strokesPrint writes every stroke that would come out otherwise, in full.
func strokesPrint(t, got *tab.Tab) []string {
	type key struct {
		bar int
		at  tune.Ticks
	}
	have := map[key][]tab.Stroke{}
	for _, s := range got.Strokes {
		k := key{s.BarIndex, s.At}
		have[k] = append(have[k], s)
	}
	want := map[key][]tab.Stroke{}
	var order []key
	for _, s := range t.Strokes {
		k := key{s.BarIndex, s.At}
		if want[k] == nil {
			order = append(order, k)
		}
		want[k] = append(want[k], s)
	}
	var out []string
	for _, s := range got.Strokes {
		k := key{s.BarIndex, s.At}
		if want[k] == nil {
			out = append(out, fmt.Sprintf("stroke %d %s: none", k.bar+1, k.at))
		}
	}
	for _, k := range order {
		if sameStrokes(want[k], have[k]) {
			continue
		}
		for _, s := range want[k] {
			out = append(out, fmt.Sprintf("stroke %d %s: %s", k.bar+1, k.at, formatStroke(t.Rig, &s)))
		}
	}
	return out
}

func sameStrokes(a, b []tab.Stroke) bool {
	return slices.EqualFunc(a, b, func(x, y tab.Stroke) bool {
		if len(x.Plucks) == 0 && len(y.Plucks) == 0 {
			x.Plucks, y.Plucks = nil, nil
		}
		return reflect.DeepEqual(x, y)
	})
}

func formatStroke(r *rig.Rig, s *tab.Stroke) string {
	head := "len " + s.Len.String()
	if s.Grace {
		head += " grace"
	}
	head += " " + columns.FormatPlacement(s.Placement, true)
	if s.Benders != 0 {
		head += " +" + formatLetters(r, s.Benders)
	}
	parts := []string{head}
	for _, p := range s.Plucks {
		w := fmt.Sprintf("%d %s %s %s len %s", p.String, strconv.FormatFloat(p.Fret, 'g', -1, 64), formatRef(p.Ref), attackWords[p.Attack], p.Len)
		if p.Finger != tab.NoFinger {
			w += " " + p.Finger.String()
		}
		if p.Glide {
			w += " glide"
		}
		if p.Scoop != 0 {
			w += " scoop " + strconv.FormatFloat(p.Scoop, 'g', -1, 64)
		}
		if p.Node != 0 {
			w += " node " + strconv.Itoa(int(p.Node))
		}
		if p.Vibrato {
			w += " vibrato"
		}
		if p.Damp {
			w += " damp"
		}
		parts = append(parts, w)
	}
	return strings.Join(parts, " | ")
}
