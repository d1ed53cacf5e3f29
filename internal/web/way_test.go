package web

import (
	"encoding/json"
	"math"
	"testing"

	"lapwright/arrange"
	"lapwright/internal/golden"
	"lapwright/notation/abc"
	living "lapwright/page"
	"lapwright/rig"
	"lapwright/sound"
	"lapwright/sound/click"
	"lapwright/tune"
)

// way is a tune as a page follows it, and what the command has of it, practised in some ways. The page's unit tests
// (src/test/way.test.ts) hold the page's own bars and clicks against it.
type way struct {
	Title   string        `json:"title"`
	Timing  *sound.Timing `json:"timing"`
	CountIn struct {
		Seconds float64      `json:"seconds"`
		Beats   [][2]float64 `json:"beats"` // before the music, below 0; and 1 for a first beat
	} `json:"countIn"`
	Practised []practised `json:"practised"`
}

type practised struct {
	Turn  int     `json:"turn"`
	Loop  *[2]int `json:"loop"` // passes, the last included; three times
	On    string  `json:"on"`
	Out   int     `json:"out"`
	Speed float64 `json:"speed"`
	// Bars are when each begins and ends, and 1 where it is the student's.
	Bars [][3]float64 `json:"bars"`
	// Clicks are when each sounds, and 2 for a first beat, 1 for any other, 0 for a softer one.
	Clicks [][2]float64 `json:"clicks"`
}

// practisedTunes are our own: a pickup, a repeat, compound and additive meters, another tempo on the way, swing.
const practisedTunes = `X:1
T:Pickup and repeat
M:4/4
L:1/4
Q:1/4=97
K:G
D|:GABc|d2BG|1 A4:|2 G3|]

X:2
T:Jig
M:6/8
L:1/8
Q:3/8=92
K:G
D|GAB dBG|ABA G2A|BGE DEG|A3 G2|]

X:3
T:Waltz, slower at its end
M:3/4
L:1/4
Q:1/4=111
K:G
GBd|c2A|[Q:1/4=80]BAG|G3|]

X:4
T:Two, two and three
M:7/8
L:1/8
Q:1/8=200
K:G
GABcdBG|ABcdBAG|G7|]

X:5
T:Swung
R:swing
M:4/4
L:1/8
Q:1/4=143
K:G
GABc dBGA|B2d2 c2A2|GABG A2F2|G8|]
`

// TestWays: what the page's bars and clicks are held against is what the command's Timeline gives.
func TestWays(t *testing.T) {
	all, _, err := abc.Read([]byte(practisedTunes), "ways.abc")
	if err != nil {
		t.Fatal(err)
	}
	r, _ := rig.Builtin("reso-open-g")
	var out []way
	for _, tn := range all {
		if tn.Title == "Two, two and three" {
			for i := range tn.Bars {
				tn.Bars[i].Meter.Groups = []int{2, 2, 3}
			}
		}
		res, err := arrange.Arrange(t.Context(), tn, r, arrange.Options{})
		if err != nil {
			t.Fatal(err)
		}
		w := way{Title: tn.Title}
		if w.Timing, err = living.Timing(res.Tab, sound.Options{}); err != nil {
			t.Fatal(err)
		}
		counted, err := sound.Timeline(res.Tab, sound.Options{CountIn: 1})
		if err != nil {
			t.Fatal(err)
		}
		w.CountIn.Seconds = micro(counted.CountIn)
		for _, c := range counted.Clicks {
			w.CountIn.Beats = append(w.CountIn.Beats, [2]float64{micro(c.At - counted.CountIn), number(c.First)})
		}
		for _, p := range []practised{
			{On: "beats", Speed: 1}, {On: "two-and-four", Speed: 0.5}, {On: "subdivided", Out: 2, Speed: 1}, {On: "beats", Turn: 1, Out: 1, Speed: 1}, {On: "subdivided", Turn: 2, Speed: 1.5},
			{On: "beats", Loop: &[2]int{1, 1}, Out: 1, Speed: 1}, {On: "two-and-four", Loop: &[2]int{1, 2}, Out: 2, Speed: 0.7}, {On: "beats", Loop: &[2]int{0, 2}, Turn: 2, Speed: 1},
		} {
			perf := res.Tab.Performance()
			o := tune.Practice{Turn: p.Turn}
			if p.Loop != nil {
				o.FirstBar, o.LastBar, o.Times = w.Timing.Bars[p.Loop[0]].Number, w.Timing.Bars[p.Loop[1]].Number, 3
			}
			tb := *res.Tab
			if tb.Performed, err = perf.Practised(o); err != nil {
				t.Fatal(err)
			}
			on, err := click.ParseOn(p.On)
			if err != nil {
				t.Fatal(err)
			}
			times, err := sound.Timeline(&tb, sound.Options{Click: true, ClickOn: on, ClickOut: p.Out, Speed: p.Speed})
			if err != nil {
				t.Fatal(err)
			}
			for _, b := range times.Bars {
				p.Bars = append(p.Bars, [3]float64{micro(b.At), micro(b.End), number(b.Yours)})
			}
			for _, c := range times.Clicks {
				loud := 1 + number(c.First)
				if c.Soft {
					loud = 0
				}
				p.Clicks = append(p.Clicks, [2]float64{micro(c.At), loud})
			}
			w.Practised = append(w.Practised, p)
		}
		w.Timing.Strokes, w.Timing.Steel = []sound.StrokeTime{}, []sound.SteelTime{}
		out = append(out, w)
	}
	b, err := json.Marshal(out)
	if err != nil {
		t.Fatal(err)
	}
	golden.File(t, "src/test/ways.json", append(b, '\n'))
}

// micro rounds seconds to a millionth.
func micro(s float64) float64 { return math.Round(1e6*s) / 1e6 }

func number(is bool) float64 {
	if is {
		return 1
	}
	return 0
}
