package web

import (
	"context"
	"errors"
	"net/http"
	"slices"
	"strings"

	"lapwright/internal/lesson"
	"lapwright/internal/studio"
	"lapwright/internal/workbench"
	lessonpage "lapwright/page"
	"lapwright/report"
	"lapwright/say"
	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/sound"
	"lapwright/sound/band"
)

// tabAnswers tell a page's script about one tune on one rig.
type tabAnswers struct {
	studio *studio.Studio
	shelf  *shelf
	placer *placer
	sounds *sounds
	light  *queue
	heavy  *queue
}

// shown returns a tab as the page's script draws it. What can't be arranged is
// answered with the last revision that could, and why.
func (a tabAnswers) shown(r *http.Request) (any, error) {
	it, g, err := a.placer.asked(r)
	if err != nil {
		return nil, err
	}
	t, err := a.placer.place(r.Context(), it, g)
	if err == nil {
		return a.facing(r, t, it.Revision)
	}
	if statusOf(err) != http.StatusUnprocessableEntity {
		return nil, err
	}
	if blank := workbench.Blank(it.Body); blank != nil {
		return workbench.ShowBlank(blank, g), nil
	}
	if good := a.placer.lastGood(r.Context(), it, g); good != nil {
		good.Trouble = inWords(err)
		return good, nil
	}
	return nil, err
}

// facing returns a tab with the strings the way up that a request wants.
func (a tabAnswers) facing(r *http.Request, t *workbench.Tab, revision int) (*report.Placed, error) {
	if r.FormValue("low") == "" {
		return t.At(revision), nil
	}
	return queued(r.Context(), a.light, func(context.Context) (*report.Placed, error) { return t.Turned(revision) })
}

// carried returns a tab as the core in a page is asked about it.
func (a tabAnswers) carried(r *http.Request) (any, error) {
	_, t, err := a.placer.askedTab(r)
	if err != nil {
		return nil, err
	}
	return lessonpage.CarriedTab(lessonpage.Part{Tab: t.Result.Tab}), nil
}

// choices returns what else could be played at one stroke of a tab.
func (a tabAnswers) choices(r *http.Request) (any, error) {
	_, t, err := a.placer.askedTab(r)
	if err != nil {
		return nil, err
	}
	n, err := readNumber(r, "stroke")
	if err != nil {
		return nil, err
	}
	return queued(r.Context(), a.light, func(ctx context.Context) (*report.Choices, error) { return t.Choices(ctx, n) })
}

// words tells a tab in plain words, for who can't see the sheet.
func (a tabAnswers) words(r *http.Request) (any, error) {
	_, t, err := a.placer.askedTab(r)
	if err != nil {
		return nil, err
	}
	return report.Words{Words: say.Tell(t.Result.Tab)}, nil
}

// printed is how a request wants a sheet for paper.
func printed(r *http.Request) sheet.Options {
	return sheet.Options{Paper: draw.Paper(r.FormValue("paper")), Layout: sheet.Layout(r.FormValue("layout")), StringOneLow: r.FormValue("low") != "", LeftHanded: r.FormValue("left") != ""}
}

// sheet returns a tab's sheet as it prints.
func (a tabAnswers) sheet(r *http.Request) (any, error) {
	_, t, err := a.placer.askedTab(r)
	if err != nil {
		return nil, err
	}
	return queued(r.Context(), a.light, func(context.Context) (*report.SheetPages, error) {
		return t.Sheet(printed(r))
	})
}

// rank says on which rig a tune plays best, or how well on one.
func (a tabAnswers) rank(r *http.Request) (any, error) {
	it, err := askedItem(a.studio, r, studio.Tune)
	if err != nil {
		return nil, err
	}
	rigs, err := a.shelf.all(r.Context())
	if err != nil {
		return nil, err
	}
	if one := r.FormValue("one"); one != "" {
		rigs = slices.DeleteFunc(rigs, func(c workbench.RigChoice) bool { return c.Ref != one })
	}
	return queued(r.Context(), a.light, func(ctx context.Context) (*report.Ranking, error) { return workbench.Rank(ctx, it, rigs) })
}

// sound returns a tab's recording.
func (a tabAnswers) sound(w http.ResponseWriter, r *http.Request) error {
	it, t, err := a.placer.askedTab(r)
	if err != nil {
		return err
	}
	b, err := a.sounds.opus(r.Context(), workbench.TabKey(it, t.Rig), func(ctx context.Context) (*sound.Audio, error) {
		stems, err := sound.RenderStems(t.Result.Tab, sound.Options{Progress: func(float64) bool { return ctx.Err() == nil }})
		switch {
		case errors.Is(err, sound.ErrStopped):
			return nil, ctx.Err()
		case err != nil:
			return nil, err
		}
		return stems.Lead, nil
	})
	if err != nil {
		return err
	}
	writeBytes(w, http.StatusOK, "audio/ogg", b)
	return nil
}

// band returns what plays along with a tab, one channel; nothing when the tune has no chord symbols or no beat.
func (a tabAnswers) band(w http.ResponseWriter, r *http.Request) error {
	it, t, err := a.placer.askedTab(r)
	if err != nil {
		return err
	}
	backing, err := band.FromSymbols(t.Result.Tab)
	if err != nil || backing == nil {
		w.WriteHeader(http.StatusNoContent)
		return nil
	}
	b, err := a.sounds.opus(r.Context(), "band "+workbench.TabKey(it, t.Rig), func(ctx context.Context) (*sound.Audio, error) {
		return lesson.PlayAlong(ctx, t.Result.Tab, backing, sound.Options{})
	})
	if err != nil {
		return err
	}
	writeBytes(w, http.StatusOK, "audio/ogg", b)
	return nil
}

// fileTypes are the media types of what a tab is written as.
var fileTypes = map[string]string{
	"sheet.pdf": "application/pdf", "sheet.svg": "image/svg+xml", "tab.txt": "text/plain; charset=utf-8",
	"tab.musicxml": "application/vnd.recordare.musicxml+xml", "tab.mid": "audio/midi", "tell.txt": "text/plain; charset=utf-8",
	"audio.flac": "audio/flac", "audio.wav": "audio/wav",
}

// file returns one file of a tab, as a lesson would hold it.
func (a tabAnswers) file(w http.ResponseWriter, r *http.Request) error {
	name := r.PathValue("name")
	kind, ok := fileTypes[name]
	if !ok {
		return errNowhere
	}
	it, t, err := a.placer.askedTab(r)
	if err != nil {
		return err
	}
	b, err := a.write(r.Context(), t, name, printed(r))
	if err != nil {
		return err
	}
	attachment(w, say.Slug(it.Title)+"-"+t.Rig.Name+name[strings.LastIndexByte(name, '.'):], kind)
	w.Write(b)
	return nil
}

// write makes one file of a tab.
func (a tabAnswers) write(ctx context.Context, t *workbench.Tab, name string, o sheet.Options) ([]byte, error) {
	made, err := queued(ctx, a.heavy, func(ctx context.Context) (*lesson.Lesson, error) {
		return t.Files(ctx, o, strings.HasPrefix(name, "audio."))
	})
	if err != nil {
		return nil, err
	}
	return made.File(t.Folder() + name)
}
