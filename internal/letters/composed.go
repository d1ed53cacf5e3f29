package main

import (
	"encoding/binary"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// composed returns how letters are composed of others: third_party/letters/README.md
// describes the form. Korean syllables, which are composed by count, are left out.
func composed() []byte {
	var pairs, others, classes []byte
	nPairs, nOthers, nClasses := 0, 0, 0
	lastPair, lastOther, lastMark := rune(0), rune(0), rune(0)
	from, class := rune(0), uint8(0) // of the range of marks that is being read
	uint := func(b []byte, v rune) []byte { return binary.AppendUvarint(b, uint64(v)) }
	for r := rune(0); r <= unicode.MaxRune+1; r++ {
		p := norm.NFD.PropertiesString(string(r))
		if r > unicode.MaxRune || !utf8.ValidRune(r) {
			p = norm.Properties{}
		}
		if c := p.CCC(); c != class {
			if class > 0 {
				nClasses++
				classes = uint(uint(uint(classes, from-lastMark), r-1-from), rune(class))
				lastMark = r - 1
			}
			from, class = r, c
		}
		parts := []rune(string(p.Decomposition()))
		if len(parts) == 0 || unicode.Is(unicode.Hangul, r) {
			continue
		}
		if norm.NFC.String(string(r)) != string(r) {
			nOthers++
			others = uint(uint(others, r-lastOther), rune(len(parts)))
			for _, part := range parts {
				others = uint(others, part)
			}
			lastOther = r
			continue
		}
		n := len(parts) - 1
		first := []rune(norm.NFC.String(string(parts[:n])))
		nPairs++
		pairs = uint(uint(uint(pairs, r-lastPair), first[0]), parts[n])
		lastPair = r
	}
	b := append(binary.AppendUvarint(nil, uint64(nPairs)), pairs...)
	b = append(binary.AppendUvarint(b, uint64(nOthers)), others...)
	return append(binary.AppendUvarint(b, uint64(nClasses)), classes...)
}
