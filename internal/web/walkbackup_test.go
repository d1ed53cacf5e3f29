package web

import (
	"strings"
	"testing"

	"lapwright/internal/studio"
)

// TestBackupOnTheTunesPage: an instrument plays what accompanies in place of the tune, in
// the feel chosen, seen and heard; an ending is set and taken away; the lesson has backup
// beside the tune when that is ticked.
func TestBackupOnTheTunesPage(t *testing.T) {
	t.Parallel()
	b, st := tunePage(t, "Four Chords", "X:1\nT:Four Chords\nM:4/4\nL:1/4\nQ:1/4=240\nK:G\n\"G\"GBdB|\"C\"e2c2|\"D7\"d2A2|\"G\"G4|]\n")
	b.until("document.querySelector('.shown-tab svg g.stroke')")
	strokes := "document.querySelectorAll('.wide-sheet g.stroke').length"
	before := value[int](b, strokes)
	hidden := "document.querySelector('#feel').closest('label').hidden"
	if !value[bool](b, hidden) {
		t.Error("a feel is asked of the tune")
	}
	b.set("#part", "backup")
	b.until("[...document.querySelectorAll('.wide-sheet text')].some(t => t.textContent === 'backup: boom-chuck')")
	b.until("!" + hidden)
	if after := value[int](b, strokes); after <= before {
		t.Errorf("%d strokes of the backup, %d of the tune", after, before)
	}
	b.set("#feel", "swing")
	b.until("[...document.querySelectorAll('.wide-sheet text')].some(t => t.textContent === 'backup: swing')")
	b.until("[...document.querySelectorAll('.wide-sheet text')].some(t => t.textContent.startsWith('swung by tempo'))")
	b.until("!document.querySelector('.play').disabled")
	b.shot("backup")
	b.accessible("a tune's backup")
	b.unscrolled("a tune's backup")
	b.set("#part", "")
	b.until("![...document.querySelectorAll('.wide-sheet text')].some(t => t.textContent.startsWith('backup'))")
	b.set("#ending", "walk-down")
	b.until("[...document.querySelectorAll('.wide-sheet text')].some(t => t.textContent === 'ending')")
	b.click("#undo")
	b.until("![...document.querySelectorAll('.wide-sheet text')].some(t => t.textContent === 'ending') && document.querySelector('#ending').value === ''")

	b.click("form[action='/lessons'] button")
	b.until("document.querySelector('#backup')")
	b.click("#backup")
	b.until("document.querySelector('#save-state').textContent.startsWith('Kept as revision')")
	b.shot("lesson-backup")
	b.accessible("a lesson with backup")
	kept, err := st.Get(t.Context(), newestOf(t, st, studio.Lesson))
	if err != nil || !strings.Contains(kept.Body, `"backup":true`) {
		t.Errorf("the lesson kept is %v, %v", kept, err)
	}
}
