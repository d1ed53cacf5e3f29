package retune

import (
	"fmt"
	"testing"

	figures "lapwright/internal/near"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/wire"
)

// TestSpacing: strings that fan from 8 mm apart at the nut to 10 mm at the bridge are 9
// mm apart in the middle; a single string has no neighbour to be apart from.
func TestSpacing(t *testing.T) {
	r := rigtest.OpenD()
	figures.To(t, "six strings", spacing(r), 9, 1e-9)
	r.Strings = r.Strings[:2]
	figures.To(t, "two strings", spacing(r), 45, 1e-9)
	r.Strings = r.Strings[:1]
	figures.To(t, "one string", spacing(r), 45, 1e-9)
}

// TestWrapOfANewString: a string is replaced by one of its own wrap, or of that of the
// nearest wound string: the lower of two as near. Without any it is nickel-plated.
func TestWrapOfANewString(t *testing.T) {
	plain := rig.String{Wire: wire.Plain(0.4)}
	wound := func(m wire.Material) rig.String { return rig.String{Wire: wire.Wound(0.8, m)} }
	r := &rig.Rig{Strings: []rig.String{plain, wound(wire.PhosphorBronze), plain, plain, wound(wire.Nickel), plain}}
	for i, want := range []wire.Material{wire.PhosphorBronze, wire.PhosphorBronze, wire.PhosphorBronze, wire.Nickel, wire.Nickel, wire.Nickel} {
		if got := wrapOf(r, i+1); got != want {
			t.Errorf("string %d: %s, want %s", i+1, got, want)
		}
	}
	last := &rig.Rig{Strings: []rig.String{wound(wire.Nickel), plain, wound(wire.PhosphorBronze)}}
	if got := wrapOf(last, 2); got != wire.PhosphorBronze {
		t.Errorf("between two: %s, want that of the lower string", got)
	}
	if got := wrapOf(last, 1); got != wire.Nickel {
		t.Errorf("the first string, wound: %s", got)
	}
	if got := wrapOf(&rig.Rig{Strings: []rig.String{plain, plain}}, 1); got != wire.NickelPlated {
		t.Errorf("without wound strings: %s", got)
	}
}

// TestJustOffFarSpellings: what is no tone of the chord is measured from its root, and a
// far-fetched spelling by its sound: F double sharp over C is a fifth, 701.955 cents,
// and D a whole tone of 9/8, 203.910 cents (ratios of the intervals, common practice).
func TestJustOffFarSpellings(t *testing.T) {
	c, err := pitch.ParseChord("C")
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []struct {
		name string
		want float64
	}{{"G", 1.955}, {"F##", 1.955}, {"D", 3.910}, {"E", -13.686}, {"D##", -13.686}, {"Abb", 1.955}, {"Gbb", -1.955}} {
		k, err := pitch.ParseClass(x.name)
		if err != nil {
			t.Fatal(err)
		}
		got, err := justOff(c, k, 0)
		if err != nil {
			t.Errorf("%s: %v", x.name, err)
			continue
		}
		figures.To(t, x.name+" over C", float64(got), x.want, 0.001)
	}
}

// TestTuningsAreTheCallersOwn: who writes into a tuning that was found, or into the list, changes nobody else's.
func TestTuningsAreTheCallersOwn(t *testing.T) {
	spoil := func(k Tuning) {
		k.Pitches[0], k.Gauges[0] = k.Pitches[1], k.Gauges[1]
		for i := range k.Styles {
			k.Styles[i] = ""
		}
	}
	was := fmt.Sprint(Catalogue())
	for _, k := range Catalogue() {
		spoil(k)
	}
	k, ok := FindTuning("high-open-g")
	if !ok {
		t.Fatal("high-open-g is not known")
	}
	spoil(k)
	if now := fmt.Sprint(Catalogue()); now != was {
		t.Errorf("the catalogue has become\n%s\nfrom\n%s", now, was)
	}
}
