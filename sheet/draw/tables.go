package draw

import (
	"encoding/binary"
	"math"
	"slices"
	"sync"

	"lapwright/third_party/letters"
)

// letter is what the layout needs of one letter, in ems.
type letter struct {
	advance  float64
	up, down float64 // how far the ink reaches above and below the baseline
	ink      bool
}

// shape is the outline of a music symbol, y down, in staff spaces.
type shape struct {
	steps   []Step
	box     Rect // of the ink
	advance float64
}

// InkUnit is how finely the tables keep the reach of ink: parts of a font unit.
const InkUnit = 4096

// NoInk stands in the tables for a letter without ink.
const NoInk = math.MinInt32

// table is one font's part of the tables: columns of the letters' code points,
// advances, and reach above and below the baseline, by code point.
type table struct {
	units               float64 // font units to the em
	runes               []rune
	advances, ups, down []byte
}

// letter returns a letter's measures, and false when the font lacks it.
func (t *table) letter(r rune) (letter, bool) {
	i := int(r - t.runes[0]) // where it stands when none before it is missing, as in English
	if i < 0 || i >= len(t.runes) || t.runes[i] != r {
		var found bool
		if i, found = slices.BinarySearch(t.runes, r); !found {
			return letter{}, false
		}
	}
	l := letter{advance: float64(binary.LittleEndian.Uint16(t.advances[2*i:])) / t.units}
	if up := int32(binary.LittleEndian.Uint32(t.ups[4*i:])); up != NoInk {
		l.ink = true
		l.up = float64(up) / InkUnit / t.units
		l.down = float64(int32(binary.LittleEndian.Uint32(t.down[4*i:]))) / InkUnit / t.units
	}
	return l, true
}

// tables returns the tables of the fonts of words, and the rest of the file, which
// is the music font's part. third_party/letters/README.md describes the form.
var tables = sync.OnceValues(func() (*[Fonts]table, []byte) {
	all, rest := new([Fonts]table), letters.Tables
	take := func(n int) []byte {
		part := rest[:n]
		rest = rest[n:]
		return part
	}
	for f := range all {
		t := &all[f]
		t.units = float64(binary.LittleEndian.Uint16(take(2)))
		n := int(binary.LittleEndian.Uint16(take(2)))
		steps := take(2 * n)
		t.advances, t.ups, t.down = take(2*n), take(4*n), take(4*n)
		r := rune(0)
		for i := range n {
			r += rune(binary.LittleEndian.Uint16(steps[2*i:]))
			t.runes = append(t.runes, r)
		}
	}
	return all, rest
})

// symbols are the music font's outlines by place in the font, read on first use.
var symbols = sync.OnceValue(func() map[Symbol]*shape {
	_, rest := tables()
	figure := func() float64 {
		v := int16(binary.LittleEndian.Uint16(rest))
		rest = rest[2:]
		return float64(v)
	}
	space := figure() / 4
	all := map[Symbol]*shape{}
	for range int(figure()) {
		s := &shape{}
		symbol := Symbol(uint16(int16(figure())))
		s.advance = figure() / space
		for range int(figure()) {
			step := Step{Op: Op(rest[0])}
			rest = rest[1:]
			for i := range step.Op.Points() {
				step.P[i] = Point{figure() / space, 0}
				step.P[i].Y = figure() / space
			}
			s.steps = append(s.steps, step)
		}
		if len(s.steps) > 0 {
			s.box = Path{Steps: s.steps}.Bounds()
		}
		all[symbol] = s
	}
	return all
})

// Points returns how many points a step of this kind has.
func (o Op) Points() int { return [...]int{MoveTo: 1, LineTo: 1, CurveTo: 3, Close: 0}[o] }

// outline returns a music symbol in staff spaces, or nil when the tables lack it.
func outline(s Symbol) *shape { return symbols()[s] }

// Outline returns the symbol's path in staff spaces, y down from its origin, or
// nil for one that the tables lack. It is not to be changed.
func (s Symbol) Outline() []Step {
	if o := outline(s); o != nil {
		return o.steps
	}
	return nil
}
