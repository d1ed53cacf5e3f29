package web

import (
	"math"
	"regexp"
	"strconv"
	"testing"
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

// TestTakeAlongWithTheMusic: a page whose microphone hears what it sounds measures by how much later, keeps that, and tells
// a take of its own music to be right on the click.
func TestTakeAlongWithTheMusic(t *testing.T) {
	_, folder := quietLesson(t)
	b := newWindow(t, "file://"+folder, true)
	b.inject(echoing)
	readyToPlay(b)
	b.click(".listening summary")
	b.click(".play-along summary")
	b.click(".measure-delay")
	b.until("/hears itself|not heard|another from/.test(document.querySelector('.own-delay').textContent)")
	b.see(".listening")
	b.shot("delay")
	said := b.text(".own-delay [role=status]")
	m := regexp.MustCompile(`hears itself (\d+) ms late`).FindStringSubmatch(said)
	if m == nil {
		t.Fatalf("the delay is told as %q", said)
	}
	if ms, _ := strconv.ParseFloat(m[1], 64); math.Abs(ms-1000*echoSeconds) > 1 {
		t.Errorf("the delay is told as %g ms, want %g", ms, 1000*echoSeconds)
	}
	b.accessible("measuring the delay")
	b.unscrolled("measuring the delay")
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
