package score

import (
	"math"
	"slices"
	"strconv"

	"lapwright/say"
	"lapwright/sheet/draw"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// TabClefWidth returns the room that the word TAB takes, set to fit the lines.
func (s *Score) TabClefWidth() float64 {
	return draw.TabClef6.Advance() * s.TabClefSize()
}

// TabClefSize scales the word to the height of the lines.
func (s *Score) TabClefSize() float64 {
	h := s.Style.TabGap * float64(len(s.Tab.Rig.Strings)-1)
	b := draw.TabClef6.Box()
	return min(max(h*0.8, 2.6)/(b.Y1-b.Y0), 1.25)
}

// RollRoom is what the wave before a rolled chord takes, in staff spaces.
const RollRoom = 1.1

// Rolled reports whether the chord that is played here is rolled.
func (st *Stop) Rolled() bool {
	for _, p := range st.Plays {
		if p.Head != nil && p.Head.Of.Grace < 0 && slices.Contains(p.Head.Of.Event.Marks, tune.Arpeggio) {
			return true
		}
	}
	return false
}

// Glides reports whether a glide leaves any string here.
func (nd *Node) Glides() bool {
	for _, st := range nd.Stops {
		for _, p := range st.Plays {
			if p.Pluck.Glide {
				return true
			}
		}
	}
	return false
}

// JoinWidth returns the room that the letter of a hammer or pull wants between
// two tab numbers.
func (s *Score) JoinWidth() float64 {
	return max(draw.Sans.Width("h"), draw.Sans.Width("p"))*s.Style.Letter + 2*padJoin
}

// JoinLetter returns the letter that stands between p's number and that of b before it,
// which may be nil: h and p for a hammer and a pull, b and r for a bender worked and
// let go.
func (s *Score) JoinLetter(b, p *Play) string {
	switch p.Pluck.Attack {
	case tab.Hammered:
		return "h"
	case tab.PulledOff:
		return "p"
	}
	str := p.Pluck.String
	if b != nil && s.Tab.Rig.OpenKey(str, p.stroke.Benders) < s.Tab.Rig.OpenKey(str, b.stroke.Benders) {
		return "r"
	}
	return "b"
}

// Joins reports whether a hammer or pull leads here.
func (nd *Node) Joins() bool {
	for _, st := range nd.Stops {
		for _, p := range st.Plays {
			if p.Joins() {
				return true
			}
		}
	}
	return false
}

// The steel's lean is drawn at a third of the true one: sideways for each unit
// along the strings. To scale it would tear the grip's numbers out of their
// instant; the label says the true angle. leanLeast keeps a slight lean visible,
// leanMost keeps a wide one together, both in staff spaces over the whole grip.
const (
	leanShare  = 0.35
	leanLeast  = 0.7
	leanMost   = 2.6
	SteelWidth = 0.2 // of the line that stands for the steel
	SteelEnd   = 0.7 // of the gap between strings: how far the ends of a leaning steel stand out
)

// graceNumber is the size of a grace's number against the others'.
const graceNumber = 0.7

// setStop works out the numbers of a stroke, and how they stand along the steel.
func (s *reader) setStop(st *Stop) {
	k := st.Stroke
	for _, p := range st.Plays {
		p.Text = s.numberText(p)
		p.Size = 1
		if k.Grace && s.Options.Layout != LargePrint { // nothing is small there
			p.Size = graceNumber
		}
		p.Half = draw.SansBold.Width(p.Text) * s.Style.Number * p.Size / 2
		p.dx = s.LeanAt(k.Placement, p.Pluck.String)
	}
	if s.laidShort(st) {
		st.Short = true
		st.Lean = strconv.Itoa(int(k.Placement.First))
		if k.Placement.Last != k.Placement.First {
			st.Lean += "–" + strconv.Itoa(int(k.Placement.Last))
		}
	}
	if k.Placement.Slanted() && len(st.Plays) > 0 {
		st.Lean = strconv.Itoa(int(math.Round(math.Abs(s.Geo.Angle(k.Placement))))) + "°"
	}
}

// laidShort reports whether a square steel stops fewer strings than it would if it
// lay right across: its heel is lifted, or it is drawn back, so that open strings
// beside it sound. A steel that is too short for the neck has no choice.
func (s *reader) laidShort(st *Stop) bool {
	p := st.Stroke.Placement
	if p.Kind != steel.Straight {
		return false
	}
	low, high := math.MaxInt, 0
	for _, pl := range st.Plays {
		if pl.Pluck.Fret > 0 && pl.Pluck.Attack != tab.Tied {
			low, high = min(low, pl.Pluck.String), max(high, pl.Pluck.String)
		}
	}
	if high == 0 {
		return false
	}
	whole := s.Geo.Across(low, high, false, false, p.FirstFret)
	return p.First > whole.First || p.Last < whole.Last
}

// LeanAt returns how far aside the steel lies over a string, in staff spaces from
// the instant's place: 0 for a straight steel and for strings it does not touch.
func (s *Score) LeanAt(p steel.Placement, str int) float64 {
	if !p.Slanted() || !p.Touches(str) {
		return 0
	}
	// Positive angles are forward slants: string 1's side to the right.
	across := float64(p.Last-p.First) * s.Style.TabGap
	spread := leanShare * math.Tan(s.Geo.Angle(p)*math.Pi/180) * across
	spread = math.Copysign(min(max(math.Abs(spread), leanLeast), leanMost), spread)
	// From +spread/2 at the first string to −spread/2 at the last.
	u := 0.0
	if p.Kind == steel.Split {
		if str >= int(p.Last) {
			u = 1
		}
	} else if p.Last > p.First {
		u = float64(str-int(p.First)) / float64(p.Last-p.First)
	}
	return spread * (0.5 - u)
}

// steelReach returns how far the ends of a leaning steel stand left and right of
// its instant's middle.
func (s *Score) steelReach(p steel.Placement) (left, right float64) {
	if !p.Slanted() || p.Last <= p.First {
		return 0, 0
	}
	end := s.Style.Number*0.4 + 0.1 + s.Style.TabGap*SteelEnd
	slope := func(a, b int) float64 {
		return (s.LeanAt(p, b) - s.LeanAt(p, a)) / (s.Style.TabGap * float64(b-a))
	}
	first, last := int(p.First), int(p.Last)
	a, b := first+1, last-1
	if p.Kind == steel.Split {
		b = first + 1
	}
	for _, x := range [2]float64{s.LeanAt(p, first) - slope(first, a)*end, s.LeanAt(p, last) + slope(b, last)*end} {
		left, right = max(left, -x), max(right, x)
	}
	return left + 0.1, right + 0.1
}

// numberText is what stands on the string for a pluck.
func (s *Score) numberText(p *Play) string {
	t := say.Fret(p.Pluck.Fret)
	switch p.Pluck.Attack {
	case tab.Chopped:
		return "x"
	case tab.Harmonic:
		if p.Pluck.Fret == 0 {
			t = say.Fret(tab.NodeFret(int(p.Pluck.Node)))
		}
		return "<" + t + ">"
	case tab.Tied:
		return "(" + t + s.BenderText(p) + ")"
	}
	return t + s.BenderText(p)
}

// BenderText returns the letters of the benders that move a pluck's string.
func (s *Score) BenderText(p *Play) string {
	out := ""
	for i := range s.Tab.Rig.Benders {
		b := &s.Tab.Rig.Benders[i]
		if p.stroke.Benders.Has(i) && b.Changes(p.Pluck.String) {
			out += b.Mark
		}
	}
	return out
}

// numberReach returns how far a number reaches left and right of the instant's
// middle.
func (s *Score) numberReach(p *Play) (left, right float64) {
	left, right = p.Half-p.dx, p.Half+p.dx
	if p.Tip() {
		left += TipRoom
	}
	if p.Pluck.Scoop != 0 {
		left += 1.5
	}
	if p.Pluck.Damp {
		right += 0.45
	}
	return left, right
}

// Middle returns where a pluck's number stands across.
func (p *Play) Middle() float64 { return p.Stop.Node.X + HeadMiddle + p.dx }

// CapHeight returns the height of figures above the baseline in ems.
func CapHeight(f draw.Font) (up, down float64) {
	b := draw.Text{S: "0", Font: f, Size: 1}.Bounds()
	return -b.Y0, b.Y1
}

// HalfHeight returns how far a number's ink reaches above and below its string:
// brackets reach farther than figures.
func (p *Play) HalfHeight(em float64) float64 {
	up, _ := CapHeight(draw.SansBold)
	inkUp, inkDown := draw.SansBold.Ink(p.Text)
	return max(inkUp-up/2, inkDown+up/2) * em * p.Size
}

// Tip reports whether a number is marked as being under the steel's nose alone,
// while other strings sound open beside it.
func (p *Play) Tip() bool {
	return p.stroke.Placement.Kind == steel.Nose && p.Pluck.String == int(p.stroke.Placement.First) &&
		p.Pluck.Fret > 0 && p.Pluck.Attack != tab.Tied && len(p.Stop.Plays) > 1
}

// TipRoom is the room that the mark of the nose takes beside its number.
const TipRoom = 0.8

// Joins reports whether a pluck is joined to the one before by a hammer, pull or bend.
func (p *Play) Joins() bool {
	return p.Pluck.Attack == tab.Hammered || p.Pluck.Attack == tab.PulledOff || p.Pluck.Attack == tab.BentTo
}
