package draw

import (
	"maps"
	"slices"
)

// Symbol is a symbol of the music font by its place in the Standard Music Font
// Layout.
type Symbol rune

// The symbols a sheet uses, under their names in the Standard Music Font Layout.
const (
	// Noteheads.
	NoteheadDoubleWhole  Symbol = 0xE0A0
	NoteheadWhole        Symbol = 0xE0A2
	NoteheadHalf         Symbol = 0xE0A3
	NoteheadBlack        Symbol = 0xE0A4
	NoteheadXWhole       Symbol = 0xE0A7
	NoteheadXHalf        Symbol = 0xE0A8
	NoteheadXBlack       Symbol = 0xE0A9
	NoteheadDiamondBlack Symbol = 0xE0DB
	NoteheadDiamondHalf  Symbol = 0xE0D9
	NoteheadDiamondWhole Symbol = 0xE0D8

	// Flags.
	Flag8thUp      Symbol = 0xE240
	Flag8thDown    Symbol = 0xE241
	Flag16thUp     Symbol = 0xE242
	Flag16thDown   Symbol = 0xE243
	Flag32ndUp     Symbol = 0xE244
	Flag32ndDown   Symbol = 0xE245
	Flag64thUp     Symbol = 0xE246
	Flag64thDown   Symbol = 0xE247
	Flag128thUp    Symbol = 0xE248
	Flag128thDown  Symbol = 0xE249
	Flag256thUp    Symbol = 0xE24A
	Flag256thDown  Symbol = 0xE24B
	Flag512thUp    Symbol = 0xE24C
	Flag512thDown  Symbol = 0xE24D
	Flag1024thUp   Symbol = 0xE24E
	Flag1024thDown Symbol = 0xE24F

	// Rests.
	RestDoubleWhole Symbol = 0xE4E2
	RestWhole       Symbol = 0xE4E3
	RestHalf        Symbol = 0xE4E4
	RestQuarter     Symbol = 0xE4E5
	Rest8th         Symbol = 0xE4E6
	Rest16th        Symbol = 0xE4E7
	Rest32nd        Symbol = 0xE4E8
	Rest64th        Symbol = 0xE4E9
	Rest128th       Symbol = 0xE4EA
	Rest256th       Symbol = 0xE4EB
	Rest512th       Symbol = 0xE4EC
	Rest1024th      Symbol = 0xE4ED

	// Accidentals.
	AccidentalFlat        Symbol = 0xE260
	AccidentalNatural     Symbol = 0xE261
	AccidentalSharp       Symbol = 0xE262
	AccidentalDoubleSharp Symbol = 0xE263
	AccidentalDoubleFlat  Symbol = 0xE264
	AccidentalParensLeft  Symbol = 0xE26A
	AccidentalParensRight Symbol = 0xE26B

	// Dots.
	AugmentationDot Symbol = 0xE1E7
	RepeatDot       Symbol = 0xE044

	// Clefs.
	GClef    Symbol = 0xE050
	GClef8vb Symbol = 0xE052
	TabClef6 Symbol = 0xE06D

	// Time signatures.
	TimeSig0         Symbol = 0xE080
	TimeSig1         Symbol = 0xE081
	TimeSig2         Symbol = 0xE082
	TimeSig3         Symbol = 0xE083
	TimeSig4         Symbol = 0xE084
	TimeSig5         Symbol = 0xE085
	TimeSig6         Symbol = 0xE086
	TimeSig7         Symbol = 0xE087
	TimeSig8         Symbol = 0xE088
	TimeSig9         Symbol = 0xE089
	TimeSigCommon    Symbol = 0xE08A
	TimeSigCutCommon Symbol = 0xE08B
	TimeSigPlusSmall Symbol = 0xE08D

	// Navigation.
	Segno Symbol = 0xE047
	Coda  Symbol = 0xE048

	// Articulations and ornaments.
	ArticStaccatoAbove Symbol = 0xE4A2
	ArticStaccatoBelow Symbol = 0xE4A3
	ArticTenutoAbove   Symbol = 0xE4A4
	ArticTenutoBelow   Symbol = 0xE4A5
	ArticAccentAbove   Symbol = 0xE4A0
	ArticAccentBelow   Symbol = 0xE4A1
	ArticMarcatoAbove  Symbol = 0xE4AC
	FermataAbove       Symbol = 0xE4C0
	FermataBelow       Symbol = 0xE4C1
	OrnamentTrill      Symbol = 0xE566
	OrnamentTurn       Symbol = 0xE567
	OrnamentMordent    Symbol = 0xE56D
	OrnamentShortTrill Symbol = 0xE56C
	StringsUpBow       Symbol = 0xE612
	StringsDownBow     Symbol = 0xE610
	BreathMarkComma    Symbol = 0xE4CE
	CrescendoHairpin   Symbol = 0xE53E

	// Wiggles.
	WiggleVibrato Symbol = 0xEAB0

	// Tuplet numbers.
	Tuplet0 Symbol = 0xE880
	Tuplet1 Symbol = 0xE881
	Tuplet2 Symbol = 0xE882
	Tuplet3 Symbol = 0xE883
	Tuplet4 Symbol = 0xE884
	Tuplet5 Symbol = 0xE885
	Tuplet6 Symbol = 0xE886
	Tuplet7 Symbol = 0xE887
	Tuplet8 Symbol = 0xE888
	Tuplet9 Symbol = 0xE889

	// Notes in a tempo.
	MetNoteDoubleWhole Symbol = 0xECA0
	MetNoteWhole       Symbol = 0xECA2
	MetNoteHalfUp      Symbol = 0xECA3
	MetNoteQuarterUp   Symbol = 0xECA5
	MetNote8thUp       Symbol = 0xECA7
	MetNote16thUp      Symbol = 0xECA9
	MetNote32ndUp      Symbol = 0xECAB
	MetAugmentationDot Symbol = 0xECB7
)

// symbolNames gives every symbol its name in the layout.
var symbolNames = map[Symbol]string{
	NoteheadDoubleWhole:   "noteheadDoubleWhole",
	NoteheadWhole:         "noteheadWhole",
	NoteheadHalf:          "noteheadHalf",
	NoteheadBlack:         "noteheadBlack",
	NoteheadXWhole:        "noteheadXWhole",
	NoteheadXHalf:         "noteheadXHalf",
	NoteheadXBlack:        "noteheadXBlack",
	NoteheadDiamondBlack:  "noteheadDiamondBlack",
	NoteheadDiamondHalf:   "noteheadDiamondHalf",
	NoteheadDiamondWhole:  "noteheadDiamondWhole",
	Flag8thUp:             "flag8thUp",
	Flag8thDown:           "flag8thDown",
	Flag16thUp:            "flag16thUp",
	Flag16thDown:          "flag16thDown",
	Flag32ndUp:            "flag32ndUp",
	Flag32ndDown:          "flag32ndDown",
	Flag64thUp:            "flag64thUp",
	Flag64thDown:          "flag64thDown",
	Flag128thUp:           "flag128thUp",
	Flag128thDown:         "flag128thDown",
	Flag256thUp:           "flag256thUp",
	Flag256thDown:         "flag256thDown",
	Flag512thUp:           "flag512thUp",
	Flag512thDown:         "flag512thDown",
	Flag1024thUp:          "flag1024thUp",
	Flag1024thDown:        "flag1024thDown",
	RestDoubleWhole:       "restDoubleWhole",
	RestWhole:             "restWhole",
	RestHalf:              "restHalf",
	RestQuarter:           "restQuarter",
	Rest8th:               "rest8th",
	Rest16th:              "rest16th",
	Rest32nd:              "rest32nd",
	Rest64th:              "rest64th",
	Rest128th:             "rest128th",
	Rest256th:             "rest256th",
	Rest512th:             "rest512th",
	Rest1024th:            "rest1024th",
	AccidentalFlat:        "accidentalFlat",
	AccidentalNatural:     "accidentalNatural",
	AccidentalSharp:       "accidentalSharp",
	AccidentalDoubleSharp: "accidentalDoubleSharp",
	AccidentalDoubleFlat:  "accidentalDoubleFlat",
	AccidentalParensLeft:  "accidentalParensLeft",
	AccidentalParensRight: "accidentalParensRight",
	AugmentationDot:       "augmentationDot",
	RepeatDot:             "repeatDot",
	GClef:                 "gClef",
	GClef8vb:              "gClef8vb",
	TabClef6:              "6stringTabClef",
	TimeSig0:              "timeSig0",
	TimeSig1:              "timeSig1",
	TimeSig2:              "timeSig2",
	TimeSig3:              "timeSig3",
	TimeSig4:              "timeSig4",
	TimeSig5:              "timeSig5",
	TimeSig6:              "timeSig6",
	TimeSig7:              "timeSig7",
	TimeSig8:              "timeSig8",
	TimeSig9:              "timeSig9",
	TimeSigCommon:         "timeSigCommon",
	TimeSigCutCommon:      "timeSigCutCommon",
	TimeSigPlusSmall:      "timeSigPlusSmall",
	Segno:                 "segno",
	Coda:                  "coda",
	ArticStaccatoAbove:    "articStaccatoAbove",
	ArticStaccatoBelow:    "articStaccatoBelow",
	ArticTenutoAbove:      "articTenutoAbove",
	ArticTenutoBelow:      "articTenutoBelow",
	ArticAccentAbove:      "articAccentAbove",
	ArticAccentBelow:      "articAccentBelow",
	ArticMarcatoAbove:     "articMarcatoAbove",
	FermataAbove:          "fermataAbove",
	FermataBelow:          "fermataBelow",
	OrnamentTrill:         "ornamentTrill",
	OrnamentTurn:          "ornamentTurn",
	OrnamentMordent:       "ornamentMordent",
	OrnamentShortTrill:    "ornamentShortTrill",
	StringsUpBow:          "stringsUpBow",
	StringsDownBow:        "stringsDownBow",
	BreathMarkComma:       "breathMarkComma",
	CrescendoHairpin:      "dynamicCrescendoHairpin",
	WiggleVibrato:         "wiggleVibrato",
	Tuplet0:               "tuplet0",
	Tuplet1:               "tuplet1",
	Tuplet2:               "tuplet2",
	Tuplet3:               "tuplet3",
	Tuplet4:               "tuplet4",
	Tuplet5:               "tuplet5",
	Tuplet6:               "tuplet6",
	Tuplet7:               "tuplet7",
	Tuplet8:               "tuplet8",
	Tuplet9:               "tuplet9",
	MetNoteDoubleWhole:    "metNoteDoubleWhole",
	MetNoteWhole:          "metNoteWhole",
	MetNoteHalfUp:         "metNoteHalfUp",
	MetNoteQuarterUp:      "metNoteQuarterUp",
	MetNote8thUp:          "metNote8thUp",
	MetNote16thUp:         "metNote16thUp",
	MetNote32ndUp:         "metNote32ndUp",
	MetAugmentationDot:    "metAugmentationDot",
}

// String returns the symbol's name in the Standard Music Font Layout, or "" for
// one that is not in the list above.
func (s Symbol) String() string { return symbolNames[s] }

// Symbols lists every symbol that is in use, by place in the font.
func Symbols() []Symbol { return slices.Sorted(maps.Keys(symbolNames)) }

// Known reports whether the tables have the symbol.
func (s Symbol) Known() bool { return outline(s) != nil }

// Box returns the symbol's bounds in staff spaces, y down from its origin. It is
// empty for a symbol that the font lacks.
func (s Symbol) Box() Rect {
	if o := outline(s); o != nil {
		return o.box
	}
	return Rect{}
}

// Advance returns how far the next symbol of a row stands from this one, in
// staff spaces.
func (s Symbol) Advance() float64 {
	if o := outline(s); o != nil {
		return o.advance
	}
	return 0
}

// Engraving holds the music font's recommended measures in staff spaces
// (engravingDefaults of its metadata, version 1.392).
var Engraving = struct {
	StaffLine, Stem, LegerLine, LegerExtension float64
	Beam, BeamGap                              float64
	SlurEnd, SlurMiddle, TieEnd, TieMiddle     float64
	ThinBarline, ThickBarline, BarlineGap      float64
	RepeatDotGap                               float64
	EndingLine, TupletBracket, LyricLine       float64
}{
	StaffLine: 0.13, Stem: 0.12, LegerLine: 0.16, LegerExtension: 0.4,
	Beam: 0.5, BeamGap: 0.25,
	SlurEnd: 0.1, SlurMiddle: 0.22, TieEnd: 0.1, TieMiddle: 0.22,
	ThinBarline: 0.16, ThickBarline: 0.5, BarlineGap: 0.4,
	RepeatDotGap: 0.16,
	EndingLine:   0.16, TupletBracket: 0.16, LyricLine: 0.16,
}

// StemUp and StemDown give where a stem meets a notehead, in staff spaces from
// the notehead's origin, y down: the lower right edge of the stem when it goes
// up, the upper left when it goes down (stemUpSE and stemDownNW of the font's
// metadata).
func (s Symbol) StemUp() Point {
	if p, ok := stemAnchors[s]; ok {
		return p[0]
	}
	return Point{s.Box().X1, 0}
}

// StemDown is described with StemUp.
func (s Symbol) StemDown() Point {
	if p, ok := stemAnchors[s]; ok {
		return p[1]
	}
	return Point{0, 0}
}

var stemAnchors = map[Symbol][2]Point{
	NoteheadBlack:        {{1.18, -0.168}, {0, 0.168}},
	NoteheadHalf:         {{1.18, -0.168}, {0, 0.168}},
	NoteheadXHalf:        {{1.336, -0.412}, {0, 0.412}},
	NoteheadXBlack:       {{1.16, -0.444}, {0, 0.44}},
	NoteheadDiamondBlack: {{1, 0}, {0, 0}},
	NoteheadDiamondHalf:  {{1.004, 0}, {0, 0}},
}

// FlagAnchor returns where on a flag the end of the stem lies, in staff spaces
// from the flag's origin, y down (stemUpNW and stemDownSW of the metadata).
func (s Symbol) FlagAnchor() Point { return Point{0, flagAnchors[s]} }

var flagAnchors = map[Symbol]float64{
	Flag8thUp: 0.04, Flag8thDown: -0.132, Flag16thUp: 0.088, Flag16thDown: -0.128,
	Flag32ndUp: -0.376, Flag32ndDown: 0.448, Flag64thUp: -1.172, Flag64thDown: 1.244,
	Flag128thUp: -1.9, Flag128thDown: 2.076, Flag256thUp: -2.592, Flag256thDown: 2.812,
	Flag512thUp: -3.324, Flag512thDown: 3.608, Flag1024thUp: -4.064, Flag1024thDown: 4.684,
}
