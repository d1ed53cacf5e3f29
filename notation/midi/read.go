package midi

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"lapwright/fault"
)

// The bounds on what is read. They lie far above any piece of music and keep
// memory under 64 MB beyond the file's own.
const (
	MaxBytes  = 1 << 30
	MaxTracks = 1000
	MaxEvents = 500_000 // notes, bends, tempos and the like
	MaxBends  = 1_000_000
	MaxHeard  = 200_000 // pitches, those that a note comes to by bends counted in
	MaxTicks  = 1 << 40
)

// maxAtOnce bounds the notes sounding on one channel; it has 128 keys.
const maxAtOnce = 200

// event is one event that matters, in a flat list over all tracks.
type event struct {
	at     int64
	off    uint32 // in the bytes read
	track  uint16
	status byte // channel messages; metas are dealt with where they stand
	a, b   byte
}

// reader walks the bytes.
type reader struct {
	b      []byte
	file   *File
	base   int64 // offset of b in the user's file
	events []event
}

// Read takes a Standard MIDI File apart: types 0, 1 and 2, running status,
// quarter-note and SMPTE divisions. Anything that makes the notes unsure is an
// error that names the chunk or track and the byte; what is odd but harmless is
// in File.Warnings. On error the file is nil.
func Read(b []byte, file string) (*File, error) {
	if len(b) > MaxBytes {
		return nil, &fault.Fault{File: file, Msg: fmt.Sprintf("the file is over %d MB, the most that is read", MaxBytes>>20)}
	}
	r := &reader{b: b, file: &File{Name: file}}
	// An event takes three bytes at least; room for all of them at once is less
	// than growing into it.
	r.events = make([]event, 0, min(len(b)/3, MaxEvents))
	if len(b) >= 12 && string(b[:4]) == "RIFF" && string(b[8:12]) == "RMID" {
		if err := r.unwrap(); err != nil {
			return nil, err
		}
	}
	if err := r.chunks(); err != nil {
		return nil, err
	}
	if err := r.assemble(); err != nil {
		return nil, err
	}
	heard := 0
	for i := range r.file.Tracks {
		for j := range r.file.Tracks[i].Notes {
			n := &r.file.Tracks[i].Notes[j]
			rests, _ := n.rests(MaxHeard - heard)
			if heard += len(rests); heard > MaxHeard {
				return nil, r.fail(fmt.Sprintf("track %d", i+1), int(n.Offset-r.base), "the file has more than %d notes, those reached by bends counted in", MaxHeard)
			}
		}
	}
	return r.file, nil
}

func (r *reader) fail(part string, off int, format string, args ...any) error {
	return &fault.Fault{File: r.file.Name, Binary: true, Part: part, Offset: r.base + int64(off), Msg: fmt.Sprintf(format, args...)}
}

func (r *reader) warn(part string, off int, format string, args ...any) {
	// A file that is odd everywhere says so a hundred times, not a million.
	if len(r.file.Warnings) < 100 {
		r.file.Warnings.Add(r.fail(part, off, format, args...).(*fault.Fault))
	}
}

// unwrap finds the MIDI file inside a RIFF file.
func (r *reader) unwrap() error {
	for p := 12; p+8 <= len(r.b); {
		n := int64(binary.LittleEndian.Uint32(r.b[p+4:]))
		if int64(p)+8+n > int64(len(r.b)) {
			return r.fail("chunk "+printable(r.b[p:p+4]), p+4, "says it is %d bytes long, and %d are left", n, len(r.b)-p-8)
		}
		if string(r.b[p:p+4]) == "data" {
			r.base = int64(p + 8)
			r.b = r.b[p+8 : p+8+int(n)]
			return nil
		}
		p += 8 + int(n+n&1)
	}
	return r.fail("chunk RIFF", 12, "holds no MIDI file")
}

// chunks walks header and tracks.
func (r *reader) chunks() error {
	b := r.b
	if len(b) == 0 {
		return r.fail("header", 0, "the file is empty")
	}
	if len(b) < 4 || string(b[:4]) != "MThd" {
		return r.fail("header", 0, "is no Standard MIDI File: it begins with %q, not \"MThd\"", printable(b[:min(4, len(b))]))
	}
	if len(b) < 14 {
		return r.fail("chunk MThd", len(b), "ends after %d bytes, and a header has 14", len(b))
	}
	length := int64(binary.BigEndian.Uint32(b[4:]))
	if length < 6 || 8+length > int64(len(b)) {
		return r.fail("chunk MThd", 4, "says it is %d bytes long, and %d are left", length, len(b)-8)
	}
	f := r.file
	f.Format = int(binary.BigEndian.Uint16(b[8:]))
	if f.Format > 2 {
		return r.fail("chunk MThd", 8, "is of type %d, and there are types 0, 1 and 2", f.Format)
	}
	promised := int(binary.BigEndian.Uint16(b[10:]))
	if err := r.division(binary.BigEndian.Uint16(b[12:])); err != nil {
		return err
	}
	p := 8 + int(length)
	for p < len(b) {
		if len(b)-p < 8 {
			r.warn("chunk", p, "the last %d bytes are no chunk and are passed over", len(b)-p)
			break
		}
		n := int64(binary.BigEndian.Uint32(b[p+4:]))
		name := printable(b[p : p+4])
		if n > int64(len(b)-p-8) {
			return r.fail("chunk "+name, p+4, "says it is %d bytes long, and %d are left", n, len(b)-p-8)
		}
		if string(b[p:p+4]) == "MTrk" {
			if len(f.Tracks) == MaxTracks {
				return r.fail("chunk MTrk", p, "there are more than %d tracks", MaxTracks)
			}
			f.Tracks = append(f.Tracks, Track{Program: -1})
			if err := r.track(p+8, p+8+int(n)); err != nil {
				return err
			}
		} else {
			r.warn("chunk "+name, p, "is of an unknown kind and is passed over")
		}
		p += 8 + int(n)
	}
	if len(f.Tracks) == 0 {
		return r.fail("header", p, "the file has no track")
	}
	if len(f.Tracks) != promised {
		r.warn("chunk MThd", 10, "promises %d tracks, and there are %d", promised, len(f.Tracks))
	}
	if f.Format == 0 && len(f.Tracks) > 1 {
		r.warn("chunk MThd", 8, "is of type 0, which has one track, and there are %d; they are played together", len(f.Tracks))
	}
	return nil
}

func (r *reader) division(v uint16) error {
	d := &r.file.Division
	if v&0x8000 == 0 {
		if v == 0 {
			return r.fail("chunk MThd", 12, "says a quarter note has 0 ticks")
		}
		d.PPQ = int(v)
		return nil
	}
	d.Frames, d.TicksPerFrame = -int(int8(v>>8)), int(v&255)
	switch d.Frames {
	case 24, 25, 29, 30:
	default:
		return r.fail("chunk MThd", 12, "says a second has %d SMPTE frames, and 24, 25, 29 and 30 are the rates there are", d.Frames)
	}
	if d.TicksPerFrame == 0 {
		return r.fail("chunk MThd", 13, "says an SMPTE frame has 0 ticks")
	}
	return nil
}

// track reads the events from p to end.
func (r *reader) track(p, end int) error {
	index := len(r.file.Tracks) - 1
	t := &r.file.Tracks[index]
	part := fmt.Sprintf("track %d", index+1)
	var at int64
	var running byte
	for p < end {
		delta, q, ok := r.variable(p, end)
		if !ok {
			return r.fail(part, p, "the time before an event is no whole number of at most four bytes")
		}
		if at += delta; at > MaxTicks {
			return r.fail(part, p, "lasts longer than %d ticks", int64(MaxTicks))
		}
		p = q
		t.End = at
		if p >= end {
			return r.fail(part, p, "ends in the middle of an event")
		}
		start := p
		status := r.b[p]
		if status >= 0x80 {
			p++
		} else if status = running; status == 0 {
			return r.fail(part, p, "has a data byte 0x%02X where an event should begin", r.b[p])
		}
		switch {
		case status < 0xF0:
			running = status
			need := 2
			if status>>4 == 0xC || status>>4 == 0xD {
				need = 1
			}
			if end-p < need {
				return r.fail(part, p, "ends in the middle of an event")
			}
			a, b := r.b[p], byte(0)
			if need == 2 {
				b = r.b[p+1]
			}
			if a > 127 || b > 127 {
				return r.fail(part, start, "has an event 0x%02X whose data byte is over 127", status)
			}
			p += need
			if err := r.channel(part, index, at, start, status, a, b); err != nil {
				return err
			}
		case status == 0xFF || status == 0xF0 || status == 0xF7:
			running = 0
			kind := byte(0)
			if status == 0xFF {
				if p >= end {
					return r.fail(part, p, "ends in the middle of an event")
				}
				kind = r.b[p]
				p++
			}
			n, q, ok := r.variable(p, end)
			if !ok {
				return r.fail(part, p, "the length of an event is no whole number of at most four bytes")
			}
			if n > int64(end-q) {
				return r.fail(part, p, "has an event said to be %d bytes long, and the track has %d left", n, end-q)
			}
			data := r.b[q : q+int(n)]
			p = q + int(n)
			if status != 0xFF {
				continue
			}
			if kind == 0x2F {
				if p < end {
					r.warn(part, p, "goes on for %d bytes after its end, which are passed over", end-p)
				}
				return nil
			}
			if err := r.meta(part, t, at, start, kind, data); err != nil {
				return err
			}
		default:
			return r.fail(part, start, "has a status byte 0x%02X, which has no place in a file", status)
		}
	}
	r.warn(part, end, "has no end-of-track event")
	return nil
}

// variable reads a variable-length quantity.
func (r *reader) variable(p, end int) (int64, int, bool) {
	v := int64(0)
	for i := range 4 {
		if p+i >= end {
			return 0, p, false
		}
		c := r.b[p+i]
		v = v<<7 | int64(c&127)
		if c < 0x80 {
			return v, p + i + 1, true
		}
	}
	return 0, p, false
}

// channel keeps the channel messages that matter here.
func (r *reader) channel(part string, track int, at int64, off int, status, a, b byte) error {
	switch status >> 4 {
	case 0x8, 0x9, 0xE:
	case 0xB:
		if a != 6 && a != 38 && a != 98 && a != 99 && a != 100 && a != 101 && a != 121 {
			return nil
		}
	case 0xC:
		if r.file.Tracks[track].Program < 0 {
			r.file.Tracks[track].Program = int(a)
		}
		return nil
	default:
		return nil
	}
	if len(r.events) == MaxEvents {
		return r.fail(part, off, "the file has more than %d notes and bends", MaxEvents)
	}
	r.events = append(r.events, event{at: at, off: uint32(off), track: uint16(track), status: status, a: a, b: b})
	return nil
}

// meta keeps what the meta events say.
func (r *reader) meta(part string, t *Track, at int64, off int, kind byte, data []byte) error {
	kept := len(t.Tempos) + len(t.Meters) + len(t.Keys) + len(t.Lyrics) + len(t.Markers)
	if kept >= MaxEvents/10 {
		return r.fail(part, off, "has more than %d tempos, meters, keys and words", MaxEvents/10)
	}
	need := map[byte]int{0x51: 3, 0x58: 4, 0x59: 2}[kind]
	if need > len(data) || (need > 0 && kind != 0x58 && need != len(data)) {
		r.warn(part, off, "has a meta event 0x%02X of %d bytes, where %d belong; it is passed over", kind, len(data), need)
		return nil
	}
	switch kind {
	case 0x01:
		r.file.exact = r.file.exact || string(data) == exactLengths
	case 0x03:
		if t.Name == "" {
			t.Name = words(data)
		}
	case 0x05:
		t.Lyrics = append(t.Lyrics, Text{at, words(data)})
	case 0x06:
		t.Markers = append(t.Markers, Text{at, words(data)})
	case 0x51:
		us := int64(data[0])<<16 | int64(data[1])<<8 | int64(data[2])
		if us == 0 {
			r.warn(part, off, "sets a tempo of 0 microseconds a quarter note, which is passed over")
			return nil
		}
		t.Tempos = append(t.Tempos, Tempo{at, us})
	case 0x58:
		if data[0] == 0 || data[1] > 10 {
			r.warn(part, off, "sets a meter of %d over 2^%d, which is passed over", data[0], data[1])
			return nil
		}
		t.Meters = append(t.Meters, Meter{at, int(data[0]), 1 << data[1]})
	case 0x59:
		sf := int(int8(data[0]))
		if sf < -7 || sf > 7 || data[1] > 1 {
			r.warn(part, off, "sets a key of %d accidentals and mode %d, which is passed over", sf, data[1])
			return nil
		}
		t.Keys = append(t.Keys, Key{at, sf, data[1] == 1})
	}
	return nil
}

// words makes text of bytes: UTF-8 when it is that, else Latin-1; at most 1000
// bytes, control characters left out.
func words(b []byte) string {
	b = b[:min(len(b), 1000)]
	b = bytes.TrimRight(b, "\x00")
	var s string
	if utf8.Valid(b) {
		s = string(b)
	} else {
		out := make([]rune, len(b))
		for i, c := range b {
			out[i] = rune(c)
		}
		s = string(out)
	}
	return strings.TrimSpace(strings.Map(func(c rune) rune {
		if unicode.IsControl(c) {
			return -1
		}
		return c
	}, s))
}

func printable(b []byte) string {
	return strings.Map(func(c rune) rune {
		if c < ' ' || c > '~' {
			return '?'
		}
		return c
	}, string(b))
}

// channelState is what one channel is set to.
type channelState struct {
	rpn   int // number chosen by controllers 101 and 100; −1 for none
	msb   int
	lsb   int
	span  float64 // bend range in semitones
	bend  float64 // −1 … 1
	line  []Bend  // every bend so far, manager's counted in
	open  [128][]pending
	count int // notes in open
	begun int // length of line when the latest note began
}

// pending is a note that is sounding.
type pending struct {
	note  Note
	track int
	from  int // length of the channel's bend line at the onset
}

// assemble pairs note-ons with note-offs and gives each its bends.
func (r *reader) assemble() error {
	if r.file.Format == 2 {
		for i, start := 0, 0; i < len(r.file.Tracks); i++ {
			end := start
			for end < len(r.events) && int(r.events[end].track) == i {
				end++
			}
			if err := r.play(r.events[start:end]); err != nil {
				return err
			}
			start = end
		}
	} else {
		slices.SortStableFunc(r.events, func(a, b event) int { return cmp.Compare(a.at, b.at) })
		if err := r.play(r.events); err != nil {
			return err
		}
	}
	r.events = nil
	for i := range r.file.Tracks {
		slices.SortStableFunc(r.file.Tracks[i].Notes, func(a, b Note) int {
			return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(a.Key, b.Key), cmp.Compare(a.Offset, b.Offset))
		})
	}
	return nil
}

// player is the state of the sixteen channels.
type player struct {
	r       *reader
	ch      [16]channelState
	manager [2]int // members of the lower and upper zone
	bends   int
}

// play runs through events in order of time.
func (r *reader) play(events []event) error {
	p := &player{r: r}
	for i := range p.ch {
		p.ch[i].rpn, p.ch[i].span = -1, 2
	}
	for i := range events {
		e := &events[i]
		if err := p.step(e); err != nil {
			return err
		}
	}
	for c := range p.ch {
		for k := range p.ch[c].open {
			for _, o := range p.ch[c].open[k] {
				t := &r.file.Tracks[o.track]
				r.file.Warnings.Add(&fault.Fault{File: r.file.Name, Binary: true, Part: fmt.Sprintf("track %d", o.track+1), Offset: o.note.Offset, Msg: fmt.Sprintf("the note %d on channel %d is never ended, and is taken to end with its track", k, c+1)})
				p.end(&p.ch[c], o, max(t.End, o.note.At))
			}
		}
	}
	return nil
}

// managerOf returns the manager of the zone that a channel is a member of, or nil.
func (p *player) managerOf(c int) *channelState {
	switch {
	case c > 0 && c <= p.manager[0]:
		return &p.ch[0]
	case c < 15 && c >= 15-p.manager[1]:
		return &p.ch[15]
	}
	return nil
}

// semitones returns the bend in force on a channel.
func (p *player) semitones(c int) float64 {
	s := p.ch[c].bend * p.ch[c].span
	if m := p.managerOf(c); m != nil {
		s += m.bend * m.span
	}
	return s
}

// mark adds the bend in force to the channel's line.
func (p *player) mark(c int, e *event) error {
	s := &p.ch[c]
	v := p.semitones(c)
	if n := len(s.line); n > 0 && s.line[n-1].At == e.at {
		// Bends of one tick are one bend; the note that begins with it must
		// still be able to see the earlier ones, so only the last is changed.
		if s.begun != n {
			s.line[n-1].Semitones = v
			return nil
		}
	}
	if p.bends++; p.bends > MaxBends {
		return p.r.fail(fmt.Sprintf("track %d", e.track+1), int(e.off), "the file has more than %d bends", MaxBends)
	}
	s.line = append(roomy(s.line), Bend{e.at, v})
	return nil
}

// spread marks a channel, or every member of the zone that it manages.
func (p *player) spread(c int, e *event) error {
	if err := p.mark(c, e); err != nil {
		return err
	}
	for m := range p.ch {
		if mgr := p.managerOf(m); mgr == &p.ch[c] {
			if err := p.mark(m, e); err != nil {
				return err
			}
		}
	}
	return nil
}

func (p *player) step(e *event) error {
	c := int(e.status & 15)
	s := &p.ch[c]
	switch e.status >> 4 {
	case 0x9:
		if e.b > 0 {
			n := Note{At: e.at, Channel: c + 1, Key: int(e.a), Velocity: int(e.b), Bend: p.semitones(c), Offset: p.r.base + int64(e.off)}
			if s.count++; s.count > maxAtOnce {
				return p.r.fail(fmt.Sprintf("track %d", e.track+1), int(e.off), "more than %d notes sound at once on channel %d", maxAtOnce, c+1)
			}
			s.begun = len(s.line)
			s.open[e.a] = append(s.open[e.a], pending{n, int(e.track), len(s.line)})
			return nil
		}
		fallthrough
	case 0x8:
		q := s.open[e.a]
		if len(q) == 0 {
			p.r.warn(fmt.Sprintf("track %d", e.track+1), int(e.off), "ends the note %d on channel %d, which is not sounding", e.a, c+1)
			return nil
		}
		o := q[0]
		s.open[e.a] = q[1:]
		s.count--
		p.end(s, o, e.at)
	case 0xE:
		s.bend = float64(int(e.a)|int(e.b)<<7)/8192 - 1
		return p.spread(c, e)
	case 0xB:
		return p.control(c, s, e)
	}
	return nil
}

// control follows registered parameters: 0 bend range, 6 MPE configuration.
func (p *player) control(c int, s *channelState, e *event) error {
	switch e.a {
	case 101:
		s.msb = int(e.b)
		s.rpn = s.msb<<7 | s.lsb
	case 100:
		s.lsb = int(e.b)
		s.rpn = s.msb<<7 | s.lsb
	case 98, 99:
		s.rpn = -1
	case 121:
		s.bend = 0
		return p.spread(c, e)
	case 6:
		switch {
		case s.rpn == 0:
			p.setSpan(c, float64(e.b))
			return p.spread(c, e)
		case s.rpn == 6 && (c == 0 || c == 15):
			return p.zone(c, int(e.b), e)
		}
	case 38:
		if s.rpn == 0 {
			p.setSpan(c, float64(int(s.span))+float64(e.b)/100)
			return p.spread(c, e)
		}
	}
	return nil
}

// setSpan sets a bend range. In a zone, a range sent to one member holds for
// all of them (M1-100-UM, section 2.4).
func (p *player) setSpan(c int, span float64) {
	p.ch[c].span = span
	mgr := p.managerOf(c)
	if mgr == nil {
		return
	}
	for m := range p.ch {
		if p.managerOf(m) == mgr {
			p.ch[m].span = span
		}
	}
}

// zone sets up or ends an MPE zone: members get a bend range of 48, the
// manager of 2 (M1-100-UM, sections 2.1 and 2.4). A zone takes channels from
// the other one when both can't have them.
func (p *player) zone(c, members int, e *event) error {
	i := c / 15
	members = min(members, 15)
	p.manager[i] = members
	if members == 0 {
		return nil
	}
	other := &p.manager[1-i]
	*other = min(*other, max(14-members, 0))
	p.ch[c].span = 2
	for m := range p.ch {
		if p.managerOf(m) == &p.ch[c] {
			p.ch[m].span = 48
			p.r.file.members[m+1] = true
		}
	}
	return p.spread(c, e)
}

// end closes a note. Bends at the tick of the onset are its beginning, those
// at or after its end are not its own.
func (p *player) end(s *channelState, o pending, at int64) {
	n := o.note
	n.Len = at - n.At
	bends := s.line[o.from:]
	for len(bends) > 0 && bends[0].At <= n.At {
		n.Bend = bends[0].Semitones
		bends = bends[1:]
	}
	for len(bends) > 0 && bends[len(bends)-1].At >= at {
		bends = bends[:len(bends)-1]
	}
	n.Bends = bends[:len(bends):len(bends)]
	t := &p.r.file.Tracks[o.track]
	t.Notes = append(t.Notes, n)
}
