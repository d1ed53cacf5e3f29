// Package module holds the core as the page of a lesson runs it in a student's
// browser, and the workbench's pages in a teacher's: cmd/lapwright-page, built for GOOS=js GOARCH=wasm.
//
// The program is kept unpacked, so that a rebuild adds little to the history, and
// packed when a page is written. go run ./internal/lesson/module/build makes it
// anew and says with -check whether it is what the sources give.
//
// Entry points: Program, Packed, and Pack for what else a page holds packed.
package module

import (
	"bytes"
	"compress/gzip"
	_ "embed"
	"sync"
)

// MaxPacked is the most bytes that the packed program may have: a page carries it
// to every student.
const MaxPacked = 2_500_000

//go:embed lapwright-page.wasm
var program []byte

// Program returns the program as it runs.
func Program() []byte { return program }

// Packed returns the program packed, always the same bytes.
var Packed = sync.OnceValue(func() []byte { return Pack(program) })

// Pack packs with gzip (RFC 1952), one member without a name or a note, as the page's script unpacks it.
func Pack(plain []byte) []byte {
	var out bytes.Buffer
	w, err := gzip.NewWriterLevel(&out, gzip.BestCompression)
	if err == nil {
		_, err = w.Write(plain)
	}
	if err == nil {
		err = w.Close()
	}
	if err != nil { // a buffer takes all
		panic("module: " + err.Error())
	}
	return out.Bytes()
}
