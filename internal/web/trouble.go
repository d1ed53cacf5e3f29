package web

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
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
func (s *Site) recovered(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			if p := recover(); p != nil {
				if err, ok := p.(error); ok && errors.Is(err, http.ErrAbortHandler) {
					panic(p)
				}
				s.trouble(w, r, &ours{p, string(debug.Stack())})
			}
		}()
		next.ServeHTTP(w, r)
	})
}

// wantsPage reports whether a person is waiting for a page rather than a script
// for an answer.
func wantsPage(r *http.Request) bool { return strings.Contains(r.Header.Get("Accept"), "text/html") }

// fail answers with a message: a page for people, JSON for scripts.
func (s *Site) fail(w http.ResponseWriter, r *http.Request, status int, message string) {
	if wantsPage(r) {
		s.page(w, r, status, "error", http.StatusText(status), message)
		return
	}
	s.json(w, status, report.Refusal{Error: message})
}

func (s *Site) missing(w http.ResponseWriter, r *http.Request) { s.trouble(w, r, errNowhere) }

// elsewhere answers what no page of m does: with 405 where another method would
// be answered.
func (s *Site) elsewhere(m *http.ServeMux) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		for _, method := range []string{http.MethodGet, http.MethodPost} {
			other := &http.Request{Method: method, URL: r.URL, Host: r.Host}
			if _, pattern := m.Handler(other); method != r.Method && strings.HasPrefix(pattern, method+" ") {
				w.Header().Add("Allow", method)
			}
		}
		if w.Header().Get("Allow") != "" {
			s.trouble(w, r, &refusal{http.StatusMethodNotAllowed, "this address is not for that; open it from its page"})
			return
		}
		s.missing(w, r)
	}
}

// answer makes a handler of one that gives back what went wrong, before it has
// answered anything itself: it is answered here.
func (s *Site) answer(h func(http.ResponseWriter, *http.Request) error) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		err := readForm(r)
		if err == nil {
			err = h(w, r)
		}
		if err != nil {
			s.trouble(w, r, err)
		}
	}
}

// readForm reads a form that a request carries, so that one which can't be read
// is refused and not taken for an empty one. Files are read by who wants them.
func readForm(r *http.Request) error {
	if r.Method != http.MethodPost || !strings.HasPrefix(r.Header.Get("Content-Type"), "application/x-www-form-urlencoded") {
		return nil
	}
	if err := r.ParseForm(); err != nil {
		return unreadable("the form", err)
	}
	return nil
}

// readFiles reads a form with files in it; up to so many bytes stay in memory.
func readFiles(r *http.Request, memory int64) error {
	if err := r.ParseMultipartForm(memory); err != nil {
		return unreadable("the form", err)
	}
	return nil
}

// readJSON reads what a page's script sends.
func readJSON(r *http.Request, v any) error {
	d := json.NewDecoder(r.Body)
	err := d.Decode(v)
	if err == nil {
		return nil
	}
	var kind *json.UnmarshalTypeError
	if errors.As(err, &kind) && kind.Field != "" {
		return &refusal{http.StatusBadRequest, fmt.Sprintf("%q is not what is expected under %q", kind.Value, kind.Field)}
	}
	return unreadable("the request", err)
}

// readKept reads JSON that the studio keeps.
func readKept(b []byte, what string, v any) error {
	if json.Unmarshal(b, v) != nil {
		return &refusal{http.StatusUnprocessableEntity, "what is kept of " + what + " can't be read; an earlier revision may be"}
	}
	return nil
}

// readNumber reads a whole number that a request names.
func readNumber(r *http.Request, name string) (int, error) {
	text := r.FormValue(name)
	n, err := strconv.Atoi(text)
	if err != nil {
		return 0, &refusal{http.StatusBadRequest, fmt.Sprintf("%q is no number for %q", text, name)}
	}
	return n, nil
}

// unreadable is the error for a request's body that could not be read, and why
// that was, if it is for the visitor to know.
func unreadable(what string, err error) error {
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return &refusal{http.StatusRequestEntityTooLarge, fmt.Sprintf("this is larger than %d MB, the most that is taken", large.Limit>>20)}
	}
	return &refusal{http.StatusBadRequest, what + " can't be read: it is broken off or not written as it should be"}
}

// trouble answers with an error.
func (s *Site) trouble(w http.ResponseWriter, r *http.Request, err error) {
	var conflict *studio.Conflict
	if errors.Is(err, context.Canceled) {
		return // nobody waits for the answer
	}
	if errors.As(err, &conflict) {
		s.json(w, http.StatusConflict, report.Refusal{Error: "This was changed in another window. Your text is still here; copy what you need, then load the page again.", Current: conflict.Current})
		return
	}
	status := statusOf(err)
	if status == http.StatusServiceUnavailable {
		w.Header().Set("Retry-After", "5")
	}
	if status == http.StatusRequestEntityTooLarge {
		w.Header().Set("Connection", "close") // the rest is not read
	}
	var own *ours
	switch {
	case errors.As(err, &own):
		s.options.Log.Error("our own fault", "path", r.URL.Path, "panic", own.panicked, "stack", own.stack)
	case status >= 500:
		s.options.Log.Error("trouble", "path", r.URL.Path, "error", cause(err))
	}
	s.fail(w, r, status, inWords(err))
}

// cause is what the machine said, for the log.
func cause(err error) error {
	var machine *studio.Trouble
	if errors.As(err, &machine) && machine.Err != nil {
		return machine.Err
	}
	return err
}

// statusOf gives the status that an error is answered with.
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
