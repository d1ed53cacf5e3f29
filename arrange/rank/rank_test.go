package rank

import (
	"context"
	"errors"
	"slices"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/notation"
	"lapwright/rig"
	"lapwright/tune"
)

func breakdown(t *testing.T) *tune.Tune {
	pieces, _, err := notation.Read([]byte("X:1\nT:Four bars\nR:breakdown\nM:4/4\nL:1/8\nK:G\nG,B,DG FEDB,|CEGE DB,A,G,|A,B,CA, B,CD2|EDCB, A,F,G,2|\n"), "tune.abc")
	if err != nil {
		t.Fatal(err)
	}
	return pieces[0].Tune
}

// TestRank: reasons are given, the order follows the score, and a rig that
// loses notes comes last.
func TestRank(t *testing.T) {
	tiny, _ := rig.Builtin("reso-open-g")
	tiny = tiny.Clone()
	tiny.Name, tiny.Frets, tiny.Strings = "two-strings", 12, tiny.Strings[:2]
	ranked, err := Rigs(t.Context(), breakdown(t), append(rig.Builtins(), tiny), arrange.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i, k := range ranked {
		if i > 0 && k.Score < ranked[i-1].Score {
			t.Errorf("%s is before %s with a worse score", ranked[i-1].Rig.Name, k.Rig.Name)
		}
		if len(k.Reasons) < 5 {
			t.Errorf("%s: only %v", k.Rig.Name, k.Reasons)
		}
	}
	for _, k := range ranked {
		suits := slices.ContainsFunc(k.Rig.Styles, func(s string) bool { return s == "bluegrass" || s == "country" || s == "western swing" })
		if says := strings.Contains(strings.Join(k.Reasons, ";"), "a breakdown suits it: it is usual in "); says != suits {
			t.Errorf("%s (%v): %v", k.Rig.Name, k.Rig.Styles, k.Reasons)
		}
	}
}

// TestRankIsGivenUp: no rig is arranged once nobody waits any more.
func TestRankIsGivenUp(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if got, err := Rigs(ctx, breakdown(t), rig.Builtins(), arrange.Options{}); !errors.Is(err, context.Canceled) || got != nil {
		t.Errorf("%v, %v", got, err)
	}
}
