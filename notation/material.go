package notation

import (
	"archive/zip"
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"math"
	"path"
	"slices"
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/notation/abc"
	"lapwright/notation/chart"
	"lapwright/notation/midi"
	"lapwright/notation/musicxml"
	"lapwright/notation/tabtext"
	"lapwright/rig"
	"lapwright/tab"
	"lapwright/tune"
)

// Format is one way to keep music in a file.
type Format string

// The formats, by the names they have on the command line.
const (
	ABC        Format = "abc"
	MusicXML   Format = "musicxml"
	Compressed Format = "mxl" // MusicXML in a zip file
	MIDI       Format = "midi"
	TabText    Format = "text"
	Chart      Format = "chart" // chord names or numbers, bar by bar
)

// Formats lists all formats.
var Formats = []Format{ABC, MusicXML, Compressed, MIDI, TabText, Chart}

// byEnding returns the format of a file's ending.
var byEnding = map[string]Format{
	".abc": ABC, ".musicxml": MusicXML, ".xml": MusicXML, ".mxl": Compressed,
	".mid": MIDI, ".midi": MIDI, ".txt": TabText, ".tab": TabText, ".chart": Chart,
}

// FormatOf tells a format by a file's ending.
func FormatOf(file string) (Format, bool) {
	f, ok := byEnding[strings.ToLower(path.Ext(file))]
	return f, ok
}

// ParseFormat reads the name of a format.
func ParseFormat(s string) (Format, error) {
	for _, f := range Formats {
		if string(f) == s {
			return f, nil
		}
	}
	return "", fmt.Errorf("there is no format %q; there are abc, musicxml, mxl, midi, text and chart", s)
}

// Sniff tells a format by what is in a file, for a file whose ending says
// nothing: tab text is what is left.
func Sniff(src []byte) Format {
	head := bytes.TrimLeft(bytes.TrimPrefix(src[:min(len(src), 4096)], []byte("\xef\xbb\xbf")), " \t\r\n")
	switch {
	case bytes.HasPrefix(src, []byte("MThd")) || bytes.HasPrefix(src, []byte("RIFF")):
		return MIDI
	case bytes.HasPrefix(src, []byte("PK\x03\x04")):
		return Compressed
	case bytes.HasPrefix(head, []byte("<")) || bytes.HasPrefix(src, []byte("\xff\xfe")) || bytes.HasPrefix(src, []byte("\xfe\xff")):
		return MusicXML
	case bytes.HasPrefix(head, []byte("X:")) || bytes.HasPrefix(head, []byte("%abc")) || bytes.Contains(head, []byte("\nX:")):
		return ABC
	case charted(head):
		return Chart
	}
	return TabText
}

// charted reports whether a text begins as a chart of chords does: with one of its
// fields.
func charted(head []byte) bool {
	for _, name := range []string{"title:", "kind:", "key:", "meter:", "tempo:"} {
		if len(head) >= len(name) && strings.EqualFold(string(head[:len(name)]), name) {
			return true
		}
	}
	return false
}

// Options says how a file is opened.
type Options struct {
	Format Format // "" tells it by the ending, else by the content
	Part   string // of MusicXML: id, name or number; of MIDI: the track's number or name, or "1:4" for a channel of it; "" chooses
	Rig    *rig.Rig
	Grid   int // of MIDI, see midi.Options
}

// Item is one piece of music in a file.
type Item struct {
	Name  string // of the part or track it is from; may be empty
	Tune  *tune.Tune
	Tab   *tab.Tab   // when the file says how it is played; its Tune is the same
	About []string   // what was decided on the way
	Lost  fault.List // what belongs to this item alone and was not kept
	// From and To are its first and last line in the file, counted from 1; both
	// 0 when the file does not keep its items apart by lines.
	From, To int
}

// Material is a file's music.
type Material struct {
	Format   Format
	Items    []Item
	Warnings fault.List // what was guessed, changed or left out, with places
}

// Open reads everything in a file. Tab text needs a rig: the one wished for or
// the one it names. MusicXML with strings and frets becomes a tab on the rig
// wished for or on the built-in one with its tuning; when there is none it
// stays a tune, with a warning.
func Open(src []byte, file string, w Options) (*Material, error) {
	f := w.Format
	if f == "" {
		var ok bool
		if f, ok = FormatOf(file); !ok {
			f = Sniff(src)
		}
	}
	m := &Material{Format: f}
	var err error
	switch f {
	case ABC:
		err = m.openABC(src, file)
	case MusicXML, Compressed:
		err = m.openScore(src, file, w)
	case MIDI:
		err = m.openMIDI(src, file, w)
	case Chart:
		var t *tune.Tune
		if t, err = chart.Read(src, file); err == nil {
			m.Items = []Item{{Tune: t}}
		}
	default:
		err = m.openText(src, file, w)
	}
	if err != nil {
		return nil, err
	}
	if len(m.Items) == 0 {
		return nil, &fault.Fault{File: file, Msg: "there is no music in it"}
	}
	for i := range m.Items {
		if t := m.Items[i].Tune; t.Index == 0 {
			t.Index = i + 1
		}
	}
	return m, nil
}

func (m *Material) openABC(src []byte, file string) error {
	tunes, warnings, err := abc.Read(src, file)
	if err != nil {
		return err
	}
	m.Warnings = warnings
	_, starts := parts(string(src))
	for i, t := range tunes {
		it := Item{Tune: t}
		// Where a tune was left out, which lines are whose is not known.
		if len(starts) == len(tunes) {
			it.From, it.To = starts[i], math.MaxInt
			if i > 0 {
				m.Items[i-1].To = starts[i] - 1
			}
		}
		m.Items = append(m.Items, it)
	}
	return nil
}

// WarningsOf lists the file's warnings but for those on the lines of other
// items than the i-th, counted from 0. What is said of one item alone is in
// its Lost.
func (m *Material) WarningsOf(i int) fault.List {
	var out fault.List
	for _, w := range m.Warnings {
		other := slices.IndexFunc(m.Items, func(it Item) bool { return w.Line > 0 && it.From <= w.Line && w.Line <= it.To })
		if other < 0 || other == i {
			out = append(out, w)
		}
	}
	return out
}

func (m *Material) openScore(src []byte, file string, w Options) error {
	s, err := musicxml.Read(src, file)
	if err != nil {
		return err
	}
	m.Warnings = s.Warnings
	parts := s.Parts
	if w.Part != "" {
		p, err := s.Part(w.Part)
		if err != nil {
			return err
		}
		parts = []*musicxml.Part{p}
	}
	for _, p := range parts {
		if p.Notes == 0 && w.Part == "" && len(parts) > 1 {
			m.Warnings.Add(&fault.Fault{File: file, Msg: fmt.Sprintf("part %q has no pitched notes and is left out", cmp.Or(p.Name, p.ID))})
			continue
		}
		it := Item{Name: cmp.Or(p.Name, p.ID), Tune: p.Tune}
		if len(p.Fingers) > 0 {
			t, lost, err := p.Tab(w.Rig)
			switch {
			case err == nil:
				it.Tab, it.Lost = t, lost
				it.About = append(it.About, "with strings and frets, on the rig "+t.Rig.Name)
			case w.Rig != nil:
				return err
			default:
				lost := fault.Fault{File: file, Msg: "strings and frets are left out: " + err.Error()}
				var f *fault.Fault
				if errors.As(err, &f) {
					lost.Hint = f.Hint
				}
				it.Lost.Add(&lost)
			}
		}
		m.Items = append(m.Items, it)
	}
	if len(m.Items) == 0 {
		return &fault.Fault{File: file, Msg: "no part has a pitched note"}
	}
	return nil
}

// movedShown is how many of the notes moved to a grid are named one by one.
const movedShown = 10

func (m *Material) openMIDI(src []byte, file string, w Options) error {
	f, err := midi.Read(src, file)
	if err != nil {
		return err
	}
	m.Warnings = f.Warnings
	var tracks []int
	channel := 0
	switch {
	case w.Part != "":
		n, c, err := midiPart(f, w.Part)
		if err != nil {
			return err
		}
		tracks, channel = []int{n}, c
	case f.Format == 2:
		for i := range f.Tracks {
			if len(f.Tracks[i].Notes) > 0 {
				tracks = append(tracks, i+1)
			}
		}
	default:
		tracks = []int{0}
	}
	for _, n := range tracks {
		im, err := f.Tune(midi.Options{Track: n, Channel: channel, Grid: w.Grid})
		if err != nil {
			return err
		}
		it := Item{Name: f.Tracks[im.Track-1].Name, Tune: im.Tune, Lost: im.Warnings}
		it.About = append(it.About, fmt.Sprintf("track %d, %s", im.Track, im.Why), "times "+im.Grid)
		if len(im.Moved) > 0 {
			it.About = append(it.About, fmt.Sprintf("%d of %d notes were moved", len(im.Moved), im.Notes))
			for i, x := range im.Moved {
				if i == movedShown {
					it.Lost.Add(&fault.Fault{File: file, Msg: fmt.Sprintf("%d more notes were moved to the grid", len(im.Moved)-movedShown)})
					break
				}
				it.Lost.Add(&fault.Fault{File: file, Bar: fmt.Sprint(x.BarNumber), Msg: fmt.Sprintf("the note at %s from the start was moved to the grid by %s, its end by %s", x.At, x.By, x.Ends)})
			}
		}
		m.Items = append(m.Items, it)
	}
	return nil
}

// midiPart finds the track that a user means by its number, its name, or both
// track and channel as "1:4"; channel 0 is all.
func midiPart(f *midi.File, part string) (track, channel int, err error) {
	for i := range f.Tracks {
		if strings.EqualFold(f.Tracks[i].Name, part) {
			return i + 1, 0, nil
		}
	}
	t, c, both := strings.Cut(part, ":")
	track, err = strconv.Atoi(t)
	if both && err == nil {
		channel, err = strconv.Atoi(c)
	}
	if err != nil || track < 1 || track > len(f.Tracks) || both && (channel < 1 || channel > 16) {
		return 0, 0, &fault.Fault{File: f.Name, Msg: fmt.Sprintf("there is no track %q", part), Hint: fmt.Sprintf("there are tracks 1 to %d; a channel of one is named as 1:4", len(f.Tracks))}
	}
	return track, channel, nil
}

func (m *Material) openText(src []byte, file string, w Options) error {
	r := w.Rig
	if r == nil {
		name, ok := NamedRig(src)
		if !ok {
			return &fault.Fault{File: file, Msg: "tab text is read for a rig, and none is named", Hint: "name the instrument with --rig"}
		}
		if r, ok = rig.Builtin(name); !ok {
			return &fault.Fault{File: file, Msg: fmt.Sprintf("the tab text is for the rig %q, which is not built in", name), Hint: "name its file with --rig"}
		}
	}
	t, warnings, err := ReadTab(src, file, r)
	if err != nil {
		return err
	}
	m.Warnings = warnings
	m.Items = []Item{{Tune: t.Tune, Tab: t, About: []string{"on the rig " + r.Name}}}
	return nil
}

// NamedRig finds the rig that our own tab text names at its head.
func NamedRig(src []byte) (string, bool) {
	if !tabtext.Is(src) {
		return "", false
	}
	for line := range strings.Lines(string(src[:min(len(src), 4096)])) {
		if name, ok := strings.CutPrefix(strings.TrimSpace(line), "rig:"); ok {
			return strings.TrimSpace(name), true
		}
	}
	return "", false
}

// Encode returns an item in a format, with what the format can't say. Tab text
// needs a tab; the others take the tune when there is none.
func Encode(f Format, it *Item) ([]byte, fault.List, error) {
	switch f {
	case ABC:
		b, lost := abc.Write(it.Tune)
		if it.Tab != nil {
			lost.Add(&fault.Fault{Msg: "strings, frets and bar positions have no place in ABC and are left out"})
		}
		return b, lost, nil
	case MusicXML, Compressed:
		lost := musicxml.Lost(it.Tune)
		var b []byte
		var err error
		if it.Tab != nil {
			b, err = musicxml.Write(it.Tab)
		} else {
			b, err = musicxml.WriteTune(it.Tune)
		}
		if err == nil && f == Compressed {
			b, err = compress(b)
		}
		return b, lost, err
	case MIDI:
		lost := midi.Lost(it.Tune)
		var b []byte
		var more fault.List
		var err error
		if it.Tab != nil {
			b, more, err = midi.Encode(it.Tab)
		} else {
			b, more, err = midi.EncodeTune(it.Tune)
		}
		return b, append(lost, more...), err
	}
	if f == Chart {
		lost := fault.List{}
		if slices.ContainsFunc(it.Tune.Bars, func(b tune.Bar) bool { return sounds(&b) }) {
			lost.Add(&fault.Fault{Msg: "the notes have no place in a chart and are left out"})
		}
		return chart.Write(it.Tune, false), lost, nil
	}
	if it.Tab == nil {
		return nil, nil, &fault.Fault{Msg: "a tune is no tab yet", Hint: "name a rig to place it on"}
	}
	return tabtext.Format(it.Tab), nil, nil
}

// sounds reports whether a bar has a note.
func sounds(b *tune.Bar) bool {
	for _, line := range b.Lines {
		for i := range line {
			if line[i].Kind == tune.Sounding {
				return true
			}
		}
	}
	return false
}

// compress packs a score as the compressed form of MusicXML: the first file
// tells the kind, the container names the score (MusicXML 4.0, "Compressed
// MusicXML files").
func compress(score []byte) ([]byte, error) {
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for i, f := range []struct {
		name string
		text []byte
	}{
		{"mimetype", []byte("application/vnd.recordare.musicxml")},
		{"META-INF/container.xml", []byte("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<container><rootfiles><rootfile full-path=\"score.musicxml\" media-type=\"application/vnd.recordare.musicxml+xml\"/></rootfiles></container>\n")},
		{"score.musicxml", score},
	} {
		h := &zip.FileHeader{Name: f.name, Method: zip.Deflate}
		if i == 0 {
			h.Method = zip.Store
		}
		w, err := z.CreateHeader(h)
		if err != nil {
			return nil, err
		}
		if _, err := w.Write(f.text); err != nil {
			return nil, err
		}
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

// EncodeTogether writes several tabs of the same bars as one score, which MusicXML alone
// has a place for, and lists what it has no place for in any of them.
func EncodeTogether(f Format, tabs []*tab.Tab) ([]byte, fault.List, error) {
	if f != MusicXML && f != Compressed {
		return nil, nil, &fault.Fault{Msg: "several instruments in one score have a place in MusicXML alone", Hint: "write .musicxml or .mxl"}
	}
	var lost fault.List
	for _, t := range tabs {
		lost = append(lost, musicxml.Lost(t.Tune)...)
	}
	b, err := musicxml.WriteTogether(tabs)
	if err == nil && f == Compressed {
		b, err = compress(b)
	}
	return b, lost, err
}
