package web

import (
	"context"
	"encoding/json"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/internal/lesson"
	"lapwright/notation/abc"
	living "lapwright/page"
	"lapwright/rig"
)

// TestOwnInstrument: a student opens a lesson from disk, chooses an instrument that
// the teacher did not think of, and has the tune on it, in signs, words and sound.
// What the page shows is what the command makes.
func TestOwnInstrument(t *testing.T) {
	b, made := quietPage(t, deskWidth, deskHeight)
	b.click(".own summary")
	b.until("document.querySelectorAll('#own-choice option').length > 5")
	r, _ := rig.Builtin("lap6-c6")
	value[bool](b, `(() => { const c = document.querySelector('#own-choice'); c.selectedIndex = [...c.options].findIndex((o) => o.text.startsWith(`+"`"+r.Title+"`"+`)); c.dispatchEvent(new Event('change')); return true; })()`)
	b.until("!document.querySelector('.own .main').disabled")
	if said := b.text(".own-said"); !strings.Contains(said, r.TuningText()) {
		t.Errorf("of the instrument the page says %q, which lacks its tuning %s", said, r.TuningText())
	}
	b.click(".own .main")
	b.until("document.querySelector('section[data-own]') && !document.querySelector('section[data-own]').hidden")

	res, err := arrange.Arrange(context.Background(), made.Tune, r, arrange.Options{})
	if err != nil {
		t.Fatal(err)
	}
	want := living.InWords(res.Tab)
	got := value[[]string](b, "[...document.querySelectorAll('section[data-own] .told li')].map((l) => l.textContent)")
	if len(got) == 0 || strings.Join(got, "\n") != strings.Join(want.Bars, "\n") {
		t.Errorf("the page tells the tab as\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want.Bars, "\n"))
	}
	numbers := value[int](b, "document.querySelectorAll('section[data-own] .wide-sheet g.stroke').length")
	if numbers != len(res.Tab.Strokes) {
		t.Errorf("the sheet has %d strokes, want %d", numbers, len(res.Tab.Strokes))
	}
	// The strings are sounded on this machine; then another tempo is sounded anew.
	b.until("document.querySelector('.note').hidden")
	b.click(".loop")
	b.click(".play")
	b.nextMark()
	value[bool](b, `(() => { const s = document.querySelector('#speed'); s.value = '60'; s.dispatchEvent(new Event('change')); return true; })()`)
	b.until("document.querySelector('#speed').value === '60' && document.querySelector('.play').getAttribute('aria-label') !== 'Getting ready'")
	b.nextMark()
	b.accessible("own instrument")
	b.unscrolled("own instrument")
	b.shot("own-instrument")
}

// TestOwnInstrumentFromAFile: a file that is none is refused by line, and the page
// goes on; one whose strings would break says so before a sheet is shown.
func TestOwnInstrumentFromAFile(t *testing.T) {
	b, _ := quietPage(t, phoneWidth, phoneHeight)
	b.click(".own summary")
	b.until("document.querySelectorAll('#own-choice option').length > 5")
	give := func(text string) {
		t.Helper()
		value[bool](b, fmt.Sprintf(`(() => { const d = new DataTransfer(); d.items.add(new File([%s], 'mine.toml')); const f = document.querySelector('#own-file'); f.files = d.files; f.dispatchEvent(new Event('change')); return true; })()`, quoted(text)))
	}
	give("name = \"mine\"\nscale = twelve\n")
	b.until("document.querySelector('.own-said').textContent.includes('Line 2')")
	if !value[bool](b, "document.querySelector('.own .main').disabled") {
		t.Error("a tune can be placed on an instrument that does not read")
	}
	g, _ := rig.Builtin("hollow-neck-open-d")
	g = g.Clone()
	for i := range g.Strings { // a fourth higher than it is made for
		g.Strings[i].Open.Octave++
	}
	g.Tuning = ""
	give(string(rig.Format(g)))
	b.until("!document.querySelector('.own .main').disabled")
	said := b.text(".own-said")
	for _, want := range []string{"Do not tune it so.", rig.TensionCaution} {
		if !strings.Contains(said, want) {
			t.Errorf("of strings an octave too high the page says %q, which lacks %q", said, want)
		}
	}
	b.accessible("an instrument's file")
}

// quietPage opens from disk the page of a short lesson that brings no sound.
func quietPage(t *testing.T, width, height int64) (*window, *lesson.Lesson) {
	t.Helper()
	noBrowserInShort(t)
	tunes, _, err := abc.Read([]byte("X:1\nT:Low Tide\nM:3/4\nL:1/4\nQ:1/4=120\nK:G\nDGB|d2B|cAF|G3|]\n"), "low-tide.abc")
	if err != nil {
		t.Fatal(err)
	}
	r, _ := rig.Builtin("reso-open-g")
	made, err := lesson.Make(context.Background(), lesson.Plan{Tune: tunes[0], Rigs: []*rig.Rig{r}, Silent: true}, nil)
	if err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(t.TempDir(), "lesson")
	if err := made.WriteFolder(out); err != nil {
		t.Fatal(err)
	}
	return openLesson(t, out, width, height), made
}

// quoted writes a text as JavaScript has it.
func quoted(text string) string {
	b, err := json.Marshal(text)
	if err != nil {
		panic(err)
	}
	return string(b)
}

// TestOwnInstrumentDescribed: a student describes an instrument that no list has and
// plays on it. Without gauges the tune is placed and nothing is said of tension; with
// gauges that are too heavy the usual caution stands there before any sheet, and above
// it afterwards. What is wrong is said at its field. The command reads the file.
func TestOwnInstrumentDescribed(t *testing.T) {
	b, made := quietPage(t, phoneWidth, phoneHeight)
	b.click(".own summary")
	b.until("document.querySelector('#own-scale')")
	b.click(".own-describe summary")
	fill := func(name, text string) {
		t.Helper()
		value[bool](b, fmt.Sprintf(`(() => { const f = document.querySelector('#own-%s'); f.value = %s; f.dispatchEvent(new Event('input', { bubbles: true })); f.dispatchEvent(new Event('change', { bubbles: true })); return true; })()`, name, quoted(text)))
	}
	fill("scale", "22 1/2")
	fill("tuning", "D A D E A")
	b.until("document.querySelector('#own-tuning-said').textContent.includes('the tuning names 5 pitches')")
	fill("tuning", "D A D E A D")
	fill("benders", "A palm 3+1\nB palm 9+1")
	b.until("document.querySelector('#own-benders-said').textContent.includes('Line 2')")
	if !value[bool](b, "document.querySelector('.own .main').disabled") {
		t.Error("a tune can be placed on an instrument whose form does not read")
	}
	fill("benders", "A palm 3+1")
	b.until("!document.querySelector('.own .main').disabled")
	said := b.text(".own-said")
	if !strings.Contains(said, "D2 A2 D3 E3 A3 D4") || !strings.Contains(said, "nothing is said of the tension") || strings.Contains(said, " N ") {
		t.Errorf("without gauges the page says %q", said)
	}
	b.accessible("the form for an instrument")
	b.unscrolled("the form for an instrument")
	b.click(".own .main")
	b.until("document.querySelector('section[data-own]') && !document.querySelector('section[data-own]').hidden")
	b.shot("own-described")
	g, err := rig.Parse([]byte(value[string](b, "localStorage.getItem('lapwright own instrument')")), "mine.toml")
	if err != nil {
		t.Fatal(err)
	}
	if g.Scale != 571.5 || len(g.Benders) != 1 || !g.GaugesUnknown {
		t.Errorf("the device keeps %v mm, %+v, unknown gauges %v", g.Scale, g.Benders, g.GaugesUnknown)
	}
	res, err := arrange.Arrange(context.Background(), made.Tune, g, arrange.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if got, want := value[int](b, "document.querySelectorAll('section[data-own] .wide-sheet g.stroke').length"), len(res.Tab.Strokes); got != want {
		t.Errorf("the sheet has %d strokes, want %d", got, want)
	}

	fill("gauges", "18 22 26w 34w 42w 70w") // heavy strings on a light body
	fill("body", string(rig.HollowNeckAcoustic))
	fill("scale", "26 in")
	b.until("document.querySelector('.own-said').textContent.includes('Do not tune it so.')")
	b.click(".own .main")
	b.until("document.querySelector('section[data-own] .alarm')")
	order := value[bool](b, "!!(document.querySelector('section[data-own] .alarm').compareDocumentPosition(document.querySelector('section[data-own] svg')) & Node.DOCUMENT_POSITION_FOLLOWING)")
	if above := b.text("section[data-own]"); !order || !strings.Contains(above, rig.TensionCaution) {
		t.Error("the usual caution does not stand above the sheet")
	}
	// Another lesson, or the same one later, finds it again.
	b.open("/index.html")
	b.until("!document.querySelector('.play').disabled")
	b.click(".own summary")
	b.until("document.querySelector('#own-scale') && document.querySelector('#own-scale').value === '26 in' && !document.querySelector('.own .main').disabled")
}
