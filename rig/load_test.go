package rig

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/wire"
)

// oneString makes a rig of a plain string 1 alone whose open pull is the given
// share of its breaking load: the pull of a string at one pitch goes with the
// square of its length (Mersenne).
func oneString(t *testing.T, share float64, bends int) *Rig {
	t.Helper()
	r, ok := Builtin("lap6-c6")
	if !ok {
		t.Fatal("no such rig")
	}
	r = r.Clone()
	r.Strings, r.Benders = r.Strings[:1], nil
	if bends != 0 {
		r.Benders = []Bender{{Name: "palm", Mark: "A", Kind: Palm, Moves: []Move{{1, bends}}}}
	}
	r.Scale *= wire.MM(math.Sqrt(share / r.Load().Strings[0].Share))
	return r
}

// The shares of a string's breaking load at which care is asked for and at which
// it is to be left alone (wire.CautionShare, wire.BreakShare), and what may be
// carried for the moment of a bend.
func TestStringLoads(t *testing.T) {
	semitone := math.Exp2(2.0 / 12) // pull goes with the square of the frequency
	for _, c := range []struct {
		share float64
		bends int
		want  Finding
		say   string
	}{
		{0.595, 0, Fine, ""},
		{0.604, 0, Caution, "at pitch it carries 60 % of the least load that breaks it"},
		{0.70, 0, Caution, "at pitch it carries 70 % of the least load that breaks it"},
		{0.799, 0, Caution, "at pitch it carries 80 % of the least load that breaks it, give or take 1, and from 80 % breakage is to be expected"},
		{0.801, 0, DoNot, "at pitch it carries 80 % of the least load that breaks it, and from 80 % breakage is to be expected"},
		{0.595 / semitone, 1, Fine, ""},
		{0.604 / semitone, 1, Caution, "at its highest bend it carries 60 %"},
		{0.82 / semitone, 1, Caution, "at its highest bend it carries 82 % of the least load that breaks it, and from 80 % breakage is to be expected"},
		{0.949 / semitone, 1, DoNot, "at its highest bend it carries 95 %"}, // open it carries 85 % already
		{0.94 / semitone / semitone, 2, Caution, "at its highest bend it carries 94 %"},
		{0.96 / semitone / semitone, 2, DoNot, "at its highest bend it carries 96 %"},
		{0.595, -1, Fine, ""}, // letting down asks nothing
	} {
		l := oneString(t, c.share, c.bends).Load()
		s := l.Strings[0]
		got := strings.Join(s.Reasons, "; ")
		if s.Finding != c.want || !strings.HasPrefix(got, c.say) || (c.say == "") != (got == "") {
			t.Errorf("%.3f, bent by %d: %s, %q; want %s, %q", c.share, c.bends, s.Finding, got, c.want, c.say)
		}
		if l.Finding != c.want || c.say != "" && !strings.HasPrefix(l.Reasons[0], "string 1: "+c.say) {
			t.Errorf("%.3f, bent by %d: the whole is %s, %q", c.share, c.bends, l.Finding, l.Reasons)
		}
		if len(l.Reasons) != len(s.Reasons) {
			t.Errorf("%.3f, bent by %d: of one string that is all there is to say: %q", c.share, c.bends, l.Reasons)
		}
		if ratio := float64(s.BentPull / s.Pull); math.Abs(ratio-math.Pow(semitone, float64(max(c.bends, 0)))) > 1e-9 {
			t.Errorf("bent by %d it pulls %g times as much", c.bends, ratio)
		}
		if l.Total != s.Pull || l.Spread != s.Spread || math.Abs(float64(l.Most-s.BentPull)) > 1e-9 {
			t.Errorf("of one string: total %v, spread %v, most %v; the string %v, %v, %v", l.Total, l.Spread, l.Most, s.Pull, s.Spread, s.BentPull)
		}
	}
	r := oneString(t, 0.5, 0)
	r.Scale *= wire.MM(math.Sqrt(float64(Slackest / r.Load().Strings[0].Pull)))
	for f, want := range map[wire.MM]Finding{1.001: Fine, 0.999: Caution} {
		s := r.Clone()
		s.Scale *= f
		if l := s.Load().Strings[0]; l.Finding != want {
			t.Errorf("a pull of %.2f N: %s, %q", float64(l.Pull), l.Finding, l.Reasons)
		}
	}
}

// The whole pull against a limit: at it, care; beyond it, no.
func TestJudge(t *testing.T) {
	for _, c := range []struct {
		body Body
		most wire.Newtons
		want Finding
		say  string
	}{
		{SquareNeckResonator, 899, Fine, ""},
		{SquareNeckResonator, 900, Caution, "all strings together pull 900 N, near 1000 N, mine"},
		{SquareNeckResonator, 1000, Caution, "all strings together pull 1000 N, near 1000 N, mine"},
		{SquareNeckResonator, 1001, DoNot, "all strings together pull 1001 N, more than 1000 N, mine"},
		{HollowNeckAcoustic, 869, Fine, ""},
		{HollowNeckAcoustic, 870, Caution, "all strings together pull 870 N, near 1000 N, mine, counted at the upper end of its uncertainty because this kind of instrument is built lightly"},
	} {
		if f, say := c.body.Judge(c.most, 1000, "mine"); f != c.want || say != c.say {
			t.Errorf("%s at %v: %s, %q; want %s, %q", c.body, c.most, f, say, c.want, c.say)
		}
	}
	// A body built lightly is judged at the upper end, others as they are.
	for body, want := range map[Body]float64{LapSteel: 1, HollowNeckAcoustic: 1.02} {
		r := &Rig{Body: body, LoadLimit: 1000, LoadLimitSource: "maker"}
		for most, bad := range map[float64]bool{999 / want: false, 1001 / want: true} {
			f, say := r.judgeTotal(Load{Most: wire.Newtons(most), Spread: 0.02, Limit: 1000})
			if (f == DoNot) != bad || !strings.Contains(say, "the limit given for it (maker)") {
				t.Errorf("%s at %v N: %s, %q", body, most, f, say)
			}
		}
	}
	if f, say := (&Rig{Body: LapSteel}).judgeTotal(Load{Most: 2000, Limit: 1600}); f != DoNot || !strings.Contains(say, "the limit for a lap steel (common practice, no source)") {
		t.Errorf("no limit of its own: %s, %q", f, say)
	}
}

func TestFineMeans(t *testing.T) {
	r, _ := Builtin("lap6-c6")
	r = r.Clone()
	r.Body, r.LoadLimit, r.LoadLimitSource, r.Benders = HollowNeckAcoustic, 700, "maker", nil
	const want = "every string pulls at least 50 N and, bends included, less than 60 % of its least breaking load, and all together, at the upper end of its uncertainty pull less than 609 N: care is asked for from 87 % of the limit of 700 N (maker)"
	if got := r.FineMeans(); got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	r.Body, r.Benders = LapSteel, []Bender{{}}
	if got := r.FineMeans(); !strings.Contains(got, "all together, with the benders that pull most pull less than 630 N: care is asked for from 90 % of the limit of 700 N") {
		t.Errorf("with benders: %q", got)
	}
}

// A string's stiffness is its pull against the mean of its neighbours'.
func TestStiffness(t *testing.T) {
	set := []StringLoad{{Pull: 120}, {Pull: 100}, {Pull: 90}, {Pull: 100}}
	for i, want := range []float64{1.2, 100.0 / 105, 0.9, 100.0 / 90} {
		if got := stiffness(set, i); math.Abs(got-want) > 1e-12 {
			t.Errorf("string %d: %g, want %g", i+1, got, want)
		}
	}
	if got := stiffness(set[:1], 0); got != 1 {
		t.Errorf("a string alone: %g", got)
	}
	for f, want := range map[float64]string{1: "even", 1.09: "even", 0.91: "even", 1.11: "11 % tighter", 0.85: "15 % slacker"} {
		if got := StiffnessText(f); got != want {
			t.Errorf("%g: %q, want %q", f, got, want)
		}
	}
}

func bend(r *Rig) *Bender { return &r.Benders[0] }

// withBenders gives a rig so many benders alike.
func withBenders(n int) func(*Rig) {
	return func(r *Rig) {
		r.Benders = nil
		for i := range n {
			r.Benders = append(r.Benders, Bender{Name: fmt.Sprint("b", i), Mark: string(rune('A' + i)), Kind: Palm, Moves: []Move{{1, 1}}})
		}
	}
}

// withStrings adds strings like the first until there are so many.
func withStrings(n int) func(*Rig) {
	return func(r *Rig) {
		for len(r.Strings) < n {
			r.Strings = append(r.Strings, r.Strings[0])
		}
	}
}

// tuned tunes string 1 to a key and takes the benders off.
func tuned(key int) func(*Rig) {
	return func(r *Rig) {
		r.Benders = nil
		r.Strings[0].Open = pitch.SpellKey(key, 0)
	}
}

// edges are changes to a sound rig up to a bound and just beyond it.
var edges = map[string]struct {
	set func(*Rig)
	say string // "" for a sound one
}{
	"a name of 40":               {func(r *Rig) { r.Name = strings.Repeat("a", 40) }, ""},
	"a name of 41":               {func(r *Rig) { r.Name = strings.Repeat("a", 41) }, "the name "},
	"a name with a capital":      {func(r *Rig) { r.Name = "Rig" }, "the name "},
	"20 styles":                  {func(r *Rig) { r.Styles = strings.Split(strings.Repeat("x ", 19)+"x", " ") }, ""},
	"21 styles":                  {func(r *Rig) { r.Styles = strings.Split(strings.Repeat("x ", 20)+"x", " ") }, "21 styles"},
	"no style":                   {func(r *Rig) { r.Styles = []string{""} }, "the style"},
	"one fret":                   {func(r *Rig) { r.Frets, r.Capo = 1, Capo{} }, ""},
	"no fret":                    {func(r *Rig) { r.Frets, r.Capo = 0, Capo{} }, `"0" frets`},
	"the most frets":             {func(r *Rig) { r.Frets = MaxFrets }, ""},
	"a fret too many":            {func(r *Rig) { r.Frets = MaxFrets + 1 }, `"49" frets`},
	"the shortest":               {func(r *Rig) { r.Scale = MinScale }, ""},
	"shorter":                    {func(r *Rig) { r.Scale = MinScale - 0.1 }, "a scale of "},
	"the longest":                {func(r *Rig) { r.Scale = MaxScale }, ""},
	"longer":                     {func(r *Rig) { r.Scale = MaxScale + 0.1 }, "a scale of "},
	"no action given":            {func(r *Rig) { r.Action = 0 }, ""},
	"the lowest action":          {func(r *Rig) { r.Action = 1 }, ""},
	"a lower one":                {func(r *Rig) { r.Action = 0.9 }, "an action of "},
	"a limit of 50 N":            {func(r *Rig) { r.LoadLimit, r.LoadLimitSource = 50, "maker" }, ""},
	"a limit of 49 N":            {func(r *Rig) { r.LoadLimit, r.LoadLimitSource = 49, "maker" }, "a load limit of "},
	"a limit of 10000 N":         {func(r *Rig) { r.LoadLimit, r.LoadLimitSource = 10000, "maker" }, ""},
	"a limit of 10001 N":         {func(r *Rig) { r.LoadLimit, r.LoadLimitSource = 10001, "maker" }, "a load limit of "},
	"a limit of nobody's":        {func(r *Rig) { r.LoadLimit, r.LoadLimitSource = 500, "" }, "the load limit has no source"},
	"a source of no limit":       {func(r *Rig) { r.LoadLimit, r.LoadLimitSource = 0, "maker" }, `a source "maker"`},
	"a steel of 5 g":             {func(r *Rig) { r.Steel.Mass = 5 }, ""},
	"a steel of 4.9 g":           {func(r *Rig) { r.Steel.Mass = 4.9 }, "a steel of "},
	"a steel of 1000 g":          {func(r *Rig) { r.Steel.Mass = 1000 }, ""},
	"a steel of 1001 g":          {func(r *Rig) { r.Steel.Mass = 1001 }, "a steel of "},
	"no slant":                   {func(r *Rig) { r.Steel.MaxSlant = 0 }, ""},
	"a slant of 60":              {func(r *Rig) { r.Steel.MaxSlant = 60 }, ""},
	"a slant of 61":              {func(r *Rig) { r.Steel.MaxSlant = 61 }, "a slant of "},
	"a slant the other way":      {func(r *Rig) { r.Steel.MaxSlant = -1 }, "a slant of "},
	"a capo at its highest":      {func(r *Rig) { r.Capo = Capo{Highest: 7, At: 7} }, ""},
	"a capo beyond":              {func(r *Rig) { r.Capo = Capo{Highest: 7, At: 8} }, "the capo is at fret"},
	"a capo before the nut":      {func(r *Rig) { r.Capo = Capo{Highest: 7, At: -1} }, "the capo is at fret"},
	"a capo up to 24":            {func(r *Rig) { r.Frets, r.Capo = 25, Capo{Highest: 24} }, ""},
	"a capo up to 25":            {func(r *Rig) { r.Frets, r.Capo = 30, Capo{Highest: 25} }, "a capo that goes to fret"},
	"a capo that leaves a fret":  {func(r *Rig) { r.Frets, r.Capo = 13, Capo{Highest: 12} }, ""},
	"a capo that leaves none":    {func(r *Rig) { r.Frets, r.Capo = 12, Capo{Highest: 12} }, "a capo that goes to fret"},
	"a capo at less than none":   {func(r *Rig) { r.Capo = Capo{Highest: -1} }, "a capo that goes to fret"},
	"the most strings":           {withStrings(MaxStrings), ""},
	"a string too many":          {withStrings(MaxStrings + 1), `the rig has "17" strings`},
	"the lowest string":          {tuned(MinOpen), ""},
	"a lower one still":          {tuned(MinOpen - 1), "string 1: a pitch of "},
	"the highest string":         {tuned(MaxOpen), ""},
	"a higher one still":         {tuned(MaxOpen + 1), "string 1: a pitch of "},
	"the most benders":           {withBenders(MaxBenders), ""},
	"a bender too many":          {withBenders(MaxBenders + 1), `the rig has "17" benders`},
	"a mark A":                   {func(r *Rig) { withBenders(1)(r) }, ""},
	"a mark Z":                   {func(r *Rig) { withBenders(1)(r); bend(r).Mark = "Z" }, ""},
	"a mark before A":            {func(r *Rig) { withBenders(1)(r); bend(r).Mark = "@" }, "the mark "},
	"a mark after Z":             {func(r *Rig) { withBenders(1)(r); bend(r).Mark = "[" }, "the mark "},
	"a mark of two":              {func(r *Rig) { withBenders(1)(r); bend(r).Mark = "AB" }, "the mark "},
	"no mark":                    {func(r *Rig) { withBenders(1)(r); bend(r).Mark = "" }, "the mark "},
	"no name of a bender":        {func(r *Rig) { bend(r).Name = "" }, "the name "},
	"two names alike":            {func(r *Rig) { withBenders(2)(r); r.Benders[1].Name = "b0" }, "two benders are named "},
	"two marks alike":            {func(r *Rig) { withBenders(2)(r); r.Benders[1].Mark = "A" }, "two benders are marked "},
	"no kind":                    {func(r *Rig) { bend(r).Kind = "foot" }, "unknown kind of bender "},
	"a bender for the knee":      {func(r *Rig) { bend(r).Kind = Knee }, ""},
	"a bender for the foot":      {func(r *Rig) { bend(r).Kind = Pedal }, ""},
	"no moves":                   {func(r *Rig) { bend(r).Moves = nil }, "the bender "},
	"seven up":                   {func(r *Rig) { bend(r).Moves = []Move{{1, 7}} }, ""},
	"eight up":                   {func(r *Rig) { bend(r).Moves = []Move{{1, 8}} }, `a move of "8" semitones is none or more than 7`},
	"seven down":                 {func(r *Rig) { bend(r).Moves = []Move{{1, -7}} }, ""},
	"eight down":                 {func(r *Rig) { bend(r).Moves = []Move{{1, -8}} }, `a move of "-8" semitones is none or more than 7`},
	"nowhere":                    {func(r *Rig) { bend(r).Moves = []Move{{1, 0}} }, `a move of "0" semitones is none or more than 7`},
	"the last string moved":      {func(r *Rig) { bend(r).Moves = []Move{{len(r.Strings), 1}} }, ""},
	"a string beyond":            {func(r *Rig) { bend(r).Moves = []Move{{len(r.Strings) + 1, 1}} }, `there is no string "7": the rig has 6`},
	"string 0":                   {func(r *Rig) { bend(r).Moves = []Move{{0, 1}} }, `there is no string "0": the rig has 6`},
	"a string moved twice":       {func(r *Rig) { bend(r).Moves = []Move{{1, 1}, {1, 2}} }, "the bender "},
	"bent up to the highest":     {func(r *Rig) { tuned(MaxOpen - 2)(r); withBenders(1)(r); bend(r).Moves = []Move{{1, 2}} }, ""},
	"bent beyond the highest":    {func(r *Rig) { tuned(MaxOpen - 2)(r); withBenders(1)(r); bend(r).Moves = []Move{{1, 3}} }, `a move of "3" semitones takes string 1 outside C1 to C7`},
	"let down to the lowest":     {func(r *Rig) { tuned(MinOpen + 2)(r); withBenders(1)(r); bend(r).Moves = []Move{{1, -2}} }, ""},
	"let down beyond the lowest": {func(r *Rig) { tuned(MinOpen + 2)(r); withBenders(1)(r); bend(r).Moves = []Move{{1, -3}} }, `a move of "-3" semitones takes string 1 outside C1 to C7`},
}

// What is taken for an instrument ends just where the bounds say.
func TestCheckAtItsEdges(t *testing.T) {
	base, _ := Builtin("bender-open-d")
	if len(base.Benders) == 0 || len(base.Check()) > 0 {
		t.Fatal("not a rig with benders, or no sound one")
	}
	for what, c := range edges {
		r := base.Clone()
		c.set(r)
		got := r.Check()
		if c.say == "" && len(got) > 0 || c.say != "" && (len(got) != 1 || !strings.HasPrefix(got[0].Msg, c.say)) {
			t.Errorf("%s: %v, want %q", what, got, c.say)
		}
	}
}

// The highest key of a string is what its highest bender takes it to.
func TestHighestKey(t *testing.T) {
	r := oneString(t, 0.5, 0)
	open := r.Strings[0].Open.Key()
	for want, moves := range map[int][]int{0: {-2}, 2: {1, 2, -3}, 3: {3, 1}} {
		r.Benders = nil
		for _, m := range moves {
			r.Benders = append(r.Benders, Bender{Moves: []Move{{1, m}}})
		}
		if got := r.HighestKey(1) - open; got != want {
			t.Errorf("benders of %v semitones: up %d, want %d", moves, got, want)
		}
	}
}
