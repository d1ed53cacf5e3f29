package web

import (
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"time"

	"lapwright/report"
)

// jobAnswers tell of work under way, and give what it made.
type jobAnswers struct{ work *jobs }

// asked is the job that a request names.
func (a jobAnswers) asked(r *http.Request) (*job, error) {
	if j := a.work.find(r.PathValue("id")); j != nil {
		return j, nil
	}
	return nil, errNowhere
}

// follow sends a job's progress as server-sent events until it ends.
func (a jobAnswers) follow(w http.ResponseWriter, r *http.Request) error {
	j, err := a.asked(r)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/event-stream")
	w.Header().Set("Cache-Control", "no-store")
	for {
		state, changed := j.look()
		if !sendProgress(w, state) || state.Ready || state.Error != "" {
			return nil
		}
		select {
		case <-changed:
		case <-r.Context().Done():
			return nil
		case <-time.After(20 * time.Second):
			fmt.Fprint(w, ": still here\n\n")
		}
	}
}

// sendProgress sends a job's state as an event; it reports whether it has gone out.
func sendProgress(w http.ResponseWriter, state report.Progress) bool {
	b, err := json.Marshal(state)
	if err != nil {
		return false
	}
	fmt.Fprintf(w, "data: %s\n\n", b)
	return http.NewResponseController(w).Flush() == nil
}

func (a jobAnswers) cancel(w http.ResponseWriter, r *http.Request) error {
	j, err := a.asked(r)
	if err != nil {
		return err
	}
	j.cancel()
	j.drop()
	w.WriteHeader(http.StatusNoContent)
	return nil
}

// fetch returns a finished file, and drops it once it has arrived whole; until then
// it can be fetched again.
func (a jobAnswers) fetch(w http.ResponseWriter, r *http.Request) error {
	j, err := a.asked(r)
	if err != nil {
		return err
	}
	f, err := j.file()
	if err != nil {
		return err
	}
	defer f.Close()
	attachment(w, j.name, j.mime)
	send(w, f)
	f.Close()
	if r.Method == http.MethodGet && http.NewResponseController(w).Flush() == nil {
		j.drop()
	}
	return nil
}

// send sends a file with its size. When it does not arrive whole the connection
// is broken off, so that nobody takes the part for all.
func send(w http.ResponseWriter, f *os.File) {
	if info, err := f.Stat(); err == nil {
		w.Header().Set("Content-Length", fmt.Sprint(info.Size()))
	}
	if _, err := io.Copy(w, f); err != nil {
		panic(http.ErrAbortHandler)
	}
}
