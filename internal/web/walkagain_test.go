package web

import (
	"strings"
	"testing"

	"lapwright/internal/further"
)

// TestWhereTheStudentWas: who opens a lesson again is offered in one line to go on at
// the bar, speed and loop of the last time; what a newer page keeps is left alone, and
// the page says so.
func TestWhereTheStudentWas(t *testing.T) {
	further.Only(t)
	t.Parallel()
	b := recordedPage(t, phoneWidth, phoneHeight)
	if n := value[int](b, "document.querySelectorAll('.last-time, .kept-newer').length"); n != 0 {
		t.Error("a page that was never open offers to go on, or speaks of a newer one")
	}
	b.instrument(1)
	for range 2 {
		value[string](b, "document.body.dispatchEvent(new KeyboardEvent('keydown', {key: 'ArrowRight', bubbles: true})), ''")
	}
	b.setSpeed(80)
	b.until("Object.values(localStorage).some((v) => v.includes('bar=3') && v.includes('speed=80'))")
	b.open("/index.html?again")
	b.until("document.querySelector('.last-time')")
	name := value[string](b, "JSON.parse(document.querySelector('#lesson').textContent)[1].title")
	if said := b.text(".last-time span"); said != "Last time you were at bar 3, on "+name+", at 80 %." {
		t.Errorf("the page says %q", said)
	}
	if value[string](b, "document.querySelector('section:not([hidden])').dataset.part") != "0" {
		t.Error("the other instrument is shown before anybody asked for it")
	}
	b.accessible("where the student was")
	b.unscrolled("where the student was")
	b.shot("again")
	b.click(".last-time button")
	b.until("document.querySelector('section:not([hidden])').dataset.part === '1' && document.querySelector('#speed').value === '80' && document.querySelector('.where').textContent.includes('3')")
	if value[bool](b, "document.querySelector('.last-time') !== null") {
		t.Error("the line stays when it was taken up")
	}
	const newer = `{"version":9,"value":"speed=50"}`
	value[string](b, "Object.keys(localStorage).filter((k) => k.startsWith('lapwright lesson')).forEach((k) => localStorage.setItem(k, '"+newer+"')), ''")
	b.open("/index.html?newer")
	b.until("document.querySelector('.kept-newer')")
	b.setSpeed(85)
	b.until("location.hash.includes('speed=85')")
	if all := value[string](b, "Object.entries(localStorage).filter(([k]) => k.startsWith('lapwright lesson')).map(([, v]) => v).join()"); all != newer {
		t.Errorf("what a newer page kept is now %s", all)
	}
}

// TestNothingIsKept: in a browser that keeps nothing the page works and offers nothing.
func TestNothingIsKept(t *testing.T) {
	t.Parallel()
	noBrowserInShort(t)
	b := newWindow(t, "file://"+students.folder(t, 2), false)
	b.size(phoneWidth, phoneHeight)
	b.inject(withoutProgram)
	b.inject("for (const store of ['localStorage', 'sessionStorage', 'indexedDB', 'caches']) Object.defineProperty(window, store, { get() { throw new DOMException('not here', 'SecurityError'); } });")
	for _, query := range []string{"", "?again"} {
		b.open("/index.html" + query)
		b.until("!document.querySelector('.play').disabled")
		b.setSpeed(80)
		b.until("location.hash.includes('speed=80')")
		if said := value[string](b, "[...document.querySelectorAll('.last-time, .kept-newer')].map((e) => e.textContent).join()"); strings.TrimSpace(said) != "" {
			t.Errorf("a page that finds nothing says %q", said)
		}
	}
}
