package web

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"lapwright/internal/studio"
)

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
func readJSON[T any](r *http.Request) (T, error) {
	var v T
	err := json.NewDecoder(r.Body).Decode(&v)
	if err == nil {
		return v, nil
	}
	var kind *json.UnmarshalTypeError
	if errors.As(err, &kind) && kind.Field != "" {
		return v, &refusal{http.StatusBadRequest, fmt.Sprintf("%q is not what is expected under %q", kind.Value, kind.Field)}
	}
	return v, unreadable("the request", err)
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

// askedItem is the item of a kind that a request names, at the revision that it
// names.
func askedItem(st *studio.Studio, r *http.Request, kind studio.Kind) (*studio.Item, error) {
	return itemAsked(st, r, r.PathValue("id"), kind)
}

// itemAsked is an item of a kind, at the revision that a request names.
func itemAsked(st *studio.Studio, r *http.Request, id string, kind studio.Kind) (*studio.Item, error) {
	var it *studio.Item
	var err error
	if text := r.FormValue("revision"); text != "" {
		n, bad := strconv.Atoi(text)
		if bad != nil {
			return nil, studio.ErrNone // as for any revision that is not there
		}
		it, err = st.GetRevision(r.Context(), id, n)
	} else {
		it, err = st.Get(r.Context(), id)
	}
	if err == nil && it.Kind != kind {
		err = studio.ErrNone
	}
	return it, err
}
