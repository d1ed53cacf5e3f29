package web

import (
	"context"
	"io"
	"net/http"
	"slices"
	"time"

	"lapwright/internal/lesson"
	"lapwright/internal/studio"
	"lapwright/internal/workbench"
	"lapwright/report"
	"lapwright/say"
)

// lessonPages list lessons, show one, and make what is handed out of it.
type lessonPages struct {
	studio *studio.Studio
	shelf  *shelf
	lists  *lists
	work   *jobs
	heavy  *queue
	now    func() time.Time
}

// lessonsModel is the lessons, and the tunes that a new one can be begun on.
type lessonsModel struct {
	Lessons []row
	Tunes   []*studio.Heading
}

func (p lessonPages) list(r *http.Request) (page, error) {
	rows, err := p.lists.kind(r.Context(), studio.Lesson)
	if err != nil {
		return page{}, err
	}
	tunes, err := p.studio.List(r.Context(), studio.Tune)
	return page{"lessons", "Lessons", lessonsModel{rows, tunes}}, err
}

// begin begins a lesson on a tune.
func (p lessonPages) begin(r *http.Request) (string, error) {
	tune, err := p.studio.Get(r.Context(), r.FormValue("tune"))
	if err == nil && tune.Kind != studio.Tune {
		err = studio.ErrNone
	}
	if err != nil {
		return "", err
	}
	c, err := workbench.BeginLesson(tune, r.FormValue("rig"))
	if err != nil {
		return "", err
	}
	it, err := p.studio.Add(r.Context(), studio.Lesson, c, false)
	if err != nil {
		return "", err
	}
	return "/lessons/" + it.ID, nil
}

// lessonModel is what a lesson's page shows.
type lessonModel struct {
	Item    *studio.Item
	Body    report.LessonPlan
	Tunes   []*studio.Heading
	Rigs    []tickedRig
	Layouts []workbench.LayoutChoice
	State   report.Item // what the page's script starts from
}

// tickedRig is a rig that may be one of a lesson's.
type tickedRig struct {
	rigOption
	Chosen bool
}

func (p lessonPages) one(r *http.Request) (page, error) {
	it, err := askedItem(p.studio, r, studio.Lesson)
	if err != nil {
		return page{}, err
	}
	m := lessonModel{Item: it, Layouts: workbench.LayoutChoices(), State: stateOf(it)}
	if m.Body, err = workbench.ReadLesson(it); err != nil {
		return page{}, err
	}
	if m.Tunes, err = p.studio.List(r.Context(), studio.Tune); err != nil {
		return page{}, err
	}
	rigs, err := p.shelf.options(r.Context())
	for _, c := range rigs {
		m.Rigs = append(m.Rigs, tickedRig{c, slices.Contains(m.Body.Rigs, c.Ref)})
	}
	return page{"lesson", it.Title, m}, err
}

// asked is the lesson that a request names, with what it is to be made of and
// which pins sleep in it.
func (p lessonPages) asked(r *http.Request) (*studio.Item, lesson.Plan, []string, error) {
	it, err := askedItem(p.studio, r, studio.Lesson)
	if err != nil {
		return nil, lesson.Plan{}, nil, err
	}
	plan, asleep, err := workbench.PlanLesson(r.Context(), p.studio, it)
	return it, plan, asleep, err
}

// product is what is made of a lesson to take along.
type product struct {
	ending, mime string
	silent       bool // it holds no sound
	hosted       bool // it is for a web space
	write        func(p lessonPages, made *lesson.Lesson, name string, out io.Writer) error
}

var products = map[string]product{
	"zip":    {ending: ".zip", mime: "application/zip", write: zipped},
	"hosted": {ending: "-web.zip", mime: "application/zip", hosted: true, write: zipped},
	"handout": {ending: "-handout.pdf", mime: fileTypes["sheet.pdf"], silent: true, write: func(_ lessonPages, made *lesson.Lesson, _ string, out io.Writer) error {
		_, err := out.Write(made.Handout())
		return err
	}},
	"page": {ending: ".html", mime: "text/html; charset=utf-8", write: func(_ lessonPages, made *lesson.Lesson, _ string, out io.Writer) error {
		page, err := made.Page(false)
		if err == nil {
			_, err = out.Write(page)
		}
		return err
	}},
}

func zipped(p lessonPages, made *lesson.Lesson, name string, out io.Writer) error {
	return made.WriteZip(out, name, p.now())
}

// make begins the work on what is asked for of a lesson and says where to follow it.
func (p lessonPages) make(w http.ResponseWriter, r *http.Request) error {
	what, known := products[r.PathValue("what")]
	if !known {
		return errNowhere
	}
	it, plan, asleep, err := p.asked(r)
	if err != nil {
		return err
	}
	j, err := p.begun(visitorOf(r.Context()), say.Slug(it.Title), what, plan)
	if err != nil {
		return err
	}
	at := "/jobs/" + j.id
	writeJSON(w, http.StatusAccepted, report.LessonJob{Progress: at + "/progress", File: at + "/file", Cancel: at + "/cancel", Asleep: asleep})
	return nil
}

// begun begins the work on a lesson's product.
func (p lessonPages) begun(visitor, name string, what product, plan lesson.Plan) (*job, error) {
	plan.Hosted = what.hosted
	plan.Recordings = lesson.OneRecording // the page sounds the others by itself
	if what.silent {
		plan.Recordings = lesson.NoRecordings
	}
	return p.work.start(visitor, name+what.ending, what.mime, func(ctx context.Context, tell func(int, int, string), out io.Writer) error {
		made, err := lesson.Make(ctx, plan, tell)
		if err != nil {
			return err
		}
		return what.write(p, made, name, out)
	})
}

// handout gives the words and all sheets of a lesson as one PDF.
func (p lessonPages) handout(w http.ResponseWriter, r *http.Request) error {
	it, plan, _, err := p.asked(r)
	if err != nil {
		return err
	}
	plan.Recordings = lesson.NoRecordings
	made, err := queued(r.Context(), p.heavy, func(ctx context.Context) (*lesson.Lesson, error) { return lesson.Make(ctx, plan, nil) })
	if err == nil {
		attachment(w, say.Slug(it.Title)+"-handout.pdf", fileTypes["sheet.pdf"])
		writeBytes(w, http.StatusOK, fileTypes["sheet.pdf"], made.Handout())
	}
	return err
}

// penned is what the students' page may do here: keep things on the device, have the
// microphone and hand out files as elsewhere. It opens no window, sends no form, and its own
// policy lets it fetch nothing, so it reaches none of the workbench's pages, whose
// origin it has.
const penned = "; frame-ancestors 'none'; sandbox allow-scripts allow-same-origin allow-modals allow-downloads"

// preview shows the page that students get. It brings its own
// Content-Security-Policy: its script and style stand inside it.
func (p lessonPages) preview(w http.ResponseWriter, r *http.Request) error {
	it, plan, _, err := p.asked(r)
	if err != nil {
		return err
	}
	made, err := p.student(r.Context(), plan)
	if err != nil {
		return err
	}
	const kind = "text/html; charset=utf-8"
	w.Header().Set("Content-Security-Policy", made.policy+penned)
	if r.FormValue("keep") != "" {
		attachment(w, say.Slug(it.Title)+".html", kind)
	}
	writeBytes(w, http.StatusOK, kind, made.page)
	return nil
}

// studentPage is the page that students get, and the policy that lets in what
// stands inside it.
type studentPage struct {
	page   []byte
	policy string
}

func (p lessonPages) student(ctx context.Context, plan lesson.Plan) (studentPage, error) {
	return queued(ctx, p.heavy, func(ctx context.Context) (studentPage, error) {
		made, err := lesson.Make(ctx, plan, nil)
		if err != nil {
			return studentPage{}, err
		}
		page, err := made.Page(false)
		return studentPage{page, made.Policy()}, err
	})
}
