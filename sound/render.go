package sound

import (
	"math"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/tab"
	"lapwright/tune"
)

// ringOut is how long a recording goes on after the written music, and fade how
// long of that it takes to die, in seconds.
const (
	ringOut = 2.6
	fade    = 1.4
)

// blockSize is how many samples are made at a time. The result does not depend
// on it.
const blockSize = 1024

// Stems are the parts of one recording, apart: the same length, and their sum
// is what Render gives.
type Stems struct {
	Lead  *Audio // the instrument, stereo
	Click *Audio // the count-in and click, mono; silent when neither was asked for
}

// length returns how many samples the recording has.
func (sc *score) length() int {
	return sampleAt(max(sc.countIn+sc.music, sc.end) + ringOut)
}

// newTimekeeper returns the function from a place in sounding order to seconds in
// the recording.
func newTimekeeper(t *tab.Tab, o Options, sc *score) func(tune.Ticks) float64 {
	w := &scribe{clock: t.Performance().Clock, o: o, sc: sc}
	return w.seconds
}

// RenderStems sounds a tab, with instrument and click apart. Errors are a tab
// that can't be sounded, options out of range, or ErrStopped.
func RenderStems(t *tab.Tab, o Options) (*Stems, error) { return renderBlocks(t, o, blockSize) }

// Render sounds a tab: instrument and click together, stereo. The lead's
// loudness is brought near Options.Loudness and no true peak exceeds Ceiling.
func Render(t *tab.Tab, o Options) (*Audio, error) {
	s, err := RenderStems(t, o)
	if err != nil {
		return nil, err
	}
	return s.Mix(), nil
}

// Mix returns lead and click together. It takes over the lead's samples.
func (s *Stems) Mix() *Audio {
	for _, c := range s.Lead.Channels {
		for i, v := range s.Click.Channels[0] {
			c[i] += v
		}
	}
	return s.Lead
}

func renderBlocks(t *tab.Tab, o Options, block int) (*Stems, error) {
	o, err := o.settled()
	if err != nil {
		return nil, err
	}
	sc, err := write(t, o)
	if err != nil {
		return nil, err
	}
	n := sc.length()
	lead := &Audio{Channels: [][]float32{make([]float32, n), make([]float32, n)}}
	tick := &Audio{Channels: [][]float32{make([]float32, n)}}
	m := assemble(t.Rig, sc, o)
	pull, left, right := make([]float64, block), make([]float64, block), make([]float64, block)
	clicks := make([]float64, block)
	told := 0
	for at := 0; at < n; at += block {
		size := min(block, n-at)
		m.next(pull[:size], left[:size], right[:size], clicks[:size], at)
		for i := range size {
			lead.Channels[0][at+i] = float32(left[i])
			lead.Channels[1][at+i] = float32(right[i])
			tick.Channels[0][at+i] = float32(clicks[i])
		}
		if o.Progress != nil && at-told >= Rate {
			told = at
			if !o.Progress(0.9 * float64(at) / float64(n)) {
				return nil, ErrStopped
			}
		}
	}
	fadeOut(lead)
	level(lead, tick, o.Loudness)
	if o.Progress != nil && !o.Progress(1) {
		return nil, ErrStopped
	}
	return &Stems{lead, tick}, nil
}

// machine is everything that sounds, joined up.
type machine struct {
	strings []*stringModel
	bridge  bridge
	knocks  *knocker
	body    *body
	room    *room
	click   *click
}

// assemble builds the machine for a rig and a score.
func assemble(r *rig.Rig, sc *score, o Options) *machine {
	v := voices[r.Body]
	m := &machine{bridge: bridge{gain: v.bridge}, body: newBody(v), click: &click{beats: sc.beats}, knocks: newKnocker(sc.knocks, v.knock, o.Seed)}
	for s := range r.Strings {
		open := pitch.Equal(float64(r.OpenKey(s+1, 0)), r.Reference)
		sensed := v.pickup / float64(r.Scale) * Rate / float64(open)
		seed := (o.Seed+1)*0x9e3779b97f4a7c15 ^ uint64(s+1)*0xbf58476d1ce4e5b9
		m.strings = append(m.strings, newString(sc.parts[s], float64(r.Reference), float64(open), v.loss, r.Strings[s].Wire.Inharmonicity(r.Scale, open), r.Strings[s].Wire.Wound, sensed, seed))
	}
	level := v.room
	if o.Dry {
		level = 0
	}
	m.room = newRoom(level)
	return m
}

// next makes one block from absolute sample at on.
func (m *machine) next(pull, left, right, clicks []float64, at int) {
	clear(pull)
	clear(clicks)
	for from := 0; from < len(pull); {
		size := min(grid-(at+from)%grid, len(pull)-from)
		m.bridge.begin(at+from, size)
		for _, s := range m.strings {
			s.add(pull[from:from+size], &m.bridge, at+from)
		}
		from += size
	}
	m.knocks.add(pull, at)
	m.body.process(pull, left, right)
	m.room.process(left, right)
	m.click.add(clicks, at)
}

// fadeOut lets the last of the ringing die smoothly.
func fadeOut(a *Audio) {
	n := min(a.Len(), sampleAt(fade))
	for _, c := range a.Channels {
		tail := c[len(c)-n:]
		for i := range tail {
			tail[i] *= float32(0.5 + 0.5*math.Cos(math.Pi*float64(i+1)/float64(n)))
		}
	}
}

// knocker sounds hands and steel touching the instrument: short, dull bursts.
type knocker struct {
	knocks []knock
	next   int
	live   []knock
	scale  float64
	noise  noise
	low    biquad
}

// knockLength is how long one lasts, in samples: 20 ms.
const knockLength = 960

func newKnocker(k []knock, scale float64, seed uint64) *knocker {
	return &knocker{knocks: k, scale: scale, noise: noise(seed*0xd6e8feb86659fd93 + 0x77), low: lowPass(420, 0.7)}
}

func (k *knocker) add(out []float64, n int) {
	for i := range out {
		at := n + i
		for k.next < len(k.knocks) && k.knocks[k.next].at <= at {
			k.live = append(k.live, k.knocks[k.next])
			k.next++
		}
		w := k.noise.next()
		in := 0.0
		keep := k.live[:0]
		for _, b := range k.live {
			age := at - b.at
			if age >= knockLength {
				continue
			}
			u := 1 - float64(age)/knockLength
			in += b.level * u * u * u * min(1, float64(age)/48) * w
			keep = append(keep, b)
		}
		k.live = keep
		out[i] += k.scale * k.low.next(in)
	}
}
