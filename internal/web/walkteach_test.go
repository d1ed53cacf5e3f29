package web

import (
	"encoding/json"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"lapwright/internal/studio"
	"lapwright/report"
	"lapwright/rig"
)

// typeInto writes into a field as a person does, key by key, and leaves it.
func (b *window) typeInto(css, text string) {
	b.t.Helper()
	b.clicks++
	b.do(chromedp.SetValue(chromedp.CSS(css), ""), chromedp.Focus(chromedp.CSS(css)), chromedp.KeyEvent(text))
	value[string](b, "document.activeElement.blur(), ''")
}

// TestNewInstrumentToATune makes a six-string instrument in a tuning that no list
// has, from nothing, and writes a tune on it. What is wrong is said at its field as
// one types, and the tension is shown before anything is kept.
func TestNewInstrumentToATune(t *testing.T) {
	bothSizes(t, func(t *testing.T, wide bool) {
		st, server := serve(t)
		b := newWindow(t, server.URL, wide)
		b.open("/")
		b.click("nav a[href='/rigs']")
		b.until("document.querySelector('.rig-list')")
		b.click("a[href='/rigs/new']")
		b.until("document.querySelector('#new-rig')")
		b.unscrolled("new instrument")
		b.accessible("new instrument")
		b.typeInto("#scale", "22 1/2")
		b.typeInto("#tuning", "D A D E A")
		b.until("document.querySelector('#tuning-said').textContent.includes('6 strings')")
		b.shot("wrong")
		b.typeInto("#tuning", "D A D E A D")
		b.until("document.querySelectorAll('#draft tbody tr').length === 6 && document.querySelector('#tuning-said').textContent === ''")
		b.typeInto("#gauges", ".014 .018 .026w .030w .036w .056w")
		b.until("document.querySelector('#draft tbody tr:last-child')?.textContent.includes('56w')")
		// D4 of .014 in on 571.5 mm pulls 4·μ·L²·f² (Mersenne): 7850·π/4·(0.3556 mm)² kg/m,
		// 293.66 Hz: 87.8 N.
		if got := b.text("#draft tbody tr:first-child"); !strings.Contains(got, "D4") || !strings.Contains(got, "88 N") {
			t.Errorf("the first string is told as %q", got)
		}
		b.shot("form")
		b.accessible("new instrument filled in")
		b.click("#new-rig button.main")
		b.until("document.querySelector('.rig-ways') && document.querySelector('.cm-content')")
		if got := b.text("h1"); got != "Lap steel in D2 A2 D3 E3 A3 D4" {
			t.Errorf("it is called %q", got)
		}
		b.unscrolled("the new instrument's page")
		b.accessible("the new instrument's page")
		b.shot("kept")
		b.click(".rig-ways a[href*='/tunes']")
		b.until("document.querySelector('#begin-rig')?.selectedOptions[0].textContent.startsWith('Lap steel in D2')")
		b.typeInto("#title", "Ferry Steps")
		b.click(".begin button")
		b.until("document.querySelector('.live-neck') && document.querySelector('.shown-tab .waiting')")
		// Strings 1 and 3 of D2 A2 D3 E3 A3 D4, counted from the highest: fret 5 of D4 is
		// G4, fret 3 of E3 is G3.
		for i, at := range [][2]int{{1, 5}, {3, 3}} {
			x, y := b.place(at[0], at[1])
			b.clicks++
			b.do(chromedp.MouseClickXY(x, y))
			b.until("document.querySelectorAll('.wide-sheet g.stroke').length === " + strconv.Itoa(i+1))
		}
		it := newest(b, st)
		if !strings.HasSuffix(it.Body, "\nG G,\n") {
			t.Errorf("the tune became\n%s", it.Body)
		}
		t.Logf("from nothing to a tune on a new instrument: %d clicks, fields counted", b.clicks)
		if b.clicks > 14 {
			t.Errorf("it took %d clicks", b.clicks)
		}
		own, err := st.List(b.ctx, studio.Rig)
		if err != nil || len(own) != 1 {
			t.Fatalf("%d instruments are kept, %v", len(own), err)
		}
		kept, err := st.Get(b.ctx, own[0].ID)
		if err != nil {
			t.Fatal(err)
		}
		g, err := rig.Parse([]byte(kept.Body), "kept")
		var x report.TuneSettings
		if err != nil || json.Unmarshal(it.Extra, &x) != nil || x.Rig != own[0].ID || g.Scale != 571.5 {
			t.Errorf("the tune is on %q; the instrument has a scale of %v, %v", x.Rig, g.Scale, err)
		}
	})
}
