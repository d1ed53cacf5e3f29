package web

import (
	"bufio"
	"context"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"os"
	"path/filepath"
	"sync"
	"time"

	"lapwright/report"
)

// The bounds on finished work that waits to be fetched: pieces of work under
// way or waiting to be fetched, in all and of one visitor, bytes on disk in all,
// and how long a file waits or silence is kept.
const (
	maxJobs     = 64
	maxJobsEach = 8
	maxSpooled  = 2 << 30
	jobLife     = 10 * time.Minute
)

// errManyJobs is the answer to a visitor who begins too many files at once.
var errManyJobs = &refusal{http.StatusServiceUnavailable, fmt.Sprintf("%d lessons of yours are being made or wait to be fetched, the most at a time; fetch or cancel one first", maxJobsEach)}

// errNoRoom is the answer when a file can't be written down to be fetched.
var errNoRoom = &refusal{http.StatusInsufficientStorage, "the disk for temporary files would not take this; make room on it and try again"}

// job is a piece of work that gives a file and whose progress a page follows.
type job struct {
	id      string
	visitor string
	name    string // the file it gives
	mime    string
	cancel  context.CancelFunc

	mu      sync.Mutex
	since   time.Time // of what was heard of it last
	state   report.Progress
	changed chan struct{} // closed and made anew at each change
	path    string        // of the finished file; "" before and after
	size    int64         // of the file, in bytes
}

func (j *job) update(now time.Time, change func(*report.Progress)) {
	j.mu.Lock()
	defer j.mu.Unlock()
	change(&j.state)
	j.since = now
	close(j.changed)
	j.changed = make(chan struct{})
}

func (j *job) look() (report.Progress, chan struct{}) {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.state, j.changed
}

func (j *job) heard() time.Time {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.since
}

// open reports whether a job is under way or has a file, and the file's size.
func (j *job) open() (bool, int64) {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.state.Error == "" && (!j.state.Ready || j.path != ""), j.size
}

// drop removes a job's file.
func (j *job) drop() {
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.path != "" {
		os.Remove(j.path)
	}
	j.path, j.size = "", 0
}

// jobs are the pieces of work that pages have asked for. What they give lies in
// files, not in memory.
type jobs struct {
	root  context.Context
	queue *queue
	now   func() time.Time
	log   *slog.Logger
	dir   string // of the files; it goes with root
	most  int64  // bytes on disk

	mu   sync.Mutex
	list []*job // oldest first
}

func newJobs(root context.Context, q *queue, now func() time.Time, log *slog.Logger) (*jobs, error) {
	dir, err := os.MkdirTemp("", "lapwright-*")
	if err != nil {
		return nil, fmt.Errorf("no temporary folder can be made: %w", err)
	}
	js := &jobs{root: root, queue: q, now: now, log: log, dir: dir, most: maxSpooled}
	go js.tidy()
	return js, nil
}

// tidy sweeps now and then, and clears up when the site ends.
func (js *jobs) tidy() {
	every := time.NewTicker(jobLife / 10)
	defer every.Stop()
	for {
		select {
		case <-every.C:
			js.sweep()
		case <-js.root.Done():
			os.RemoveAll(js.dir)
			return
		}
	}
}

// sweep forgets the jobs whose time is over.
func (js *jobs) sweep() {
	js.mu.Lock()
	defer js.mu.Unlock()
	kept := js.list[:0]
	for _, j := range js.list {
		if js.now().Sub(j.heard()) <= jobLife {
			kept = append(kept, j)
			continue
		}
		j.cancel()
		j.drop()
	}
	clear(js.list[len(kept):])
	js.list = kept
}

// start begins work that writes a file. It outlives the request that asked for
// it, and ends when it is cancelled, its time is over or the site ends.
func (js *jobs) start(visitor, name, mime string, work func(ctx context.Context, tell func(done, total int, what string), out io.Writer) error) (*job, error) {
	js.sweep()
	js.mu.Lock()
	defer js.mu.Unlock()
	all, own := 0, 0
	for _, j := range js.list {
		if open, _ := j.open(); open {
			all++
			if j.visitor == visitor {
				own++
			}
		}
	}
	switch {
	case own >= maxJobsEach:
		return nil, errManyJobs
	case all >= maxJobs:
		return nil, errBusy
	}
	ctx, cancel := context.WithCancel(context.WithValue(js.root, visitorKey, visitor))
	var b [12]byte
	rand.Read(b[:])
	j := &job{id: hex.EncodeToString(b[:]), visitor: visitor, name: name, mime: mime, cancel: cancel, changed: make(chan struct{}), since: js.now()}
	j.state.What = "waiting for its turn"
	js.list = append(js.list, j)
	go func() {
		defer cancel()
		err := js.queue.do(ctx, func(ctx context.Context) error {
			return js.spool(j, func(out io.Writer) error {
				return work(ctx, func(done, total int, what string) {
					j.update(js.now(), func(s *report.Progress) { s.Done, s.Total, s.What = done, total, what })
				}, out)
			})
		})
		js.finish(j, err)
	}()
	return j, nil
}

// spool writes what work gives into a file of its own.
func (js *jobs) spool(j *job, work func(io.Writer) error) (err error) {
	f, err := os.Create(filepath.Join(js.dir, j.id))
	if err != nil {
		return errNoRoom
	}
	out := bufio.NewWriterSize(f, 1<<20)
	err = work(out)
	if err == nil {
		if out.Flush() != nil {
			err = errNoRoom
		}
	}
	size := int64(0)
	if info, bad := f.Stat(); bad == nil {
		size = info.Size()
	}
	f.Close()
	if err != nil {
		os.Remove(f.Name())
		return err
	}
	j.mu.Lock()
	j.path, j.size = f.Name(), size
	j.mu.Unlock()
	return nil
}

// finish says how a job ended, and makes room for its file.
func (js *jobs) finish(j *job, err error) {
	if err != nil {
		js.log.Debug("job", "name", j.name, "error", err)
	}
	if js.root.Err() != nil {
		os.RemoveAll(js.dir) // it may have been written after tidy was through
	}
	j.update(js.now(), func(s *report.Progress) {
		var own *ours
		switch {
		case errors.Is(err, context.Canceled):
			s.Error = "It was cancelled."
		case errors.As(err, &own):
			js.log.Error("our own fault", "panic", own.panicked, "stack", own.stack)
			s.Error = ourOwnFault
		case err != nil:
			s.Error = inWords(err)
		default:
			s.Ready, s.What = true, "ready"
		}
	})
	js.makeRoom(j)
}

// makeRoom drops finished files until they fit: always the oldest of whoever
// has most, and the newest last.
func (js *jobs) makeRoom(newest *job) {
	js.mu.Lock()
	defer js.mu.Unlock()
	for {
		held, total := map[string]int64{}, int64(0)
		for _, j := range js.list {
			_, size := j.open()
			held[j.visitor] += size
			total += size
		}
		if total <= js.most {
			return
		}
		var last *job
		for _, j := range js.list {
			if _, size := j.open(); size > 0 && j != newest && (last == nil || held[j.visitor] > held[last.visitor]) {
				last = j
			}
		}
		if last == nil {
			return
		}
		last.drop()
	}
}

func (js *jobs) find(id string) *job {
	js.mu.Lock()
	defer js.mu.Unlock()
	for _, j := range js.list {
		if j.id == id {
			return j
		}
	}
	return nil
}

// file opens a job's finished file.
func (j *job) file() (*os.File, error) {
	j.mu.Lock()
	defer j.mu.Unlock()
	if !j.state.Ready {
		return nil, &refusal{http.StatusConflict, "this is not ready yet"}
	}
	f, err := os.Open(j.path)
	if err != nil {
		return nil, &refusal{http.StatusGone, "this file was fetched already, or waited too long; make the lesson again"}
	}
	return f, nil
}
