package rig

import (
	"strings"
	"testing"
)

// TestCapoBounds: a sliding capo goes from the nut to the last fret it reaches, and is
// put there once.
func TestCapoBounds(t *testing.T) {
	r, ok := Builtin("reso-open-g")
	if !ok {
		t.Fatal("the rig reso-open-g is gone")
	}
	r.Capo.Highest = 5
	for fret, want := range map[int]string{-1: "cannot be at fret", 0: "", 1: "", 5: "", 6: "goes to fret 5"} {
		got, err := r.WithCapo(fret)
		if (err == nil) != (want == "") || err != nil && !strings.Contains(err.Error(), want) {
			t.Errorf("a capo at fret %d: %v; want %q", fret, err, want)
			continue
		}
		if err == nil && (got.Capo.At != fret || got.OpenKey(1, 0) != r.OpenKey(1, 0)+fret || got.Frets != r.Frets-fret) {
			t.Errorf("a capo at fret %d: at %d, string 1 open is %d, %d frets are left", fret, got.Capo.At, got.OpenKey(1, 0), got.Frets)
		}
	}
	up, err := r.WithCapo(2)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := up.WithCapo(3); err == nil {
		t.Error("a second capo is put on")
	}
	if same, err := up.WithCapo(2); err != nil || same.Capo.At != 2 || same.OpenKey(1, 0) != up.OpenKey(1, 0) {
		t.Errorf("the capo where it is: %v, %v", same, err)
	}
}

// TestCapoKinds: a rig without the word keeps its sliding capo, and no rig text gains
// the word by being read and written.
func TestCapoKinds(t *testing.T) {
	plain, _ := Builtin("lap6-c6")
	text := string(Format(plain))
	for capo, want := range map[string]Capo{
		"": {}, "[capo]\nhighest = 5\n": {Highest: 5}, "[capo]\nkind = \"sliding\"\nhighest = 5\n": {Highest: 5},
		"[capo]\nkind = \"clamp\"\nhighest = 5\n": {Clamp: true, Highest: 5},
	} {
		r, err := Parse([]byte(strings.Replace(text, "\n[[string]]", "\n"+capo+"\n[[string]]", 1)), "rig")
		if err != nil {
			t.Fatal(err)
		}
		if r.Capo != want || strings.Contains(string(Format(r)), "kind = \"clamp\"") != want.Clamp || strings.Contains(string(Format(r)), "sliding") {
			t.Errorf("%q is read as %+v and written as\n%s", capo, r.Capo, Format(r))
		}
	}
	for name, want := range map[string]string{"reso-open-g": ClampOnCapo, "bender-open-d": SlidingCapo, "lap6-c6": ""} {
		if r, _ := Builtin(name); r.Capo.Kind() != want {
			t.Errorf("the capo of %s is %q, want %q", name, r.Capo.Kind(), want)
		}
	}
}

// TestStiffnessWords: up to a tenth to either side feels even (common practice, no
// source).
func TestStiffnessWords(t *testing.T) {
	for s, want := range map[float64]string{1: "even", 1.09: "even", 0.91: "even", 1.25: "25 % tighter", 0.75: "25 % slacker", 0.5: "50 % slacker", 1.5: "50 % tighter"} {
		if got := StiffnessText(s); got != want {
			t.Errorf("stiffness %g is %q; want %q", s, got, want)
		}
	}
}
