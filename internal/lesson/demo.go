package lesson

import (
	"embed"
	"fmt"
	"io/fs"

	"lapwright/notation/abc"
	"lapwright/tune"
)

//go:embed demo/*.abc
var demoFiles embed.FS

// Demo is a tune that comes with the program.
type Demo struct {
	Tune *tune.Tune
	ABC  string
}

// Demos returns the tunes that come with the program, of our own invention, in
// the order of their file names.
func Demos() ([]Demo, error) {
	names, err := fs.Glob(demoFiles, "demo/*.abc")
	if err != nil {
		return nil, err
	}
	var out []Demo
	for _, name := range names {
		src, err := demoFiles.ReadFile(name)
		if err != nil {
			return nil, err
		}
		tunes, warnings, err := abc.Read(src, name)
		if err != nil {
			return nil, err
		}
		if len(tunes) != 1 || len(warnings) > 0 {
			return nil, fmt.Errorf("%s: %d tunes and %d warnings, want one tune and none", name, len(tunes), len(warnings))
		}
		out = append(out, Demo{tunes[0], string(src)})
	}
	return out, nil
}
