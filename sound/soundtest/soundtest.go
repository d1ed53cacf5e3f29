// Package soundtest makes recordings for the tests of the file formats.
package soundtest

import (
	"math"
	"math/rand"
	"testing"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/sound"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// Recordings returns what tries an encoder: silence, a loud low tone, a high one,
// noise that is partly out of range, one sample, none. No length is a whole
// number of an encoder's blocks.
func Recordings() map[string]*sound.Audio {
	r := rand.New(rand.NewSource(9))
	hiss := &sound.Audio{Channels: [][]float32{make([]float32, 5000), make([]float32, 5000)}}
	for _, c := range hiss.Channels {
		for i := range c {
			c[i] = float32(1.2 * (2*r.Float64() - 1))
		}
	}
	return map[string]*sound.Audio{
		"silence":    {Channels: [][]float32{make([]float32, 10000)}},
		"low tone":   Sine(1.01, 70, 0.9, 0, 2),
		"high tone":  Sine(0.3, 9000, 0.3, 1, 1),
		"hiss":       hiss,
		"one sample": {Channels: [][]float32{{0.5}, {-0.5}}},
		"nothing":    {Channels: [][]float32{{}}},
	}
}

// Impossible returns what no file could hold.
func Impossible() map[string]*sound.Audio {
	return map[string]*sound.Audio{
		"no channel":       {},
		"three channels":   {Channels: [][]float32{{0}, {0}, {0}}},
		"unequal channels": {Channels: [][]float32{{0}, {0, 0}}},
		"not a number":     {Channels: [][]float32{{float32(math.NaN())}}},
	}
}

// Sine returns a pure tone: its frequency in hertz, its phase in radians, on one
// side or both.
func Sine(seconds, hz, amplitude, phase float64, sides int) *sound.Audio {
	a := &sound.Audio{Channels: make([][]float32, sides)}
	n := int(seconds * sound.Rate)
	for s := range a.Channels {
		a.Channels[s] = make([]float32, n)
		for i := range n {
			a.Channels[s][i] = float32(amplitude * math.Sin(2*math.Pi*hz*float64(i)/sound.Rate+phase))
		}
	}
	return a
}

// Plucked returns one long note of a lap steel, stopped at the fifth fret.
func Plucked(t testing.TB) *sound.Audio {
	t.Helper()
	r, ok := rig.Builtin("lap6-c6")
	if !ok {
		t.Fatal("there is no rig lap6-c6")
	}
	whole, _ := tune.ValueOf(tune.Whole)
	stroke := tab.Stroke{
		Len:       tune.Whole,
		Placement: steel.Placement{Kind: steel.Straight, First: 1, Last: int8(len(r.Strings)), FirstFret: 5, LastFret: 5},
		Plucks:    []tab.Pluck{{Ref: tune.Ref{Grace: -1}, String: 2, Fret: 5, Finger: tab.Index, Len: tune.Whole}},
	}
	key := tab.Key(steel.New(r), &stroke, &stroke.Plucks[0])
	event := tune.Event{Len: tune.Whole, Value: whole, Notes: []tune.Note{{Name: pitch.SpellKey(int(key+0.5), 0)}}}
	a, err := sound.Render(&tab.Tab{
		Tune: &tune.Tune{Voices: []tune.Voice{{ID: "1"}}, Bars: []tune.Bar{{
			Number: 1, Meter: tune.Meter{Beats: 4, Unit: 4}, Len: tune.Whole, Lines: [][]tune.Event{{event}},
			Tempos: []tune.Tempo{{Beat: tune.Whole / 4, PerMinute: 90_000}},
		}}},
		Rig: r, Strokes: []tab.Stroke{stroke},
	}, sound.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return a
}
