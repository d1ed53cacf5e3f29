package arrows

import (
	"go/ast"
	"go/token"
	"strings"
	"testing"
)

// TestFormsStandInReport: what the core and the commands give as JSON has its form
// in the room report, once. A recording's timing is reckoned in its form, in sound.
func TestFormsStandInReport(t *testing.T) {
	fset := token.NewFileSet()
	forms := 0
	for _, f := range files(t, fset) {
		if !isCore(f.Room) && f.Room != "" { // "" is the command
			continue
		}
		ast.Inspect(f.AST, func(n ast.Node) bool {
			field, ok := n.(*ast.Field)
			if !ok || field.Tag == nil || !strings.Contains(field.Tag.Value, `json:"`) {
				return true
			}
			if f.Room == "report" || f.Room == "sound" {
				forms++
				return true
			}
			t.Errorf("%s: a form of JSON outside the room report", fset.Position(field.Pos()))
			return true
		})
	}
	if forms < 100 {
		t.Fatalf("found %d fields of forms: the test is not seeing them", forms)
	}
}
