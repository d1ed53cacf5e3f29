package musicxml

import (
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"lapwright/tune"
)

// fuzzSeeds are the files that the other tests of this room read and write.
func fuzzSeeds(t testing.TB) [][]byte {
	var written [2][]byte
	for i, name := range [...]string{"tune.musicxml", "tab.musicxml"} {
		var err error
		if written[i], err = os.ReadFile(filepath.Join("writing", "testdata", name)); err != nil {
			t.Fatal(err)
		}
	}
	return [][]byte{
		written[0], written[1],
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
	for _, s := range fuzzSeeds(f) {
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
