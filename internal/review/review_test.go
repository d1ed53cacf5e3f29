package review

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"lapwright/internal/recording"
	"lapwright/listen"
	"lapwright/listen/listentest"
	"lapwright/listen/picture"
	"lapwright/notation"
	"lapwright/sound"
)

// bad reviews the bad take of the demo lesson.
func bad(t *testing.T, words string, beside func(v *listen.Reviewed) []picture.Word) Plan {
	t.Helper()
	src, err := os.ReadFile("../lesson/demo/low-tide-steps.abc")
	if err != nil {
		t.Fatal(err)
	}
	made := listentest.PlayBadly(t, src)
	rec := &recording.Recording{Kind: "WAVE", Rate: sound.Rate, Channels: [][]float32{made.Samples}}
	take, err := rec.Take()
	if err != nil {
		t.Fatal(err)
	}
	v, err := listen.Review(take, made.Want, listen.Options{})
	if err != nil {
		t.Fatal(err)
	}
	p := Plan{Reviewed: v, Tab: made.Want, Recording: rec, Words: words}
	if beside != nil {
		p.Beside = beside(v)
	}
	return p
}

// TestBadTakeOnItsPage: what was put into the take of the demo lesson (a string flat, slants
// too lean, a bar hurried) are the first three pieces of advice on its page, in any order,
// and the page and the handout hold the teacher's words, every note and every mark.
func TestBadTakeOnItsPage(t *testing.T) {
	p := bad(t, "Well begun. **Slower** next week.", func(v *listen.Reviewed) []picture.Word {
		return []picture.Word{{At: v.Notes[4].At, String: v.Notes[4].String, Text: "lovely tone here"}}
	})
	r, err := Make(p)
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "review")
	if keep := os.Getenv("LAPWRIGHT_KEEP_REVIEW"); keep != "" {
		dir = keep
	}
	if err := r.WriteFolder(dir); err != nil {
		t.Fatal(err)
	}
	if !IsReview(dir) {
		t.Error("the folder is not known for a review")
	}
	b, err := os.ReadFile(filepath.Join(dir, "index.html"))
	if err != nil {
		t.Fatal(err)
	}
	page := string(b)
	advice := regexp.MustCompile(`(?s)<ol class="advice">(.*?)</ol>`).FindStringSubmatch(page)
	if advice == nil {
		t.Fatal("the page has no advice")
	}
	items := regexp.MustCompile(`(?s)<li>(.*?)</li>`).FindAllStringSubmatch(advice[1], -1)
	if len(items) < 3 {
		t.Fatalf("%d pieces of advice, want three at least", len(items))
	}
	first := items[0][1] + "\n" + items[1][1] + "\n" + items[2][1]
	for _, want := range []string{"String 3 is tuned", "slants lean too much", "Bar 6 is hurried"} {
		if !strings.Contains(first, want) {
			t.Errorf("the first three pieces of advice do not say %q:\n%s", want, first)
		}
	}
	for _, want := range []string{"<strong>Slower</strong> next week", "lovely tone here", "data:audio/ogg;base64,T2dnU", `class="heard"`, "Every note in words"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not hold %q", want)
		}
	}
	// Each has its exercise, drawn wide and narrow, and as tab text for the instrument.
	for advice, want := range map[string]string{
		"slants lean too much": "The slants of bars 1 and 14", "Bar 6 is hurried": "Bar 6 over and over", "String 3 is tuned": "String 3 against its neighbours",
	} {
		i := slices.IndexFunc(items, func(item []string) bool { return strings.Contains(item[1], advice) })
		if i < 0 || !strings.Contains(items[i][1], "Exercise: "+want) || strings.Count(items[i][1], "<svg") != 2 {
			t.Errorf("advice %d, %s, has no exercise %q with two drawings", i+1, advice, want)
		}
		name := fmt.Sprintf("exercise-%d.txt", i+1)
		text, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Error(err)
			continue
		}
		tb, said, err := notation.ReadTab(text, name, p.Tab.Rig)
		if err != nil || len(said) > 0 || tb.Tune.Title != want {
			t.Errorf("%s is read as %v, %v", name, said, err)
			continue
		}
		a, err := sound.Render(tb, sound.Options{Dry: true})
		if err != nil || a.Len() < 10*sound.Rate {
			t.Errorf("%s sounds for %v (%v)", name, a, err)
		}
	}
	// Each note stands in words, and on the wide sheet and the narrow one.
	if n := strings.Count(page, `class="played"`); n != 2*len(p.Reviewed.Notes) {
		t.Errorf("%d marks of notes on two sheets, and the take has %d notes", n, len(p.Reviewed.Notes))
	}
	if n := strings.Count(page, "data-from="); n != len(p.Reviewed.Notes) {
		t.Errorf("%d notes in words of %d", n, len(p.Reviewed.Notes))
	}
	if !strings.HasPrefix(string(r.Handout()), "%PDF-") {
		t.Error("the handout is no PDF")
	}
}

// TestRefusedHasNoPage: what can't be judged is not handed back.
func TestRefusedHasNoPage(t *testing.T) {
	if _, err := Make(Plan{Reviewed: &listen.Reviewed{Refused: "silent"}}); err == nil || !strings.Contains(err.Error(), "silent") {
		t.Errorf("got %v, want the reason", err)
	}
}
