package main

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"lapwright/fault"
	"lapwright/internal/console"
	"lapwright/notation"
	"lapwright/rig"
	"lapwright/say"
	"lapwright/tune"
)

// maxInput bounds a file that is read whole, in bytes.
const maxInput = 64 << 20

// readInput reads a file the user named, "-" for standard input. What cannot
// be read is the user's to put right, so it is a fault.
func readInput(name string) ([]byte, error) {
	var r io.Reader = os.Stdin
	size := int64(0) // as far as it is known
	if name != "-" {
		info, err := os.Stat(name)
		if err != nil {
			return nil, unreadable(name, err)
		}
		if info.IsDir() {
			return nil, &fault.Fault{File: name, Msg: "this is a folder; name a file in it"}
		}
		f, err := os.Open(name)
		if err != nil {
			return nil, unreadable(name, err)
		}
		defer f.Close()
		r, size = f, info.Size()
	}
	// Room for the whole file from the start: growing by doubling would need
	// several times its size.
	var buf bytes.Buffer
	buf.Grow(int(min(size, maxInput)) + bytes.MinRead)
	if _, err := buf.ReadFrom(io.LimitReader(r, maxInput+1)); err != nil {
		return nil, unreadable(name, err)
	}
	b := buf.Bytes()
	if len(b) > maxInput {
		return nil, &fault.Fault{File: name, Msg: fmt.Sprintf("the file is over %d MB, the most that is read", maxInput>>20)}
	}
	return b, nil
}

func unreadable(name string, err error) error {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return &fault.Fault{File: name, Msg: "there is no such file"}
	case errors.Is(err, fs.ErrPermission):
		return &fault.Fault{File: name, Msg: "the file may not be read"}
	}
	var pe *fs.PathError
	if errors.As(err, &pe) {
		err = pe.Err
	}
	return &fault.Fault{File: name, Msg: "the file can't be read: " + err.Error()}
}

// loadRig returns the rig of that name, the usual one for none, or reads a file when
// the name looks like one: it has an ending or a slash. Warnings about a file go to d.
func loadRig(con *console.Console, name string) (*rig.Rig, error) {
	name = cmp.Or(name, "reso-open-g")
	if r, ok := rig.Builtin(name); ok {
		return r, nil
	}
	if !strings.ContainsAny(name, `./\`) {
		var names []string
		for _, r := range rig.Builtins() {
			names = append(names, r.Name)
		}
		return nil, &fault.Fault{Msg: fmt.Sprintf("no rig is named %q", name), Hint: "built in are " + strings.Join(names, ", ") + "; a rig of your own is named by its file, such as mine.toml"}
	}
	src, err := readInput(name)
	if err != nil {
		return nil, err
	}
	r, warnings, err := rig.Read(src, name)
	if err == nil {
		con.Warn(warnings)
	}
	return r, err
}

// loadRigFor is loadRig; without a name it is the one that tab text says it is for.
func loadRigFor(con *console.Console, file, name string) (*rig.Rig, error) {
	if name == "" && isTabText(file) {
		if src, err := readInput(file); err == nil {
			name = notation.RigNamed(src)
		}
	}
	return loadRig(con, name)
}

func isTabText(file string) bool {
	ending := strings.ToLower(filepath.Ext(file))
	return ending == ".txt" || ending == ".tab"
}

// loadRigAt returns a rig as loadRig does, with its capo at a fret; 0 leaves
// it off.
func loadRigAt(con *console.Console, name string, capo int) (*rig.Rig, error) {
	r, err := loadRig(con, name)
	if err != nil || capo == 0 {
		return r, err
	}
	if r, err = r.WithCapo(capo); err != nil {
		return nil, console.Usagef("--capo: %v", err)
	}
	return r, nil
}

// loadRigs loads several rigs and refuses the same name twice.
func loadRigs(con *console.Console, names []string) ([]*rig.Rig, error) {
	var out []*rig.Rig
	seen := map[string]bool{}
	for _, n := range names {
		r, err := loadRig(con, n)
		if err != nil {
			return nil, err
		}
		if seen[r.Name] {
			return nil, console.Usagef("the rig %q was given twice", r.Name)
		}
		seen[r.Name] = true
		out = append(out, r)
	}
	return out, nil
}

// loadTune reads the n-th tune of a file, counted from 1; the notation is told
// by the file's ending. Warnings about that tune's lines and the file go to d.
func loadTune(con *console.Console, file string, n int) (*tune.Tune, error) {
	src, err := readInput(file)
	if err != nil {
		return nil, err
	}
	pieces, warnings, err := notation.Read(src, file)
	if err != nil {
		con.Warn(warnings)
		return nil, err
	}
	if n < 1 || n > len(pieces) {
		return nil, noTune(file, n, len(pieces))
	}
	con.Warn(pieces[n-1].Warnings)
	return pieces[n-1].Tune, nil
}

// noTune is a choice of a tune that a file does not have.
func noTune(file string, n, holds int) error {
	return &fault.Fault{File: file, Msg: fmt.Sprintf("there is no tune %d in it", n), Hint: "it holds " + say.Count(holds, "tune")}
}
