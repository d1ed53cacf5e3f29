package refcheck

import (
	"fmt"

	"lapwright/arrange"
	"lapwright/rig"
	"lapwright/tune"
)

// What is taken from the witness books is the first tune of the book that fits:
// of the jigs one in 6/8, of the reels one in 4/4, of the waltzes one in 3/4, of
// the carols any, and where a passage asks for more (graces, a melody that lies on
// four strings) the first that has it. Nobody looked for one that suits.

func inMeter(beats, unit int) func(*tune.Tune) bool {
	return func(t *tune.Tune) bool { return t.Bars[1].Meter.Beats == beats && t.Bars[1].Meter.Unit == unit }
}

func anyTune(*tune.Tune) bool { return true }

// onFour reports whether a melody lies, as written, on strings 1 to 4 of a rig
// below the 12th fret.
func onFour(rigName string) func(*tune.Tune) bool {
	r, _ := rig.Builtin(rigName)
	return func(t *tune.Tune) bool {
		for b := range t.Bars {
			for _, l := range t.Bars[b].Lines {
				for e := range l {
					for _, n := range l[e].Notes {
						fits := false
						for s := 1; s <= 4; s++ {
							f := n.Name.Key() - r.OpenKey(s, 0)
							fits = fits || f >= 0 && f < 12
						}
						if !fits {
							return false
						}
					}
				}
			}
		}
		return true
	}
}

const common = "; common practice, no source"

// judged are the passages.
var judged = []passage{
	// Touch.
	{rule: "touch", name: "a reel's steps are joined", rig: "reso-open-g", met: someJoined,
		why: "in a quick run half the notes of a string are hammered, pulled or slid: nobody picks them all" + common,
		abc: "R:reel\nM:4/4\nL:1/8\nQ:1/4=180\nK:G\n\"G\"GABc dBAB|\"C\"c2BA \"G\"G2AB|\"D7\"cBAG FGAF|\"G\"G4 G4|]"},
	{rule: "touch", name: "a grace is one pluck with its note", rig: "reso-open-g", met: gracesJoined,
		why: "a grace is slid or hammered into its note, there is no time to pluck twice" + common,
		abc: "R:air\nM:4/4\nL:1/4\nQ:1/4=90\nK:G\n\"G\"{A}BG {c}dB|\"C\"{d}e2 \"D7\"{B}c2|\"G\"{A}B{F}G G2|]"},
	{rule: "touch", name: "a grace on the pedal rig", rig: "pedal10-e9", met: gracesJoined,
		why: "likewise, by the steel or a pedal" + common,
		abc: "R:song\nM:4/4\nL:1/4\nQ:1/4=80\nK:E\n\"E\"{A}BG {c}e2|\"A\"{B}c2 A2|\"E\"{d}eB G2|]"},
	{rule: "touch", name: "slurs in an air", rig: "lap6-c6", met: slursJoined,
		why: "a slur is one pluck, and between stopped notes a slide" + common,
		abc: "R:air\nM:4/4\nL:1/4\nQ:1/4=66\nK:F\n\"F\"(AG) F2|\"Bb\"(Bc) d2|\"C7\"(cB) (AG)|\"F\"F4|]"},
	{rule: "touch", name: "slurs in a quick tune", rig: "tricone-open-d", met: slursJoined,
		why: "likewise; the string is chosen so that it can be" + common,
		abc: "R:reel\nM:4/4\nL:1/8\nQ:1/4=140\nK:D\n\"D\"(DE)FG (AB)AF|\"G\"(GA)B2 \"A7\"(AG)FE|\"D\"D4 D4|]"},
	{rule: "touch", name: "the first reel in D to G", rig: "reso-open-g", met: someJoined, book: "reelsd-g", fits: inMeter(4, 4),
		why: "as in the reel above" + common},
	{rule: "touch", name: "the first jig", rig: "reso-open-g", met: someJoined, book: "jigs", fits: inMeter(6, 8),
		why: "as in the reel above" + common},
	{rule: "touch", name: "the first carol on the tricone", rig: "tricone-open-d", met: someJoined, book: "xmas", fits: anyTune,
		why: "as in the reel above" + common},

	// Register.
	{rule: "register", name: "a hymn in G on C6", rig: "lap6-c6", met: all(asWritten, onStrings(4), homeShare(7, 0.5)),
		why: "G lies at the seventh fret on strings 1, 2 and 4, warm and with room for vibrato" + common,
		abc: "R:hymn\nM:3/4\nL:1/4\nQ:1/4=76\nK:G\nD|\"G\"G2B|B2A|\"G\"G2B|d3|\"C\"e2d|\"G\"B2G|\"D7\"A3|\"G\"G2|]"},
	{rule: "register", name: "a quick scale in the tuning's key", rig: "reso-open-g", met: all(between(0, 5), someOpen(4)),
		why: "a scale in G is played in first position with open strings" + common,
		abc: "R:reel\nM:4/4\nL:1/8\nQ:1/4=180\nK:G\n\"G\"G,A,B,C DEDC|B,CDE DCB,A,|\"D7\"DCB,A, \"G\"G,4|]"},
	{rule: "register", name: "an arpeggio stays under the steel", rig: "tricone-open-d", met: stillSteel,
		why: "A lies straight across the seventh fret; the open A is another voice" + common,
		abc: "R:jig\nM:6/8\nL:1/8\nQ:3/8=110\nK:A\n\"A\"A,CE ACE|AEC A,CE|ACE CEA|]"},
	{rule: "register", name: "a riff at the fifth fret", rig: "reso-open-g", met: stillSteel,
		why: "the open G is the same pitch and does not belong to the riff" + common,
		abc: "R:breakdown\nM:4/4\nL:1/8\nQ:1/4=160\nK:C\n\"C\"G,CEG ECEG|ECG,C EGEC|G,CEC EGE2|]"},
	{rule: "register", name: "an air in D on open D", rig: "hollow-neck-open-d", met: all(asWritten, onStrings(4)),
		why: "the melody fits the four high strings as written, where an octave lower would growl" + common,
		abc: "R:air\nM:4/4\nL:1/4\nQ:1/4=70\nK:D\n\"D\"D2FA|\"G\"B2AG|\"D\"F2AF|\"A7\"E4|\"D\"D2FA|\"G\"B2\"A7\"AG|\"D\"F2E2|D4|]"},
	{rule: "register", name: "the first waltz for four strings of C6", rig: "lap6-c6", met: all(asWritten, onStrings(4)), book: "waltzes", fits: onFour("lap6-c6"),
		why: "as with the air above" + common},
	{rule: "register", name: "the first waltz for four strings of A6", rig: "lap8-a6", met: all(asWritten, onStrings(4)), book: "waltzes", fits: onFour("lap8-a6"),
		why: "as with the air above" + common},
	{rule: "register", name: "the first waltz for four strings of the hollow neck", rig: "hollow-neck-open-d", met: all(asWritten, onStrings(4)), book: "waltzes", fits: onFour("hollow-neck-open-d"),
		why: "as with the air above" + common},

	// Long notes.
	{rule: "long notes", name: "an air in G on open G", rig: "reso-open-g", met: longStopped,
		why: "the long notes of a slow tune want vibrato, and are the open strings of the tuning" + common,
		abc: "R:air\nM:4/4\nL:1/4\nQ:1/4=60\nK:G\n\"G\"G2B2|d4|\"C\"e2d2|\"G\"B4|\"D7\"A2B2|\"G\"G4|]"},
	{rule: "long notes", name: "a song in C on C6", rig: "lap6-c6", met: longStopped,
		why: "likewise" + common,
		abc: "R:song\nM:4/4\nL:1/4\nQ:1/4=70\nK:C\n\"C\"E2G2|A4|\"F\"A2c2|\"C\"G4|\"G7\"F2D2|\"C\"C4|]"},
	{rule: "long notes", name: "a lament in D on open D", rig: "hollow-neck-open-d", met: longStopped,
		why: "likewise" + common,
		abc: "R:lament\nM:3/4\nL:1/4\nQ:1/4=60\nK:D\n\"D\"A2F|D3|\"G\"B2A|\"D\"F3|\"A7\"E2F|\"D\"D3|]"},
	{rule: "long notes", name: "a song in E on pedals", rig: "pedal10-e9", met: longStopped,
		why: "likewise" + common,
		abc: "R:song\nM:4/4\nL:1/4\nQ:1/4=70\nK:E\n\"E\"G2B2|e4|\"A\"c2A2|\"E\"B4|\"B7\"A2F2|\"E\"E4|]"},
	{rule: "long notes", name: "the first waltz on C6", rig: "lap6-c6", met: longStopped, book: "waltzes", fits: inMeter(3, 4),
		why: "likewise" + common},
	{rule: "long notes", name: "the first waltz on the hollow neck", rig: "hollow-neck-open-d", met: longStopped, book: "waltzes", fits: inMeter(3, 4),
		why: "likewise" + common},
	{rule: "long notes", name: "the first waltz on the resonator", rig: "reso-open-g", met: longStopped, book: "waltzes", fits: inMeter(3, 4),
		why: "likewise" + common},

	// Kind of instrument.
	{rule: "kind of instrument", name: "a pedal tune is closed", rig: "pedal10-e9", met: closed(0),
		why: "pedal players do not lift the steel" + common,
		abc: "R:two-step\nM:4/4\nL:1/8\nQ:1/4=130\nK:E\n\"E\"E2G2 B2G2|\"A\"A2c2 e2c2|\"B7\"d2B2 A2F2|\"E\"E4 E4|]"},
	{rule: "kind of instrument", name: "one chord to the fourth on pedals", rig: "pedal10-e9", met: all(benderMoves(1), closed(0)),
		why: "A and B make the fourth chord with the steel still: it is what they are for" + common,
		abc: "R:song\nM:4/4\nL:1/2\nQ:1/4=80\nK:G\n\"G\"[GBd][GBd]|\"C\"[Gce][Gce]|\"G\"[GBd]2|]"},
	{rule: "kind of instrument", name: "one chord to the fourth on levers", rig: "bender-open-d", met: all(benderMoves(1), closed(0)), o: arrange.Options{Octave: arrange.Octaves(0), Closed: true},
		why: "likewise, on strings 2 and 3" + common,
		abc: "R:song\nM:4/4\nL:1/2\nQ:1/4=80\nK:G\n\"G\"[G,B,D][G,B,D]|\"C\"[G,CE][G,CE]|\"G\"[G,B,D]2|]"},
	{rule: "kind of instrument", name: "swing on the thirteenth is closed", rig: "lap8-c13", met: closed(0.05),
		why: "sixth tunings are played closed" + common,
		abc: "R:swing\nM:4/4\nL:1/8\nQ:1/4=132\nK:C\n\"C6\"G2A2 c2A2|\"C6\"G2E2 \"A7\"^c2A2|\"Dm7\"d2A2 F2A2|\"G7\"G2B2 \"C6\"c4|]"},
	{rule: "kind of instrument", name: "a resonator welcomes open strings", rig: "reso-open-g", met: someOpen(5),
		why: "a breakdown in the tuning's key rings on open strings" + common,
		abc: "R:breakdown\nM:4/4\nL:1/8\nQ:1/4=170\nK:G\n\"G\"GABd BAGB|\"C\"cBAG EGAc|\"G\"BGAB dBAG|\"D7\"AFDF \"G\"G4|]"},
	{rule: "kind of instrument", name: "the first jig on pedals", rig: "pedal10-e9", met: closed(0.02), book: "jigs", fits: inMeter(6, 8),
		why: "as with the pedal tune above" + common},
	{rule: "kind of instrument", name: "the first reel on pedals", rig: "pedal10-e9", met: closed(0.02), book: "reelsa-c", fits: inMeter(4, 4),
		why: "as with the pedal tune above" + common},
	{rule: "kind of instrument", name: "the first carol on A6", rig: "lap8-a6", met: closed(0.1), book: "xmas", fits: anyTune,
		why: "sixth tunings are played closed" + common},

	// Benders.
	{rule: "benders", name: "a lever bends a slurred step", rig: "bender-open-d", met: bends, o: arrange.Options{Octave: arrange.Octaves(0)},
		why: "the lever under string 3 makes the semitone, without a new pluck and without the steel" + common,
		abc: "R:song\nM:4/4\nL:1/4\nQ:1/4=80\nK:D\n\"D\"(F G) A2|\"G\"(B ^A) B2|\"D\"(F G) F2|]"},
	{rule: "benders", name: "pedal A bends a slurred step", rig: "pedal10-e9", met: bends,
		why: "the fifth string up two semitones is what pedal A is for" + common,
		abc: "R:song\nM:4/4\nL:1/4\nQ:1/4=80\nK:E\n\"E\"(Bc) B2|\"A\"(c B) A2|\"E\"(Bc) B2|]"},
	{rule: "benders", name: "under a held note on pedals", rig: "pedal10-e9", met: benderMoves(2),
		why: "one voice holds and a pedal moves the other" + common,
		abc: "R:song\nM:4/4\nL:1/4\nQ:1/4=70\nK:E\nV:1\ne4-|e4|]\nV:2\nB2c2|B2c2|]"},
	{rule: "benders", name: "under a held note on levers", rig: "bender-open-d", met: benderMoves(2), o: arrange.Options{Octave: arrange.Octaves(0)},
		why: "likewise" + common,
		abc: "R:song\nM:4/4\nL:1/4\nQ:1/4=70\nK:G\nV:1\nG4-|G4|]\nV:2\nB,2C2|B,2C2|]"},
	{rule: "benders", name: "the first jig with slurs on pedals", rig: "pedal10-e9", met: slursJoined, book: "jigs", fits: withSlurs,
		why: "a slurred step is bent or slid, not plucked" + common},
	{rule: "benders", name: "the first jig on levers", rig: "bender-open-d", book: "jigs", fits: inMeter(6, 8), met: bendersUsed(4),
		why: "a player who has levers reaches for them in any tune" + common},

	// Line of the steel.
	{rule: "line of the steel", name: "a scale over two octaves", rig: "reso-open-g", met: smooth,
		why: "the steel is heard to move: it goes where the tune goes" + common,
		abc: "R:reel\nM:4/4\nL:1/8\nQ:1/4=150\nK:A\n\"A\"A,B,CD EFGA|Bcde fgaf|edcB AGFE|DCB,A, A,4|]"},
	{rule: "line of the steel", name: "a turn between an open string and the neck", rig: "tricone-open-d", met: smooth,
		why: "up the neck, open and back is two lifts for one note" + common,
		abc: "R:reel\nM:4/4\nL:1/8\nQ:1/4=120\nK:A\n\"A\"EAEA EAcA|eAeA cAEA|\"E7\"GAGA EAGA|\"A\"A4 A4|]"},
	{rule: "line of the steel", name: "a song up and down", rig: "lap6-c6", met: smooth,
		why: "likewise" + common,
		abc: "R:song\nM:4/4\nL:1/4\nQ:1/4=90\nK:D\n\"D\"FAdA|\"G\"BdBG|\"A7\"EGcE|\"D\"D4|]"},
	{rule: "line of the steel", name: "the line of the first jig", rig: "hollow-neck-open-d", met: smooth, book: "jigs", fits: inMeter(6, 8),
		why: "likewise" + common},
	{rule: "line of the steel", name: "the line of the first reel", rig: "reso-open-g", met: smooth, book: "reelsa-c", fits: inMeter(4, 4),
		why: "likewise" + common},
	{rule: "line of the steel", name: "the line of the first waltz", rig: "lap8-a6", met: smooth, book: "waltzes", fits: inMeter(3, 4),
		why: "likewise" + common},

	// Picking hand.
	{rule: "picking hand", name: "fingers alternate in a reel", rig: "reso-open-g", met: alternates,
		why: "no finger is quick enough twice" + common,
		abc: "R:reel\nM:4/4\nL:1/8\nQ:1/4=200\nK:G\n\"G\"GBdB GBdg|\"C\"ecGc ecGE|\"D7\"FAdc BAGF|\"G\"G4 G4|]"},
	{rule: "picking hand", name: "an arpeggio becomes a roll", rig: "reso-open-g", met: rolls(9),
		why: "three strings, three fingers" + common,
		abc: "R:breakdown\nM:4/4\nL:1/8\nQ:1/4=160\nK:G\n\"G\"GBdG BdGB|dGBd GBd2|\"C\"CEGC EGCE|GCEG CEG2|]"},
	{rule: "picking hand", name: "a roll in six-eight", rig: "tricone-open-d", met: rolls(12),
		why: "likewise" + common,
		abc: "R:jig\nM:6/8\nL:1/8\nQ:3/8=120\nK:D\n\"D\"DFA DFA|DFA DFA|\"A\"A,CE A,CE|A,CE A,CE|]"},
	{rule: "picking hand", name: "fingers alternate in the first reel", rig: "reso-open-g", met: alternates, book: "reelsa-c", fits: inMeter(4, 4),
		why: "no finger is quick enough twice" + common},
	{rule: "picking hand", name: "fingers alternate in the first jig", rig: "lap8-c13", met: alternates, book: "jigs", fits: inMeter(6, 8),
		why: "no finger is quick enough twice" + common},

	// Slants.
	{rule: "slants", name: "sixths on the resonator", rig: "reso-open-g", met: slants(1, 8), o: arrange.Options{Harmony: arrange.Sixths},
		why: "major sixths lie straight on strings 2 and 4, minor ones are slanted" + common,
		abc: "R:waltz\nM:3/4\nL:1/4\nQ:1/4=100\nK:A\n\"A\"c2d|e2d|\"D\"f2e|d3|\"A\"e2d|\"E7\"c2B|\"A\"A3|]"},
	{rule: "slants", name: "a dominant on C6", rig: "lap6-c6", met: slants(1, 3),
		why: "third and seventh of a dominant on two strings are had by leaning the steel" + common,
		abc: "R:swing\nM:4/4\nL:1/2\nQ:1/4=110\nK:C\n\"C\"[EGc]2|\"G7\"[Bf]2|\"C\"[ce]2|]"},
	{rule: "slants", name: "a dominant on A6", rig: "lap8-a6", met: slants(1, 3),
		why: "likewise" + common,
		abc: "R:swing\nM:4/4\nL:1/2\nQ:1/4=110\nK:D\n\"D\"[FAd]2|\"A7\"[cg]2|\"D\"[df]2|]"},
	{rule: "slants", name: "a plain tune stays square", rig: "lap6-c6", met: slants(0, 0), book: "waltzes", fits: inMeter(3, 4),
		why: "nobody leans the steel for single notes" + common},
	{rule: "slants", name: "the first waltz in sixths", rig: "reso-open-g", met: slants(1, 1000), o: arrange.Options{Harmony: arrange.Sixths}, book: "waltzes", fits: inMeter(3, 4),
		why: "as with the sixths above" + common},
}

func withSlurs(t *tune.Tune) bool {
	for b := range t.Bars {
		for _, l := range t.Bars[b].Lines {
			for e := range l {
				if l[e].Slurs > 0 {
					return true
				}
			}
		}
	}
	return false
}

// bendersUsed demands that benders are engaged at least so often.
func bendersUsed(least int) func(*reading) error {
	return func(r *reading) error {
		n := 0
		for _, l := range r.notes {
			if l.benders != 0 {
				n++
			}
		}
		if n < least {
			return fmt.Errorf("only %d notes are bent", n)
		}
		return nil
	}
}
