package workbench

import (
	"strings"
	"testing"
	"time"

	"lapwright/internal/studio"
	"lapwright/rig"
)

// TestBarAlwaysSquare: a diminished fifth leans the bar on open G, where no two
// strings are that far apart, until the bar must be square; what then can't be played is a compromise.
func TestBarAlwaysSquare(t *testing.T) {
	g, _ := rig.Builtin("reso-open-g")
	body := "X:1\nT:Leading\nM:4/4\nL:1/2\nK:C\n[B,F][CE]|[B,F][CE]|\n"
	for extra, square := range map[string]bool{`{"wishes":{"reso-open-g":{"closed":true}}}`: false, `{"wishes":{"reso-open-g":{"closed":true,"square":true}}}`: true} {
		got, err := Place(t.Context(), &studio.Item{Content: studio.Content{Body: body, Extra: []byte(extra)}}, g)
		if err != nil {
			t.Fatal(err)
		}
		if n := got.Placed.About.Slants + got.Placed.About.Splits; (n == 0) != square {
			t.Errorf("%s: %d slants and splits, %d compromises", extra, n, len(got.Placed.About.Compromises))
		}
	}
}

func BenchmarkPlace(b *testing.B) {
	st, err := studio.Open(b.Context(), b.TempDir(), time.Now)
	if err != nil {
		b.Fatal(err)
	}
	defer st.Close()
	var text strings.Builder
	text.WriteString("X:1\nT:Thirty-two bars\nM:4/4\nL:1/8\nK:G\n")
	for range 8 {
		text.WriteString("G2BG d2BG|c2A2 F2A2|G2BG d2ed|c2A2 G4|\n")
	}
	it, err := st.Add(b.Context(), studio.Tune, studio.Content{Title: "Thirty-two bars", Body: text.String()}, false)
	if err != nil {
		b.Fatal(err)
	}
	r, _ := rig.Builtin("reso-open-g")
	for b.Loop() {
		if _, err := Place(b.Context(), it, r); err != nil {
			b.Fatal(err)
		}
	}
}
