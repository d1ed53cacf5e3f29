package whole

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

// Apart refuses outputs that would destroy an input or one another: the same
// file under whatever names, or a folder to be made in whose place an input
// lies. Empty names and "-" stand for none. Devices and pipes, which nothing
// replaces, may serve as both.
func Apart(inputs []string, outputs ...string) error {
	for i, out := range outputs {
		if !named(out) {
			continue
		}
		for _, in := range inputs {
			switch {
			case !named(in):
			case same(in, out):
				return &Trouble{Say: fmt.Sprintf("%q would be written over the input %q; choose another name", out, in), Misnamed: true}
			case isFolder(out) && isThere(in) && Within(in, out):
				return &Trouble{Say: fmt.Sprintf("%q would be replaced, and the input %q is in it; choose another name", out, in), Misnamed: true}
			}
		}
		for _, other := range outputs[:i] {
			if named(other) && same(other, out) {
				return &Trouble{Say: fmt.Sprintf("%q and %q are the same file, and each would be written over the other; choose two names", other, out), Misnamed: true}
			}
		}
	}
	return nil
}

// isThere keeps a built-in rig's name from passing for a file.
func isThere(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

func named(path string) bool { return path != "" && path != "-" }

// same reports whether two names are of one file that a write would replace,
// whether it is there yet or not.
func same(a, b string) bool {
	x, errA := os.Stat(a)
	y, errB := os.Stat(b)
	if errA == nil && errB == nil {
		return os.SameFile(x, y) && x.Mode().IsRegular()
	}
	// Two files that are there were told apart by the system; one that is not
	// there is told by its place.
	return errA != nil && errB != nil && truePath(a) == truePath(b)
}

// Within reports whether a path lies inside a folder, links followed.
func Within(path, folder string) bool {
	rel, err := filepath.Rel(truePath(folder), truePath(path))
	return err == nil && rel != "." && rel != ".." && !strings.HasPrefix(rel, ".."+string(filepath.Separator))
}

// truePath returns the absolute path with all links followed, as far as it is there.
func truePath(path string) string {
	path, err := filepath.Abs(path)
	if err != nil {
		return path
	}
	rest := ""
	for at := path; ; at = filepath.Dir(at) {
		if found, err := filepath.EvalSymlinks(at); err == nil {
			return filepath.Join(found, rest)
		}
		if at == filepath.Dir(at) {
			return path
		}
		rest = filepath.Join(filepath.Base(at), rest)
	}
}
