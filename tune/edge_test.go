package tune_test

import (
	"slices"
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/tune"
)

// whole makes a tune of one bar of 4/4 with one whole note, C4.
func whole(t *testing.T) *tune.Tune {
	t.Helper()
	c4, err := pitch.ParseName("C4")
	if err != nil {
		t.Fatal(err)
	}
	return &tune.Tune{Voices: []tune.Voice{{ID: "1"}}, Bars: []tune.Bar{{Number: 1, Meter: tune.Meter{Beats: 4, Unit: 4}, Len: tune.Whole,
		Lines: [][]tune.Event{{{Len: tune.Whole, Notes: []tune.Note{{Name: c4}}}}}}}}
}

type (
	onBar   = func(*tune.Bar)
	onEvent = func(*tune.Event)
)

// barEdges are changes of a bar up to a bound and just beyond it.
var barEdges = map[string]struct {
	set onBar
	say string // "" for a sound one
}{
	"number 0":                  {func(b *tune.Bar) { b.Number = 0 }, ""},
	"number -1":                 {func(b *tune.Bar) { b.Number = -1 }, "number -1 is negative"},
	"a double flat signed":      {func(b *tune.Bar) { b.Key.Signature[0] = -2 }, ""},
	"a double sharp signed":     {func(b *tune.Bar) { b.Key.Signature[6] = 2 }, ""},
	"three flats on one note":   {func(b *tune.Bar) { b.Key.Signature[0] = -3 }, "alters a note by -3"},
	"three sharps on one note":  {func(b *tune.Bar) { b.Key.Signature[6] = 3 }, "alters a note by 3"},
	"repeated most":             {func(b *tune.Bar) { b.Left.Repeat, b.Right.Repeat = 1, tune.MaxRepeats }, ""},
	"repeated once more":        {func(b *tune.Bar) { b.Right.Repeat = tune.MaxRepeats + 1 }, "repeat counts"},
	"repeated less than never":  {func(b *tune.Bar) { b.Right.Repeat = -1 }, "repeat counts"},
	"begun twice":               {func(b *tune.Bar) { b.Left.Repeat = 2 }, "repeat counts"},
	"begun less than never":     {func(b *tune.Bar) { b.Left.Repeat = -1 }, "repeat counts"},
	"a sign at the head":        {func(b *tune.Bar) { b.Signs = []tune.Sign{{Kind: tune.Segno}} }, ""},
	"a sign at the end":         {func(b *tune.Bar) { b.Signs = []tune.Sign{{Kind: tune.Fine, At: tune.Whole}} }, ""},
	"a sign beyond":             {func(b *tune.Bar) { b.Signs = []tune.Sign{{Kind: tune.Fine, At: tune.Whole + 1}} }, "a sign of kind"},
	"a sign before":             {func(b *tune.Bar) { b.Signs = []tune.Sign{{Kind: tune.Fine, At: -1}} }, "a sign of kind"},
	"a sign of no kind":         {func(b *tune.Bar) { b.Signs = []tune.Sign{{}} }, "a sign of kind 0"},
	"a sign of a kind too many": {func(b *tune.Bar) { b.Signs = []tune.Sign{{Kind: tune.DalSegnoAlCoda + 1}} }, "a sign of kind 11"},
	"a tempo at the end":        {func(b *tune.Bar) { b.Tempos = []tune.Tempo{{At: tune.Whole, Text: "x"}} }, "a tempo is outside"},
	"a tempo just before":       {func(b *tune.Bar) { b.Tempos = []tune.Tempo{{At: tune.Whole - 1, Text: "x"}} }, ""},
	"a tempo too early":         {func(b *tune.Bar) { b.Tempos = []tune.Tempo{{At: -1, Text: "x"}} }, "a tempo is outside"},
	"the fastest tempo":         {func(b *tune.Bar) { b.Tempos = []tune.Tempo{{PerMinute: tune.MaxPerMinute, Beat: 16 * tune.Whole}} }, ""},
	"a faster one":              {func(b *tune.Bar) { b.Tempos = []tune.Tempo{{PerMinute: tune.MaxPerMinute + 1, Beat: tune.Whole}} }, "the tempo of"},
	"a slower one than none":    {func(b *tune.Bar) { b.Tempos = []tune.Tempo{{PerMinute: -1, Beat: tune.Whole}} }, "the tempo of"},
	"a tempo of no beat":        {func(b *tune.Bar) { b.Tempos = []tune.Tempo{{PerMinute: 1}} }, "the tempo of"},
	"a tempo of a long beat":    {func(b *tune.Bar) { b.Tempos = []tune.Tempo{{PerMinute: 1, Beat: 16*tune.Whole + 1}} }, "the tempo of"},
	"a chord just in the bar":   {func(b *tune.Bar) { b.Chords = []tune.ChordAt{{At: tune.Whole - 1, Text: "G"}} }, ""},
	"a chord at the end":        {func(b *tune.Bar) { b.Chords = []tune.ChordAt{{At: tune.Whole, Text: "G"}} }, `the chord symbol "G"`},
	"a chord before the bar":    {func(b *tune.Bar) { b.Chords = []tune.ChordAt{{At: -1, Text: "G"}} }, `the chord symbol "G"`},
	"a text at the end":         {func(b *tune.Bar) { b.Texts = []tune.TextAt{{At: tune.Whole, Text: "x"}} }, ""},
	"a text beyond":             {func(b *tune.Bar) { b.Texts = []tune.TextAt{{At: tune.Whole + 1, Text: "x"}} }, `the text "x"`},
	"a text before":             {func(b *tune.Bar) { b.Texts = []tune.TextAt{{At: -1, Text: "x"}} }, `the text "x"`},
	"the greatest meter":        {func(b *tune.Bar) { b.Meter = tune.Meter{Beats: tune.MaxBeats, Unit: tune.MaxUnit} }, ""},
	"a beat too many":           {func(b *tune.Bar) { b.Meter.Beats = tune.MaxBeats + 1 }, "the meter "},
	"no beats":                  {func(b *tune.Bar) { b.Meter.Beats = 0 }, "the meter 0/4"},
	"a unit too small":          {func(b *tune.Bar) { b.Meter.Unit = 2 * tune.MaxUnit }, "the meter "},
	"no unit":                   {func(b *tune.Bar) { b.Meter.Unit = 0 }, "the meter 4/0"},
	"a unit of six":             {func(b *tune.Bar) { b.Meter.Unit = 6 }, "the meter 4/6"},
	"free meter":                {func(b *tune.Bar) { b.Meter = tune.Meter{} }, ""},
	"the least meter":           {func(b *tune.Bar) { b.Meter = tune.Meter{Beats: 1, Unit: 1} }, ""},
	"a text at the head":        {func(b *tune.Bar) { b.Texts = []tune.TextAt{{Text: "x"}} }, ""},
	"an ending named twice":     {func(b *tune.Bar) { b.Endings = []int{1, 1} }, "ending numbers [1 1] are out of order"},
	"groups that add up":        {func(b *tune.Bar) { b.Meter.Groups = []int{1, 3} }, ""},
	"groups that don't":         {func(b *tune.Bar) { b.Meter.Groups = []int{2, 3} }, "the groups [2 3] do not add up to 4"},
	"a group of none":           {func(b *tune.Bar) { b.Meter.Groups = []int{0, 4} }, "the groups [0 4] do not add up to 4"},
}

// eventEdges are the same for an event.
var eventEdges = map[string]struct {
	set onEvent
	say string
}{
	"a slur that ends":          {func(e *tune.Event) { e.SlurEnds = 1 }, "ends a slur that does not begin"},
	"slurs less than none":      {func(e *tune.Event) { e.Slurs = -1 }, "ends a slur that does not begin"},
	"verse 1":                   {func(e *tune.Event) { e.Lyrics = []tune.Lyric{{Verse: 1}} }, ""},
	"verse 0":                   {func(e *tune.Event) { e.Lyrics = []tune.Lyric{{Text: "sail"}} }, `a syllable "sail" is of verse 0`},
	"a bar's rest":              {func(e *tune.Event) { e.Kind, e.Notes, e.Value = tune.Rest, nil, tune.Value{BarRest: true} }, ""},
	"a bar's rest that sounds":  {func(e *tune.Event) { e.Value.BarRest = true }, "a bar rest is not a rest"},
	"a value that is too short": {func(e *tune.Event) { e.Value.Log2 = 1 }, "is written as"},
	"the shortest value":        {func(e *tune.Event) { e.Value.Log2 = tune.MaxLog2 }, "is written as"},
	"the longest value":         {func(e *tune.Event) { e.Value.Log2 = tune.MinLog2 }, "is written as"},
	"the most dots":             {func(e *tune.Event) { e.Value.Dots = tune.MaxDots }, "is written as"},
	"the dots are too many":     {func(e *tune.Event) { e.Value.Dots = tune.MaxDots + 1 }, "a written value with"},
	"dots less than none":       {func(e *tune.Event) { e.Value.Dots = -1 }, "a written value with"},
	"a value beyond the last":   {func(e *tune.Event) { e.Value.Log2 = tune.MaxLog2 + 1 }, "a written value with"},
	"a value before the first":  {func(e *tune.Event) { e.Value.Log2 = tune.MinLog2 - 1 }, "a written value with"},
	"a dot below the shortest":  {func(e *tune.Event) { e.Value.Log2, e.Value.Dots = tune.MaxLog2, 1 }, "a written value with"},
	"a rest with a note":        {func(e *tune.Event) { e.Kind = tune.Rest }, "a rest has notes"},
	"no notes":                  {func(e *tune.Event) { e.Notes = nil }, "a sounding event has 0 notes"},
	"no kind":                   {func(e *tune.Event) { e.Kind = tune.Skip + 1 }, "of the unknown kind 3"},
	"the first mark":            {func(e *tune.Event) { e.Marks = []tune.Mark{tune.Staccato} }, ""},
	"the last mark":             {func(e *tune.Event) { e.Marks = []tune.Mark{tune.Swell} }, ""},
	"a mark that is none":       {func(e *tune.Event) { e.Marks = []tune.Mark{0} }, "a mark is of the unknown kind 0"},
	"a mark beyond the last":    {func(e *tune.Event) { e.Marks = []tune.Mark{tune.Swell + 1} }, "a mark is of the unknown kind"},
	"a double flat":             {func(e *tune.Event) { e.Notes[0].Name.Alter = -2 }, ""},
	"a double sharp":            {func(e *tune.Event) { e.Notes[0].Name.Alter = 2 }, ""},
	"a triple flat":             {func(e *tune.Event) { e.Notes[0].Name.Alter = -3 }, "a note has letter 0 altered by -3"},
	"a triple sharp":            {func(e *tune.Event) { e.Notes[0].Name.Alter = 3 }, "a note has letter 0 altered by 3"},
	"the widest scoop up":       {func(e *tune.Event) { e.Notes[0].Scoop = tune.MaxScoop }, ""},
	"the widest scoop down":     {func(e *tune.Event) { e.Notes[0].Scoop = -tune.MaxScoop }, ""},
	"a wider one up":            {func(e *tune.Event) { e.Notes[0].Scoop = tune.MaxScoop + 1 }, "a scoop of"},
	"a wider one down":          {func(e *tune.Event) { e.Notes[0].Scoop = -tune.MaxScoop - 1 }, "a scoop of"},
	"the widest tuplet": {func(e *tune.Event) {
		e.Tuplets = []tune.Tuplet{{Actual: tune.MaxTuplet, Normal: tune.MaxTuplet, Starts: true, Ends: true}}
	}, ""},
	"a wider tuplet": {func(e *tune.Event) {
		e.Tuplets = []tune.Tuplet{{Actual: tune.MaxTuplet + 1, Normal: tune.MaxTuplet + 1, Starts: true, Ends: true}}
	}, "in its tuplets"},
	"as many notes as can be": {func(e *tune.Event) { e.Notes = slices.Repeat(e.Notes, tune.MaxNotes) }, ""},
	"as many graces as can be": {func(e *tune.Event) {
		e.Graces = slices.Repeat([]tune.Grace{{Notes: e.Notes[:1], Value: tune.Value{Log2: 5}}}, tune.MaxGraces)
	}, ""},
	"a grace of so many notes": {func(e *tune.Event) {
		e.Graces = []tune.Grace{{Notes: slices.Repeat(e.Notes, tune.MaxNotes), Value: tune.Value{Log2: 5}}}
	}, ""},
	"a rest with a grace": {func(e *tune.Event) {
		e.Kind, e.Graces, e.Notes = tune.Rest, []tune.Grace{{Notes: e.Notes, Value: tune.Value{Log2: 5}}}, nil
	}, "a rest has notes"},
	"the lowest note":     {func(e *tune.Event) { e.Notes[0].Name = pitch.Note(pitch.C, 0, -1) }, ""},
	"a lower one":         {func(e *tune.Event) { e.Notes[0].Name = pitch.Note(pitch.C, -1, -1) }, "beyond all instruments"},
	"the highest note":    {func(e *tune.Event) { e.Notes[0].Name = pitch.Note(pitch.G, 0, 9) }, ""},
	"a higher one":        {func(e *tune.Event) { e.Notes[0].Name = pitch.Note(pitch.G, 1, 9) }, "beyond all instruments"},
	"a B":                 {func(e *tune.Event) { e.Notes[0].Name = pitch.Note(pitch.B, 0, 4) }, ""},
	"a unison":            {func(e *tune.Event) { e.Notes = append(e.Notes, e.Notes[0]) }, ""},
	"a crushed note":      {func(e *tune.Event) { e.Graces = []tune.Grace{{Notes: e.Notes[:1], Value: tune.Value{Log2: 3}}} }, ""},
	"a grace of no notes": {func(e *tune.Event) { e.Graces = []tune.Grace{{Value: tune.Value{Log2: 3}}} }, "a grace has 0 notes"},
	"a grace of a bar": {func(e *tune.Event) {
		e.Graces = []tune.Grace{{Notes: e.Notes[:1], Value: tune.Value{BarRest: true}}}
	}, "a grace's written value is out of bounds"},
	"a grace too long": {func(e *tune.Event) {
		e.Graces = []tune.Grace{{Notes: e.Notes[:1], Value: tune.Value{Log2: tune.MinLog2 - 1}}}
	}, "a grace's written value"},
	"the longest grace": {func(e *tune.Event) {
		e.Graces = []tune.Grace{{Notes: e.Notes[:1], Value: tune.Value{Log2: tune.MinLog2}}}
	}, ""},
	"a grace too short": {func(e *tune.Event) {
		e.Graces = []tune.Grace{{Notes: e.Notes[:1], Value: tune.Value{Log2: tune.MaxLog2 + 1}}}
	}, "a grace's written value"},
	"the shortest": {func(e *tune.Event) {
		e.Graces = []tune.Grace{{Notes: e.Notes[:1], Value: tune.Value{Log2: tune.MaxLog2}}}
	}, ""},
	"a dotted shortest": {func(e *tune.Event) {
		e.Graces = []tune.Grace{{Notes: e.Notes[:1], Value: tune.Value{Log2: tune.MaxLog2, Dots: 1}}}
	}, "a grace's written value"},
	"a grace less dots": {func(e *tune.Event) {
		e.Graces = []tune.Grace{{Notes: e.Notes[:1], Value: tune.Value{Log2: 3, Dots: -1}}}
	}, "a grace's written value"},
	"a tuplet of 0": {func(e *tune.Event) { e.Tuplets = []tune.Tuplet{{Actual: 0, Normal: 2, Starts: true, Ends: true}} }, `is written as "0" in its tuplets (and 1 more)`},
	"a tuplet left open": {func(e *tune.Event) {
		e.Tuplets = []tune.Tuplet{{Actual: 1, Normal: 1, Starts: true}}
	}, "leaves a tuplet open"},
	"a tuplet not begun": {func(e *tune.Event) { e.Tuplets = []tune.Tuplet{{Actual: 1, Normal: 1, Ends: true}} }, "that did not begin"},
}

// What is taken for a tune ends just where the bounds say.
func TestCheckAtItsEdges(t *testing.T) {
	if bad := whole(t).Check(); len(bad) > 0 {
		t.Fatal(bad)
	}
	judge := func(what, say string, u *tune.Tune) {
		got := u.Check()
		if say == "" && len(got) > 0 || say != "" && (len(got) == 0 || !strings.Contains(got.Error(), say)) {
			t.Errorf("%s: %v, want %q", what, got, say)
		}
	}
	for what, c := range barEdges {
		u := whole(t)
		c.set(&u.Bars[0])
		judge(what, c.say, u)
	}
	for what, c := range eventEdges {
		u := whole(t)
		c.set(&u.Bars[0].Lines[0][0])
		judge(what, c.say, u)
	}
}
