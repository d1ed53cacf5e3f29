package main

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"lapwright/internal/lesson/module"
)

const (
	goes     = "Go's library and runtime"
	codeID   = 10 // sections of a WebAssembly module (WebAssembly Core Specification 2.0, 5.5)
	importID = 2
	customID = 0
)

// rooms prints what the code of each room adds to the packed program: by how many bytes it is
// smaller when the room's functions are taken out of it before it is packed. Tables and texts
// belong to no function and stand in the last row.
func rooms(to io.Writer) error {
	b, err := compile(flags(false))
	if err != nil {
		return err
	}
	code, names, err := functions(b)
	if err != nil {
		return err
	}
	by := map[string][]span{}
	for i, f := range code {
		room := roomOf(names[i])
		by[room] = append(by[room], f)
	}
	all, err := compile(flags(true)) // no names are in it
	if err != nil {
		return err
	}
	stripped, _, err := functions(all)
	if err != nil {
		return err
	}
	if len(stripped) != len(code) {
		return fmt.Errorf("%d functions with names and %d without", len(code), len(stripped))
	}
	place := map[span]span{}
	for i, f := range code {
		place[f] = stripped[i]
	}
	whole := len(module.Pack(all))
	adds := map[string]int{}
	rest := whole
	for room, its := range by {
		var without []byte
		last := 0
		for _, f := range its {
			s := place[f]
			without = append(without, all[last:s.from]...)
			last = s.to
		}
		adds[room] = whole - len(module.Pack(append(without, all[last:]...)))
		rest -= adds[room]
	}
	fmt.Fprintf(to, "| room | functions | kB unpacked | kB packed |\n|---|---|---|---|\n")
	for _, room := range slices.SortedFunc(maps.Keys(adds), func(a, b string) int { return cmp.Or(adds[b]-adds[a], cmp.Compare(a, b)) }) {
		plain := 0
		for _, f := range by[room] {
			plain += f.to - f.from
		}
		fmt.Fprintf(to, "| %s | %d | %.0f | %.1f |\n", room, len(by[room]), float64(plain)/1000, float64(adds[room])/1000)
	}
	fmt.Fprintf(to, "| tables, texts, what tells functions and types | | | %.1f |\n| all | %d | %.0f | %.1f |\n", float64(rest)/1000, len(code), float64(len(all))/1000, float64(whole)/1000)
	return nil
}

// roomOf returns the room that a function is of, with those that are in it, or the library. In a
// module's names all but letters, digits and dots are underscores.
func roomOf(function string) string {
	if strings.HasPrefix(function, "main.") {
		return "cmd/lapwright-page"
	}
	name, ours := strings.CutPrefix(function, "lapwright_")
	if !ours {
		return goes
	}
	if strings.HasPrefix(name, "third_party_letters.") {
		return "third_party/letters"
	}
	return name[:strings.IndexAny(name, "_.")]
}

// span is where something lies in a file.
type span struct{ from, to int }

// functions returns where a module's functions lie, and what they are called where it says so.
func functions(b []byte) (code []span, names map[int]string, err error) {
	defer func() {
		if recover() != nil { // it ends in the midst of something
			err = fmt.Errorf("the program is no WebAssembly module")
		}
	}()
	if !bytes.HasPrefix(b, []byte("\x00asm")) {
		return nil, nil, fmt.Errorf("the program is no WebAssembly module")
	}
	at := 8
	number := func() int {
		v, n := binary.Uvarint(b[at:])
		at += n
		return int(v)
	}
	text := func() string {
		n := number()
		at += n
		return string(b[at-n : at])
	}
	imported, called := 0, map[int]string{}
	for at < len(b) {
		id := b[at]
		at++
		end := number()
		end += at
		switch id {
		case importID: // Go imports functions alone
			imported = number()
		case codeID:
			for range number() {
				from := at
				size := number()
				at += size
				code = append(code, span{from, at})
			}
		case customID:
			if text() != "name" {
				break
			}
			for at < end {
				kind := b[at]
				at++
				over := number()
				over += at
				if kind == 1 {
					for range number() {
						i := number()
						called[i] = text()
					}
				}
				at = over
			}
		}
		at = end
	}
	names = map[int]string{}
	for i, name := range called {
		names[i-imported] = name
	}
	return code, names, nil
}
