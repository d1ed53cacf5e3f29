package web

import (
	"context"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"lapwright/internal/further"
	"lapwright/internal/studio"
	"lapwright/internal/workbench"
	"lapwright/listen"
	"lapwright/report"
)

// echoSeconds is how late the microphone of echoing hears the page.
const echoSeconds = 0.09

// echoing has a page's microphone hear what the page sounds, later by echoSeconds.
const echoing = `(() => {
	const echo = (c) => { if (!c.echo) { c.echo = c.createDelay(1); c.echo.delayTime.value = 0.09; } return c.echo; };
	const join = AudioNode.prototype.connect;
	AudioNode.prototype.connect = function (to, ...rest) {
		if (to === this.context.destination && this instanceof GainNode) join.call(this, echo(this.context));
		return join.call(this, to, ...rest);
	};
	AudioContext.prototype.createMediaStreamSource = function () { return echo(this); };
	navigator.mediaDevices.getUserMedia = async () => new MediaStream();
})();`

// measureTheDelay measures the delay of a page whose microphone is echoing's.
func measureTheDelay(b *window) {
	b.t.Helper()
	b.click(".play-along summary")
	b.click(".measure-delay")
	b.until("/hears itself|not heard|another from/.test(document.querySelector('.own-delay').textContent)")
	b.see(".play-along")
	b.shot("delay")
	said := b.text(".own-delay [role=status]")
	m := regexp.MustCompile(`hears itself (\d+) ms late`).FindStringSubmatch(said)
	if m == nil {
		b.t.Fatalf("the delay is told as %q", said)
	}
	if ms, _ := strconv.ParseFloat(m[1], 64); math.Abs(ms-1000*echoSeconds) > 1 {
		b.t.Errorf("the delay is told as %g ms, want %g", ms, 1000*echoSeconds)
	}
	b.accessible("measuring the delay")
	b.unscrolled("measuring the delay")
}

// TestTakeAlongWithTheMusic: a page whose microphone hears what it sounds measures by how much later, keeps that, and tells
// a take of its own music to be right on the click.
func TestTakeAlongWithTheMusic(t *testing.T) {
	further.Only(t)
	_, folder := quietLesson(t)
	b := newWindow(t, "file://"+folder, true)
	b.inject(echoing)
	readyToPlay(b)
	b.click(".listening summary")
	measureTheDelay(b)
	b.click(".listening .own-do input[type=checkbox]")
	b.click(".listening .main")
	b.until("document.querySelector('.play')?.textContent === 'Pause' || /Pause/.test(document.querySelector('.play').ariaLabel ?? '')")
	b.until("/Recording: 0:0[8-9]/.test(document.querySelector('.listening .own-said').textContent)")
	b.click(".listening .main")
	b.until("document.querySelector('.take-shown .soft')")
	b.see(".take-shown")
	b.shot("along")
	if said := b.text(".take-shown .soft"); !regexp.MustCompile(`against the click$`).MatchString(said) {
		t.Errorf("the take is told as %q: %s", said, b.text(".take-shown"))
	}
	b.until("/ms from the click/.test(document.querySelector('.takes .one-take').textContent)") // the table comes after the take
	late := regexp.MustCompile(`(\d+) ms from the click`).FindStringSubmatch(b.text(".takes .one-take"))
	if late == nil {
		t.Fatalf("the take stands in the table as %q", b.text(".takes .one-take"))
	}
	if ms, _ := strconv.Atoi(late[1]); ms > 5 {
		t.Errorf("the page's own music is %d ms from its click", ms)
	}
}

// TestWorkbenchTakeAlongWithTheMusic: the workbench's page of takes measures the delay and keeps it, sounds the tune and its clicks
// while it records, and tells a take of just that to be right on the click; where the delay is not known it says
// that only differences are told.
func TestWorkbenchTakeAlongWithTheMusic(t *testing.T) {
	further.Only(t)
	st, server := serve(t)
	it, err := st.Add(context.Background(), studio.Tune, studio.Content{Title: "Harbour Steps", Body: playedTune}, false)
	if err != nil {
		t.Fatal(err)
	}
	b := newWindow(t, server.URL, true)
	b.inject(echoing)
	takes := "/takes?tune=" + it.ID + "&rig=lap6-c6"
	b.open(takes)
	measureTheDelay(b)
	b.open(takes)
	if said := b.text(".own-delay [role=status]"); !strings.Contains(said, "hears itself") {
		t.Errorf("the delay is not kept: %q", said)
	}
	k := alongTake(b, st, "music", 100)
	if k.Along.Delay == nil || math.Abs(*k.Along.Delay-echoSeconds) > 0.001 {
		t.Errorf("the take keeps the delay %v, want %g", k.Along.Delay, echoSeconds)
	}
	rightOnTheClick(t, k, listen.AgainstClick, 5)
	if said := b.text(".head"); !strings.Contains(said, "late and early are against the click") || strings.Contains(said, "less what") {
		t.Errorf("the take is told as %q", said)
	}
	b.accessible("take along")
	b.shot("take")

	value[string](b, "localStorage.removeItem('lapwright delay'), ''")
	b.do(chromedp.EmulateViewport(phoneWidth, phoneHeight))
	b.wide = false
	b.open(takes)
	if said := b.text(".own-delay [role=status]"); !strings.Contains(said, "only how your notes differ is told") {
		t.Errorf("without a delay the page says %q", said)
	}
	k = alongTake(b, st, "both", 80)
	if k.Along.Delay != nil || k.Along.Rounds[0].Speed != 0.8 {
		t.Errorf("the take keeps %+v, want no delay and 0.8 of the speed", k.Along)
	}
	rightOnTheClick(t, k, listen.AgainstDifferences, 12) // this microphone hears the clicks as loud as the tune, where they hide onsets
	if said := b.text(".head"); !strings.Contains(said, "as the device's delay is not measured") {
		t.Errorf("the take is told as %q", said)
	}
}

// alongTake records a take of what the page sounds, the music or both it and its clicks, at a speed in
// per cent, and gives it as it is kept.
func alongTake(b *window, st *studio.Studio, what string, speed int) report.KeptTake {
	b.t.Helper()
	if value[bool](b, "!document.querySelector('.play-along').open") {
		b.click(".play-along summary")
	}
	if what == "both" {
		b.click(".play-along label:nth-of-type(1) input")
	}
	b.click(".play-along label:nth-of-type(2) input")
	b.do(chromedp.SetValue("#along-speed", strconv.Itoa(speed)))
	b.see(".play-along")
	b.unscrolled("before a take along")
	b.accessible("before a take along")
	b.shot("before " + what)
	b.click("#record")
	b.until("!document.querySelector('#level').hidden")
	b.until(fmt.Sprintf("/0:%d/.test(document.querySelector('#clock').textContent)", 1200/speed))
	b.click("#record")
	b.until("location.pathname.startsWith('/takes/') && document.querySelector('.take-view svg g.played')")
	it, err := st.Get(context.Background(), strings.TrimPrefix(value[string](b, "location.pathname"), "/takes/"))
	if err != nil {
		b.t.Fatal(err)
	}
	k, err := workbench.ReadTake(it)
	if err != nil {
		b.t.Fatal(err)
	}
	if k.Along == nil {
		b.t.Fatal("the take keeps nothing of what sounded")
	}
	return k
}

// rightOnTheClick sees that a page's own music is on its click, within so many milliseconds in the middle.
func rightOnTheClick(t *testing.T, k report.KeptTake, want listen.Against, within float64) {
	t.Helper()
	if k.Review.Against != string(want) {
		t.Errorf("lateness is against %q, want %q", k.Review.Against, want)
	}
	var late []float64
	for _, n := range k.Review.Notes {
		if n.Late != nil {
			late = append(late, math.Abs(*n.Late))
		}
	}
	if slices.Sort(late); len(late) < 10 {
		t.Errorf("lateness is told of %d of %d notes", len(late), len(k.Review.Notes))
	} else if middle := late[len(late)/2]; middle > within {
		t.Errorf("the page's own music is %.1f ms from its click in the middle: %.1f", middle, late)
	}
}
