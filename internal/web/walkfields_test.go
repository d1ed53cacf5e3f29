package web

import (
	"fmt"
	"testing"

	"lapwright/internal/studio"
)

// TestFieldsAreSeenAndHeard: what makes a tab easier or richer is chosen in the fields of
// a tune's page, is seen on the sheet, and is what sounds: grade, touch, harmony, what
// accompanies, and the phrases around the tune. Each choice stands in its field when the
// page is opened again.
func TestFieldsAreSeenAndHeard(t *testing.T) {
	t.Parallel()
	st, server := serve(t)
	it, err := st.Add(t.Context(), studio.Tune, studio.Content{Title: "Fields", Body: "X:1\nT:Fields\nR:reel\nM:4/4\nL:1/8\nQ:1/4=200\nK:G\n\"G\"G2AB dBAG|\"C\"c2BA \"D7\"FGAF|\"G\"GBdB gdBd|\"D7\"cAFA \"G\"G4|]\n", Extra: []byte(`{"rig":"reso-open-g"}`)}, false)
	if err != nil {
		t.Fatal(err)
	}
	b := newWindow(t, server.URL, true)
	b.inject(anEar)
	b.open("/tunes/" + it.ID)
	b.until("document.querySelector('.wide-sheet g.stroke')")
	strokes := "document.querySelectorAll('.wide-sheet g.stroke').length"
	says := func(words string) string {
		return fmt.Sprintf("[...document.querySelectorAll('.wide-sheet text')].some(t => t.textContent === %q)", words)
	}
	about := func(words string) string {
		return fmt.Sprintf("document.querySelector('#about').textContent.includes(%q)", words)
	}
	revision := 1
	// sound is what the page would play of what it shows now: its length in seconds, and
	// its samples summed in squares.
	type heard struct{ Seconds, Power float64 }
	sound := func() heard {
		t.Helper()
		return value[heard](b, fmt.Sprintf("fetch('/tunes/%s/sound?rig=reso-open-g&revision=%d').then(r => r.arrayBuffer()).then(d => new OfflineAudioContext(1, 1, 48000).decodeAudioData(d)).then(d => ({Seconds: d.duration, Power: d.getChannelData(0).reduce((s, v) => s + v * v, 0)}))", it.ID, revision))
	}
	before, count := sound(), value[int](b, strokes)
	if before.Seconds < 3 || before.Power == 0 {
		t.Fatalf("the tune sounds for %.1f s with %.3f", before.Seconds, before.Power)
	}
	for _, c := range []struct {
		field, value, seen string
		longer             bool // more bars are heard
	}{
		{"#grade", "first", about("Left out"), false},
		{"#grade", "third", about("Added"), false},
		{"#grade", "", strokes + " === " + fmt.Sprint(count), false},
		{"#touch", "full", about("vibrato"), false},
		{"#touch", "plain", "!" + about("joined"), false},
		{"#harmony", "thirds", about("armony under"), false},
		{"#harmony", "", "!" + about("armony under"), false},
		{"#intro", "one-four-five", says("intro"), true},
		{"#ending", "walk-down", says("ending"), true},
		{"#part", "backup", says("backup: boom-chuck"), false},
	} {
		b.set(c.field, c.value)
		revision++
		b.until(fmt.Sprintf("document.querySelector('[data-file]').href.includes('revision=%d&')", revision))
		b.until(c.seen)
		now := sound()
		if now == before {
			t.Errorf("%s %q: what sounds is what sounded before", c.field, c.value)
		}
		if c.longer != (now.Seconds > before.Seconds+1) {
			t.Errorf("%s %q: it sounds for %.1f s, and %.1f s before", c.field, c.value, now.Seconds, before.Seconds)
		}
		before = now
	}
	b.until("!document.querySelector('.play').disabled")
	b.click(".play")
	b.until("window.ear && heard() > 0.004")
	b.click(".play")
	b.shot("fields")
	b.accessible("a tune's fields")
	b.unscrolled("a tune's fields")

	// The tune is kept with them, and the page opened again shows them.
	kept, err := st.Get(t.Context(), it.ID)
	if err != nil {
		t.Fatal(err)
	}
	for field, v := range map[string]string{"intro": "one-four-five", "ending": "walk-down", "part": "backup", "touch": "plain"} {
		b.open("/tunes/" + it.ID)
		b.until("document.querySelector('.wide-sheet g.stroke')")
		if got := value[string](b, "document.querySelector('#"+field+"').value"); got != v {
			t.Errorf("%s shows %q when the page is opened again, want %q; kept is %s", field, got, v, kept.Extra)
		}
	}
}
