package web

import (
	"context"
	"encoding/json"
	"io"
	"net/http"
	"strings"
	"testing"

	"lapwright/internal/studio"
)

// TestWrongKindsAreNotKept: what could not be read again is refused when it is
// saved, and what an archive brought of it is left out with a word.
func TestWrongKindsAreNotKept(t *testing.T) {
	st, server := serve(t)
	ctx := context.Background()
	add := func(kind studio.Kind, body, extra string) *studio.Item {
		it, err := st.Add(ctx, kind, studio.Content{Title: "t", Body: body, Extra: json.RawMessage(extra)}, false)
		if err != nil {
			t.Fatal(err)
		}
		return it
	}
	ask := func(method, path, body string) (int, string) {
		r, err := http.NewRequest(method, server.URL+path, strings.NewReader(body))
		if err != nil {
			t.Fatal(err)
		}
		if method == http.MethodPost {
			r.Header.Set("Content-Type", "application/json")
		} else {
			r.Header.Set("Accept", "text/html")
		}
		resp, err := http.DefaultClient.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		defer resp.Body.Close()
		b, err := io.ReadAll(resp.Body)
		if err != nil {
			t.Fatal(err)
		}
		return resp.StatusCode, string(b)
	}
	abc := "X:1\nT:t\nM:4/4\nL:1/4\nK:G\nGABc|\n"
	for _, c := range []struct {
		kind studio.Kind
		body string
		save string
		want string
	}{
		{studio.Tune, abc, `{"base":1,"extra":{"tempo":"fast"}}`, `a string is no value for \"tempo\"`},
		{studio.Tune, abc, `{"base":1,"extra":{"wishes":{"reso-open-g":{"capo":"2"}}}}`, `a string is no value`},
		{studio.Tune, abc, `{"base":1,"extra":{"wishes":{"reso-open-g":{"pins":[{"bar":1,"benders":3}]}}}}`, `a number is no value`},
		{studio.Lesson, `{"tune":"x","rigs":[]}`, `{"base":1,"body":"{\"rigs\":\"reso-open-g\"}"}`, `The lesson can't be kept`},
		{studio.Grip, `{"rig":"reso-open-g","want":"G","placement":{"kind":"open"},"strings":[1]}`, `{"base":1,"body":"{\"rig\":7}"}`, `The grip can't be kept`},
	} {
		it := add(c.kind, c.body, "{}")
		status, answer := ask(http.MethodPost, "/items/"+it.ID+"/save", c.save)
		if status != http.StatusUnprocessableEntity || !strings.Contains(answer, c.want) {
			t.Errorf("%s: %d %s, want %s", c.save, status, answer, c.want)
		}
		if now, err := st.Get(ctx, it.ID); err != nil || now.Revision != 1 {
			t.Errorf("%s: it is at revision %d, %v", c.save, now.Revision, err)
		}
	}
	brought := add(studio.Tune, abc, `{"tempo":"fast","rig":"lap6-c6","wishes":{"lap6-c6":{"capo":[]},"reso-open-g":{"closed":true}}}`)
	status, page := ask(http.MethodGet, "/tunes/"+brought.ID, "")
	if status != http.StatusOK || !strings.Contains(page, "The setting “tempo” can't be read") || !strings.Contains(page, "The setting “wishes for lap6-c6” can't be read") ||
		!strings.Contains(page, `"closed":true`) || strings.Contains(page, "fast") {
		t.Errorf("settings of a wrong kind gave %d %s", status, page)
	}
	if status, answer := ask(http.MethodGet, "/tunes/"+brought.ID+"/shown?rig=lap6-c6", ""); status != http.StatusOK {
		t.Errorf("its sheet gave %d %s", status, answer)
	}
}
