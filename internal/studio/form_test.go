package studio

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lapwright/internal/studio/form"
)

// inForm1 opens a folder with the studio that was kept in form 1, without
// bringing it up to date.
func inForm1(t *testing.T) (dir string) {
	t.Helper()
	b, err := os.ReadFile("testdata/form1/studio.db")
	if err != nil {
		t.Fatal(err)
	}
	dir = t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, FileName), b, 0o600); err != nil {
		t.Fatal(err)
	}
	return dir
}

// told returns every revision in a database with what an upcast must not touch,
// or with all of it.
func told(t *testing.T, path string, all bool) string {
	t.Helper()
	db, err := sql.Open("sqlite", address(path, "mode=ro"))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	what := "''"
	if all {
		what = "r.body || ' ' || r.extra"
	}
	rows, err := db.Query("SELECT i.id, i.kind, i.created_ms, coalesce(i.trashed_ms, 0), i.demo, i.current, r.number, coalesce(r.parent, 0), r.saved_ms, r.why, r.title, " +
		what + " FROM item i JOIN revision r ON r.item = i.id ORDER BY i.created_ms, i.id, r.number")
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	var out strings.Builder
	for rows.Next() {
		var id, kind, why, title, rest string
		var n [7]int64
		if err := rows.Scan(&id, &kind, &n[0], &n[1], &n[2], &n[3], &n[4], &n[5], &n[6], &why, &title, &rest); err != nil {
			t.Fatal(err)
		}
		fmt.Fprintln(&out, id, kind, n, why, title, rest)
	}
	if err := rows.Err(); err != nil || out.Len() == 0 {
		t.Fatalf("%q read from %s, %v", out.String(), path, err)
	}
	return out.String()
}

// TestForm1BecomesTodaysForm reads the studio of form 1 in each way it can
// come: as the database itself, as an archive, as a copy that is put back.
func TestForm1BecomesTodaysForm(t *testing.T) {
	ctx := context.Background()
	before := told(t, "testdata/form1/studio.db", false)
	dir := inForm1(t)
	s := open(t, dir)
	if after := told(t, filepath.Join(dir, FileName), false); after != before {
		t.Errorf("the change of form changed more than the form:\n%s\nwas\n%s", after, before)
	}
	all := told(t, filepath.Join(dir, FileName), true)

	zipped, err := os.ReadFile("testdata/form1/studio.zip")
	if err != nil {
		t.Fatal(err)
	}
	fresh := t.TempDir()
	b := open(t, fresh)
	if got, err := b.Import(ctx, bytes.NewReader(zipped), int64(len(zipped))); err != nil || len(got.Added) != 13 {
		t.Fatalf("imported %+v, %v", got, err)
	}
	if got := told(t, filepath.Join(fresh, FileName), true); got != all {
		t.Errorf("the archive became\n%s\nand the database\n%s", got, all)
	}
	// The same archive adds nothing to the database it came from, and so would
	// one of today's form.
	var now bytes.Buffer
	if err := s.Export(ctx, &now, WithoutTakes); err != nil {
		t.Fatal(err)
	}
	for _, z := range [][]byte{zipped, now.Bytes()} {
		if got, err := s.Import(ctx, bytes.NewReader(z), int64(len(z))); err != nil || got.Present != 13 {
			t.Errorf("imported into itself: %+v, %v", got, err)
		}
	}

	third := t.TempDir()
	if _, err := PutBack(ctx, third, "testdata/form1/studio.db", ticking()); err != nil {
		t.Fatal(err)
	}
	c := open(t, third)
	if got := told(t, filepath.Join(third, FileName), true); got != all {
		t.Errorf("the copy became\n%s\nand the database\n%s", got, all)
	}
	// A second opening changes nothing, and the database of before is kept.
	c.Close()
	open(t, third)
	if got := told(t, filepath.Join(third, FileName), true); got != all {
		t.Errorf("opened again it became\n%s\nand was\n%s", got, all)
	}
	steps, err := migrations.ReadDir("sql/migrations")
	if err != nil {
		t.Fatal(err)
	}
	if got := told(t, filepath.Join(third, copiesFolder, fmt.Sprintf("before-version-%d.db", len(steps))), true); got != told(t, "testdata/form1/studio.db", true) {
		t.Errorf("the copy of before holds\n%s", got)
	}
}

// TestForm1InWords says what the kept things of form 1 are in form 2.
func TestForm1InWords(t *testing.T) {
	ctx := context.Background()
	s := open(t, inForm1(t))
	grips, err := s.List(ctx, Grip)
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]string{}
	for _, h := range grips {
		g, err := s.Get(ctx, h.ID)
		if err != nil {
			t.Fatal(err)
		}
		got[g.Title] += g.Body
	}
	for title, want := range map[string][]string{
		"G on Lap steel in open D with palm benders":    {`"placement":{"kind":"open"}`, `"benders":["A","B"]`},
		"A on Square-neck resonator in high open G":     {`"placement":{"kind":"straight","first":1,"last":3,"firstFret":2,"lastFret":2},"strings"`},
		"B4 D5 on Square-neck resonator in high open G": {`"kind":"nose"`},
		"Am on Square-neck resonator in high open G":    {`"kind":"split","first":1,"last":6,"firstFret":22,"lastFret":21`, `"kind":"reverse slant"`, `"kind":"forward slant"`},
		"A on Ten-string pedal steel in E9":             {`"benders":["A","B"]`},
		"Gm on Harbour Street lap steel":                {`"benders":["B"]`},
		"Gm again on Harbour Street lap steel":          {`"benders":["B"]`}, // bit 0, after the benders changed places
	} {
		for _, w := range want {
			if !strings.Contains(got[title], w) {
				t.Errorf("%s is kept as %q, want %s", title, got[title], w)
			}
		}
	}
	trash, err := s.Trash(ctx)
	if err != nil || len(trash) != 1 {
		t.Fatalf("%d in the trash, %v", len(trash), err)
	}
	if torn, err := s.Get(ctx, trash[0].ID); err != nil || torn.Body != `{"rig":"reso-open-g","placement":"no` {
		t.Errorf("the torn grip is %+v, %v", torn, err)
	}
	tunes, err := s.List(ctx, Tune)
	if err != nil || len(tunes) != 1 {
		t.Fatalf("%d tunes, %v", len(tunes), err)
	}
	for number, own := range map[int]string{1: "B", 2: "B", 3: "A"} { // bit 1 of the own rig, before and after
		r, err := s.GetRevision(ctx, tunes[0].ID, number)
		if err != nil {
			t.Fatal(err)
		}
		var x struct {
			Rig    string
			Tempo  int
			Wishes map[string]struct {
				Octave *int
				Level  string
				Closed bool
				Pins   []struct {
					Bar     int
					At      string
					Grip    [][2]int
					Benders *[]string
					Words   string
				}
			}
		}
		if err := json.Unmarshal(r.Extra, &x); err != nil {
			t.Fatal(err)
		}
		var pins []string
		for _, rig := range []string{"bender-open-d", "harbour-lap", "long-gone"} {
			for _, p := range x.Wishes[rig].Pins {
				if p.Benders == nil {
					pins = append(pins, "free")
				} else {
					pins = append(pins, strings.Join(*p.Benders, ""))
				}
			}
		}
		if got, want := strings.Join(pins, ","), "B,,free,AB,"+own+",#2"; got != want {
			t.Errorf("revision %d: the pins engage %s, want %s", number, got, want)
		}
		p := x.Wishes["bender-open-d"].Pins[3]
		if x.Rig != "bender-open-d" || x.Tempo != map[int]int{1: 90, 2: 100, 3: 90}[number] || x.Wishes["harbour-lap"].Level != "first" || !x.Wishes["reso-open-g"].Closed ||
			x.Wishes["bender-open-d"].Octave == nil || p.Bar != 2 || p.At != "1/2" || len(p.Grip) != 2 || p.Words != "as typed" {
			t.Errorf("revision %d lost other settings: %s", number, r.Extra)
		}
	}
}

func TestNewerFormIsRefused(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	s := open(t, dir)
	if err := s.Settings.Put(ctx, formSetting, fmt.Sprint(form.Now+1)); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(ctx, dir, ticking()); err == nil || !strings.Contains(err.Error(), "newer lapwright") {
		t.Errorf("a newer form gave %v", err)
	}
}
