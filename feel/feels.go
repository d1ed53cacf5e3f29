package feel

import "lapwright/tune"

// feels are all of them. The figures are common practice, no source; docs/backup.md
// prints them, and a test holds it to this table.
var feels = []Feel{
	{
		Name: "boom-chuck", Words: "bass on the beat, the chord short between", Suits: "songs, reels and polkas on any instrument", Strings: 3,
		Figures: []Figure{
			{4, 4, "b-c.f-c.", "b---f---", "..c...c.", "t.z.t.z.", "..>...>."},
			{2, 4, "b-c.f-c.", "b---f---", "..c...c.", "t.z.t.z.", "..>...>."},
		},
	},
	{
		Name: "waltz", Words: "bass, chord, chord", Suits: "waltzes and three-four songs on any instrument", Strings: 3,
		Figures: []Figure{
			{3, 4, "b-c.c.", "b-----", "..c.c.", "t.z.z.", ">....."},
			{3, 8, "b-c.c.", "b-----", "..c.c.", "t.z.z.", ">....."},
		},
	},
	{
		Name: "jig", Words: "bass and chord in each beat of three", Suits: "jigs on any instrument", Strings: 3,
		Figures: []Figure{
			{6, 8, "b-cf-c", "b--f--", "..c..c", "t.zt.z", ">..>.."},
			{9, 8, "b-cf-cf-c", "b--f--f--", "..c..c..c", "t.zt.zt.z", ">..>..>.."},
			{12, 8, "b-cf-cb-cf-c", "b--f--b--f--", "..c..c..c..c", "t.zt.zt.zt.z", ">..>..>..>.."},
		},
	},
	{
		Name: "forward roll", Words: "low, middle, high round and round, three against four", Suits: "quick tunes on the resonator, behind a singer", Strings: 3,
		Figures: []Figure{
			{4, 4, "bmhlmhlh", "b---f---", "..c...c.", "k.k.k.k.", ">..>..>."},
			{2, 4, "bmhlmhlh", "b---f---", "..c...c.", "k.k.k.k.", ">..>..>."},
			{3, 4, "bmhlmh", "b-----", "..c.c.", "k.k.k.", ">..>.."},
		},
	},
	{
		Name: "vamp", Words: "bass and chord on the beat, chops between", Suits: "quick tunes on the resonator, behind another lead", Strings: 3,
		Figures: []Figure{
			{4, 4, "b.x.c.x.", "b---f---", "..x...x.", "k.k.k.k.", "..>...>."},
			{2, 4, "b.x.c.x.", "b---f---", "..x...x.", "k.k.k.k.", "..>...>."},
			{3, 4, "b.c.x.", "b-----", "..x.x.", "k.k.k.", "....>."},
		},
	},
	{
		Name: "train", Words: "the chord doubled after each bass", Suits: "quick songs on any instrument", Strings: 3,
		Figures: []Figure{
			{4, 4, "b-ccf-cc", "b---f---", "..cc..cc", "ttztttzt", "..>...>."},
			{2, 4, "b-ccf-cc", "b---f---", "..cc..cc", "ttztttzt", "..>...>."},
		},
	},
	{
		Name: "shuffle", Words: "a walking bass in long and short, the chord on two and four", Suits: "blues in open D", Swing: tune.TripletSwing, Strings: 3,
		Figures: []Figure{
			{4, 4, "bbc-fsc.", "b-f-s-f-", "..c...c.", "t.tzt.tz", "..>...>."},
			{2, 4, "b-c.", "b-f-", "..c.", "t.tz", "..>."},
			{12, 8, "b-bc--f-sc..", "b--f--s--f--", "...c.....c..", "t..z.tt..z.t", "...>.....>.."},
		},
	},
	{
		Name: "swing", Words: "short chords on two and late on three, over a walking bass", Suits: "sixth tunings", Swing: tune.TempoSwing, Colour: Rich, Strings: 3,
		Figures: []Figure{
			{4, 4, "b-c..c--", "b-f-s-a-", "c.c.c.c.", "t.tzt.tz", "..>..>.."},
			{2, 4, "b-c.", "b-a-", "c.c.", "t.tz", "..>."},
			{3, 4, "b--c--", "b-f-a-", "c.c.c.", "t.tzt.", "...>.."},
		},
	},
	{
		Name: "ballad", Words: "the chord taken apart, up and down again", Suits: "slow songs and airs on any instrument", Strings: 3,
		Figures: []Figure{
			{4, 4, "blmhmhml", "b---f---", "c---c---", "z.z.z.z.", ">...>..."},
			{2, 4, "blmh", "b---", "c---", "z.z.", ">..."},
			{3, 4, "blmhml", "b-----", "c-c-c-", "z.z.z.", ">....."},
			{6, 8, "blmhml", "b--f--", "c--c--", "z..z..", ">..>.."},
			{12, 8, "blmhmlblmhml", "b--f--b--f--", "c--c--c--c--", "z..z..z..z..", ">.....>....."},
		},
	},
	{
		Name: "pad", Words: "one long chord, swelled in and held", Suits: "pedal and bender instruments, hymns", Strings: 3,
		Figures: []Figure{
			{4, 4, "p-------", "b---f---", "c---c---", "z...z...", ">......."},
			{2, 4, "p---", "b---", "c---", "z...", ">..."},
			{3, 4, "p-----", "b-----", "c-----", "z.....", ">....."},
			{6, 8, "p-----", "b--f--", "c--c--", "z..z..", ">....."},
			{9, 8, "p--------", "b--f--f--", "c--c--c--", "z..z..z..", ">........"},
			{12, 8, "p-----------", "b--f--b--f--", "c--c--c--c--", "z..z..z..z..", ">..........."},
		},
	},
}
