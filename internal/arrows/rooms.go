package arrows

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// order lists the rooms from the top down: a room imports only rooms above it.
// The core rooms stand at the root and end with page; what follows, below internal, may use files, network and clock.
var order = []string{
	"inorder", "fault", "pitch", "wire", "rig", "steel", "tune", "feel", "tab", "say", "grip", "retune", "arrange",
	"notation", "sheet", "sound", "listen", "report", "page",
	"notices", "whole", "recording", "take", "lesson", "review", "studio", "workbench", "web", "console", "guide", "serve",
}

// onTop are inner rooms that stand on their outer room, which doesn't know them:
// each is one encoding of a recording or of a drawing, and only who writes files
// links it.
var onTop = []string{"sound/wav", "sound/flac", "sound/opus", "sheet/pdf", "sheet/png"}

// writers are the rooms that may link an encoder; "" is the command.
var writers = []string{"lesson", "review", "web", ""}

// verbs are inner rooms that stand on their outer room, which doesn't know them:
// each is one more thing to do with what that room does.
var verbs = []string{"arrange/rank", "arrange/transfer", "arrange/accompany", "arrange/drill", "arrange/frame", "sound/band", "retune/form", "listen/picture", "listen/line", "listen/delay"}

// witnesses are rooms for tests and checks, and what packs the program; they may
// import every room.
var witnesses = []string{"refcheck", "arrows", "outside", "dist", "letters", "platforms", "seeds", "further", "hostile", "near", "golden"}

// shared are inner rooms that rooms beside them use too; each uses only those
// before it.
var shared = []string{"arrange/outline", "sound/filter", "sound/loss", "sound/hall", "sound/click", "sheet/draw", "sheet/face", "notation/columns", "notation/abc/terms", "notation/musicxml/terms"}

// engraving lists inner rooms of sheet from the top down: each may use those before it.
var engraving = []string{"sheet/sign", "sheet/ink", "sheet/score", "sheet/spacing", "sheet/staff", "sheet/tabstaff", "sheet/system", "sheet/legend"}

// forbidden are the packages that would give the core files, network, a
// process or true randomness.
var forbidden = []string{"os", "net", "syscall", "io/ioutil", "path/filepath", "database", "crypto/rand", "plugin", "log"}

// clock and chance are functions that make two runs differ.
var clock = map[string][]string{
	"time":         {"Now", "Since", "Until", "After", "AfterFunc", "Sleep", "Tick", "NewTimer", "NewTicker"},
	"math/rand":    {"Int", "Intn", "Int31", "Int63", "Float64", "Float32", "Perm", "Shuffle", "NormFloat64", "Seed", "Uint32", "Uint64"},
	"math/rand/v2": {"Int", "IntN", "Int32", "Int64", "Float64", "Float32", "Perm", "Shuffle", "NormFloat64", "N", "Uint32", "Uint64"},
}

// File is one Go source file.
type File struct {
	Path string
	Room string // the folder below the root or internal, "" for the command
	AST  *ast.File
}

// Files returns every Go source file of the tree at top but for tests, parsed.
func Files(top string, fset *token.FileSet) ([]File, error) {
	var out []File
	err := filepath.WalkDir(top, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if n := d.Name(); n == "node_modules" || n == "testdata" || n == "third_party" || strings.HasPrefix(n, ".") && path != top {
				return fs.SkipDir
			}
			return nil
		}
		if !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		f, err := parser.ParseFile(fset, path, nil, parser.SkipObjectResolution|parser.ParseComments)
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(top, filepath.Dir(path))
		if err != nil {
			return err
		}
		room, _ := strings.CutPrefix(filepath.ToSlash(rel), "internal/")
		if strings.HasPrefix(filepath.ToSlash(rel), "cmd/") {
			room = ""
		}
		out = append(out, File{path, room, f})
		return nil
	})
	return out, err
}

// Imports returns the rooms that a file imports, as room names.
func (f File) Imports() []string {
	var out []string
	for _, imp := range f.AST.Imports {
		path, err := strconv.Unquote(imp.Path.Value)
		if err != nil {
			continue // the parser has taken it, so it is a string
		}
		to, is := strings.CutPrefix(path, "lapwright/")
		if !is || strings.HasPrefix(to, "third_party/") {
			continue
		}
		to, _ = strings.CutPrefix(to, "internal/")
		out = append(out, to)
	}
	return out
}

// rank places a room in order; −1 when it is not there.
func rank(room string) int {
	top, _, _ := strings.Cut(room, "/")
	return slices.Index(order, top)
}

func isCore(room string) bool {
	r := rank(room)
	return r >= 0 && r <= slices.Index(order, "page")
}

// testOnly reports whether a room is an inner one that only tests use, such as
// tune/tunetest.
func testOnly(room string) bool {
	return strings.Contains(room, "/") && strings.HasSuffix(room, "test")
}

// witness reports whether a room, or the room around it, is one of the witnesses.
func witness(room string) bool {
	outer, _, _ := strings.Cut(room, "/")
	return slices.Contains(witnesses, outer)
}

// wrong says why room from may not import room to, or "".
func wrong(from, to string) string {
	if from == "" || witness(from) {
		return ""
	}
	a, b := rank(from), rank(to)
	switch {
	case b < 0:
		return fmt.Sprintf("room %q has no place in the order", to)
	case b > a:
		return fmt.Sprintf("room %q stands below it in the order", to)
	case a == b && testOnly(from) && strings.HasPrefix(from, to+"/"):
		return ""
	case a == b && strings.HasSuffix(from, "/build") && strings.HasPrefix(from, to+"/"):
		return "" // makes what the room embeds, and is no part of the program
	case slices.Contains(onTop, to) && !slices.Contains(writers, from) && !testOnly(from):
		return fmt.Sprintf("%q writes files: only %q link it", to, writers)
	case (slices.Contains(onTop, from) || slices.Contains(verbs, from)) && strings.HasPrefix(from, to+"/"):
		return ""
	case slices.Contains(verbs, to) && a == b:
		return fmt.Sprintf("%q stands on %q, not the other way", to, from)
	case a == b && slices.Contains(shared, to) && (!slices.Contains(shared, from) || slices.Index(shared, to) < slices.Index(shared, from)):
		return "" // an inner room that its neighbours use too
	case slices.Contains(engraving, from) && slices.Contains(engraving, to) && slices.Index(engraving, to) < slices.Index(engraving, from):
		return ""
	case a == b && !strings.HasPrefix(to, from+"/"):
		return fmt.Sprintf("%q is beside or over it; a room imports its own inner rooms, not the other way", to)
	}
	return ""
}
