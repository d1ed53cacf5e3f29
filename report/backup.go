package report

import (
	"lapwright/arrange/accompany"
	"lapwright/feel"
	"lapwright/grip"
)

// Backup is a part that accompanies.
type Backup struct {
	Arrangement
	Feel   string        `json:"feel"`
	Swing  string        `json:"swing"`
	Chords []BackupChord `json:"chords"`
	Frame  []FramePart   `json:"frame,omitempty"`
	Unread []UnreadChord `json:"unread"` // symbols that were passed over
}

// BackupChord is one chord of it.
type BackupChord struct {
	Bar     int          `json:"bar"`
	At      string       `json:"at"`
	Written string       `json:"written"`
	Played  string       `json:"played"`
	Number  string       `json:"number"` // against the tonic of the tune
	Grip    []BackupNote `json:"grip"`
	Second  []BackupNote `json:"second"` // the grip of its second half, empty where it is the same
	Bass    *BackupNote  `json:"bass,omitempty"`
	Missing []string     `json:"missing"` // third or seventh that nothing sounds
}

// BackupNote is one string of a grip.
type BackupNote struct {
	String int     `json:"string"`
	Fret   float64 `json:"fret"`
	Sounds string  `json:"sounds"`
}

// UnreadChord is a chord symbol that is none.
type UnreadChord struct {
	Bar  int    `json:"bar"`
	At   string `json:"at"`
	Text string `json:"text"`
}

// BackupOf gives a part that accompanies.
func BackupOf(r *accompany.Result) Backup {
	out := Backup{Arrangement: ArrangementOf(r.Result), Feel: r.Feel.Name, Swing: r.Feel.Swing.Words(), Chords: []BackupChord{}, Unread: []UnreadChord{}}
	tonic := r.Tab.Tune.Bars[0].Key.Tonic
	for _, c := range r.Chords {
		b := BackupChord{Bar: c.BarNumber, At: c.At.String(), Written: c.Written.String(), Played: c.Played.String(), Number: c.Played.Degree(tonic),
			Grip: backupNotes(c.Grip), Second: backupNotes(c.Second), Missing: list(c.Missing)}
		if c.Bass != nil {
			b.Bass = &backupNotes([]grip.Sounded{*c.Bass})[0]
		}
		out.Chords = append(out.Chords, b)
	}
	for _, u := range r.Unread {
		out.Unread = append(out.Unread, UnreadChord{u.BarNumber, u.At.String(), u.Text})
	}
	return out
}

func backupNotes(notes []grip.Sounded) []BackupNote {
	out := []BackupNote{}
	for _, n := range notes {
		out = append(out, BackupNote{n.String, fret(n.Fret), n.Name.String()})
	}
	return out
}

// Feel is one way to accompany.
type Feel struct {
	Name    string   `json:"name"`
	Words   string   `json:"words"`
	Suits   string   `json:"suits"`
	Swing   string   `json:"swing"`
	Colours string   `json:"chords"`
	Meters  []string `json:"meters"`
}

// Feels lists all of them.
func Feels() []Feel {
	out := []Feel{}
	for _, f := range feel.All() {
		out = append(out, Feel{f.Name, f.Words, f.Suits, f.Swing.Words(), f.Colour.String(), f.Meters()})
	}
	return out
}
