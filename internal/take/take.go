package take

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"lapwright/arrange"
	"lapwright/fault"
	"lapwright/internal/recording"
	"lapwright/notation/tabtext"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/tab"
)

// Version is the form that is read; MaxSeconds how long a take may be, wherever it is kept, and MaxName the bytes of a player's name.
const (
	Version    = 1
	MaxSeconds = 600
	MaxName    = 60
)

// The names of what such a file holds, and the most bytes of each.
const (
	aboutName = "take.json"
	soundName = "take.flac"
	maxAbout  = 128 << 10
	maxSound  = 128 << 20
)

// Suffix ends the name of such a file.
const Suffix = ".take.zip"

// Saved is what such a file holds.
type Saved struct {
	report.SavedTake
	File  string // as the user named it
	On    *rig.Rig
	FLAC  []byte
	Sound *recording.Recording
}

// Digest names what bytes hold: SHA-256, in hexadecimal.
func Digest(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

// OtherTab is the error for a saved take whose tab is not at hand; why says what was looked at.
func (s *Saved) OtherTab(why string) error {
	return &fault.Fault{File: s.File, Msg: "this take was played from a tab that isn't at hand: " + why, Hint: "it is reviewed where its lesson was made, or with the tune's file or tab as they were then"}
}

// From returns a tab that was read from a file when it is the one that was played.
func (s *Saved) From(t *tab.Tab, file string) (*tab.Tab, error) {
	if text := tabtext.Format(t); !s.Has(text) {
		return nil, s.OtherTab(fmt.Sprintf("its digest is %.12s, and that of %s is %.12s", s.Tab, file, Digest(text)))
	}
	return t, nil
}

// Has reports whether a tab's text is the one that was played.
func (s *Saved) Has(text []byte) bool { return Digest(text) == s.Tab }

// Is reports whether a file is a take by its name.
func Is(name string) bool { return strings.HasSuffix(strings.ToLower(name), Suffix) }

// Read reads such a file; name is for errors, which are faults.
func Read(b []byte, name string) (*Saved, error) {
	s, err := read(b)
	if err == nil {
		s.File = name
		return s, nil
	}
	return nil, &fault.Fault{File: name, Msg: strings.Join(strings.Fields(err.Error()), " ")}
}

func read(b []byte) (*Saved, error) {
	z, err := zip.NewReader(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		return nil, fmt.Errorf("this is no saved take: it is no whole ZIP archive")
	}
	var names []string
	for _, f := range z.File {
		names = append(names, f.Name)
	}
	slices.Sort(names)
	if !slices.Equal(names, []string{soundName, aboutName}) {
		return nil, fmt.Errorf("this is no saved take: such a file holds %s and %s and nothing else", aboutName, soundName)
	}
	about, err := unpack(z, aboutName, maxAbout)
	if err != nil {
		return nil, err
	}
	s := &Saved{}
	d := json.NewDecoder(bytes.NewReader(about))
	d.DisallowUnknownFields()
	if err := d.Decode(&s.SavedTake); err != nil {
		return nil, fmt.Errorf("%s: this can't be read: %w", aboutName, err)
	}
	if err := s.check(); err != nil {
		return nil, err
	}
	if s.FLAC, err = unpack(z, soundName, maxSound); err != nil {
		return nil, err
	}
	if err := soundFits(s.FLAC); err != nil {
		return nil, err
	}
	s.Sound, err = recording.Read(s.FLAC, soundName)
	return s, err
}

// unpack returns the bytes of one file of the archive, no more than are taken.
func unpack(z *zip.Reader, name string, most int64) ([]byte, error) {
	f, err := z.Open(name)
	if err == nil {
		defer f.Close()
		var b []byte
		if b, err = io.ReadAll(io.LimitReader(f, most+1)); err == nil {
			if int64(len(b)) > most {
				return nil, fmt.Errorf("%s: this is longer than the %d kB that are read", name, most>>10)
			}
			return b, nil
		}
	}
	return nil, fmt.Errorf("%s: this can't be unpacked; save the take again", name)
}

// check refuses what no page says of a take.
func (s *Saved) check() error {
	wrong := func(field, why string) error {
		return fmt.Errorf("%s, %s: %s", aboutName, field, why)
	}
	if s.Version != Version {
		return wrong("version", fmt.Sprintf("it is of form %d, and form %d is read here", s.Version, Version))
	}
	for _, d := range [][2]string{{"lesson", s.Lesson}, {"block", s.Block}, {"tab", s.Tab}} {
		if raw, err := hex.DecodeString(d[1]); err != nil || len(raw) != sha256.Size || d[1] != strings.ToLower(d[1]) {
			return wrong(d[0], "this is no digest: 64 hexadecimal digits in small letters")
		}
	}
	if _, err := arrange.ParseGrade(s.Grade); err != nil {
		return wrong("grade", err.Error())
	}
	if !slices.Contains([]string{"equal", "just", "between"}, s.Tuned) {
		return wrong("tuned", fmt.Sprintf("%q is no way to tune: equal, just or between", s.Tuned))
	}
	if s.Speed < 30 || s.Speed > 150 {
		return wrong("speed", fmt.Sprintf("\"%d\" is not from 30 to 150 per cent", s.Speed))
	}
	if b := s.Bars; b != nil && (b[0] < 0 || b[1] < b[0] || b[1] > 1e6) {
		return wrong("bars", fmt.Sprintf("\"%d\" to \"%d\" are no bars from one to a later one", b[0], b[1]))
	}
	if _, err := time.Parse(time.DateOnly, s.Day); err != nil {
		return wrong("day", fmt.Sprintf("%q is no day such as 2026-11-30", s.Day))
	}
	if len(s.Name) > MaxName || !utf8.ValidString(s.Name) || strings.ContainsFunc(s.Name, unicode.IsControl) {
		return wrong("name", fmt.Sprintf("a name of up to %d letters is taken", MaxName))
	}
	if err := s.Along.Check(); err != nil {
		return wrong("along", err.Error())
	}
	g, err := rig.Parse([]byte(s.Rig), aboutName+", rig")
	s.On = g
	return err
}

// soundFits reads how much a FLAC file says that it holds (RFC 9639, section 8.2) before it is unpacked.
func soundFits(b []byte) error {
	const infoAt, infoLen = 8, 34
	if len(b) < infoAt+infoLen || string(b[:4]) != "fLaC" || b[4]&0x7f != 0 {
		return fmt.Errorf("%s: this is no FLAC file", soundName)
	}
	info := b[infoAt:]
	rate := int(info[10])<<12 | int(info[11])<<4 | int(info[12])>>4
	channels := int(info[12]>>1&7) + 1
	samples := int64(info[13]&15)<<32 | int64(info[14])<<24 | int64(info[15])<<16 | int64(info[16])<<8 | int64(info[17])
	if channels != 1 {
		return fmt.Errorf("%s: it has \"%d\" channels, and a take has one", soundName, channels)
	}
	if samples == 0 || samples > MaxSeconds*int64(rate) {
		return fmt.Errorf("%s: it says it has \"%d\" samples at %d a second, and a take is up to %d minutes long", soundName, samples, rate, MaxSeconds/60)
	}
	return nil
}
