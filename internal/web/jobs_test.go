package web

import (
	"archive/zip"
	"context"
	"encoding/json"
	"errors"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"testing"
	"time"

	"lapwright/report"
)

func TestJobsAreFollowedFetchedAndCancelled(t *testing.T) {
	st, server := serve(t)
	it := smallLesson(t, st)
	start := func() (progress, file, cancel string) {
		res, body := asks(t, server, "POST", "/lessons/"+it.ID+"/make/zip", "", nil)
		var j struct{ Progress, File, Cancel string }
		if err := json.Unmarshal([]byte(body), &j); err != nil || res.StatusCode != http.StatusAccepted {
			t.Fatalf("status %d, %q, %v", res.StatusCode, body, err)
		}
		return j.Progress, j.File, j.Cancel
	}
	progress, file, _ := start()
	if res, _ := asks(t, server, "GET", file, "", nil); res.StatusCode != http.StatusConflict {
		t.Errorf("fetched too early: status %d, want 409", res.StatusCode)
	}
	res, body := asks(t, server, "GET", progress, "", nil)
	if res.Header.Get("Content-Type") != "text/event-stream" || strings.Count(body, "data: ") < 3 || !strings.Contains(body, `"ready":true`) {
		t.Errorf("the progress was %.300q", body)
	}
	if res, body := asks(t, server, "HEAD", file, "", nil); res.StatusCode != 200 || body != "" {
		t.Errorf("its head: status %d, %.10q", res.StatusCode, body)
	}
	res, body = asks(t, server, "GET", file, "", nil)
	if res.StatusCode != 200 || !strings.HasPrefix(body, "PK") || !strings.Contains(res.Header.Get("Content-Disposition"), ".zip") {
		t.Errorf("the file: status %d, %.10q, %q", res.StatusCode, body, res.Header.Get("Content-Disposition"))
	}
	if res, body := asks(t, server, "GET", file, "", nil); res.StatusCode != http.StatusGone || !strings.Contains(body, "fetched already") {
		t.Errorf("fetched again: status %d, %.100q, want 410", res.StatusCode, body)
	}
	progress, _, cancel := start()
	asks(t, server, "POST", cancel, "", nil)
	if _, body := asks(t, server, "GET", progress, "", nil); !strings.Contains(body, "It was cancelled.") {
		t.Errorf("after cancelling the progress was %.300q", body)
	}
	if res, _ := asks(t, server, "GET", "/jobs/nonsense/progress", "", nil); res.StatusCode != 404 {
		t.Errorf("a job that never was: status %d", res.StatusCode)
	}
}

// TestALessonForAWebSpace: the workbench's lesson is made for a web space when that is asked for: its page
// brings its program from beside it, where the usual one carries it.
func TestALessonForAWebSpace(t *testing.T) {
	st, server := serve(t)
	it := smallLesson(t, st)
	if _, body := asks(t, server, "GET", "/lessons/"+it.ID, "", nil); !strings.Contains(body, `id="hosted"`) {
		t.Error("the lesson's page does not offer it")
	}
	for what, hosted := range map[string]bool{"zip": false, "hosted": true} {
		_, body := asks(t, server, "POST", "/lessons/"+it.ID+"/make/"+what, "", nil)
		var j report.LessonJob
		if err := json.Unmarshal([]byte(body), &j); err != nil {
			t.Fatal(err)
		}
		asks(t, server, "GET", j.Progress, "", nil)
		res, packed := asks(t, server, "GET", j.File, "", nil)
		if got := strings.Contains(res.Header.Get("Content-Disposition"), "a-small-lesson-web.zip"); got != hosted {
			t.Errorf("%s is called %q", what, res.Header.Get("Content-Disposition"))
		}
		z, err := zip.NewReader(strings.NewReader(packed), int64(len(packed)))
		if err != nil {
			t.Fatal(err)
		}
		keeps, program := 0, 0
		for _, f := range z.File {
			keeps += strings.Count(f.Name, "/keep.js")
			program += strings.Count(f.Name, "/lapwright-")
		}
		if (keeps == 1 && program == 1) != hosted || keeps != program {
			t.Errorf("%s holds %d scripts that keep it and %d programs", what, keeps, program)
		}
	}
}

// spooling makes jobs with a clock that a test moves.
func spooling(t *testing.T, now *time.Time) *jobs {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	js, err := newJobs(ctx, newQueue(4, 200), func() time.Time { return *now }, slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		stop()
		for end := time.Now().Add(time.Minute); ; time.Sleep(time.Millisecond) {
			if _, err := os.Stat(js.dir); errors.Is(err, os.ErrNotExist) {
				break
			}
			if time.Now().After(end) {
				t.Errorf("the folder %s is left behind", js.dir)
				break
			}
		}
	})
	return js
}

// made runs a job that gives so many bytes, to its end.
func made(t *testing.T, js *jobs, visitor string, size int) *job {
	t.Helper()
	j, err := js.start(visitor, "x", "text/plain", func(_ context.Context, _ func(int, int, string), out io.Writer) error {
		_, err := out.Write(make([]byte, size))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	ends(t, j)
	return j
}

func ends(t *testing.T, j *job) report.Progress {
	t.Helper()
	for {
		state, changed := j.look()
		if state.Ready || state.Error != "" {
			return state
		}
		select {
		case <-changed:
		case <-time.After(2 * time.Minute):
			t.Fatal("the job does not end")
		}
	}
}

// held returns the bytes on disk.
func held(t *testing.T, js *jobs) int64 {
	t.Helper()
	list, err := os.ReadDir(js.dir)
	if err != nil {
		t.Fatal(err)
	}
	total := int64(0)
	for _, e := range list {
		info, err := e.Info()
		if err != nil {
			t.Fatal(err)
		}
		total += info.Size()
	}
	return total
}

// TestFinishedJobsGo: what nobody fetches goes after its time, and what is kept
// stays within the bytes set for it, at the cost of whoever has most.
func TestFinishedJobsGo(t *testing.T) {
	now := time.Now()
	js := spooling(t, &now)
	js.most = 100_000
	small := made(t, js, "one", 1_000)
	made(t, js, "much", 60_000)
	newest := made(t, js, "much", 60_000)
	for end := time.Now().Add(time.Minute); held(t, js) != 61_000; time.Sleep(time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("%d bytes are kept, want 61,000", held(t, js))
		}
	}
	for _, j := range []*job{small, newest} {
		f, err := j.file()
		if err != nil {
			t.Fatal(err)
		}
		f.Close()
	}
	now = now.Add(jobLife + time.Second)
	js.sweep()
	if got := held(t, js); got != 0 || len(js.list) != 0 {
		t.Errorf("after their time %d jobs and %d bytes are kept", len(js.list), got)
	}
}

// TestCancelledJobsDoNotShutTheDoor: only what is under way or has a file
// counts, and one visitor's do not count against another.
func TestCancelledJobsDoNotShutTheDoor(t *testing.T) {
	now := time.Now()
	js := spooling(t, &now)
	forever := func(ctx context.Context, _ func(int, int, string), _ io.Writer) error {
		<-ctx.Done()
		return ctx.Err()
	}
	for range 3 * maxJobs {
		j, err := js.start("one", "x", "text/plain", forever)
		if err != nil {
			t.Fatal(err)
		}
		j.cancel()
		if state := ends(t, j); state.Error != "It was cancelled." {
			t.Fatalf("cancelled, it says %+v", state)
		}
	}
	for range maxJobsEach {
		if _, err := js.start("one", "x", "text/plain", forever); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := js.start("one", "x", "text/plain", forever); err != errManyJobs {
		t.Errorf("one more than a visitor may have: %v", err)
	}
	if _, err := js.start("another", "x", "text/plain", forever); err != nil {
		t.Errorf("another visitor's first: %v", err)
	}
}

// TestABrokenOffFetchCanBeTriedAgain, and a failed job says so without the
// machine's words.
func TestABrokenOffFetchCanBeTriedAgain(t *testing.T) {
	st := newStudio(t)
	site, err := New(t.Context(), st, Options{})
	if err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(site.Handler())
	defer server.Close()
	const size = 32 << 20 // more than the machine keeps on the way
	j := made(t, site.jobs.work, "127.0.0.1", size)
	res, err := http.Get(server.URL + "/jobs/" + j.id + "/file")
	if err != nil {
		t.Fatal(err)
	}
	io.CopyN(io.Discard, res.Body, 1000)
	res.Body.Close()
	if res, err = http.Get(server.URL + "/jobs/" + j.id + "/file"); err != nil {
		t.Fatal(err)
	}
	n, err := io.Copy(io.Discard, res.Body)
	res.Body.Close()
	if n != size || err != nil {
		t.Errorf("tried again: %d bytes of %d, %v", n, size, err)
	}
	for end := time.Now().Add(time.Minute); held(t, site.jobs.work) > 0; time.Sleep(time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("what was fetched whole is still kept")
		}
	}
	failed, err := site.jobs.work.start("127.0.0.1", "x", "text/plain", func(context.Context, func(int, int, string), io.Writer) error { panic("boom") })
	if err != nil {
		t.Fatal(err)
	}
	if state := ends(t, failed); state.Error != ourOwnFault {
		t.Errorf("a panic in a job says %q", state.Error)
	}
}
