package musicxml

import (
	"slices"
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/notation/musicxml/terms"
	"lapwright/tune"
)

// marksByElement finds a mark by the element that writes it.
var marksByElement = func() map[string]tune.Mark {
	out := map[string]tune.Mark{}
	for m, el := range terms.MarkElements {
		if el.Text == "" {
			out[el.Name] = m
		}
	}
	return out
}()

// hanging is what hangs on one note or rest: its slurs and tuplets, its marks, and how it is
// fingered.
type hanging struct {
	r                  *reader
	e                  *rawEvent
	n                  *node
	note               *tune.Note // nil for rests
	f                  *Finger    // nil until there is something for it
	hasString, hasFret bool
}

// hangingOn reads what hangs on a note, which is nil for rests. It puts marks, slurs and
// tuplets to the event, and returns how the note is fingered; nil without a place on the
// neck.
func hangingOn(r *reader, e *rawEvent, n *node, note *tune.Note) *Finger {
	h := &hanging{r: r, e: e, n: n, note: note}
	h.notations()
	return h.fingered()
}

// finger returns the note's fingering to write in.
func (h *hanging) finger() *Finger {
	if h.f == nil {
		h.f = &Finger{line: h.n.line, col: h.n.col}
		h.f.Ref.Grace = -1
	}
	return h.f
}

// notations reads the notations of the note.
func (h *hanging) notations() {
	for _, all := range h.n.kids {
		if all.name != "notations" {
			continue
		}
		for _, k := range all.kids {
			switch k.name {
			case "tied":
				if h.note != nil && k.attr("type") == "start" {
					h.note.Tie = true
				}
				if k.attr("type") == "stop" {
					h.finger().tied = true
				}
			case "slur":
				if t := k.attr("type"); t == "start" || t == "stop" {
					h.e.slurs = append(h.e.slurs, slurMark{slurNumber(k), t == "start"})
				}
			case "tuplet":
				h.e.tuplets = append(h.e.tuplets, readTuplet(k))
			case "slide", "glissando":
				switch k.attr("type") {
				case "start":
					if h.note != nil {
						h.note.Glide = true
					}
					h.finger().slideOn = true
				case "stop":
					h.finger().slideTo = true
				}
			case "fermata":
				if !h.e.fermata {
					h.e.fermata = true
					h.e.Marks = append(h.e.Marks, tune.Fermata)
				}
			case "arpeggiate":
				if !h.e.arpeggio {
					h.e.arpeggio = true
					h.e.Marks = append(h.e.Marks, tune.Arpeggio)
				}
			case "articulations", "ornaments":
				h.ornaments(k)
			case "technical":
				h.technical(k)
			case "other-notation":
				h.ownMark(k)
			case "dynamics":
				h.r.leave(k, "dynamics")
			case "accidental-mark", "non-arpeggiate":
				h.r.leave(k, "the notation %q", k.name)
			case "footnote", "level":
			default:
				h.r.leave(k, "the notation %q", fault.Clip(k.name))
			}
		}
	}
}

// fingered returns the note's fingering if it has a place on the neck; what goes without one
// is listed.
func (h *hanging) fingered() *Finger {
	if h.f == nil {
		return nil
	}
	if h.f.bend != 0 && !h.r.header.own {
		h.r.leave(h.n, "bends while a note sounds")
	}
	if !h.hasString {
		for _, x := range []struct {
			there bool
			what  string
		}{
			{h.hasFret, "frets without a string"},
			{h.f.hammered, "hammer-ons without a string"},
			{h.f.pulled, "pull-offs without a string"},
			{h.f.natural || h.f.palm, "harmonics without a string"},
			{h.f.preBend != 0, "bends without a string"},
			{h.f.pluck != "", "plucking fingers without a string"},
			{h.f.vibrato, "vibrato without a string (wavy-line)"},
		} {
			if x.there {
				h.r.leave(h.n, "%s", x.what)
			}
		}
		return nil
	}
	if !h.hasFret {
		if h.f.natural {
			return h.f
		}
		h.r.leave(h.n, "strings without a fret")
		return nil
	}
	return h.f
}

func slurNumber(k *node) string {
	if s := k.attr("number"); s != "" {
		return s
	}
	return "1"
}

func readTuplet(k *node) tupletMark {
	t := tupletMark{number: k.attr("number"), starts: k.attr("type") == "start"}
	for _, x := range []struct {
		name string
		to   *int
	}{{"tuplet-actual", &t.actual}, {"tuplet-normal", &t.normal}} {
		if a := k.kid(x.name); a != nil {
			if n, err := strconv.Atoi(strings.TrimSpace(a.value("tuplet-number"))); err == nil && n >= 1 && n <= tune.MaxTuplet {
				*x.to = n
			}
		}
	}
	return t
}

// ornaments reads articulations and ornaments.
func (h *hanging) ornaments(n *node) {
	for _, k := range n.kids {
		if m, ok := marksByElement[k.name]; ok {
			if !slices.Contains(h.e.Marks, m) {
				h.e.Marks = append(h.e.Marks, m)
			}
			continue
		}
		switch {
		case k.name == "scoop" && h.note != nil:
			h.note.Scoop = -1
		case k.name == "plop" && h.note != nil:
			h.note.Scoop = 1
		case k.name == "wavy-line":
			h.finger().vibrato = true
		case k.name == "other-ornament" && k.text == terms.MarkElements[tune.Roll].Text:
			h.e.Marks = append(h.e.Marks, tune.Roll)
		default:
			h.r.leave(k, "the mark %q", fault.Clip(k.name))
		}
	}
}

// technical reads string, fret and how the note is played.
func (h *hanging) technical(n *node) {
	for _, k := range n.kids {
		switch k.name {
		case "string":
			s, err := strconv.Atoi(strings.TrimSpace(k.text))
			if err != nil || s < 1 || s > 100 {
				h.r.warn(k.line, k.col, "the string %q is none", fault.Clip(k.text))
				continue
			}
			h.finger().String, h.hasString = s, true
		case "fret":
			s, err := strconv.Atoi(strings.TrimSpace(k.text))
			if err != nil || s < 0 || s > 48 {
				h.r.warn(k.line, k.col, "the fret %q is none", fault.Clip(k.text))
				continue
			}
			h.finger().Fret, h.hasFret = s, true
		case "pluck":
			h.finger().pluck = strings.TrimSpace(k.text)
		case "hammer-on":
			h.finger().hammered = h.finger().hammered || k.attr("type") == "stop"
		case "pull-off":
			h.finger().pulled = h.finger().pulled || k.attr("type") == "stop"
		case "harmonic":
			if k.kid("artificial") != nil {
				h.finger().palm = true
			} else {
				h.finger().natural = true
			}
		case "bend":
			f, ok := parseDecimal(k.value("bend-alter"))
			if !ok {
				continue
			}
			semitones := f.Float()
			if k.kid("pre-bend") != nil {
				h.finger().preBend += semitones
			} else {
				h.finger().bend += semitones
			}
		default:
			if m, ok := marksByElement[k.name]; ok {
				if !slices.Contains(h.e.Marks, m) {
					h.e.Marks = append(h.e.Marks, m)
				}
				continue
			}
			h.r.leave(k, "the way of playing %q", fault.Clip(k.name))
		}
	}
}

// ownMark reads one of our own marks.
func (h *hanging) ownMark(k *node) {
	words := strings.Fields(k.text)
	if len(words) == 0 {
		return
	}
	switch words[0] {
	case terms.WordScoop:
		if len(words) == 2 && h.note != nil {
			if n, err := strconv.Atoi(words[1]); err == nil && n >= -tune.MaxScoop && n <= tune.MaxScoop {
				h.note.Scoop = int8(n)
			}
		}
	case terms.WordPlacement, terms.WordBenders, terms.WordContact, terms.WordScoopFret, terms.WordNode, terms.WordDamp, terms.WordCarry, terms.WordGrace, terms.WordChop:
		h.finger().own = append(h.finger().own, k.text)
	default:
		h.r.leave(k, "the notation %q", fault.Clip(k.text))
	}
}
