package notation

import (
	"strings"
	"testing"

	"lapwright/rig"
)

// A text that says nothing of a capo is read on the rig as it is given.
func TestCapoOfTheRig(t *testing.T) {
	r, _ := rig.Builtin("bender-open-d")
	at3, err := r.WithCapo(3)
	if err != nil {
		t.Fatal(err)
	}
	tb, _, err := ReadTab([]byte("|-0-|\n|---|\n|---|\n|---|\n|---|\n|---|\n"), "capo.txt", at3)
	if err != nil {
		t.Fatal(err)
	}
	if got := tb.Tune.Bars[0].Lines[0][0].Notes[0].Name.Key(); got != 65 || tb.Rig.Capo.At != 3 {
		t.Errorf("the open string sounds key %d with the capo at %d; want 65 and 3", got, tb.Rig.Capo.At)
	}
}

// Texts written before the tuning was told without the capo named the notes at
// the capo. They are read as ever, and typed tab may name its lines either way.
func TestCapoCountedIn(t *testing.T) {
	r, _ := rig.Builtin("bender-open-d")
	const music = "key: G major\nmeter: 4/4\n\nrhythm   w\n1 %s   |-0---|]\n2 A3   |-----|]\n3 F#3  |-----|]\n4 D3   |-----|]\n5 A2   |-----|]\n6 D2   |-----|]\n"
	for name, text := range map[string]string{
		"as it is tuned": "tab text 1\ntuning: D2 A2 D3 F#3 A3 D4\ncapo: 5\n" + strings.Replace(music, "%s", "D4", 1),
		"at the capo":    "tab text 1\ntuning: G2 D3 G3 B3 D4 G4\ncapo: 5\n" + strings.Replace(music, "%s", "G4", 1),
		"typed, tuned":   "Capo 5\n\nD|-0-|\nA|---|\nF#|---|\nD|---|\nA|---|\nD|---|\n",
		"typed, at it":   "Capo 5\n\nG|-0-|\nD|---|\nB|---|\nG|---|\nD|---|\nG|---|\n",
	} {
		tb, _, err := ReadTab([]byte(text), "capo.txt", r)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		// A fourth above D4 is G4 (common practice, no source).
		if got := tb.Tune.Bars[0].Lines[0][0].Notes[0].Name.String(); got != "G4" || tb.Rig.Capo.At != 5 {
			t.Errorf("%s: the open string sounds %s with the capo at %d; want G4 and 5", name, got, tb.Rig.Capo.At)
		}
	}
	mixed := "tab text 1\ntuning: D2 A2 D3 F#3 A3 G4\ncapo: 5\n" + strings.Replace(music, "%s", "G4", 1)
	if _, _, err := ReadTab([]byte(mixed), "capo.txt", r); err == nil || !strings.Contains(err.Error(), `string 1 is "G4" here, and "D4" on the rig`) {
		t.Errorf("a tuning that is neither: %v", err)
	}
}
