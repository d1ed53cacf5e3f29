package studio

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"strings"
	"testing"
	"time"

	"lapwright/internal/studio/form"
)

// grown makes a studio with items of so many revisions each, with settings that
// are as long as those of a typed tab.
func grown(t testing.TB, dir string, items, revisions, settings int) *Studio {
	t.Helper()
	ctx := context.Background()
	s, err := Open(ctx, dir, ticking())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	// Rows put in by hand: a save each would flush the disk each time.
	tx, err := s.db.BeginTx(ctx, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer tx.Rollback()
	pin := `{"bar":%d,"at":"1/4","grip":[[1,%d],[2,5]],"benders":["A"],"words":"as typed"}`
	for i := range items {
		id, now := fmt.Sprintf("%016x", i+1), s.now().UnixMilli()
		if _, err := tx.Exec(query("add item"), id, Tune, now, 0, revisions); err != nil {
			t.Fatal(err)
		}
		for n := 1; n <= revisions; n++ {
			var pins []string
			for k := range settings / len(pin) {
				pins = append(pins, fmt.Sprintf(pin, k, (n+k)%20))
			}
			var parent any
			if n > 1 {
				parent = n - 1
			}
			extra := fmt.Sprintf(`{"tempo":%d,"wishes":{"bender-open-d":{"pins":[%s]}}}`, 60+n%100, strings.Join(pins, ","))
			body := fmt.Sprintf("X:1\nT:Tune %d\nK:G\n%% %d\n%s", i, n/3, strings.Repeat("GABc|", 20))
			if _, err := tx.Exec(query("add revision"), id, n, parent, now+int64(n), "written", fmt.Sprint("Tune ", i), body, extra); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := tx.Commit(); err != nil {
		t.Fatal(err)
	}
	return s
}

func exported(t testing.TB, s *Studio) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := s.Export(context.Background(), &b, WithoutTakes); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestWhatExportWritesImportTakes: 1,200 saves of one tune with a typed tab
// made a list of more than 64 MB, which was refused.
func TestWhatExportWritesImportTakes(t *testing.T) {
	a := grown(t, t.TempDir(), 1, 1200, 60_000)
	z := exported(t, a)
	b := open(t, t.TempDir())
	got, err := b.Import(context.Background(), bytes.NewReader(z), int64(len(z)))
	if err != nil || len(got.Added) != 1 {
		t.Fatalf("imported %+v, %v", got, err)
	}
	if x, y := a.dir, b.dir; told(t, x+"/"+FileName, true) != told(t, y+"/"+FileName, true) {
		t.Error("what arrived is not what was sent")
	}
}

// TestMovingGrowsWithWhatIsMoved counts what an export and an import do for
// twice and four times as many revisions of one item, and items of one.
func TestMovingGrowsWithWhatIsMoved(t *testing.T) {
	countWork(t)
	type cost struct{ statements, rows, bytes int64 }
	measure := func(items, revisions int) (out, in, again cost) {
		ctx := context.Background()
		a := grown(t, t.TempDir(), items, revisions, 200)
		var z []byte
		out.statements, out.rows = during(func() { z = exported(t, a) })
		b := open(t, t.TempDir())
		for _, c := range []*cost{&in, &again} {
			r := &readerAt{ReaderAt: bytes.NewReader(z)}
			c.statements, c.rows = during(func() {
				if got, err := b.Import(ctx, r, int64(len(z))); err != nil || len(got.Added)+got.Present != items {
					t.Fatalf("imported %+v, %v", got, err)
				}
			})
			c.bytes = r.bytes
		}
		return out, in, again
	}
	for _, grow := range []func(n int) (int, int){
		func(n int) (int, int) { return 1, 500 * n },
		func(n int) (int, int) { return 250 * n, 2 },
	} {
		var was [3]cost
		for n := 1; n <= 4; n *= 2 {
			items, revisions := grow(n)
			out, in, again := measure(items, revisions)
			t.Logf("%d items of %d revisions: export %+v, import %+v, again %+v", items, revisions, out, in, again)
			for i, c := range []cost{out, in, again} {
				if c.rows == 0 && c.statements == 0 {
					t.Fatal("nothing was counted")
				}
				// Twice as much to do; the fixed part makes it less than twice.
				if n > 1 && (c.statements > 21*was[i].statements/10 || c.rows > 21*was[i].rows/10 || c.bytes > 21*was[i].bytes/10) {
					t.Errorf("%d items of %d revisions: %d grew from %+v to %+v", items, revisions, i, was[i], c)
				}
				was[i] = c
			}
			// Each revision is written once and none is read back.
			if most := int64(items*revisions) + int64(items)*8 + 200; in.statements > most || in.rows > int64(items)*4+200 {
				t.Errorf("%d items of %d revisions: the import took %+v, more than %d statements", items, revisions, in, most)
			}
		}
	}
}

// TestRedoIsFoundByIndex: how the database looks for the children of a
// revision, as it does for each that it keeps, must not be to read them all.
func TestRedoIsFoundByIndex(t *testing.T) {
	s := open(t, t.TempDir())
	rows, err := s.db.Query("EXPLAIN QUERY PLAN "+query("newest child"), "x", 1)
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	plan := ""
	for rows.Next() {
		var a, b, c int
		var text string
		if err := rows.Scan(&a, &b, &c, &text); err != nil {
			t.Fatal(err)
		}
		plan += text
	}
	if !strings.Contains(plan, "revision_by_parent (item=? AND parent=?)") {
		t.Errorf("children are found by %q", plan)
	}
}

// TestSavesGoOnDuringAnImport saves at each piece that an import reads, and
// sees nothing of what is arriving.
func TestSavesGoOnDuringAnImport(t *testing.T) {
	ctx := context.Background()
	z := exported(t, grown(t, t.TempDir(), 40, 30, 2000))
	s := open(t, t.TempDir())
	mine := add(t, s, Tune, "mine", "0")
	saves := 0
	r := &readerAt{ReaderAt: bytes.NewReader(z), before: func(int64) {
		if saves++; saves > 200 {
			return
		}
		soon, cancel := context.WithTimeout(ctx, 2*time.Minute)
		defer cancel()
		var err error
		if mine, err = s.Save(soon, mine.ID, mine.Revision, Content{Title: "mine", Body: fmt.Sprint(saves)}, "written"); err != nil {
			t.Fatalf("save %d during the import: %v", saves, err)
		}
		if l, err := s.List(ctx, Tune); err != nil || len(l) != 1 {
			t.Fatalf("%d tunes are seen during the import, %v", len(l), err)
		}
		if _, err := s.Get(ctx, fmt.Sprintf("%016x", 1)); err != ErrNone {
			t.Fatalf("an item that is arriving gave %v", err)
		}
		if err := s.Discard(ctx, fmt.Sprintf("%016x", 1)); err != ErrNone {
			t.Fatalf("an item that is arriving was discarded: %v", err)
		}
		if saves%50 == 0 {
			var out bytes.Buffer
			if err := s.Export(ctx, &out, WithoutTakes); err != nil || strings.Contains(list(t, out.Bytes()), "Tune 1") {
				t.Fatalf("an export holds what is arriving (%v)", err)
			}
		}
		if _, err := s.Import(ctx, bytes.NewReader(z), int64(len(z))); err == nil || !strings.Contains(err.Error(), "another import is under way") {
			t.Fatalf("a second import at once gave %v", err)
		}
	}}
	got, err := s.Import(ctx, r, int64(len(z)))
	if err != nil || len(got.Added) != 40 || saves < 40 {
		t.Fatalf("imported %+v, %v, with %d saves meanwhile", got, err, saves)
	}
	if l, err := s.List(ctx, Tune); err != nil || len(l) != 41 {
		t.Errorf("%d tunes are there, %v", len(l), err)
	}
}

// remade returns an archive with files changed, in the order they had.
func remade(t *testing.T, z []byte, change func(name, text string) (string, bool)) []byte {
	t.Helper()
	in, err := zip.NewReader(bytes.NewReader(z), int64(len(z)))
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	out := zip.NewWriter(&b)
	for _, f := range in.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		changed, keep := change(f.Name, string(text))
		if !keep {
			continue
		}
		w, err := out.Create(f.Name)
		if err != nil {
			t.Fatal(err)
		}
		io.WriteString(w, changed)
	}
	out.Close()
	return b.Bytes()
}

// TestRefusedArchivesChangeNothing spoils an archive of today, each time at its
// end, so that much of it was brought in before that is seen.
func TestRefusedArchivesChangeNothing(t *testing.T) {
	ctx := context.Background()
	z := exported(t, grown(t, t.TempDir(), 12, 25, 500))
	last := fmt.Sprintf("%016x", 12)
	in := func(name, end string) bool { return strings.Contains(name, last) && strings.HasSuffix(name, end) }
	for _, c := range []struct {
		name, want string
		change     func(name, text string) (string, bool)
	}{
		{"a body that was changed", "its sum differs", func(n, x string) (string, bool) {
			if in(n, "/24.abc") {
				x += "z"
			}
			return x, true
		}},
		{"settings that were changed", "its sum differs", func(n, x string) (string, bool) {
			if in(n, "/25.settings.json") {
				x = strings.Replace(x, `"tempo":`, `"tempo":1`, 1)
			}
			return x, true
		}},
		{"settings that are no object", "no JSON object", func(n, x string) (string, bool) {
			if in(n, "/25.settings.json") {
				x = "[1]"
			}
			return x, true
		}},
		{"a body that is gone", "no file", func(n, x string) (string, bool) { return x, !in(n, "/24.abc") }},
		{"a list that is gone", "no file", func(n, x string) (string, bool) { return x, !in(n, "item.json") }},
		{"a list that is cut short", "can't be read", func(n, x string) (string, bool) {
			if in(n, "item.json") {
				x = x[:len(x)/2]
			}
			return x, true
		}},
		{"an item that comes twice", "it comes twice", func(n, x string) (string, bool) {
			if in(n, "item.json") {
				x = strings.Replace(x, last, fmt.Sprintf("%016x", 3), 1)
			}
			return x, true
		}},
		{"a revision that comes twice", "out of order", func(n, x string) (string, bool) {
			if in(n, "item.json") {
				x = strings.Replace(x, `"number":25`, `"number":24`, 1)
			}
			return x, true
		}},
		{"revisions in the wrong order", "out of order", func(n, x string) (string, bool) {
			if in(n, "item.json") {
				x = strings.Replace(strings.Replace(x, `"number":24`, `"number":99`, 1), `"number":25`, `"number":24`, 1)
			}
			return x, true
		}},
		{"a newer form", "newer lapwright", func(n, x string) (string, bool) {
			if n == archiveList {
				x = strings.Replace(x, fmt.Sprintf(`"form": %d`, form.Now), fmt.Sprintf(`"form": %d`, form.Now+1), 1)
			}
			return x, true
		}},
		{"a body that swells", "unpacks to more", func(n, x string) (string, bool) {
			if in(n, "/24.abc") {
				x = strings.Repeat("\n", MaxBody+1)
			}
			return x, true
		}},
	} {
		s := open(t, t.TempDir())
		mine := add(t, s, Tune, "mine", "x")
		before := told(t, s.dir+"/"+FileName, true)
		spoiled := remade(t, z, c.change)
		got, err := s.Import(ctx, bytes.NewReader(spoiled), int64(len(spoiled)))
		var refused *BadArchive
		if got != nil || err == nil || !strings.Contains(err.Error(), c.want) || !asBad(err, &refused) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: got %+v, %v, want %q", c.name, got, err, c.want)
		}
		if after := told(t, s.dir+"/"+FileName, true); after != before {
			t.Errorf("%s: the refused archive left\n%s", c.name, after)
		}
		if left, err := os.ReadDir(s.dir); err != nil || strings.Contains(fmt.Sprint(left), ".part") {
			t.Errorf("%s: left %v, %v", c.name, left, err)
		}
		if _, err := s.Save(ctx, mine.ID, 1, Content{Title: "mine", Body: "y"}, "written"); err != nil {
			t.Errorf("%s: afterwards nothing can be saved: %v", c.name, err)
		}
	}
}

func asBad(err error, to **BadArchive) bool {
	b, ok := err.(*BadArchive)
	*to = b
	return ok
}

// TestBoundsOfAnArchive: a small file that names one body again and again can't
// fill the disk, and a studio beyond the bounds is not exported in vain.
func TestBoundsOfAnArchive(t *testing.T) {
	defer func(a int64, r int) { maxArchived, maxRevisions = a, r }(maxArchived, maxRevisions)
	ctx := context.Background()
	a := grown(t, t.TempDir(), 1, 300, 100)
	z := exported(t, a)
	s := open(t, t.TempDir())
	for _, c := range []struct {
		bytes     int64
		revisions int
		want      string
	}{{100_000, 1000, "unpacks to more than"}, {20_000, 1000, "larger than what is taken"}, {1 << 30, 299, "more than 299 revisions"}} {
		maxArchived, maxRevisions = c.bytes, c.revisions
		if _, err := s.Import(ctx, bytes.NewReader(z), int64(len(z))); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: got %v", c, err)
		}
		if err := a.Export(ctx, io.Discard, WithoutTakes); err == nil || !strings.Contains(err.Error(), "the most an archive takes") {
			t.Errorf("%+v: the export gave %v", c, err)
		}
	}
}

// TestKilledImportLeavesNothing opens a studio in which an import was killed.
func TestKilledImportLeavesNothing(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	add(t, s, Tune, "mine", "x")
	before := told(t, dir+"/"+FileName, true)
	b := &batch{to: s.store}
	it := &archivedItem{Kind: Tune}
	if err := b.revision(context.Background(), "00000000000000aa", it, &archivedRevision{Number: 1}, Content{Title: "a", Extra: json.RawMessage("{}")}, true); err != nil {
		t.Fatal(err)
	}
	if err := b.flush(context.Background()); err != nil || told(t, dir+"/"+FileName, true) == before {
		t.Fatalf("nothing arrived (%v)", err)
	}
	if err := os.WriteFile(dir+"/import-x.part", nil, 0o600); err != nil {
		t.Fatal(err)
	}
	s.Close()
	open(t, dir)
	if after := told(t, dir+"/"+FileName, true); after != before {
		t.Errorf("the killed import left\n%s", after)
	}
	if _, err := os.Stat(dir + "/import-x.part"); !os.IsNotExist(err) {
		t.Errorf("its settings still wait: %v", err)
	}
}

// BenchmarkMove moves large studios: a class of tunes, and one tune for years.
func BenchmarkMove(b *testing.B) {
	for _, c := range []struct{ items, revisions, settings int }{{10_000, 1, 2000}, {1, 50_000, 2000}, {5000, 10, 20_000}} {
		name := fmt.Sprintf("%d items of %d revisions", c.items, c.revisions)
		a := grown(b, b.TempDir(), c.items, c.revisions, c.settings)
		var z []byte
		b.Run("export "+name, func(b *testing.B) {
			for b.Loop() {
				z = exported(b, a)
			}
			b.ReportMetric(float64(len(z))/(1<<20), "MB-zip")
		})
		b.Run("import "+name, func(b *testing.B) {
			for b.Loop() {
				s, err := Open(context.Background(), b.TempDir(), ticking())
				if err != nil {
					b.Fatal(err)
				}
				if _, err := s.Import(context.Background(), bytes.NewReader(z), int64(len(z))); err != nil {
					b.Fatal(err)
				}
				s.Close()
			}
		})
	}
}
