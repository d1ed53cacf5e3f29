package rank

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/notation/abc"
	"lapwright/rig"
)

// idiomatic are two tunes for each style of playing, of our own, with instruments of
// which one stands before others in common practice (no source). They were written down
// before anything was ranked.
var idiomatic = []struct {
	style, what, abc string
	first            string
	before           []string
}{
	{"bluegrass", "a quick reel in G, over rolls", "R:reel\nM:4/4\nL:1/8\nQ:1/4=200\nK:G\n\"G\"GBdB gdBd|\"C\"cege \"G\"dBGB|\"G\"GBdB gdBd|\"D7\"fdAF \"G\"G4:|",
		"reso-open-g", []string{"lap6-c6", "lap8-c13", "pedal10-e9"}},
	{"bluegrass", "a breakdown in G", "R:breakdown\nM:4/4\nL:1/8\nQ:1/4=220\nK:G\n\"G\"DGBG dBGB|\"G\"dedB G2Bd|\"C\"ecGE \"G\"DGBd|\"D7\"cAFA \"G\"G4:|",
		"reso-open-g", []string{"lap6-c6", "lap8-a6", "pedal10-e9"}},
	{"country", "a slow waltz in E in sixths", "R:waltz\nM:3/4\nL:1/4\nQ:1/4=90\nK:E\n\"E\"[GB]2[Ac]|\"E\"[GB]3|\"A\"[Ac]2[Bd]|\"A\"[Ac]3|\"E\"[GB]2[FA]|\"E\"[EG]3|\"B7\"[DF]2[EG]|\"E\"[EG]3|]",
		"pedal10-e9", []string{"tricone-open-d", "hollow-neck-open-d"}},
	{"country", "a song in C", "R:song\nM:4/4\nL:1/4\nQ:1/4=100\nK:C\n\"C\"EGAG|\"C\"c2A2|\"F\"AcAF|\"C\"G4|\"C\"EGAc|\"G7\"B2G2|\"G7\"FGBd|\"C\"c4|]",
		"lap6-c6", []string{"tricone-open-d", "hollow-neck-open-d"}},
	{"early country", "a schottische in A", "R:schottische\nM:4/4\nL:1/8\nQ:1/4=140\nK:A\n\"A\"c2ec A2EA|\"D\"FAdf a2f2|\"A\"e2ce a2ec|\"E7\"BGED \"A\"A4:|",
		"lap8-a6", []string{"reso-open-g", "hollow-neck-open-d"}},
	{"early country", "a march in D", "R:march\nM:4/4\nL:1/8\nQ:1/4=110\nK:D\n\"D\"A2d2 d2f2|\"D\"f2d2 A4|\"G\"B2d2 \"D\"A2F2|\"A7\"G2E2 \"D\"D4|]",
		"tricone-open-d", []string{"lap6-c6", "lap8-c13"}},
	{"gospel", "a hymn in G of held chords", "R:hymn\nM:4/4\nL:1/4\nQ:1/4=76\nK:G\n\"G\"D2G2|\"G\"B4|\"C\"E2c2|\"G\"B4|\"G\"B2d2|\"D7\"A4|\"D7\"F2A2|\"G\"G4|]",
		"reso-open-g", []string{"lap8-c13", "tricone-open-d"}},
	{"gospel", "a march in D, sung", "R:hymn\nM:3/4\nL:1/4\nQ:1/4=80\nK:D\n\"D\"A|\"D\"d2f|\"D\"f2d|\"G\"B2d|\"D\"A2F|\"D\"A2d|\"A7\"f2e|\"D\"d3|\"D\"d2|]",
		"bender-open-d", []string{"lap6-c6", "lap8-c13"}},
	{"island", "a hula in C", "R:hula\nM:4/4\nL:1/4\nQ:1/4=96\nK:C\n\"C\"GAce|\"C\"g2e2|\"F\"cAFA|\"C\"G4|\"G7\"GBdf|\"G7\"a2f2|\"G7\"dBGB|\"C\"c4|]",
		"lap6-c6", []string{"reso-open-g", "tricone-open-d"}},
	{"island", "a lullaby in A", "R:lullaby\nM:3/4\nL:1/4\nQ:1/4=84\nK:A\n\"A\"c2e|\"A\"f2e|\"D\"d2f|\"A\"e3|\"E7\"B2d|\"E7\"e2d|\"A\"c2A|\"A\"A3|]",
		"lap8-a6", []string{"reso-open-g", "tricone-open-d"}},
	{"western swing", "a swing tune in C over sixth chords", "R:swing\nM:4/4\nL:1/8\nQ:1/4=150\nK:C\n\"C6\"EGAc A2G2|\"C6\"EGAc e2c2|\"F6\"AcdA F2A2|\"C6\"GAcA G4:|",
		"lap6-c6", []string{"reso-open-g", "tricone-open-d", "hollow-neck-open-d"}},
	{"western swing", "a two-step in A", "R:two-step\nM:4/4\nL:1/8\nQ:1/4=160\nK:A\n\"A6\"EFAc f2e2|\"A6\"cefe c2A2|\"D6\"FABd f2d2|\"A6\"ecBA A4:|",
		"lap8-a6", []string{"reso-open-g", "tricone-open-d", "hollow-neck-open-d"}},
	{"jazz", "a swing tune in F with ninths", "R:swing\nM:4/4\nL:1/8\nQ:1/4=140\nK:F\n\"F6\"CFAc d2c2|\"Gm7\"BdfB \"C9\"dBGE|\"F6\"FAcd f2d2|\"C13\"eBGA \"F6\"F4:|",
		"lap8-c13", []string{"reso-open-g", "tricone-open-d", "hollow-neck-open-d"}},
	{"jazz", "a blues in C with thirteenths", "R:blues\nM:4/4\nL:1/8\nQ:1/4=130\nK:C\n\"C13\"G2_BA GEC2|\"F9\"A2cA FE_E2|\"C13\"GA_BG c2A2|\"G13\"fdBe \"C6\"c4:|",
		"lap8-c13", []string{"reso-open-g", "hollow-neck-open-d", "pedal10-e9"}},
	{"blues", "a slow blues in D", "R:blues\nM:4/4\nL:1/8\nQ:1/4=84\nK:D\n\"D7\"A2d2 =f2d2|\"D7\"d4 A4|\"G7\"d2=f2 d2B2|\"D7\"A4 D4|\"A7\"=c2A2 G2E2|\"D7\"D8|]",
		"tricone-open-d", []string{"lap6-c6", "lap8-a6", "pedal10-e9"}},
	{"blues", "a shuffle in D", "R:blues\nM:4/4\nL:1/8\nQ:1/4=120\nK:D\n\"D7\"D2FA d2A2|\"D7\"FAdA F2D2|\"G7\"G2Bd =f2d2|\"D7\"dAFA D4:|",
		"tricone-open-d", []string{"lap6-c6", "lap8-a6", "pedal10-e9"}},
	{"acoustic slide", "a slow air in D", "R:slow air\nM:3/4\nL:1/4\nQ:1/4=66\nK:D\nA|d2e|f2d|e2c|d2A|B2d|A2F|E2F|D2|]",
		"hollow-neck-open-d", []string{"lap8-c13", "lap6-c6", "pedal10-e9"}},
	{"acoustic slide", "a song in D", "R:song\nM:4/4\nL:1/4\nQ:1/4=88\nK:D\n\"D\"Adfd|\"D\"A4|\"G\"BdBG|\"D\"A4|\"D\"FAdA|\"A7\"E4|\"A7\"EGEC|\"D\"D4|]",
		"tricone-open-d", []string{"lap8-c13", "lap8-a6"}},
	{"fingerstyle", "a carol in D", "R:carol\nM:4/4\nL:1/4\nQ:1/4=96\nK:D\nAdAF|D2F2|GBAG|F4|AdAF|D2F2|GFEC|D4|]",
		"hollow-neck-open-d", []string{"lap6-c6", "lap8-c13"}},
	{"fingerstyle", "a jig in D", "R:jig\nM:6/8\nL:1/8\nQ:3/8=110\nK:D\nDFA dAF|GBd AFD|DFA dAF|GFE D3:|",
		"hollow-neck-open-d", []string{"lap6-c6", "lap8-c13", "lap8-a6"}},
	{"sacred steel", "a hymn in E of two voices held", "R:hymn\nM:4/4\nL:1/4\nQ:1/4=70\nK:E\n\"E\"[GB]4|\"A\"[Ac]4|\"E\"[GB]4|\"B7\"[FA]4|\"E\"[GB]2[Be]2|\"A\"[Ac]4|\"B7\"[DF]2[FA]2|\"E\"[EG]4|]",
		"pedal10-e9", []string{"reso-open-g", "tricone-open-d", "hollow-neck-open-d"}},
	{"sacred steel", "a hymn in A that goes from I to IV and back", "R:hymn\nM:3/4\nL:1/4\nQ:1/4=84\nK:A\n\"A\"[ce]2[ce]|\"D\"[df]2[df]|\"A\"[ce]3|\"E7\"[Bd]3|\"A\"[ce]2[ce]|\"D\"[df]2[df]|\"E7\"[Bd]2[GB]|\"A\"[Ac]3|]",
		"pedal10-e9", []string{"reso-open-g", "tricone-open-d", "hollow-neck-open-d"}},
}

// TestOrderIsCommonPractice ranks all built-in rigs for each of those tunes: who plays
// the style finds the instrument of it before the others, and the words say so.
func TestOrderIsCommonPractice(t *testing.T) {
	count, met := map[string]int{}, 0
	for _, c := range idiomatic {
		count[c.style]++
		tunes, _, err := abc.Read([]byte(fmt.Sprintf("X:1\nT:%s\n%s\n", c.what, c.abc)), "tune.abc")
		if err != nil {
			t.Fatalf("%s: %v", c.what, err)
		}
		ranked, err := Rigs(t.Context(), tunes[0], rig.Builtins(), arrange.Options{})
		if err != nil {
			t.Fatal(err)
		}
		at := func(name string) int {
			return slices.IndexFunc(ranked, func(k Ranked) bool { return k.Rig.Name == name })
		}
		order := ""
		for _, k := range ranked {
			order += fmt.Sprintf(" %s %.2f", k.Rig.Name, k.Score)
		}
		ok := true
		for _, other := range c.before {
			if at(c.first) > at(other) {
				ok = false
				t.Errorf("%s, %s: %s stands after %s:%s", c.style, c.what, c.first, other, order)
			}
		}
		if said := strings.Join(ranked[at(c.first)].Reasons, "; "); ok && !strings.Contains(said, "music") {
			t.Errorf("%s, %s: %s is not said to be usual in it: %s", c.style, c.what, c.first, said)
		}
		if ok {
			met++
		}
	}
	styles := map[string]bool{}
	for _, k := range kinds {
		for _, s := range slices.Concat(k.chief, k.too) {
			styles[s] = true
		}
	}
	for s := range styles {
		if count[s] != 2 {
			t.Errorf("the style %s has %d tunes, not two", s, count[s])
		}
	}
	t.Logf("%d of %d orders are as in common practice", met, len(idiomatic))
}
