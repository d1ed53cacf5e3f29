package neck

import (
	"slices"
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/retune"
	"lapwright/rig/rigtest"
	"lapwright/sheet/draw"
	"lapwright/steel"
)

// TestCardsKeepTheirRoom: whatever is on a card stays within its margins, a long title and many strings too, and no line of it stands in another.
func TestCardsKeepTheirRoom(t *testing.T) {
	r := *rigtest.Builtin(t, "bender-open-d")
	r.Title = strings.Repeat("A steel guitar with a long name ", 5)
	r.Tuning = strings.Repeat("a tuning with one too ", 7)
	for len(r.Strings) < 16 {
		r.Strings = append(slices.Clone(r.Strings), r.Strings[0])
	}
	d := TuningCard(&r)
	if d.Pages[0].W != 148 || d.Pages[0].H != 105 {
		t.Errorf("a card is %g by %g mm, A6 is 148 by 105", d.Pages[0].W, d.Pages[0].H)
	}
	rows := map[float64]float64{} // heights of letters by their line
	for _, it := range d.Pages[0].Items {
		b := it.Bounds()
		if b.X0 < cardMargin-0.01 || b.X1 > 148-cardMargin+0.01 || b.Y0 < 0 {
			t.Errorf("%v reaches %v", it, b)
		}
		if x, ok := it.(draw.Text); ok {
			rows[x.Y] = max(rows[x.Y], x.Size)
		}
	}
	var at []float64
	for y := range rows {
		at = append(at, y)
	}
	slices.Sort(at)
	for i := 1; i < len(at); i++ {
		if at[i]-at[i-1] < 0.8*rows[at[i]] {
			t.Errorf("lines at %.2f and %.2f, of letters of %.2f", at[i-1], at[i], rows[at[i]])
		}
	}
	if len(at) < 20 {
		t.Errorf("%d lines: the test sees little", len(at))
	}
	from := rigtest.Builtin(t, "reso-open-g")
	to := *from
	to.Reference = 0
	for passes, says := range map[int]bool{1: false, 2: true} {
		p := &retune.Plan{From: from, To: &to, Passes: passes}
		for i := range to.Strings {
			p.Moves = append(p.Moves, retune.Move{String: i + 1, From: to.Strings[i].Open, To: to.Strings[i].Open})
		}
		var words []string
		for _, it := range RetuningCard(p).Pages[0].Items {
			if x, ok := it.(draw.Text); ok {
				words = append(words, x.S)
			}
		}
		all := strings.Join(words, "\n")
		if strings.Contains(all, "Go round") != says || !strings.Contains(all, "293.66") || strings.Contains(all, "Load") { // D4 at A4 = 440 Hz
			t.Errorf("%d passes: %q", passes, all)
		}
	}
}

// TestRowsFillTheirWidth: as many small pictures stand side by side as have their room and 7 mm between, over the whole width and not beyond; ten frets are small, eleven have a row.
func TestRowsFillTheirWidth(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g")
	var views []View
	for range 7 {
		views = append(views, Grip(r, steel.Placement{Kind: steel.Straight, First: 1, Last: 6, FirstFret: 5, LastFret: 5}, 0, []int{1, 2, 3}, nil))
	}
	for width, want := range map[float64]int{58: 1, 122: 1, 123: 2, 187.9: 2, 188: 3, 253: 4, 20: 1} {
		rows := Rows(views, width, 58)
		if len(rows[0]) != want {
			t.Errorf("%d stand side by side in %g mm, want %d", len(rows[0]), width, want)
		}
		last := 0.0
		for i, c := range rows[0] {
			b := c.At(0, 0).Bounds()
			if b.X1 > width+0.3 || i > 0 && b.X0 < last+6.9 {
				t.Errorf("in %g mm picture %d lies from %.2f to %.2f, the one before to %.2f", width, i+1, b.X0, b.X1, last)
			}
			last = b.X1
		}
		if want > 1 && last < width-8 {
			t.Errorf("in %g mm the row ends at %.2f", width, last)
		}
	}
	for frets, want := range map[int]int{9: 2, 10: 1} {
		if rows := Rows([]View{{Rig: r, To: frets}, {Rig: r, To: frets}}, 130, 58); len(rows[0]) != want {
			t.Errorf("%d pictures of %d frets stand side by side, want %d", len(rows[0]), frets, want)
		}
	}
	long := strings.TrimSpace(strings.Repeat("A page of necks that says much ", 5))
	d, err := Page(long, views[:1], Options{Margin: 20})
	if err != nil {
		t.Fatal(err)
	}
	heads := 0
	for _, it := range d.Pages[0].Items {
		if x, ok := it.(draw.Text); ok {
			heads++
			if b := x.Bounds(); b.X0 < 20 || b.X1 > 190 || b.Y0 < 20 {
				t.Errorf("%q reaches %v", x.S, b)
			}
		}
	}
	if heads < 2 {
		t.Errorf("a long title stands on %d lines", heads)
	}
}

// TestFewBendersAtATime: a chord is bent by one or two levers, each of which must move a string of the grip, and what most strings are in comes first; a grip of three is from the lowest to the highest of it.
func TestFewBendersAtATime(t *testing.T) {
	r := rigtest.Builtin(t, "pedal10-e9")
	for _, name := range []string{"A", "D", "E7", "C#m", "F#m"} {
		c, err := pitch.ParseChord(name)
		if err != nil {
			t.Fatal(err)
		}
		all := bentGrips(r, c)
		if len(all) > maxBent {
			t.Errorf("%s is bent in %d ways", name, len(all))
		}
		last := 1 << 20
		for _, v := range all {
			if len(v.Dots) > last {
				t.Errorf("%s: %d places after %d", name, len(v.Dots), last)
			}
			last = len(v.Dots)
			with, _ := strings.CutPrefix(v.Caption, c.Pretty()+" with ")
			marks := strings.Split(with, " and ")
			for _, j := range v.Joins {
				for _, mark := range marks {
					i := -1
					for k := range r.Benders {
						if r.Benders[k].Mark == mark {
							i = k
						}
					}
					moved := 0
					for s := j.From; s <= j.To; s++ {
						if i >= 0 && r.Benders[i].Changes(s) {
							moved++
						}
					}
					if moved == 0 {
						t.Errorf("%s with %s: nothing from string %d to %d is moved by %s", name, with, j.From, j.To, mark)
					}
				}
			}
			for _, d := range v.Dots {
				if !slices.ContainsFunc(v.Joins, func(j Join) bool { return d.Fret == j.FromFret && j.From <= d.String && d.String <= j.To }) {
					t.Errorf("%s with %s: string %d at %g is in no grip", name, with, d.String, d.Fret)
				}
			}
		}
		if len(all) == 0 {
			t.Errorf("%s is bent in no way", name)
		}
	}
}
