package tabtext

import (
	"os"
	"strings"
	"testing"

	"lapwright/rig"
)

// soundText returns the example of the format's description, with a heading for
// the capo and an empty fine print.
func soundText(t testing.TB) string {
	t.Helper()
	doc, err := os.ReadFile("../../docs/formats/tab-text.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(doc), "```\n")
	text, _, _ := strings.Cut(rest, "```")
	return strings.Replace(text, "meter: 4/4\n", "meter: 4/4\ncapo: 0\n", 1) + "\n" + finePrintLabel + "\n"
}

// changed is the sound text with one thing in it put otherwise; "$" is its end.
func changed(t testing.TB, old, other string) string {
	t.Helper()
	text := soundText(t)
	if old == "$" {
		return text + other + "\n"
	}
	if !strings.Contains(text, old) {
		t.Fatalf("%q doesn't stand in the text", old)
	}
	return strings.Replace(text, old, other, 1)
}

// A slip of the hand in a sound text is told with its place, or is none: the
// bounds of everything that is written are just so wide.
func TestOneSlip(t *testing.T) {
	r, _ := rig.Builtin("reso-open-g")
	for _, c := range []struct{ old, other, want string }{
		// Heading.
		{"tuning: G2 B2 D3 G3 B3 D4\n", "", `x:1:1: the heading "tuning" is missing`},
		{"key: G major\n", "", `x:1:1: the heading "key" is missing`},
		{"meter: 4/4\n", "", `x:1:1: the heading "meter" is missing`},
		{"title: Low Tide", "title Low Tide", `x:2:1: a heading such as "title: …" expected, and a blank line before the first system`},
		{"title: Low Tide", "title: Low Tide\ntitle: Low Tide", `x:3:1: the heading "title" stands twice`},
		{"title: Low Tide", `title: "Low" Tide`, "x:2:8: one quoted text expected"},
		{"title: Low Tide", `title: "Low Tide`, "x:2:8: one quoted text expected"},
		{"title: Low Tide", "subtitle: a\nsubtitle: a", ""},
		{"tempo: q=92", "tempo: y=92", "x:8:8: tempo: \"y=92\" is not a tempo: a form such as `q=120` or `q.=60 \"Slowly\"` expected"},
		{"key: G major", "key: H major", `x:5:6: key: "H major" is not a key: it begins with a letter A to G`},
		{"capo: 0", "capo: x", `x:7:7: capo: "x" is not a whole number`},
		{"title: Low Tide", "number: x", `x:2:9: number: "x" is not a whole number`},
		{"title: Low Tide", "transposed: x", `x:2:13: transposed: "x" is not a whole number`},
		{"capo: 0", "capo: 99", `x:4:1: the capo of rig "reso-open-g" goes to fret 5, and "99" was asked for`},
		{"capo: 0", "capo: 0\ncapo: 0", `x:8:1: the heading "capo" stands twice`},
		{"title: Low Tide", `voices: "1"`, `x:2:9: voices: "": a second quoted name expected`},
		{"title: Low Tide", "voices: 1", `x:2:9: voices: "1": a quoted name expected`},
		{"title: Low Tide", `voices: "1" "a" "2"`, `x:2:9: voices: "\"2\"": a comma expected`},
		{"title: Low Tide", `voices: "1" "a";`, `x:2:9: voices: ";": a comma expected`},
		{"G2 B2 D3 G3 B3 D4", "G2 B2 D3 G3 B3", `x:4:1: the text is for 5 strings, and the rig "reso-open-g" has 6`},
		{"G2 B2 D3 G3 B3 D4", "A2 B2 D3 G3 B3 D4", `x:4:9: string 6 is "A2" here, and "G2" on the rig "reso-open-g"`},
		{"G2 B2 D3 G3 B3 D4", "G2 B2 D3 G3 B3 E4", `x:4:24: string 1 is "E4" here, and "D4" on the rig "reso-open-g"`},
		{"G2 B2 D3 G3 B3 D4", "G2 B2 D3 H3 B3 D4", `x:4:18: "H3" is not a note name: a letter A to G expected at character 1`},
		// System.
		{"2 B3   |---", "3 B3   |---", "x:15:1: string 3 stands where string 2 is expected"},
		{"2 B3   |---", "2 B3   |–--", "x:15:9: only plain characters expected on the line of a string"},
		{"hand  ", "hum   ", `x:20:1: unknown line "hum      M   I  M  M  M     MIT  MT" in a system`},
		{"bar      1                  2", "bar      1                  2\nbar      1                  2", `x:11:1: a second line "bar" in one system`},
		{"rhythm  ", "rhythm 2", `x:13:1: there is no voice for "rhythm 2"`},
		{"rhythm   q   e  e  e  q.    h    h\n", "", "x:10:1: no rhythm line for voice 1 in this system"},
		{"1 D4   |-0---2--5--/7-p0--|-5~---13---|", "1 D4   |-0---2--5--/7-p0--|-5~---13---|-", "x:14:40: nothing expected after the last barline"},
		{"bar      1                  2", "bar      1                  x", `x:10:29: one bar number expected, not "x"`},
		{"bar      1                  2", "bar      1                  -1", `x:10:29: one bar number expected, not "-1"`},
		{"bar      1                  2", "bar      1                  1073741825", `x:10:29: one bar number expected, not "1073741825"`},
		{"bar      1 ", "bar      1 1", `x:10:10: one bar number expected, not "1"`},
		{"chords   G ", "chords    G", `x:11:11: "G" stands over no letter of the rhythm line`},
		{"chords   G ", "chords   G@x", `x:11:11: a time such as "@1/4" expected, not "@x"`},
		{"C    G\n", "C{    G\n", `x:11:36: "}" expected`},
		{"F1-3", "F1-9", "x:12:34: the rig has no string 9"},
		{"F1-3", "F3-1", `x:12:34: a further string's number expected, not "F3-1"`},
		{"F1-3", "G1-3", `x:12:34: one of - = F R S N expected, not "G1-3"`},
		{"F1-3", "=", `x:12:34: a string's number expected, not "="`},
		{"F1-3", "+Q", `x:12:34: the rig has no bender "Q"`},
		{"F1-3", "+q", `x:12:34: bender letters expected after the plus, not "+q"`},
		{"F1-3", "-1", `x:12:34: nothing expected after "-", not "-1"`},
		{"F1-3", "=0-2", `x:12:34: a string's number expected, not "=0-2"`},
		{"F1-3", "=1-2:", `x:12:34: a bar position expected, not "=1-2:"`},
		{"F1-3", "=1:/5", `x:12:34: a bar position expected, not "=1:/5"`},
		{"$", "stroke 1 0: len 1/4 =1-2:5/", `x:23:12: a bar position expected, not "=1-2:5/"`},
		{"$", "stroke 1 0: len 1/4 =1-2:99.5", `x:23:12: a bar position expected, not "=1-2:99.5"`},
		{"$", "stroke 1 0: len 1/4 =1-13:5", ""},
		{"$", "stroke 1 0: len 1/4 =1-2:99", ""},
		{"$", "stroke 1 0: none", ""},
		{"$", "right 1: single 99", ""},
		{"$", "beams 1.1: 5", ""},
		{"$", "notes 1.1.1: D4!?-/s-128", "x: bar 1, 0 into it: a scoop of -128 semitones is out of bounds"},
		{"$", "marks 1.1.5: fermata breath", ""},
		{"$", "beams 2.1: none", ""},
		{"$", "stroke 1 0: len 1/4 - | 1 99 1.1.1n1 scoop -99", ""},
		{"$", "stroke 1 0: len 1/4 - | 6 0 1.1.1n1 scoop 99 node 127", ""},
		{"F1-3\n", " F1-3\n", `x:12:35: "F1-3" stands over or under no number`},
		{"hand     M ", "hand      M", `x:20:11: "M" stands over or under no number`},
		{"hand     M ", "hand     X", "x:20:10: T, I, M or - expected, not 'X'"},
		{"hand     M ", "hand     MT", "x:20:10: 2 fingers stand under 1 notes"},
		// Rhythm letters.
		{"q   e  e  e  q.    h    h", "q   e  e  e  q.    q    h", ""},
		{"q   e  e  e  q.    h    h", "q   e  e  e  q.    h:7  h", "x:13:29: the rig has no string 7"},
		{"q   e  e  e  q.    h    h", "q   e  e  e  q.    h:0  h", "x:13:29: the rig has no string 0"},
		{"q   e  e  e  q.    h    h", "q   e  e  e  q.    h:2  h", "x:14:29: no voice of the rhythm line plays string 1 here (and 2 more)"},
		{"q   e  e  e  q.    h    h", "q   e  e  e  q.    hy   h", `x:13:30: the end of the rhythm letter expected, not "y"`},
		{"q   e  e  e  q.    h    h", "q   e  e  e  q.    R=0  h", `x:13:31: the length of the bar as a fraction of a whole note expected, not "0"`},
		{"q   e  e  e  q.    h    h", "q   e  e  e  q.    R=x  h", `x:13:31: the length of the bar as a fraction of a whole note expected, not "x"`},
		{"q   e  e  e  q.    h    h", "q   e  e  e  q.    h    [3h", "x:13:37: the tuplet is not over at the end of the bar"},
		{"q   e  e  e  q.    h    h", "q   e  e  e  q.    h    h]", `x:13:34: "h]" ends a tuplet that did not begin`},
		{"q   e  e  e  q.    h    h", "q   e  e  e  q.    [0h] h", `x:13:31: the number of a tuplet expected, not "h]"`},
		{"q   e  e  e  q.    h    h", "q   e  e  e  q.    [65h] h", `x:13:32: the number of a tuplet expected, not "h]"`},
		{"q   e  e  e  q.    h    h", "q   e  e  e  q.    [8h] h", `x:13:31: ":" and how many notes' time the tuplet takes expected, not "h]"`},
		{"q   e  e  e  q.    h    h", "q   e  e  e  q.    [8:0h] h", `x:13:33: the other number of the tuplet expected, not "h]"`},
		{"q   e  e  e  q.    h    h", "q   e  e  e  q.    [8:65h] h", `x:13:34: the other number of the tuplet expected, not "h]"`},
		{"q   e  e  e  q.    h    h", "q   e  e  e  q.    h    'e", "x:13:36: a note expected after the graces"},
		{"q   e  e  e  q.    h    h", "q   e  e  e  q.            ", "x:13:25: no rhythm letters in this bar"},
		{"q   e  e  e  q.    h    h", "q   e  e  e  'e rq  h    h", `x:13:27: a note value (w h q e s t x, with dots) expected, not ""`},
		{"q   e  e  e  q.    h    h", "q   e  e  e  q.    h    rh", "x:14:34: the number stands under no letter of the rhythm line"},
		// Numbers.
		{"13---", "100--", `x:14:34: a bar position from 0 to 99 expected, not "100"`},
		{"13---", "h----", `x:14:35: a bar position from 0 to 99 expected, not ""`},
		{"13---", "(13--", `x:14:37: ")" expected, not ""`},
		{"13---", "<13>-", `x:14:38: a fret with a node (12, 7, 5, 4, 3 or 2) expected, not ""`},
		{"13---", "<12:1", `x:14:37: the number of a harmonic from 2 on expected, not ":1"`},
		{"13---", "13?--", `x:14:36: the end of the number or one of the marks ~ ' expected, not "?"`},
		{"13---", "13~~-", `x:14:37: the end of the number or one of the marks ~ ' expected, not "~"`},
		{"13---", "13''-", `x:14:37: the end of the number or one of the marks ~ ' expected, not "'"`},
		{"13---", "13Q--", `x:14:34: the rig has no bender "Q"`},
		{"13---", "1//3-", `x:14:36: a bar position from 0 to 99 expected, not "/3"`},
		{"13---", "1<x>-", `x:14:36: the fret of the palm's node expected, not "x>"`},
		{"13---", "1<13", "x:15:39: the barlines of string 2 do not stand under those of string 1"},
		{"13---", "1<2:1", `x:14:37: the number of a harmonic from 2 on expected, not ":1"`},
		{"13---", "1<7>-", `x:14:37: a node 12, 7, 5, 4, 3 or 2 frets above the bar expected, not ">"`},
		{"13---", "1.5.2", `x:14:34: a bar position from 0 to 99 expected, not "1.5.2"`},
		// Signs; the line of signs stands over the others.
		{"bar      1", "signs    [1.\nbar      1", ""},
		{"bar      1", "signs    [1,3.\nbar      1", ""},
		{"bar      1", "signs    [0.\nbar      1", `x:10:10: an ending such as "[1." or "[1,2." expected, not "[0."`},
		{"bar      1", "signs    [99.\nbar      1", ""},
		{"bar      1", "signs    [100.\nbar      1", `x:10:10: an ending such as "[1." or "[1,2." expected, not "[100."`},
		{"bar      1", "signs    [1\nbar      1", `x:10:10: an ending such as "[1." or "[1,2." expected, not "[1"`},
		{"bar      1", "signs    [x.\nbar      1", `x:10:10: an ending such as "[1." or "[1,2." expected, not "[x."`},
		{"bar      1", "signs    [1,x.\nbar      1", `x:10:10: an ending such as "[1." or "[1,2." expected, not "[1,x."`},
		{"bar      1", "signs    {play 1 times}\nbar      1", `x:10:10: a form such as "{play 3 times}" expected, not "{play 1 times}"`},
		{"bar      1", "signs    {play 101 times}\nbar      1", `x:10:10: a form such as "{play 3 times}" expected, not "{play 101 times}"`},
		{"bar      1", "signs    {play x times}\nbar      1", `x:10:10: a form such as "{play 3 times}" expected, not "{play x times}"`},
		{"bar      1", "signs    {part \"A\" b}\nbar      1", `x:10:10: one quoted text expected in "{part \"A\" b}"`},
		{"bar      1", "signs    {key H}\nbar      1", `x:10:10: "H" is not a key: it begins with a letter A to G`},
		{"bar      1", "signs    {meter 4/5}\nbar      1", `x:10:10: "4/5" is not a meter: a form such as "3/4", "2+2+3/8" or "free" expected`},
		{"bar      1", "signs    {tempo fast}\nbar      1", "x:10:10: \"fast\" is not a tempo: a form such as `q=120` or `q.=60 \"Slowly\"` expected"},
		{"bar      1", "signs    {segno=\"a\"b}\nbar      1", `x:10:10: unknown sign "{segno=\"a\"b}"`},
		{"bar      1", "signs    {fine=\"Fin}\nbar      1", `x:10:10: unknown sign "{fine=\"Fin}"`},
		{"bar      1", "signs    {encore}\nbar      1", `x:10:10: unknown sign "{encore}"`},
		{"bar      1", "signs    {segno\nbar      1", `x:10:10: "}" expected at the end of "{segno"`},
		{"bar      1", "signs    words\nbar      1", `x:10:10: an ending, a sign in braces or words in quotes expected, not "words"`},
		{"bar      1", "signs    \"a\"b\nbar      1", `x:10:10: an ending, a sign in braces or words in quotes expected, not "\"a\"b"`},
		{"bar      1", "signs    _words\nbar      1", `x:10:10: an ending, a sign in braces or words in quotes expected, not "_words"`},
		{"bar      1", "signs     \"a\"\nbar      1", `x:10:11: "\"a\"" stands over no letter of the rhythm line`},
		{"bar      1", "signs    \"a\"@1/x\nbar      1", `x:10:13: a time such as "@1/4" expected, not "@1/x"`},
		// Verses.
		{"hand  ", "verse 1  a        b\nhand  ", `x:20:19: "b" stands under no letter of the rhythm line`},
		{"hand  ", "verse 1/2 a\nhand  ", `x:20:1: no such verse or voice: "verse 1/2"`},
		{"hand  ", "verse 1  -\nhand  ", `x:20:10: a syllable expected, not "-"`},
		{"hand  ", "verse 1  \"a\nhand  ", `x:20:10: a syllable expected, not "\"a"`},
		{"hand  ", "verse 1x a\nhand  ", `x:20:1: no such verse or voice: "verse 1x"`},
		{"hand  ", "verse 1/0 a\nhand  ", `x:20:1: no such verse or voice: "verse 1/0"`},
		// Fine print.
		{"$", "breaks: 3", `x:23:1: a written bar from 1 to 2 expected, not "3"`},
		{"$", "breaks: 0", `x:23:1: a written bar from 1 to 2 expected, not "0"`},
		{"$", "breaks: x", `x:23:1: a written bar from 1 to 2 expected, not "x"`},
		{"$", "so be it", `x:23:1: a line of the fine print such as "marks 1.1.1: fermata" expected`},
		{"$", "marks 1.1.1: jolly", `x:23:13: unknown mark "jolly"`},
		{"$", "tunes 1.1.1: x", `x:23:1: unknown fine print "tunes"`},
		{"$", "left x: single", `x:23:1: a written bar from 1 to 2 expected, not "x"`},
		{"$", "left 1: thick", `x:23:8: a barline such as "final 1" expected, not "thick"`},
		{"$", "left 1: single 0", `x:23:8: a barline such as "final 1" expected, not "single 0"`},
		{"$", "left 1: single 100", `x:23:8: a barline such as "final 1" expected, not "single 100"`},
		{"$", "left 1: single x", `x:23:8: a barline such as "final 1" expected, not "single x"`},
		{"$", "left 1: single 1 1", `x:23:8: a barline such as "final 1" expected, not "single 1 1"`},
		{"$", "left 1:", `x:23:8: a barline such as "final 1" expected, not ""`},
		{"$", "beams: often", `x:23:7: one of beats, plain, halves, bars expected, not "often"`},
		{"$", "beams 3.1: 1", `x:23:1: there is nothing at "3.1.1"`},
		{"$", "beams 1.1: 0", `x:23:11: an event from 1 to 5 expected, not "0"`},
		{"$", "beams 1.1: 6", `x:23:11: an event from 1 to 5 expected, not "6"`},
		{"$", "beams 1.1: x", `x:23:11: an event from 1 to 5 expected, not "x"`},
		{"$", "beams 1.2: 1", `x:23:1: there is nothing at "1.2.1"`},
		{"$", "marks 1.1: fermata", `x:23:1: a place such as "3.1.2" expected, not "1.1"`},
		{"$", "marks 1.1.1.1: fermata", `x:23:1: a place such as "3.1.2" expected, not "1.1.1.1"`},
		{"$", "marks 1.1.x: fermata", `x:23:1: a place such as "3.1.2" expected, not "1.1.x"`},
		{"$", "marks 0.1.1: fermata", `x:23:1: a place such as "3.1.2" expected, not "0.1.1"`},
		{"$", "marks 1.1.0: fermata", `x:23:1: a place such as "3.1.2" expected, not "1.1.0"`},
		{"$", "marks 1.1.6: fermata", `x:23:1: there is nothing at "1.1.6"`},
		{"$", "marks 3.1.1: fermata", `x:23:1: there is nothing at "3.1.1"`},
		{"$", "marks 1.2.1: fermata", `x:23:1: there is nothing at "1.2.1"`},
		{"$", "marks 1.1.1g1: fermata", `x:23:1: there is nothing at "1.1.1g1"`},
		{"$", "marks 1.1.1g0: fermata", `x:23:1: a grace counted from 1 expected in "1.1.1g0"`},
		{"$", "marks 1.1.1n1: fermata", `x:23:1: a place such as "3.1.2" expected, not "1.1.1n1"`},
		{"$", "notes 1.1.1: H4", `x:23:13: a note such as "Bb3!" expected, not "H4"`},
		{"$", "notes 1.1.1: D4+", `x:23:13: a note such as "Bb3!" expected, not "D4+"`},
		{"$", "notes 1.1.1: D4s", `x:23:13: a note such as "Bb3!" expected, not "D4s"`},
		{"$", "notes 1.1.1: D4s128", `x:23:13: a note such as "Bb3!" expected, not "D4s128"`},
		{"$", "notes 1.1.1: D", `x:23:13: a note such as "Bb3!" expected, not "D"`},
		{"$", "lyrics 1.1.1: sail", "x:23:14: a syllable such as `1\"text\"` expected, not \"sail\""},
		{"$", `lyrics 1.1.1: "sail"`, "x:23:14: a syllable such as `1\"text\"` expected, not \"\\\"sail\\\"\""},
		{"$", `lyrics 1.1.1: 0"sail"`, "x:23:14: a syllable such as `1\"text\"` expected, not \"0\\\"sail\\\"\""},
		{"$", `lyrics 1.1.1: x"sail"`, "x:23:14: a syllable such as `1\"text\"` expected, not \"x\\\"sail\\\"\""},
		{"$", `lyrics 1.1.1: 1"sail"x`, "x:23:14: a syllable such as `1\"text\"` expected, not \"1\\\"sail\\\"x\""},
		{"$", "stroke 3 0: none", `x:23:1: a written bar from 1 to 2 expected, not "3"`},
		{"$", "stroke 1 x: none", `x:23:1: a time such as "1/4" expected, not "x"`},
		{"$", "stroke 1 0: len x -", `x:23:12: a length such as "1/4" expected, not "x"`},
		{"$", "stroke 1 0: len", `x:23:12: one of - = F R S N expected, not "len"`},
		{"$", "stroke 1 0: len 1/4 Q", `x:23:12: one of - = F R S N expected, not "Q"`},
		{"$", "stroke 1 0: len 1/4 +Q", `x:23:12: the rig has no bender "Q"`},
		{"$", "stroke 1 0: len 1/4 - | 1 0", `x:23:12: a note such as "1 5 3.1.2n1 picked len 1/4" expected, not "1 0"`},
		{"$", "stroke 1 0: len 1/4 - | 7 0 1.1.1n1", `x:23:12: a note such as "1 5 3.1.2n1 picked len 1/4" expected, not "7"`},
		{"$", "stroke 1 0: len 1/4 - | 0 0 1.1.1n1", `x:23:12: a note such as "1 5 3.1.2n1 picked len 1/4" expected, not "0"`},
		{"$", "stroke 1 0: len 1/4 - | x 0 1.1.1n1", `x:23:12: a note such as "1 5 3.1.2n1 picked len 1/4" expected, not "x"`},
		{"$", "stroke 1 0: len 1/4 - | 1 -1 1.1.1n1", `x:23:12: a note such as "1 5 3.1.2n1 picked len 1/4" expected, not "-1"`},
		{"$", "stroke 1 0: len 1/4 - | 1 99.5 1.1.1n1", `x:23:12: a note such as "1 5 3.1.2n1 picked len 1/4" expected, not "99.5"`},
		{"$", "stroke 1 0: len 1/4 - | 1 x 1.1.1n1", `x:23:12: a note such as "1 5 3.1.2n1 picked len 1/4" expected, not "x"`},
		{"$", "stroke 1 0: len 1/4 - | 1 NaN 1.1.1n1", `x:23:12: a note such as "1 5 3.1.2n1 picked len 1/4" expected, not "NaN"`},
		{"$", "stroke 1 0: len 1/4 - | 1 0 1.1.1", `x:23:1: a place such as "3.1.2n1" expected, not "1.1.1"`},
		{"$", "stroke 1 0: len 1/4 - | 1 0 1.1.1n0", `x:23:1: a place such as "3.1.2n1" expected, not "1.1.1n0"`},
		{"$", "stroke 1 0: len 1/4 - | 1 0 1.1.1n2", `x:23:12: there is no note at "1.1.1n2"`},
		{"$", "stroke 1 0: len 1/4 - | 1 0 1.1.1n1 jolly", `x:23:12: a note such as "1 5 3.1.2n1 picked len 1/4" expected, not "jolly"`},
		{"$", "stroke 1 0: len 1/4 - | 1 0 1.1.1n1 len", `x:23:12: a note such as "1 5 3.1.2n1 picked len 1/4" expected, not ""`},
		{"$", "stroke 1 0: len 1/4 - | 1 0 1.1.1n1 scoop x", `x:23:12: a note such as "1 5 3.1.2n1 picked len 1/4" expected, not "x"`},
		{"$", "stroke 1 0: len 1/4 - | 1 0 1.1.1n1 scoop 99.5", `x:23:12: a note such as "1 5 3.1.2n1 picked len 1/4" expected, not "99.5"`},
		{"$", "stroke 1 0: len 1/4 - | 1 0 1.1.1n1 scoop -99.5", `x:23:12: a note such as "1 5 3.1.2n1 picked len 1/4" expected, not "-99.5"`},
		{"$", "stroke 1 0: len 1/4 - | 1 0 1.1.1n1 node x", `x:23:12: a note such as "1 5 3.1.2n1 picked len 1/4" expected, not "x"`},
		{"$", `compromise 1.1.1: bar 1 at 0 wanted "a" got "b" why "c"`, `x:23:1: a place such as "3.1.2n1" expected, not "1.1.1"`},
		{"$", `compromise 1.1.1n1: bar 1 at 0 wanted "a" got "b"`, "x:23:20: a form such as `bar 3 at 1/4 wanted \"F#4\" got \"nothing\" why \"…\"` expected"},
		{"$", `compromise 1.1.1n1: bar x at 0 wanted "a" got "b" why "c"`, `x:23:20: "bar" and its value expected, not "bar x"`},
		{"$", `compromise 1.1.1n1: bar 1 at x wanted "a" got "b" why "c"`, `x:23:20: "at" and its value expected, not "at x"`},
		{"$", `compromise 1.1.1n1: bar 1 at 0 wanted a got "b" why "c"`, `x:23:20: "wanted" and its value expected, not "wanted a"`},
		{"$", `compromise 1.1.1n1: bar 1 at 0 wanted "a"b got "b" why "c"`, `x:23:20: "wanted" and its value expected, not "wanted \"a\"b"`},
		{"$", `compromise 1.1.1n1: bar 1 at 0 hoped "a" got "b" why "c"`, `x:23:20: "wanted" and its value expected, not "hoped \"a\""`},
		{"$", `compromise 1.1.1n1: beat 1 at 0 wanted "a" got "b" why "c"`, `x:23:20: "bar" and its value expected, not "beat 1"`},
		{"$", `compromise 1.1.1n1: bar 1 on 0 wanted "a" got "b" why "c"`, `x:23:20: "at" and its value expected, not "on 0"`},
	} {
		got := ""
		if _, _, err := Parse([]byte(changed(t, c.old, c.other)), "x", r); err != nil {
			got = err.Error()
		}
		if got != c.want {
			t.Errorf("%q for %q: %q, want %q", c.other, c.old, got, c.want)
		}
	}
}
