package draw

import (
	"encoding/binary"
	"slices"
	"sync"

	"lapwright/third_party/letters"
)

// forms is how letters are taken apart and put together (The Unicode Standard, 3.11).
type forms struct {
	parts   map[rune][2]rune // a letter that composing gives: what it is composed of
	whole   map[[2]rune]rune // the same backwards
	others  map[rune][]rune  // a letter that composing never gives: what stands for it
	classes []markRange      // rising
}

// markRange is code points of one combining class, which is above 0.
type markRange struct {
	from, to rune
	class    uint8
}

// composed reads the table of third_party/letters/composed.bin; README.md beside it describes the form.
var composed = sync.OnceValue(func() *forms {
	rest := letters.Composed
	figure := func() int {
		v, n := binary.Uvarint(rest)
		rest = rest[n:]
		return int(v)
	}
	f := &forms{map[rune][2]rune{}, map[[2]rune]rune{}, map[rune][]rune{}, nil}
	r := rune(0)
	for range figure() {
		r += rune(figure())
		pair := [2]rune{rune(figure()), rune(figure())}
		f.parts[r], f.whole[pair] = pair, r
	}
	r = 0
	for range figure() {
		r += rune(figure())
		out := make([]rune, figure())
		for i := range out {
			out[i] = rune(figure())
		}
		f.others[r] = out
	}
	r = 0
	for range figure() {
		m := markRange{from: r + rune(figure())}
		m.to = m.from + rune(figure())
		m.class = uint8(figure())
		f.classes = append(f.classes, m)
		r = m.to
	}
	return f
})

// Korean syllables are composed by count (The Unicode Standard, 3.12).
const (
	leadBase, vowelBase, tailBase, syllableBase = 0x1100, 0x1161, 0x11A7, 0xAC00
	leads, vowels, tails                        = 19, 21, 28
)

// class returns a letter's combining class: 0 of what begins anew.
func (f *forms) class(r rune) uint8 {
	i, found := slices.BinarySearchFunc(f.classes, r, func(m markRange, r rune) int {
		switch {
		case m.to < r:
			return -1
		case m.from > r:
			return 1
		}
		return 0
	})
	if !found {
		return 0
	}
	return f.classes[i].class
}

// apart appends what a letter is composed of, down to the last.
func (f *forms) apart(out []rune, r rune) []rune {
	if i := r - syllableBase; i >= 0 && i < leads*vowels*tails {
		out = append(out, leadBase+i/(vowels*tails), vowelBase+i/tails%vowels)
		if t := i % tails; t > 0 {
			out = append(out, tailBase+t)
		}
		return out
	}
	if pair, ok := f.parts[r]; ok {
		return append(f.apart(out, pair[0]), pair[1])
	}
	if others, ok := f.others[r]; ok {
		return append(out, others...)
	}
	return append(out, r)
}

// together returns the letter that two compose, if there is one.
func (f *forms) together(a, b rune) (rune, bool) {
	if l, v := a-leadBase, b-vowelBase; l >= 0 && l < leads && v >= 0 && v < vowels {
		return syllableBase + (l*vowels+v)*tails, true
	}
	if i, t := a-syllableBase, b-tailBase; i >= 0 && i < leads*vowels*tails && i%tails == 0 && t > 0 && t < tails {
		return a + t, true
	}
	r, ok := f.whole[[2]rune{a, b}]
	return r, ok
}

// compose returns a text in composed form: Normalization Form C of Unicode Standard Annex #15.
func compose(s string) []rune {
	f := composed()
	var text []rune
	for _, r := range s {
		text = f.apart(text, r)
	}
	// Marks between two letters stand by their class.
	for i := 0; i < len(text); {
		j := i
		for j < len(text) && f.class(text[j]) > 0 {
			j++
		}
		slices.SortStableFunc(text[i:j], func(a, b rune) int { return int(f.class(a)) - int(f.class(b)) })
		i = j + 1
	}
	out := text[:0]
	lead := -1 // where the letter is in out that takes what follows
	last := -1 // the class of what stands before, -1 of the letter itself
	for _, r := range text {
		class := int(f.class(r))
		if lead >= 0 && last < class {
			if whole, ok := f.together(out[lead], r); ok {
				out[lead] = whole
				continue
			}
		}
		if class == 0 {
			lead, last = len(out), -1
		} else {
			last = class
		}
		out = append(out, r)
	}
	return out
}
