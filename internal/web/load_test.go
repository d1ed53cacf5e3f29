package web

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"lapwright/internal/studio"
	"lapwright/rig"
)

// TestAClassAtOnce has fifty people use the workbench at the same time, each
// with pages, sheets, choices, a save and a sound. Nobody may get an error, and
// memory must stay within the bounds that the caches set. Times are logged, not
// judged: docs/performance.md has them.
func TestAClassAtOnce(t *testing.T) {
	people := 50
	if testing.Short() {
		people = 8
	}
	st, server := serve(t)
	tunes, err := st.List(context.Background(), studio.Tune)
	if err != nil || len(tunes) < 3 {
		t.Fatalf("%d tunes, %v", len(tunes), err)
	}
	rigs := rig.Builtins()
	client := &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: people}}
	var mu sync.Mutex
	times := map[string][]time.Duration{}
	get := func(kind, method, path, body string) []byte {
		r, err := http.NewRequest(method, server.URL+path, strings.NewReader(body))
		if err != nil {
			t.Error(err)
			return nil
		}
		r.Header.Set("Content-Type", "application/json")
		began := time.Now()
		res, err := client.Do(r)
		if err != nil {
			t.Errorf("%s: %v", path, err)
			return nil
		}
		defer res.Body.Close()
		b, err := io.ReadAll(res.Body)
		if err != nil || res.StatusCode != http.StatusOK {
			t.Errorf("%s: status %d, %v, %.100q", path, res.StatusCode, err, b)
		}
		mu.Lock()
		defer mu.Unlock()
		times[kind] = append(times[kind], time.Since(began))
		return b
	}
	var most uint64
	stop := make(chan struct{})
	var watch sync.WaitGroup
	watch.Go(func() {
		for {
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			most = max(most, m.HeapAlloc)
			select {
			case <-stop:
				return
			case <-time.After(50 * time.Millisecond):
			}
		}
	})
	var class sync.WaitGroup
	for i := range people {
		class.Go(func() {
			own, err := st.Add(context.Background(), studio.Tune, studio.Content{Title: fmt.Sprint("student ", i), Body: fmt.Sprintf("X:1\nT:student %d\nM:4/4\nL:1/4\nK:G\nGABc|dcBA|G4|]\n", i)}, false)
			if err != nil {
				t.Error(err)
				return
			}
			get("page", "GET", "/", "")
			get("page", "GET", "/tunes/"+own.ID, "")
			for k := range 3 {
				get("sheet", "GET", fmt.Sprintf("/tunes/%s/shown?rig=%s", own.ID, rigs[(i+k)%len(rigs)].Name), "")
			}
			get("choices", "GET", fmt.Sprintf("/tunes/%s/choices?rig=%s&stroke=2", own.ID, rigs[i%len(rigs)].Name), "")
			revision := 1
			for k := range 4 {
				b := get("save", "POST", "/items/"+own.ID+"/save", fmt.Sprintf(`{"base":%d,"extra":{"tempo":%d},"why":"tempo changed"}`, revision, 60+10*k))
				var s struct{ Revision int }
				if json.Unmarshal(b, &s) != nil || s.Revision != revision+1 {
					t.Errorf("a save gave %.100q", b)
				}
				revision = s.Revision
			}
			if testing.Short() {
				return // under the race detector a minute of music takes minutes
			}
			get("sound", "GET", fmt.Sprintf("/tunes/%s/sound?rig=%s", tunes[i%3].ID, rigs[0].Name), "")
		})
	}
	class.Wait()
	close(stop)
	watch.Wait()
	for kind, list := range times {
		slices.Sort(list)
		t.Logf("%-8s %4d requests, median %v, 95th percentile %v, worst %v", kind, len(list),
			list[len(list)/2].Round(time.Millisecond), list[len(list)*95/100].Round(time.Millisecond), list[len(list)-1].Round(time.Millisecond))
	}
	t.Logf("heap at the most %d MB", most>>20)
	if most > 700<<20 {
		t.Errorf("the heap grew to %d MB", most>>20)
	}
}

// TestTooMuchAtOnceIsSaid fills the queue: the next asker is told, not kept.
func TestTooMuchAtOnceIsSaid(t *testing.T) {
	q := newQueue(1, 2)
	hold, began := make(chan struct{}), make(chan struct{})
	var all sync.WaitGroup
	all.Go(func() { q.do(context.Background(), func() error { close(began); <-hold; return nil }) })
	<-began
	for range 2 {
		all.Go(func() { q.do(context.Background(), func() error { return nil }) })
	}
	for len(q.waiting) < 3 {
		time.Sleep(time.Millisecond)
	}
	if err := q.do(context.Background(), func() error { return nil }); err != errBusy {
		t.Errorf("with one at work and two waiting: %v, want errBusy", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	close(hold)
	all.Wait()
	if err := q.do(ctx, func() error { return ctx.Err() }); err == nil {
		t.Error("work was done for somebody who had left")
	}
}

func TestJobsAreFollowedFetchedAndCancelled(t *testing.T) {
	st, server := serve(t)
	it := smallLesson(t, st)
	start := func() (progress, file, cancel string) {
		res, body := asks(t, server, "POST", "/lessons/"+it.ID+"/make", "", nil)
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
	res, body = asks(t, server, "GET", file, "", nil)
	if res.StatusCode != 200 || !strings.HasPrefix(body, "PK") || !strings.Contains(res.Header.Get("Content-Disposition"), ".zip") {
		t.Errorf("the file: status %d, %.10q, %q", res.StatusCode, body, res.Header.Get("Content-Disposition"))
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

// TestOneWorksWhileOthersWait: askers for the same thing share one piece of
// work, errors are not kept, and a panic of ours becomes an error.
func TestOneWorksWhileOthersWait(t *testing.T) {
	c := newCache[int](100)
	var mu sync.Mutex
	worked := 0
	var all sync.WaitGroup
	for range 20 {
		all.Go(func() {
			v, err := c.get(context.Background(), "a", func(context.Context) (int, int64, error) {
				mu.Lock()
				worked++
				mu.Unlock()
				time.Sleep(20 * time.Millisecond)
				return 7, 60, nil
			})
			if v != 7 || err != nil {
				t.Errorf("got %d, %v", v, err)
			}
		})
	}
	all.Wait()
	if worked != 1 {
		t.Errorf("the work was done %d times", worked)
	}
	if _, err := c.get(context.Background(), "b", func(context.Context) (int, int64, error) { panic("a mistake") }); err == nil || !strings.Contains(err.Error(), "our own fault") {
		t.Errorf("a panic gave %v", err)
	}
	// Whoever leaves last ends the work; the next asker begins anew.
	left := make(chan struct{})
	leaving, leave := context.WithCancel(context.Background())
	go func() {
		_, err := c.get(leaving, "left", func(ctx context.Context) (int, int64, error) {
			leave()
			<-ctx.Done()
			close(left)
			return 0, 0, ctx.Err()
		})
		if err == nil {
			t.Error("work that was given up gave a value")
		}
	}()
	select {
	case <-left:
	case <-time.After(10 * time.Second):
		t.Fatal("nobody waits, and the work goes on")
	}
	if v, err := c.get(context.Background(), "left", func(context.Context) (int, int64, error) { return 3, 1, nil }); v != 3 || err != nil {
		t.Errorf("asked again after leaving: %d, %v", v, err)
	}
	// A second large value puts the first out.
	for _, key := range []string{"c", "a"} {
		c.get(context.Background(), key, func(context.Context) (int, int64, error) { worked++; return 1, 60, nil })
	}
	if worked != 3 || c.used > c.most {
		t.Errorf("worked %d times, %d bytes kept of %d", worked, c.used, c.most)
	}
}

func BenchmarkPlace(b *testing.B) {
	st, err := studio.Open(b.Context(), b.TempDir(), time.Now)
	if err != nil {
		b.Fatal(err)
	}
	defer st.Close()
	var text strings.Builder
	text.WriteString("X:1\nT:Thirty-two bars\nM:4/4\nL:1/8\nK:G\n")
	for range 8 {
		text.WriteString("G2BG d2BG|c2A2 F2A2|G2BG d2ed|c2A2 G4|\n")
	}
	it, err := st.Add(b.Context(), studio.Tune, studio.Content{Title: "Thirty-two bars", Body: text.String()}, false)
	if err != nil {
		b.Fatal(err)
	}
	r, _ := rig.Builtin("reso-open-g")
	for b.Loop() {
		if _, err := placeNow(b.Context(), it, r); err != nil {
			b.Fatal(err)
		}
	}
}
