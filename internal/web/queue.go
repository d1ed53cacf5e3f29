package web

import (
	"context"
	"errors"
	"slices"
	"sync"
	"time"
)

// errBusy is the answer when more work waits than can be done in good time.
var errBusy = errors.New("many people are asking for work at once; try again in a moment")

// turnLength is how long work may go on while others wait, before it steps
// aside for them: long enough to be worth its while, short enough not to be
// noticed.
const turnLength = 50 * time.Millisecond

// queue lets a few pieces of work run at a time and a bounded number wait. Each
// visitor has a line of their own and the lines take turns, so whoever asks for
// much waits behind themselves, not in front of the others.
type queue struct {
	slots, each int // at work at a time: in all, and for one visitor
	most        int // waiting, in all; one visitor may fill half of it
	turnLength  time.Duration

	// granted, when not nil, is told who has a turn and who waits for one, and
	// ended how work ended. Tests look with them.
	granted func(visitor string, waiting []string)
	ended   func(error)

	mu      sync.Mutex
	lines   map[string]*visitorQueue // by visitor
	next    []*visitorQueue          // with somebody waiting; the first has the next turn
	waiting int                      // pieces of work that have not begun
	running int
	begun   int // running or stepped aside: they hold memory
}

// visitorQueue is one visitor's work in a queue.
type visitorQueue struct {
	visitor string
	tickets []*ticket // waiting, what has stepped aside first
	begun   int
}

// ticket is one piece of work.
type ticket struct {
	line  *visitorQueue
	ready chan struct{} // closed when it has a slot
	begun bool
	held  bool // it has a slot
	since time.Time
}

func newQueue(slots, waiting int) *queue {
	return &queue{slots: slots, each: max(1, slots/2), most: waiting, turnLength: turnLength, lines: map[string]*visitorQueue{}}
}

// do runs work when the turn of the visitor that ctx names comes. It gives
// errBusy at once when too many wait already. Work must look at its context's
// Err often: that is where it ends when nobody wants it any more, and where it
// steps aside while others wait. A panic in it becomes an error.
func (q *queue) do(ctx context.Context, work func(ctx context.Context) error) error {
	t, err := q.join(visitorOf(ctx))
	if err != nil {
		return err
	}
	defer q.leave(t)
	if err := q.await(ctx, t); err != nil {
		return err
	}
	err = safely(func() error { return work(turn{ctx, q, t}) })
	if q.ended != nil {
		q.ended(err)
	}
	return err
}

// queued does work in a queue, as do does, and gives what it made.
func queued[T any](ctx context.Context, q *queue, work func(ctx context.Context) (T, error)) (T, error) {
	var made T
	err := q.do(ctx, func(ctx context.Context) error {
		var err error
		made, err = work(ctx)
		return err
	})
	return made, err
}

// turn is the context of work that has a slot.
type turn struct {
	context.Context
	queue  *queue
	ticket *ticket
}

// Err steps aside when it must, for as long as it must.
func (t turn) Err() error {
	if err := t.Context.Err(); err != nil {
		return err
	}
	t.queue.aside(t.ticket)
	return t.queue.await(t.Context, t.ticket)
}

// join puts a piece of work at the end of its visitor's line.
func (q *queue) join(visitor string) (*ticket, error) {
	q.mu.Lock()
	defer q.mu.Unlock()
	l := q.lines[visitor]
	own := 0
	if l != nil {
		for _, t := range l.tickets {
			if !t.begun {
				own++
			}
		}
	}
	if q.waiting >= q.most || own >= max(1, q.most/2) {
		return nil, errBusy
	}
	if l == nil {
		l = &visitorQueue{visitor: visitor}
		q.lines[visitor] = l
	}
	t := &ticket{line: l, ready: make(chan struct{})}
	q.waiting++
	q.wait(t, len(l.tickets))
	q.fill()
	return t, nil
}

// wait lets a ticket wait at a place in its line, and its line for its turn.
func (q *queue) wait(t *ticket, place int) {
	t.line.tickets = slices.Insert(t.line.tickets, place, t)
	if len(t.line.tickets) == 1 {
		q.next = append(q.next, t.line)
	}
}

// await returns when a ticket has a slot, or with ctx's error.
func (q *queue) await(ctx context.Context, t *ticket) error {
	q.mu.Lock()
	has := t.ready
	q.mu.Unlock()
	select {
	case <-has:
		return nil
	default:
	}
	select {
	case <-has:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// aside takes a ticket's slot away when its turn is over and somebody else
// could use it.
func (q *queue) aside(t *ticket) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if !t.held || time.Since(t.since) < q.turnLength || !slices.ContainsFunc(q.next, func(l *visitorQueue) bool { return l != t.line && q.may(l) }) {
		return
	}
	t.held, t.ready = false, make(chan struct{})
	q.running--
	q.wait(t, 0)
	q.fill()
}

// may reports whether a line's first ticket may have a slot as far as its own
// line goes, and memory.
func (q *queue) may(l *visitorQueue) bool {
	if l.tickets[0].begun {
		return true
	}
	return l.begun < q.each && q.begun < 4*q.slots
}

// fill gives free slots to those whose turn it is.
func (q *queue) fill() {
	for q.running < q.slots {
		i := slices.IndexFunc(q.next, q.may)
		if i < 0 {
			return
		}
		l := q.next[i]
		q.next = slices.Delete(q.next, i, i+1)
		t := l.tickets[0]
		l.tickets = l.tickets[1:]
		if len(l.tickets) > 0 {
			q.next = append(q.next, l)
		}
		if !t.begun {
			t.begun = true
			q.waiting--
			q.begun++
			l.begun++
		}
		t.held, t.since = true, time.Now()
		q.running++
		if q.granted != nil {
			var waiting []string
			for _, other := range q.next {
				if other != l {
					waiting = append(waiting, other.visitor)
				}
			}
			q.granted(l.visitor, waiting)
		}
		close(t.ready)
	}
}

// leave ends a piece of work, whether it has begun or not.
func (q *queue) leave(t *ticket) {
	q.mu.Lock()
	defer q.mu.Unlock()
	l := t.line
	if t.held {
		q.running--
	} else if i := slices.Index(l.tickets, t); i >= 0 {
		l.tickets = slices.Delete(l.tickets, i, i+1)
		if len(l.tickets) == 0 {
			i := slices.Index(q.next, l)
			q.next = slices.Delete(q.next, i, i+1)
		}
	}
	if t.begun {
		q.begun--
		l.begun--
	} else {
		q.waiting--
	}
	t.held = false
	if len(l.tickets) == 0 && l.begun == 0 {
		delete(q.lines, l.visitor)
	}
	q.fill()
}
