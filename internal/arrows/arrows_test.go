package arrows

import (
	"bytes"
	"cmp"
	"go/ast"
	"go/doc"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

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

func files(t *testing.T, fset *token.FileSet) []File {
	t.Helper()
	out, err := Files(root(t), fset)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestImportsGoUp(t *testing.T) {
	fset := token.NewFileSet()
	rooms := map[string]bool{}
	ours := 0
	for _, f := range files(t, fset) {
		if f.Room != "" && !rooms[f.Room] {
			rooms[f.Room] = true
			if rank(f.Room) < 0 && !witness(f.Room) {
				t.Errorf("room %q has no place in the order; give it one, above everything that uses it", f.Room)
			}
		}
		for _, imp := range f.AST.Imports {
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
			if why := wrong(f.Room, to); why != "" {
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
		{"sheet/system", "sheet/staff", true}, {"sheet/staff", "sheet/system", false}, {"sheet/score", "sheet/spacing", false}, {"sheet/score", "sheet/score", false}, {"sheet/neck", "sheet/score", false}, {"sheet/spacing", "sheet", false},
		{"notation/abc", "notation/midi", false}, {"notation/abc", "tune", true}, {"web", "studio", true}, {"web", "workbench", true}, {"workbench", "web", false}, {"studio", "workbench", false},
		{"lesson", "studio", false}, {"arrange", "sound", false}, {"fault", "pitch", false}, {"rig", "attic", false}, {"", "web", true},
		{"arrange/rank", "arrange", true}, {"arrange", "arrange/rank", false}, {"web", "arrange/rank", true}, {"sheet", "arrange/rank", true},
		{"sound/opus", "sound", true}, {"sound", "sound/opus", false}, {"sound/flac", "sound/wav", false}, {"lesson", "sound/opus", true},
		{"sheet/png", "sheet/face", true}, {"sheet/face", "sheet/draw", true}, {"sheet/draw", "sheet/face", false}, {"sheet", "sheet/pdf", false}, {"lesson", "sheet/pdf", true},
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
		if !isCore(f.Room) {
			continue
		}
		seen++
		names := map[string]string{} // the file's name for a package → its path
		for _, imp := range f.AST.Imports {
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
		ast.Inspect(f.AST, func(n ast.Node) bool {
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

// Who arranges, draws or sounds a tab links no encoder and no font file, not even
// through another room, nor the libraries that encoders are made of.
func TestCoreLinksNoEncoder(t *testing.T) {
	imports := map[string]map[string]bool{} // by room
	for _, f := range files(t, token.NewFileSet()) {
		if imports[f.Room] == nil {
			imports[f.Room] = map[string]bool{}
		}
		for _, imp := range f.AST.Imports {
			path, _ := strconv.Unquote(imp.Path.Value)
			path = strings.TrimPrefix(path, "lapwright/")
			imports[f.Room][strings.TrimPrefix(path, "internal/")] = true
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
	fonts := []string{"sheet/face", "third_party/bravura", "third_party/dejavu", "third_party/gentium", "codeberg.org/go-pdf/fpdf"}
	heavy := func(path string) bool {
		return slices.Contains(onTop, path) || slices.Contains(fonts, path) || strings.HasPrefix(path, "github.com/mewkiz/") || strings.HasPrefix(path, "github.com/thesyncim/")
	}
	for room := range imports {
		if !isCore(room) || slices.Contains(onTop, room) || testOnly(room) || room == "sheet/face" {
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
		dir := filepath.Dir(f.Path)
		door[dir] = door[dir] || filepath.Base(f.Path) == "doc.go" && f.AST.Doc != nil
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

// TestPictureIsTheTree: the drawn picture is what the sources give.
func TestPictureIsTheTree(t *testing.T) {
	want, err := Picture(root(t))
	if err != nil {
		t.Fatal(err)
	}
	got, err := os.ReadFile(filepath.Join(root(t), filepath.FromSlash(PicturePath)))
	if err != nil || !bytes.Equal(got, want) {
		t.Fatalf("%s is not what the sources give (%v): draw it again with `go run ./internal/arrows/picture`", PicturePath, err)
	}
}

// TestPublicRoomsHaveExamples: every room of the core shows its use by an
// example that runs and whose output is compared.
func TestPublicRoomsHaveExamples(t *testing.T) {
	rooms := map[string]bool{}
	for _, f := range files(t, token.NewFileSet()) {
		if isCore(f.Room) && !testOnly(f.Room) {
			rooms[f.Room] = false
		}
	}
	if len(rooms) < 15 {
		t.Fatalf("found %d rooms of the core", len(rooms))
	}
	for room := range rooms {
		paths, err := filepath.Glob(filepath.Join(root(t), filepath.FromSlash(room), "*_test.go"))
		if err != nil {
			t.Fatal(err)
		}
		for _, path := range paths {
			f, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ParseComments)
			if err != nil {
				t.Fatal(err)
			}
			for _, e := range doc.Examples(f) {
				rooms[room] = rooms[room] || e.Output != ""
			}
		}
		if !rooms[room] {
			t.Errorf("room %q has no example that runs", room)
		}
	}
}

// TestPropertiesAreTheSameOnEveryRun: where random cases are drawn, seeds.Run fixes
// them.
func TestPropertiesAreTheSameOnEveryRun(t *testing.T) {
	draws, fixed := map[string]bool{}, map[string]bool{}
	err := filepath.WalkDir(root(t), func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() && (d.Name() == "third_party" || d.Name() == "node_modules") {
			return cmp.Or(err, fs.SkipDir)
		}
		if !strings.HasSuffix(path, "_test.go") {
			return nil
		}
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		ast.Inspect(f, func(n ast.Node) bool {
			if s, ok := n.(*ast.SelectorExpr); ok {
				x, _ := s.X.(*ast.Ident)
				draws[filepath.Dir(path)] = draws[filepath.Dir(path)] || x != nil && x.Name == "rapid" && s.Sel.Name == "Check"
				fixed[filepath.Dir(path)] = fixed[filepath.Dir(path)] || x != nil && x.Name == "seeds" && s.Sel.Name == "Run"
			}
			return true
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for dir, draw := range draws {
		if !draw {
			continue
		}
		seen++
		if !fixed[dir] {
			t.Errorf("the property tests in %s draw other cases on every run: give it a TestMain with seeds.Run", dir)
		}
	}
	if seen < 10 {
		t.Fatalf("found property tests in %d rooms", seen)
	}
}

// identifier is an exported name or a method of one, as a front door lists it.
var identifier = regexp.MustCompile(`\b[A-Z][A-Za-z0-9]*(\.[A-Z][A-Za-z0-9]*)?\b`)

// TestFrontDoorsNameTheirEntryPoints: the comment of every public room lists where to
// begin, and what it lists is there.
func TestFrontDoorsNameTheirEntryPoints(t *testing.T) {
	rooms := map[string]map[string]bool{} // by room, what it exports
	doors := map[string]string{}
	for _, f := range files(t, token.NewFileSet()) {
		if !isCore(f.Room) || testOnly(f.Room) {
			continue
		}
		if rooms[f.Room] == nil {
			rooms[f.Room] = map[string]bool{}
		}
		if f.AST.Doc != nil {
			doors[f.Room] += f.AST.Doc.Text()
		}
		exports(f.AST, rooms[f.Room])
	}
	if len(rooms) < 15 {
		t.Fatalf("found %d rooms of the core", len(rooms))
	}
	for room, has := range rooms {
		at := regexp.MustCompile(`Entry\s+points?\b`).FindStringIndex(doors[room])
		if at == nil {
			t.Errorf("the comment of room %q names no entry point", room)
			continue
		}
		list := strings.TrimLeft(doors[room][at[1]:], ":\n ")
		list, _, _ = strings.Cut(list, "\n\n")
		named := 0
		for _, sentence := range strings.Split(list, ". ") {
			for k, name := range identifier.FindAllString(sentence, -1) {
				switch {
				case has[name]:
					named++
				case strings.Contains(name, ".") || k > 0: // not a word that begins a sentence
					t.Errorf("the comment of room %q names %q, which it does not export", room, name)
				}
			}
		}
		if named == 0 {
			t.Errorf("the comment of room %q names no entry point that is there: %q", room, list)
		}
	}
}

// exports adds what a file exports.
func exports(f *ast.File, to map[string]bool) {
	for _, d := range f.Decls {
		switch d := d.(type) {
		case *ast.FuncDecl:
			if owner := receiver(d); owner != "" {
				to[owner+"."+d.Name.Name] = true
			} else {
				to[d.Name.Name] = true
			}
		case *ast.GenDecl:
			for _, s := range d.Specs {
				switch s := s.(type) {
				case *ast.TypeSpec:
					to[s.Name.Name] = true
				case *ast.ValueSpec:
					for _, n := range s.Names {
						to[n.Name] = true
					}
				}
			}
		}
	}
}
