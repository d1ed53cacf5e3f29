package tunetest

// Pieces are short tunes in ABC that ask much of the hands, for tests of what is
// made of a tab: chords that want a slant, graces, slurs and tuplets under a repeat
// with endings, two voices with notes held and tied, glides and scoops.
var Pieces = []string{
	"X:1\nT:Chords\nM:3/4\nL:1/4\nQ:1/4=80\nK:G\n\"G\"[GB][Bd]2|\"C\"[ce][EG]2-|[EG]2\"D7\"[Fc]|\"G\"[G,DGB]3|]\n",
	"X:1\nT:Graces\nM:4/4\nL:1/8\nQ:1/4=96\nK:D\n|:{e}d2 (fe) d2 {ga}b2|1 (3aba (ab) a4:|2 (3aba f2 d4|]\n",
	"X:1\nT:Voices\nM:4/4\nL:1/4\nQ:1/4=72\nK:G\nV:1\nB2 d2-|d2 c2|B4|]\nV:2\nG,4|A,4|G,4|]\n",
	"X:1\nT:Glides\nM:4/4\nL:1/4\nQ:1/4=66\nK:G\n!slide!G A !glide!B d|!slide!g2 !glide!d2|B4|]\n",
}
