package web

import (
	"go/ast"
	"go/parser"
	"go/printer"
	"go/token"
	"path/filepath"
	"strings"
	"testing"
)

// source parses this room's own files, but for tests.
func source(t *testing.T) (*token.FileSet, []*ast.File) {
	t.Helper()
	paths, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	fset := token.NewFileSet()
	var out []*ast.File
	for _, p := range paths {
		if strings.HasSuffix(p, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(fset, p, nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, f)
	}
	return fset, out
}

// text prints a type as it stands in the source.
func text(t *testing.T, fset *token.FileSet, n ast.Node) string {
	t.Helper()
	var b strings.Builder
	if err := printer.Fprint(&b, fset, n); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// TestHandlersAreShort: what is given a request has 20 lines at most between
// its braces (our own rule, docs/architecture.md).
func TestHandlersAreShort(t *testing.T) {
	fset, files := source(t)
	handlers := 0
	for _, f := range files {
		ast.Inspect(f, func(n ast.Node) bool {
			var kind *ast.FuncType
			var body *ast.BlockStmt
			switch n := n.(type) {
			case *ast.FuncDecl:
				kind, body = n.Type, n.Body
			case *ast.FuncLit:
				kind, body = n.Type, n.Body
			}
			if body == nil {
				return true
			}
			for _, p := range kind.Params.List {
				if text(t, fset, p.Type) == "*http.Request" {
					handlers++
					if lines := fset.Position(body.Rbrace).Line - fset.Position(body.Lbrace).Line - 1; lines > 20 {
						t.Errorf("%s: a handler of %d lines", fset.Position(body.Pos()), lines)
					}
				}
			}
			return true
		})
	}
	if handlers < 60 {
		t.Errorf("only %d handlers were found", handlers)
	}
}

// TestNoTypeDoesEverything: no type has more than 20 methods, and none holds the
// whole site (our own rule).
func TestNoTypeDoesEverything(t *testing.T) {
	fset, files := source(t)
	methods := map[string]int{}
	for _, f := range files {
		for _, d := range f.Decls {
			if fn, ok := d.(*ast.FuncDecl); ok && fn.Recv != nil {
				methods[strings.TrimLeft(text(t, fset, fn.Recv.List[0].Type), "*")]++
			}
		}
	}
	for name, n := range methods {
		if n > 20 {
			t.Errorf("%s has %d methods", name, n)
		}
	}
	if len(methods) < 20 {
		t.Errorf("only %d types with methods were found", len(methods))
	}
	for _, f := range files {
		ast.Inspect(f, func(n ast.Node) bool {
			if s, ok := n.(*ast.StructType); ok {
				for _, field := range s.Fields.List {
					if kind := text(t, fset, field.Type); strings.TrimLeft(kind, "*") == "Site" {
						t.Errorf("%s: a type that holds the whole site", fset.Position(field.Pos()))
					}
				}
			}
			return true
		})
	}
}

// TestModelsAreTypes: nothing is given to a page or a script as a map of anything.
func TestModelsAreTypes(t *testing.T) {
	fset, files := source(t)
	for _, f := range files {
		ast.Inspect(f, func(n ast.Node) bool {
			if m, ok := n.(*ast.MapType); ok {
				if kind := text(t, fset, m); strings.HasSuffix(kind, "]any") || strings.HasSuffix(kind, "]interface{}") {
					t.Errorf("%s: %s", fset.Position(m.Pos()), kind)
				}
			}
			return true
		})
	}
}
