package abc

import (
	"go/ast"
	"go/parser"
	gotoken "go/token"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// TestEveryWarningIsDocumented: docs/formats/abc.md has the text of every warning
// and error, with "…" for what is filled in.
func TestEveryWarningIsDocumented(t *testing.T) {
	doc, err := os.ReadFile("../../docs/formats/abc.md")
	if err != nil {
		t.Fatal(err)
	}
	var files []string
	for _, dir := range []string{".", "terms", "writing"} {
		list, err := filepath.Glob(dir + "/*.go")
		if err != nil || len(list) == 0 {
			t.Fatalf("%d files in %s, %v", len(list), dir, err)
		}
		files = append(files, list...)
	}
	filled := regexp.MustCompile(`%[a-z]`)
	texts := 0
	check := func(e ast.Expr) {
		lit, ok := e.(*ast.BasicLit)
		if !ok || lit.Kind != gotoken.STRING {
			return
		}
		text, err := strconv.Unquote(lit.Value)
		if err != nil || !strings.Contains(text, " ") {
			return
		}
		texts++
		text = filled.ReplaceAllString(strings.ReplaceAll(text, "%%", "%"), "…")
		if !strings.Contains(string(doc), text) {
			t.Errorf("docs/formats/abc.md does not have %q", text)
		}
	}
	for _, path := range files {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(gotoken.NewFileSet(), path, nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(f, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.CallExpr:
				name := ""
				switch f := n.Fun.(type) {
				case *ast.SelectorExpr:
					name = f.Sel.Name
				}
				at := map[string]int{"warn": 2, "once": 3, "lose": 2, "Errorf": 0}[name]
				if (name == "warn" || name == "once" || name == "lose" || name == "Errorf") && at < len(n.Args) {
					check(n.Args[at])
				}
			case *ast.KeyValueExpr:
				if id, ok := n.Key.(*ast.Ident); ok && id.Name == "Msg" {
					if call, ok := n.Value.(*ast.CallExpr); ok {
						check(call.Args[0])
					} else {
						check(n.Value)
					}
				}
			}
			return true
		})
	}
	if texts < 100 {
		t.Errorf("only %d texts were found", texts)
	}
}
