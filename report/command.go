package report

import (
	"math"
	"strings"

	"lapwright/sheet"
	"lapwright/sound"
	"lapwright/sound/loudness"
	"lapwright/tab"
)

// The forms in this file are the answers to one command each.

// CheckedFile is what is in a file of music.
type CheckedFile struct {
	File     string        `json:"file"`
	Format   string        `json:"format"`
	Warnings []Fault       `json:"warnings"` // what was not kept in reading the file
	Tunes    []CheckedTune `json:"tunes"`
}

// CheckedTune is one piece of music in a file.
type CheckedTune struct {
	Number      int                `json:"number"`
	Title       string             `json:"title"`
	Part        string             `json:"part,omitempty"`
	About       []string           `json:"about"`
	Bars        int                `json:"bars"`
	Played      int                `json:"played"` // bars with repeats
	Notes       int                `json:"notes"`
	Voices      int                `json:"voices"`
	Key         string             `json:"key"`
	Meter       string             `json:"meter"`
	Seconds     float64            `json:"seconds"`
	Lowest      string             `json:"lowest,omitempty"`
	Highest     string             `json:"highest,omitempty"`
	Chords      int                `json:"chords"`
	Lyrics      bool               `json:"lyrics"`
	Rig         string             `json:"rig,omitempty"`
	Compromises int                `json:"compromises"`
	Warnings    []Fault            `json:"warnings"`
	Lost        map[string][]Fault `json:"lost"` // by the format it would be written in
}

// Lasts says how many seconds the tune lasts, with its repeats.
func (t *CheckedTune) Lasts(s float64) { t.Seconds = seconds(s) }

// Sheet is what was printed.
type Sheet struct {
	Files       []string    `json:"files"`
	Pages       int         `json:"pages"`
	Lines       []SheetLine `json:"lines"`
	Compromises int         `json:"compromises"`
	Unprinted   []string    `json:"unprinted"` // texts with letters that no built-in font has
}

// KeyBooklet is what was drawn of an instrument and a key.
type KeyBooklet struct {
	Files []string `json:"files"`
	Rig   string   `json:"rig"`
	Key   string   `json:"key"`
	Pages int      `json:"pages"`
	Parts []string `json:"parts"` // the headings, in order
}

// SheetLine is how one line of music was filled.
type SheetLine struct {
	Bars    int     `json:"bars"`
	Ratio   float64 `json:"ratio"`
	Badness float64 `json:"badness"`
}

// SheetLines returns the forms of lines.
func SheetLines(b sheet.Breaks) []SheetLine {
	out := []SheetLine{}
	for _, l := range b.Lines {
		out = append(out, SheetLine{l.Bars, share(l.Ratio), share(l.Badness)})
	}
	return out
}

// Heard is a recording that was made.
type Heard struct {
	File    string  `json:"file"`
	Rig     string  `json:"rig"`
	Seconds float64 `json:"seconds"`
	CountIn float64 `json:"countIn"` // seconds
	// Loudness in LUFS and TruePeak in dBTP; null for silence, which has neither.
	Loudness    *float64 `json:"loudness"`
	TruePeak    *float64 `json:"truePeak"`
	Compromises int      `json:"compromises"`
	// Feel is what the band plays, "" without one; GuessedChords are those it plays where the tune has no symbols.
	Feel          string `json:"feel,omitempty"`
	GuessedChords string `json:"guessedChords,omitempty"`
}

// NewHeard returns the form of a recording of t, of so many samples, with its levels.
func NewHeard(file string, t *tab.Tab, samples int, m *loudness.Meter, countIn float64) Heard {
	return Heard{
		File: file, Rig: t.Rig.Name, Seconds: moment(float64(samples) / sound.Rate), CountIn: moment(countIn), Compromises: len(t.Compromises),
		Loudness: level(m.Loudness()), TruePeak: level(m.TruePeak()),
	}
}

// level returns a level in decibels; nil for that of silence.
func level(db float64) *float64 {
	if math.IsInf(db, 0) {
		return nil
	}
	db = decibels(db)
	return &db
}

// Told is a tab in plain words, a line an entry.
type Told struct {
	Lines []string `json:"lines"`
}

// Restored is a studio that was put back.
type Restored struct {
	From  string `json:"from"`
	Data  string `json:"data"`
	Items int    `json:"items"`
	Aside string `json:"aside,omitempty"` // where what was there is kept
}

// Imported says what came of a studio's archive.
type Imported struct {
	Added   int `json:"added"`
	Beside  int `json:"beside"` // added beside ones that differ here
	Present int `json:"present"`
}

// Lesson is a lesson in figures, as its folder keeps it.
type Lesson struct {
	Format  string    `json:"format"`
	Version int       `json:"version"`
	Title   string    `json:"title"`
	Parts   []Summary `json:"parts"`
	// Frame is what stands around the tune.
	Frame []FramePart `json:"frame,omitempty"`
	// Missing are the rigs that could not be made while others could.
	Missing []Missing `json:"missing,omitempty"`
	Files   []string  `json:"files"`
}

// Missing is a rig for which nothing could be made, and why.
type Missing struct {
	Rig   string `json:"rig"`
	Title string `json:"title"`
	Why   string `json:"why"`
}

// Line says it to who holds the lesson in their hands.
func (m Missing) Line() string {
	return m.Title + " is missing: " + strings.TrimSuffix(m.Why, ".") + "."
}
