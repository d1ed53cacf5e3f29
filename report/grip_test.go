package report

import (
	"encoding/json"
	"testing"

	"lapwright/grip"
	"lapwright/rig/rigtest"
)

// TestGrips: the form of a slant, worked out by hand: strings 1 and 3 of a rig at
// 13 and 12 are D#5 and F#4, the steel leaning 42.867 degrees (package steel);
// string 2, which lies under it at 12.4912, sounds neither. On the open strings
// what else would fit is told.
func TestGrips(t *testing.T) {
	r := rigtest.OpenD()
	r.Benders = nil // the palms and the pedal would give more
	for _, c := range []struct {
		want string
		o    grip.Options
		json string
	}{
		{"D#5 F#4", grip.Options{Low: 12, High: 13}, `{"wanted":"D#5 F#4","rig":"test","tones":[{"name":"D#5","label":"D#5","spare":false},{"name":"F#4","label":"F#4","spare":false}],` +
			`"grips":[{"bar":{"kind":"forward slant","first":1,"last":3,"firstFret":13,"lastFret":12,"angle":42.9,"angleDegrees":42.9},"benders":[],` +
			`"notes":[{"string":1,"fret":13,"sounds":"D#5","label":"D#5","centsOff":0},{"string":3,"fret":12,"sounds":"F#4","label":"F#4","centsOff":0}],` +
			`"missing":[],"inversion":"F#4","centsOff":0,"more":[],"cost":3.24}]}`},
		{"D", grip.Options{Max: 1, High: 0.5}, `{"wanted":"D","rig":"test","tones":[{"name":"D","label":"R","spare":true},{"name":"F#","label":"3","spare":false},{"name":"A","label":"5","spare":true}],` +
			`"grips":[{"bar":{"kind":"open","first":0,"last":0,"firstFret":0,"lastFret":0,"angle":0,"angleDegrees":0},"benders":[],` +
			`"notes":[{"string":2,"fret":0,"sounds":"A3","label":"5","centsOff":0},{"string":3,"fret":0,"sounds":"F#3","label":"3","centsOff":0},{"string":4,"fret":0,"sounds":"D3","label":"R","centsOff":0}],` +
			`"missing":[],"inversion":"R","centsOff":0,"more":[1,5,6],"cost":0}]}`},
		{"C-1", grip.Options{}, `{"wanted":"C-1","rig":"test","tones":[{"name":"C-1","label":"C-1","spare":false}],"grips":[]}`},
	} {
		w, err := grip.ParseWant(c.want)
		if err != nil {
			t.Fatal(err)
		}
		got, err := json.Marshal(GripsOf(r, w, grip.Find(r, w, c.o)))
		if err != nil {
			t.Fatal(err)
		}
		if string(got) != c.json {
			t.Errorf("%s:\n%s\nwant\n%s", c.want, got, c.json)
		}
	}
}
