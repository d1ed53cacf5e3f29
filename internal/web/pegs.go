package web

import (
	"fmt"
	"math"
	"net/http"
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/internal/studio"
	"lapwright/pitch"
	"lapwright/report"
	"lapwright/retune"
	"lapwright/rig"
	"lapwright/sheet/draw"
	"lapwright/sheet/neck"
	"lapwright/sound"
	"lapwright/sound/wav"
)

// pegsAsked is how a rig is to be tuned, as a page's form asks for it.
type pegsAsked struct {
	Chord     string
	Reference float64 // hertz
	Share     float64 // from 0, equal, to 1, just
	Seventh   string  // "9/5" or "7/4"
}

// askedPegs reads how to tune from a request; what it leaves out is the rig's
// own reference, its open chord and halfway.
func askedPegs(r *http.Request, g *rig.Rig) (pegsAsked, *retune.Tuned, error) {
	a := pegsAsked{Chord: r.FormValue("chord"), Reference: float64(g.Reference), Share: 0.5, Seventh: "9/5"}
	for _, f := range []struct {
		name, what string
		to         *float64
	}{{"reference", "reference pitch", &a.Reference}, {"share", "share", &a.Share}} {
		if text := r.FormValue(f.name); text != "" {
			v, err := strconv.ParseFloat(text, 64)
			if err != nil {
				return a, nil, &fault.Fault{Msg: fmt.Sprintf("a %s of %q is no number", f.what, text)}
			}
			*f.to = v
		}
	}
	sevenths := pitch.FiveLimit
	switch r.FormValue("seventh") {
	case "", "9/5":
	case "7/4":
		a.Seventh, sevenths = "7/4", pitch.Harmonic
	default:
		return a, nil, &fault.Fault{Msg: fmt.Sprintf("a seventh of %q is not 9/5 or 7/4", r.FormValue("seventh"))}
	}
	chord, err := retune.OpenChordOf(g)
	if a.Chord != "" {
		chord, err = pitch.ParseChord(a.Chord)
	}
	if err != nil {
		return a, nil, &fault.Fault{Msg: err.Error()}
	}
	a.Chord = chord.String()
	t, err := retune.NewTuned(g, chord, pitch.Hz(a.Reference), a.Share, sevenths)
	if err != nil {
		return a, nil, &fault.Fault{Msg: err.Error()}
	}
	return a, t, nil
}

// pegsPage says what to tune a rig's strings to.
func (s *Site) pegsPage(w http.ResponseWriter, r *http.Request) error {
	g, ref, err := s.askedRig(r)
	if err != nil {
		return err
	}
	a, t, err := askedPegs(r, g)
	model := map[string]any{"Ref": ref, "Rig": g, "Asked": a, "Lowest": float64(pitch.MinReference), "Highest": float64(pitch.MaxReference), "Caution": rig.TensionCaution, "Loud": sound.Caution}
	if err != nil {
		model["Problem"] = sentence(err.Error())
	} else {
		model["Report"] = report.TargetsOf(t, g)
	}
	s.page(w, r, http.StatusOK, "pegs", "What to tune "+g.Title+" to", model)
	return nil
}

// cents writes a difference to a tenth of a cent, with its sign.
func cents(c float64) string {
	if math.Abs(c) < 0.05 {
		return "0"
	}
	return strings.Replace(fmt.Sprintf("%+.1f", c), "-", "−", 1)
}

var ways = map[string]retune.Way{"equal": retune.Equal, "just": retune.Just, "between": retune.Between}

// tone sounds what one string is tuned to.
func (s *Site) tone(w http.ResponseWriter, r *http.Request) error {
	g, _, err := s.askedRig(r)
	if err != nil {
		return err
	}
	_, t, err := askedPegs(r, g)
	if err != nil {
		return err
	}
	way, known := ways[r.FormValue("way")]
	n, err := readNumber(r, "string")
	if err != nil {
		return err
	}
	if !known || n < 1 || n > len(g.Strings) {
		return &fault.Fault{Msg: "there is no such string or way of tuning"}
	}
	// Low has the last string first.
	recording := wav.Write(sound.Tones(t.Low(way)[len(g.Strings)-n:][:1]))
	w.Header().Set("Content-Type", "audio/wav")
	w.Header().Set("Cache-Control", "no-store")
	w.Write(recording)
	return nil
}

// tuningCard gives a rig's postcard to print.
func (s *Site) tuningCard(w http.ResponseWriter, r *http.Request) error {
	g, _, err := s.askedRig(r)
	if err != nil {
		return err
	}
	card := neck.TuningCard(g)
	var b []byte
	name := r.PathValue("name")
	switch name {
	case "tuning.svg":
		b = draw.SVG(card, 0)
	case "tuning.pdf":
		b, err = draw.PDF(card)
	default:
		return errNowhere
	}
	if err != nil {
		return err
	}
	attachment(w, studio.Slug(g.Title)+"-"+name, fileTypes["sheet"+name[len("tuning"):]])
	w.Write(b)
	return nil
}
