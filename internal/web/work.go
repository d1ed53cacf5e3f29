package web

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"sync"
	"time"
)

// errBusy is the answer when more work waits than can be done in good time.
var errBusy = errors.New("many people are asking for work at once; try again in a moment")

// queue lets a few pieces of heavy work run at a time, and a bounded number
// wait.
type queue struct {
	slots   chan struct{}
	waiting chan struct{}
}

func newQueue(running, waiting int) *queue {
	return &queue{slots: make(chan struct{}, running), waiting: make(chan struct{}, running+waiting)}
}

// do runs work when its turn comes. It gives errBusy at once when too many wait
// already.
func (q *queue) do(ctx context.Context, work func() error) error {
	select {
	case q.waiting <- struct{}{}:
		defer func() { <-q.waiting }()
	default:
		return errBusy
	}
	select {
	case q.slots <- struct{}{}:
		defer func() { <-q.slots }()
	case <-ctx.Done():
		return ctx.Err()
	}
	return work()
}

// The bounds on jobs kept in memory.
const (
	mostJobs = 64
	jobLife  = 10 * time.Minute
)

// job is a piece of work whose progress a page follows.
type job struct {
	id     string
	name   string // the file it gives
	mime   string
	cancel context.CancelFunc

	mu      sync.Mutex
	state   jobState
	changed chan struct{} // closed and made anew at each change
	result  []byte
	made    time.Time
}

// jobState is what a page is told.
type jobState struct {
	Done  int    `json:"done"`
	Total int    `json:"total"`
	What  string `json:"what"`
	Ready bool   `json:"ready,omitempty"`
	Error string `json:"error,omitempty"`
}

func (j *job) update(change func(*jobState)) {
	j.mu.Lock()
	defer j.mu.Unlock()
	change(&j.state)
	close(j.changed)
	j.changed = make(chan struct{})
}

func (j *job) look() (jobState, chan struct{}) {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.state, j.changed
}

// jobs are the pieces of work that pages have asked for.
type jobs struct {
	mu    sync.Mutex
	byID  map[string]*job
	now   func() time.Time
	queue *queue
	root  context.Context
}

func newJobs(root context.Context, q *queue, now func() time.Time) *jobs {
	return &jobs{byID: map[string]*job{}, now: now, queue: q, root: root}
}

// start begins work that gives a file. It outlives the request that asked for
// it, and ends when it is cancelled or the site is.
func (js *jobs) start(name, mime string, work func(ctx context.Context, tell func(done, total int, what string)) ([]byte, error)) (*job, error) {
	js.mu.Lock()
	defer js.mu.Unlock()
	for id, j := range js.byID {
		if js.now().Sub(j.made) > jobLife {
			j.cancel()
			delete(js.byID, id)
		}
	}
	if len(js.byID) >= mostJobs {
		return nil, errBusy
	}
	ctx, cancel := context.WithCancel(js.root)
	var b [12]byte
	rand.Read(b[:])
	j := &job{id: hex.EncodeToString(b[:]), name: name, mime: mime, cancel: cancel, changed: make(chan struct{}), made: js.now()}
	j.state.What = "waiting for its turn"
	js.byID[j.id] = j
	go func() {
		defer cancel()
		var out []byte
		err := js.queue.do(ctx, func() error {
			return safely(func() error {
				var err error
				out, err = work(ctx, func(done, total int, what string) {
					j.update(func(s *jobState) { s.Done, s.Total, s.What = done, total, what })
				})
				return err
			})
		})
		j.update(func(s *jobState) {
			switch {
			case errors.Is(err, context.Canceled):
				s.Error = "It was cancelled."
			case err != nil:
				s.Error = sentence(err.Error())
			default:
				j.result, s.Ready, s.What = out, true, "ready"
			}
		})
	}()
	return j, nil
}

func (js *jobs) find(id string) *job {
	js.mu.Lock()
	defer js.mu.Unlock()
	return js.byID[id]
}

// follow sends a job's progress as server-sent events until it ends.
func (s *Site) follow(w http.ResponseWriter, r *http.Request) {
	j := s.jobs.find(r.PathValue("id"))
	if j == nil {
		s.missing(w, r)
		return
	}
	w.Header().Set("Content-Type", "text/event-stream")
	w.Header().Set("Cache-Control", "no-store")
	out := http.NewResponseController(w)
	for {
		state, changed := j.look()
		b, err := json.Marshal(state)
		if err != nil {
			return
		}
		fmt.Fprintf(w, "data: %s\n\n", b)
		if out.Flush() != nil || state.Ready || state.Error != "" {
			return
		}
		select {
		case <-changed:
		case <-r.Context().Done():
			return
		case <-time.After(20 * time.Second):
			fmt.Fprint(w, ": still here\n\n")
		}
	}
}

func (s *Site) cancelJob(w http.ResponseWriter, r *http.Request) {
	j := s.jobs.find(r.PathValue("id"))
	if j == nil {
		s.missing(w, r)
		return
	}
	j.cancel()
	w.WriteHeader(http.StatusNoContent)
}

func (s *Site) fetchJob(w http.ResponseWriter, r *http.Request) {
	j := s.jobs.find(r.PathValue("id"))
	if j == nil {
		s.missing(w, r)
		return
	}
	if state, _ := j.look(); !state.Ready {
		s.fail(w, r, http.StatusConflict, "This is not ready yet.")
		return
	}
	attachment(w, j.name, j.mime)
	w.Write(j.result)
}
