package web

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"lapwright/internal/further"
)

// TestLoopClimbs: the tempo is told in beats at every speed, a bar that comes again
// is told from its first time, and a loop that climbs goes five per cent faster each
// time, up to full speed, each round handed over where the one before ends.
func TestLoopClimbs(t *testing.T) {
	further.Only(t)
	b := recordedPage(t, deskWidth, deskHeight)
	// The lesson's tune has 84 beats a minute, and goes at twice its speed here.
	for _, c := range [][2]string{{"100", "168 beats/min"}, {"50", "84 beats/min"}, {"90", "151 beats/min"}} {
		value[string](b, fmt.Sprintf("(() => { const s = document.querySelector('#speed'); s.value = %q; s.dispatchEvent(new Event('change')); return ''; })()", c[0]))
		if got := b.text(".tempo"); got != c[1] {
			t.Errorf("at %s %% the tempo is told as %q, want %q", c[0], got, c[1])
		}
	}
	bars := value[[]string](b, "[...document.querySelectorAll('.ends select')[0].options].map(o => o.textContent)")
	again := 0
	seen := map[string]bool{}
	for _, name := range bars {
		if seen[name] {
			t.Errorf("two bars of the loop's list are called %q", name)
		}
		seen[name] = true
		if strings.Contains(name, "time)") {
			again++
		}
	}
	if passes := value[int](b, "(() => { const bars = JSON.parse(document.querySelector('#lesson').textContent)[0].timing.bars; return bars.length - new Set(bars.map(b => b.bar)).size; })()"); again != passes {
		t.Errorf("%d of %d bars say that they come again, want %d", again, len(bars), passes)
	}
	value[string](b, handed)
	value[string](b, "(() => { const [from, to] = document.querySelectorAll('.ends select'); from.value = '1'; to.value = '1'; to.dispatchEvent(new Event('change')); return ''; })()")
	b.click(".transport .more")
	b.click(".practise summary")
	b.ticks("The loop gets faster each time")
	value[string](b, "document.querySelector('.play').click(), ''")
	b.until("document.querySelector('#speed').value === '95'")
	b.until("document.querySelector('#speed').value === '100'")
	climbed := len(value[[][4]float64](b, "handed"))
	b.until(fmt.Sprintf("handed.length > %d", climbed+1))
	b.until("document.querySelector('.play').textContent === 'Pause'")
	if got := value[string](b, "document.querySelector('#speed').value + document.querySelector('.where').textContent"); got != "100bar 2" {
		t.Errorf("after the climb it plays at %s, want 100 and bar 2", got)
	}
	// A round of bar 2 at 90 % lasts its time divided by 0.9, and so on: three beats
	// at 168 a minute. Where the machine was late with a piece the music waited for it.
	pieces := value[[][4]float64](b, "handed")
	var starts, late []float64
	for i, p := range pieces {
		// A speed begins with a short piece where it is made, and breaks off what was
		// handed over of the speed before.
		first := i == 0 || p[2] < 0.5 || p[0] < pieces[i-1][0]+pieces[i-1][2]-0.01
		if first {
			starts, late = append(starts, p[0]), append(late, 0)
		} else {
			late[len(late)-1] += p[0] - (pieces[i-1][0] + pieces[i-1][2])
		}
		if len(starts) == 3 { // what is handed over later is of full speed too
			break
		}
	}
	if len(starts) != 3 {
		t.Fatalf("music was begun %d times, want at least 3: at 90, 95 and 100 %%", len(starts))
	}
	for i, rate := range []float64{0.9, 0.95} {
		round := 3.0 / 168 * 60 / rate
		if n := (starts[i+1] - starts[i] - late[i]) / round; n < 0.98 || math.Abs(n-math.Round(n)) > 0.01 {
			t.Errorf("at %v the next speed began after %.3f rounds", rate, n)
		}
	}
}

// TestNeckShowsWhatIsWorked: a bender that is worked is filled in, where the steel
// goes next stands there beforehand, and an open string leaves the steel in sight.
func TestNeckShowsWhatIsWorked(t *testing.T) {
	t.Parallel()
	b := recordedPage(t, deskWidth, deskHeight)
	b.instrument(1)
	b.until("!document.querySelector('.play').disabled")
	const tab = "JSON.parse(document.querySelector('#lesson').textContent)[1]"
	strokes := value[[]int](b, `(() => { const tab = `+tab+`; return tab.strokes.map((s, i) => i).filter(i => tab.timing.strokes.some(t => t.stroke === i)); })()`)
	worked, ahead, lifted := 0, 0, 0
	for _, n := range strokes {
		// A press goes where its note is.
		got := value[struct {
			Want, Shown []string
			At          float64
			Next        float64 // where the picture says the steel goes next; -1 for nowhere
			Steel       bool
			Open        bool
		}](b, fmt.Sprintf(`(() => { const tab = %s, n = %d, g = document.querySelector("section:not([hidden]) .wide-sheet g.stroke[data-stroke='" + n + "']"), r = g.getBoundingClientRect();
			for (const type of ['pointerdown', 'pointerup']) g.dispatchEvent(new PointerEvent(type, {bubbles: true, button: 0, clientX: r.left + r.width / 2, clientY: r.top + r.height / 2}));
			const next = document.querySelector('.live-neck .next-steel'), steel = document.querySelector('.live-neck .steel');
			return {Want: tab.strokes[n].benders ?? [], Shown: [...document.querySelectorAll('.live-neck .bender.engaged')].map(e => e.dataset.mark), At: tab.timing.strokes.find(t => t.stroke === n).at,
				Next: next.getAttribute('visibility') === 'visible' ? (Number(next.getAttribute('x1')) + Number(next.getAttribute('x2'))) / 2 : -1,
				Steel: steel.getAttribute('visibility') === 'visible', Open: tab.strokes[n].plucks.every(p => p.fret === 0)}; })()`, tab, n))
		if strings.Join(got.Want, " ") != strings.Join(got.Shown, " ") {
			t.Errorf("stroke %d works %v, and the neck shows %v", n, got.Want, got.Shown)
		}
		worked += len(got.Want)
		if got.Next >= 0 {
			ahead++
			// It is the place of a later note: one of the frets that the lesson has from here on.
			if !value[bool](b, fmt.Sprintf(`(() => { const frets = [document.querySelector('.live-neck .nut'), ...document.querySelectorAll('.live-neck .fret')].map(e => e.x1.baseVal.value);
				const x = f => frets[Math.floor(f)] + (f %% 1) * ((frets[Math.floor(f) + 1] ?? 0) - frets[Math.floor(f)]);
				return %s.timing.steel.some(k => k.at > %v && k.first > 0 && Math.abs((x(k.firstFret) + x(k.lastFret)) / 2 - %v) < 12); })()`, tab, got.At, got.Next)) {
				t.Errorf("at stroke %d the neck says that the steel goes to %v, where it never lies later", n, got.Next)
			}
		}
		if got.Open {
			lifted++
			if !got.Steel {
				t.Errorf("at stroke %d only open strings sound, and the steel has gone from sight", n)
			}
		}
	}
	if worked == 0 || ahead < len(strokes)/2 || lifted == 0 {
		t.Errorf("of %d strokes %d work a bender, %d have a place ahead, %d are open: too few to tell", len(strokes), worked, ahead, lifted)
	}
}

// TestLinesStandOut: strings, frets, the nut, the steel, where it goes next and the
// borders of what can be pressed stand off what is behind them by 3:1 in both
// sets of colours (WCAG 2.2, 1.4.11), and marks on the sheet off its paper.
func TestLinesStandOut(t *testing.T) {
	t.Parallel()
	b := recordedPage(t, deskWidth, deskHeight)
	b.click(".play")
	b.nextMark()
	b.click(".play")
	for _, look := range []string{"light", "dark"} {
		value[string](b, "document.documentElement.dataset.theme = '"+look+"', ''")
		for _, c := range []struct{ css, property, behind string }{
			{".live-neck .string", "stroke", "body"}, {".live-neck .fret", "stroke", "body"}, {".live-neck .nut", "stroke", "body"},
			{".live-neck .steel", "stroke", "body"}, {".live-neck .next-steel", "stroke", "body"},
			{".transport .loop", "borderTopColor", "body"}, {".rig-choice button[aria-pressed=true]", "borderTopColor", "body"},
			{"section:not([hidden]) .wide-sheet .now-box", "stroke", "section:not([hidden]) .paper"},
		} {
			got := value[float64](b, fmt.Sprintf(`(() => { const rgb = css => css.match(/[\d.]+/g).map(Number), e = document.querySelector(%q), style = getComputedStyle(e);
				const back = rgb(getComputedStyle(document.querySelector(%q)).backgroundColor), ink = rgb(style[%q]);
				const opacity = Number(style.opacity) * (ink[3] ?? 1), seen = ink.slice(0, 3).map((v, i) => v * opacity + back[i] * (1 - opacity));
				const l = c => { const [r, g, b] = c.map(v => v / 255).map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4); return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
				const [x, y] = [l(seen), l(back)]; return (Math.max(x, y) + 0.05) / (Math.min(x, y) + 0.05); })()`, c.css, c.behind, c.property))
			if got < 3 {
				t.Errorf("%s: %s stands off %s at a contrast of %.2f, want 3", look, c.css, c.behind, got)
			}
		}
	}
}
