package rig

import (
	"embed"
	"fmt"
	"path"
	"sync"
)

// The built-in rigs are ordinary rig files, read when first asked for.
//
//go:embed builtin/*.toml
var builtinFiles embed.FS

// builtinOrder is the order in which they are listed.
var builtinOrder = []string{
	"reso-open-g", "tricone-open-d", "hollow-neck-open-d", "bender-open-d",
	"lap6-c6", "lap8-c13", "lap8-a6", "pedal10-e9",
}

var builtins = sync.OnceValue(func() []*Rig {
	var out []*Rig
	for _, name := range builtinOrder {
		file := path.Join("builtin", name+".toml")
		src, err := builtinFiles.ReadFile(file)
		if err != nil {
			panic(fmt.Sprintf("rig: built-in rig missing: %v", err))
		}
		r, err := Parse(src, file)
		if err != nil {
			panic(fmt.Sprintf("rig: built-in rig broken: %v", err))
		}
		out = append(out, r)
	}
	return out
})

// Builtins returns a copy of every built-in rig.
func Builtins() []*Rig {
	var out []*Rig
	for _, r := range builtins() {
		out = append(out, r.Clone())
	}
	return out
}

// Builtin returns a copy of the built-in rig of that name.
func Builtin(name string) (*Rig, bool) {
	for _, r := range builtins() {
		if r.Name == name {
			return r.Clone(), true
		}
	}
	return nil, false
}

// BuiltinSource returns the file of a built-in rig, for those who want to start
// their own from it.
func BuiltinSource(name string) ([]byte, bool) {
	src, err := builtinFiles.ReadFile(path.Join("builtin", path.Base(name)+".toml"))
	return src, err == nil
}
