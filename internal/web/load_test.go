package web

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"lapwright/internal/studio"
	"lapwright/internal/workbench"
	"lapwright/rig"
)

// school is a site that visitors sign in to, each with a session of their own.
type school struct {
	t      *testing.T
	st     *studio.Studio
	site   *Site
	server *httptest.Server
	client *http.Client

	mu    sync.Mutex
	times map[string][]time.Duration
}

func newSchool(t *testing.T) *school {
	t.Helper()
	st := newStudio(t)
	if err := workbench.Furnish(context.Background(), st); err != nil {
		t.Fatal(err)
	}
	if err := SetPassword(context.Background(), st, "a long enough one"); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	site, err := New(ctx, st, Options{Password: true})
	if err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(site.Handler())
	t.Cleanup(func() { stop(); server.Close() })
	return &school{t: t, st: st, site: site, server: server, times: map[string][]time.Duration{},
		client: &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: 100}}}
}

// cookie signs somebody in.
func (s *school) cookie() string {
	s.t.Helper()
	kept, err := s.st.Settings.Get(context.Background(), passwordSetting)
	if err != nil {
		s.t.Fatal(err)
	}
	return s.site.door.cookieName() + "=" + s.site.door.sessions.begin("127.0.0.1", digestOf(kept))
}

// send asks for something and gives the answer's status and body.
func (s *school) send(ctx context.Context, cookie, method, path, body string) (int, []byte, error) {
	r, err := http.NewRequestWithContext(ctx, method, s.server.URL+path, strings.NewReader(body))
	if err != nil {
		return 0, nil, err
	}
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("Cookie", cookie)
	res, err := s.client.Do(r)
	if err != nil {
		return 0, nil, err
	}
	defer res.Body.Close()
	b, err := io.ReadAll(res.Body)
	return res.StatusCode, b, err
}

// pupil works as one of a class does: pages, sheets, choices, saves and, when
// wanted, a sound.
func (s *school) pupil(i int, tunes []*studio.Heading, sound bool) {
	rigs := rig.Builtins()
	cookie := s.cookie()
	get := func(kind, method, path, body string) []byte {
		began := time.Now()
		status, b, err := s.send(context.Background(), cookie, method, path, body)
		if err != nil || status != http.StatusOK {
			s.t.Errorf("%s: status %d, %v, %.100q", path, status, err, b)
		}
		s.mu.Lock()
		defer s.mu.Unlock()
		s.times[kind] = append(s.times[kind], time.Since(began))
		return b
	}
	own, err := s.st.Add(context.Background(), studio.Tune, studio.Content{Title: fmt.Sprint("student ", i), Body: fmt.Sprintf("X:1\nT:student %d\nM:4/4\nL:1/4\nK:G\nGABc|dcBA|G4|]\n", i)}, false)
	if err != nil {
		s.t.Error(err)
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
		var saved struct{ Revision int }
		if json.Unmarshal(b, &saved) != nil || saved.Revision != revision+1 {
			s.t.Errorf("a save gave %.100q", b)
		}
		revision = saved.Revision
	}
	if sound {
		get("sound", "GET", fmt.Sprintf("/tunes/%s/sound?rig=%s", tunes[i%3].ID, rigs[0].Name), "")
	}
}

// class has so many people work at the same time; their times are logged. It
// gives the 95th percentile of all requests but sounds, and the largest heap.
func (s *school) class(people int, sound bool) (time.Duration, uint64) {
	s.t.Helper()
	tunes, err := s.st.List(context.Background(), studio.Tune)
	if err != nil || len(tunes) < 3 {
		s.t.Fatalf("%d tunes, %v", len(tunes), err)
	}
	var most uint64
	stop := make(chan struct{})
	var watch, class sync.WaitGroup
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
	for i := range people {
		class.Go(func() { s.pupil(i, tunes, sound) })
	}
	class.Wait()
	close(stop)
	watch.Wait()
	var all []time.Duration
	for kind, list := range s.times {
		slices.Sort(list)
		s.t.Logf("%-8s %4d requests, median %v, 95th percentile %v, worst %v", kind, len(list),
			list[len(list)/2].Round(time.Millisecond), list[len(list)*95/100].Round(time.Millisecond), list[len(list)-1].Round(time.Millisecond))
		if kind != "sound" {
			all = append(all, list...)
		}
	}
	slices.Sort(all)
	s.t.Logf("heap at the most %d MB", most>>20)
	return all[len(all)*95/100], most
}

// TestAClassAtOnce has fifty people use the workbench at the same time, each
// with pages, sheets, choices, a save and a sound. Nobody may get an error, and
// memory must stay within the bounds that the caches set. Times are logged, not
// judged: docs/performance.md has them.
func TestAClassAtOnce(t *testing.T) {
	people := 50
	if testing.Short() {
		people = 8
	}
	// Under the race detector a minute of music takes minutes.
	if _, most := newSchool(t).class(people, !testing.Short()); most > 700<<20 {
		t.Errorf("the heap grew to %d MB", most>>20)
	}
}

// longTune writes a tune of so many notes.
func longTune(notes int) string {
	var b strings.Builder
	b.WriteString("X:1\nT:Long\nM:4/4\nL:1/8\nQ:1/4=300\nK:G\n")
	for i := range notes / 8 {
		b.WriteString("GABG dBAB|")
		if i%4 == 3 {
			b.WriteString("\n")
		}
	}
	return b.String()
}

// TestAClassWithOneWhoAsksForTooMuch has the class share the workbench with
// somebody who ranks the longest tune that is taken, and one of 100,000 notes,
// over and over, from ten windows. Each of the class's requests must be
// answered, and between two turns of the one everybody who waits must have had
// one.
func TestAClassWithOneWhoAsksForTooMuch(t *testing.T) {
	people := 50
	if testing.Short() {
		people = 8
	}
	before, _ := newSchool(t).class(people, false)

	s := newSchool(t)
	long, err := s.st.Add(context.Background(), studio.Tune, studio.Content{Title: "Long", Body: longTune(workbench.MaxNotes)}, false)
	if err != nil {
		t.Fatal(err)
	}
	longer, err := s.st.Add(context.Background(), studio.Tune, studio.Content{Title: "Longer", Body: longTune(100_000)}, false)
	if err != nil {
		t.Fatal(err)
	}
	cookie := s.cookie()
	abuser := "session " + strings.TrimPrefix(cookie, s.site.door.cookieName()+"=")
	var turns, passed atomic.Int64
	var waited []string // who waited at the abuser's last turn and has had none since
	s.site.tabs.light.granted = func(visitor string, waiting []string) {
		if visitor != abuser {
			waited = slices.DeleteFunc(waited, func(w string) bool { return w == visitor })
			return
		}
		turns.Add(1)
		passed.Add(int64(len(waited)))
		waited = waiting
	}
	ctx, stop := context.WithCancel(context.Background())
	var windows sync.WaitGroup
	for i := range 10 {
		windows.Go(func() {
			path := "/tunes/" + long.ID + "/rank"
			if i == 0 {
				path = "/tunes/" + longer.ID + "/rank"
			}
			for ctx.Err() == nil {
				status, b, err := s.send(ctx, cookie, "GET", path, "")
				if err == nil && i == 0 && status != http.StatusUnprocessableEntity {
					t.Errorf("100,000 notes: status %d, %.200q", status, b)
				}
			}
		})
	}
	for turns.Load() == 0 {
		time.Sleep(time.Millisecond)
	}
	after, most := s.class(people, false)
	stop()
	windows.Wait()
	t.Logf("95th percentile %v without, %v with: %.2f times; the one had %d turns; heap %d MB", before, after, float64(after)/float64(before), turns.Load(), most>>20)
	if passed.Load() > 0 {
		t.Errorf("%d times somebody still waited for a turn when the one who asks for too much had another", passed.Load())
	}
	if turns.Load() < 3 {
		t.Errorf("the one who asks for too much had only %d turns: nothing was tried", turns.Load())
	}
}

// as returns a context for a visitor's work.
func as(visitor string) context.Context {
	return context.WithValue(context.Background(), visitorKey, visitor)
}

func nothing(context.Context) error { return nil }

// begins starts work that goes on until hold is closed, and waits for so many
// pieces of work to be in the queue.
func begins(q *queue, all *sync.WaitGroup, visitor string, hold chan struct{}, until func() bool) {
	all.Go(func() { q.do(as(visitor), func(context.Context) error { <-hold; return nil }) })
	for settled := false; !settled; time.Sleep(time.Millisecond) {
		q.mu.Lock()
		settled = until()
		q.mu.Unlock()
	}
}

// TestTooMuchAtOnceIsSaid fills the queue: the next asker is told, not kept.
func TestTooMuchAtOnceIsSaid(t *testing.T) {
	q := newQueue(1, 2)
	hold := make(chan struct{})
	var all sync.WaitGroup
	begins(q, &all, "a", hold, func() bool { return q.running == 1 })
	begins(q, &all, "b", hold, func() bool { return q.waiting == 1 })
	if err := q.do(as("b"), nothing); err != errBusy {
		t.Errorf("with half the places taken by the same visitor: %v, want errBusy", err)
	}
	begins(q, &all, "c", hold, func() bool { return q.waiting == 2 })
	if err := q.do(as("d"), nothing); err != errBusy {
		t.Errorf("with one at work and two waiting: %v, want errBusy", err)
	}
	ctx, cancel := context.WithCancel(as("a"))
	cancel()
	close(hold)
	all.Wait()
	if err := q.do(ctx, func(ctx context.Context) error { return ctx.Err() }); err == nil {
		t.Error("work was done for somebody who had left")
	}
	if q.running != 0 || q.waiting != 0 || q.begun != 0 || len(q.lines) != 0 || len(q.next) != 0 {
		t.Errorf("an empty queue counts %d running, %d waiting, %d begun, %d lines", q.running, q.waiting, q.begun, len(q.lines))
	}
}

// TestOneVisitorNeverHasAllSlots: however much one asks for, another begins at
// once.
func TestOneVisitorNeverHasAllSlots(t *testing.T) {
	q := newQueue(4, 100)
	hold := make(chan struct{})
	var all sync.WaitGroup
	for i := range 20 {
		begins(q, &all, "one", hold, func() bool { return q.running+q.waiting == i+1 })
	}
	if q.running != 2 {
		t.Errorf("one visitor has %d of 4 slots, want 2", q.running)
	}
	done := make(chan error, 1)
	go func() { done <- q.do(as("another"), nothing) }()
	select {
	case err := <-done:
		if err != nil {
			t.Error(err)
		}
	case <-time.After(time.Minute):
		t.Error("another visitor waits behind the one")
	}
	close(hold)
	all.Wait()
}

// TestLongWorkStepsAside: with a single slot, short work of others is done
// while long work goes on, and both end.
func TestLongWorkStepsAside(t *testing.T) {
	q := newQueue(1, 100)
	q.turnLength = 0
	var all sync.WaitGroup
	var others atomic.Int64
	began, at := make(chan struct{}), 0
	all.Go(func() {
		err := q.do(as("long"), func(ctx context.Context) error {
			close(began)
			for others.Load() < 20 {
				at++
				if err := ctx.Err(); err != nil {
					return err
				}
			}
			return nil
		})
		if err != nil {
			t.Error(err)
		}
	})
	<-began
	for i := range 20 {
		all.Go(func() {
			if err := q.do(as(fmt.Sprint("short ", i)), nothing); err != nil {
				t.Error(err)
			}
			others.Add(1)
		})
	}
	ended := make(chan struct{})
	go func() { all.Wait(); close(ended) }()
	select {
	case <-ended:
	case <-time.After(2 * time.Minute):
		t.Fatalf("only %d of 20 were let in while the long work went on", others.Load())
	}
	if q.running != 0 || q.begun != 0 || len(q.lines) != 0 {
		t.Errorf("an empty queue counts %d running, %d begun, %d lines", q.running, q.begun, len(q.lines))
	}
}

// TestGivenUpWorkEnds: work that nobody waits for any more stops, whether it is
// its turn, it has stepped aside or it has not begun.
func TestGivenUpWorkEnds(t *testing.T) {
	s := newSchool(t)
	cookie := s.cookie()
	it, err := s.st.Add(context.Background(), studio.Tune, studio.Content{Title: "Long", Body: longTune(workbench.MaxNotes)}, false)
	if err != nil {
		t.Fatal(err)
	}
	q := s.site.tabs.light
	ended, begun := make(chan error, 2), make(chan bool, 1)
	q.ended = func(err error) { ended <- err }
	q.granted = func(string, []string) {
		select {
		case begun <- true:
		default:
		}
	}
	for _, path := range []string{"/rank", "/shown?rig=lap6-c6"} {
		ctx, leave := context.WithCancel(context.Background())
		go func() { <-begun; leave() }()
		if status, b, err := s.send(ctx, cookie, "GET", "/tunes/"+it.ID+path, ""); err == nil {
			t.Errorf("%s was answered with %d, %.100q before it was given up", path, status, b)
		}
		select {
		case err := <-ended:
			if !errors.Is(err, context.Canceled) {
				t.Errorf("work that was given up ended with %v: it went on to its end", err)
			}
		case <-time.After(time.Minute):
			t.Fatal("work goes on for nobody")
		}
		select { // its later turns are not the next one's
		case <-begun:
		default:
		}
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
	case <-time.After(time.Minute):
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
