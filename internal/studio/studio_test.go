package studio

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// ticking is a clock that moves on a second at each look.
func ticking() func() time.Time {
	at := time.Date(2026, 3, 2, 18, 0, 0, 0, time.UTC)
	return func() time.Time { at = at.Add(time.Second); return at }
}

func open(t *testing.T, dir string) *Studio {
	t.Helper()
	s, err := Open(context.Background(), dir, ticking())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

func add(t *testing.T, s *Studio, k Kind, title, body string) *Item {
	t.Helper()
	it, err := s.Add(context.Background(), k, Content{Title: title, Body: body}, false)
	if err != nil {
		t.Fatal(err)
	}
	return it
}

func TestEverySaveIsARevision(t *testing.T) {
	ctx, s := context.Background(), open(t, t.TempDir())
	it := add(t, s, Tune, "Slack Water", "one")
	for _, body := range []string{"two", "three"} {
		next, err := s.Save(ctx, it.ID, it.Revision, Content{Title: "Slack Water", Body: body, Extra: json.RawMessage(`{"tempo":90}`)}, "written")
		if err != nil {
			t.Fatal(err)
		}
		it = next
	}
	revs, err := s.Revisions(ctx, it.ID)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, r := range held(t, s, revs) {
		got = append(got, fmt.Sprintf("%d<%d %s", r.Revision, r.Parent, r.Body))
	}
	if want := "3<2 three,2<1 two,1<0 one"; strings.Join(got, ",") != want {
		t.Errorf("revisions %v, want %s", got, want)
	}
	back, err := s.Restore(ctx, it.ID, 3, 1)
	if err != nil {
		t.Fatal(err)
	}
	if back.Revision != 4 || back.Body != "one" || back.Why != "restored from 1" {
		t.Errorf("restored to %d %q %q", back.Revision, back.Body, back.Why)
	}
}

func TestUndoAndRedoLoseNothing(t *testing.T) {
	ctx, s := context.Background(), open(t, t.TempDir())
	it := add(t, s, Tune, "Slack Water", "1")
	const steps = 40
	for i := 2; i <= steps; i++ {
		var err error
		if it, err = s.Save(ctx, it.ID, it.Revision, Content{Title: "x", Body: fmt.Sprint(i)}, "written"); err != nil {
			t.Fatal(err)
		}
	}
	for i := steps - 1; i >= 1; i-- {
		var err error
		if it, err = s.Undo(ctx, it.ID, it.Revision); err != nil || it.Body != fmt.Sprint(i) || !it.CanRedo {
			t.Fatalf("undo gave %v, %v; want body %d", it, err, i)
		}
	}
	if _, err := s.Undo(ctx, it.ID, it.Revision); err == nil {
		t.Fatal("undo went before the first revision")
	}
	for i := 2; i <= 10; i++ {
		var err error
		if it, err = s.Redo(ctx, it.ID, it.Revision); err != nil || it.Body != fmt.Sprint(i) {
			t.Fatalf("redo gave %v, %v; want body %d", it, err, i)
		}
	}
	// A new save from the middle: redo now leads to it, and what it left behind
	// can still be restored.
	it, err := s.Save(ctx, it.ID, it.Revision, Content{Title: "x", Body: "new"}, "written")
	if err != nil {
		t.Fatal(err)
	}
	if it.CanRedo {
		t.Error("nothing follows the newest save, yet it can redo")
	}
	if it, err = s.Undo(ctx, it.ID, it.Revision); err != nil || it.Body != "10" {
		t.Fatalf("undo gave %v, %v", it, err)
	}
	if it, err = s.Redo(ctx, it.ID, it.Revision); err != nil || it.Body != "new" {
		t.Fatalf("redo gave %v, %v", it, err)
	}
	if old, err := s.GetRevision(ctx, it.ID, steps); err != nil || old.Body != fmt.Sprint(steps) {
		t.Fatalf("the branch left behind gave %v, %v", old, err)
	}
}

func TestSecondSaveFromTheSameRevisionIsRefused(t *testing.T) {
	ctx, s := context.Background(), open(t, t.TempDir())
	it := add(t, s, Rig, "a", "1")
	if _, err := s.Save(ctx, it.ID, 1, Content{Title: "a", Body: "first tab"}, "written"); err != nil {
		t.Fatal(err)
	}
	_, err := s.Save(ctx, it.ID, 1, Content{Title: "a", Body: "second tab"}, "written")
	var c *Conflict
	if !errors.As(err, &c) || c.Base != 1 || c.Current != 2 {
		t.Fatalf("got %v, want a conflict of 1 with 2", err)
	}
	if revs, _ := s.Revisions(ctx, it.ID); len(revs) != 2 {
		t.Errorf("a refused save left %d revisions, want 2", len(revs))
	}
	if _, err := s.Save(ctx, it.ID, 99, Content{Title: "a"}, "written"); !errors.As(err, &c) || c.Base != 99 {
		t.Errorf("a base that never was gave %v, want a conflict", err)
	}
	if _, err := s.Save(ctx, "0123456789abcdef", 1, Content{Title: "a"}, "written"); !errors.Is(err, ErrNone) {
		t.Errorf("an item that never was gave %v, want ErrNone", err)
	}
}

func TestTrash(t *testing.T) {
	ctx, s := context.Background(), open(t, t.TempDir())
	it := add(t, s, Lesson, "Week one", "{}")
	if err := s.Forget(ctx, it.ID); !errors.Is(err, ErrNone) {
		t.Errorf("forgetting what is not in the trash gave %v", err)
	}
	if err := s.Discard(ctx, it.ID); err != nil {
		t.Fatal(err)
	}
	if l, _ := s.List(ctx, Lesson); len(l) != 0 {
		t.Errorf("a discarded lesson is still listed")
	}
	if _, err := s.Save(ctx, it.ID, 1, Content{Title: "x"}, "written"); err == nil || !strings.Contains(err.Error(), "trash") {
		t.Errorf("saving into the trash gave %v", err)
	}
	if err := s.Recover(ctx, it.ID); err != nil {
		t.Fatal(err)
	}
	if l, _ := s.List(ctx, Lesson); len(l) != 1 {
		t.Errorf("a recovered lesson is not listed")
	}
	if err := errors.Join(s.Discard(ctx, it.ID), s.Forget(ctx, it.ID)); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Get(ctx, it.ID); !errors.Is(err, ErrNone) {
		t.Errorf("a forgotten lesson gave %v", err)
	}
}

func TestDemoGoesInOneStep(t *testing.T) {
	ctx, s := context.Background(), open(t, t.TempDir())
	mine := add(t, s, Tune, "mine", "x")
	for i := range 3 {
		if _, err := s.Add(ctx, Tune, Content{Title: fmt.Sprint("demo ", i)}, true); err != nil {
			t.Fatal(err)
		}
	}
	if n, err := s.DiscardDemo(ctx); n != 3 || err != nil {
		t.Fatalf("discarded %d, %v", n, err)
	}
	if l, _ := s.List(ctx, Tune); len(l) != 1 || l[0].ID != mine.ID {
		t.Errorf("left %v", l)
	}
}

func TestContentThatCannotBeKept(t *testing.T) {
	s := open(t, t.TempDir())
	for name, c := range map[string]Content{
		"no title": {Title: "  "}, "long title": {Title: strings.Repeat("x", MaxTitle+1)},
		"long body": {Title: "a", Body: strings.Repeat("x", MaxBody+1)}, "bad UTF-8": {Title: "a", Body: "\xff"},
		"zero byte": {Title: "a", Body: "\x00"}, "extra no JSON": {Title: "a", Extra: json.RawMessage("{")},
		"extra no object": {Title: "a", Extra: json.RawMessage("[]")}, "extra null": {Title: "a", Extra: json.RawMessage("null")},
	} {
		if _, err := s.Add(context.Background(), Tune, c, false); err == nil {
			t.Errorf("%s was kept", name)
		}
	}
	if _, err := s.Add(context.Background(), "banjo", Content{Title: "a"}, false); err == nil {
		t.Error("a kind that is not in the table was kept")
	}
}

func TestExportAndImportMoveTheWholeStudio(t *testing.T) {
	ctx, a := context.Background(), open(t, t.TempDir())
	tune := add(t, a, Tune, "Lamplighter’s Waltz / 2", "X:1\nK:G\n")
	tune, err := a.Save(ctx, tune.ID, 1, Content{Title: tune.Title, Body: "X:1\nK:D\n", Extra: json.RawMessage(`{"pins":[1,2]}`)}, "moved to D")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := a.Undo(ctx, tune.ID, 2); err != nil {
		t.Fatal(err)
	}
	gone := add(t, a, Rig, "old rig", "name = 'x'\n")
	if err := a.Discard(ctx, gone.ID); err != nil {
		t.Fatal(err)
	}
	var first bytes.Buffer
	if err := a.Export(ctx, &first, WithoutTakes); err != nil {
		t.Fatal(err)
	}
	z, err := zip.NewReader(bytes.NewReader(first.Bytes()), int64(first.Len()))
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, f := range z.File {
		names = append(names, f.Name)
	}
	want := "tunes/lamplighters-waltz-2-" + tune.ID + "/2.abc"
	if !strings.Contains(strings.Join(names, " "), want) {
		t.Errorf("the archive holds %v, want %s", names, want)
	}

	b := open(t, t.TempDir())
	got, err := b.Import(ctx, bytes.NewReader(first.Bytes()), int64(first.Len()))
	if err != nil || len(got.Added) != 2 || len(got.Copied) != 0 {
		t.Fatalf("imported %+v, %v", got, err)
	}
	moved, err := b.Get(ctx, tune.ID)
	if err != nil || moved.Revision != 1 || !moved.CanRedo {
		t.Fatalf("the tune arrived as %+v, %v", moved, err)
	}
	if tr, _ := b.Trash(ctx); len(tr) != 1 {
		t.Errorf("the trash arrived with %d items, want 1", len(tr))
	}
	var second bytes.Buffer
	if err := b.Export(ctx, &second, WithoutTakes); err != nil {
		t.Fatal(err)
	}
	if x, y := list(t, first.Bytes()), list(t, second.Bytes()); x != y {
		t.Errorf("exported again it differs:\n%s\n%s", x, y)
	}
	// Once more changes nothing; with a change here, the archive's one comes in beside.
	if got, err := b.Import(ctx, bytes.NewReader(first.Bytes()), int64(first.Len())); err != nil || got.Present != 2 {
		t.Errorf("imported again: %+v, %v", got, err)
	}
	if err := b.Recover(ctx, gone.ID); err != nil {
		t.Fatal(err)
	}
	if _, err := a.Save(ctx, tune.ID, 1, Content{Title: "other", Body: "X:1\nK:A\n"}, "written"); err != nil {
		t.Fatal(err)
	}
	if _, err := b.Save(ctx, tune.ID, 1, Content{Title: "here", Body: "X:1\nK:E\n"}, "written"); err != nil {
		t.Fatal(err)
	}
	var third bytes.Buffer
	if err := a.Export(ctx, &third, WithoutTakes); err != nil {
		t.Fatal(err)
	}
	got, err = b.Import(ctx, bytes.NewReader(third.Bytes()), int64(third.Len()))
	if err != nil || len(got.Copied) != 1 || got.Copied[0].Title != "other" || got.Copied[0].ID == tune.ID {
		t.Fatalf("imported %+v, %v; want one copy beside", got, err)
	}
	if here, _ := b.Get(ctx, tune.ID); here.Title != "here" {
		t.Errorf("the import changed what was here to %q", here.Title)
	}
}

// list returns all that an archive says, whatever the time it was made.
func list(t *testing.T, b []byte) string {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&out, "%s: %s\n", f.Name, text)
	}
	return out.String()
}

func TestHostileArchives(t *testing.T) {
	item := func(file string) string {
		return `{"format":"lapwright studio","version":1,"items":[{"id":"0123456789abcdef","kind":"tune","created":"2026-01-01T00:00:00Z","current":1,
		"revisions":[{"number":1,"saved":"2026-01-01T00:00:00Z","why":"written","title":"a","file":"` + file + `","extra":{}}]}]}`
	}
	for _, c := range []struct {
		name  string
		files map[string]string
		want  string
	}{
		{"empty", nil, "no file \"studio.json\""},
		{"another format", map[string]string{archiveList: `{"format":"x"}`}, "no studio"},
		{"a newer version", map[string]string{archiveList: `{"format":"lapwright studio","version":9}`}, "version 9"},
		{"broken JSON", map[string]string{archiveList: `{`}, "can't be read"},
		{"a path outside", map[string]string{archiveList: item("../../etc/passwd")}, "no file"},
		{"a file that swells", map[string]string{archiveList: item("t/1.abc"), "t/1.abc": strings.Repeat("\n", MaxBody+1)}, "unpacks to more"},
		{"an unknown kind", map[string]string{archiveList: strings.Replace(item("x"), `"tune"`, `"anvil"`, 1)}, "anvil"},
		{"a bad identity", map[string]string{archiveList: strings.Replace(item("x"), "0123456789abcdef", "../../..", 1)}, "hex"},
		{"no revisions", map[string]string{archiveList: `{"format":"lapwright studio","version":1,"items":[{"id":"0123456789abcdef","kind":"tune"}]}`}, "no revisions"},
		{"a missing current", map[string]string{archiveList: strings.Replace(item("t/1.abc"), `"current":1`, `"current":7`, 1), "t/1.abc": ""}, "current revision 7"},
		{"a parent that is later", map[string]string{archiveList: strings.Replace(item("t/1.abc"), `"number":1`, `"number":1,"parent":2`, 1), "t/1.abc": ""}, "out of order"},
	} {
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		for name, text := range c.files {
			w, err := z.Create(name)
			if err != nil {
				t.Fatal(err)
			}
			fmt.Fprint(w, text)
		}
		z.Close()
		s := open(t, t.TempDir())
		if _, err := s.Import(context.Background(), bytes.NewReader(b.Bytes()), int64(b.Len())); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want %q", c.name, err, c.want)
		}
		if r, err := s.Recent(context.Background(), 10); err != nil || len(r) != 0 {
			t.Errorf("%s: a refused archive left %d items, %v", c.name, len(r), err)
		}
	}
}

func TestNightlyCopiesOpenAndArePruned(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	day := time.Date(2026, 3, 1, 3, 0, 0, 0, time.UTC)
	s, err := Open(ctx, dir, func() time.Time { return day })
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	it := add(t, s, Tune, "kept", "body")
	var last string
	for range KeptCopies + 3 {
		if last, err = s.CopyDaily(ctx); err != nil || last == "" {
			t.Fatalf("copy %q, %v", last, err)
		}
		if again, err := s.CopyDaily(ctx); again != "" || err != nil {
			t.Fatalf("a second copy the same day: %q, %v", again, err)
		}
		day = day.AddDate(0, 0, 1)
	}
	entries, err := os.ReadDir(filepath.Join(dir, "copies"))
	if err != nil || len(entries) != KeptCopies {
		t.Fatalf("%d copies are kept, want %d (%v)", len(entries), KeptCopies, err)
	}
	other := t.TempDir()
	b, err := os.ReadFile(last)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(other, FileName), b, 0o600); err != nil {
		t.Fatal(err)
	}
	if back, err := open(t, other).Get(ctx, it.ID); err != nil || back.Body != "body" {
		t.Errorf("the copy gave %v, %v", back, err)
	}
}

func TestTroubleSaysWhatToDo(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	s := open(t, dir)
	it := add(t, s, Tune, "a", "b")
	// SQLite's own page limit fails exactly as a full disk does.
	if _, err := s.db.Exec("PRAGMA journal_mode=DELETE"); err != nil {
		t.Fatal(err)
	}
	s.db.SetMaxOpenConns(1)
	if _, err := s.db.Exec("PRAGMA max_page_count=1"); err != nil {
		t.Fatal(err)
	}
	_, err := s.Save(ctx, it.ID, 1, Content{Title: "a", Body: strings.Repeat("x", 1<<20)}, "written")
	var trouble *Trouble
	if !errors.As(err, &trouble) || !strings.Contains(err.Error(), "full; make room") {
		t.Errorf("a full disk gave %v", err)
	}
	if back, err := s.Get(ctx, it.ID); err != nil || back.Revision != 1 {
		t.Errorf("after a full disk: %v, %v", back, err)
	}

	if _, err := s.db.Exec("PRAGMA query_only=1"); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Save(ctx, it.ID, 1, Content{Title: "a"}, "written"); err == nil || !strings.Contains(err.Error(), "can't be written to") {
		t.Errorf("a folder that may not be written to gave %v", err)
	}

	bad := t.TempDir()
	if err := os.WriteFile(filepath.Join(bad, FileName), []byte(strings.Repeat("no database ", 1000)), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(ctx, bad, ticking()); err == nil || !strings.Contains(err.Error(), "damaged or no studio") {
		t.Errorf("a file that is no database gave %v", err)
	}
	newer := t.TempDir()
	n := open(t, newer)
	if _, err := n.db.Exec("PRAGMA user_version=999"); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(ctx, newer, ticking()); err == nil || !strings.Contains(err.Error(), "newer lapwright") {
		t.Errorf("a newer database gave %v", err)
	}
	if err := os.WriteFile(filepath.Join(dir, "file"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(ctx, filepath.Join(dir, "file"), ticking()); err == nil {
		t.Error("a file in the folder's place was opened")
	}
}

// TestUpgradeFromEveryVersion opens a database of each schema version that there
// has been, as it was left by the program of its time.
func TestUpgradeFromEveryVersion(t *testing.T) {
	old, err := filepath.Glob("testdata/studio-v*.db")
	if err != nil {
		t.Fatal(err)
	}
	steps, err := migrations.ReadDir("sql/migrations")
	if err != nil || len(old) != len(steps) {
		t.Fatalf("%d old databases for %d versions (%v): each version needs one", len(old), len(steps), err)
	}
	for _, file := range old {
		b, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		dir := t.TempDir()
		if err := os.WriteFile(filepath.Join(dir, FileName), b, 0o600); err != nil {
			t.Fatal(err)
		}
		s := open(t, dir)
		ctx := context.Background()
		list, err := s.List(ctx, Tune)
		if err != nil || len(list) != 1 || list[0].Title != "Slack Water" || list[0].Revision != 2 || held(t, s, list)[0].Body != "X:1\nK:D\n" {
			t.Errorf("%s: the tune came as %+v, %v", file, list, err)
			continue
		}
		if revs, err := s.Revisions(ctx, list[0].ID); err != nil || len(revs) != 2 {
			t.Errorf("%s: %d revisions, %v", file, len(revs), err)
		}
		if trash, err := s.Trash(ctx); err != nil || len(trash) != 1 {
			t.Errorf("%s: %d in the trash, %v", file, len(trash), err)
		}
		if _, err := s.Save(ctx, list[0].ID, 2, Content{Title: "Slack Water", Body: "X:1\nK:G\n"}, "written"); err != nil {
			t.Errorf("%s: it can't be saved to: %v", file, err)
		}
	}
}

// held returns the items that headings stand for.
func held(t *testing.T, s *Studio, list []*Heading) []*Item {
	t.Helper()
	var out []*Item
	for _, h := range list {
		it, err := s.GetRevision(context.Background(), h.ID, h.Revision)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, it)
	}
	return out
}

// TestListsReadNoBodies: what a list shows of a large item is little, and it
// says how large the item is.
func TestListsReadNoBodies(t *testing.T) {
	s := open(t, t.TempDir())
	ctx := context.Background()
	body := strings.Repeat("é", MaxBody/2)
	for i := range 8 {
		add(t, s, Tune, fmt.Sprint("tune ", i), body)
	}
	for name, list := range map[string]func() ([]*Heading, error){
		"list":      func() ([]*Heading, error) { return s.List(ctx, Tune) },
		"recent":    func() ([]*Heading, error) { return s.Recent(ctx, 8) },
		"revisions": func() ([]*Heading, error) { l, _ := s.List(ctx, Tune); return s.Revisions(ctx, l[0].ID) },
	} {
		got, err := list()
		if err != nil || len(got) == 0 || got[0].Size != MaxBody {
			t.Fatalf("%s: %d items, %v", name, len(got), err)
		}
		allocated := testing.Benchmark(func(b *testing.B) {
			for b.Loop() {
				list()
			}
		}).AllocedBytesPerOp()
		if allocated > MaxBody/8 {
			t.Errorf("%s of items of %d bytes allocates %d bytes", name, MaxBody, allocated)
		}
	}
}
