package studio

import (
	"bufio"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"
)

// saverEnv names the folder in which the test program, started anew, saves
// until it is killed.
const saverEnv = "LAPWRIGHT_TEST_SAVER"

func TestMain(m *testing.M) {
	if dir := os.Getenv(saverEnv); dir != "" {
		saveForEver(dir)
	}
	os.Exit(m.Run())
}

// saveForEver saves revision after revision and says on standard output each
// one that was acknowledged.
func saveForEver(dir string) {
	ctx := context.Background()
	s, err := Open(ctx, dir, time.Now)
	if err != nil {
		fmt.Println("failed", err)
		os.Exit(1)
	}
	all, err := s.List(ctx, Tune)
	if err != nil || len(all) != 1 {
		fmt.Println("failed", len(all), err)
		os.Exit(1)
	}
	it, err := s.Get(ctx, all[0].ID)
	if err != nil {
		fmt.Println("failed", err)
		os.Exit(1)
	}
	fmt.Println("ready")
	for {
		next, err := s.Save(ctx, it.ID, it.Revision, Content{Title: "t", Body: bodyOf(it.Revision + 1)}, "written")
		if err != nil {
			fmt.Println("failed", err)
			os.Exit(1)
		}
		it = next
		fmt.Println("saved", it.Revision)
	}
}

// bodyOf is long enough that one save writes many pages.
func bodyOf(revision int) string { return strings.Repeat(fmt.Sprintf("%d\n", revision), 3000) }

// TestKilledWhileSaving kills a saving process at random moments: whatever it
// had acknowledged is there afterwards, whole.
func TestKilledWhileSaving(t *testing.T) {
	times := 200
	if testing.Short() {
		times = 10
	}
	dir, ctx := t.TempDir(), context.Background()
	s := open(t, dir)
	it := add(t, s, Tune, "t", bodyOf(1))
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(7, 7))
	acknowledged := 1
	for range times {
		cmd := exec.Command(os.Args[0])
		cmd.Env = append(os.Environ(), saverEnv+"="+dir)
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		lines := bufio.NewScanner(out)
		if !lines.Scan() || lines.Text() != "ready" {
			t.Fatalf("the saver said %q", lines.Text())
		}
		// The moment is counted from a save, so that a slow machine is killed
		// while saving too.
		saves, wait := rng.IntN(3), time.Duration(rng.IntN(12_000))*time.Microsecond
		kill := func() { time.AfterFunc(wait, func() { cmd.Process.Kill() }) }
		if saves == 0 {
			kill()
		}
		for lines.Scan() {
			var n int
			if _, err := fmt.Sscanf(lines.Text(), "saved %d", &n); err != nil {
				t.Fatalf("the saver said %q", lines.Text())
			}
			acknowledged = n
			if saves--; saves == 0 {
				kill()
			}
		}
		cmd.Wait()
	}
	if acknowledged < times/2 {
		t.Fatalf("only %d saves in %d runs: too few were killed while saving", acknowledged, times)
	}
	s = open(t, dir)
	revs, err := s.Revisions(ctx, it.ID)
	if err != nil || len(revs) < acknowledged {
		t.Fatalf("%d revisions are there (%v), %d were acknowledged", len(revs), err, acknowledged)
	}
	for _, r := range held(t, s, revs) {
		if r.Body != bodyOf(r.Revision) {
			t.Fatalf("revision %d is not what was saved", r.Revision)
		}
	}
	var verdict string
	if err := s.db.QueryRow("PRAGMA integrity_check").Scan(&verdict); err != nil || verdict != "ok" {
		t.Fatalf("integrity check: %q, %v", verdict, err)
	}
	t.Logf("killed %d times; %d saves acknowledged, %d found", times, acknowledged, len(revs))
}
