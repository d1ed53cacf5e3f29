package steel

import "fmt"

// Kind is how the steel is laid.
type Kind uint8

// The ways to lay the steel.
const (
	Lifted   Kind = iota // touches nothing: all strings open
	Straight             // square to the strings
	Forward              // the higher-pitched strings at the higher fret
	Reverse              // the higher-pitched strings at the lower fret
	Split                // the nose on two neighbouring strings at one fret, a further string at another
	Nose                 // only the tip, on one string; all others open
)

// String returns the kind's name in words.
func (k Kind) String() string {
	return [...]string{"open", "straight", "forward slant", "reverse slant", "split", "nose"}[k]
}

// ParseKind reads a kind's name as String gives it.
func ParseKind(text string) (Kind, error) {
	for k := Lifted; k <= Nose; k++ {
		if k.String() == text {
			return k, nil
		}
	}
	return 0, fmt.Errorf("there is no way of laying the steel called %q", text)
}

// Placement is one way to lay the steel. The zero value is the lifted steel. It is
// comparable.
type Placement struct {
	Kind Kind
	// First and Last are the strings touched, First ≤ Last (string 1 is the
	// farthest from the player); both 0 when lifted.
	First, Last int8
	// FirstFret and LastFret are the steel positions over those two strings, in
	// frets from the nut or capo; equal unless slanted or split. In a split the
	// nose lies over First and First+1 at FirstFret, and Last is at LastFret.
	FirstFret, LastFret float64
}

// Touches reports whether the steel lies on string s (1-based). In a split the
// strings between the nose and Last lie under the steel too.
func (p Placement) Touches(s int) bool {
	return p.Kind != Lifted && s >= int(p.First) && s <= int(p.Last)
}

// Slanted reports whether the steel is off square: a slant or a split.
func (p Placement) Slanted() bool {
	return p.Kind == Forward || p.Kind == Reverse || p.Kind == Split
}
