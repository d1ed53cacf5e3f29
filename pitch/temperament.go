package pitch

import "math"

// Just is a frequency ratio of small whole numbers.
type Just struct{ Num, Den int }

// Cents returns the size of the ratio.
func (j Just) Cents() Cents { return Ratio(j.Num, j.Den) }

// times multiplies two ratios and reduces the result.
func (j Just) times(k Just) Just {
	n, d := j.Num*k.Num, j.Den*k.Den
	g := GCD(n, d)
	return Just{n / g, d / g}
}

// justWithin lists the five-limit ratio of each interval within the octave, by
// letters and semitones moved: products of the pure fifth 3/2 and the pure major
// third 5/4, simplest ratio each (common practice of theory books; the
// reference tests check the sizes).
var justWithin = map[Interval]Just{
	Unison:        {1, 1},
	{0, 1}:        {25, 24},
	MinorSecond:   {16, 15},
	MajorSecond:   {9, 8},
	AugSecond:     {75, 64},
	{2, 2}:        {144, 125},
	MinorThird:    {6, 5},
	MajorThird:    {5, 4},
	{2, 5}:        {125, 96},
	{3, 4}:        {32, 25},
	PerfectFourth: {4, 3},
	AugFourth:     {45, 32},
	DimFifth:      {64, 45},
	PerfectFifth:  {3, 2},
	AugFifth:      {25, 16},
	MinorSixth:    {8, 5},
	MajorSixth:    {5, 3},
	{5, 10}:       {225, 128},
	DimSeventh:    {128, 75},
	MinorSeventh:  {9, 5},
	MajorSeventh:  {15, 8},
}

// JustInterval returns the just ratio of a spelled interval, octaves added or
// taken off as needed; a falling interval gives a ratio below 1. It reports
// false for an interval that is not in common use, such as a triply augmented
// fourth.
func JustInterval(iv Interval) (Just, bool) {
	if iv.Steps < 0 || (iv.Steps == 0 && iv.Semitones < 0) {
		up, ok := JustInterval(Interval{-iv.Steps, -iv.Semitones})
		return Just{up.Den, up.Num}, ok
	}
	octaves := iv.Steps / 7
	if octaves > 12 {
		return Just{}, false
	}
	j, ok := justWithin[Interval{iv.Steps % 7, iv.Semitones - 12*octaves}]
	if !ok {
		return Just{}, false
	}
	return j.times(Just{1 << octaves, 1}), true
}

// Sevenths says how a just chord tunes the minor seventh over a major third.
type Sevenths uint8

// The just minor sevenths.
const (
	// FiveLimit tunes it 9/5, a pure minor third above the fifth.
	FiveLimit Sevenths = iota
	// Harmonic tunes it 7/4, the seventh partial, 31 cents below equal
	// temperament: the beatless dominant seventh.
	Harmonic
)

// Just returns the ratio above the root at which a tone of the chord sounds
// without beats: the target of a player who tunes by ear. Fifths of diminished
// chords are two pure minor thirds (36/25) or, with Harmonic, 7/5.
func (c Chord) Just(t Tone, s Sevenths) Just {
	septimal := s == Harmonic && c.Has("3") && c.Has("b7")
	switch {
	case t.Label == "b7" && septimal:
		return Just{7, 4}
	case t.Label == "b5" && c.Minor():
		if s == Harmonic {
			return Just{7, 5}
		}
		return Just{36, 25}
	case t.Label == "bb7" && s == Harmonic:
		// The diminished seventh as partials 10:12:14:17.
		return Just{17, 10}
	case t.Label == "#9":
		// Heard against the major third below it as a blue minor third.
		return Just{12, 5}
	}
	if j, ok := JustInterval(t.Interval); ok {
		return j
	}
	return Just{1, 1}
}

// Temperament is a tuning of the twelve notes by their cents above the tonic.
type Temperament struct {
	Name  string
	Cents [12]Cents
}

// The temperaments that are known.
var (
	EqualTemperament = Temperament{"equal", [12]Cents{0, 100, 200, 300, 400, 500, 600, 700, 800, 900, 1000, 1100}}
	// JustTemperament tunes each note of the tonic's scale purely against it.
	JustTemperament = Temperament{"just", tempered(func(i int) Cents {
		return [12]Just{{1, 1}, {16, 15}, {9, 8}, {6, 5}, {5, 4}, {4, 3}, {45, 32}, {3, 2}, {8, 5}, {5, 3}, {9, 5}, {15, 8}}[i].Cents()
	})}
	// Pythagorean tunes by pure fifths, from five below the tonic to six above.
	Pythagorean = Temperament{"pythagorean", tempered(func(i int) Cents { return chainOfFifths(i, Ratio(3, 2)) })}
	// QuarterComma is meantone with pure major thirds: each fifth is the fourth
	// root of 5.
	QuarterComma = Temperament{"quarter-comma meantone", tempered(func(i int) Cents {
		return chainOfFifths(i, Cents(300*math.Log2(5)))
	})}
)

// Temperaments lists them by name.
var Temperaments = []Temperament{EqualTemperament, JustTemperament, Pythagorean, QuarterComma}

func tempered(of func(semitone int) Cents) [12]Cents {
	var out [12]Cents
	for i := range out {
		out[i] = of(i)
	}
	return out
}

// chainOfFifths returns the cents of the note i semitones above the tonic when it
// is reached by fifths of the given size, −5 to +6 of them.
func chainOfFifths(i int, fifth Cents) Cents {
	n := Mod(i*7, 12)
	if n > 6 {
		n -= 12
	}
	c := Cents(n) * fifth
	return c - 1200*Cents(math.Floor(float64(c)/1200))
}

// Offset returns how far the temperament on a tonic puts a pitch from equal
// temperament, in cents; the tonic itself stays where equal temperament has it.
func (t Temperament) Offset(n, tonic Class) Cents {
	i := Mod(n.Semitone()-tonic.Semitone(), 12)
	return t.Cents[i] - Cents(100*i)
}

// Hz returns the frequency of a pitch in the temperament on a tonic, a4 being the
// equal-tempered frequency of A4.
func (t Temperament) Hz(n Name, tonic Class, a4 Hz) Hz {
	return Equal(float64(n.Key())+float64(t.Offset(n.Class, tonic))/100, a4)
}
