package sound

import (
	"testing"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// note is one stroke of a test tab: a string, a fret and a length in quarters.
type note struct {
	str    int
	fret   float64
	len    int64 // quarters
	attack tab.Attack
	glide  bool
	more   func(*tab.Stroke, *tab.Pluck)
}

// makeTab lays notes one after another on a rig, a 4/4 bar holding as many as
// come up to four quarters.
func makeTab(t testing.TB, r *rig.Rig, perMinute int64, notes ...note) *tab.Tab {
	t.Helper()
	const quarter = tune.Whole / 4
	tn := &tune.Tune{Title: "exercise", Voices: []tune.Voice{{ID: "1"}}}
	out := &tab.Tab{Tune: tn, Rig: r}
	g := steel.New(r)
	var at tune.Ticks
	newBar := func() {
		tn.Bars = append(tn.Bars, tune.Bar{Number: len(tn.Bars) + 1, Meter: tune.Meter{Beats: 4, Unit: 4}, Len: tune.Whole, Lines: [][]tune.Event{nil}})
		at = 0
	}
	newBar()
	tn.Bars[0].Tempos = []tune.Tempo{{Beat: quarter, PerMinute: perMinute * 1000}}
	for _, n := range notes {
		length := tune.Ticks(n.len) * quarter
		if at+length > tune.Whole {
			b := &tn.Bars[len(tn.Bars)-1]
			if at < tune.Whole {
				v, _ := tune.ValueOf(tune.Whole - at)
				b.Lines[0] = append(b.Lines[0], tune.Event{At: at, Len: tune.Whole - at, Kind: tune.Rest, Value: v})
			}
			newBar()
		}
		b := &tn.Bars[len(tn.Bars)-1]
		p := steel.Placement{}
		if n.fret > 0 {
			p = steel.Placement{Kind: steel.Straight, First: 1, Last: int8(len(r.Strings)), FirstFret: n.fret, LastFret: n.fret}
		}
		st := tab.Stroke{BarIndex: len(tn.Bars) - 1, At: at, Len: length, Placement: p}
		pl := tab.Pluck{
			Ref: tune.Ref{Bar: st.BarIndex, Event: len(b.Lines[0]), Grace: -1}, String: n.str, Fret: n.fret,
			Attack: n.attack, Finger: tab.Index, Len: length, Glide: n.glide,
		}
		if n.more != nil {
			n.more(&st, &pl)
		}
		st.Plucks = []tab.Pluck{pl}
		key := tab.Key(g, &st, &pl)
		v, _ := tune.ValueOf(length)
		b.Lines[0] = append(b.Lines[0], tune.Event{
			At: at, Len: length, Value: v,
			Notes: []tune.Note{{Name: pitch.SpellKey(int(key+0.5), 0), Glide: n.glide, Tie: false}},
		})
		out.Strokes = append(out.Strokes, st)
		at += length
	}
	return out
}
