package musicxml_test

import (
	"fmt"

	"lapwright/notation/abc"
	"lapwright/notation/musicxml"
)

// A tune goes through MusicXML and comes back.
func Example() {
	tunes, _, err := abc.Read([]byte("X:1\nT:Triad\nM:3/4\nL:1/4\nK:D\nDFA|]\n"), "triad.abc")
	if err != nil {
		fmt.Println(err)
		return
	}
	b, err := musicxml.WriteTune(tunes[0])
	if err != nil {
		fmt.Println(err)
		return
	}
	score, err := musicxml.Read(b, "triad.musicxml")
	if err != nil {
		fmt.Println(err)
		return
	}
	part, err := score.Part("")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, e := range part.Tune.Bars[0].Lines[0] {
		fmt.Print(e.Notes[0].Name, " ")
	}
	fmt.Println(part.Tune.Title)
	// Output: D4 F#4 A4 Triad
}
