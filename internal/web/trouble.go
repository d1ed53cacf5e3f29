package web

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"mime/multipart"
	"net/http"
	"runtime/debug"
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/internal/studio"
	"lapwright/report"
)

// refusal is a request that is not carried out, with the status and the plain
// words that say why.
type refusal struct {
	status int
	words  string
}

func (e *refusal) Error() string { return e.words }

// errNowhere is the answer for what is not there.
var errNowhere = &refusal{http.StatusNotFound, "there is nothing at this address; it may have been removed"}

// errNoFile is the answer to a form that should bring a file and has none.
var errNoFile = &refusal{http.StatusBadRequest, "choose a file first"}

// ours is a panic: a mistake of ours, never of who asked.
type ours struct {
	panicked any
	stack    string
}

const ourOwnFault = "Something went wrong here, and it was our own fault. Your work is kept."

func (e *ours) Error() string { return "this is our own fault, not yours" }

// safely runs work and gives a panic as an error.
func safely(work func() error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = &ours{p, string(debug.Stack())}
		}
	}()
	return work()
}

// isOurs reports whether an error is a panic of ours.
func isOurs(err error) bool {
	var own *ours
	return errors.As(err, &own)
}

// notTheirs reports whether an error has nothing to do with what was sent, so
// that it is not to be shown as a fault in it.
func notTheirs(err error) bool {
	return isOurs(err) || errors.Is(err, errBusy) || errors.Is(err, context.Canceled)
}

// recovered turns our own mistakes into a page that says so.
func (p *pages) recovered(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			if v := recover(); v != nil {
				if err, ok := v.(error); ok && errors.Is(err, http.ErrAbortHandler) {
					panic(v)
				}
				p.trouble(w, r, &ours{v, string(debug.Stack())})
			}
		}()
		next.ServeHTTP(w, r)
	})
}

// wantsPage reports whether a person is waiting for a page rather than a script
// for an answer.
func wantsPage(r *http.Request) bool { return strings.Contains(r.Header.Get("Accept"), "text/html") }

// fail answers with a message: a page for people, JSON for scripts.
func (p *pages) fail(w http.ResponseWriter, r *http.Request, status int, message string) {
	if wantsPage(r) {
		p.show(w, r, status, page{"error", http.StatusText(status), message})
		return
	}
	writeJSON(w, status, report.Refusal{Error: message})
}

// elsewhere answers what no page of m does: with 405 where another method would
// be answered.
func elsewhere(m *http.ServeMux) func(http.ResponseWriter, *http.Request) error {
	return func(w http.ResponseWriter, r *http.Request) error {
		for _, method := range []string{http.MethodGet, http.MethodPost} {
			other := &http.Request{Method: method, URL: r.URL, Host: r.Host}
			if _, pattern := m.Handler(other); method != r.Method && strings.HasPrefix(pattern, method+" ") {
				w.Header().Add("Allow", method)
			}
		}
		if w.Header().Get("Allow") != "" {
			return &refusal{http.StatusMethodNotAllowed, "this address is not for that; open it from its page"}
		}
		return errNowhere
	}
}

// trouble answers with an error.
func (p *pages) trouble(w http.ResponseWriter, r *http.Request, err error) {
	var conflict *studio.Conflict
	if errors.Is(err, context.Canceled) {
		return // nobody waits for the answer
	}
	if errors.As(err, &conflict) {
		writeJSON(w, http.StatusConflict, report.Refusal{Error: "This was changed in another window. Your text is still here; copy what you need, then load the page again.", Current: conflict.Current})
		return
	}
	status := statusOf(err)
	if status == http.StatusServiceUnavailable {
		w.Header().Set("Retry-After", "5")
	}
	if status == http.StatusRequestEntityTooLarge {
		w.Header().Set("Connection", "close") // the rest is not read
	}
	p.note(r.URL.Path, status, err)
	p.fail(w, r, status, inWords(err))
}

// note logs what is for who keeps the program to know.
func (p *pages) note(path string, status int, err error) {
	var own *ours
	switch {
	case errors.As(err, &own):
		p.log.Error("our own fault", "path", path, "panic", own.panicked, "stack", own.stack)
	case status >= 500:
		p.log.Error("trouble", "path", path, "error", cause(err))
	}
}

// cause is what the machine said, for the log.
func cause(err error) error {
	var machine *studio.Trouble
	if errors.As(err, &machine) && machine.Err != nil {
		return machine.Err
	}
	return err
}

// statusOf returns the status that an error is answered with.
func statusOf(err error) int {
	var refused *refusal
	var machine *studio.Trouble
	var list fault.List
	var one *fault.Fault
	switch {
	case errors.Is(err, studio.ErrNone):
		return errNowhere.status
	case errors.As(err, &refused):
		return refused.status
	case errors.Is(err, studio.ErrCleared):
		return http.StatusGone
	case errors.Is(err, errBusy):
		return http.StatusServiceUnavailable
	case errors.As(err, &machine):
		return http.StatusInsufficientStorage
	case errors.As(err, &list), errors.As(err, &one):
		return http.StatusUnprocessableEntity
	case isOurs(err), notForPeople(err):
		return http.StatusInternalServerError
	}
	return http.StatusBadRequest
}

// inWords says an error as a page does.
func inWords(err error) string {
	switch {
	case errors.Is(err, studio.ErrNone):
		return sentence(errNowhere.words)
	case isOurs(err), notForPeople(err):
		return ourOwnFault
	}
	return sentence(err.Error())
}

// notForPeople reports whether an error is in the words of the library that met
// it. Who calls such a library says what it means; where that was forgotten it
// is our own fault.
func notForPeople(err error) bool {
	var one *fault.Fault
	var list fault.List
	var machine *studio.Trouble
	if errors.As(err, &one) || errors.As(err, &list) || errors.As(err, &machine) {
		return false // said in our own words
	}
	var number *strconv.NumError
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	var marshal *json.MarshalerError
	var path *fs.PathError
	var large *http.MaxBytesError
	for _, target := range []any{&number, &syntax, &kind, &marshal, &path, &large} {
		if errors.As(err, target) {
			return true
		}
	}
	for _, known := range []error{io.EOF, io.ErrUnexpectedEOF, http.ErrNotMultipart, http.ErrMissingBoundary, http.ErrMissingFile, multipart.ErrMessageTooLarge, bytes.ErrTooLarge, context.DeadlineExceeded} {
		if errors.Is(err, known) {
			return true
		}
	}
	return false
}
