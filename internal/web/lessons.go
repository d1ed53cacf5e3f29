package web

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"slices"

	"lapwright/arrange"
	"lapwright/fault"
	"lapwright/internal/lesson"
	"lapwright/internal/studio"
	"lapwright/report"
	"lapwright/sheet"
	"lapwright/sheet/draw"
)

func lessonOf(it *studio.Item) (report.LessonPlan, error) {
	var b report.LessonPlan
	return b, readKept([]byte(it.Body), "this lesson", &b)
}

func (s *Site) lessonsPage(w http.ResponseWriter, r *http.Request) error {
	list, err := s.studio.List(r.Context(), studio.Lesson)
	if err != nil {
		return err
	}
	tunes, err := s.studio.List(r.Context(), studio.Tune)
	if err != nil {
		return err
	}
	rows, err := s.rows(r.Context(), list)
	if err != nil {
		return err
	}
	s.page(w, r, http.StatusOK, "lessons", "Lessons", map[string]any{"Lessons": rows, "Tunes": tunes})
	return nil
}

// addLesson begins a lesson on a tune.
func (s *Site) addLesson(w http.ResponseWriter, r *http.Request) error {
	it, err := s.studio.Get(r.Context(), r.FormValue("tune"))
	if err == nil && it.Kind != studio.Tune {
		err = studio.ErrNone
	}
	if err != nil {
		return err
	}
	x, _, err := extraOf(it)
	if err != nil {
		return err
	}
	b := report.LessonPlan{Tune: it.ID, Rigs: []string{}}
	for _, ref := range []string{r.FormValue("rig"), x.Rig, x.Beside} {
		if ref != "" && !slices.Contains(b.Rigs, ref) {
			b.Rigs = append(b.Rigs, ref)
		}
	}
	body, err := json.Marshal(b)
	if err != nil {
		return err
	}
	made, err := s.studio.Add(r.Context(), studio.Lesson, studio.Content{Title: it.Title, Body: string(body)}, false)
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/lessons/"+made.ID, http.StatusSeeOther)
	return nil
}

func (s *Site) lessonPage(w http.ResponseWriter, r *http.Request) error {
	it, err := s.askedItem(r, studio.Lesson)
	if err != nil {
		return err
	}
	b, err := lessonOf(it)
	if err != nil {
		return err
	}
	tunes, err := s.studio.List(r.Context(), studio.Tune)
	if err != nil {
		return err
	}
	rigs, err := s.rigChoices(r.Context())
	if err != nil {
		return err
	}
	type choice struct {
		rigChoice
		Chosen bool
	}
	var choices []choice
	for _, c := range rigs {
		choices = append(choices, choice{c, slices.Contains(b.Rigs, c.Ref)})
	}
	s.page(w, r, http.StatusOK, "lesson", it.Title, map[string]any{
		"Item": it, "Body": b, "Tunes": tunes, "Rigs": choices,
		"State": map[string]any{"id": it.ID, "revision": it.Revision, "title": it.Title, "body": it.Body, "extra": it.Extra, "canUndo": it.Parent > 0, "canRedo": it.CanRedo},
	})
	return nil
}

// plan gathers what a lesson is to be made of, and says which pins sleep in it.
func (s *Site) plan(ctx context.Context, it *studio.Item) (lesson.Plan, []string, error) {
	b, err := lessonOf(it)
	if err != nil {
		return lesson.Plan{}, nil, err
	}
	t, err := s.studio.Get(ctx, b.Tune)
	if errors.Is(err, studio.ErrNone) {
		return lesson.Plan{}, nil, &fault.Fault{Msg: "the tune of this lesson is gone; choose another"}
	}
	if err != nil {
		return lesson.Plan{}, nil, err
	}
	x, _, err := extraOf(t)
	if err != nil {
		return lesson.Plan{}, nil, err
	}
	p := lesson.Plan{Title: it.Title, Words: b.Words, Arrange: map[string]arrange.Options{}, Sheet: sheet.Options{Paper: draw.Paper(b.Paper)}}
	if p.Tune, err = benchTune(t, x); err != nil {
		return p, nil, err
	}
	asleep := []string{}
	for _, ref := range b.Rigs {
		g, err := s.findRig(ctx, ref)
		if err != nil {
			return p, nil, err
		}
		p.Rigs = append(p.Rigs, g)
		for _, words := range asleepOf(x.Wishes[g.Name], g) {
			asleep = append(asleep, g.Title+", "+words)
		}
		if p.Arrange[g.Name], err = optionsOf(x.Wishes[g.Name], g); err != nil {
			return p, nil, err
		}
	}
	if minutes := minutesOf(p.Tune) * float64(len(p.Rigs)); minutes > maxLesson {
		return p, nil, &refusal{http.StatusUnprocessableEntity, fmt.Sprintf("this lesson has %.0f minutes of sound on its %d instruments, and the workbench makes up to %d: choose fewer instruments, or use lapwright lesson on the command line", minutes, len(p.Rigs), maxLesson)}
	}
	return p, asleep, nil
}

// maxLesson is how many minutes of sound a lesson may have on all its
// instruments together; each takes about 12 MB while it is made.
const maxLesson = 60

// makeLesson begins the work on a lesson's zip and says where to follow it.
func (s *Site) makeLesson(w http.ResponseWriter, r *http.Request) error {
	it, err := s.askedItem(r, studio.Lesson)
	if err != nil {
		return err
	}
	p, asleep, err := s.plan(r.Context(), it)
	if err != nil {
		return err
	}
	name := studio.Slug(it.Title)
	j, err := s.jobs.start(visitorOf(r.Context()), name+".zip", "application/zip", func(ctx context.Context, tell func(int, int, string), out io.Writer) error {
		made, err := lesson.Make(ctx, p, tell)
		if err != nil {
			return err
		}
		return made.WriteZip(out, name, s.options.Now())
	})
	if err != nil {
		return err
	}
	s.json(w, http.StatusAccepted, report.LessonJob{Progress: "/jobs/" + j.id + "/progress", File: "/jobs/" + j.id + "/file", Cancel: "/jobs/" + j.id + "/cancel", Asleep: asleep})
	return nil
}

// lessonPreview shows the page that students get. It brings its own
// Content-Security-Policy: its script and style stand inside it.
func (s *Site) lessonPreview(w http.ResponseWriter, r *http.Request) error {
	it, err := s.askedItem(r, studio.Lesson)
	if err != nil {
		return err
	}
	p, _, err := s.plan(r.Context(), it)
	if err != nil {
		return err
	}
	var page []byte
	var policy string
	err = s.heavy.do(r.Context(), func(ctx context.Context) error {
		made, err := lesson.Make(ctx, p, nil)
		if err != nil {
			return err
		}
		policy = made.Policy()
		page, err = made.Page(false)
		return err
	})
	if err != nil {
		return err
	}
	w.Header().Set("Content-Security-Policy", policy+"; frame-ancestors 'none'; sandbox allow-scripts allow-modals")
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	if r.FormValue("keep") != "" {
		attachment(w, studio.Slug(it.Title)+".html", "text/html; charset=utf-8")
	}
	w.Write(page)
	return nil
}
