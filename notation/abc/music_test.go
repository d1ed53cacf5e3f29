package abc

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// music is one row: the tune's body after "M:4/4 L:1/4 K:C" (or its own
// header lines, when it has a K: line), what it sounds like in show's words, and the
// warnings by line and column, counted from the body's first line.
type music struct {
	section string // of the ABC 2.1 standard
	abc     string
	want    string
	warn    []string
}

const plainHeader = "X:1\nM:4/4\nL:1/4\nK:C\n"

var musics = []music{
	// The examples are ours unless they are said to be the standard's. What they mean is
	// the ABC 2.1 standard, by section: 4.8, 7.4, 9 and 11.3 read, the others from memory.
	{"4.1", "C,, C, C D | c d c' c''", "C2:1/4 C3:1/4 C4:1/4 D4:1/4 | C5:1/4 D5:1/4 C6:1/4 C7:1/4", nil},
	{"4.1", "C' c, C,' c'',", "C5:1/4 C4:1/4 C4:1/4 C6:1/4", nil},
	{"4.2", "^F _B =C ^^G | __A", "F#4:1/4 Bb4:1/4 C4!:1/4 G##4:1/4 | Abb4:1/4", nil},
	{"4.2", "^F F =F F | F4", "F#4:1/4 F#4:1/4 F4:1/4 F4:1/4 | F4:1", nil},
	{"11.3", "^F f f, F,", "F#4:1/4 F#5:1/4 F#4:1/4 F#3:1/4", []string{"1:4 the accidental of the other octave is carried"}},
	{"11.3", "I:propagate-accidentals octave\n^F f F _B", "F#4:1/4 F5:1/4 F#4:1/4 Bb4:1/4", nil},
	{"11.3", "I:propagate-accidentals not\n^F F _B B", "F#4:1/4 F4:1/4 Bb4:1/4 B4:1/4", nil},
	{"4.2", "K:G\nF =F ^F | F4", "F#4:1/4 F4:1/4 F#4:1/4 | F#4:1", nil},
	{"4.11", "^F4-|F2 F2", "F#4-:1 | F#4:1/2 F4:1/2", nil},
	{"4.11", "^F4-|^F2 F2", "F#4-:1 | F#4!:1/2 F#4:1/2", nil},

	{"4.3", "C/ C// C/4 C3/2 C3/ C/8 C/8 C/4 C/", "C4:1/8 C4:1/16 C4:1/16 C4:3/8 C4:3/8 C4:1/32 C4:1/32 C4:1/16 C4:1/8", []string{"1:33 bar 1 lasts 5/4"}},
	{"4.3", "L:1/8\nC8 | C5 C3 | C7 C", "C4:1 | C4-:1/2 C4:1/8 C4:3/8 | C4:7/8 C4:1/8", nil},
	{"4.3", "C/3 C/3 C/3 D3", "(3:2 C4:1/12 C4:1/12 C4:1/12) D4:3/4", nil},
	{"4.3", "L:1/8\nM:5/16\nC5/2|", "C4-:1/4 C4:1/16", nil},
	{"4.3", "C0 C3", "C4:1/4 C4:3/4", []string{`1:2 "0" is no length`}},
	{"4.3", "C99999999999999999999 C3", "C4:1/4 C4:3/4", []string{`1:2 "99999999999999999999" is no length`}},
	{"4.3", "C/0 C3", "C4:1/4 C4:3/4", []string{`1:2 "/0" is no length`}},
	{"4.3", "C/19 D3", "C4:1/4 D4:3/4", []string{`1:2 "/19" is no length`}},
	{"4.3", "C////////////////////////// D3", "C4:1/4 D4:3/4", []string{"1:2 \"//////"}},

	{"4.4", "C>D E<F", "C4:3/8 D4:1/8 E4:1/8 F4:3/8", nil},
	{"4.4", "C>>D E<<F", "C4:7/16 D4:1/16 E4:1/16 F4:7/16", nil},
	{"4.4", "L:1/8\nC>>>D C2>D2 E>{g}F", "C4:15/64 D4:1/64 C4:3/8 D4:1/8 E4:3/16 {G5:1/8}F4:1/16", nil},
	{"4.4", "[CE]>[DF] z2", "C4+E4:3/8 D4+F4:1/8 r:1/2", nil},
	{"4.4", "A>B|>c d4", "A4:3/8 B4:1/8 | C5:1/4 D5:1", []string{"1:5 the broken rhythm", "1:8 bar 1 lasts 5/4"}},
	{"4.4", "A>>>>B c2", "A4:1/4 B4:1/4 C5:1/2", []string{`1:2 the broken rhythm ">>>>"`}},

	{"4.5", "z2 x2 | Z | Z2 | c4", "r:1/2 x:1/2 | Z:1 | Z:1 | Z:1 | C5:1", nil},
	{"4.5", "z4 | X2 | c4", "Z:1 | x:1 | x:1 | C5:1", nil},
	{"4.5", "M:none\nZ|c", "Z:1 | C5:1/4", nil},
	{"4.5", "C4 D4 & Z | C2 & Z |", "C4:1 D4:1 & r:1 x:1 | C4:1/2 x:1/2 & Z:1", []string{"1:11 bar 1 lasts 2"}},
	{"4.5", "C y D y2 z2", "C4:1/4 D4:1/4 r:1/2", nil},
	{"4.5", "Z0 C4", "Z:1 | C4:1", []string{`1:1 "0" is no number of bars`, "1:4 a rest of whole bars"}},

	{"4.8", "|:C4:|D4||E4|]", ": C4:1 : | D4:1 style1 | E4:1", nil},
	{"4.8", "C4::D4:|", "C4:1 : | : D4:1 :", nil},
	{"4.8", "C4:|:D4:||:E4:|", "C4:1 : | : D4:1 : style1 | : E4:1 :", nil},
	{"4.8", "C4:||:D4:|", "C4:1 : style1 | : D4:1 :", nil},
	{"4.8", "|::C4::|D4", ": C4:1 : : | D4:1", nil},
	{"4.8", "|::C4:|D4", ": C4:1 : : | D4:1", nil},
	{"4.8", "C4 .| D4 [| E4 [|] F4", "C4:1 style4 | D4:1 | left3 E4:1 style5 | F4:1", nil},
	{"4.8", "C4:|\n|:D4:|", "C4:1 : \\n | : D4:1 :", nil},
	{"4.8", "C4||\n||D4|", "C4:1 style1 \\n | D4:1", nil},
	// The standard has players go back to the latest double line.
	{"4.8", "C2D2:|E2F2||c2B2|A2G2:|", "C4:1/2 D4:1/2 : | E4:1/2 F4:1/2 style1 | : C5:1/2 B4:1/2 | A4:1/2 G4:1/2 :", nil},
	{"4.8", "C4|]D4|E4:|F4|G4:|", "C4:1 style2 | : D4:1 | E4:1 : | F4:1 | G4:1 :", nil},
	{"4.8", "C4||D4|1E4:|2F4||G4|A4:|", "C4:1 style1 | : D4:1 | [1] E4:1 : ] | [2] F4:1 ] style1 | G4:1 | A4:1 :", nil},
	{"4.8", "|:C4||D4:|", ": C4:1 style1 | D4:1 :", nil},
	{"4.8", "C4||D4|E4|]", "C4:1 style1 | D4:1 | E4:1", nil},
	{"4.8", "C4 : D4", "C4:1 D4:1", []string{"1:4 a colon alone", "1:6 bar 1 lasts 2"}},
	{"4.9", "|:C4|1D4:|2E4||", ": C4:1 | [1] D4:1 : ] | [2] E4:1 ]", nil},
	{"4.9", "|:C4|[1D4:|[2E4|F4|]", ": C4:1 | [1] D4:1 : ] | [2] E4:1 | F4:1 ]", nil},
	{"4.10", "|:C4|[1,3 D4:|[2,4 E4:|", ": C4:1 | [1 3] D4:1 : ] | [2 4] E4:1 : ]", nil},
	{"4.10", "|:C4|[1-3 D4:|4 E4|]", ": C4:1 | [1 2 3] D4:1 : ] | [4] E4:1 ]", nil},
	{"4.10", "C4|[0 D4", "C4:1 | D4:1", []string{`1:5 "0" is no list`}},
	{"4.10", "C2[1 D2:|[2 E2|", "C4:1/2 style5 | [1] D4:1/2 : ] | [2] E4:1/2 ]", []string{"1:4 an ending begins inside a bar"}},
	{"4.10", "|:C4|[1D4:|[1E4|", ": C4:1 | [1] D4:1 : ] | E4:1", []string{"-3:1 in the tune X:1, bar 3: ending 1 comes twice"}},

	{"4.10", `|:C4|1D4:|["last" E4|]`, `: C4:1 | [1] D4:1 : ] | [2] "last" E4:1 ]`, nil},
	{"4.10", `|:C4|["1." D4:|["2." [CE]4|]`, ": C4:1 | [1] D4:1 : ] | [2] C4+E4:1 ]", nil},
	{"4.10", `C4|["Coda" [CE]4|D4|]`, `C4:1 | "Coda" C4+E4:1 | D4:1`, []string{`1:4 the ending "Coda" follows no other`}},
	{"4.10", `|:C4|1D4:|["Coda"] E4|F4|]`, `: C4:1 | [1] D4:1 : ] | [2] "Coda" E4:1 | F4:1 ]`, nil},
	{"4.17", `["C"CEG]4|["^hi"C]4`, `"C" C4+E4+G4:1 | "hi" C4:1`, nil},

	{"4.11", "C2-C2-|C4", "C4-:1/2 C4-:1/2 | C4:1", nil},
	{"4.11", "C2 -C2", "C4-:1/2 C4:1/2", nil},
	{"4.11", "C2-D2", "C4:1/2 D4:1/2", []string{"1:1 the tie of C4 leads to no note"}},
	{"4.11", "[C-E][CF] z2", "C4-+E4:1/4 C4+F4:1/4 r:1/2", nil},
	{"4.11", "[CE]2-[CE]2", "C4-+E4-:1/2 C4+E4:1/2", nil},
	{"4.11", "(C D) (E(F) | G4)", "s(C4:1/4 D4:1/4s) s(E4:1/4 s(F4:1/4s) | G4:1s)", nil},
	{"4.11", "(C D E F", "C4:1/4 D4:1/4 E4:1/4 F4:1/4", []string{"-3:1 a slur in the tune X:1 does not end"}},
	{"4.11", "C D) E F", "C4:1/4 D4:1/4 E4:1/4 F4:1/4", []string{"1:3 a slur ends here that did not begin"}},
	{"4.11", "|:C2 D2-:|D4", ": C4:1/2 D4-:1/2 : | D4:1", nil},
	{"4.11", ".(C D) .-E E2", "s(C4:1/4 D4:1/4s) E4:1/4 E4:1/2", []string{"1:1 a dotted tie or slur", "1:5 the tie of D4", "1:12 bar 1"}},

	{"4.12", "{g}A {gab}B2 {/g}c", "{G5:1/8}A4:1/4 {G5:1/16}{A5:1/16}{B5:1/16}B4:1/2 {G5:1/8x}C5:1/4", nil},
	{"4.12", "{[ce]2d}A4", "{C5+E5:1/8}{D5:1/16}A4:1", nil},
	{"4.12", "A4{g}|B4", "A4:1 | {G5:1/8}B4:1", nil},
	{"4.12", "{gz}A4", "{G5:1/8}A4:1", []string{`1:3 "z" among grace notes`}},
	{"4.12", "A {g B z", "A4:1/4", []string{"1:3 grace notes have no closing brace"}},

	{"4.13", "(3CDE F2 | (2CD E2", "(3:2 C4:1/6 D4:1/6 E4:1/6) F4:1/2 | (2:3 C4:3/8 D4:3/8) E4:1/2", []string{"1:17 bar 2 lasts 5/4"}},
	{"4.13", "(3:2:2 C2 D (5:4 CDEFG", "(3:2 C4:1/3 D4:1/6) (5:4 C4:1/5 D4:1/5 E4:1/5 F4:1/5 G4:1/5)", []string{"1:22 bar 1 lasts 3/2"}},
	{"4.13", "(3::2 C2 D (3: CDE", "(3:2 C4:1/3 D4:1/6) (3:2 C4:1/6 D4:1/6 E4:1/6)", nil},
	{"4.13", "M:6/8\n(5CDEFG z/2 | (4CDEF", "(5:3 C4:3/20 D4:3/20 E4:3/20 F4:3/20 G4:3/20) r:1/8 | (4:3 C4:3/16 D4:3/16 E4:3/16 F4:3/16)", []string{"2:13 bar 1 lasts 7/8"}},
	{"4.13", "(3zCD E2", "(3:2 r:1/6 C4:1/6 D4:1/6) E4:1/2", nil},
	{"4.13", "(3:2:5 C (3D/E/F/ G z2", "(3:2 C4:1/6 (3:2 D4:1/18 E4:1/18 F4:1/18) G4:1/6) r:1/2", nil},
	{"4.13", "z3 (3CD|E z3", "r:3/4 (3:2 C4:1/6 D4:1/6) | (3:2 E4:1/6) r:3/4", []string{"1:8 a tuplet runs on", "1:8 bar 1 lasts 13/12"}},
	{"4.13", "(0C (3:0:2D E2", "C4:1/4 D4:1/4 E4:1/2", []string{`1:1 "(0" is no tuplet`, `1:5 "(3:0:2" is no tuplet`}},

	{"4.14", "!trill!C .D ~E !fermata!F", "m6 C4:1/4 m1 D4:1/4 m13 E4:1/4 m5 F4:1/4", nil},
	{"4.14", "uC vD TE HF | LC MD PE !tenuto!F", "m10 C4:1/4 m11 D4:1/4 m6 E4:1/4 m5 F4:1/4 | m3 C4:1/4 m8 D4:1/4 m9 E4:1/4 m2 F4:1/4", nil},
	{"4.14", "!nosuch!C D E F", "C4:1/4 D4:1/4 E4:1/4 F4:1/4", []string{`1:1 the decoration "!nosuch!" is not known`}},
	{"4.14", "+trill+C +nosuch+D E F", "m6 C4:1/4 D4:1/4 E4:1/4 F4:1/4", []string{`1:1 "+trill+" is an old way`, `1:10 the decoration "!nosuch!" is not known`}},
	{"4.14", "+CE+D E F G", "C4:1/4 E4:1/4 D4:1/4 E4:1/4 F4:1/4 G4:1/4", []string{`1:1 the sign "+"`, `1:4 the sign "+"`, "1:11 bar 1"}},
	{"4.14", "I:decoration +\n+trill+C +nosuch+D E2", "m6 C4:1/4 D4:1/4 E4:1/2", []string{`2:10 the decoration "!nosuch!" is not known`}},
	{"4.14", "!mf!C !p!D !crescendo(!E !crescendo)!F", `"mf"below C4:1/4 "p"below D4:1/4 "cresc."below E4:1/4 F4:1/4`, []string{`1:26 the decoration "!crescendo)!" is left out`}},
	{"4.14", "!segno!C4 | D4 !D.S.!|", "segno C4:1 | D4:1 @end:D.S.", nil},
	{"4.14", "C4 !fine!| D4 !D.C.alfine!|]", "C4:1 @end:fine | D4:1 @end:D.C.alfine", nil},
	{"4.14", "C4 !D.S.!| D4", "C4:1 | D4:1", []string{"-3:1 in the tune X:1, bar 1: goes back to a segno that is not there", "-3:1 the signs to play on"}},
	{"4.14", "!slide!C !glide!D E2", "C4s-1:1/4 D4/:1/4 E4:1/2", nil},
	{"4.14", "!glide@2![CE] [DF] !scoop=-2@1![CE]2", "C4/+E4:1/4 D4+F4:1/4 C4+E4s-2:1/2", nil},
	{"4.14", "!glide!C2 z2", "C4:1/2 r:1/2", []string{"1:8 the glide out of C4 leads nowhere"}},
	{"4.14", "{!glide!D}C4", "{D4/:1/8}C4:1", nil},
	{"4.14", "!slide!{D}C4", "{D4:1/8}C4s-1:1", nil},
	{"4.14", "C4!\nD4 ! E4 |", "C4:1 D4:1 E4:1", []string{`1:3 a lone "!"`, "2:9 bar 1"}},
	{"4.15", "C D E F |\ns: !trill! * \"G\" !fermata!\n", `m6 C4:1/4 D4:1/4 "G" E4:1/4 m5 F4:1/4`, nil},
	{"4.16", "U: W = !tenuto!\nU: n = \"^thumb\"\nWC nD E2", `m2 C4:1/4 "thumb" D4:1/4 E4:1/2`, nil},
	{"4.16", "U: A = !trill!\nC4", "C4:1", []string{`1:4 "A = !trill!" defines no symbol`}},

	{"4.17", "[CEG]2 [C2E2]", "C4+E4+G4:1/2 C4+E4:1/2", nil},
	{"4.17", "[C2E4] [C/E/]4 [GEC]z", "C4+E4:1/2 C4+E4:1/2 C4+E4+G4:1/4 r:1/4", []string{"1:1 the notes of a chord differ", "1:21 bar 1"}},
	{"4.17", "[CC]4 | [+GB]4", "C4+C4:1 | G4+B4:1", []string{`1:10 "+" inside a chord`}},
	{"4.17", "[CE C4 |", "C4+C4+E4:1/4", []string{"1:1 a chord has no closing bracket", "more"}},
	{"4.17", "[] C4", "C4:1", nil},
	{"4.18", `"G"C "D/f+"D "Gd"E "(E7)"F`, `"G" C4:1/4 "D/f+" D4:1/4 "Gd" E4:1/4 "(E7)" F4:1/4`, nil},
	{"4.18", `"D/c"C4 | "D.C."D4`, `"D/c" C4:1 | "D.C." D4:1`, []string{`1:11 the words "D.C." are printed`, `1:11 "D.C." is no chord`}},
	{"4.18", `"xyz"C4`, `"xyz" C4:1`, []string{`1:1 "xyz" is no chord that is known`}},
	{"4.19", `"^over"C "_under"D "@free"E "<left"F`, `"over" C4:1/4 "under"below D4:1/4 "free" E4:1/4 "left" F4:1/4`, []string{"1:20 the text", "1:29 the text"}},
	{"4.19", `C4|"_D.C. al Fine"D4|`, `C4:1 | "D.C. al Fine"below D4:1`, []string{`1:4 the words "D.C. al Fine" are printed and not followed; the decoration "!D.C.alfine!" is followed`}},
	{"4.19", `"G C4`, "", []string{"1:1 a quotation mark is not closed"}},

	{"3.2", "C4 | [K:D] F4 | [M:3/4] F3 | [L:1/8] F6", "C4:1 | F#4:1 | F#4:3/4 | F#4:3/4", nil},
	{"3.2", "C2 [K:D] F2 | F4", "C4:1/2 F#4:1/2 | F#4:1", []string{"1:7 the key changes inside a bar"}},
	{"3.2", "[Q:1/4=60]C2 [Q:\"fast\" 3/8=120.5]D2", `1/4=60000"" C4:1/2 3/8=120500"fast" D4:1/2`, nil},
	{"3.2", "[Q:0]C4", "C4:1", []string{`1:4 "0" is no tempo`}},
	{"3.2", "[K:D C4", "", []string{`1:1 the field "[K:D C4" has no closing bracket`}},
	{"3.2", "P:A\nC4|\nP:B\nD4|", "P=A C4:1 \\n | P=B D4:1", nil},
	{"3.2", "[P:A]C4|[P:B]D4|", "P=A C4:1 | P=B D4:1", nil},
	{"2.2.6", "C2\\\nD2|\\\nE4|", "C4:1/2 D4:1/2 | E4:1", nil},
	{"2.2.5", "C4 | % a remark\n% a whole line\nD4", "C4:1 \\n | D4:1", nil},
	{"6.1.1", "I:linebreak $\nC4|$D4|\nE4|", "C4:1 \\n | D4:1 | E4:1", nil},

	{"7.4", "C4 & E2 G2 | D4", "C4:1 & E4:1/2 G4:1/2 | D4:1 & x:1", nil},
	{"7.4", `C4 & x2 "G"x2 |`, "C4:1", nil},
	{"7.4", "C4 & E2 |", "C4:1 & E4:1/2 x:1/2", nil},
	// Several bars: the standard's own example, and the way of brackets.
	{"7.4", "g2 f2 | e3 e |\n&& (d4 | c3) c|\nw: ha-la-| lu-yoh\n", `G5:1/2=1"ha"- F5:1/2=1"la"- & s(D5:1 | E5:3/4=1"lu"- E5:1/4=1"yoh" & C5:3/4s) C5:1/4`, nil},
	{"7.4", "(&C4 | D4 & E4 | F4&) | G4 |", "C4:1 & E4:1 | D4:1 & F4:1 | G4:1 & x:1", nil},
	{"7.4", "(&C4 | D4 & E4 | F4 & G4 | A4&) | G4 |", "C4:1 & E4:1 & G4:1 | D4:1 & F4:1 & A4:1 | G4:1 & x:1 & x:1", nil},
	{"7.4", "(&C4 | D4 | & E4 | F4 | &) G4 |", "C4:1 & E4:1 | D4:1 & F4:1 | G4:1 & x:1", nil},
	{"7.4", "C4 | D4 && E4-| E4 | G4", "C4:1 & E4-:1 | D4:1 & E4:1 | G4:1 & x:1", nil},
	{"7.4", "C4 | D4 & E4 | G4", "C4:1 & x:1 | D4:1 & E4:1 | G4:1 & x:1", nil},
	{"7.4", "(&C4 | D4 &\nE4 | F4&) | G4 |\nw: one\n", `C4:1 & E4:1 \n | D4:1 & F4:1 | G4:1=1"one" & x:1`, []string{"more"}},
	{"7.4", "C4 | D4 &&& E4 |", "C4:1 & x:1 | D4:1 & E4:1", []string{`1:9 the overlay "&&&" goes back`}},
	{"7.4", "C4 &) D4 |", "C4:1 D4:1", []string{"1:4 an overlay of several bars ends", "more"}},
	{"7", "V:1\nC4|D4|\nV:2\nE4|F4|", "C4:1 & E4:1 | D4:1 & F4:1", nil},
	{"7", "[V:1]C4|D4|\n[V:2]E4|\n", "C4:1 & E4:1 | D4:1 & x:1", []string{"-3:1 voice \"2\" of the tune X:1 has 1 bar and"}},
	{"7", "V:1 clef=treble-8\nC4|\nV:2 octave=1\nC4|", "C3:1 & C5:1", []string{`1:5 the clef "treble-8"`}},

	{"5.1", "C D E F |\nw: la di-da dum\n", `C4:1/4=1"la" D4:1/4=1"di"- E4:1/4=1"da" F4:1/4=1"dum"`, nil},
	{"5.1", "C D E F |\nw: oh_ * o\\-n\n", `C4:1/4=1"oh"_ D4:1/4 E4:1/4 F4:1/4=1"o-n"`, nil},
	{"5.1", "C2 z2 | D4 |\nw: one | two~too\n", `C4:1/2=1"one" r:1/2 | D4:1=1"two too"`, nil},
	{"5.1", "C D E2 | F4 |\nw: a | b\n", `C4:1/4=1"a" D4:1/4 E4:1/2 | F4:1=1"b"`, nil},
	{"5.2", "C4 |\nw: one\nw: two\n", `C4:1=1"one"=2"two"`, nil},
	{"3.3", "C4|D4|\nw: one\n+: two\n", `C4:1=1"one" | D4:1=1"two"`, nil},
	{"5.1", "C4 |\nw: one two\n", `C4:1=1"one"`, []string{"2:8 there are more syllables than notes"}},

	// Found by fuzzing.
	{"7.4", "& | C4", "C4:1", nil},
	{"7", "C4|[V:2]D4|E4|", "C4:1 & D4:1 \\n | x:1 & E4:1", []string{"-3:1 voice \"\" of the tune X:1 has 1 bar and"}},
	{"4.13", "(3Z | C4", "Z:1 | C4:1", []string{"1:3 a rest of whole bars ends the tuplet"}},
	{"4.17", "L:1\n[CE]20", "C4-+E4-:12 C4+E4:8", []string{"2:1 bar 1 lasts 20"}},
	{"4.14", "[V:1]x4|[V:2]!coda!!coda!C4|", "coda coda x:1 & C4:1", nil},
	{"4.10", "C[1:|[2 D3", "C4:1/4 : style5 | [2] D4:3/4 ]", []string{"1:3 an ending begins inside a bar"}},

	{"", "C4 ; ü D4", "C4:1 D4:1", []string{`1:4 the sign ";"`, `1:6 "ü" is not understood`, "1:9 bar 1"}},
	{"", "J:x\nC4", "C4:1", []string{`1:1 the field "J:x" is not known`}},
	{"9.1", "m: ~G2 = {A}G{F}G\n~G2 ~G ~G2", "{A4:1/8}G4:1/4 {F4:1/8}G4:1/4 m13 G4:1/4 {A4:1/8}G4:1/4 {F4:1/8}G4:1/4", []string{"2:8 bar 1"}},
	{"9.1", "m:~g3={a}g{f}g2\n\"~g3\"~g3 c", "\"~g3\" {A5:1/8}G5:1/4 {F5:1/8}G5:1/2 C5:1/4", []string{"2:1 \"~g3\" is no chord"}},
	{"9.2", "m: ~n2 = (3o/n/m/ n\n~a2 ~D2", "(3:2 B5:1/12 A5:1/12 G5:1/12) A5:1/4 (3:2 E4:1/12 D4:1/12 C4:1/12) D4:1/4", []string{"more"}},
	{"9.2", "m: ~n3 = n{o}n{m}n\n~c'3 !nosuch!c'", "C6:1/4 {D6:1/8}C6:1/4 {B5:1/8}C6:1/4 C6:1/4", []string{"2:6 the decoration"}},
	{"9", "m: ~n = \nm: ~nx = n\nC4", "C4:1", []string{`1:4 the macro "~n ="`, `2:4 the macro "~nx = n"`}},
	{"", "%%MIDI program 1\nC4", "C4:1", []string{`1:1 the instruction "MIDI" is not used`}},
	{"", "(&C4&) D4", "C4:1 D4:1", []string{"1:8 bar 1 lasts 2"}},
	{"", "C,,,,,,,,,,,,,C c''''''''C C", "C4:1/4 C4:1/4 C4:1/4", []string{"1:1 the note", "1:17 the note"}},
}

func TestMusic(t *testing.T) {
	for _, m := range slices.Concat(musics, musicEdges) {
		src := plainHeader + m.abc + "\n"
		shift := strings.Count(plainHeader, "\n")
		tunes, warnings, err := Read([]byte(src), "")
		got := ""
		if len(tunes) > 0 {
			got = show(tunes[0])
		}
		if got != m.want || (err != nil) != (m.want == "") {
			t.Errorf("section %s: %q\n got %s (%v)\nwant %s", m.section, m.abc, got, err, m.want)
		}
		open := len(m.warn) > 0 && m.warn[len(m.warn)-1] == "more"
		want := m.warn
		if open {
			want = want[:len(want)-1]
		}
		var texts []string
		for _, w := range warnings {
			texts = append(texts, fmt.Sprintf("%d:%d %s", w.Line-shift, w.Col, w.Msg))
		}
		for _, x := range want {
			k := -1
			for i, text := range texts {
				if strings.HasPrefix(text, x) {
					k = i
				}
			}
			if k < 0 {
				t.Errorf("%q: no warning %q in %q", m.abc, x, texts)
				continue
			}
			texts = append(texts[:k], texts[k+1:]...)
		}
		if len(texts) > 0 && !open && err == nil {
			t.Errorf("%q: warnings %q were not looked for", m.abc, texts)
		}
	}
}
