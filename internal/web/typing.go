package web

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"net/http"
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/internal/studio"
	"lapwright/notation"
	"lapwright/notation/abc"
	"lapwright/pitch"
	"lapwright/report"
	"lapwright/tab"
	"lapwright/tune"
)

// addNote adds the note under a touch of the neck to a tune's text.
func (s *Site) addNote(w http.ResponseWriter, r *http.Request) error {
	var ask struct {
		Text   string `json:"text"`
		Rig    string `json:"rig"`
		String int    `json:"string"`
		Fret   int    `json:"fret"`
		Length string `json:"length"` // a fraction of a whole note
		Higher int    `json:"higher"` // octaves above what the string sounds
	}
	if err := readJSON(r, &ask); err != nil {
		return err
	}
	g, err := s.findRig(r.Context(), ask.Rig)
	if err != nil {
		return err
	}
	length, err := ticksOf(ask.Length)
	if err != nil || ask.String < 1 || ask.String > len(g.Strings) || ask.Fret < 0 || ask.Fret > g.Frets || ask.Higher < -3 || ask.Higher > 3 {
		return &fault.Fault{Msg: "that is no place on this instrument"}
	}
	var text string
	err = s.light.do(r.Context(), func(context.Context) error {
		fifths := 0
		if t, _, err := readTune(ask.Text); err == nil && len(t.Bars) > 0 {
			fifths = t.Bars[len(t.Bars)-1].Key.Fifths()
		}
		var err error
		text, err = notation.Append(ask.Text, pitch.SpellKey(g.OpenKey(ask.String, 0)+ask.Fret+12*ask.Higher, fifths), length)
		return err
	})
	if err != nil {
		return err
	}
	s.json(w, http.StatusOK, report.Text{Text: text})
	return nil
}

// readTab reads a tab that was typed, and says how to keep it: the tune that it
// plays as text, and the wishes that make the arranger play it so.
func (s *Site) readTab(w http.ResponseWriter, r *http.Request) error {
	var ask struct {
		Text string `json:"text"`
		Rig  string `json:"rig"`
	}
	if err := readJSON(r, &ask); err != nil {
		return err
	}
	g, err := s.findRig(r.Context(), ask.Rig)
	if err != nil {
		return err
	}
	var out report.TypedTab
	list := []report.Fault{}
	err = s.light.do(r.Context(), func(context.Context) error {
		t, faults, err := notation.ReadTab([]byte(ask.Text), "tab", g)
		for _, f := range faults {
			list = append(list, faultOf(f))
		}
		if err != nil {
			list = append(list, errorsOf(err)...)
			return nil
		}
		body, lost := abc.Write(t.Tune)
		for _, f := range lost {
			list = append(list, report.Fault{Line: 1, Column: 1, Text: sentence(f.Error())})
		}
		wishes := wishesOf(t)
		out.Body, out.Wishes, out.Name = string(body), &wishes, g.Name
		return nil
	})
	if err != nil {
		return err
	}
	out.Said.Said = list
	s.json(w, http.StatusOK, out)
	return nil
}

// wishesOf gives the wishes under which the arranger plays a tab's tune exactly
// as the tab does: its key, no change of octave, and every stroke pinned.
func wishesOf(t *tab.Tab) report.Wishes {
	as := 0
	out := report.Wishes{Octave: &as}
	if len(t.Tune.Bars) > 0 {
		out.Key = t.Tune.Bars[0].Key.Tonic.String()
	}
	for i := range t.Strokes {
		st := &t.Strokes[i]
		bar, at := t.Tune.Place(st.Bar, st.At)
		letters := report.Marks(t.Rig, st.Benders)
		p := report.Pin{Bar: bar, At: at.String(), Benders: &letters, Words: "as typed"}
		for j := range st.Plucks {
			// A harmonic's place on the neck is found by the arranger.
			if st.Plucks[j].Node == 0 {
				p.Grip = append(p.Grip, [2]int{st.Plucks[j].String, int(math.Round(st.Plucks[j].Fret))})
			}
		}
		if len(p.Grip) > 0 && !st.Grace {
			out.Pins = append(out.Pins, p)
		}
	}
	return out
}

// ticksOf reads a fraction of a whole note.
func ticksOf(text string) (tune.Ticks, error) {
	num, den, ok := strings.Cut(text, "/")
	if !ok {
		den = "1"
	}
	n, err1 := strconv.ParseInt(num, 10, 64)
	d, err2 := strconv.ParseInt(den, 10, 64)
	at, ok := tune.Of(n, d)
	if errors.Join(err1, err2) != nil || !ok {
		return 0, &fault.Fault{Msg: fmt.Sprintf("%q is no length or place in music", text)}
	}
	return at, nil
}

// maxTunes is the most tunes that one import takes in.
const maxTunes = 500

// importTunes takes the tunes of dropped files, or a new one that was typed.
func (s *Site) importTunes(w http.ResponseWriter, r *http.Request) error {
	type input struct {
		name string
		text []byte
	}
	var inputs []input
	if strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/form-data") {
		if err := readFiles(r, maxForm); err != nil {
			return err
		}
		defer r.MultipartForm.RemoveAll()
		for _, h := range r.MultipartForm.File["file"] {
			f, err := h.Open()
			if err != nil {
				return err
			}
			b, err := io.ReadAll(f)
			f.Close()
			if err != nil {
				return err
			}
			inputs = append(inputs, input{h.Filename, b})
		}
	}
	if text := r.FormValue("text"); text != "" {
		inputs = append(inputs, input{"typed.abc", []byte(text)})
	}
	if len(inputs) == 0 {
		return errNoFile
	}
	var pieces []notation.Piece
	notes := []string{}
	for _, in := range inputs {
		var got []notation.Piece
		var warnings fault.List
		err := s.light.do(r.Context(), func(context.Context) error {
			var err error
			got, warnings, err = notation.Read(in.text, in.name)
			for _, p := range got {
				if err == nil {
					err = withinBench(p.Tune)
				}
			}
			return err
		})
		if err != nil {
			return err
		}
		pieces = append(pieces, got...)
		for _, f := range warnings {
			notes = append(notes, f.Error())
		}
		for _, p := range got {
			for _, f := range p.Lost {
				notes = append(notes, f.Error())
			}
		}
	}
	if len(pieces) > maxTunes {
		s.fail(w, r, http.StatusUnprocessableEntity, fmt.Sprintf("There are %d tunes in this; %d at a time are the most.", len(pieces), maxTunes))
		return nil
	}
	var first *studio.Item
	for i := len(pieces) - 1; i >= 0; i-- {
		title := strings.TrimSpace(pieces[i].Tune.Title)
		if title == "" {
			title = "Untitled"
		}
		if len(title) > studio.MaxTitle {
			title = strings.ToValidUTF8(title[:studio.MaxTitle], "")
		}
		it, err := s.studio.Add(r.Context(), studio.Tune, studio.Content{Title: title, Body: pieces[i].ABC}, false)
		if err != nil {
			return err
		}
		first = it
	}
	to := "/tunes"
	if len(pieces) == 1 {
		to = "/tunes/" + first.ID
	}
	if wantsPage(r) {
		http.Redirect(w, r, to, http.StatusSeeOther)
		return nil
	}
	s.json(w, http.StatusCreated, report.BroughtTunes{Go: to, Count: len(pieces), Notes: notes})
	return nil
}

// faultOf gives a fault as a page shows it: a sentence.
func faultOf(f *fault.Fault) report.Fault {
	out := report.FaultOf(f)
	out.Text = sentence(out.Text)
	return out
}

// errorsOf gives an error's faults as a page shows them.
func errorsOf(err error) []report.Fault {
	out := report.Errors(err)
	for i := range out {
		out[i].Text = sentence(out[i].Text)
	}
	return out
}

// checkTune reads a text and says what is wrong in it, without keeping it.
func (s *Site) checkTune(w http.ResponseWriter, r *http.Request) error {
	var ask struct {
		Text string `json:"text"`
	}
	if err := readJSON(r, &ask); err != nil {
		return err
	}
	out := []report.Fault{}
	var warnings fault.List
	err := s.light.do(r.Context(), func(context.Context) error {
		var err error
		_, warnings, err = readTune(ask.Text)
		return err
	})
	if notTheirs(err) {
		return err
	}
	for _, f := range warnings {
		out = append(out, faultOf(f))
	}
	if err != nil {
		out = append(out, errorsOf(err)...)
	}
	s.json(w, http.StatusOK, report.Said{Said: out})
	return nil
}
