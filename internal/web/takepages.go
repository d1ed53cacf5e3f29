package web

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"html/template"
	"io"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"lapwright/internal/review"
	"lapwright/internal/studio"
	"lapwright/internal/take"
	"lapwright/internal/workbench"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/say"
	"lapwright/sheet/draw"
)

// takePages take students' recordings in, and show what was heard.
type takePages struct {
	studio *studio.Studio
	shelf  *shelf
	lists  *lists
	opened *cache[*openedTake] // by item and revision
	heavy  *queue
	now    func() time.Time
}

// takesModel is the takes, and what a new one can be of.
type takesModel struct {
	Takes     []row
	Tunes     []*studio.Heading
	Rigs      []rigOption
	Tune, Rig string // chosen
	HowTo     []bodyHowTo
	Minutes   int // that a take may last,
	Seconds   int // and in seconds
}

// bodyHowTo is how to record one kind of instrument.
type bodyHowTo struct {
	Body  rig.Body
	Lines []string
}

func (p takePages) list(r *http.Request) (page, error) {
	m := takesModel{Tune: r.FormValue("tune"), Rig: r.FormValue("rig"), Minutes: take.MaxSeconds / 60, Seconds: take.MaxSeconds}
	var err error
	if m.Takes, err = p.lists.kind(r.Context(), studio.Take); err != nil {
		return page{}, err
	}
	if m.Tunes, err = p.studio.List(r.Context(), studio.Tune); err != nil {
		return page{}, err
	}
	for _, b := range rig.Bodies() {
		m.HowTo = append(m.HowTo, bodyHowTo{b, workbench.HowToRecord(b)})
	}
	m.Rigs, err = p.shelf.options(r.Context())
	return page{"takes", "Takes", m}, err
}

// add keeps a recording that a page's script sends, with what it is of in the address.
func (p takePages) add(r *http.Request) (any, error) {
	keep, err := p.keeping(r)
	if err != nil {
		return nil, err
	}
	c, err := queued(r.Context(), p.heavy, keep)
	if err != nil {
		return nil, err
	}
	it, err := p.studio.Add(r.Context(), studio.Take, c, false)
	if err != nil {
		return nil, err
	}
	return report.BroughtTake{Go: "/takes/" + it.ID}, nil
}

// keeping reads what was brought: a recording, or a student's saved take, which says itself what it is of.
func (p takePages) keeping(r *http.Request) (func(context.Context) (studio.Content, error), error) {
	if name := r.URL.Query().Get("name"); take.Is(name) {
		b, err := io.ReadAll(r.Body)
		if err != nil {
			return nil, unreadable("the take", err)
		}
		return func(ctx context.Context) (studio.Content, error) {
			return workbench.KeepSaved(ctx, p.studio, b, name)
		}, nil
	}
	brought, err := p.brought(r)
	return func(ctx context.Context) (studio.Content, error) { return workbench.KeepTake(ctx, p.studio, brought) }, err
}

// brought reads a recording and what it is of.
func (p takePages) brought(r *http.Request) (workbench.Brought, error) {
	q := r.URL.Query()
	out := workbench.Brought{Name: q.Get("name"), Ref: q.Get("rig"), Player: q.Get("player"), Tuned: q.Get("tuned"), At: p.now()}
	var err error
	if out.Tune, err = itemAsked(p.studio, r, q.Get("tune"), studio.Tune); err != nil {
		return out, err
	}
	if out.Along, err = alongOf(q.Get("along")); err != nil {
		return out, err
	}
	if out.File, err = io.ReadAll(r.Body); err != nil {
		return out, unreadable("the recording", err)
	}
	return out, nil
}

// alongOf reads what a page sounded while it recorded; nil for "".
func alongOf(text string) (*report.Along, error) {
	if text == "" {
		return nil, nil
	}
	d := json.NewDecoder(strings.NewReader(text))
	d.DisallowUnknownFields()
	a := &report.Along{}
	err := d.Decode(a)
	if err == nil {
		err = a.Check()
	}
	if err != nil {
		return nil, &refusal{http.StatusBadRequest, "what was played along with can't be read: " + err.Error()}
	}
	return a, nil
}

// openedTake is a take with its drawings.
type openedTake struct {
	*workbench.Take
	drawn *review.Review // nil when there is nothing to draw
}

// open hears a take again and draws it. A revision never changes, so that is kept.
func (p takePages) open(ctx context.Context, it *studio.Item) (*openedTake, error) {
	return p.opened.get(ctx, fmt.Sprintf("%s %d", it.ID, it.Revision), func(ctx context.Context) (*openedTake, int64, error) {
		t, err := queued(ctx, p.heavy, func(ctx context.Context) (*openedTake, error) {
			t, err := workbench.OpenTake(ctx, p.studio, it)
			if err != nil || !t.Judged() {
				return &openedTake{Take: t}, err
			}
			drawn, err := t.Drawn(draw.A4)
			return &openedTake{t, drawn}, err
		})
		if err != nil {
			return nil, 0, err
		}
		size := int64(1 << 20)
		if t.drawn != nil {
			size += int64(len(t.drawn.View().Narrow)) * 3
		}
		return t, size, nil
	})
}

// takeModel is what a take's page shows.
type takeModel struct {
	Item    *studio.Item
	Take    *openedTake
	About   string
	Summary string
	Refused string
	Cleared bool
	View    *review.View
	Others  []workbench.Measured // takes of the same tune and rig, the oldest first
	Growth  template.HTML
	State   report.Item
}

func (p takePages) one(r *http.Request) (page, error) {
	it, t, err := p.asked(r)
	if err != nil {
		return page{}, err
	}
	m := takeModel{Item: it, Take: t, About: t.About(), Cleared: t.Reviewed == nil, State: stateOf(it)}
	m.fill(t)
	if m.Others, err = p.others(r.Context(), &t.Kept); err != nil {
		return page{}, err
	}
	m.Growth = template.HTML(workbench.Compare(m.Others))
	return page{"take", it.Title, m}, nil
}

// asked is the take that a request names, heard again.
func (p takePages) asked(r *http.Request) (*studio.Item, *openedTake, error) {
	it, err := askedItem(p.studio, r, studio.Take)
	if err != nil {
		return nil, nil, err
	}
	t, err := p.open(r.Context(), it)
	return it, t, err
}

// fill adds what is drawn and told of a take.
func (m *takeModel) fill(t *openedTake) {
	if t.Reviewed != nil {
		m.Refused = t.Reviewed.Refused
	}
	switch {
	case t.drawn != nil:
		m.Summary, m.View = t.Summary(), t.drawn.View()
	case m.Refused == "": // what was kept
		m.View = review.ViewOf(t.Kept.Review.Advice)
	default:
		m.View = &review.View{}
	}
	m.View.Keep = "/takes/" + m.Item.ID + "/exercise"
}

// others lists the takes of the same tune on the same rig, the oldest first.
func (p takePages) others(ctx context.Context, k *report.KeptTake) ([]workbench.Measured, error) {
	list, err := p.studio.List(ctx, studio.Take)
	if err != nil {
		return nil, err
	}
	var out []workbench.Measured
	for _, h := range list {
		it, err := p.studio.Get(ctx, h.ID)
		if errors.Is(err, studio.ErrNone) {
			continue
		}
		if err != nil {
			return nil, err
		}
		o, err := workbench.ReadTake(it)
		if err != nil || o.Tune != k.Tune || o.Rig != k.Rig || o.Player != k.Player {
			continue
		}
		m, err := workbench.Measure(it)
		if err != nil {
			return nil, err
		}
		out = append(out, m)
	}
	slices.SortStableFunc(out, func(a, b workbench.Measured) int { return cmp.Compare(a.Played, b.Played) })
	return out, nil
}

// sound returns the sound of a take.
func (p takePages) sound(w http.ResponseWriter, r *http.Request) error {
	it, err := askedItem(p.studio, r, studio.Take)
	if err != nil {
		return err
	}
	b, err := workbench.SoundOf(p.studio, it)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", fileTypes["audio.flac"])
	w.Header().Set("Cache-Control", "no-store")
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(b))
	return nil
}

// handout gives the review of a take to print.
func (p takePages) handout(w http.ResponseWriter, r *http.Request) error {
	it, t, err := p.asked(r)
	if err != nil {
		return err
	}
	if t.drawn == nil {
		return &refusal{http.StatusUnprocessableEntity, "There is nothing to print of this take."}
	}
	attachment(w, say.Slug(it.Title)+"-review.pdf", fileTypes["sheet.pdf"])
	writeBytes(w, http.StatusOK, fileTypes["sheet.pdf"], t.drawn.Handout())
	return nil
}

// note keeps what a teacher says of one note.
func (p takePages) note(r *http.Request) (any, error) {
	it, err := askedItem(p.studio, r, studio.Take)
	if err != nil {
		return nil, err
	}
	ask, err := readJSON[report.AskedTakeNote](r)
	if err != nil {
		return nil, err
	}
	said, err := queued(r.Context(), p.heavy, func(ctx context.Context) (*workbench.Said, error) { return workbench.SayOfNote(ctx, p.studio, it, ask) })
	if err != nil {
		return nil, err
	}
	if it, err = p.studio.Save(r.Context(), it.ID, ask.Base, said.Content, said.Why); err != nil {
		return nil, err
	}
	return stateOf(it), nil
}

// exercise keeps the exercise of a piece of advice as a tune.
func (p takePages) exercise(r *http.Request) (string, error) {
	it, err := askedItem(p.studio, r, studio.Take)
	if err != nil {
		return "", err
	}
	n, err := strconv.Atoi(r.FormValue("advice"))
	if err != nil {
		return "", studio.ErrNone
	}
	c, err := workbench.ExerciseOf(it, n)
	if err != nil {
		return "", err
	}
	made, err := p.studio.Add(r.Context(), studio.Tune, c, false)
	if err != nil {
		return "", err
	}
	return "/tunes/" + made.ID, nil
}

// clear deletes the sound of a take for good.
func (p takePages) clear(r *http.Request) (string, error) {
	it, err := askedItem(p.studio, r, studio.Take)
	if err != nil {
		return "", err
	}
	c, err := workbench.ClearTake(p.studio, it)
	if err != nil {
		return "", err
	}
	_, err = p.studio.Save(r.Context(), it.ID, it.Revision, c, "sound cleared")
	return "/takes/" + it.ID, err
}
