package web

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"regexp"
	"strings"
	"testing"

	"lapwright/internal/studio"
	"lapwright/internal/workbench"
)

// machineWords are what Go's own errors look like.
var machineWords = regexp.MustCompile(`strconv|json:|invalid character|unmarshal|EOF|multipart|mime|http:|parsing "|runtime error|goroutine|\.go:|kaboom|nil pointer|invalid URL escape|sql:`)

// TestOurOwnFaultsAreCalledOurs: a panic, wherever it happens, is answered with
// 500 in plain words, and logged with its stack.
func TestOurOwnFaultsAreCalledOurs(t *testing.T) {
	var log bytes.Buffer
	site, err := New(t.Context(), newStudio(t), Options{Log: slog.New(slog.NewTextHandler(&log, nil))})
	if err != nil {
		t.Fatal(err)
	}
	for name, h := range map[string]func(http.ResponseWriter, *http.Request) error{
		"in a handler": func(http.ResponseWriter, *http.Request) error { panic("kaboom") },
		"in a queue": func(_ http.ResponseWriter, r *http.Request) error {
			return site.tabs.light.do(r.Context(), func(context.Context) error { panic("kaboom") })
		},
		"in a cache": func(_ http.ResponseWriter, r *http.Request) error {
			_, err := site.tabs.placer.tabs.get(r.Context(), "x", func(context.Context) (*workbench.Tab, int64, error) { panic("kaboom") })
			return err
		},
		"in what nobody put into words": func(http.ResponseWriter, *http.Request) error {
			return fmt.Errorf("reading kaboom: %w", io.ErrUnexpectedEOF)
		},
	} {
		for _, accept := range []string{"application/json", "text/html"} {
			log.Reset()
			w, r := httptest.NewRecorder(), httptest.NewRequest("GET", "/", nil)
			r.Header.Set("Accept", accept)
			site.pages.recovered(site.pages.answer(h)).ServeHTTP(w, r)
			if w.Code != http.StatusInternalServerError || machineWords.MatchString(w.Body.String()) || !strings.Contains(w.Body.String(), "our own fault") {
				t.Errorf("%s (%s): status %d, %.300q", name, accept, w.Code, w.Body)
			}
			if !strings.Contains(log.String(), "kaboom") {
				t.Errorf("%s (%s): the log has %.300q", name, accept, log.String())
			}
		}
	}
}

// TestAnswersAreInPlainWords sends what can't be read to every kind of address:
// the status says what is wrong, and the words are ours.
func TestAnswersAreInPlainWords(t *testing.T) {
	st, server := serve(t)
	tunes, err := st.List(t.Context(), studio.Tune)
	if err != nil {
		t.Fatal(err)
	}
	long, err := st.Add(t.Context(), studio.Tune, studio.Content{Title: "Long", Body: longTune(workbench.MaxNotes + 8)}, false)
	if err != nil {
		t.Fatal(err)
	}
	endless, err := st.Add(t.Context(), studio.Tune, studio.Content{Title: "Endless", Body: "X:1\nT:Endless\nM:4/4\nL:1/1\nQ:1/4=10\nK:G\n" + strings.Repeat("G|", 80) + "\n"}, false)
	if err != nil {
		t.Fatal(err)
	}
	odd, err := st.Add(t.Context(), studio.Tune, studio.Content{Title: "Odd", Body: "X:1\nK:G\nG\n", Extra: []byte(`{"tempo":"fast"}`)}, false)
	if err != nil {
		t.Fatal(err)
	}
	tune := tunes[0].ID
	const form, script = "application/x-www-form-urlencoded", "application/json"
	large := strings.Repeat("x", maxForm+1)
	for _, c := range []struct {
		method, path, kind, body string
		status                   int
		want                     string
	}{
		{"POST", "/items/" + tune + "/save", script, `{`, 400, "can't be read"},
		{"POST", "/items/" + tune + "/save", script, ``, 400, "can't be read"},
		{"POST", "/items/" + tune + "/save", script, `{"base":"two"}`, 400, `base`},
		{"POST", "/items/" + tune + "/save", script, `[1]`, 400, "can't be read"},
		{"POST", "/items/" + tune + "/save", script, `{"body":"` + large + `"}`, 413, "larger than 8 MB"},
		{"POST", "/items/" + tune + "/undo", form, `base=two`, 400, "no number"},
		{"POST", "/items/" + tune + "/nonsense", script, `{}`, 404, "nothing at this address"},
		{"POST", "/tunes/check", script, `{"text":5}`, 400, "text"},
		{"POST", "/tunes/check", script, `{"text":"` + large + `"}`, 413, "larger than 8 MB"},
		{"POST", "/tunes/begin", form, "title=" + large, 413, "larger than 8 MB"},
		{"POST", "/tunes/begin", form, "title=%zz", 400, "can't be read"},
		{"POST", "/tunes", "multipart/form-data", "x", 400, "can't be read"},
		{"POST", "/tunes", "multipart/form-data; boundary=b", "--b\r\nbroken", 400, "can't be read"},
		{"POST", "/tunes", form, "text=" + strings.ReplaceAll(longTune(workbench.MaxNotes+8), "\n", "%0A"), 422, "takes tunes of up to 10000"},
		{"POST", "/studio/import", form, "x=1", 400, "can't be read"},
		{"POST", "/grips", form, "grip={", 422, "no grip"},
		{"POST", "/rigs/edit", script, `{"text":"x","string":{"number":"one"}}`, 400, "number"},
		{"GET", "/tunes/" + tune + "/choices?rig=lap6-c6&stroke=two", "", "", 400, "no number"},
		{"GET", "/tunes/" + tune + "/choices?rig=lap6-c6&stroke=90000", "", "", 404, "nothing at this address"},
		{"GET", "/tunes/" + tune + "/shown?rig=nonsense", "", "", 422, "no instrument"},
		{"GET", "/tunes/" + tune + "/shown?rig=lap6-c6&revision=two", "", "", 404, "nothing at this address"},
		{"GET", "/tunes/" + long.ID + "/rank", "", "", 422, "notes, and the workbench takes tunes of up to 10000"},
		{"GET", "/tunes/" + long.ID + "/shown?rig=lap6-c6", "", "", 422, "part it into several"},
		{"GET", "/tunes/" + endless.ID + "/sound?rig=lap6-c6", "", "", 422, "plays for 32 minutes"},
		{"GET", "/tunes/" + odd.ID, "", "", 200, "The setting “tempo” can't be read and is left out"},
		{"GET", "/tunes/" + odd.ID + "/words?rig=lap6-c6", "", "", 200, `{"words":`},
		{"GET", "/rigs/lap6-c6/tone?string=one&way=just", "", "", 400, "no number"},
		{"GET", "/rigs/lap6-c6/tone?string=9&way=just", "", "", 422, "no such string"},
		{"GET", "/jobs/x/file", "", "", 404, "nothing at this address"},
		{"GET", "/signout", "", "", 405, "not for that"},
		{"PUT", "/tunes", "", "", 405, "not for that"},
		{"DELETE", "/tunes/" + tune, "", "", 405, "not for that"},
		{"POST", "/trash", "", "", 405, "not for that"},
		{"POST", "/no/such/page", "", "", 404, "nothing at this address"},
	} {
		res, body := asks(t, server, c.method, c.path, c.body, header("Content-Type", c.kind))
		if res.StatusCode != c.status || !strings.Contains(body, c.want) || machineWords.MatchString(body) {
			t.Errorf("%s %s %.40q: status %d, %.200q, want %d with %q", c.method, c.path, c.body, res.StatusCode, body, c.status, c.want)
		}
		if c.status == 405 && res.Header.Get("Allow") == "" {
			t.Errorf("%s %s: it is not said what is allowed", c.method, c.path)
		}
	}
}
