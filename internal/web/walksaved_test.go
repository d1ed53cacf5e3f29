package web

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"lapwright/internal/lesson"
	"lapwright/internal/studio"
	"lapwright/internal/take"
	"lapwright/internal/workbench"
	"lapwright/report"
)

// keepsBlobs has a page keep what it makes files of.
const keepsBlobs = `window.blobs = []; const make = URL.createObjectURL; URL.createObjectURL = (b) => { window.blobs.push(b); return make.call(URL, b); };`

// TestSavedTakeReachesItsTeacher: a student saves a take on the page of a teacher's lesson, with the loop, the
// speed and a name; the teacher, who has changed the tune since, drops it into the workbench's takes, where it
// is reviewed against the tab that was played, word for word as on the student's page. Where
// the tune is not at hand that is said.
func TestSavedTakeReachesItsTeacher(t *testing.T) {
	noBrowserInShort(t)
	ctx := context.Background()
	st, server := serve(t)
	tune, err := st.Add(ctx, studio.Tune, studio.Content{Title: "Harbour Steps", Body: playedTune}, false)
	if err != nil {
		t.Fatal(err)
	}
	file, _ := playedFile(t, st, tune)
	folder := lessonOf(t, st, tune)

	s := openLesson(t, folder, deskWidth, deskHeight)
	s.inject(keepsBlobs)
	s.open("/index.html")
	s.until("!document.querySelector('.play').disabled")
	s.click(".loop")
	s.setSpeed(70)
	s.click(".listening summary")
	s.do(chromedp.SendKeys(chromedp.CSS(".listening input[type=text]"), "  Wren  of the   Quay "), chromedp.SetUploadFiles(chromedp.CSS(".listening input[type=file]"), []string{file}))
	s.until("document.querySelector('.takes .one-take') && document.querySelector('.take-view svg g.played')")
	lines := "[...document.querySelectorAll('.notes li span:last-of-type')].map(e => e.textContent.trim()).join('\\n')"
	told := value[string](s, lines)
	s.click(".takes .take-do button:nth-of-type(2)")
	s.until("/Saved as harbour-steps-wren-of-the-quay-[0-9-]+\\.take\\.zip/.test(document.querySelector('.listening .own-said').textContent)")
	packed, saved := s.savedTake()
	if saved.Name != "Wren of the Quay" || saved.Speed != 70 || saved.Bars == nil || saved.On.Name != "lap6-c6" || saved.Grade != "second" {
		t.Errorf("saved is %+v", saved.SavedTake)
	}
	var fields map[string]any
	if err := json.Unmarshal(aboutOf(t, packed), &fields); err != nil || len(fields) != 11 {
		t.Errorf("%d things are said of the take: %v", len(fields), fields)
	}

	// The tune goes on to other revisions; the take stays of the one that was played.
	if _, err := st.Save(ctx, tune.ID, tune.Revision, studio.Content{Title: "Harbour Steps, anew", Body: strings.Replace(playedTune, "K:", "N:anew\nK:", 1) + "|G4|\n"}, "more"); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "wren.take.zip")
	if err := os.WriteFile(path, packed, 0o600); err != nil {
		t.Fatal(err)
	}
	b := newWindow(t, server.URL, true)
	b.open("/takes")
	b.do(chromedp.SetUploadFiles(chromedp.CSS("#take-file"), []string{path}))
	b.until("location.pathname.startsWith('/takes/') && document.readyState === 'complete' && document.querySelector('.take-view svg g.played')")
	b.shot("teacher")
	if got := b.text(".head"); !strings.Contains(got, "Harbour Steps") || strings.Contains(got, "anew") || !strings.Contains(got, "Wren of the Quay") {
		t.Errorf("the head says %q", got)
	}
	if got := value[string](b, lines); got != told || strings.Count(told, "\n") != 12 {
		t.Errorf("the teacher is told\n%s\nand the student\n%s", got, told)
	}
	// Elsewhere the tune is not at hand.
	c, _ := tunePage(t, "Another", "X:1\nT:Another\nM:4/4\nL:1/4\nK:G\nGABd|]\n")
	c.open("/takes")
	c.provokes("/takes")
	c.do(chromedp.SetUploadFiles(chromedp.CSS("#take-file"), []string{path}))
	c.until(fmt.Sprintf("document.body.textContent.includes('is the one with the digest %s')", saved.Block[:12]))
}

// savedTake is the take that a page has saved last, as it is and read.
func (b *window) savedTake() ([]byte, *take.Saved) {
	b.t.Helper()
	packed, err := base64.StdEncoding.DecodeString(value[string](b, "new Promise(done => { const r = new FileReader(); r.onload = () => done(r.result.split(',')[1]); r.readAsDataURL(window.blobs.at(-1)); })"))
	if err != nil {
		b.t.Fatal(err)
	}
	saved, err := take.Read(packed, "saved.take.zip")
	if err != nil {
		b.t.Fatal(err)
	}
	return packed, saved
}

// aboutOf is take.json of a saved take.
func aboutOf(t *testing.T, packed []byte) []byte {
	t.Helper()
	r, err := zip.NewReader(bytes.NewReader(packed), int64(len(packed)))
	if err != nil {
		t.Fatal(err)
	}
	f, err := r.Open("take.json")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	about, err := io.ReadAll(f)
	if err != nil {
		t.Fatal(err)
	}
	return about
}

// lessonOf makes a teacher's lesson of a tune for lap6-c6, without a recording, and returns its folder.
func lessonOf(t *testing.T, st *studio.Studio, tune *studio.Item) string {
	t.Helper()
	ctx := context.Background()
	body, err := json.Marshal(report.LessonPlan{Tune: tune.ID, Rigs: []string{"lap6-c6"}})
	if err != nil {
		t.Fatal(err)
	}
	it, err := st.Add(ctx, studio.Lesson, studio.Content{Title: tune.Title, Body: string(body)}, false)
	if err != nil {
		t.Fatal(err)
	}
	plan, _, err := workbench.PlanLesson(ctx, st, it)
	if err != nil {
		t.Fatal(err)
	}
	plan.Recordings = lesson.NoRecordings
	made, err := lesson.Make(ctx, plan, nil)
	if err != nil {
		t.Fatal(err)
	}
	folder := filepath.Join(t.TempDir(), "lesson")
	if err := made.WriteFolder(folder); err != nil {
		t.Fatal(err)
	}
	return folder
}
