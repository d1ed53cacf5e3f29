package arrange

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"strings"
	"testing"

	"lapwright/fault"
	"lapwright/rig/rigtest"
	"lapwright/tune"
)

// TestUnfoldsOnce counts how often a tune's repeats are unfolded while it is
// arranged in several octaves with harmony, which adds notes to a copy of it.
func TestUnfoldsOnce(t *testing.T) {
	w := newWatch(t.Context())
	times := 0
	w.perform = func(tn *tune.Tune) (*tune.Performance, fault.List) {
		times++
		return tune.Checked(tn)
	}
	q, err := newRequest(w, waltz(t), rigtest.Builtin(t, "reso-open-g"), Options{Harmony: Sixths})
	if err != nil {
		t.Fatal(err)
	}
	res, err := q.arrange()
	if err != nil {
		t.Fatal(err)
	}
	res.Tab.Performance() // as its report does
	if times != 1 {
		t.Errorf("the tune was unfolded %d times", times)
	}
	if p := res.Tab.Performed; p == nil || p.Tune != res.Tab.Tune || len(p.Passes) != 4 {
		t.Errorf("the tab does not keep how its tune sounds: %+v", p)
	}
	// The count above sees all there is: nothing else in this room unfolds a tune.
	files, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, f := range files {
		if !strings.HasSuffix(f.Name(), ".go") || strings.HasSuffix(f.Name(), "_test.go") {
			continue
		}
		fset := token.NewFileSet()
		file, err := parser.ParseFile(fset, f.Name(), nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		seen++
		ast.Inspect(file, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok {
				return true
			}
			if s, ok := call.Fun.(*ast.SelectorExpr); ok {
				if x, ok := s.X.(*ast.Ident); ok && x.Name == "tune" {
					switch s.Sel.Name {
					case "Unfold", "Perform", "Checked", "NewClock", "Moments", "Sound":
						t.Errorf("%s: tune.%s unfolds a tune past the count", fset.Position(n.Pos()), s.Sel.Name)
					}
				}
			}
			return true
		})
	}
	if seen < 8 {
		t.Fatalf("only %d files were looked at", seen)
	}
}
