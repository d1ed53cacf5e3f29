package arrows

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// order lists the rooms from the top down: a room imports only rooms above it.
// The core rooms stand at the root and end with sound; what follows, below internal, may use files, network and clock.
var order = []string{
	"fault", "pitch", "wire", "rig", "steel", "tune", "tab", "say", "grip", "retune", "arrange",
	"notation", "sheet", "sound",
	"whole", "lesson", "studio", "web",
}

// onTop are inner rooms that stand on their outer room, which doesn't know them:
// each is one encoding of a recording, and only who writes files links it.
var onTop = []string{"sound/wav", "sound/flac", "sound/opus"}

// writers are the rooms that may link an encoder; "" is the command.
var writers = []string{"lesson", "web", ""}

// witnesses are rooms that hold only tests and may import every room.
var witnesses = []string{"refcheck", "arrows"}

// shared are inner rooms that rooms beside them use too; they use none of these.
var shared = []string{"sheet/draw"}

// forbidden are the packages that would give the core files, network, a
// process or true randomness.
var forbidden = []string{"os", "net", "syscall", "io/ioutil", "path/filepath", "database", "crypto/rand", "plugin", "log"}

// clock and chance are functions that make two runs differ.
var clock = map[string][]string{
	"time":         {"Now", "Since", "Until", "After", "AfterFunc", "Sleep", "Tick", "NewTimer", "NewTicker"},
	"math/rand":    {"Int", "Intn", "Int31", "Int63", "Float64", "Float32", "Perm", "Shuffle", "NormFloat64", "Seed", "Uint32", "Uint64"},
	"math/rand/v2": {"Int", "IntN", "Int32", "Int64", "Float64", "Float32", "Perm", "Shuffle", "NormFloat64", "N", "Uint32", "Uint64"},
}

type file struct {
	path, room string // room is the folder below the root or internal, "" for the command
	ast        *ast.File
}

func root(t *testing.T) string {
	dir, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(filepath.Join(dir, "go.mod")); err != nil {
		t.Fatalf("no go.mod at %s", dir)
	}
	return dir
}

func files(t *testing.T, fset *token.FileSet) []file {
	t.Helper()
	var out []file
	top := root(t)
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
		out = append(out, file{path, room, f})
		return nil
	})
	if err != nil {
		t.Fatal(err)
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
	return r >= 0 && r <= slices.Index(order, "sound")
}

// testOnly reports whether a room is an inner one that only tests use, such as
// tune/tunetest.
func testOnly(room string) bool {
	return strings.Contains(room, "/") && strings.HasSuffix(room, "test")
}

// wrong says why room from may not import room to, or "".
func wrong(from, to string) string {
	if from == "" || slices.Contains(witnesses, from) {
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
	case slices.Contains(onTop, to) && !slices.Contains(writers, from) && !testOnly(from):
		return fmt.Sprintf("%q writes files: only %q link it", to, writers)
	case slices.Contains(onTop, from) && strings.HasPrefix(from, to+"/"):
		return ""
	case a == b && slices.Contains(shared, to) && !slices.Contains(shared, from):
		return "" // an inner room that its neighbours use too
	case a == b && !strings.HasPrefix(to, from+"/"):
		return fmt.Sprintf("%q is beside or over it; a room imports its own inner rooms, not the other way", to)
	}
	return ""
}

func TestImportsGoUp(t *testing.T) {
	fset := token.NewFileSet()
	rooms := map[string]bool{}
	ours := 0
	for _, f := range files(t, fset) {
		if f.room != "" && !rooms[f.room] {
			rooms[f.room] = true
			if rank(f.room) < 0 && !slices.Contains(witnesses, f.room) {
				t.Errorf("room %q has no place in the order; give it one, above everything that uses it", f.room)
			}
		}
		for _, imp := range f.ast.Imports {
			path, err := strconv.Unquote(imp.Path.Value)
			if err != nil {
				t.Fatal(err)
			}
			to, is := strings.CutPrefix(path, "lapwright/")
			if !is || strings.HasPrefix(to, "third_party/") {
				continue
			}
			to, inner := strings.CutPrefix(to, "internal/")
			if core := isCore(to); core == inner {
				t.Errorf("%s imports %s: core rooms stand at the root, the others below internal", fset.Position(imp.Pos()), path)
			}
			ours++
			if why := wrong(f.room, to); why != "" {
				t.Errorf("%s imports %s: %s", fset.Position(imp.Pos()), path, why)
			}
		}
	}
	if len(rooms) < 8 || ours < 8 {
		t.Fatalf("found %d rooms and %d imports between them: the test is not seeing the program", len(rooms), ours)
	}
	t.Logf("%d rooms, %d imports between them", len(rooms), ours)
}

func TestRuleKnowsUpFromDown(t *testing.T) {
	for _, c := range []struct {
		from, to string
		ok       bool
	}{
		{"rig", "pitch", true}, {"pitch", "rig", false}, {"sheet", "sheet/draw", true}, {"sheet/draw", "sheet", false},
		{"sheet", "sheet/neck", true}, {"sheet/neck", "sheet/draw", true}, {"sheet/draw", "sheet/neck", false}, {"sheet/neck", "sheet", false},
		{"notation/abc", "notation/midi", false}, {"notation/abc", "tune", true}, {"web", "studio", true},
		{"lesson", "studio", false}, {"arrange", "sound", false}, {"fault", "pitch", false}, {"rig", "attic", false}, {"", "web", true},
		{"sound/opus", "sound", true}, {"sound", "sound/opus", false}, {"sound/flac", "sound/wav", false}, {"lesson", "sound/opus", true},
		{"web", "sound/wav", true}, {"studio", "sound/wav", false}, {"sound/soundtest", "sound", true},
	} {
		if got := wrong(c.from, c.to) == ""; got != c.ok {
			t.Errorf("%q importing %q: allowed %v, want %v", c.from, c.to, got, c.ok)
		}
	}
}

func TestCoreHasNoOutsideWorld(t *testing.T) {
	fset := token.NewFileSet()
	seen := 0
	for _, f := range files(t, fset) {
		if !isCore(f.room) {
			continue
		}
		seen++
		names := map[string]string{} // the file's name for a package → its path
		for _, imp := range f.ast.Imports {
			path, _ := strconv.Unquote(imp.Path.Value)
			for _, no := range forbidden {
				if path == no || strings.HasPrefix(path, no+"/") {
					t.Errorf("%s: the core may not import %q", fset.Position(imp.Pos()), path)
				}
			}
			if clock[path] != nil {
				name := "rand"
				if path == "time" {
					name = "time"
				}
				if imp.Name != nil {
					name = imp.Name.Name
				}
				names[name] = path
			}
		}
		ast.Inspect(f.ast, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.GoStmt:
				t.Errorf("%s: the core starts no goroutine of its own", fset.Position(n.Pos()))
			case *ast.SelectorExpr:
				if x, ok := n.X.(*ast.Ident); ok && slices.Contains(clock[names[x.Name]], n.Sel.Name) {
					t.Errorf("%s: the core has no clock and no chance: %s.%s", fset.Position(n.Pos()), x.Name, n.Sel.Name)
				}
			}
			return true
		})
	}
	if seen < 10 {
		t.Fatalf("looked at %d core files: the test is not seeing the core", seen)
	}
}

// Who arranges, draws or sounds a tab links no encoder, not even through another
// room, nor the libraries that encoders are made of.
func TestCoreLinksNoEncoder(t *testing.T) {
	imports := map[string]map[string]bool{} // by room
	for _, f := range files(t, token.NewFileSet()) {
		if imports[f.room] == nil {
			imports[f.room] = map[string]bool{}
		}
		for _, imp := range f.ast.Imports {
			path, _ := strconv.Unquote(imp.Path.Value)
			path = strings.TrimPrefix(path, "lapwright/")
			imports[f.room][strings.TrimPrefix(path, "internal/")] = true
		}
	}
	links := func(room string) map[string]bool {
		all := map[string]bool{}
		for next := []string{room}; len(next) > 0; next = next[1:] {
			for to := range imports[next[0]] {
				if !all[to] {
					all[to] = true
					next = append(next, to)
				}
			}
		}
		return all
	}
	heavy := func(path string) bool {
		return slices.Contains(onTop, path) || strings.HasPrefix(path, "github.com/mewkiz/") || strings.HasPrefix(path, "github.com/thesyncim/")
	}
	for room := range imports {
		if !isCore(room) || slices.Contains(onTop, room) || testOnly(room) {
			continue
		}
		for to := range links(room) {
			if heavy(to) {
				t.Errorf("%s links %s", room, to)
			}
		}
	}
	// The test sees them where they are.
	for _, path := range []string{"sound/opus", "sound/wav", "github.com/thesyncim/gopus"} {
		if !links("lesson")[path] {
			t.Errorf("lesson doesn't link %s, as far as the test can see", path)
		}
	}
}

func TestEveryRoomHasAFrontDoor(t *testing.T) {
	fset := token.NewFileSet()
	door := map[string]bool{}
	for _, f := range files(t, fset) {
		dir := filepath.Dir(f.path)
		door[dir] = door[dir] || filepath.Base(f.path) == "doc.go" && f.ast.Doc != nil
	}
	if len(door) < 8 {
		t.Fatalf("found %d rooms", len(door))
	}
	for dir, has := range door {
		// A room with a single file may carry its comment there.
		if !has && !hasPackageComment(t, dir) {
			t.Errorf("%s has no doc.go that says what the room is", dir)
		}
	}
}

func hasPackageComment(t *testing.T, dir string) bool {
	list, err := filepath.Glob(filepath.Join(dir, "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	list = slices.DeleteFunc(list, func(p string) bool { return strings.HasSuffix(p, "_test.go") })
	if len(list) != 1 {
		return false
	}
	f, err := parser.ParseFile(token.NewFileSet(), list[0], nil, parser.ParseComments|parser.PackageClauseOnly)
	return err == nil && f.Doc != nil
}
