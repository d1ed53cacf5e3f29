package picture_test

import (
	"math"
	"testing"

	"lapwright/listen"
	"lapwright/listen/picture"
)

// TestTold: the sentence for each fault. One who hits a note within a cent is in tune; the steel is spoken
// of from 0.3 mm on, lateness from more than 45 ms on, the just chord where it differs by more than a cent.
func TestTold(t *testing.T) {
	fret := func(f float64) func(*listen.Note) { return func(n *listen.Note) { n.Fret = f } }
	just := func(c float64) func(*listen.Note) { return func(n *listen.Note) { n.CentsJust = c } }
	meant := func(c float64) func(*listen.Note) { return func(n *listen.Note) { n.Meant = c } }
	steel := func(mm float64) func(*listen.Note) { return func(n *listen.Note) { n.SteelMM = mm } }
	adrift := func(n *listen.Note) { n.Adrift = true }
	vibrato := func(n *listen.Note) { n.Vibrato, n.Width = 5.25, 17.6 }
	type as = []func(*listen.Note)
	for _, c := range []struct {
		with as
		want string
	}{
		{as{fret(0)}, "open: in tune"},
		{as{fret(7)}, "fret 7: in tune"},
		{as{fret(2.504)}, "fret 2.5: in tune"},
		{as{fret(11.987)}, "fret 11.99: in tune"},
		{as{off(0.4)}, "open: in tune"},
		{as{off(-0.4)}, "open: in tune"},
		{as{off(0.6)}, "open: 1 cent sharp"},
		{as{off(-1.2)}, "open: 1 cent flat"},
		{as{off(2)}, "open: 2 cents sharp"},
		{as{missed, late(0.2), steel(5)}, "open: not heard"},
		{as{wrong}, "open: another note sounded"},
		{as{wrong, late(0.06)}, "open: another note sounded, 60 ms late"},
		{as{untold}, "open: played; its pitch can't be told from what else sounds"},
		{as{off(8), unsure}, "open: 8 cents sharp, not sure"},
		// What a string is meant to have counts first, then the chord where that is elsewhere.
		{as{off(-14), meant(-14)}, "open: in tune"},
		{as{off(3), meant(5)}, "open: 2 cents flat"},
		{as{off(-14), just(0)}, "open: 14 cents flat, in tune against the just chord"},
		{as{off(-12), just(2)}, "open: 12 cents flat, 2 cents sharp against the just chord"},
		{as{off(5), just(5)}, "open: 5 cents sharp"},
		{as{off(5), just(4)}, "open: 5 cents sharp"},
		{as{off(5), just(3.75)}, "open: 5 cents sharp, 4 cents sharp against the just chord"},
		{as{off(5), just(6.25)}, "open: 5 cents sharp, 6 cents sharp against the just chord"},
		// A string tuned to a just third is in tune as such a third, and not as the chord's root.
		{as{off(-14), meant(-14), just(0)}, "open: in tune"},
		{as{off(-14), meant(-14), just(-14)}, "open: in tune, 14 cents flat against the just chord"},
		{as{fret(5), steel(0.3)}, "fret 5: in tune, the steel 0.3 mm towards the bridge"},
		{as{fret(5), steel(-0.3)}, "fret 5: in tune, the steel 0.3 mm towards the nut"},
		{as{fret(5), steel(0.29)}, "fret 5: in tune"},
		{as{fret(5), steel(-0.29)}, "fret 5: in tune"},
		{as{late(0.0451)}, "open: in tune, 45 ms late"},
		{as{late(-0.0451)}, "open: in tune, 45 ms early"},
		{as{late(0.045)}, "open: in tune"},
		{as{late(-0.045)}, "open: in tune"},
		// Where the time wavers there is no steady hand to be late against.
		{as{late(0.12), adrift}, "open: in tune"},
		{as{vibrato}, "open: in tune, vibrato of 5.2 a second, 18 cents to each side"},
		{as{fret(3), off(-21), just(-7), steel(-1.26), late(-0.08), vibrato, unsure}, "fret 3: 21 cents flat, 7 cents flat against the just chord, the steel 1.3 mm towards the nut, 80 ms early, vibrato of 5.2 a second, 18 cents to each side, not sure"},
	} {
		n := played(6, 0, append(c.with, on(4))...)
		if got, want := picture.Tell(&n), "Bar 7, string 4, "+c.want; got != want {
			t.Errorf("got  %q\nwant %q", got, want)
		}
	}
}

// TestSummary: how many notes, of how many the pitch is told and of how many for sure, the tempo where
// it is known, and what counts as late.
func TestSummary(t *testing.T) {
	one, two, three := played(0, 0), played(0, 1, unsure), played(0, 2, missed, unsure)
	for _, c := range []struct {
		v    listen.Reviewed
		want string
	}{
		{listen.Reviewed{Notes: []listen.Note{one}}, "1 note: the pitch of 1 is told, of 1 for sure; late and early are against your own tempo"},
		{listen.Reviewed{Notes: []listen.Note{one, two, three, two}, Tempo: 71.6, Against: listen.AgainstTempo}, "4 notes: the pitch of 3 is told, of 1 for sure; 72 quarters a minute; late and early are against your own tempo"},
		{listen.Reviewed{Notes: []listen.Note{three, three}, Tempo: 60, Against: listen.AgainstClick}, "2 notes: the pitch of 0 is told, of 0 for sure; 60 quarters a minute; late and early are against the click"},
		{listen.Reviewed{Notes: []listen.Note{one, one}, Against: listen.AgainstDifferences}, "2 notes: the pitch of 2 is told, of 2 for sure; late and early are against the click, less what all notes have in common, as the device's delay is not measured"},
	} {
		if got := picture.Summary(&c.v); got != c.want {
			t.Errorf("got  %q\nwant %q", got, c.want)
		}
	}
}

// TestStringsTold: each string with how far it is from its pitch; no figure is surer than a cent.
func TestStringsTold(t *testing.T) {
	for _, c := range []struct {
		strings []listen.StringTuning
		want    string
	}{
		{[]listen.StringTuning{{String: 1, Cents: 3.4, Doubt: 0.2, Told: true}}, "String 1: +3 ± 1 cents."},
		{[]listen.StringTuning{{String: 1, Cents: -8.6, Doubt: 2.4, Told: true}, {String: 2}, {String: 3, Cents: 0.3, Doubt: 1.6, Told: true}}, "String 1: −9 ± 2 cents; string 2: can't be told; string 3: 0 ± 2 cents."},
		{[]listen.StringTuning{{String: 2, Doubt: math.Inf(1)}, {String: 5}}, "String 2: can't be told; string 5: can't be told."},
	} {
		if got := picture.Strings(&listen.Reviewed{Strings: c.strings}); got != c.want {
			t.Errorf("got  %q\nwant %q", got, c.want)
		}
	}
}

// TestNumbersOfWords: words beside notes are counted, and an empty one is none.
func TestNumbersOfWords(t *testing.T) {
	words := []picture.Word{{Text: "softer"}, {}, {Text: "steel square"}, {Text: "yes"}}
	for i, want := range []int{1, 1, 2, 3} {
		if got := picture.Number(words, i); got != want {
			t.Errorf("word %d of %v has the number %d, want %d", i, words, got, want)
		}
	}
}
