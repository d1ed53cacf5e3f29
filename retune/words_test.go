package retune

import (
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/wire"
)

// What a comparison tells of scale, spacing and what is new, in percent worked out by hand.
func TestDifferencesInWords(t *testing.T) {
	says := func(a, b *rig.Rig) string { return strings.Join(Compare(a, b).Relearn, "\n") }
	own := rigtest.Builtin(t, "lap6-c6")
	scaled := func(by wire.MM) *rig.Rig {
		r := own.Clone()
		r.Scale *= by
		return r
	}
	for by, want := range map[wire.MM]string{1.1: "the frets lie 10 % farther apart", 0.9: "the frets lie 10 % closer together"} {
		if got := says(own, scaled(by)); !strings.Contains(got, want) {
			t.Errorf("scaled by %g it says\n%s\nwant %s", by, got, want)
		}
	}
	if got := says(own, scaled(1.005)); strings.Contains(got, "frets lie") {
		t.Errorf("half a percent is told:\n%s", got)
	}
	open := says(rigtest.Builtin(t, "reso-open-g"), rigtest.Builtin(t, "lap6-c6"))
	if !strings.Contains(open, "the tones of the open chord, low to high, are") {
		t.Errorf("open G to C6 says\n%s", open)
	}
	if got := says(own, own.Clone()); strings.Contains(got, "tones of the open chord") || strings.Contains(got, "new") {
		t.Errorf("the same again says\n%s", got)
	}
}

// Open strings that name no chord are named by what sounds over the lowest, wherever that lies.
func TestOpenChordOverTheLowest(t *testing.T) {
	r := rigtest.Builtin(t, "lap6-c6").Clone()
	for text, want := range map[string]string{"G3 B3 D4 G4 B4 D5": "G", "E3 G3 C4 E4 G4 C5": "C/E", "D5 A4 E3 G3 B3 E4": "Em7add11"} {
		r.Name, r.Tuning = "x", ""
		for i, n := range strings.Fields(text) {
			name, err := pitch.ParseName(n)
			if err != nil {
				t.Fatal(err)
			}
			r.Strings[len(r.Strings)-1-i].Open = name
		}
		c, err := OpenChordOf(r)
		if err != nil || c.String() != want {
			t.Errorf("%s: %s, %v; want %s", text, c, err, want)
		}
	}
}

// A string that would pull half as much again as now is changed, and it is said by how much; the scale
// of a new set may be the shortest and the longest there is.
func TestPercentsAndScales(t *testing.T) {
	lap := rigtest.Builtin(t, "lap6-c6")
	up := lap.TunedNames()
	up[0] = pitch.SpellKey(up[0].Key()+4, 0)
	p, err := NewPlan(lap, up, "", 0)
	if err != nil {
		t.Fatal(err)
	}
	said := ""
	for _, m := range p.Moves {
		said += m.Why + "\n"
	}
	// Four semitones are 2^(8/12) = 1.587 times the pull.
	if p.Moves[0].After.Finding == rig.Fine && p.Moves[len(p.Moves)-1].After.Finding == rig.Fine && !strings.Contains(said, "it would pull 59 % more than now") {
		t.Errorf("it says\n%s", said)
	}
	for scale, ok := range map[wire.MM]bool{rig.MinScale: true, rig.MaxScale: true, rig.MinScale - 1: false, rig.MaxScale + 1: false} {
		w := wish(t, "high-open-g")
		w.Scale = scale
		if _, err := NewDesign(w); err != nil && strings.Contains(err.Error(), "is outside") == ok {
			t.Errorf("a scale of %g: %v", float64(scale), err)
		} else if err == nil && !ok {
			t.Errorf("a scale of %g is taken", float64(scale))
		}
	}
	// On the longest scale nothing is sold that bears a high pitch, and it says how much it would have to bear.
	w := wish(t, "high-open-g")
	w.Scale = rig.MaxScale
	w.Tunings[0][len(w.Tunings[0])-1] = name(t, "C6")
	w.Tunings[0][0] = name(t, "C6")
	if _, err := NewDesign(w); err == nil || !strings.Contains(err.Error(), "% of what breaks it") || strings.Contains(err.Error(), "carries 0 %") {
		t.Errorf("%v", err)
	}
	if f, why := (&Design{}).Judge(Requirements{}); f != "" || why != "" {
		t.Errorf("no body is judged %q, %q", f, why)
	}
}
