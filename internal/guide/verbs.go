package guide

import (
	"fmt"
	"slices"
	"strings"

	"github.com/alecthomas/kong"

	"lapwright/internal/console"
)

// HelpOf returns a flag's help with what holds when the flag is left out.
func HelpOf(v *kong.Value) string {
	if !v.HasDefault || v.Default == "" || v.IsBool() {
		return kong.DefaultHelpValueFormatter(v)
	}
	return strings.TrimSuffix(kong.DefaultHelpValueFormatter(v), ".") + "; " + v.Default + " when left out."
}

// Verbs returns the verbs that are shown, in the order of the command line's help.
func Verbs(m *kong.Application) []*kong.Node {
	return slices.DeleteFunc(slices.Clone(m.Children), func(n *kong.Node) bool { return n.Hidden })
}

// Mistyped explains a first word that is no verb, or gives "".
func Mistyped(m *kong.Application, args []string) string {
	if len(args) == 0 || strings.HasPrefix(args[0], "-") || slices.ContainsFunc(m.Children, func(n *kong.Node) bool { return n.Name == args[0] }) {
		return ""
	}
	return fmt.Sprintf("%q is no verb%s", console.OneLine(args[0]), Nearest(m, args[0]))
}

// Nearest returns a clause with the verb that a word was likely meant to be, or "".
// Up to a third of the letters may be wrong.
func Nearest(m *kong.Application, word string) string {
	best, fewest := "", 1+max(1, len(word)/3)
	for _, v := range Verbs(m) {
		if d := slips(word, v.Name); d < fewest {
			best, fewest = v.Name, d
		}
	}
	if best == "" {
		return ""
	}
	return fmt.Sprintf("; did you mean %q?", best)
}

// slips counts the letters left out, put in, put for another or swapped with
// their neighbour between two words (F. J. Damerau, A technique for computer
// detection and correction of spelling errors, CACM 7(3), 1964).
func slips(a, b string) int {
	rows := make([][]int, len(a)+1)
	for i := range rows {
		rows[i] = make([]int, len(b)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(a); i++ {
		for j := 1; j <= len(b); j++ {
			wrong := 0
			if a[i-1] != b[j-1] {
				wrong = 1
			}
			rows[i][j] = min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+wrong)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				rows[i][j] = min(rows[i][j], rows[i-2][j-2]+1)
			}
		}
	}
	return rows[len(a)][len(b)]
}
