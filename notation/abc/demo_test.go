package abc

import (
	"os"
	"path/filepath"
	"testing"

	"lapwright/tune"
)

// TestDemoTunes: the tunes that come with the program are read without a warning,
// not even of a bar of an odd length, are 16 to 32 bars long and end on their key's
// tonic.
func TestDemoTunes(t *testing.T) {
	files, err := filepath.Glob("../../internal/lesson/demo/*.abc")
	if err != nil || len(files) < 3 {
		t.Fatalf("%d demo tunes, %v", len(files), err)
	}
	for _, path := range files {
		src, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		tunes, warnings, err := Read(src, filepath.Base(path))
		if err != nil || len(warnings) > 0 || len(tunes) != 1 {
			t.Errorf("%s: %d tunes, %v, %v", path, len(tunes), err, warnings)
			continue
		}
		x := tunes[0]
		if n := x.Bars[len(x.Bars)-1].Number; n < 16 || n > 32 || n%4 != 0 {
			t.Errorf("%s: %d bars", path, n)
		}
		sound := tune.Sound(x)
		if last := sound[len(sound)-1]; last.Name.Class != x.Bars[0].Key.Tonic {
			t.Errorf("%s: ends on %s in %s", path, last.Name, x.Bars[0].Key)
		}
		if _, lost := Write(x); len(lost) > 0 {
			t.Errorf("%s: %v", path, lost)
		}
	}
}
