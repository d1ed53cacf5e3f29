package terms

import (
	"fmt"
	"strconv"
	"strings"

	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tune"
)

// What MusicXML has no element for is carried in the text of an other-notation
// of type "single" that is not printed. Each text begins with one of these
// words, then values separated by spaces:
//
//	placement KIND FIRST@FRET LAST@FRET   how the steel lies, on the first note of a stroke
//	benders A B                           the marks of the benders engaged
//	contact 5.97                          the steel's exact place over this string, in frets
//	scoop -2                              where the glide into the note begins, in semitones
//	scoop-frets -2                        the same on the tablature staff, in frets
//	node 2                                the number of a harmonic
//	damp                                  the note is stopped at its end
//	grace 2                               which grace before the note this is, on the tablature staff
//	carry                                 the steel carries this sound into the string's next note
//	chop F#3                              a stroke without pitch; the name is that of its open string
const (
	WordPlacement = "placement"
	WordBenders   = "benders"
	WordContact   = "contact"
	WordScoop     = "scoop"
	WordScoopFret = "scoop-frets"
	WordNode      = "node"
	WordDamp      = "damp"
	WordCarry     = "carry"
	WordGrace     = "grace"
	WordChop      = "chop"
)

// placementWords name the kinds of placement, in the order of steel.Kind.
var placementWords = [...]string{"lifted", "straight", "forward", "reverse", "split", "nose"}

// FormatPlacement returns "placement forward 1@6 3@5".
func FormatPlacement(p steel.Placement) string {
	return fmt.Sprintf("%s %s %d@%s %d@%s", WordPlacement, placementWords[p.Kind], p.First, FormatNumber(p.FirstFret), p.Last, FormatNumber(p.LastFret))
}

// FormatNumber writes a float so that reading it gives the same float.
func FormatNumber(f float64) string { return strconv.FormatFloat(f, 'f', -1, 64) }

// ParsePlacement reads what FormatPlacement wrote, without the first word.
func ParsePlacement(words []string) (steel.Placement, bool) {
	var p steel.Placement
	if len(words) != 3 {
		return p, false
	}
	found := false
	for i, w := range placementWords {
		if w == words[0] {
			p.Kind, found = steel.Kind(i), true
		}
	}
	var ok1, ok2 bool
	p.First, p.FirstFret, ok1 = parseSpot(words[1])
	p.Last, p.LastFret, ok2 = parseSpot(words[2])
	return p, found && ok1 && ok2
}

// parseSpot reads "1@5.5".
func parseSpot(s string) (int8, float64, bool) {
	a, b, ok := strings.Cut(s, "@")
	n, err := strconv.Atoi(a)
	f, ok2 := ParseFret(b)
	return int8(n), f, ok && err == nil && ok2 && n >= 0 && n <= rig.MaxStrings
}

// ParseFret reads a fret position: a plain decimal, not below 0 nor above 48.
func ParseFret(s string) (float64, bool) {
	f, err := strconv.ParseFloat(s, 64)
	return f, err == nil && f >= 0 && f <= 48
}

// FormatBenders returns "benders A B", or "" when none is engaged.
func FormatBenders(r *rig.Rig, set rig.BenderSet) string {
	s := ""
	for i, b := range r.Benders {
		if set.Has(i) {
			s += " " + b.Mark
		}
	}
	if s == "" {
		return ""
	}
	return WordBenders + s
}

// MarkElement says how a mark is written: the element that holds it and its
// own name; text is the content, for other-ornament.
type MarkElement struct{ Holder, Name, Text string }

// MarkElements are the marks in the order of tune.Mark. ABC's mordent is the
// one with the stroke, as MusicXML's is.
var MarkElements = map[tune.Mark]MarkElement{
	tune.Staccato:        {"articulations", "staccato", ""},
	tune.Tenuto:          {"articulations", "tenuto", ""},
	tune.Accent:          {"articulations", "accent", ""},
	tune.StrongAccent:    {"articulations", "strong-accent", ""},
	tune.Fermata:         {"", "fermata", ""},
	tune.Trill:           {"ornaments", "trill-mark", ""},
	tune.Turn:            {"ornaments", "turn", ""},
	tune.Mordent:         {"ornaments", "mordent", ""},
	tune.InvertedMordent: {"ornaments", "inverted-mordent", ""},
	tune.UpBow:           {"technical", "up-bow", ""},
	tune.DownBow:         {"technical", "down-bow", ""},
	tune.Arpeggio:        {"", "arpeggiate", ""},
	tune.Roll:            {"ornaments", "other-ornament", "roll"},
	tune.Breath:          {"articulations", "breath-mark", ""},
}

// SignElement is how a navigation mark is written: the words printed unless it
// has its own, and the attribute of the sound element that makes it act.
type SignElement struct{ Words, Attr, Value string }

var SignElements = map[tune.SignKind]SignElement{
	tune.Segno:          {"", "segno", "segno"},
	tune.Coda:           {"", "coda", "coda"},
	tune.ToCoda:         {"To Coda", "tocoda", "coda"},
	tune.Fine:           {"Fine", "fine", "yes"},
	tune.DaCapo:         {"D.C.", "dacapo", "yes"},
	tune.DalSegno:       {"D.S.", "dalsegno", "segno"},
	tune.DaCapoAlFine:   {"D.C. al Fine", "dacapo", "yes"},
	tune.DalSegnoAlFine: {"D.S. al Fine", "dalsegno", "segno"},
	tune.DaCapoAlCoda:   {"D.C. al Coda", "dacapo", "yes"},
	tune.DalSegnoAlCoda: {"D.S. al Coda", "dalsegno", "segno"},
}

// TypeNames are the note types from the longest, which is Log2 = −3.
var TypeNames = [...]string{"maxima", "long", "breve", "whole", "half", "quarter", "eighth", "16th", "32nd", "64th", "128th", "256th", "512th", "1024th"}

const FirstTypeLog2 = -3

// BarlineStyles are the bar-style values in the order of tune.BarlineStyle.
var BarlineStyles = [...]string{"regular", "light-light", "light-heavy", "heavy-light", "dotted", "none"}

// AccidentalNames are the accidental values by alteration, from −2.
var AccidentalNames = [...]string{"flat-flat", "flat", "natural", "sharp", "double-sharp"}

// FieldOf is the name of a field that belongs to one part of several, counted from 1:
// the first has the plain name.
func FieldOf(part int, name string) string {
	if part == 1 {
		return name
	}
	return "part " + strconv.Itoa(part) + ": " + name
}

// Field names of what MusicXML has no place for, in miscellaneous.
const (
	FieldOrigin     = "origin"
	FieldRhythm     = "rhythm"
	FieldNote       = "note"
	FieldWords      = "words"
	FieldPartOrder  = "part order"
	FieldIndex      = "index"
	FieldVoice      = "voice " // and its number: the voice's ID
	FieldVoiceName  = "voice name "
	FieldRig        = "rig"
	FieldTransposed = "transposed"
	FieldAdded      = "added"    // tab.Added.Text, with "; " between
	FieldLeftOut    = "left out" // tab.LeftOut.Text, with "; " between
)
