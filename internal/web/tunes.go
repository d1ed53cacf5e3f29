package web

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"lapwright/internal/arrange"
	"lapwright/internal/fault"
	"lapwright/internal/lesson"
	"lapwright/internal/notation"
	"lapwright/internal/notation/abc"
	"lapwright/internal/notation/tabtext"
	"lapwright/internal/pitch"
	"lapwright/internal/rig"
	"lapwright/internal/sheet"
	"lapwright/internal/sound"
	"lapwright/internal/studio"
	"lapwright/internal/tab"
	"lapwright/internal/tune"
)

// tuneExtra is what is kept beside a tune's text: how it is shown and played.
type tuneExtra struct {
	Rig    string               `json:"rig,omitempty"`    // shown last
	Beside string               `json:"beside,omitempty"` // shown beside it
	Tempo  int                  `json:"tempo,omitempty"`  // beats a minute in place of the tune's own; 0 leaves it
	Wishes map[string]rigWishes `json:"wishes,omitempty"` // for each rig
}

// rigWishes is what is asked of the arrangement on one rig.
type rigWishes struct {
	Key    string `json:"key,omitempty"`    // tonic, "" leaves it free
	Octave *int   `json:"octave,omitempty"` // nil leaves it free
	Level  string `json:"level,omitempty"`
	Closed bool   `json:"closed,omitempty"`
	Square bool   `json:"square,omitempty"`
	Pins   []pin  `json:"pins,omitempty"`
}

// pin is a choice that was made for one moment.
type pin struct {
	Bar     int            `json:"bar"` // as printed
	At      string         `json:"at"`  // from the start of the bar, a fraction of a whole note
	Grip    [][2]int       `json:"grip"`
	Benders *rig.BenderSet `json:"benders,omitempty"`
	Words   string         `json:"words"`
}

func (p pin) arranged() (arrange.Pin, error) {
	at, err := ticksOf(p.At)
	if err != nil {
		return arrange.Pin{}, err
	}
	out := arrange.Pin{FromBar: p.Bar, At: &at, Benders: p.Benders}
	for _, g := range p.Grip {
		out.Grip = append(out.Grip, arrange.Stop{String: g[0], Fret: g[1]})
	}
	return out, nil
}

func (w rigWishes) options() (arrange.Options, error) {
	o := arrange.Options{Octave: w.Octave, Closed: w.Closed, Square: w.Square}
	if w.Key != "" {
		c, err := pitch.ParseClass(w.Key)
		if err != nil {
			return o, &fault.Fault{Msg: err.Error()}
		}
		o.Key = &c
	}
	if w.Level != "" {
		l, err := arrange.ParseLevel(w.Level)
		if err != nil {
			return o, &fault.Fault{Msg: err.Error()}
		}
		o.Level = l
	}
	for _, p := range w.Pins {
		a, err := p.arranged()
		if err != nil {
			return o, err
		}
		o.Pins = append(o.Pins, a)
	}
	return o, nil
}

func extraOf(it *studio.Item) (tuneExtra, error) {
	var x tuneExtra
	err := json.Unmarshal(it.Extra, &x)
	return x, err
}

// readTune reads a tune as it is kept.
func readTune(body string) (*tune.Tune, fault.List, error) {
	pieces, warnings, err := notation.Read([]byte(body), "tune.abc")
	if err != nil {
		return nil, warnings, err
	}
	return pieces[0].Tune, warnings, nil
}

// tuneOf gives the tune of an item, at the tempo that is kept with it.
func tuneOf(it *studio.Item, x tuneExtra) (*tune.Tune, error) {
	t, _, err := readTune(it.Body)
	if err != nil || x.Tempo == 0 || len(t.Bars) == 0 {
		return t, err
	}
	t = t.Clone()
	for i := range t.Bars {
		t.Bars[i].Tempos = nil
	}
	first := &t.Bars[0]
	first.Tempos = []tune.Tempo{{Beat: first.Meter.Beat(), PerMinute: int64(x.Tempo) * 1000}}
	return t, nil
}

// shownTab is a tune placed on a rig, drawn and timed.
type shownTab struct {
	result *arrange.Result
	Shown  lesson.Shown   `json:"shown"`
	Pages  []string       `json:"pages"`  // SVG
	Narrow string         `json:"narrow"` // SVG for a narrow screen
	About  lesson.Summary `json:"about"`
	tune   *tune.Tune
	rig    *rig.Rig
	wishes arrange.Options
}

// tabKey names a tab by everything that it depends on.
func tabKey(it *studio.Item, r *rig.Rig) string {
	sum := sha256.Sum256([]byte(it.Body + "\x00" + string(it.Extra) + "\x00" + string(rig.Format(r))))
	return hex.EncodeToString(sum[:])
}

// place gives an item's tune on a rig.
func (s *Site) place(ctx context.Context, it *studio.Item, r *rig.Rig) (*shownTab, error) {
	return s.tabs.get(ctx, tabKey(it, r), func() (*shownTab, int64, error) {
		var out *shownTab
		// The work goes on for others who wait for it, whoever asked first.
		err := s.light.do(context.WithoutCancel(ctx), func() error {
			var err error
			out, err = placeNow(it, r)
			return err
		})
		if err != nil {
			return nil, 0, err
		}
		size := int64(64 << 10)
		for _, p := range out.Pages {
			size += int64(4 * len(p))
		}
		return out, size, nil
	})
}

func placeNow(it *studio.Item, r *rig.Rig) (*shownTab, error) {
	x, err := extraOf(it)
	if err != nil {
		return nil, err
	}
	t, err := tuneOf(it, x)
	if err != nil {
		return nil, err
	}
	wishes, err := x.Wishes[r.Name].options()
	if err != nil {
		return nil, err
	}
	res, err := arrange.Arrange(t, r, wishes)
	if err != nil {
		return nil, err
	}
	pages, narrow, err := lesson.Screen(res.Tab, sheet.Options{})
	if err != nil {
		return nil, err
	}
	timing, err := lesson.Timing(res.Tab, sound.Options{})
	if err != nil {
		return nil, err
	}
	out := &shownTab{result: res, Shown: lesson.Show(res.Tab, timing), About: lesson.Summarise(res), Narrow: string(narrow), tune: t, rig: r, wishes: wishes}
	for _, p := range pages {
		out.Pages = append(out.Pages, string(p))
	}
	return out, nil
}

// askedTab is the tab that a request names: /tunes/{id}/…?rig=…&revision=….
func (s *Site) askedTab(r *http.Request) (*studio.Item, *shownTab, error) {
	it, err := s.askedItem(r, studio.Tune)
	if err != nil {
		return nil, nil, err
	}
	g, err := s.findRig(r.Context(), r.FormValue("rig"))
	if err != nil {
		return nil, nil, err
	}
	shown, err := s.place(r.Context(), it, g)
	return it, shown, err
}

// askedItem is the item that a request names, at the revision that it names.
func (s *Site) askedItem(r *http.Request, kind studio.Kind) (*studio.Item, error) {
	id := r.PathValue("id")
	var it *studio.Item
	var err error
	if text := r.FormValue("revision"); text != "" {
		n, bad := strconv.Atoi(text)
		if bad != nil {
			return nil, studio.ErrNone
		}
		it, err = s.studio.GetRevision(r.Context(), id, n)
	} else {
		it, err = s.studio.Get(r.Context(), id)
	}
	if err == nil && it.Kind != kind {
		err = studio.ErrNone
	}
	return it, err
}

// tunesPage lists the tunes.
func (s *Site) tunesPage(w http.ResponseWriter, r *http.Request) {
	list, err := s.studio.List(r.Context(), studio.Tune)
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	s.page(w, r, http.StatusOK, "tunes", "Tunes", s.rows(list))
}

// row is an item in a list, with a line about it.
type row struct {
	*studio.Item
	About string
}

func (s *Site) rows(list []*studio.Item) []row {
	out := make([]row, len(list))
	for i, it := range list {
		out[i] = row{it, s.about(it)}
	}
	return out
}

// about says in a few words what an item is.
func (s *Site) about(it *studio.Item) string {
	switch it.Kind {
	case studio.Tune:
		t, _, err := readTune(it.Body)
		if err != nil {
			return "can't be read yet"
		}
		var parts []string
		if t.Rhythm != "" {
			parts = append(parts, t.Rhythm)
		}
		if len(t.Bars) > 0 {
			parts = append(parts, t.Bars[0].Key.Pretty(), fmt.Sprintf("%d bars", len(t.Bars)))
		}
		return strings.Join(parts, ", ")
	case studio.Rig:
		if r, err := rig.Parse([]byte(it.Body), "rig.toml"); err == nil {
			return r.TuningText()
		}
	case studio.Lesson:
		if b, err := lessonOf(it); err == nil {
			return fmt.Sprintf("%d instruments", len(b.Rigs))
		}
	}
	return ""
}

// tunePage is the workbench for one tune.
func (s *Site) tunePage(w http.ResponseWriter, r *http.Request) {
	it, err := s.askedItem(r, studio.Tune)
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	x, err := extraOf(it)
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	rigs, err := s.rigChoices(r.Context())
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	if x.Rig == "" {
		x.Rig = rigs[0].Ref
	}
	model := map[string]any{
		"Item": it, "Rigs": rigs, "Extra": x, "Keys": keyNames, "Layouts": sheet.Layouts(), "Caution": sound.Caution,
		// What the page's script starts from.
		"State": map[string]any{"id": it.ID, "revision": it.Revision, "title": it.Title, "body": it.Body, "extra": x, "canUndo": it.Parent > 0, "canRedo": it.CanRedo},
	}
	s.page(w, r, http.StatusOK, "tune", it.Title, model)
}

var keyNames = []string{"C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"}

// shown gives a tab as the page's script draws it.
func (s *Site) shown(w http.ResponseWriter, r *http.Request) {
	_, shown, err := s.askedTab(r)
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	s.json(w, http.StatusOK, shown)
}

// choice is another way to play a moment, as the page shows it.
type choice struct {
	Words string  `json:"words"`
	Extra float64 `json:"extra"` // points more than the cheapest way
	Now   bool    `json:"now"`
	Pin   pin     `json:"pin"`
}

// mostChoices is how many ways to play a moment a page is shown.
const mostChoices = 24

// choices gives what else could be played at one stroke of a tab. What is
// pinned there now is left out of account, so that it can be changed.
func (s *Site) choices(w http.ResponseWriter, r *http.Request) {
	_, shown, err := s.askedTab(r)
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	n, err := strconv.Atoi(r.FormValue("stroke"))
	strokes := shown.result.Tab.Strokes
	if err != nil || n < 0 || n >= len(strokes) {
		s.missing(w, r)
		return
	}
	bar, at := shown.result.Tab.Tune.Bars[strokes[n].Bar].Number, strokes[n].At
	wishes := shown.wishes
	wishes.Pins = slices.DeleteFunc(slices.Clone(wishes.Pins), func(p arrange.Pin) bool { return p.FromBar == bar && p.At != nil && *p.At == at })
	var list []arrange.Choice
	err = s.light.do(r.Context(), func() error {
		return safely(func() error {
			var err error
			list, err = arrange.Choices(shown.tune, shown.rig, wishes, bar, at)
			return err
		})
	})
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	out := []choice{}
	for _, c := range list[:min(len(list), mostChoices)] {
		p := pin{Bar: bar, At: at.String(), Benders: c.Pin.Benders, Words: c.Words, Grip: [][2]int{}}
		for _, g := range c.Pin.Grip {
			p.Grip = append(p.Grip, [2]int{g.String, g.Fret})
		}
		out = append(out, choice{c.Words, c.Extra, c.Now, p})
	}
	s.json(w, http.StatusOK, map[string]any{"bar": bar, "at": at.String(), "choices": out})
}

// words tells a tab in plain words, for who can't see the sheet.
func (s *Site) words(w http.ResponseWriter, r *http.Request) {
	_, shown, err := s.askedTab(r)
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	s.json(w, http.StatusOK, map[string]any{"words": sheet.Tell(shown.result.Tab)})
}

// rank says on which rig a tune plays best.
func (s *Site) rank(w http.ResponseWriter, r *http.Request) {
	it, err := s.askedItem(r, studio.Tune)
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	choices, err := s.rigChoices(r.Context())
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	refs := map[*rig.Rig]string{}
	var rigs []*rig.Rig
	for _, c := range choices {
		g, err := s.findRig(r.Context(), c.Ref)
		if err != nil {
			s.trouble(w, r, err)
			return
		}
		refs[g] = c.Ref
		rigs = append(rigs, g)
	}
	x, err := extraOf(it)
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	t, err := tuneOf(it, x)
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	var list []arrange.Ranked
	err = s.light.do(r.Context(), func() error {
		return safely(func() error {
			var err error
			list, err = arrange.Rank(t, rigs, arrange.Options{})
			return err
		})
	})
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	type ranked struct {
		Ref        string   `json:"ref"`
		Title      string   `json:"title"`
		Difficulty float64  `json:"difficulty"`
		Reasons    []string `json:"reasons"`
	}
	out := []ranked{}
	for _, e := range list {
		out = append(out, ranked{refs[e.Rig], e.Rig.Title, lesson.Summarise(e.Result).Difficulty, e.Reasons})
	}
	s.json(w, http.StatusOK, map[string]any{"ranked": out})
}

// addNote adds the note under a touch of the neck to a tune's text.
func (s *Site) addNote(w http.ResponseWriter, r *http.Request) {
	var ask struct {
		Text   string `json:"text"`
		Rig    string `json:"rig"`
		String int    `json:"string"`
		Fret   int    `json:"fret"`
		Length string `json:"length"` // a fraction of a whole note
		Higher int    `json:"higher"` // octaves above what the string sounds
	}
	if err := json.NewDecoder(r.Body).Decode(&ask); err != nil {
		s.trouble(w, r, err)
		return
	}
	g, err := s.findRig(r.Context(), ask.Rig)
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	length, err := ticksOf(ask.Length)
	if err != nil || ask.String < 1 || ask.String > len(g.Strings) || ask.Fret < 0 || ask.Fret > g.Frets || ask.Higher < -3 || ask.Higher > 3 {
		s.fail(w, r, http.StatusUnprocessableEntity, "That is no place on this instrument.")
		return
	}
	var text string
	err = safely(func() error {
		fifths := 0
		if t, _, err := readTune(ask.Text); err == nil && len(t.Bars) > 0 {
			fifths = t.Bars[len(t.Bars)-1].Key.Fifths()
		}
		var err error
		text, err = notation.Append(ask.Text, pitch.SpellKey(g.OpenKey(ask.String, 0)+ask.Fret+12*ask.Higher, fifths), length)
		return err
	})
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	s.json(w, http.StatusOK, map[string]any{"text": text})
}

// readTab reads a tab that was typed, and says how to keep it: the tune that it
// plays as text, and the wishes that make the arranger play it so.
func (s *Site) readTab(w http.ResponseWriter, r *http.Request) {
	var ask struct {
		Text string `json:"text"`
		Rig  string `json:"rig"`
	}
	if err := json.NewDecoder(r.Body).Decode(&ask); err != nil {
		s.trouble(w, r, err)
		return
	}
	g, err := s.findRig(r.Context(), ask.Rig)
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	out := map[string]any{}
	var list []said
	err = safely(func() error {
		t, faults, err := tabtext.Parse([]byte(ask.Text), "tab", g)
		for _, f := range faults {
			list = append(list, said{max(f.Line, 1), f.Col, sentence(f.Msg), false})
		}
		if err != nil {
			list = append(list, saidOf(err)...)
			return nil
		}
		body, lost := abc.Write(t.Tune)
		for _, f := range lost {
			list = append(list, said{1, 1, sentence(f.Error()), false})
		}
		out["body"], out["wishes"], out["name"] = string(body), wishesOf(t), g.Name
		return nil
	})
	if err != nil {
		list = append(list, saidOf(err)...)
	}
	out["said"] = list
	s.json(w, http.StatusOK, out)
}

// wishesOf gives the wishes under which the arranger plays a tab's tune exactly
// as the tab does: its key, no change of octave, and every stroke pinned.
func wishesOf(t *tab.Tab) rigWishes {
	as := 0
	out := rigWishes{Octave: &as}
	if len(t.Tune.Bars) > 0 {
		out.Key = t.Tune.Bars[0].Key.Tonic.String()
	}
	for i := range t.Strokes {
		st := &t.Strokes[i]
		p := pin{Bar: t.Tune.Bars[st.Bar].Number, At: st.At.String(), Benders: &st.Benders, Words: "as typed"}
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

// sound gives a tab's recording.
func (s *Site) sound(w http.ResponseWriter, r *http.Request) {
	it, shown, err := s.askedTab(r)
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	b, err := s.sounds.get(r.Context(), tabKey(it, shown.rig), func() ([]byte, int64, error) {
		var out []byte
		err := s.heavy.do(context.WithoutCancel(r.Context()), func() error {
			stems, err := sound.RenderStems(shown.result.Tab, sound.Options{})
			if err == nil {
				out, err = sound.Opus(stems.Lead)
			}
			return err
		})
		return out, int64(len(out)), err
	})
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	w.Header().Set("Content-Type", "audio/ogg")
	w.Header().Set("Cache-Control", "no-store")
	w.Write(b)
}

// fileTypes are the media types of what a tab is written as.
var fileTypes = map[string]string{
	"sheet.pdf": "application/pdf", "sheet.svg": "image/svg+xml", "tab.txt": "text/plain; charset=utf-8",
	"tab.musicxml": "application/vnd.recordare.musicxml+xml", "tab.mid": "audio/midi", "audio.wav": "audio/wav",
}

// tuneFile gives one file of a tab, as a lesson would hold it.
func (s *Site) tuneFile(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("name")
	kind, ok := fileTypes[name]
	if !ok {
		s.missing(w, r)
		return
	}
	it, shown, err := s.askedTab(r)
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	var made *lesson.Lesson
	err = s.heavy.do(r.Context(), func() error {
		return safely(func() error {
			var err error
			made, err = lesson.Make(r.Context(), lesson.Plan{
				Tune: shown.tune, Rigs: []*rig.Rig{shown.rig}, Silent: name != "audio.wav",
				Arrange: map[string]arrange.Options{shown.rig.Name: shown.wishes},
				Sheet:   sheet.Options{Paper: sheet.Paper(r.FormValue("paper")), Layout: sheet.Layout(r.FormValue("layout"))},
			}, nil)
			return err
		})
	})
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	b, err := made.File(shown.rig.Name + "/" + name)
	if err != nil {
		s.trouble(w, r, err)
		return
	}
	attachment(w, studio.Slug(it.Title)+"-"+shown.rig.Name+name[strings.LastIndexByte(name, '.'):], kind)
	w.Write(b)
}

// mostTunes is the most tunes that one import takes in.
const mostTunes = 500

// importTunes takes the tunes of dropped files, or a new one that was typed.
func (s *Site) importTunes(w http.ResponseWriter, r *http.Request) {
	type input struct {
		name string
		text []byte
	}
	var inputs []input
	if strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/form-data") {
		if err := r.ParseMultipartForm(mostForm); err != nil {
			s.trouble(w, r, err)
			return
		}
		for _, h := range r.MultipartForm.File["file"] {
			f, err := h.Open()
			if err != nil {
				s.trouble(w, r, err)
				return
			}
			b, err := io.ReadAll(f)
			f.Close()
			if err != nil {
				s.trouble(w, r, err)
				return
			}
			inputs = append(inputs, input{h.Filename, b})
		}
	}
	if text := r.FormValue("text"); text != "" {
		inputs = append(inputs, input{"typed.abc", []byte(text)})
	}
	if len(inputs) == 0 {
		s.fail(w, r, http.StatusBadRequest, "Choose a file first.")
		return
	}
	var pieces []notation.Piece
	var notes []string
	for _, in := range inputs {
		var got []notation.Piece
		var warnings fault.List
		err := safely(func() error {
			var err error
			got, warnings, err = notation.Read(in.text, in.name)
			return err
		})
		if err != nil {
			s.trouble(w, r, err)
			return
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
	if len(pieces) > mostTunes {
		s.fail(w, r, http.StatusUnprocessableEntity, fmt.Sprintf("There are %d tunes in this; %d at a time are the most.", len(pieces), mostTunes))
		return
	}
	var first *studio.Item
	for i := len(pieces) - 1; i >= 0; i-- {
		title := strings.TrimSpace(pieces[i].Tune.Title)
		if title == "" {
			title = "Untitled"
		}
		if len(title) > studio.MostTitle {
			title = strings.ToValidUTF8(title[:studio.MostTitle], "")
		}
		it, err := s.studio.Add(r.Context(), studio.Tune, studio.Content{Title: title, Body: pieces[i].ABC}, false)
		if err != nil {
			s.trouble(w, r, err)
			return
		}
		first = it
	}
	to := "/tunes"
	if len(pieces) == 1 {
		to = "/tunes/" + first.ID
	}
	if wantsPage(r) {
		http.Redirect(w, r, to, http.StatusSeeOther)
		return
	}
	s.json(w, http.StatusCreated, map[string]any{"go": to, "count": len(pieces), "notes": notes})
}

// said is one fault in a text, for the editor.
type said struct {
	Line    int    `json:"line"`
	Col     int    `json:"col"`
	Message string `json:"message"`
	Error   bool   `json:"error"`
}

// checkTune reads a text and says what is wrong in it, without keeping it.
func (s *Site) checkTune(w http.ResponseWriter, r *http.Request) {
	var ask struct {
		Text string `json:"text"`
	}
	if err := json.NewDecoder(r.Body).Decode(&ask); err != nil {
		s.trouble(w, r, err)
		return
	}
	out := []said{}
	var warnings fault.List
	err := safely(func() error {
		var err error
		_, warnings, err = readTune(ask.Text)
		return err
	})
	for _, f := range warnings {
		out = append(out, said{f.Line, f.Col, sentence(f.Msg), false})
	}
	var one *fault.Fault
	switch {
	case errors.As(err, &one):
		out = append(out, said{one.Line, one.Col, sentence(one.Msg), true})
	case err != nil:
		out = append(out, said{1, 1, sentence(err.Error()), true})
	}
	s.json(w, http.StatusOK, map[string]any{"said": out})
}
