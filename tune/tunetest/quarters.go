package tunetest

import (
	"lapwright/pitch"
	"lapwright/tune"
)

// Quarters makes a 4/4 bar in G of quarter notes, such as "F#4".
func Quarters(number int, names ...string) tune.Bar {
	key, _ := pitch.NewKey(pitch.Class{Letter: pitch.G}, pitch.Major)
	b := tune.Bar{Number: number, Key: key, Meter: tune.Meter{Beats: 4, Unit: 4}, Len: tune.Whole, Lines: make([][]tune.Event, 1)}
	for i, s := range names {
		n, err := pitch.ParseName(s)
		if err != nil {
			panic(err)
		}
		b.Lines[0] = append(b.Lines[0], tune.Event{At: tune.Ticks(i) * tune.Whole / 4, Len: tune.Whole / 4, Value: tune.Value{Log2: 2}, Notes: []tune.Note{{Name: n}}})
	}
	return b
}

// Song makes a tune of one voice.
func Song(bars ...tune.Bar) *tune.Tune {
	return &tune.Tune{Title: "Harbour Street Waltz", Voices: []tune.Voice{{ID: "1"}}, Bars: bars}
}
