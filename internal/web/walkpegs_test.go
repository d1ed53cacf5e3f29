package web

import (
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"

	"github.com/chromedp/chromedp"

	"lapwright/internal/further"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/sound"
	"lapwright/sound/wav"
)

// outOfTune is how far the strings that are not in tune are off, in cents.
var outOfTune = map[int]float64{3: -14, 5: 21}

// openStrings is a recording of the open strings of the lesson's instrument, one after the other.
func openStrings() []byte {
	r, _ := rig.Builtin("reso-open-g")
	var tones []pitch.Hz
	for s := len(r.Strings); s >= 1; s-- {
		tones = append(tones, pitch.Equal(float64(r.OpenKey(s, 0))+outOfTune[s]/100, r.Reference))
	}
	return wav.Write(sound.Tones(tones))
}

// TestStringsAreTunedOnAStudentsPage: from disk, with open strings as the microphone, each string's needle stands
// where it was put: string 3 is 14 cents flat, string 5 is 21 sharp, the others are in tune.
func TestStringsAreTunedOnAStudentsPage(t *testing.T) {
	further.Only(t)
	_, folder := quietLesson(t)
	file := filepath.Join(t.TempDir(), "strings.wav")
	if err := os.WriteFile(file, openStrings(), 0o600); err != nil {
		t.Fatal(err)
	}
	browser, end, err := newChrome(chromedp.Flag("use-fake-device-for-media-stream", true), chromedp.Flag("use-fake-ui-for-media-stream", true), chromedp.Flag("use-file-for-fake-audio-capture", file))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(end)
	b := readyToPlay(newWindowIn(browser, t, "file://"+folder, true))
	stringsAreTuned(t, b)
	b.accessible("the tuner")
	b.unscrolled("the tuner")
	b.see(".tune-up")
	b.shot("tuner")
	b.narrowed("the tuner on a phone")
	b.see(".tune-up")
	b.shot("tuner")
	b.click(".tune-up .own-do button")
	b.until("document.querySelector('.tune-up .own-do button').textContent === 'Listen to my strings'")
}

// stringsAreTuned has the tuner hear openStrings and compares its needles.
func stringsAreTuned(t *testing.T, b *window) {
	t.Helper()
	b.click(".tune-up summary")
	b.click(".tune-up .own-do button")
	b.until("document.querySelectorAll('.needles li[data-stands]').length === 6")
	for s := 1; s <= 6; s++ {
		said := b.text(".needles li[data-string='" + strconv.Itoa(s) + "'] .stands")
		cents := 0.0
		if m := regexp.MustCompile(`(\d+) cents (sharp|flat)`).FindStringSubmatch(said); m != nil {
			cents, _ = strconv.ParseFloat(m[1], 64)
			if m[2] == "flat" {
				cents = -cents
			}
		}
		if math.Abs(cents-outOfTune[s]) > 2 {
			t.Errorf("string %d, %g cents off, is told as %q", s, outOfTune[s], said)
		}
	}
}

// startedTones keeps when oscillators are begun, and their frequencies.
const startedTones = `window.tones = []; const begin = OscillatorNode.prototype.start;
OscillatorNode.prototype.start = function (when) { window.tones.push({ when, hz: this.frequency.value }); return begin.call(this, when); }`

// TestMetronomeAndDroneWithoutATune: clicks come evenly on the audio clock at the tempo that was chosen, the first
// of a bar higher, another tempo begins at a beat; the drone holds its tonic and fifth; the choice is kept.
func TestMetronomeAndDroneWithoutATune(t *testing.T) {
	b, _ := quietPage(t, deskWidth, deskHeight)
	b.inject(startedTones)
	b.open("/index.html")
	b.until("!document.querySelector('.play').disabled")
	clicksAndDrone(t, b)
	b.accessible("the metronome")
	b.see(".metronome")
	b.shot("metronome")
	b.narrowed("the metronome on a phone")
	b.see(".metronome")
	b.shot("metronome")
	b.open("/index.html")
	b.until("!document.querySelector('.play').disabled")
	if got := value[string](b, "document.querySelector('.metronome input').value"); got != "240" {
		t.Errorf("the tempo that was chosen comes back as %q", got)
	}
}

// clicksAndDrone has the metronome click at two tempos and holds its drone, in a page with startedTones.
func clicksAndDrone(t *testing.T, b *window) {
	t.Helper()
	b.click(".metronome summary")
	set := func(what, value_ string) {
		value[bool](b, `(() => { const e = document.querySelector('.metronome `+what+`'); e.value = '`+value_+`'; e.dispatchEvent(new Event('change')); return true; })()`)
	}
	set("input[type=number]", "200")
	set("label:nth-of-type(2) select", "3")
	b.click(".metronome .main")
	b.until("window.tones.length >= 7")
	for i := range 6 {
		gap := value[float64](b, "window.tones["+strconv.Itoa(i+1)+"].when - window.tones["+strconv.Itoa(i)+"].when")
		if math.Abs(gap-0.3) > 1e-9 {
			t.Errorf("from click %d to the next are %v s, want 0.3", i, gap)
		}
		if high := value[float64](b, "window.tones["+strconv.Itoa(i)+"].hz") > 1300; high != (i%3 == 0) {
			t.Errorf("click %d is high: %v", i, high)
		}
	}
	set("input[type=number]", "240")
	b.until("window.tones.length >= 2 && Math.abs(window.tones.at(-1).when - window.tones.at(-2).when - 0.25) < 1e-9")
	b.click(".metronome .main")
	value[string](b, "window.tones.length = 0, ''")
	b.click(".metronome .own-ways:last-child button")
	b.until("window.tones.length === 2")
	if hz := value[[]float64](b, "window.tones.map(t => t.hz)"); math.Abs(hz[0]-195.998) > 0.01 || math.Abs(hz[1]-293.997) > 0.01 { // G3 (ISO 16) and 3/2 of it
		t.Errorf("the drone is %v Hz", hz)
	}
}
