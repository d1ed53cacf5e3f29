package workbench

import (
	"fmt"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/grip"
	"lapwright/rig"
	"lapwright/steel"
)

// GripWish is what a page asks of grips: what is to sound, and which grips count.
type GripWish struct {
	Rig     string // a ref
	Want    string // a chord, an interval or notes
	Strings []int  // that may be plucked; none is all
	Low     int    // the first fret that the steel may lie at; open strings are at 0
	High    int    // the last, 0 for the neck's
	Benders string // "" with them or without, or one of those below
}

// What a GripWish may ask of benders.
const (
	WithoutBenders = "without"
	OnlyBenders    = "only"
)

// ReadGripWish reads what a form asks for; of numbers that are none, and strings of
// another rig than the form was made for, nothing is taken.
func ReadGripWish(form url.Values) *GripWish {
	w := &GripWish{Rig: form.Get("rig"), Want: strings.TrimSpace(form.Get("want"))}
	whole := func(text string) int {
		n, err := strconv.Atoi(text)
		if err != nil || n < 0 {
			return 0
		}
		return n
	}
	if form.Get("of") == w.Rig {
		w.Low, w.High = whole(form.Get("low")), whole(form.Get("high"))
		if b := form.Get("benders"); b == WithoutBenders || b == OnlyBenders {
			w.Benders = b
		}
		for _, text := range form["string"] {
			if n := whole(text); n > 0 && !slices.Contains(w.Strings, n) {
				w.Strings = append(w.Strings, n)
			}
		}
	}
	return w
}

// On drops what narrows nothing on a rig: all its strings, its last fret.
func (w *GripWish) On(g *rig.Rig) {
	w.Strings = slices.DeleteFunc(w.Strings, func(n int) bool { return n > len(g.Strings) })
	if len(w.Strings) == len(g.Strings) {
		w.Strings = nil
	}
	if w.High >= g.Frets {
		w.High = 0
	}
}

// Query returns the wish as ReadGripWish reads it.
func (w *GripWish) Query() string {
	v := url.Values{"rig": {w.Rig}, "want": {w.Want}, "of": {w.Rig}}
	for name, n := range map[string]int{"low": w.Low, "high": w.High} {
		if n > 0 {
			v.Set(name, strconv.Itoa(n))
		}
	}
	if w.Benders != "" {
		v.Set("benders", w.Benders)
	}
	for _, n := range w.Strings {
		v.Add("string", strconv.Itoa(n))
	}
	return v.Encode()
}

// Back returns the query of the search to go back to from a grip: the one that was
// sent with it when it is of the grip's rig, else one for that rig.
func (b *Grip) Back(query string) string {
	w := &GripWish{Rig: b.Ref}
	if form, err := url.ParseQuery(query); err == nil && form.Get("rig") == b.Ref {
		w = ReadGripWish(form)
	}
	return w.Query()
}

// Narrowed reports whether the wish leaves grips out.
func (w *GripWish) Narrowed() bool {
	return len(w.Strings) > 0 || w.Low > 0 || w.High > 0 || w.Benders != ""
}

// Plucks reports whether the wish lets a string be plucked.
func (w *GripWish) Plucks(str int) bool {
	return len(w.Strings) == 0 || slices.Contains(w.Strings, str)
}

// takes reports whether a way is one of those that count.
func (w *GripWish) takes(x *grip.Way) bool {
	for _, n := range x.Notes {
		if !w.Plucks(n.String) {
			return false
		}
	}
	if x.Placement.Kind == steel.Lifted {
		return w.Low == 0 && (w.Benders != OnlyBenders || x.Benders != 0)
	}
	low, high := span(x)
	return low >= float64(w.Low) && (w.High == 0 || high <= float64(w.High)) && (w.Benders != OnlyBenders || x.Benders != 0)
}

// span returns the lowest and the highest fret that a way stops, 0 for a way that
// stops none.
func span(x *grip.Way) (low, high float64) {
	for _, n := range x.Notes {
		if n.Fret > 0 {
			high = max(high, n.Fret)
			if low == 0 || n.Fret < low {
				low = n.Fret
			}
		}
	}
	return low, high
}

// GripPlace is the grips at one place of the neck.
type GripPlace struct {
	Fret  int    // the lowest that is stopped, 0 for open strings
	Name  string // "open", "fret 5"
	Grips []FoundGrip
	More  []FoundGrip // dearer ones at the same place
}

// GripsFound is what a wish finds.
type GripsFound struct {
	Places []GripPlace // along the neck
	Shown  int         // how many grips the places hold
	All    int         // how many count
}

// A page shows the best places of the neck, so many, with so many grips of each, of
// which the first few come before the rest.
const (
	maxPlaces  = 8
	maxAtPlace = 9
	placeGrips = 3
)

// Find returns the grips on a rig that the wish asks for, by their places along the
// neck; at each place the best comes first.
func (w *GripWish) Find(g *rig.Rig) (*GripsFound, error) {
	asked, err := grip.ParseWant(w.Want)
	if err != nil {
		return nil, err
	}
	if w.High > 0 && w.High < w.Low {
		return nil, &fault.Fault{Msg: fmt.Sprintf("frets from %d to %d are none", w.Low, w.High)}
	}
	list := grip.Find(g, asked, grip.Options{Max: -1, NoBenders: w.Benders == WithoutBenders})
	none := len(list) == 0
	list = slices.DeleteFunc(list, func(x grip.Way) bool { return !w.takes(&x) })
	switch {
	case none:
		return nil, &fault.Fault{Msg: fmt.Sprintf("no grip on %s sounds %s", g.Title, w.Want)}
	case len(list) == 0:
		return nil, &fault.Fault{Msg: fmt.Sprintf("no grip on %s sounds %s on those strings, frets and benders", g.Title, w.Want)}
	}
	out := &GripsFound{All: len(list)}
	chord := w.chord()
	for i := range list {
		low, _ := span(&list[i])
		if p := out.place(int(low)); p != nil {
			p.add(foundGrip(g, w, &list[i], chord))
			out.Shown++
		}
	}
	slices.SortFunc(out.Places, func(a, b GripPlace) int { return a.Fret - b.Fret })
	sameSize(out)
	return out, nil
}

// place returns the place at a fret, nil when it or the neck has as many as are
// shown.
func (f *GripsFound) place(fret int) *GripPlace {
	i := slices.IndexFunc(f.Places, func(p GripPlace) bool { return p.Fret == fret })
	switch {
	case i >= 0 && len(f.Places[i].Grips)+len(f.Places[i].More) == maxAtPlace, i < 0 && len(f.Places) == maxPlaces:
		return nil
	case i < 0:
		i = len(f.Places)
		name := "open"
		if fret > 0 {
			name = fmt.Sprintf("fret %d", fret)
		}
		f.Places = append(f.Places, GripPlace{Fret: fret, Name: name})
	}
	return &f.Places[i]
}

func (p *GripPlace) add(x FoundGrip) {
	if len(p.Grips) < placeGrips {
		p.Grips = append(p.Grips, x)
	} else {
		p.More = append(p.More, x)
	}
}

// MarkKept marks the grips that are kept as some text.
func (f *GripsFound) MarkKept(body string) {
	f.each(func(x *FoundGrip) { x.Kept = x.Kept || x.Body == body })
}

// each calls what is to be done with every grip.
func (f *GripsFound) each(do func(*FoundGrip)) {
	for i := range f.Places {
		for _, list := range [][]FoundGrip{f.Places[i].Grips, f.Places[i].More} {
			for j := range list {
				do(&list[j])
			}
		}
	}
}
