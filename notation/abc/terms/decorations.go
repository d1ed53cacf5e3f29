package terms

import "lapwright/tune"

// Marks are the decorations that a tune keeps as marks.
var Marks = map[string]tune.Mark{
	"staccato": tune.Staccato, "tenuto": tune.Tenuto, "accent": tune.Accent, ">": tune.Accent, "emphasis": tune.Accent,
	"marcato": tune.StrongAccent, "^": tune.StrongAccent,
	"fermata": tune.Fermata, "invertedfermata": tune.Fermata, "trill": tune.Trill,
	"turn": tune.Turn, "mordent": tune.Mordent, "lowermordent": tune.Mordent,
	"uppermordent": tune.InvertedMordent, "pralltriller": tune.InvertedMordent,
	"upbow": tune.UpBow, "downbow": tune.DownBow, "arpeggio": tune.Arpeggio, "roll": tune.Roll, "breath": tune.Breath,
	"swell": tune.Swell, // ours
}

// MarkNames are the decorations that marks are written as.
var MarkNames = map[tune.Mark]string{
	tune.Tenuto: "tenuto", tune.Accent: "accent", tune.StrongAccent: "marcato", tune.Fermata: "fermata", tune.Trill: "trill", tune.Turn: "turn",
	tune.Mordent: "mordent", tune.InvertedMordent: "uppermordent", tune.UpBow: "upbow", tune.DownBow: "downbow", tune.Arpeggio: "arpeggio",
	tune.Roll: "roll", tune.Breath: "breath", tune.Swell: "swell",
}

// Signs are the decorations that say where to play on. Those of the form
// "D.C.alfine" are from the draft that follows 2.1; all readers pass over what
// they don't know.
var Signs = map[string]tune.SignKind{
	"segno": tune.Segno, "coda": tune.Coda, "dacoda": tune.ToCoda, "tocoda": tune.ToCoda, "fine": tune.Fine,
	"D.C.": tune.DaCapo, "dacapo": tune.DaCapo, "D.S.": tune.DalSegno, "dalsegno": tune.DalSegno,
	"D.C.alfine": tune.DaCapoAlFine, "D.S.alfine": tune.DalSegnoAlFine,
	"D.C.alcoda": tune.DaCapoAlCoda, "D.S.alcoda": tune.DalSegnoAlCoda,
}

// SignNames are the decorations that navigation marks are written as.
var SignNames = map[tune.SignKind]string{
	tune.Segno: "segno", tune.Coda: "coda", tune.ToCoda: "dacoda", tune.Fine: "fine", tune.DaCapo: "D.C.", tune.DalSegno: "D.S.",
	tune.DaCapoAlFine: "D.C.alfine", tune.DalSegnoAlFine: "D.S.alfine", tune.DaCapoAlCoda: "D.C.alcoda", tune.DalSegnoAlCoda: "D.S.alcoda",
}
