package arrows

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strings"
	"testing"
)

// The bounds of a tree that a newcomer reads: the house's own rule, CONTRIBUTING.md.
const (
	maxFuncLines    = 100
	maxFileLines    = 800
	maxPackageLines = 4000 // without tests
	maxMethods      = 20   // of one type, without tests
)

// beyond are what exceeds a bound, with how far it may and why. The list is to
// shrink: a new entry wants as good a reason, and one that is no longer needed, or
// names what is not there, fails the test.
var beyond = map[string]struct {
	max int
	why string
}{
	"func arrange.brute.alone":                             {123, "the price of a grip written out a second time, term by term, as its witness"},
	"func arrange.randomCase":                              {124, "one random tune with all that it may hold"},
	"func internal/refcheck.TestGripsAgainstTheory":        {114, "one table of the theory, row by row"},
	"func internal/refcheck.TestTheory":                    {196, "one table of the witness, a case for each kind of row"},
	"func internal/studio.TestNoStudioIsNotBegunByMistake": {104, "one table of places"},
	"func notation/columns.TestDerive":                     {101, "one table of texts"},
	"func notation/tabtext.TestOneSlip":                    {218, "one table of slips"},
	"package cmd/lapwright":                                {5160, "one file a verb, and a verb is read alone"},
	"package internal/web":                                 {4600, "one site, whose kinds of page share frame, queues and safety; the takes are the latest, queue and cache the first to move out"},
	"type listen.reviewer":                                 {23, "one review: a method for each finding"},
}

// sizes measures the tree at top: what is called as beyond calls it, and its size.
func sizes(t *testing.T, top string) map[string]int {
	t.Helper()
	fset := token.NewFileSet()
	out := map[string]int{}
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
		if !strings.HasSuffix(path, ".go") {
			return nil
		}
		rel, err := filepath.Rel(top, path)
		if err != nil {
			return err
		}
		rel = filepath.ToSlash(rel)
		f, err := parser.ParseFile(fset, path, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		measure(out, fset, rel, f)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// measure adds one file to the sizes.
func measure(out map[string]int, fset *token.FileSet, rel string, f *ast.File) {
	dir := filepath.ToSlash(filepath.Dir(rel))
	test := strings.HasSuffix(rel, "_test.go")
	lines := fset.File(f.FileStart).LineCount()
	out["file "+rel] = lines
	if !test {
		out["package "+dir] += lines
	}
	for _, d := range f.Decls {
		fn, ok := d.(*ast.FuncDecl)
		if !ok {
			continue
		}
		name := fn.Name.Name
		if owner := receiver(fn); owner != "" {
			name = owner + "." + name
			if !test {
				out["type "+dir+"."+owner]++
			}
		}
		out["func "+dir+"."+name] = max(out["func "+dir+"."+name], fset.Position(fn.End()).Line-fset.Position(fn.Pos()).Line+1)
	}
}

// receiver returns the name of the type that a method belongs to, "" for a function.
func receiver(fn *ast.FuncDecl) string {
	if fn.Recv == nil {
		return ""
	}
	t := fn.Recv.List[0].Type
	if star, ok := t.(*ast.StarExpr); ok {
		t = star.X
	}
	if of, ok := t.(*ast.IndexExpr); ok {
		t = of.X
	}
	id, ok := t.(*ast.Ident)
	if !ok {
		return fmt.Sprintf("%T", t)
	}
	return id.Name
}

func bound(what string) int {
	kind, _, _ := strings.Cut(what, " ")
	return map[string]int{"func": maxFuncLines, "file": maxFileLines, "package": maxPackageLines, "type": maxMethods}[kind]
}

// TestSizes: no function, file, package or type is larger than a reader can hold.
func TestSizes(t *testing.T) {
	all := sizes(t, root(t))
	if len(all) < 2000 {
		t.Fatalf("measured %d things: the test is not seeing the tree", len(all))
	}
	for what, size := range all {
		limit := bound(what)
		if x, ok := beyond[what]; ok {
			limit = x.max
			if size <= bound(what) {
				t.Errorf("%s has %d: within the bound, so it is no exception any more", what, size)
			}
		}
		if size > limit {
			t.Errorf("%s has %d, and %d are the most", what, size, limit)
		}
	}
	for what, x := range beyond {
		if x.why == "" {
			t.Errorf("%s is an exception without a reason", what)
		}
		if _, ok := all[what]; !ok {
			t.Errorf("%s is an exception that is not in the tree", what)
		}
	}
}

// TestSizesAreSeen: the measuring finds what is too large, in a file made for it.
func TestSizesAreSeen(t *testing.T) {
	method := strings.Builder{}
	for i := range 21 {
		fmt.Fprintf(&method, "func (*big[T]) m%d() {}\n", i)
	}
	src := "package x\ntype big[T any] struct{}\n" + method.String() + "func long() {\n" + strings.Repeat("\n", 100) + "}\n"
	fset := token.NewFileSet()
	f, err := parser.ParseFile(fset, "x.go", src, parser.SkipObjectResolution)
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]int{}
	measure(out, fset, "some/x.go", f)
	for what, want := range map[string]int{"func some.long": 102, "type some.big": 21, "file some/x.go": 125, "package some": 125} {
		if out[what] != want {
			t.Errorf("%s: %d, want %d", what, out[what], want)
		}
	}
	if out["func some.long"] <= bound("func some.long") || out["type some.big"] <= bound("type some.big") {
		t.Error("what is too large is within its bound")
	}
}
