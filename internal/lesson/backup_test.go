package lesson

import (
	"context"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/feel"
	"lapwright/notation/abc/abctest"
	"lapwright/pitch"
	"lapwright/tune"
)

const withChords = "X:1\nT:Four Chords\nM:4/4\nL:1/4\nQ:1/4=120\nK:G\n\"G\"GABd|\"C\"e2c2|\"D7\"d/c/B AF|\"G\"G4|]\n"

// What accompanies stands beside the tune, in its key, as an edition with files,
// sheet and words of its own.
func TestBackupBesideTheTune(t *testing.T) {
	f, _ := feel.Find("waltz")
	inA, _ := pitch.ParseClass("A")
	p := Plan{Tune: abctest.Tune(t, withChords), Rigs: rigs(t, "lap6-c6", "reso-open-g", "tricone-open-d"), Recordings: NoRecordings, Feels: map[string]*feel.Feel{"": f},
		Parts:   map[string]Parts{"lap6-c6": BothParts, "reso-open-g": BackupPart},
		Arrange: map[string]arrange.Options{"lap6-c6": {Key: &inA}}}
	l, err := Make(context.Background(), p, nil)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range l.Editions {
		got = append(got, e.folder()+" "+e.Summary.Part+" "+e.Result.Key.Tonic.String())
	}
	want := []string{"lap6-c6/ tune A", "lap6-c6/backup/ backup A", "reso-open-g/backup/ backup A", "tricone-open-d/ tune G"}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("editions\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	tab, err := l.File("reso-open-g/backup/tab.txt")
	if err != nil || !strings.Contains(string(tab), "subtitle: backup: waltz") || !strings.Contains(string(tab), "rig: reso-open-g") {
		t.Errorf("the tab of the backup: %v\n%s", err, tab)
	}
	html, err := l.Page(true)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range []string{`<h2 id="rig-1" class="chosen">Six-string lap steel in C6: backup</h2>`, `href="lap6-c6/backup/sheet.pdf"`, `data-part="2"`} {
		if !strings.Contains(string(html), s) {
			t.Errorf("the page has no %s", s)
		}
	}
	_, carried := carriedOf(t, string(html))
	if len(carried) != 4 || tune.Sound(carried[1].Tune) == nil || carried[1].Rig.Name != "lap6-c6" {
		t.Errorf("%d tabs carried", len(carried))
	}
}

// A tune without chord symbols has no backup, which is told; the rest is made.
func TestBackupThatCannotBe(t *testing.T) {
	p := Plan{Tune: abctest.Tune(t, short), Rigs: rigs(t, "lap6-c6"), Recordings: NoRecordings, Parts: map[string]Parts{"": BothParts}}
	l, err := Make(context.Background(), p, nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(l.Editions) != 1 || len(l.Missing) != 1 || l.Missing[0].Line() != "Six-string lap steel in C6: backup is missing: there are no chord symbols to accompany from." {
		t.Errorf("%d editions, missing %v", len(l.Editions), l.Missing)
	}
	p.Parts = map[string]Parts{"": BackupPart}
	if _, err = Make(context.Background(), p, nil); err == nil || !strings.Contains(err.Error(), "no chord symbols") {
		t.Errorf("nothing could be made: %v", err)
	}
}
