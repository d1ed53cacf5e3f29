package midi

import (
	"encoding/binary"
	"fmt"
	"strings"
	"testing"

	"lapwright/internal/golden"
	"lapwright/notation/abc"
	"lapwright/tab"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// listed is a file's events as a table, taken apart without the room's own reader: a number of variable length is seven bits a
// byte, an event begins with its status or, under running status, with its data (Standard MIDI Files 1.0). Ticks stand
// behind a t, so that they are compared exactly; bends of a channel in a row share a line.
func listed(t *testing.T, b []byte) string {
	t.Helper()
	var out strings.Builder
	fmt.Fprintf(&out, "type %d, %d tracks, %d a quarter\n", b[9], b[11], binary.BigEndian.Uint16(b[12:]))
	for b = b[14:]; len(b) > 0; {
		n := binary.BigEndian.Uint32(b[4:])
		fmt.Fprintf(&out, "%s\n", b[:4])
		track, at, bends, last := b[8:8+n], 0, 0, byte(0)
		number := func() (v int) {
			for {
				c := track[0]
				track = track[1:]
				if v = v<<7 | int(c&127); c < 128 {
					return v
				}
			}
		}
		for len(track) > 0 {
			at += number()
			status := track[0]
			ch := status&15 + 1
			if status>>4 == 0xE {
				if bends%10 == 0 || ch != last {
					fmt.Fprintf(&out, "\n  bends of channel=%d", ch)
				}
				fmt.Fprintf(&out, " t%d %d", at, int(track[1])|int(track[2])<<7)
				bends, last = bends+1, ch
				track = track[3:]
				continue
			}
			bends = 0
			fmt.Fprintf(&out, "\n  t%d ", at)
			switch status >> 4 {
			case 0x8, 0x9, 0xB:
				fmt.Fprintf(&out, "%s channel=%d key=%d value=%d", map[byte]string{8: "off", 9: "on", 0xB: "controller"}[status>>4], ch, track[1], track[2])
				track = track[3:]
			case 0xC:
				fmt.Fprintf(&out, "program channel=%d %d", ch, track[1])
				track = track[2:]
			default:
				kind := track[1]
				track = track[2:]
				n := number()
				if kind < 0x20 {
					fmt.Fprintf(&out, "text kind=%d %q", kind, track[:n])
				} else {
					fmt.Fprintf(&out, "meta kind=%x is=%x", kind, track[:n])
				}
				track = track[n:]
			}
		}
		out.WriteString("\n")
		b = b[8+n:]
	}
	return strings.ReplaceAll(out.String(), "MTrk\n\n", "MTrk\n")
}

// TestWrittenFiles: every event of the files that tunes and tabs are written as. Bends may be one of 16384 apart, since
// machines that join multiplication and addition round otherwise.
func TestWrittenFiles(t *testing.T) {
	var out strings.Builder
	show := func(name string, b []byte, losses any, err error) {
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		fmt.Fprintf(&out, "== %s %v\n%s", name, losses, listed(t, b))
	}
	for _, music := range []string{
		"M:3/4\nL:1/8\nQ:1/4=100\nK:G\nD2|\"G\"G3 A B2|{c}d2 (3BAG z2|\nw: on ly these words\n[K:Dm][M:6/8][Q:3/8=60]F3 [DFA]3|\nP:B\nA6-|A3 z3|]",
		"M:4/4\nL:1/4\nQ:1/4=90\nK:G\n|:!glide!GA !slide!B !accent!d|1 G2 z2:|2 !glide![GB]2 [Ac]2|]\nw: a-way we go\nw: once more",
		"M:4/4\nL:1/8\nK:C\nV:1\nc4 d2 e2|\nV:2\nC2 D2 E4|",
	} {
		tunes, warnings, err := abc.Read([]byte("X:1\nT:Slipway\nC:ours\n"+music+"\n"), "t.abc")
		if err != nil || len(warnings) > 0 {
			t.Fatal(warnings, err)
		}
		b, losses, err := EncodeTune(tunes[0])
		show(strings.ReplaceAll(music, "\n", " "), b, losses, err)
	}
	// A slow bar: picked, glided, hammered and pulled off, held on with vibrato, a swell, a lean of the bar.
	in := tabOf(t, touched{0, 36, 1, 2, tab.Picked, true}, touched{36, 12, 1, 5, tab.Glided, false}, touched{48, 24, 2, 4.04, tab.Picked, false},
		touched{72, 24, 2, 5, tab.Hammered, false}, touched{96, 24, 3, 5, tab.Picked, false}, touched{120, 40, 3, 5, tab.Tied, false}, touched{160, 32, 1, 0, tab.Picked, false})
	in.Tune.Bars[0].Tempos = []tune.Tempo{{Beat: tune.Whole / 4, PerMinute: 60_000}, {At: tune.Whole / 2, Beat: tune.Whole / 4, PerMinute: 50_000}}
	in.Tune.Bars[0].Lines[0][0].Marks = []tune.Mark{tune.Accent}
	in.Strokes[4].Plucks[0].Vibrato, in.Strokes[5].Plucks[0].Vibrato = true, true
	in.Strokes[6].Plucks[0].Scoop = -1.5
	b, losses, err := Encode(in)
	show("a tab", b, losses, err)
	swell := tabOf(t, touched{0, 96, 2, 3, tab.Picked, false}, touched{96, 12, 1, 3, tab.Chopped, false})
	swell.Tune.Bars[0].Lines[0][0].Marks = []tune.Mark{tune.Swell}
	b, losses, err = Encode(swell)
	show("a swell and a chop", b, losses, err)
	again := tunetest.Quarters(1, "D4", "E4", "F#4", "G4")
	again.Right.Repeat, again.Part = 2, "A"
	swung := tunetest.Song(again)
	swung.Swing = tune.TripletSwing
	b, losses, err = EncodeTune(swung)
	show("three times", b, losses, err)
	golden.Table(t, "testdata/written.txt", out.String(), 1)
}
