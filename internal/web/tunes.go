package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"lapwright/arrange"
	"lapwright/arrange/rank"
	"lapwright/internal/lesson"
	"lapwright/internal/studio"
	"lapwright/report"
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
	rows, err := s.rows(r.Context(), list)
	if err != nil {
		return err
	}
	s.page(w, r, http.StatusOK, "tunes", "Tunes", map[string]any{"Rows": rows, "Rigs": rigs, "Keys": beginKeys, "Meters": beginMeters})
	return nil
}

// row is an item in a list, with a line about it.
type row struct {
	*studio.Heading
	About string
}

func (s *Site) rows(ctx context.Context, list []*studio.Heading) ([]row, error) {
	out := make([]row, len(list))
	for i, h := range list {
		about, err := s.about(ctx, h)
		if err != nil && !errors.Is(err, studio.ErrNone) { // it may have gone meanwhile
			return nil, err
		}
		out[i] = row{h, about}
	}
	return out, nil
}

// maxRead is the largest item that a list reads to say what it is, in bytes. A
// tune of 32 bars takes about 500.
const maxRead = 16 << 10

// about says in a few words what an item is. A revision never changes, so the
// words are kept.
func (s *Site) about(ctx context.Context, h *studio.Heading) (string, error) {
	switch {
	case h.Kind == studio.Grip:
		return "", nil
	case h.Size > maxRead:
		return fmt.Sprintf("long, %d KB of text", h.Size>>10), nil
	}
	return s.abouts.get(ctx, fmt.Sprintf("%s %d", h.ID, h.Revision), func(ctx context.Context) (string, int64, error) {
		it, err := s.studio.GetRevision(ctx, h.ID, h.Revision)
		if err != nil {
			return "", 0, err
		}
		about := aboutItem(it)
		return about, int64(len(about)) + 200, nil // with what the cache itself needs
	})
}

func aboutItem(it *studio.Item) string {
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
			parts = append(parts, t.Bars[0].Key.Pretty(), say.Count(t.CountBars(), "bar"))
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
	x, left, err := extraOf(it)
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
	gone, err := s.goneRig(r.Context(), x.Rig, rigs)
	if err != nil {
		return err
	}
	model := map[string]any{
		"Item": it, "Rigs": rigs, "Extra": x, "Gone": gone, "Left": left, "Keys": keyNames, "Layouts": sheet.Layouts(), "Caution": sound.Caution,
		// What the page's script starts from.
		"State": map[string]any{"id": it.ID, "revision": it.Revision, "title": it.Title, "body": it.Body, "extra": x, "canUndo": it.Parent > 0, "canRedo": it.CanRedo},
	}
	s.page(w, r, http.StatusOK, "tune", it.Title, model)
	return nil
}

// goneRig is a rig that a tune asks for and that can't be chosen any more.
type goneRig struct {
	ID, Title string // Title is "" when it is not in the trash either
	Instead   string // the title of the one that is shown
}

// goneRig tells what became of a rig that is not among those to choose from;
// nil when it is.
func (s *Site) goneRig(ctx context.Context, ref string, rigs []rigChoice) (*goneRig, error) {
	if slices.ContainsFunc(rigs, func(c rigChoice) bool { return c.Ref == ref }) {
		return nil, nil
	}
	out := &goneRig{ID: ref, Instead: rigs[0].Title}
	trash, err := s.studio.Trash(ctx)
	if err != nil {
		return nil, err
	}
	for _, h := range trash {
		if h.ID == ref && h.Kind == studio.Rig {
			out.Title = h.Title
		}
	}
	return out, nil
}

var keyNames = []string{"C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"}

// at gives what is answered of a tab: which revision it is of.
func (t *shownTab) at(revision int) *report.Placed {
	out := t.Placed
	out.Revision = revision
	return &out
}

// shown gives a tab as the page's script draws it.
func (s *Site) shown(w http.ResponseWriter, r *http.Request) error {
	it, err := s.askedItem(r, studio.Tune)
	if err != nil {
		return err
	}
	g, err := s.findRig(r.Context(), r.FormValue("rig"))
	if err != nil {
		return err
	}
	shown, err := s.place(r.Context(), it, g)
	if err == nil {
		s.json(w, http.StatusOK, shown.at(it.Revision))
		return nil
	}
	if statusOf(err) != http.StatusUnprocessableEntity {
		return err
	}
	if t := blankTune(it.Body); t != nil {
		s.json(w, http.StatusOK, showBlank(t, g))
		return nil
	}
	if good := s.lastGood(r.Context(), it, g); good != nil {
		good.Trouble = inWords(err)
		s.json(w, http.StatusOK, good)
		return nil
	}
	return err
}

// maxBack is how many revisions are looked back for one that can be shown.
const maxBack = 8

// lastGood gives the tab of the nearest revision before an item that can be
// played, nil when there is none.
func (s *Site) lastGood(ctx context.Context, it *studio.Item, g *rig.Rig) *report.Placed {
	for range maxBack {
		if it.Parent == 0 {
			return nil
		}
		before, err := s.studio.GetRevision(ctx, it.ID, it.Parent)
		if err != nil {
			return nil
		}
		it = before
		shown, err := s.place(ctx, it, g)
		switch {
		case err == nil:
			return shown.at(it.Revision)
		case notTheirs(err):
			return nil
		}
	}
	return nil
}

// maxChoices is how many ways to play a moment a page is shown.
const maxChoices = 24

// choices gives what else could be played at one stroke of a tab. What is
// pinned there now is left out of account, so that it can be changed.
func (s *Site) choices(w http.ResponseWriter, r *http.Request) error {
	_, shown, err := s.askedTab(r)
	if err != nil {
		return err
	}
	n, err := readNumber(r, "stroke")
	if err != nil {
		return err
	}
	strokes := shown.result.Tab.Strokes
	if n < 0 || n >= len(strokes) {
		return errNowhere
	}
	bar, at := shown.result.Tab.Tune.Place(strokes[n].Bar, strokes[n].At)
	wishes := shown.wishes
	in := shown.result.Setting()
	wishes.In = &in // what is asked is asked of the tab that is seen
	wishes.Pins = slices.DeleteFunc(slices.Clone(wishes.Pins), func(p arrange.Pin) bool { return p.FromBar == bar && p.At != nil && *p.At == at })
	var list []arrange.Choice
	err = s.light.do(r.Context(), func(ctx context.Context) error {
		var err error
		list, err = arrange.Choices(ctx, shown.tune, shown.rig, wishes, bar, at)
		return err
	})
	if err != nil {
		return err
	}
	out := report.Choices{Bar: bar, At: at.String(), Choices: []report.Choice{}}
	for _, c := range list[:min(len(list), maxChoices)] {
		out.Choices = append(out.Choices, report.Choice{MomentWay: report.MomentWayOf(&c), Pin: pinOf(shown.rig, &c)})
	}
	s.json(w, http.StatusOK, out)
	return nil
}

// words tells a tab in plain words, for who can't see the sheet.
func (s *Site) words(w http.ResponseWriter, r *http.Request) error {
	_, shown, err := s.askedTab(r)
	if err != nil {
		return err
	}
	s.json(w, http.StatusOK, report.Words{Words: say.Tell(shown.result.Tab)})
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
	x, _, err := extraOf(it)
	if err != nil {
		return err
	}
	var list []rank.Ranked
	err = s.light.do(r.Context(), func(ctx context.Context) error {
		t, err := benchTune(it, x)
		if err == nil {
			list, err = rank.Rigs(ctx, t, rigs, arrange.Options{})
		}
		return err
	})
	if err != nil {
		return err
	}
	out := report.Ranking{Ranked: []report.Ranked{}}
	for i := range list {
		out.Ranked = append(out.Ranked, report.RankedOf(refs[list[i].Rig], &list[i]))
	}
	s.json(w, http.StatusOK, out)
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
		err := s.heavy.do(ctx, func(ctx context.Context) error {
			stems, err := sound.RenderStems(shown.result.Tab, sound.Options{Progress: func(float64) bool { return ctx.Err() == nil }})
			if errors.Is(err, sound.ErrStopped) {
				return ctx.Err()
			}
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
		return errNowhere
	}
	it, shown, err := s.askedTab(r)
	if err != nil {
		return err
	}
	var made *lesson.Lesson
	err = s.heavy.do(r.Context(), func(ctx context.Context) error {
		var err error
		made, err = lesson.Make(ctx, lesson.Plan{
			Tune: shown.tune, Rigs: []*rig.Rig{shown.rig}, Silent: name != "audio.wav",
			Arrange: map[string]arrange.Options{shown.rig.Name: shown.wishes},
			Sheet:   sheet.Options{Paper: draw.Paper(r.FormValue("paper")), Layout: sheet.Layout(r.FormValue("layout"))},
		}, nil)
		return err
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
