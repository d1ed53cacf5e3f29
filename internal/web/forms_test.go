package web

import (
	"context"
	"encoding/json"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"lapwright/internal/studio"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/steel"
)

// form1 opens the studio that was kept in form 1, as this program finds it.
func form1(t *testing.T) *studio.Studio {
	t.Helper()
	b, err := os.ReadFile("../studio/testdata/form1/studio.db")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, studio.FileName), b, 0o600); err != nil {
		t.Fatal(err)
	}
	st, err := studio.Open(t.Context(), dir, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { st.Close() })
	return st
}

// TestGripsOfForm1AreStillPlayed reads every kept grip of form 1 for its rig.
func TestGripsOfForm1AreStillPlayed(t *testing.T) {
	st := form1(t)
	site, err := New(t.Context(), st, Options{})
	if err != nil {
		t.Fatal(err)
	}
	list, err := st.List(t.Context(), studio.Grip)
	if err != nil || len(list) != 9 {
		t.Fatalf("%d grips, %v", len(list), err)
	}
	kinds := map[steel.Kind]bool{}
	for _, h := range list {
		it, err := st.Get(t.Context(), h.ID)
		if err != nil {
			t.Fatal(err)
		}
		b, g, err := site.readGrip(t.Context(), it.Body)
		if strings.HasPrefix(it.Title, "Gm") {
			// It engages the bender that went with the rig's last revision, or not.
			if strings.Contains(it.Body, `"A"`) || err == nil && b.Benders != 1 {
				t.Errorf("%s came as %s: %+v, %v", it.Title, it.Body, b, err)
			}
			if err != nil && !strings.Contains(err.Error(), "needs bender") {
				t.Errorf("%s: %v", it.Title, err)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s, kept as %s: %v", it.Title, it.Body, err)
			continue
		}
		kinds[b.Placement.Kind] = true
		again, err := b.text(g)
		if err != nil || again != it.Body {
			t.Errorf("%s is kept as %s and would be now as %s (%v)", it.Title, it.Body, again, err)
		}
	}
	if len(kinds) != 6 {
		t.Errorf("%d ways of laying the steel were met, of 6", len(kinds))
	}
}

// TestPinsKeepTheirBendersByLetter: a pin follows its bender when benders change
// places, and sleeps, saying so, when it is gone.
func TestPinsKeepTheirBendersByLetter(t *testing.T) {
	g, _ := rig.Builtin("bender-open-d")
	pinned := []string{"B"}
	as := 0
	extra, err := json.Marshal(report.TuneSettings{Wishes: map[string]report.Wishes{g.Name: {Octave: &as, Key: "D", Pins: []report.Pin{
		{Bar: 1, At: "0", Grip: [][2]int{{2, 0}}, Benders: &pinned, Words: "as typed"},
	}}}})
	if err != nil {
		t.Fatal(err)
	}
	it := &studio.Item{Content: studio.Content{Body: "X:1\nT:Slack Water\nM:4/4\nL:1/4\nK:D\nB,A,DE|\n", Extra: extra}}
	engaged := func(g *rig.Rig) (letters string, asleep []string) {
		t.Helper()
		shown, err := placeNow(t.Context(), it, g)
		if err != nil {
			t.Fatal(err)
		}
		return strings.Join(report.Marks(g, shown.result.Tab.Strokes[0].Benders), ""), shown.Asleep
	}
	if l, asleep := engaged(g); l != "B" || len(asleep) != 0 {
		t.Errorf("the pin engages %q, asleep %q", l, asleep)
	}
	turned := g.Clone()
	turned.Benders[0], turned.Benders[1] = turned.Benders[1], turned.Benders[0]
	if l, asleep := engaged(turned); l != "B" || len(asleep) != 0 {
		t.Errorf("with the benders changed about the pin engages %q, asleep %q", l, asleep)
	}
	short := g.Clone()
	short.Benders = short.Benders[:1]
	if l, asleep := engaged(short); l != "" || strings.Join(asleep, ";") != "bar 1: as typed needs bender B, which this instrument does not have" {
		t.Errorf("without the bender the pin engages %q, asleep %q", l, asleep)
	}
}

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
