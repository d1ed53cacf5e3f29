package web

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lapwright/internal/recording"
	"lapwright/internal/studio"
	"lapwright/internal/take"
	"lapwright/internal/workbench"
	"lapwright/notation"
	"lapwright/report"
	"lapwright/rig/rigtest"
	"lapwright/sound"
	"lapwright/sound/wav"
)

const playedTune = "X:1\nT:Harbour Steps\nM:4/4\nL:1/4\nQ:1/4=120\nK:C\nCEGc|AGE2|FAcA|G2E2|]\n"

// playedFile sounds a tune of the studio on a rig as a student would play it, and
// gives a WAVE file of it with half a second of silence around.
func playedFile(t *testing.T, st *studio.Studio, it *studio.Item) (file string, seconds float64) {
	t.Helper()
	tab, err := workbench.Place(context.Background(), it, rigtest.Builtin(t, "lap6-c6"))
	if err != nil {
		t.Fatal(err)
	}
	stems, err := sound.RenderStems(tab.Result.Tab, sound.Options{})
	if err != nil {
		t.Fatal(err)
	}
	a := &sound.Audio{}
	for _, c := range stems.Lead.Channels {
		a.Channels = append(a.Channels, append(append(make([]float32, sound.Rate/2), c...), make([]float32, sound.Rate/2)...))
	}
	file = filepath.Join(t.TempDir(), "played.wav")
	if err := os.WriteFile(file, wav.Write(a), 0o600); err != nil {
		t.Fatal(err)
	}
	return file, float64(a.Len()) / sound.Rate
}

// sendTake sends a recording as the page does.
func sendTake(t *testing.T, base, tune string, b []byte, name string) (status int, said struct{ Go, Error string }) {
	t.Helper()
	res, err := http.Post(fmt.Sprintf("%s/takes?tune=%s&rig=lap6-c6&player=Wren&tuned=equal&name=%s", base, tune, name), "application/octet-stream", bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	if err := json.NewDecoder(res.Body).Decode(&said); err != nil {
		t.Fatal(err)
	}
	return res.StatusCode, said
}

func fetched(t *testing.T, address string) (int, string) {
	t.Helper()
	res, err := http.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	b, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	return res.StatusCode, string(b)
}

// TestTakesWithoutATune: a studio that has no tune says what a recording and what a student's saved take need first.
func TestTakesWithoutATune(t *testing.T) {
	site, err := New(t.Context(), newStudio(t), Options{}) // not furnished
	if err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(site.Handler())
	defer server.Close()
	_, body := asks(t, server, "GET", "/takes", "", nil)
	if strings.Contains(body, `id="take-file"`) || !strings.Contains(body, "there is none yet") || !strings.Contains(body, "is heard against the tune of its lesson") {
		t.Errorf("without a tune the takes' page says %.1500q", body)
	}
}

// playedTake serves a studio that has a tune, and gives a recording of it.
func playedTake(t *testing.T) (*studio.Studio, *httptest.Server, *studio.Item, []byte) {
	t.Helper()
	st, server := serve(t)
	it, err := st.Add(context.Background(), studio.Tune, studio.Content{Title: "Harbour Steps", Body: playedTune}, false)
	if err != nil {
		t.Fatal(err)
	}
	file, _ := playedFile(t, st, it)
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return st, server, it, b
}

// TestATakeAlongIsToldAgainstTheClick: what the page sounded while it recorded is kept with the take and what is late is told
// against it, of the tune as it then was; what no page says is refused.
func TestATakeAlongIsToldAgainstTheClick(t *testing.T) {
	st, server, it, b := playedTake(t)
	// It was changed since in another window.
	if _, err := st.Save(context.Background(), it.ID, it.Revision, studio.Content{Title: it.Title, Body: strings.Replace(playedTune, "CEGc", "cGEC", 1)}, ""); err != nil {
		t.Fatal(err)
	}
	// The recording begins half a second before its music; it is 40 ms later than what sounded, and the device hears 90 ms late.
	const along = `{"rounds":[{"at":0.37,"from":0,"to":8.5,"speed":1}],"delay":0.09}`
	query := func(text string) string { return it.ID + "&revision=1&along=" + url.QueryEscape(text) }
	status, said := sendTake(t, server.URL, query(along), b, "played.wav")
	if status != http.StatusOK {
		t.Fatalf("answered %d %+v", status, said)
	}
	kept, err := st.Get(context.Background(), strings.TrimPrefix(said.Go, "/takes/"))
	if err != nil {
		t.Fatal(err)
	}
	k, err := workbench.ReadTake(kept)
	if err != nil {
		t.Fatal(err)
	}
	if k.TuneRevision != 1 || k.Review.Against != "click" {
		t.Errorf("the take is of revision %d, and lateness is against %q, want 1 and the click", k.TuneRevision, k.Review.Against)
	}
	for _, n := range k.Review.Notes {
		late := math.NaN()
		if n.Late != nil {
			late = *n.Late
		}
		if !(math.Abs(late-40) <= 3) {
			t.Errorf("the note at %s is %.1f ms late, want 40", n.At, late)
		}
	}
	for _, text := range []string{"{", `{"rounds":[]}`, `{"rounds":[{"at":0,"from":1,"to":0,"speed":1}]}`, `{"rounds":[{"at":0,"from":0,"to":1,"speed":1}],"delay":9}`, `{"other":1}`} {
		if status, said := sendTake(t, server.URL, query(text), b, "played.wav"); status != http.StatusBadRequest || !strings.Contains(said.Error, "played along") {
			t.Errorf("%s is answered with %d %+v", text, status, said)
		}
	}
}

// TestATakeIsKeptAndReviewed: what is sent is heard, kept as FLAC at 48 kHz, shown, printed, changed
// only from the revision that was seen, and refused with a sentence when it is no recording.
func TestATakeIsKeptAndReviewed(t *testing.T) {
	st, server, it, b := playedTake(t)
	status, said := sendTake(t, server.URL, it.ID, b, "played.wav")
	if status != http.StatusOK || !strings.HasPrefix(said.Go, "/takes/") {
		t.Fatalf("answered %d %+v", status, said)
	}
	status, page := fetched(t, server.URL+said.Go)
	if n := strings.Count(page, "data-from="); status != http.StatusOK || n != 13 || strings.Count(page, `class="played"`) != 26 {
		t.Errorf("the page (%d) tells %d notes, want 13, and marks %d on two sheets", status, n, strings.Count(page, `class="played"`))
	}
	if status, flac := fetched(t, server.URL+said.Go+"/sound"); status != http.StatusOK || !strings.HasPrefix(flac, "fLaC") {
		t.Errorf("the sound is answered with %d and begins %.4q", status, flac)
	}
	if status, pdf := fetched(t, server.URL+said.Go+"/handout.pdf"); status != http.StatusOK || !strings.HasPrefix(pdf, "%PDF-") {
		t.Errorf("the handout is answered with %d and begins %.5q", status, pdf)
	}
	note := func(base, n int) int {
		body, err := json.Marshal(report.AskedTakeNote{Base: base, Note: n, TakeNote: report.TakeNote{Right: true, Word: "so be it"}})
		if err != nil {
			t.Fatal(err)
		}
		res, err := http.Post(server.URL+said.Go+"/note", "application/json", bytes.NewReader(body))
		if err != nil {
			t.Fatal(err)
		}
		res.Body.Close()
		return res.StatusCode
	}
	for _, c := range []struct{ base, note, want int }{{1, 2, http.StatusOK}, {1, 3, http.StatusConflict}, {2, 13, http.StatusNotFound}, {2, -1, http.StatusNotFound}} {
		if got := note(c.base, c.note); got != c.want {
			t.Errorf("said of note %d from revision %d: answered %d, want %d", c.note, c.base, got, c.want)
		}
	}
	if _, page = fetched(t, server.URL+said.Go); !strings.Contains(page, "so be it") {
		t.Error("what was said of a note is not on the page")
	}
	keepAnExercise(t, st, server.URL, it.ID, b)
	silence := wav.Write(&sound.Audio{Channels: [][]float32{make([]float32, 3*sound.Rate)}})
	if status, said = sendTake(t, server.URL, it.ID, silence, "silence.wav"); status != http.StatusOK {
		t.Fatalf("silence is answered with %d %+v", status, said)
	}
	if _, page = fetched(t, server.URL+said.Go); !strings.Contains(page, "silent or nearly so") || strings.Contains(page, "data-from=") {
		t.Error("the page of a silent take doesn't say that alone")
	}
	for name, bad := range map[string][]byte{"no.wav": []byte("no recording"), "short.wav": b[:60], "empty.wav": {}} {
		if status, said = sendTake(t, server.URL, it.ID, bad, name); status != http.StatusUnprocessableEntity || !strings.HasPrefix(said.Error, name) {
			t.Errorf("%s is answered with %d %+v", name, status, said)
		}
	}
	if status, said = sendTake(t, server.URL, "0123456789abcdef", b, "played.wav"); status != http.StatusNotFound {
		t.Errorf("a take of no tune is answered with %d %+v", status, said)
	}
	if status, said = sendTake(t, server.URL, it.ID, make([]byte, maxTake+1), "long.wav"); status != http.StatusRequestEntityTooLarge {
		t.Errorf("a take that is too large is answered with %d %+v", status, said)
	}
}

// keepAnExercise brings a take that sounds 35 cents flat throughout, whose advice has an
// exercise: one click keeps it as a tune that is placed as it was made.
func keepAnExercise(t *testing.T, st *studio.Studio, base, tune string, good []byte) {
	t.Helper()
	rec, err := recording.Read(good, "played.wav")
	if err != nil {
		t.Fatal(err)
	}
	// A recording that is told to be slower sounds flat throughout: 35 cents.
	flat := &sound.Audio{Channels: [][]float32{(&recording.Recording{Rate: rec.Rate / math.Exp2(-35.0/1200), Channels: rec.Channels[:1]}).At(sound.Rate)}}
	_, said := sendTake(t, base, tune, wav.Write(flat), "flat.wav")
	it, err := st.Get(context.Background(), strings.TrimPrefix(said.Go, "/takes/"))
	if err != nil {
		t.Fatal(err)
	}
	k, err := workbench.ReadTake(it)
	if err != nil || len(k.Review.Advice) == 0 || k.Review.Advice[0].Drill == nil {
		t.Fatalf("the advice is %+v (%v)", k.Review.Advice, err)
	}
	d := k.Review.Advice[0].Drill
	if _, page := fetched(t, base+said.Go); !strings.Contains(page, "Exercise: "+d.Title) || !strings.Contains(page, `name="advice" value="0">Keep it as a tune`) {
		t.Errorf("the page does not offer %q", d.Title)
	}
	for _, c := range []struct {
		advice string
		want   int
	}{{"0", http.StatusOK}, {"9", http.StatusNotFound}, {"-1", http.StatusNotFound}, {"x", http.StatusNotFound}} {
		res, err := http.PostForm(base+said.Go+"/exercise", url.Values{"advice": {c.advice}})
		if err != nil {
			t.Fatal(err)
		}
		res.Body.Close()
		if res.StatusCode != c.want {
			t.Errorf("keeping exercise %s is answered with %d, want %d", c.advice, res.StatusCode, c.want)
		}
		if c.want != http.StatusOK {
			continue
		}
		made, err := st.Get(context.Background(), strings.TrimPrefix(res.Request.URL.Path, "/tunes/"))
		if err != nil {
			t.Fatal(err)
		}
		g := rigtest.Builtin(t, "lap6-c6")
		placed, err := workbench.Place(context.Background(), made, g)
		if err != nil {
			t.Fatal(err)
		}
		want, _, err := notation.ReadTab([]byte(d.Tab), "exercise.txt", g)
		if err != nil {
			t.Fatal(err)
		}
		if got := placed.Result.Tab; made.Title != d.Title || len(got.Strokes) != len(want.Strokes) {
			t.Fatalf("%q is kept as %q, with %d strokes of %d", d.Title, made.Title, len(got.Strokes), len(want.Strokes))
		} else {
			for i := range want.Strokes {
				for j, p := range want.Strokes[i].Plucks {
					if q := got.Strokes[i].Plucks[j]; q.String != p.String || q.Fret != p.Fret {
						t.Errorf("stroke %d is kept as string %d fret %g, was string %d fret %g", i, q.String, q.Fret, p.String, p.Fret)
					}
				}
			}
		}
	}
}

// TestTakesAreAsLongOnAPage: a student's page records as long as a take may be that the workbench keeps.
func TestTakesAreAsLongOnAPage(t *testing.T) {
	b, err := os.ReadFile("src/listening.ts")
	if err != nil {
		t.Fatal(err)
	}
	if want := fmt.Sprintf("const mostSeconds = %d;", take.MaxSeconds); !strings.Contains(string(b), want) {
		t.Errorf("src/listening.ts lacks %q", want)
	}
}
