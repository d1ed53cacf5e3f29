package abc

import (
	"strings"
	"testing"
)

// musicEdges are more rows of TestMusic: signs in rare places and numbers at their bounds.
var musicEdges = []music{
	// Endings and barlines (4.8 to 4.10).
	{"4.10", `|:C4|1D4:|E4|["last" F4|]`, `: C4:1 | [1] D4:1 : ] | E4:1 | "last" F4:1`, []string{`1:14 the ending "last" follows no other; it`}},
	{"4.10", `|:C4|[99D4:|["last" E4|]`, `: C4:1 | [99] D4:1 : ] | "last" E4:1`, []string{`1:13 the ending "last" follows no other; it`}},
	{"4.10", `|:C4|[98D4:|["last" E4|]`, `: C4:1 | [98] D4:1 : ] | [99] "last" E4:1 ]`, nil},
	{"4.10", `|:C4|1D4:|C2["last" E2|]`, `: C4:1 | [1] D4:1 : ] | C4:1/2 style5 | "last" E4:1/2`, []string{"1:13 an ending begins inside a bar; a", `1:13 the ending "last" follows no other; it`}},
	{"4.10", `["GCE]4|D4`, "", []string{"1:2 a quotation mark is not closed; the", "1:1 a chord has no closing bracket", "1:1 a chord has no note and is left out", "-3:1 the tune X:1 has no notes and is left"}},
	{"4.10", `["G"{a}C4|D4`, `"G" {A5:1/8}C4:1 | D4:1`, []string{`1:1 the ending "G" follows no other; it is`}},
	{"4.10", `["1-2"C4:|["3:"D4|`, "[1 2] C4:1 : ] | [3] D4:1 ]", nil},
	{"4.8", "C4|9D4|", "C4:1 | [9] D4:1 ]", nil},
	{"4.8", "C4|||D4|", "C4:1 style1 | D4:1", nil},
	{"4.8", "C4[|D4|", "C4:1 | left3 D4:1", nil},
	{"4.8", "C4[||D4|", "C4:1 | left3 D4:1", nil},
	{"4.8", "C4||]D4|", "C4:1 style2 | D4:1", nil},
	{"4.8", "C4|]|D4|", "C4:1 style2 | D4:1", nil},
	{"4.8", "C4|]:D4:|", "C4:1 style2 | : D4:1 :", nil},
	{"4.8", "C4[]D4|", "C4:1 style5 | D4:1", nil},
	{"4.8", "C4:::D4:|", "C4:1 : : | : D4:1 :", nil},
	{"4.8", "C4::::D4:|", "C4:1 : : | : D4:1 : :", nil},
	{"4.8", "C4.:|D4|", "C4:1 : style4 | D4:1", nil},
	{"4.8", ":|C4|", "C4:1", []string{"1:1 a repeat ends before any music"}},
	{"4.8", "|C4|", "C4:1", nil},
	{"4.8", "[|:C4:|", "left3 : C4:1 :", nil},
	{"4.8", "|::C4|D4:|E4:|", ": C4:1 | D4:1 : : | E4:1 :", nil},

	// Slurs and ties that go on from bar to bar (4.11).
	{"4.11", "(C4|)D4", "C4:1 | D4:1", []string{"1:2 a slur ends here that did not begin,", "-3:1 a slur in the tune X:1 does not end,"}},
	{"4.11", "(C2x2|)D4", "C4:1/2 x:1/2 | D4:1", []string{"1:2 a slur ends here that did not begin,", "-3:1 a slur in the tune X:1 does not end,"}},
	{"4.11", "x4|)D4", "x:1 | D4:1", []string{"1:4 a slur ends before any note"}},
	{"4.11", ")C4", "C4:1", []string{"1:1 a slur ends before any note"}},
	{"4.11", "C4&)D4", "C4:1 D4:1", []string{"1:3 an overlay of several bars ends that", "1:5 bar 1 lasts 2 and its meter asks for 1"}},
	{"4.11", "-C4|x4-|z4-|", "C4:1 | x:1 | Z:1", []string{"1:1 a tie has no note before it and is left", "1:7 a tie has no note before it and is left", "1:11 a tie has no note before it and is"}},
	{"4.11", "^C4-|[CE]4|", "C#4-:1 | C#4+E4:1", nil},

	// Chords (4.17) and graces (4.12).
	{"4.17", "[(CE)]2[CE]2", "C4+E4:1/2 C4+E4:1/2", []string{"1:1 a slur ends here that did not begin,", "-3:1 a slur in the tune X:1 does not end,"}},
	{"4.17", "([CE)]2[CE]2", "C4+E4:1/2 C4+E4:1/2", []string{"1:2 a slur ends here that did not begin,", "-3:1 a slur in the tune X:1 does not end,"}},
	{"4.17", "[!trill!CE]2z2", "m6 C4+E4:1/2 r:1/2", nil},
	{"4.17", `["G"CE]2z2`, `"G" C4+E4:1/2 r:1/2`, nil},
	{"4.17", "[C E\tG]2z2", "C4+E4+G4:1/2 r:1/2", nil},
	{"4.17", "[C2zE]2", "C4+E4:1", []string{"1:4 a rest inside a chord is left out", "1:1 the notes of a chord differ in length;"}},
	{"4.17", "[C.-E][CF]z2", "C4-+E4:1/4 C4+F4:1/4 r:1/2", nil},
	{"4.17", "[C?E]4", "C4+E4:1", []string{`1:3 "?" inside a chord is not understood`}},
	{"4.17", "[CTE]4", "m6 C4+E4:1", nil},
	{"4.17", "[CE|D4", "C4+E4:1/4 | D4:1", []string{"1:1 a chord has no closing bracket"}},
	{"4.17", "[CE]0 z3", "C4+E4:1/4 r:3/4", []string{"1:1 a chord's length is no length that a"}},
	{"4.17", "[CE]3/2[FA]5/2", "C4+E4:3/8 F4-+A4-:1/2 F4+A4:1/8", nil},
	{"4.17", "[C^E_G]4", "C4+E#4+Gb4:1", nil},
	{"4.12", "{a>b}C4", "{A5:3/32}{B5:1/32}C4:1", nil},
	{"4.12", "{a<b}C4", "{A5:1/32}{B5:3/32}C4:1", nil},
	{"4.12", "{>a>>b}C4", "{A5:3/32}{B5:1/32}C4:1", nil},
	{"4.12", "{a b`c}C4", "{A5:1/16}{B5:1/16}{C5:1/16}C4:1", nil},
	{"4.12", "{a2b/}C4", "{A5:1/8}{B5:1/32}C4:1", nil},
	{"4.12", "{a5}C4", "{A5:1/16}C4:1", []string{"1:1 a grace note has no plain value; a"}},
	{"4.12", "{[ca]2[e2c2]}C4", "{C5+A5:1/8}{C5+E5:1/8}C4:1", nil},
	{"4.12", "{[c?e]}C4", "{C5+E5:1/8}C4:1", []string{`1:4 "?" in a grace chord is left out`}},
	{"4.12", "{[ce}C4", "{C5+E5:1/8}C4:1", nil},
	{"4.12", "{/}C4", "C4:1", nil},
	{"4.12", "{!nosuch!a}C4", "{A5:1/8}C4:1", []string{`1:2 the decoration "!nosuch!" is not known`}},
	{"4.12", "{!slide!ab}C4", "{A5s-1:1/16}{B5:1/16}C4:1", nil},
	{"4.12", "{a}z4|C4", "Z:1 | {A5:1/8}C4:1", nil},
	{"4.12", "{abcdefgabcdefgabcdefgabcdefgabcd}C4", "{A5:1/16}{B5:1/16}{C5:1/16}{D5:1/16}{E5:1/16}{F5:1/16}{G5:1/16}{A5:1/16}{B5:1/16}{C5:1/16}{D5:1/16}{E5:1/16}{F5:1/16}{G5:1/16}{A5:1/16}{B5:1/16}{C5:1/16}{D5:1/16}{E5:1/16}{F5:1/16}{G5:1/16}{A5:1/16}{B5:1/16}{C5:1/16}{D5:1/16}{E5:1/16}{F5:1/16}{G5:1/16}{A5:1/16}{B5:1/16}{C5:1/16}{D5:1/16}C4:1", nil},
	{"4.12", "{a}{b}C4", "{A5:1/8}{B5:1/8}C4:1", nil},

	// Broken rhythm, tuplets and rests (4.4, 4.5, 4.13).
	{"4.4", ">C4", "C4:1", []string{`1:1 the broken rhythm ">" is left out: it`}},
	{"4.4", "C>>>D z2", "C4:15/32 D4:1/32 r:1/2", nil},
	{"4.4", "C<<<D z2", "C4:1/32 D4:15/32 r:1/2", nil},
	{"4.4", "C><D z2", "C4:3/8 D4:1/8 r:1/2", []string{`1:3 the broken rhythm "<" is left out: it`}},
	{"4.4", "C> D z2", "C4:3/8 D4:1/8 r:1/2", nil},
	{"4.4", "C>z D2", "C4:3/8 r:1/8 D4:1/2", nil},
	{"4.4", "C2D>|", "C4:1/2 D4:3/8", []string{"-3:1 the tune X:1 ends in the middle of a"}},
	{"4.13", "(64C4", "(64:2 C4:1/32)", []string{"1:4 a tuplet runs on over the end of a bar;"}},
	{"4.13", "(65C4", "C4:1", []string{`1:1 "(65" is no tuplet and is left out`}},
	{"4.13", "(3:64:1C4", "(3:64 C4:64/3)", []string{"1:8 bar 1 lasts 64/3 and its meter asks for"}},
	{"4.13", "(3:65:1C4", "C4:1", []string{`1:1 "(3:65:1" is no tuplet and is left out`}},
	{"4.13", "(3:2:1000C4", "(3:2 C4:2/3)", []string{"1:10 a tuplet runs on over the end of a"}},
	{"4.13", "(3:2:1001C4", "C4:1", []string{`1:1 "(3:2:1001" is no tuplet and is left out`}},
	{"4.13", "(3:/C4", "(3:2 C4:2/3)", []string{`1:4 "/" is not understood and is left out`, "1:5 a tuplet runs on over the end of a bar;"}},
	{"4.13", "(1C4", "(1:2 C4:2)", []string{"1:3 bar 1 lasts 2 and its meter asks for 1"}},
	{"4.13", "(9CDEFGABcd", "(9:2 C4:1/18 D4:1/18 E4:1/18 F4:1/18 G4:1/18 A4:1/18 B4:1/18 C5:1/18 D5:1/18)", nil},
	{"4.5", "Z1|Z|", "Z:1 | Z:1", nil},
	{"4.5", "Z1001|", "Z:1", []string{`1:1 "1001" is no number of bars to rest;`}},
	{"4.5", "C2Z|", "C4:1/2 | Z:1", nil},
	{"4.5", "x2z2|x/3x/3x/3z3|", "x:1/2 r:1/2 | x:1/12 x:1/12 x:1/12 r:3/4", nil},
	{"4.5", "y1000C4", "C4:1", nil},
	{"4.3", "L:1\nC64|x1000|", "C4-:12 C4-:12 C4-:12 C4-:12 C4-:12 C4:4 | x:1000", []string{"2:4 bar 1 lasts 64 and its meter asks for 1", "2:10 bar 2 lasts 1000 and its meter asks"}},
	{"4.3", "L:1\nC65|", "C4:1", []string{`2:2 "65" is no length that a note can have;`}},

	// Accidentals (4.2).
	{"4.2", "^/C_3/2D^^/E2", "C#4:1/4 Db4:1/4 E##4:1/2", []string{"1:1 an accidental of part of a semitone is", "1:4 an accidental of part of a semitone is", "1:9 an accidental of part of a semitone is"}},
	{"4.2", "^ C4", "C4:1", []string{`1:1 "^" has no note after it`}},
	{"4.2", "^|C4", "C4:1", []string{`1:1 "^" has no note after it`}},
	{"4.1", "C,,,,,G'''''", "C-1:1/4 G9:1/4", nil},

	// Parts (3.1.9, 6.1.2).
	{"3.1.9", "C4|D[P:B]E4|", "C4:1 | D4:1/4 | P=B E4:1", nil},
	{"3.1.9", "C4|D4[P:B]E4|F4|", "C4:1 | D4:1 E4:1 | P=B F4:1", []string{`1:9 part "B" begins inside a bar; it is put`, "1:13 bar 2 lasts 2 and its meter asks for 1"}},
	{"3.1.9", "M:none\nC4|D[P:B]E4|F4|", "C4:1 | D4:1/4 E4:1 | P=B F4:1", []string{`2:8 part "B" begins inside a bar; it is put`}},
	{"3.1.9", "[P:]C4|[P::x]D4|", "C4:1 | m9 D4:1", []string{`1:4 "" is no label of a part and is left out`, `1:10 ":" inside a chord is not understood`, `1:11 ":" inside a chord is not understood`, "1:12 a rest inside a chord is left out", "1:8 a chord has no note and is left out"}},

	// Decorations (4.14 to 4.19).
	{"4.14", "!abcdefghijklmnopqrstuvwxyzabcdefghijklmn!C4", "C4:1", []string{"1:1 the decoration"}},
	{"4.14", "!!C4", "C4:1", []string{`1:1 a lone "!" is read as an old line break`}},
	{"4.14", "++C4", "C4:1", []string{`1:1 the sign "+" is not understood and is`, `1:2 the sign "+" is not understood and is`}},
	{"4.14", "!shortphrase!C4", "m14 C4:1", []string{`1:1 the decoration "!shortphrase!" is kept`}},
	{"4.14", "!nil!C2!none!C2", "C4:1/2 C4:1/2", nil},
	{"4.14", "!chop!C2!courtesy!^F2", "C4:1/2 F#4?:1/2", nil},
	{"4.14", "!glide@3![CE]2[DF]2", "C4+E4:1/2 D4+F4:1/2", []string{"1:10 there is no note 3 from the top to"}},
	{"4.14", "I:linebreak !\nC4!D4|!\nE4|", `C4:1 D4:1 \n | E4:1`, []string{"2:6 bar 1 lasts 2 and its meter asks for 1"}},
	{"4.16", "U: T = !nil!\nTC4", "C4:1", nil},
	{"4.16", "U: ~ = !accent!\n~C4", "m3 C4:1", nil},
	{"4.16", "U: h = !accent!\nU: w = !trill!\nhC2wC2", "m3 C4:1/2 m6 C4:1/2", nil},
	{"4.16", "U: H = \"^x\"\nU: W = +accent+\nHC2WC2", `"x" C4:1/2 m3 C4:1/2`, nil},
	{"4.16", "U: x = !accent!\nU: z = !accent!\nU: G = !accent!\nU: g = !accent!\nU: HH = !accent!\nC4", "C4:1", []string{`1:4 "x = !accent!" defines no symbol: a`, `2:4 "z = !accent!" defines no symbol: a`, `3:4 "G = !accent!" defines no symbol: a`, `4:4 "g = !accent!" defines no symbol: a`, `5:4 "HH = !accent!" defines no symbol: a`}},
	{"4.16", "U: H = !!\nU: H = !a+\nU: H = aaa\nU: H\nC4", "C4:1", []string{`1:4 "!!" is neither a decoration nor an`, `2:4 "!a+" is neither a decoration nor an`, `3:4 "aaa" is neither a decoration nor an`, `4:4 "H" defines no symbol: a letter H to W`}},
	{"4.19", `""C4`, "C4:1", nil},
	{"4.19", `"^"C2"_"C2`, "C4:1/2 C4:1/2", nil},
	{"4.19", `"@1.5,-2 free"C2">right"C2`, `"free" C4:1/2 "right" C4:1/2`, []string{`1:1 the text "1.5,-2 free" is kept over the`, `1:17 the text "right" is kept over the`}},
	{"4.15", "C D E F|G4|\ns: !trill! | \"^a\" \"Am\" \n", `m6 C4:1/4 D4:1/4 E4:1/4 F4:1/4 | "a" G4:1`, []string{"2:19 there are more symbols than notes:"}},
	{"4.15", "C2 D2|\ns: ? !segno! !slide! x\n", "segno C4:1/2 D4s-1:1/2", []string{`2:4 "?" in a line of symbols is left out`, `2:22 "x" in a line of symbols is left out`}},
	{"4.15", "C2 D2|E4\ns: \"C\" !trill! !slide!\n", `"C" C4:1/2 m6 D4:1/2 | E4s-1:1`, nil},

	// Words (5.1).
	{"5.1", "C2D2|E4|\nw: a*b\n", `C4:1/2=1"a" D4:1/2 | E4:1=1"b"`, nil},
	{"5.1", "C2D2|E4|\nw: a- -b\n", `C4:1/2=1"a"- D4:1/2 | E4:1=1"b"`, nil},
	{"5.1", "C2D2|E4|\nw: a-|b\n", `C4:1/2=1"a"- D4:1/2 | E4:1=1"b"`, nil},
	{"5.1", "C2D2|E4|\nw: a__|b_ *\n", `C4:1/2=1"a"_ D4:1/2 | E4:1`, []string{"2:8 there are more syllables than notes:"}},
	{"5.1", "C2D2|E4|\nw: |a||b\n", `C4:1/2=1"a" D4:1/2 | E4:1`, []string{"2:8 there are more syllables than notes:"}},
	{"5.1", "C2D2|\nw: a\\-b ~ \\'e\\\n", `C4:1/2=1"a-b" D4:1/2`, []string{"2:11 there are more syllables than notes:"}},
	{"5.1", "C4|\nw: ~a~\n", `C4:1=1"a"`, nil},
	{"5.1", "w: a\nC4|\n", "C4:1", []string{`1:4 there are no notes for the words "a"`}},
	{"5.1", "z4|\nw: a\n", "Z:1", []string{`2:4 there are no notes for the words "a"`}},
	{"5.1", "C4|\nw: a _ - *\n", `C4:1=1"a"-_`, []string{"2:4 there are more signs than notes in the"}},
	{"5.1", "C2\\\nD2|\nw: a b\n", `C4:1/2=1"a" D4:1/2=1"b"`, nil},

	// Overlays (7.4) and voices (7).
	{"7.4", "C4|D4&&E4|F4&G4|A4|", "C4:1 & E4:1 & x:1 | D4:1 & F4:1 & G4:1 | A4:1 & x:1 & x:1", nil},
	{"7.4", "C4|D4|&&E4|F4|G4|", "C4:1 & E4:1 | D4:1 & F4:1 | G4:1 & x:1", nil},
	{"7.4", "C4|D4&&&E4|", "C4:1 & x:1 | D4:1 & E4:1", []string{`1:6 the overlay "&&&" goes back to before`}},
	{"7.4", "C4&E4&G4|D4|", "C4:1 & E4:1 & G4:1 | D4:1 & x:1 & x:1", nil},
	{"7.4", "M:3/4\nC3|[M:2/4]D2&&E3|F2|G2|", "C4:3/4 & E4:3/4 | D4:1/2 & F4:1/2 | G4:1/2 & x:1/2", nil},
	{"7", "V:1 name=\"Up\" octave=-1\nC4|\nV:2 transpose=2\nC4|", "C3:1 & D4:1", []string{"3:5 the notes are moved by 2 semitones as"}},
	{"7", "V:1\n|:C4|1D4:|2E4|\nV:2\n|:E4|D4:|C4|", ": C4:1 & E4:1 | [1] D4:1 & D4:1 : ] | [2] E4:1 & C4:1 ]", nil},
	{"7", "V:1\n\"G\"!segno!C4|\nV:2\n\"G\"!segno!\"^x\"E4|[Q:1/4=60]F4|", `"G" "x" segno C4:1 & E4:1 \n | 1/4=60000"" x:1 & F4:1`, []string{`-3:1 voice "1" of the tune X:1 has 1 bar`}},
	{"7", "V:1\nC4|D4|\nV:2\nE3|F4|", "C4:1 & E4:3/4 x:1/4 | D4:1 & F4:1", []string{`4:3 a bar of voice "2" lasts 3/4, where the`}},
	{"7", "V:\nC4|", "C4:1", []string{"1:3 a voice has no name"}},
	{"7", "V:*\nC4|", "C4:1", []string{"1:3 the field V:* for all voices is not read"}},
	{"7", "V:1 clef=bass odd stem=up\nC4|", "C4:1", []string{`1:15 the voice property "odd" is not`, `1:5 the clef "bass" is not kept; its notes`}},
	{"7", "V:1\nC4|[K:D]F4|\nV:2\nF4|F4|", "C4:1 & F4:1 | F#4:1 & F4:1", nil},

	// The end of a tune, and signs of none.
	{"", `C4|"G"`, "C4:1", []string{"-3:1 what stands after the last note of the"}},
	{"", `C4|"^bye"`, "C4:1", nil},
	{"", "C4|!segno!", "C4:1", []string{"-3:1 what stands after the last note of the"}},
	{"", "C4|(", "C4:1", []string{"-3:1 what stands after the last note of the"}},
	{"", "C2", "C4:1/2", nil},
	{"", "C4|D2|E4|F2||G2|A4|", "C4:1 | D4:1/2 | E4:1 | F4:1/2 style1 | G4:1/2 | A4:1", []string{"1:6 bar 2 lasts 1/2 and its meter asks for 1"}},
	{"", `C4*D4;E4?F4@G4#A4$B4\c4|`, "C4:1 D4:1 E4:1 F4:1 G4:1 A4:1 B4:1 C5:1", []string{`1:3 the sign "*" has no meaning here and is`, `1:6 the sign ";" has no meaning here and is`, `1:9 the sign "?" has no meaning here and is`, `1:12 the sign "@" has no meaning here and`, `1:15 the sign "#" has no meaning here and`, "1:24 bar 1 lasts 8 and its meter asks for 1"}},
	{"", "C4üöäD4|", "C4:1 D4:1", []string{`1:3 "üöä" is not understood and is left`, "1:11 bar 1 lasts 2 and its meter asks for 1"}},
	{"", "[w:a]C4|[s:!trill!]D4|", "C4:1 | D4:1", []string{`1:2 the field "[w:a]" can't stand inside a`, `1:10 the field "[s:!trill!]" can't stand`}},
	{"", "I:propagate-accidentals none\nI:abc-charset latin\nI:abc-version 2.1\nC4|", "C4:1", []string{`1:3 "none" is no way for accidentals to`, `2:3 the character set "latin" is not known;`}},
	{"", "I:abc-charset US-ASCII\nI:abc-charset ISO-8859-1\nI:abc-charset UTF-8\nC4|", "C4:1", nil},
	{"", "X:2 C4|", "", []string{"-3:1 the tune X:1 has no notes and is left", `1:3 "2 C4|" is no reference number; the`, "1:1 the tune X:1 has no K: field and no"}},
	{"", "+:more\nC4|", "C4:1", []string{`1:3 there is no text that "+:more" could go`}},
	{"", "Y:AB\nC4|", "C4:1", []string{`1:1 the field "Y:AB" is not known and is`}},
}

// TestMostOfOne: as many bars to rest, graces, notes of a chord, notes of a bar and overlays as are
// read, and what becomes of one more.
func TestMostOfOne(t *testing.T) {
	for name, c := range map[string]struct {
		abc, want string
		told      string
	}{
		"bars to rest":   {"Z1000", "Z:1" + strings.Repeat(" | Z:1", 999), ""},
		"graces":         {"{" + strings.Repeat("a", 32) + "}C4", strings.Repeat("{A5:1/16}", 32) + "C4:1", ""},
		"more graces":    {"{" + strings.Repeat("a", 33) + "}C4", strings.Repeat("{A5:1/16}", 32) + "C4:1", "a note has more than 32 graces"},
		"two more":       {"{" + strings.Repeat("a", 32) + "}{b}C4", strings.Repeat("{A5:1/16}", 32) + "C4:1", "a note has more than 32 graces"},
		"notes":          {"[" + strings.Repeat("C", 64) + "]4", strings.Repeat("C4+", 63) + "C4:1", ""},
		"more notes":     {"[" + strings.Repeat("C", 65) + "]4", strings.Repeat("C4+", 63) + "C4:1", "a chord has more than 64 notes"},
		"in a grace":     {"{[" + strings.Repeat("c", 65) + "]}C4", "{" + strings.Repeat("C5+", 63) + "C5:1/8}C4:1", ""},
		"in a bar":       {"M:none\nL:1/4\n" + strings.Repeat("C", 4096), strings.Repeat("C4:1/4 ", 4095) + "C4:1/4", ""},
		"more in a bar":  {"M:none\nL:1/4\n" + strings.Repeat("C", 4097), strings.Repeat("C4:1/4 ", 4095) + "C4:1/4 | C4:1/4", "a bar has more than 4096 notes"},
		"overlays":       {"C4" + strings.Repeat("&C4", 63), "C4:1" + strings.Repeat(" & C4:1", 63), ""},
		"more overlays":  {"C4" + strings.Repeat("&C4", 64), "C4:1 x:1" + strings.Repeat(" & C4:1 x:1", 62) + " & C4:1 C4:1", "a bar has at most 64 overlays"},
		"lines":          {strings.Repeat("C4|\n", 3), "C4:1 \\n | C4:1 \\n | C4:1", ""},
		"tuplets in one": {strings.Repeat("(3", 8) + "C4|", "", "a tuplet runs on"},
		"one more in it": {strings.Repeat("(3", 9) + "C4|", "", "\"(3\" is no tuplet"},
	} {
		tunes, warnings, err := Read([]byte(plainHeader+c.abc+"\n"), "")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if got := show(tunes[0]); c.want != "" && got != c.want {
			t.Errorf("%s: got %.300s, want %.300s", name, got, c.want)
		}
		all := ""
		for _, w := range warnings {
			if !strings.Contains(w.Msg, "its meter asks for") {
				all += w.Msg + "\n"
			}
		}
		if c.told == "" && all != "" || !strings.Contains(all, c.told) {
			t.Errorf("%s: told %.200q, want %q", name, all, c.told)
		}
	}
}
