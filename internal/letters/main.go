package main

import (
	"bytes"
	"encoding/binary"
	"flag"
	"fmt"
	"math"
	"os"

	"lapwright/internal/whole"
	"lapwright/sheet/draw"
	"lapwright/sheet/face"
)

const (
	out         = "third_party/letters/letters.bin"
	composedOut = "third_party/letters/composed.bin"
)

func main() {
	check := flag.Bool("check", false, "fail when the committed file is stale, write nothing")
	flag.Parse()
	if err := run(*check); err != nil {
		fmt.Fprintln(os.Stderr, "letters:", err)
		os.Exit(1)
	}
}

func run(check bool) error {
	made, err := tables()
	if err != nil {
		return err
	}
	for name, made := range map[string][]byte{out: made, composedOut: composed()} {
		if !check {
			if err := whole.WriteFile(name, made); err != nil {
				return err
			}
			continue
		}
		kept, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		if !bytes.Equal(kept, made) {
			return fmt.Errorf("%s is not what its sources give: make it again with `go run ./internal/letters`", name)
		}
	}
	return nil
}

// tables returns the file: third_party/letters/README.md describes the form.
func tables() ([]byte, error) {
	var b []byte
	for f := range draw.Fonts {
		b = words(b, face.Of(f))
	}
	return music(b)
}

// words appends the columns of one font of words.
func words(b []byte, f *face.File) []byte {
	var runes, advances, ups, downs []byte
	n := 0
	last := rune(0)
	for r := rune(1); r <= math.MaxUint16; r++ {
		s := f.Letter(r)
		if s == nil {
			continue
		}
		n++
		runes = binary.LittleEndian.AppendUint16(runes, uint16(r-last))
		last = r
		advances = binary.LittleEndian.AppendUint16(advances, uint16(math.Round(s.Advance*f.Units())))
		up, down := int32(draw.NoInk), int32(draw.NoInk)
		if len(s.Steps) > 0 {
			fine := f.Units() * draw.InkUnit
			up, down = int32(math.Round(-s.Box.Y0*fine)), int32(math.Round(s.Box.Y1*fine))
		}
		ups = binary.LittleEndian.AppendUint32(ups, uint32(up))
		downs = binary.LittleEndian.AppendUint32(downs, uint32(down))
	}
	b = binary.LittleEndian.AppendUint16(b, uint16(f.Units()))
	b = binary.LittleEndian.AppendUint16(b, uint16(n))
	for _, column := range [][]byte{runes, advances, ups, downs} {
		b = append(b, column...)
	}
	return b
}

// music appends the outlines of the music symbols in use. It fails when the font
// lacks one, or when a figure is no whole font unit.
func music(b []byte) ([]byte, error) {
	f := face.Music()
	figure := func(v float64) error {
		v *= f.Units() / 4
		if v != math.Trunc(v) || math.Abs(v) > math.MaxInt16 {
			return fmt.Errorf("%g is no whole unit of the music font", v)
		}
		b = binary.LittleEndian.AppendUint16(b, uint16(int16(v)))
		return nil
	}
	all := draw.Symbols()
	b = binary.LittleEndian.AppendUint16(b, uint16(f.Units()))
	b = binary.LittleEndian.AppendUint16(b, uint16(len(all)))
	for _, symbol := range all {
		s := f.Symbol(symbol)
		if s == nil {
			return nil, fmt.Errorf("%s is not in the music font", symbol)
		}
		b = binary.LittleEndian.AppendUint16(b, uint16(symbol))
		if err := figure(s.Advance); err != nil {
			return nil, err
		}
		b = binary.LittleEndian.AppendUint16(b, uint16(len(s.Steps)))
		for _, step := range s.Steps {
			b = append(b, byte(step.Op))
			for _, p := range step.P[:step.Op.Points()] {
				for _, v := range [2]float64{p.X, p.Y} {
					if err := figure(v); err != nil {
						return nil, fmt.Errorf("%s: %w", symbol, err)
					}
				}
			}
		}
	}
	return b, nil
}
