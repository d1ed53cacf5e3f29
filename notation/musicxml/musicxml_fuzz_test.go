package musicxml

import (
	"reflect"
	"testing"

	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// seeds are the files that the other tests of this room read and write.
func seeds(t testing.TB) [][]byte {
	r, ok := rig.Builtin("reso-open-g")
	if !ok {
		t.Fatal("the rig reso-open-g is gone")
	}
	b, err := WriteTune(fullTune())
	if err != nil {
		t.Fatal(err)
	}
	played, err := Write(&tab.Tab{Tune: song(oneBar(1, "D4", "E4")), Rig: r, Strokes: []tab.Stroke{
		{Len: tune.Whole / 4, Plucks: []tab.Pluck{{Ref: tune.Ref{Grace: -1}, String: 1, Len: tune.Whole / 4, Glide: true}}},
		{At: tune.Whole / 4, Len: tune.Whole / 4, Placement: steel.Placement{Kind: steel.Straight, First: 1, Last: 2, FirstFret: 2, LastFret: 2},
			Plucks: []tab.Pluck{{Ref: tune.Ref{Event: 1, Grace: -1}, String: 1, Fret: 2, Len: tune.Whole / 4, Attack: tab.Glided}}},
	}})
	if err != nil {
		t.Fatal(err)
	}
	return [][]byte{
		b, played,
		[]byte(score("<measure>" + quarter + "</measure>")),
		[]byte(`<score-timewise><measure number="1"><part id="P1">` + quarter + `</part></measure></score-timewise>`),
		[]byte(score(`<measure><attributes><divisions>3</divisions><time><beats>3+2</beats><beat-type>8</beat-type></time></attributes><note><pitch><step>C</step><alter>1</alter><octave>4</octave></pitch><duration>2</duration><type>eighth</type><time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification></note><backup><duration>1</duration></backup><forward><duration>3</duration></forward></measure>`)),
		packed(t, "META-INF/container.xml", containerOf("a.xml"), "a.xml", score("<measure>"+quarter+"</measure>")),
	}
}

// FuzzRead: reading never panics; an error means no score; every tune that is
// read is valid and writing it gives something that reads as the same tune; a
// part with strings becomes a tab or an error.
func FuzzRead(f *testing.F) {
	for _, s := range seeds(f) {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, in []byte) {
		s, err := Read(in, "x.xml")
		if err != nil {
			if s != nil {
				t.Fatal("an error and a score")
			}
			return
		}
		for _, p := range s.Parts {
			if l := p.Tune.Check(); len(l) > 0 {
				t.Fatalf("an invalid tune: %v", l)
			}
			b, err := WriteTune(p.Tune)
			if err != nil {
				t.Fatal(err)
			}
			again, err := Read(b, "x.xml")
			if err != nil {
				t.Fatalf("what was written is not read: %v\n%s", err, b)
			}
			if a, b := tune.Sound(p.Tune), tune.Sound(again.Parts[0].Tune); !reflect.DeepEqual(a, b) {
				t.Fatalf("sounds otherwise:\n%v\n%v", a, b)
			}
			if len(p.Fingers) > 0 {
				if tb, _, err := p.Tab(nil); err == nil {
					if _, err := Write(tb); err != nil {
						t.Fatal(err)
					}
				}
			}
		}
	})
}
