package workbench

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"

	"lapwright/arrange"
	"lapwright/fault"
	"lapwright/feel"
	"lapwright/internal/lesson"
	"lapwright/internal/studio"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/sheet"
	"lapwright/sheet/draw"
)

// ReadLesson reads a lesson's item.
func ReadLesson(it *studio.Item) (report.LessonPlan, error) {
	var b report.LessonPlan
	return b, readKept([]byte(it.Body), "this lesson", &b)
}

// lessonContent returns a lesson as its item holds it.
func lessonContent(title string, b *report.LessonPlan) (studio.Content, error) {
	body, err := json.Marshal(b)
	return studio.Content{Title: title, Body: string(body)}, err
}

// BeginLesson returns a lesson on a tune: on one rig, when ref names it, and on
// those that the tune was shown on last.
func BeginLesson(tune *studio.Item, ref string) (studio.Content, error) {
	x, _, err := ReadSettings(tune)
	if err != nil {
		return studio.Content{}, err
	}
	b := report.LessonPlan{Tune: tune.ID, Rigs: []string{}}
	for _, ref := range []string{ref, x.Rig, x.Beside} {
		if ref != "" && !slices.Contains(b.Rigs, ref) {
			b.Rigs = append(b.Rigs, ref)
		}
	}
	return lessonContent(tune.Title, &b)
}

// maxLesson is how many minutes of sound a lesson may have on all its
// instruments together; each takes about 12 MB while it is made.
const maxLesson = 60

// PlanLesson gathers what a lesson is to be made of, and says which pins sleep in
// it.
func PlanLesson(ctx context.Context, st *studio.Studio, it *studio.Item) (lesson.Plan, []string, error) {
	var none lesson.Plan
	b, err := ReadLesson(it)
	if err != nil {
		return none, nil, err
	}
	t, err := st.Get(ctx, b.Tune)
	if errors.Is(err, studio.ErrNone) {
		return none, nil, &fault.Fault{Msg: "the tune of this lesson is gone; choose another"}
	}
	if err != nil {
		return none, nil, err
	}
	x, _, err := ReadSettings(t)
	if err != nil {
		return none, nil, err
	}
	p := lesson.Plan{ID: it.ID, Title: it.Title, Words: b.Words, Arrange: map[string]arrange.Options{}, Parts: map[string]lesson.Parts{}, Feels: map[string]*feel.Feel{}, Sheet: sheet.Options{Paper: draw.Paper(b.Paper), StringOneLow: b.StringOneLow, LeftHanded: b.LeftHanded}}
	if p.Sheet.Layout, err = layoutOf(b.Layout); err != nil {
		return none, nil, err
	}
	var before int
	if p.Tune, before, err = tuneOf(t, x); err != nil {
		return none, nil, err
	}
	asleep := []string{}
	for _, ref := range b.Rigs {
		g, err := FindRig(ctx, st, ref)
		if err != nil {
			return none, nil, err
		}
		slept, err := planPart(&p, x, g, before, b.Backup)
		if err != nil {
			return none, nil, err
		}
		asleep = append(asleep, slept...)
	}
	sounds := len(p.Rigs)
	for _, parts := range p.Parts {
		if parts == lesson.BothParts {
			sounds++
		}
	}
	if minutes := minutesOf(p.Tune) * float64(sounds); minutes > maxLesson {
		return none, nil, &fault.Fault{Msg: fmt.Sprintf("this lesson has %.0f minutes of sound on its %d instruments, and the workbench makes up to %d: choose fewer instruments, or use lapwright lesson on the command line", minutes, len(p.Rigs), maxLesson)}
	}
	return p, asleep, nil
}

// planPart adds a rig to a plan, with what is wished on it and, where it is asked for,
// with what accompanies beside the tune, and says which pins sleep.
func planPart(p *lesson.Plan, x report.TuneSettings, g *rig.Rig, before int, beside bool) ([]string, error) {
	var asleep []string
	for _, words := range asleepOf(x.Wishes[g.Name], g, before) {
		asleep = append(asleep, g.Title+", "+words)
	}
	p.Rigs = append(p.Rigs, g)
	backup, f, err := backupOf(x.Wishes[g.Name])
	if err != nil {
		return nil, err
	}
	p.Feels[g.Name] = f
	switch {
	case backup:
		p.Parts[g.Name] = lesson.BackupPart
	case beside:
		p.Parts[g.Name] = lesson.BothParts
	}
	p.Arrange[g.Name], err = optionsOf(wishesFor(&x, g.Name), g, before)
	return asleep, err
}
