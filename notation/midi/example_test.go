package midi_test

import (
	"fmt"

	"lapwright/notation/abc"
	"lapwright/notation/midi"
)

// What was written is read back: the keys that the notes D F♯ A have in MIDI.
func Example() {
	tunes, _, err := abc.Read([]byte("X:1\nT:Triad\nM:3/4\nL:1/4\nK:D\nDFA|]\n"), "triad.abc")
	if err != nil {
		fmt.Println(err)
		return
	}
	b, err := midi.WriteTune(tunes[0])
	if err != nil {
		fmt.Println(err)
		return
	}
	f, err := midi.Read(b, "triad.mid")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, h := range f.Sounding() {
		fmt.Println(h.Key, "at", h.At)
	}
	// Output:
	// 62 at 0
	// 66 at 1/4
	// 69 at 1/2
}
