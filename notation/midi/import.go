package midi

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"lapwright/fault"
	"lapwright/pitch"
	"lapwright/say"
	"lapwright/tune"
)

// Options say how a MIDI file is made into a tune. The zero value detects the
// melody and the grid.
type Options struct {
	Track   int // 1-based; 0 detects the melody
	Channel int // 1–16; 0 takes every channel of the melody's instrument
	// Grid is the shortest note that onsets are brought to, as a fraction of a
	// whole note: 16 for sixteenths. Triplets of the value twice as long are
	// kept too. 0 takes times as they stand when most are on a grid already,
	// else sixteenths. Allowed: 4, 8, 16, 32, 64.
	Grid int
}

// Import is a tune made from a MIDI file and what was decided on the way.
type Import struct {
	Tune     *tune.Tune
	Track    int    // 1-based
	Channels []int  // taken
	Why      string // why this track
	Grid     string // "as written" or "16th notes and triplets of eighths"
	Notes    int
	Moved    []Moved
	Ended    int // notes that begin where they stand and whose end alone was settled
	Warnings fault.List
}

// Moved is one note whose onset or end was brought to the grid.
type Moved struct {
	BarNumber int            // as printed
	At        pitch.Fraction // where it was, in whole notes from the start
	By        pitch.Fraction // how far its onset moved; later is positive
	Ends      pitch.Fraction // how far its end moved
}

// The bounds of an import.
const (
	MaxBars   = 20_000
	MaxNotes  = 40_000
	MaxVoices = 8
)

// Candidate is one instrument of a file: a track, or one channel of it.
type Candidate struct {
	Track    int // 1-based
	Name     string
	Channels []int
	Notes    int
	// Alone is the share of the notes that sound alone.
	Alone float64
	// Mean is the average key number.
	Mean  float64
	Drums bool
	score float64
}

// Candidates returns the instruments of the file, the likeliest melody first.
// What counts: a single line, a name that says so, a high place, enough notes;
// channel 10 is drums.
func (f *File) Candidates() []Candidate {
	var out []Candidate
	for i := range f.Tracks {
		t := &f.Tracks[i]
		byChannel := map[int][]*Note{}
		for j := range t.Notes {
			n := &t.Notes[j]
			c := n.Channel
			if f.zoned(c) {
				c = 0
			}
			byChannel[c] = append(byChannel[c], n)
		}
		keys := make([]int, 0, len(byChannel))
		for c := range byChannel {
			keys = append(keys, c)
		}
		slices.Sort(keys)
		for _, c := range keys {
			out = append(out, candidate(i+1, t.Name, byChannel[c], c == 10))
		}
	}
	most := 0
	for _, c := range out {
		most = max(most, c.Notes)
	}
	for i := range out {
		c := &out[i]
		c.score = 2*c.Alone + (c.Mean-48)/48 + math.Sqrt(float64(c.Notes)/float64(most))
		name := strings.ToLower(c.Name)
		for _, w := range []string{"melody", "tune", "lead", "solo", "vocal", "voice", "song", "steel", "slide"} {
			if strings.Contains(name, w) {
				c.score += 1.5
				break
			}
		}
		for _, w := range []string{"bass", "drum", "pad", "chord", "accomp", "rhythm", "perc"} {
			if strings.Contains(name, w) {
				c.score -= 1.5
				break
			}
		}
		if c.Drums {
			c.score -= 10
		}
	}
	slices.SortStableFunc(out, func(a, b Candidate) int { return cmp.Compare(b.score, a.score) })
	return out
}

// zoned reports whether a channel is a member of an MPE zone.
func (f *File) zoned(channel int) bool { return f.members[channel] }

func candidate(track int, name string, notes []*Note, drums bool) Candidate {
	c := Candidate{Track: track, Name: name, Notes: len(notes), Drums: drums}
	alone, sum := 0, 0.0
	end := int64(-1)
	for i, n := range notes {
		if !slices.Contains(c.Channels, n.Channel) {
			c.Channels = append(c.Channels, n.Channel)
		}
		sum += float64(n.Key)
		// Notes played smoothly overlap a little; a quarter of a note is no chord.
		overlaps := n.At+n.Len/4 < end
		if i+1 < len(notes) && notes[i+1].At <= n.At+n.Len/4 {
			overlaps = true
		}
		if !overlaps {
			alone++
		}
		end = max(end, n.At+n.Len*3/4)
	}
	slices.Sort(c.Channels)
	c.Alone, c.Mean = float64(alone)/float64(len(notes)), sum/float64(len(notes))
	return c
}

// Tune makes a tune of one instrument of the file. Notes on other channels and
// tracks are left out, which Why and Warnings say. Bends by which a note comes
// to rest on another pitch become glides, movements into a note scoops; other
// bends are left out.
func (f *File) Tune(o Options) (*Import, error) {
	fail := func(format string, args ...any) error {
		return &fault.Fault{File: f.Name, Msg: fmt.Sprintf(format, args...)}
	}
	switch o.Grid {
	case 0, 4, 8, 16, 32, 64:
	default:
		return nil, fail("a grid of 1/%d is not among 4, 8, 16, 32 and 64", o.Grid)
	}
	if o.Track < 0 || o.Track > len(f.Tracks) {
		return nil, fail("there is no track %d; the file has %d", o.Track, len(f.Tracks))
	}
	all := f.Candidates()
	if len(all) == 0 {
		return nil, fail("the file has no notes")
	}
	chosen, why := Candidate{}, ""
	for _, c := range all {
		if (o.Track == 0 || c.Track == o.Track) && (o.Channel == 0 || slices.Contains(c.Channels, o.Channel)) {
			chosen = c
			break
		}
	}
	switch {
	case chosen.Notes == 0 && o.Track > 0:
		return nil, fail("track %d has no notes%s", o.Track, onChannel(o.Channel))
	case chosen.Notes == 0:
		return nil, fail("the file has no notes%s", onChannel(o.Channel))
	case o.Track == 0 && len(all) == 1:
		why = "the only instrument"
	case o.Track == 0:
		why = fmt.Sprintf("of %d instruments the likeliest melody", len(all))
	default:
		why = "as asked"
	}
	im := &importer{f: f, out: &Import{Track: chosen.Track, Channels: chosen.Channels, Why: why}}
	if o.Track > 0 && o.Channel == 0 {
		// The whole track, as asked: all its channels but the drums.
		for _, c := range all {
			if c.Track == o.Track && !c.Drums {
				im.out.Channels = append(im.out.Channels, c.Channels...)
			}
		}
		slices.Sort(im.out.Channels)
		im.out.Channels = slices.Compact(im.out.Channels)
	} else if o.Channel > 0 {
		im.out.Channels = []int{o.Channel}
	}
	for _, c := range all {
		if c.Track == chosen.Track && (slices.Equal(c.Channels, chosen.Channels) || slices.Contains(im.out.Channels, c.Channels[0])) {
			continue
		}
		im.out.Warnings.Add(&fault.Fault{File: f.Name, Msg: fmt.Sprintf("track %d%s%s, %s, is left out", c.Track, named(c.Name), onChannel(c.Channels[0]), say.Count(c.Notes, "note"))})
	}
	if err := im.run(o.Grid); err != nil {
		return nil, err
	}
	return im.out, nil
}

func onChannel(c int) string {
	if c == 0 {
		return ""
	}
	return fmt.Sprintf(" on channel %d", c)
}

func named(s string) string {
	if s == "" {
		return ""
	}
	return fmt.Sprintf(" %q", s)
}

// importer builds the tune.
type importer struct {
	f   *File
	out *Import
	layout
}

func (im *importer) run(grid int) error {
	heard, err := im.collect()
	if err != nil {
		return err
	}
	if err := im.layBars(heard); err != nil {
		return err
	}
	written := grid == 0 && onGrid(heard)
	if grid == 0 {
		grid = 16
	}
	p := &placing{layout: &im.layout, heard: heard}
	if !written || !im.f.exact && !endsWritten(heard) {
		p.gridOfEnds = tune.Whole / tune.Ticks(grid)
	}
	im.out.Grid = fmt.Sprintf("1/%d notes and triplets of 1/%d notes", grid, grid/2)
	rough := map[int]bool{} // bars whose times can't be taken as they stand
	if written {
		im.out.Grid = "as written"
		p.asWritten(rough)
	} else {
		p.quantise(grid)
	}
	compose := func() ([]int, error) {
		c := composer{&im.layout, im.f, im.out, p.sounds}
		return c.compose(im.words(p.sounds))
	}
	bad, err := compose()
	// A time that is moved may fall into the next bar and trouble that; the third
	// time no bar is taken as it stands.
	for try := 0; err == nil && len(bad) > 0 && written && try < 3; try++ {
		for i := range im.bars {
			rough[i] = rough[i] || try == 2 || slices.Contains(bad, i)
		}
		p.asWritten(rough)
		bad, err = compose()
	}
	im.listMoved(p)
	im.sayEnds()
	if err == nil && len(bad) > 0 {
		return &fault.Fault{File: im.f.Name, Bar: fmt.Sprint(im.bars[bad[0]].Number), Msg: "no note values write the lengths in this bar", Hint: "name a coarser grid"}
	}
	return err
}

// words returns the syllables of the melody's track by where their notes have
// come to.
func (im *importer) words(sounds []sound) map[tune.Ticks]string {
	to := map[int64]tune.Ticks{}
	for i := range sounds {
		if _, ok := to[sounds[i].from]; !ok {
			to[sounds[i].from] = sounds[i].at
		}
	}
	out := map[tune.Ticks]string{}
	for _, l := range im.f.Tracks[im.out.Track-1].Lyrics {
		if at, ok := to[l.At]; ok {
			out[at] = l.Text
		}
	}
	return out
}

func (im *importer) collect() ([]heardSound, error) {
	var out []heardSound
	pitches := 0
	i := im.out.Track - 1
	t := &im.f.Tracks[i]
	for j := range t.Notes {
		if !slices.Contains(im.out.Channels, t.Notes[j].Channel) {
			continue
		}
		parts := im.f.appendHeard(nil, i, j)
		if pitches += len(parts); pitches > MaxNotes {
			return nil, &fault.Fault{File: im.f.Name, Msg: fmt.Sprintf("the instrument has more than %d notes, those reached by bends counted in", MaxNotes)}
		}
		if last := parts[len(parts)-1]; last.Len.Num < 0 || parts[0].At.Float() > tune.MaxWholes/2 {
			return nil, &fault.Fault{File: im.f.Name, Binary: true, Offset: t.Notes[j].Offset, Part: fmt.Sprintf("track %d", i+1), Msg: "a note lies beyond the longest piece that is read"}
		}
		for _, p := range parts {
			if p.Key < pitch.MinKey || p.Key > pitch.MaxKey {
				return nil, &fault.Fault{File: im.f.Name, Binary: true, Offset: t.Notes[j].Offset, Part: fmt.Sprintf("track %d", i+1), Msg: fmt.Sprintf("a note is bent to key number %d, and keys go from 0 to 127", p.Key)}
			}
		}
		out = append(out, heardSound{parts})
	}
	im.out.Notes = len(out)
	return out, nil
}

// onGrid reports whether most onsets are where written music has them: on whole
// parts of a whole note with a denominator of up to 96.
func onGrid(heard []heardSound) bool {
	on := 0
	for i := range heard {
		if heard[i].start().Den <= 96 {
			on++
		}
	}
	return on*10 >= len(heard)*9
}

// inForce gathers from the tracks what holds for the chosen one, by tick: its
// own where the tracks are pieces of their own, else that of all.
func inForce[T any](f *File, track int, of func(*Track) []T, at func(T) int64) []T {
	if f.Format == 2 {
		return of(&f.Tracks[track-1])
	}
	var all []T
	for i := range f.Tracks {
		all = append(all, of(&f.Tracks[i])...)
	}
	slices.SortStableFunc(all, func(a, b T) int { return cmp.Compare(at(a), at(b)) })
	return all
}

func (im *importer) meters() []Meter {
	return inForce(im.f, im.out.Track, func(t *Track) []Meter { return t.Meters }, func(m Meter) int64 { return m.At })
}

func (im *importer) keys() []Key {
	return inForce(im.f, im.out.Track, func(t *Track) []Key { return t.Keys }, func(k Key) int64 { return k.At })
}

// near returns a fraction of a whole note in ticks, to the nearest.
func near(f pitch.Fraction) tune.Ticks {
	whole := f.Num / f.Den
	return tune.Ticks(whole)*tune.Whole + tune.Ticks(math.Round(float64(f.Num%f.Den)/float64(f.Den)*float64(tune.Whole)))
}

// layBars lays out bars by the meters, up to the last note's end.
func (im *importer) layBars(heard []heardSound) error {
	var end tune.Ticks
	for i := range heard {
		end = max(end, near(heard[i].end()))
	}
	i := im.out.Track - 1
	meters, keys := im.meters(), im.keys()
	if len(meters) == 0 {
		im.out.Warnings.Add(&fault.Fault{File: im.f.Name, Msg: "the file gives no meter; 4/4 is taken"})
	}
	m := tune.Meter{Beats: 4, Unit: 4}
	key := pitch.Key{Signature: pitch.SignatureOf(0)}
	if len(keys) == 0 {
		key = im.guessKey(heard)
	}
	var at tune.Ticks
	// A meter or key that comes in the middle of a bar begins at the barline
	// nearest to it.
	nearest := func(tick int64, m tune.Meter) bool { return near(im.f.Wholes(i, tick)) < at+m.Len()/2 }
	for at < end || len(im.bars) == 0 {
		for len(meters) > 0 && nearest(meters[0].At, m) {
			if m2 := (tune.Meter{Beats: meters[0].Beats, Unit: meters[0].Unit}); m2.Len() > 0 {
				m = m2
			}
			meters = meters[1:]
		}
		for len(keys) > 0 && nearest(keys[0].At, m) {
			key = keyOf(keys[0])
			keys = keys[1:]
		}
		if len(im.bars) == MaxBars {
			return &fault.Fault{File: im.f.Name, Msg: fmt.Sprintf("the piece is longer than %d bars", MaxBars)}
		}
		im.bars = append(im.bars, tune.Bar{Number: len(im.bars) + 1, Key: key, Meter: m, Len: m.Len()})
		im.starts = append(im.starts, at)
		at += m.Len()
	}
	im.starts = append(im.starts, at)
	// A first bar shorter than the second, with a meter of its own, is a pickup.
	if len(im.bars) > 1 && im.bars[0].Len < im.bars[1].Len {
		im.bars[0].Meter = im.bars[1].Meter
		for j := range im.bars {
			im.bars[j].Number = j
		}
	}
	return nil
}

// guessKey takes the likeliest key for how long each tone sounds, and says so.
func (im *importer) guessKey(heard []heardSound) pitch.Key {
	var long [12]float64
	for i := range heard {
		for _, p := range heard[i].parts {
			long[pitch.Mod(p.Key, 12)] += p.Len.Float()
		}
	}
	key, ok := pitch.LikeliestKey(long)
	if !ok {
		im.out.Warnings.Add(&fault.Fault{File: im.f.Name, Msg: "the file gives no key, and its notes point to none; no sharps or flats are set"})
		return pitch.Key{Signature: pitch.SignatureOf(0)}
	}
	im.out.Warnings.Add(&fault.Fault{File: im.f.Name, Msg: fmt.Sprintf("the file gives no key; %s is guessed from its notes", key)})
	return key
}

func keyOf(k Key) pitch.Key {
	mode := pitch.Major
	if k.Minor {
		mode = pitch.Minor
	}
	out, err := pitch.NewKey(pitch.ClassAtFifths(k.Fifths+int(mode)), mode)
	if err != nil {
		return pitch.Key{Signature: pitch.SignatureOf(0)}
	}
	return out
}

// sayEnds tells of the ends that were settled, once.
func (im *importer) sayEnds() {
	if im.out.Ended > 0 {
		im.out.Warnings.Add(&fault.Fault{File: im.f.Name, Msg: fmt.Sprintf("%d of %d notes end a little early or late; they end where the next begins or on the grid", im.out.Ended, im.out.Notes)})
	}
}

// listMoved lists every note that is not where the file has it.
func (im *importer) listMoved(p *placing) {
	at := func(t tune.Ticks) pitch.Fraction { n, d := t.Fraction(); return pitch.Fraction{Num: n, Den: d} }
	for i := range p.sounds {
		s := &p.sounds[i]
		h := &p.heard[s.heard]
		begin, ok := exact(h.start())
		end, ok2 := exact(h.end())
		if ok && ok2 && begin == s.at && end == s.end {
			continue
		}
		if ok && begin == s.at && p.gridOfEnds > 0 {
			im.out.Ended++
			continue
		}
		im.out.Moved = append(im.out.Moved, Moved{
			BarNumber: im.bars[im.barAt(near(h.start()))].Number, At: h.start(),
			By: at(s.at).Minus(h.start()), Ends: at(s.end).Minus(h.end()),
		})
	}
}
