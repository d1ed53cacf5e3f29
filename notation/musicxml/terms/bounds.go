package terms

// The bounds on what is read, within which what is written keeps. They lie above any score and keep memory within
// 64 MB beyond the file's own size and time within seconds.
const (
	MaxBytes    = 64 << 20 // of a score, unpacked
	MaxDepth    = 64       // elements within elements
	MaxElements = 100_000  // in one measure or header, attributes counted in
	MaxToken    = 1 << 20  // bytes of one tag, text or comment
	MaxMeasures = 30_000   // over all parts
	MaxNotes    = 60_000
	MaxMarks    = 50_000  // directions and chord symbols
	MaxLines    = 100_000 // measures times voices, over all parts
	MaxCredits  = 100     // subtitles, remarks, lines of words: of each
	MaxParts    = 500
	MaxVoices   = 16     // of a part
	MaxEntries  = 10_000 // in a compressed file
)
