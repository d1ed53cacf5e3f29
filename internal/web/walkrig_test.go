package web

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"net/http"
	"strconv"
	"strings"
	"testing"
)

// set gives a field a value as typing it and leaving it would.
func (b *window) set(css, v string) {
	b.t.Helper()
	value[string](b, fmt.Sprintf("(() => { const i = document.querySelector(%q); i.value = %q; i.dispatchEvent(new Event('change', {bubbles: true})); return ''; })()", css, v))
}

// TestRigIsSetUp gives a rig a bender and a capo in the page and takes the
// bender away again; the text and the tension follow.
func TestRigIsSetUp(t *testing.T) {
	bothSizes(t, func(t *testing.T, wide bool) {
		_, server := serve(t)
		b := newWindow(t, server.URL, wide)
		b.provokes("/rigs/edit")
		b.open("/rigs/lap6-c6")
		b.click(".head-actions button")
		b.until("document.querySelector('input.cell') && document.querySelector('.cm-content')")
		text := func(s string) string {
			return "document.querySelector('.cm-content').textContent.includes(" + strconv.Quote(s) + ")"
		}
		// The share of the breaking load is told at the highest pitch of a string.
		share := "document.querySelector('#string-rows tr:nth-child(2) td:nth-child(6)').textContent"
		was := value[string](b, share)
		b.click("#benders button")
		b.set("[data-bender='0'] [data-what='name']", "palm low")
		b.until("document.querySelector('#setup-state').textContent.includes('moves no string')")
		b.set("[data-bender='0'] [data-move='1']", "two")
		b.until("document.querySelector('#setup-state').textContent.includes('two')")
		b.set("[data-bender='0'] [data-move='1']", "+2")
		b.until("document.querySelector('#setup-state').textContent === ''")
		b.until(text("palm low"))
		b.until(share + " !== " + strconv.Quote(was))
		b.until("document.querySelector('[data-bender=\"0\"] [data-move=\"1\"]').value === '+2'")
		b.set("#capo-highest", "5")
		b.until(text("highest = 5"))
		b.set("#capo-kind", "clamp")
		b.until(text(`kind = "clamp"`))
		b.set("#capo-at", "9")
		b.until("document.querySelector('#setup-state').textContent.includes('9')")
		b.until("['highest', 'at'].every(f => document.querySelector('#capo-' + f).getAttribute('aria-label').startsWith('Capo'))")
		b.set("#capo-at", "2")
		b.until(text("at = 2"))
		b.set("#body", "pedal steel")
		b.until(text("pedal steel"))
		b.until("document.querySelector('#setup-state').textContent === ''")
		value[string](b, "document.querySelector('#setup').scrollIntoView(), ''")
		b.shot("set-up")
		b.unscrolled("set up")
		b.accessible("set up")
		b.click("[data-bender='0'] button")
		b.until("!" + text("palm low"))
		b.until(share + " === " + strconv.Quote(was))
		b.click("#undo")
		b.until("document.querySelector('[data-bender=\"0\"] [data-what=\"name\"]')?.value === 'palm low'")
	})
}

// TestWhatToTuneTo asks for a rig's targets and hears a string.
func TestWhatToTuneTo(t *testing.T) {
	bothSizes(t, func(t *testing.T, wide bool) {
		_, server := serve(t)
		b := newWindow(t, server.URL, wide)
		b.open("/rigs/reso-open-g")
		b.click(".rig-ways a[href$='pegs']")
		b.until("document.querySelector('.pegs')")
		// A just major third is 5/4, 13.69 cents below the equal one (H. Helmholtz,
		// On the Sensations of Tone, 1863): B4 on string 2 of a G chord.
		third := "document.querySelector('.figures .pegs tbody tr:nth-child(2)').textContent"
		if got := value[string](b, third); !strings.Contains(got, "−13.7") || !strings.Contains(got, "−6.8") {
			t.Errorf("the third's row is %q", got)
		}
		b.set("#share", "1")
		b.click("#pegs button")
		b.until(third + ".split('−13.7').length === 3")
		value[string](b, `(() => { window.heard = 0; const s = AudioBufferSourceNode.prototype.start; AudioBufferSourceNode.prototype.start = function (...a) { window.heard = this.buffer.duration; return s.apply(this, a); }; return ''; })()`)
		b.set("#way", "just")
		b.click("button[data-tone='2']")
		b.until("window.heard > 3")
		b.shot("pegs")
		b.unscrolled("what to tune to")
		b.accessible("what to tune to")
	})
}

// TestTones measures the tones that the page sounds by the crossings of zero,
// against frequencies by hand: A4 at 442 Hz puts the G3 of string 3 at
// 442·2^(−14/12) = 196.889 Hz and the just third above it at 5/4 of that.
func TestTones(t *testing.T) {
	_, server := serve(t)
	for _, c := range []struct {
		query string
		want  float64
	}{{"string=3&way=equal&reference=442", 196.889}, {"string=2&way=just&reference=442", 246.111}, {"string=2&way=between&share=0&reference=442", 248.065}} {
		res, err := server.Client().Get(server.URL + "/rigs/reso-open-g/tone?" + c.query)
		if err != nil {
			t.Fatal(err)
		}
		wav, err := io.ReadAll(res.Body)
		res.Body.Close()
		if err != nil || res.StatusCode != http.StatusOK {
			t.Fatalf("%s: %s %v", c.query, res.Status, err)
		}
		if got := crossings(t, wav); math.Abs(got-c.want) > 0.4 {
			t.Errorf("%s sounds %.2f Hz, want %.2f", c.query, got, c.want)
		}
	}
	for _, bad := range []string{"string=9&way=just", "string=1&way=sideways", "string=1&way=just&share=2", "string=1&way=just&reference=NaN", "string=1&way=just&chord=H", "string=1&way=just&seventh=8/5"} {
		res, err := server.Client().Get(server.URL + "/rigs/reso-open-g/tone?" + bad)
		if err != nil {
			t.Fatal(err)
		}
		res.Body.Close()
		if res.StatusCode != http.StatusUnprocessableEntity {
			t.Errorf("%s: %s", bad, res.Status)
		}
	}
	for name, head := range map[string]string{"tuning.svg": "<svg ", "tuning.pdf": "%PDF"} {
		res, err := server.Client().Get(server.URL + "/rigs/reso-open-g/card/" + name)
		if err != nil {
			t.Fatal(err)
		}
		b, _ := io.ReadAll(res.Body)
		res.Body.Close()
		if !strings.HasPrefix(string(b), head) {
			t.Errorf("%s begins %.20q", name, b)
		}
	}
}

// crossings returns the frequency of a periodic sound of 16 bits on one channel,
// by counting where it rises in its second second. The finest bits are noise
// (dither), so a rise goes from well below zero to well above.
func crossings(t *testing.T, wav []byte) float64 {
	t.Helper()
	at := bytes.Index(wav, []byte("data"))
	if at < 0 {
		t.Fatalf("no sound in %d bytes", len(wav))
	}
	pcm := wav[at+8:]
	sample := func(i int) int16 { return int16(binary.LittleEndian.Uint16(pcm[2*i:])) }
	first, last, n, low := 0, 0, 0, false
	for i := 48000; i < 96000; i++ {
		if sample(i) < -500 {
			low = true
		} else if low && sample(i) > 500 {
			low = false
			if n == 0 {
				first = i
			}
			last, n = i, n+1
		}
	}
	if n < 2 {
		t.Fatal("silence")
	}
	return float64(n-1) * 48000 / float64(last-first)
}
