package web

import (
	"encoding/base64"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"lapwright/internal/further"
	"lapwright/internal/recording"
	"lapwright/listen"
	"lapwright/rig"
	"lapwright/tab"
)

// playedIn has the page's microphone play window.played, a recording as base64, each time it is opened,
// once or, with window.again, until it is closed; after it there is silence, as of a microphone, where a
// stream that has ended would bring no sound at all. It
// begins pages that have no microphone, too, such as the empty one before.
const playedIn = `if (navigator.mediaDevices) navigator.mediaDevices.getUserMedia = async () => {
	const context = new AudioContext({ sampleRate: 48000 }); await context.resume();
	const to = context.createMediaStreamDestination(), source = context.createBufferSource();
	source.buffer = await context.decodeAudioData(Uint8Array.from(atob(window.played), (c) => c.charCodeAt(0)).buffer);
	const silence = context.createConstantSource(); silence.offset.value = 0; silence.connect(to); silence.start();
	source.loop = window.again; source.connect(to); source.start(context.currentTime + 0.1);
	return to.stream; };`

// TestFirefoxHearsATake: in Firefox, from disk and from a web space whose server has been stopped, a take is played in
// as the microphone, reviewed and saved; the student then has the tune on another instrument, at another tempo.
func TestFirefoxHearsATake(t *testing.T) {
	further.Only(t)
	noBrowserInShort(t)
	inFirefox(t, func(t *testing.T, hosted bool) {
		made, folder := quietLesson(t)
		tb := made.Editions[0].Result.Tab
		file, seconds := soundedFile(t, tb)
		played, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		b := foxOn(t, folder, hosted, keepsBlobs+";window.again=false;"+playing(played))
		takeIsHeard(t, b, tb, played, seconds)
		onAnotherInstrument(b)
		b.accessible("the whole page")
		b.unscrolled("the whole page")
		b.shot("whole")
		bringsNothing(t, b)
	})
}

// TestFirefoxTunesClicksAndLands: in Firefox, from disk and from a web space whose server has been stopped, the tuner
// hears how open strings stand, the metronome clicks evenly and its drone holds, and where the steel lands is told place
// by place, to the last of ten.
func TestFirefoxTunesClicksAndLands(t *testing.T) {
	further.Only(t)
	noBrowserInShort(t)
	inFirefox(t, func(t *testing.T, hosted bool) {
		_, folder := quietLesson(t)
		b := foxOn(t, folder, hosted, startedTones+";window.again=true;"+playing(openStrings()))
		stringsAreTuned(t, b)
		b.click(".tune-up .own-do button")
		b.until("document.querySelector('.tune-up .own-do button').textContent === 'Listen to my strings'")
		b.click(".tune-up summary")
		clicksAndDrone(t, b)
		b.click(".metronome .own-ways:last-child button")
		b.click(".metronome summary")
		landsOn(t, b, 2)
		allLanded(t, b)
		b.accessible("landed")
		b.unscrolled("landed")
		b.shot("landed")
		bringsNothing(t, b)
	})
}

// inFirefox walks from disk, and from a web space.
func inFirefox(t *testing.T, walk func(t *testing.T, hosted bool)) {
	t.Helper()
	t.Run("disk", func(t *testing.T) { walk(t, false) })
	t.Run("web space", func(t *testing.T) { walk(t, true) })
}

// foxOn opens the lesson of a folder in Firefox, or hosted, which goes on when its server has been stopped;
// script runs before the page's own.
func foxOn(t *testing.T, folder string, hosted bool, script string) *window {
	t.Helper()
	base := "file://" + folder
	var s *space
	if hosted {
		s = newSpace(t)
		hostedLesson(t, "", filepath.Join(s.dir, "some", "where"))
		base = "http://" + s.address + "/some/where"
	}
	b := newFox(t, base, deskWidth, deskHeight)
	b.inject(script)
	readyToPlay(b)
	if !hosted {
		return b
	}
	b.until(sounding)
	b.until(keptWhole)
	if out := s.outside("/some/where/"); len(out) > 0 {
		t.Errorf("asked for outside the lesson's folder: %q", out)
	}
	s.stop()
	return readyToPlay(b)
}

// playing has playedIn play a recording.
func playing(file []byte) string {
	return "window.played='" + base64.StdEncoding.EncodeToString(file) + "';" + playedIn
}

// bringsNothing looks at all that a page has fetched.
func bringsNothing(t *testing.T, b *window) {
	t.Helper()
	if n := value[int](b, "performance.getEntriesByType('resource').filter((e) => !e.name.startsWith(new URL('.', location.href).href) && !/^(blob|data):/.test(e.name)).length"); n > 0 {
		t.Errorf("the page brought %d things from outside its folder", n)
	}
}

// takeIsHeard records what the microphone plays, saves it, and compares note by note with the file: the
// median within 1 cent and 10 ms.
func takeIsHeard(t *testing.T, b *window, tb *tab.Tab, file []byte, seconds float64) {
	t.Helper()
	b.click(".listening summary")
	b.click(".listening .main")
	b.until(fmt.Sprintf("(([m, s]) => 60 * m + s)((/Recording: ([0-9:]+)/.exec(document.querySelector('.listening .own-said').textContent)?.[1] ?? '0:0').split(':').map(Number)) >= %d", int(seconds)+2))
	b.click(".listening .main")
	b.until("document.querySelector('.take-view svg g.played')")
	if n := value[int](b, "document.querySelectorAll('.take-view .notes li').length"); n != 9 {
		t.Errorf("%d notes are told, want 9", n)
	}
	b.click(".takes .take-do button:nth-of-type(2)")
	b.until("/Saved as low-tide-[0-9-]+\\.take\\.zip/.test(document.querySelector('.listening .own-said').textContent)")
	_, saved := b.savedTake()
	read, err := recording.Read(file, "played.wav")
	if err != nil {
		t.Fatal(err)
	}
	got, want := heardNotes(t, saved.Sound, tb), heardNotes(t, read, tb)
	var cents, at []float64
	for i := range want {
		if got[i].Status == listen.Played && want[i].Status == listen.Played {
			if c := got[i].Cents - want[i].Cents; !math.IsNaN(c) {
				cents = append(cents, c)
			}
			at = append(at, got[i].Onset-want[i].Onset)
		}
	}
	if len(at) < 8 || len(cents) < 7 { // a browser's capture may lose a block
		t.Fatalf("of %d notes %d are heard in both, %d with their pitch", len(want), len(at), len(cents))
	}
	if c := median(cents); math.Abs(c) > 1 {
		t.Errorf("the median note is %.2f cents off the file", c)
	}
	// When the microphone was opened the file doesn't say: what is left besides that.
	began := median(at)
	for i := range at {
		at[i] = math.Abs(at[i] - began)
	}
	if ms := 1000 * median(at); ms > 10 {
		t.Errorf("the median note is %.1f ms off the file", ms)
	}
	t.Logf("median note %.3f cents and %.2f ms off the file", median(cents), 1000*median(at))
}

func heardNotes(t *testing.T, r *recording.Recording, tb *tab.Tab) []listen.Note {
	t.Helper()
	k, err := r.Take()
	if err != nil {
		t.Fatal(err)
	}
	v, err := listen.Review(k, tb, listen.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if v.Refused != "" {
		t.Fatalf("refused: %s", v.Refused)
	}
	return v.Notes
}

func median(x []float64) float64 {
	x = slices.Clone(x)
	slices.Sort(x)
	return x[len(x)/2]
}

// onAnotherInstrument has the tune on one that the lesson was not made for, and hears it slowly.
func onAnotherInstrument(b *window) {
	b.t.Helper()
	r, _ := rig.Builtin("lap6-c6")
	b.click(".own summary")
	b.until("document.querySelectorAll('#own-choice option').length > 5")
	value[bool](b, `(() => { const c = document.querySelector('#own-choice'); c.selectedIndex = [...c.options].findIndex((o) => o.text.startsWith(`+quoted(r.Title)+`)); c.dispatchEvent(new Event('change')); return true; })()`)
	b.until("!document.querySelector('.own .main').disabled")
	b.click(".own .main")
	b.until("document.querySelector('section[data-own] .told') && !document.querySelector('section[data-own]').hidden")
	b.setSpeed(60)
	b.click(".play")
	b.nextMark()
	b.until("document.querySelector('#speed').value === '60' && document.querySelector('.play').getAttribute('aria-label') !== 'Getting ready'")
	b.nextMark()
	b.click(".play")
	b.until("document.querySelector('.play').textContent === 'Play'")
}
