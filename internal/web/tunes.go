package web

import (
	"context"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"lapwright/arrange"
	"lapwright/internal/lesson"
	"lapwright/internal/studio"
	"lapwright/rig"
	"lapwright/say"
	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/sound"
	"lapwright/sound/opus"
)

// tunesPage lists the tunes.
func (s *Site) tunesPage(w http.ResponseWriter, r *http.Request) error {
	list, err := s.studio.List(r.Context(), studio.Tune)
	if err != nil {
		return err
	}
	rigs, err := s.rigChoices(r.Context())
	if err != nil {
		return err
	}
	s.page(w, r, http.StatusOK, "tunes", "Tunes", map[string]any{"Rows": s.rows(list), "Rigs": rigs, "Keys": beginKeys, "Meters": beginMeters})
	return nil
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
		if err != nil && blankTune(it.Body) != nil {
			return "no notes yet"
		}
		if err != nil {
			return "can't be read yet"
		}
		var parts []string
		if t.Rhythm != "" {
			parts = append(parts, t.Rhythm)
		}
		if len(t.Bars) > 0 {
			parts = append(parts, t.Bars[0].Key.Pretty(), say.Count(len(t.Bars), "bar"))
		}
		return strings.Join(parts, ", ")
	case studio.Rig:
		if r, err := rig.Parse([]byte(it.Body), "rig.toml"); err == nil {
			return r.PrettyTuning()
		}
	case studio.Lesson:
		if b, err := lessonOf(it); err == nil {
			return say.Count(len(b.Rigs), "instrument")
		}
	}
	return ""
}

// tunePage is the workbench for one tune.
func (s *Site) tunePage(w http.ResponseWriter, r *http.Request) error {
	it, err := s.askedItem(r, studio.Tune)
	if err != nil {
		return err
	}
	x, err := extraOf(it)
	if err != nil {
		return err
	}
	rigs, err := s.rigChoices(r.Context())
	if err != nil {
		return err
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
	return nil
}

var keyNames = []string{"C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"}

// shown gives a tab as the page's script draws it.
func (s *Site) shown(w http.ResponseWriter, r *http.Request) error {
	it, shown, err := s.askedTab(r)
	if err == nil {
		s.json(w, http.StatusOK, shown)
		return nil
	}
	if it != nil {
		if t := blankTune(it.Body); t != nil {
			if g, bad := s.findRig(r.Context(), r.FormValue("rig")); bad == nil {
				s.json(w, http.StatusOK, showBlank(t, g))
				return nil
			}
		}
	}
	return err
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
func (s *Site) choices(w http.ResponseWriter, r *http.Request) error {
	_, shown, err := s.askedTab(r)
	if err != nil {
		return err
	}
	n, err := strconv.Atoi(r.FormValue("stroke"))
	strokes := shown.result.Tab.Strokes
	if err != nil || n < 0 || n >= len(strokes) {
		s.missing(w, r)
		return nil
	}
	bar, at := shown.result.Tab.Tune.Place(strokes[n].Bar, strokes[n].At)
	wishes := shown.wishes
	wishes.Pins = slices.DeleteFunc(slices.Clone(wishes.Pins), func(p arrange.Pin) bool { return p.FromBar == bar && p.At != nil && *p.At == at })
	var list []arrange.Choice
	err = s.light.do(r.Context(), func() error {
		return safely(func() error {
			var err error
			list, err = arrange.Choices(r.Context(), shown.tune, shown.rig, wishes, bar, at)
			return err
		})
	})
	if err != nil {
		return err
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
	return nil
}

// words tells a tab in plain words, for who can't see the sheet.
func (s *Site) words(w http.ResponseWriter, r *http.Request) error {
	_, shown, err := s.askedTab(r)
	if err != nil {
		return err
	}
	s.json(w, http.StatusOK, map[string]any{"words": say.Tell(shown.result.Tab)})
	return nil
}

// rank says on which rig a tune plays best.
func (s *Site) rank(w http.ResponseWriter, r *http.Request) error {
	it, err := s.askedItem(r, studio.Tune)
	if err != nil {
		return err
	}
	choices, err := s.rigChoices(r.Context())
	if err != nil {
		return err
	}
	refs := map[*rig.Rig]string{}
	var rigs []*rig.Rig
	for _, c := range choices {
		g, err := s.findRig(r.Context(), c.Ref)
		if err != nil {
			return err
		}
		refs[g] = c.Ref
		rigs = append(rigs, g)
	}
	x, err := extraOf(it)
	if err != nil {
		return err
	}
	t, err := tuneOf(it, x)
	if err != nil {
		return err
	}
	var list []arrange.Ranked
	err = s.light.do(r.Context(), func() error {
		return safely(func() error {
			var err error
			list, err = arrange.Rank(r.Context(), t, rigs, arrange.Options{})
			return err
		})
	})
	if err != nil {
		return err
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
	return nil
}

// sound gives a tab's recording.
func (s *Site) sound(w http.ResponseWriter, r *http.Request) error {
	it, shown, err := s.askedTab(r)
	if err != nil {
		return err
	}
	b, err := s.sounds.get(r.Context(), tabKey(it, shown.rig), func(ctx context.Context) ([]byte, int64, error) {
		var out []byte
		err := s.heavy.do(ctx, func() error {
			stems, err := sound.RenderStems(shown.result.Tab, sound.Options{Progress: func(float64) bool { return ctx.Err() == nil }})
			if err == nil {
				out, err = opus.Write(stems.Lead)
			}
			return err
		})
		return out, int64(len(out)), err
	})
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "audio/ogg")
	w.Header().Set("Cache-Control", "no-store")
	w.Write(b)
	return nil
}

// fileTypes are the media types of what a tab is written as.
var fileTypes = map[string]string{
	"sheet.pdf": "application/pdf", "sheet.svg": "image/svg+xml", "tab.txt": "text/plain; charset=utf-8",
	"tab.musicxml": "application/vnd.recordare.musicxml+xml", "tab.mid": "audio/midi", "audio.wav": "audio/wav",
}

// tuneFile gives one file of a tab, as a lesson would hold it.
func (s *Site) tuneFile(w http.ResponseWriter, r *http.Request) error {
	name := r.PathValue("name")
	kind, ok := fileTypes[name]
	if !ok {
		s.missing(w, r)
		return nil
	}
	it, shown, err := s.askedTab(r)
	if err != nil {
		return err
	}
	var made *lesson.Lesson
	err = s.heavy.do(r.Context(), func() error {
		return safely(func() error {
			var err error
			made, err = lesson.Make(r.Context(), lesson.Plan{
				Tune: shown.tune, Rigs: []*rig.Rig{shown.rig}, Silent: name != "audio.wav",
				Arrange: map[string]arrange.Options{shown.rig.Name: shown.wishes},
				Sheet:   sheet.Options{Paper: draw.Paper(r.FormValue("paper")), Layout: sheet.Layout(r.FormValue("layout"))},
			}, nil)
			return err
		})
	})
	if err != nil {
		return err
	}
	b, err := made.File(shown.rig.Name + "/" + name)
	if err != nil {
		return err
	}
	attachment(w, studio.Slug(it.Title)+"-"+shown.rig.Name+name[strings.LastIndexByte(name, '.'):], kind)
	w.Write(b)
	return nil
}
