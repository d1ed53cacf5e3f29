package refcheck

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/arrange/transfer"
	"lapwright/grip"
	"lapwright/notation/abc"
	"lapwright/rig"
	"lapwright/tune"
)

// randomABC writes a tune in one or two voices with chords, ties, slurs, grace
// notes, triplets, rests, repeats and endings: what the corpus has too little of.
func randomABC(rnd *rand.Rand) string {
	var b strings.Builder
	b.WriteString("X:1\nT:random\nM:4/4\nL:1/8\nQ:1/4=" + fmt.Sprint(60+rnd.IntN(140)) + "\nK:" + []string{"C", "G", "D", "F", "Am", "Eb"}[rnd.IntN(6)] + "\n")
	voices := 1 + rnd.IntN(2)
	bars := 2 + rnd.IntN(5)
	repeat := rnd.IntN(3)
	for v := range voices {
		if voices > 1 {
			fmt.Fprintf(&b, "V:%d\n", v+1)
		}
		letters := "CDEFGABcdefg"
		if v == 1 {
			letters = "G,A,B,"
		}
		note := func() string {
			if v == 1 {
				i := 2 * rnd.IntN(len(letters)/2)
				return letters[i : i+2]
			}
			return string(letters[rnd.IntN(len(letters))])
		}
		pending := ""
		for bar := range bars {
			if bar == 0 && repeat > 0 {
				b.WriteString("|:")
			}
			if repeat == 2 && bar == bars-1 {
				b.WriteString("[1 ")
			}
			left := 8
			for left > 0 {
				if left >= 2 && pending == "" && rnd.IntN(8) == 0 {
					fmt.Fprintf(&b, "(3%s%s%s ", note(), note(), note())
					left -= 2
					continue
				}
				length := min(left, []int{1, 1, 2, 2, 3, 4}[rnd.IntN(6)])
				left -= length
				word := note()
				if pending != "" {
					word, pending = pending, ""
				} else if rnd.IntN(9) == 0 {
					word = "z"
				} else if rnd.IntN(4) == 0 {
					if other := note(); other != word {
						word = "[" + word + other + "]"
					}
				} else if rnd.IntN(9) == 0 {
					b.WriteString("{" + note() + "}")
				}
				b.WriteString(word)
				if length > 1 {
					fmt.Fprint(&b, length)
				}
				if word != "z" && rnd.IntN(5) == 0 && (left > 0 || bar < bars-1) {
					b.WriteString("-")
					pending = word
				}
				b.WriteString(" ")
			}
			switch {
			case repeat == 2 && bar == bars-1:
				b.WriteString(":|[2 " + note() + "8|]")
			case repeat == 1 && bar == bars-1:
				b.WriteString(":|")
			default:
				b.WriteString("|")
			}
		}
		b.WriteString("\n")
	}
	return b.String()
}

// TestRandomTunes arranges random tunes at every level and takes them on to
// another rig: nothing may change
// silently, by the tab's own check and as heard from the MIDI file.
func TestRandomTunes(t *testing.T) {
	const cases = 400
	rigs := rig.Builtins()
	notes, lost, read := 0, 0, 0
	for seed := range uint64(cases) {
		rnd := rand.New(rand.NewPCG(seed, 21))
		music := randomABC(rnd)
		tunes, _, err := abc.Read([]byte(music), "random.abc")
		if err != nil || len(tunes) != 1 {
			t.Fatalf("seed %d: %v\n%s", seed, err, music)
		}
		in := tunes[0]
		if len(tune.Moments(in)) == 0 {
			continue
		}
		read++
		r := rigs[rnd.IntN(len(rigs))]
		res, err := arrange.Arrange(t.Context(), in, r, arrange.Options{Level: grip.Level(rnd.IntN(3))})
		if err != nil {
			t.Fatalf("seed %d on %s: %v\n%s", seed, r.Name, err, music)
		}
		what := fmt.Sprintf("seed %d on %s", seed, r.Name)
		if l := res.Tab.Check(); len(l) > 0 {
			t.Errorf("%s: %v\n%s", what, l, music)
		}
		notes += checkExact(t, what, in, res.Transposed, res.Tab)
		checkHolds(t, what, res.Tab)
		lost += len(res.Tab.Compromises)
		to := rigs[rnd.IntN(len(rigs))]
		moved, err := transfer.Tab(t.Context(), res.Tab, to, arrange.Options{})
		if err != nil {
			t.Fatalf("%s to %s: %v\n%s", what, to.Name, err, music)
		}
		what += " to " + to.Name
		if l := moved.Result.Tab.Check(); len(l) > 0 {
			t.Errorf("%s: %v\n%s", what, l, music)
		}
		checkExact(t, what, in, res.Transposed+moved.Result.Transposed, moved.Result.Tab)
		checkHolds(t, what, moved.Result.Tab)
		if t.Failed() {
			t.Fatalf("the tune was\n%s", music)
		}
	}
	t.Logf("%d tunes, %d notes, %d compromises", read, notes, lost)
	if read < cases*9/10 {
		t.Errorf("only %d tunes were read", read)
	}
}
