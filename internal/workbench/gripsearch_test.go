package workbench

import (
	"net/url"
	"regexp"
	"slices"
	"testing"

	"lapwright/rig"
	"lapwright/rig/rigtest"
)

func find(t *testing.T, w *GripWish) *GripsFound {
	t.Helper()
	g := rigtest.Builtin(t, w.Rig)
	w.On(g)
	f, err := w.Find(g)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// TestGripsByPlace: at the fifth fret of high open G lies C (common practice, no
// source): root, third and fifth under the straight steel. Places follow the neck,
// and every card is of one size.
func TestGripsByPlace(t *testing.T) {
	f := find(t, &GripWish{Rig: "reso-open-g", Want: "C"})
	if !slices.IsSortedFunc(f.Places, func(a, b GripPlace) int { return a.Fret - b.Fret }) || len(f.Places) < 4 {
		t.Errorf("%d places", len(f.Places))
	}
	i := slices.IndexFunc(f.Places, func(p GripPlace) bool { return p.Fret == 5 })
	if i < 0 {
		t.Fatal("nothing at fret 5")
	}
	best := f.Places[i].Grips[0]
	var tones []string
	for _, tone := range best.Tones {
		tones = append(tones, tone.Pitch[:1]+" "+tone.Label)
	}
	slices.Sort(tones)
	if !slices.Equal(tones, []string{"C root", "E 3", "G 5"}) || f.Places[i].Name != "fret 5" {
		t.Errorf("at %s: %v", f.Places[i].Name, tones)
	}
	box := regexp.MustCompile(`viewBox="[^"]*"`)
	sizes, shown := map[string]bool{}, 0
	f.each(func(x *FoundGrip) { sizes[box.FindString(x.Picture())], shown = true, shown+1 })
	if len(sizes) != 1 || shown != f.Shown || f.Shown > f.All {
		t.Errorf("%d sizes; %d of %d shown, %d told", len(sizes), shown, f.All, f.Shown)
	}
	for _, p := range f.Places {
		if len(p.Grips)+len(p.More) > maxAtPlace || len(p.Grips) > placeGrips {
			t.Errorf("%s: %d and %d", p.Name, len(p.Grips), len(p.More))
		}
		for _, x := range append(p.Grips, p.More...) {
			low := 0
			if at := x.Placement; at.FirstFret > 0 {
				low = int(min(at.FirstFret, at.LastFret))
			}
			if low != p.Fret {
				t.Errorf("%s holds one %s", p.Name, x.Words)
			}
		}
	}
}

// TestGripsNarrowed: only what is asked for counts.
func TestGripsNarrowed(t *testing.T) {
	all := find(t, &GripWish{Rig: "bender-open-d", Want: "G"}).All
	for name, w := range map[string]*GripWish{
		"strings": {Strings: []int{2, 3, 4}}, "frets": {Low: 3, High: 7}, "without": {Benders: WithoutBenders}, "only": {Benders: OnlyBenders},
	} {
		w.Rig, w.Want = "bender-open-d", "G"
		f := find(t, w)
		if f.All == 0 || f.All >= all {
			t.Errorf("%s: %d of %d", name, f.All, all)
		}
		f.each(func(x *FoundGrip) {
			bent := x.Benders != 0
			low, high := min(x.Placement.FirstFret, x.Placement.LastFret), max(x.Placement.FirstFret, x.Placement.LastFret)
			outside := slices.ContainsFunc(x.Strings, func(s int) bool { return !w.Plucks(s) })
			if outside || w.Low > 0 && low < 3 || w.High > 0 && high > 7 || w.Benders == WithoutBenders && bent || w.Benders == OnlyBenders && !bent {
				t.Errorf("%s: %s on %v", name, x.Words, x.Strings)
			}
		})
	}
	g, _ := rig.Builtin("bender-open-d")
	for _, w := range []*GripWish{{Low: 7, High: 3}, {Strings: []int{6}, Low: 4, High: 4}} {
		w.Rig, w.Want = g.Name, "G"
		if f, err := w.Find(g); err == nil {
			t.Errorf("%+v finds %d", w, f.All)
		}
	}
}

// TestGripWishRoundTrip: the query of a search leads back to it; numbers that are
// none, and what was ticked for another rig, are left out.
func TestGripWishRoundTrip(t *testing.T) {
	w := &GripWish{Rig: "lap6-c6", Want: "D M3", Strings: []int{2, 4}, Low: 3, High: 9, Benders: OnlyBenders}
	form, err := url.ParseQuery(w.Query())
	if err != nil {
		t.Fatal(err)
	}
	if got := ReadGripWish(form); got.Query() != w.Query() || got.Want != w.Want || got.High != 9 || !got.Narrowed() {
		t.Errorf("%+v became %+v", w, got)
	}
	form.Set("rig", "reso-open-g")
	if got := ReadGripWish(form); got.Narrowed() || got.Want != w.Want {
		t.Errorf("for another rig: %+v", got)
	}
	form, _ = url.ParseQuery("rig=lap6-c6&of=lap6-c6&low=x&high=-3&string=z&string=0&benders=some")
	if got := ReadGripWish(form); got.Narrowed() {
		t.Errorf("of nonsense: %+v", got)
	}
	g, _ := rig.Builtin("lap6-c6")
	every := &GripWish{Rig: "lap6-c6", Strings: []int{1, 2, 3, 4, 5, 6, 7}, High: 36}
	if every.On(g); every.Narrowed() {
		t.Errorf("all strings and frets narrow: %+v", every)
	}
	b := Grip{Ref: "lap6-c6"}
	if got := b.Back(w.Query()); got != w.Query() {
		t.Errorf("back to %s", got)
	}
	for _, other := range []string{"", "%zz", "rig=reso-open-g&want=G", "//elsewhere"} {
		if got := b.Back(other); got != (&GripWish{Rig: "lap6-c6"}).Query() {
			t.Errorf("%q leads to %s", other, got)
		}
	}
}
