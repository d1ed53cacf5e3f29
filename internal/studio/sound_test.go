package studio

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// withTake makes a studio with one take and gives its sum.
func withTake(t *testing.T, now func() time.Time) (*Studio, *Item, string) {
	t.Helper()
	s, err := Open(context.Background(), t.TempDir(), now)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	sum, err := s.Sounds.Keep([]byte("fLaC a take"))
	if err != nil {
		t.Fatal(err)
	}
	it, err := s.Add(context.Background(), Take, Content{Title: "A take", Body: fmt.Sprintf(`{"sound":%q}`, sum)}, false)
	if err != nil {
		t.Fatal(err)
	}
	return s, it, sum
}

// TestSoundIsKeptByItsSum: what is kept is read again, twice the same takes no more room,
// what is cleared or damaged is told of, and nothing outside the folder is ever touched.
func TestSoundIsKeptByItsSum(t *testing.T) {
	s, _, sum := withTake(t, ticking())
	if again, err := s.Sounds.Keep([]byte("fLaC a take")); err != nil || again != sum {
		t.Errorf("kept again as %q, %v; want %q", again, err, sum)
	}
	if b, err := s.Sounds.Get(sum); err != nil || string(b) != "fLaC a take" {
		t.Errorf("read %q, %v", b, err)
	}
	info, err := os.Stat(s.Sounds.file(sum))
	if err != nil || info.Mode().Perm()&0o077 != 0 {
		t.Errorf("its file is open to others: %v, %v", info.Mode(), err)
	}
	for _, odd := range []string{"", "..", "../studio.db", strings.Repeat("g", 64), strings.Repeat("a", 63), sum + "/.."} {
		if _, err := s.Sounds.Get(odd); !errors.Is(err, ErrCleared) {
			t.Errorf("the sum %q gives %v", odd, err)
		}
		if err := s.Sounds.Clear(odd); err != nil {
			t.Errorf("clearing %q gives %v", odd, err)
		}
	}
	if err := os.WriteFile(s.Sounds.file(sum), []byte("fLaC another"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Sounds.Get(sum); err == nil || !strings.Contains(err.Error(), "damaged") {
		t.Errorf("damaged sound gives %v", err)
	}
	if err := s.Sounds.Clear(sum); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Sounds.Get(sum); !errors.Is(err, ErrCleared) {
		t.Errorf("cleared sound gives %v", err)
	}
	if _, err := s.Sounds.Keep(make([]byte, MaxSound+1)); err == nil || !strings.Contains(err.Error(), "64 MB") {
		t.Errorf("a take that is too large gives %v", err)
	}
	was := maxSounds
	defer func() { maxSounds = was }()
	maxSounds = 20
	if _, err := s.Sounds.Keep(make([]byte, 21)); err == nil || !strings.Contains(err.Error(), "clear some") {
		t.Errorf("a full studio gives %v", err)
	}
}

// TestForgottenTakeLosesItsSound: in the trash it is kept; for good it is gone, as is sound that
// no take speaks of an hour later.
func TestForgottenTakeLosesItsSound(t *testing.T) {
	ctx := context.Background()
	at := time.Now()
	s, it, sum := withTake(t, func() time.Time { return at })
	loose, err := s.Sounds.Keep([]byte("fLaC never kept"))
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Discard(ctx, it.ID); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Sounds.Get(sum); err != nil {
		t.Errorf("in the trash its sound gives %v", err)
	}
	if _, err := s.CopyDaily(ctx); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Sounds.Get(loose); err != nil {
		t.Errorf("sound that came just now is gone: %v", err)
	}
	if err := s.Forget(ctx, it.ID); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Sounds.Get(sum); !errors.Is(err, ErrCleared) {
		t.Errorf("forgotten, its sound gives %v", err)
	}
	at = at.Add(25 * time.Hour)
	if _, err := s.CopyDaily(ctx); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Sounds.Get(loose); !errors.Is(err, ErrCleared) {
		t.Errorf("sound of no take, a day later, gives %v", err)
	}
	// No copy holds sound.
	copies, err := filepath.Glob(filepath.Join(s.dir, copiesFolder, "*"))
	if err != nil || len(copies) == 0 {
		t.Fatal(err, copies)
	}
	for _, c := range copies {
		if b, err := os.ReadFile(c); err != nil || bytes.Contains(b, []byte("fLaC")) {
			t.Errorf("%s holds sound (%v)", c, err)
		}
	}
}

// TestTakesMoveOnlyWhenAsked: an archive has sound when it is asked for and is taken in with it; one
// whose sound is not what its name says is refused.
func TestTakesMoveOnlyWhenAsked(t *testing.T) {
	ctx := context.Background()
	s, _, sum := withTake(t, ticking())
	var plain, full bytes.Buffer
	if err := s.Export(ctx, &plain, WithoutTakes); err != nil {
		t.Fatal(err)
	}
	if err := s.Export(ctx, &full, WithTakes); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		archive []byte
		want    error
	}{{plain.Bytes(), ErrCleared}, {full.Bytes(), nil}} {
		to, err := Open(ctx, t.TempDir(), ticking())
		if err != nil {
			t.Fatal(err)
		}
		defer to.Close()
		got, err := to.Import(ctx, bytes.NewReader(c.archive), int64(len(c.archive)))
		if err != nil || len(got.Added) != 1 || got.Added[0].Kind != Take {
			t.Fatalf("brought %+v, %v", got, err)
		}
		if _, err := to.Sounds.Get(sum); !errors.Is(err, c.want) {
			t.Errorf("the sound gives %v, want %v", err, c.want)
		}
	}
	for _, name := range []string{"recordings/" + strings.Repeat("0", 64) + ".flac", "recordings/../x.flac"} {
		var out bytes.Buffer
		z := zip.NewWriter(&out)
		in, err := zip.NewReader(bytes.NewReader(full.Bytes()), int64(full.Len()))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range in.File {
			if err := z.Copy(f); err != nil {
				t.Fatal(err)
			}
		}
		w, err := z.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		w.Write([]byte("fLaC not that"))
		if err := z.Close(); err != nil {
			t.Fatal(err)
		}
		to, err := Open(ctx, t.TempDir(), ticking())
		if err != nil {
			t.Fatal(err)
		}
		defer to.Close()
		var bad *BadArchive
		if _, err := to.Import(ctx, bytes.NewReader(out.Bytes()), int64(out.Len())); !errors.As(err, &bad) {
			t.Errorf("%s: got %v, want a refusal", name, err)
		}
		if list, err := to.List(ctx, Take); err != nil || len(list) != 0 {
			t.Errorf("%s: %d takes were brought all the same (%v)", name, len(list), err)
		}
	}
	if !slices.Contains(Kinds, Take) {
		t.Error("a take is no kind")
	}
}
