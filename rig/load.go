package rig

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"lapwright/pitch"
	"lapwright/wire"
)

// Finding is a judgement of what an instrument or a string is asked to carry.
type Finding string

// The findings, from good to bad.
const (
	Fine    Finding = "fine"
	Caution Finding = "caution"
	DoNot   Finding = "do not"
)

// worse returns the worse of two findings.
func (f Finding) worse(g Finding) Finding {
	if f == DoNot || g == DoNot {
		return DoNot
	}
	if f == Caution || g == Caution {
		return Caution
	}
	return Fine
}

// Slackest is the pull below which a string is too slack to hold its pitch
// under a steel (common practice, no source): 11 pounds.
const Slackest wire.Newtons = 50

// bodyLimit is how much pull a kind of body is taken to carry when the maker's
// figure is not known.
type bodyLimit struct {
	limit wire.Newtons
	// watch is the share of the limit from which care is asked for.
	watch float64
	// strict bodies are judged at the upper end of the uncertainty.
	strict bool
}

// bodyLimits are common practice, no source: solid and square-necked
// instruments carry their usual heavy sets with a margin; a hollow-necked one
// is glued together lightly, has no rod in its neck, and is judged strictly.
var bodyLimits = map[Body]bodyLimit{
	SquareNeckResonator: {1100, 0.90, false},
	Tricone:             {1000, 0.90, false},
	HollowNeckAcoustic:  {800, 0.87, true},
	RoundNeckAcoustic:   {850, 0.90, true},
	LapSteel:            {1600, 0.90, false},
	PedalSteel:          {2000, 0.90, false},
}

// bentShare is the share of breaking load that a string may not reach even for
// the moment of a bend. Between wire.BreakShare and this a bent string is only
// a caution: some usual pedal tunings have such a string, and their players
// carry spares (common practice, no source).
const bentShare = 0.95

// Practice marks a figure that is usual in the trade and has no better source.
const Practice = "common practice, no source"

// Limit returns the most total pull the instrument may carry and where that
// figure is from.
func (r *Rig) Limit() (wire.Newtons, string) {
	if r.LoadLimit > 0 {
		return r.LoadLimit, r.LoadLimitSource
	}
	return UsualLimit(r.Body), Practice
}

// UsualLimit returns the most total pull that a kind of body is taken to carry
// when nothing better is known (common practice, no source); 0 for no known body.
func UsualLimit(b Body) wire.Newtons { return bodyLimits[b].limit }

// StrictestBody returns the kind of body with the lowest usual limit: what to go
// by when nobody says which one it is.
func StrictestBody() Body {
	return slices.MinFunc(Bodies(), func(a, b Body) int { return cmp.Compare(UsualLimit(a), UsualLimit(b)) })
}

// Strict reports whether this kind of body is judged at the upper end of the
// uncertainty, because it is built lightly.
func (b Body) Strict() bool { return bodyLimits[b].strict }

// StringLoad is what one string is asked to carry.
type StringLoad struct {
	Pull     wire.Newtons // at its open pitch
	Spread   float64      // relative uncertainty of Pull and BentPull
	Breaking wire.Newtons // least breaking load
	Share    float64      // Pull over Breaking
	// ShareSpread is the relative uncertainty of Share and BentShare.
	ShareSpread float64
	// BentKey is the highest key number its benders take it to; BentPull and
	// BentShare are its load there. They equal the open ones when it has none.
	BentKey   int
	BentPull  wire.Newtons
	BentShare float64
	// Stiffness is its pull against the mean of its neighbours': 1.1 is a tenth tighter.
	Stiffness float64
	Finding   Finding
	Reasons   []string // why it is not fine, in a player's words
}

// Load is what all strings together ask of the instrument.
type Load struct {
	Strings []StringLoad // [0] is string 1
	Total   wire.Newtons // all strings open
	// Spread is the relative uncertainty of Total and Most. Those of the wound
	// strings are taken to err together, as a maker's do.
	Spread float64
	// Most is the greatest total with any benders engaged that work together.
	Most        wire.Newtons
	Limit       wire.Newtons
	LimitSource string
	Finding     Finding // of the instrument and of its worst string
	Reasons     []string
}

// Unknown is why nothing is said of a rig's load whose gauges nobody has told.
const Unknown = "its gauges are not known, so what it pulls is not known either: what is told is of a usual set"

// Load judges the rig's strings and what they ask of the instrument. The rig
// must pass Check. A rig whose gauges are not known is never found fine.
func (r *Rig) Load() Load {
	out := Load{Finding: Fine}
	if r.GaugesUnknown {
		out.Finding, out.Reasons = Caution, []string{Unknown}
	}
	out.Limit, out.LimitSource = r.Limit()
	uncertain := 0.0
	for i, s := range r.Strings {
		l := r.stringLoad(i + 1)
		out.Strings = append(out.Strings, l)
		out.Total += l.Pull
		uncertain += float64(l.Pull) * s.Wire.MassSpread()
	}
	out.Spread = uncertain / float64(out.Total)
	out.Most = r.maxPull()
	for i := range out.Strings {
		l := &out.Strings[i]
		l.Stiffness = stiffness(out.Strings, i)
		out.Finding = out.Finding.worse(l.Finding)
		for _, why := range l.Reasons {
			out.Reasons = append(out.Reasons, fmt.Sprintf("string %d: %s", i+1, why))
		}
	}
	f, why := r.judgeTotal(out)
	out.Finding = out.Finding.worse(f)
	if why != "" {
		out.Reasons = append(out.Reasons, why)
	}
	return out
}

func (r *Rig) stringLoad(s int) StringLoad {
	w := r.Strings[s-1].Wire
	pull := func(key int) wire.Newtons { return w.Tension(r.Scale, pitch.Equal(float64(key), r.Reference)) }
	out := StringLoad{
		Pull: pull(r.OpenKey(s, 0)), Spread: w.MassSpread(), Breaking: w.BreakingLoad(), ShareSpread: w.BreakSpread(),
		BentKey: r.HighestKey(s), Finding: Fine,
	}
	out.BentPull = pull(out.BentKey)
	out.Share = float64(out.Pull / out.Breaking)
	out.BentShare = float64(out.BentPull / out.Breaking)
	at, bent := "at pitch", out.BentKey != r.OpenKey(s, 0)
	if bent {
		at = "at its highest bend"
	}
	say := func(f Finding, format string, args ...any) {
		out.Finding = out.Finding.worse(f)
		out.Reasons = append(out.Reasons, fmt.Sprintf(format, args...))
	}
	switch share := out.BentShare; {
	case out.Share >= wire.BreakShare || share >= bentShare:
		say(DoNot, "%s it carries %.0f %% of the least load that breaks it, and from %.0f %% breakage is to be expected", at, 100*share, 100*wire.BreakShare)
	case share >= wire.BreakShare:
		say(Caution, "%s it carries %.0f %% of the least load that breaks it, and from %.0f %% breakage is to be expected", at, 100*share, 100*wire.BreakShare)
	case share*(1+out.ShareSpread) >= wire.BreakShare:
		say(Caution, "%s it carries %.0f %% of the least load that breaks it, give or take %.0f, and from %.0f %% breakage is to be expected", at, 100*share, 100*share*out.ShareSpread, 100*wire.BreakShare)
	case share >= wire.CautionShare:
		say(Caution, "%s it carries %.0f %% of the least load that breaks it", at, 100*share)
	}
	if out.Pull < Slackest {
		say(Caution, "it pulls only %.0f N, too slack to hold its pitch under a steel", float64(out.Pull))
	}
	return out
}

// judgeTotal judges the whole pull against the instrument's limit.
func (r *Rig) judgeTotal(l Load) (Finding, string) {
	most := l.Most
	if r.Body.Strict() {
		most *= wire.Newtons(1 + l.Spread)
	}
	whose := "the limit for a " + string(r.Body) + " (" + Practice + ")"
	if r.LoadLimit > 0 {
		whose = "the limit given for it (" + r.LoadLimitSource + ")"
	}
	return r.Body.Judge(most, l.Limit, whose)
}

// Judge judges the whole pull of an instrument with this kind of body against
// a limit, whose says whose that is. On a Strict body the pull is the upper end
// of its uncertainty. The words are empty when it is fine.
func (b Body) Judge(most, limit wire.Newtons, whose string) (Finding, string) {
	how := ""
	if b.Strict() {
		how = ", counted at the upper end of its uncertainty because this kind of instrument is built lightly"
	}
	switch {
	case most > limit:
		return DoNot, fmt.Sprintf("all strings together pull %.0f N, more than %.0f N, %s%s", float64(most), float64(limit), whose, how)
	case most >= b.careFrom(limit):
		return Caution, fmt.Sprintf("all strings together pull %.0f N, near %.0f N, %s%s", float64(most), float64(limit), whose, how)
	}
	return Fine, ""
}

// careFrom returns the total pull from which care is asked for under a limit.
func (b Body) careFrom(limit wire.Newtons) wire.Newtons {
	return limit * wire.Newtons(bodyLimits[b].watch)
}

// FineMeans says what a load must keep to so that Load finds it fine.
func (r *Rig) FineMeans() string {
	limit, source := r.Limit()
	how := ""
	if len(r.Benders) > 0 {
		how = ", with the benders that pull most"
	}
	if r.Body.Strict() {
		how += ", at the upper end of its uncertainty"
	}
	return fmt.Sprintf("every string pulls at least %.0f N and, bends included, less than %.0f %% of its least breaking load, and all together%s pull less than %.0f N: "+
		"care is asked for from %.0f %% of the limit of %.0f N (%s)",
		float64(Slackest), 100*wire.CautionShare, how, float64(r.Body.careFrom(limit)), 100*bodyLimits[r.Body].watch, float64(limit), source)
}

// maxPull returns the greatest total pull over all sets of benders.
func (r *Rig) maxPull() wire.Newtons {
	most := wire.Newtons(0)
	for set := range 1 << len(r.Benders) {
		total := wire.Newtons(0)
		for i, s := range r.Strings {
			open := s.Wire.Tension(r.Scale, pitch.Equal(float64(r.OpenKey(i+1, BenderSet(set))), r.Reference))
			total += open
		}
		most = max(most, total)
	}
	return most
}

// stiffness returns the pull of a string against the mean of its neighbours'.
func stiffness(all []StringLoad, i int) float64 {
	sum, n := 0.0, 0.0
	for _, j := range []int{i - 1, i + 1} {
		if j >= 0 && j < len(all) {
			sum += float64(all[j].Pull)
			n++
		}
	}
	if n == 0 {
		return 1
	}
	return float64(all[i].Pull) / (sum / n)
}

// StiffnessText says how stiff a string feels against its neighbours.
func StiffnessText(stiffness float64) string {
	switch off := 100 * (stiffness - 1); {
	case math.Abs(off) < 10:
		return "even"
	case off > 0:
		return fmt.Sprintf("%.0f %% tighter", off)
	default:
		return fmt.Sprintf("%.0f %% slacker", -off)
	}
}

// TensionCaution is shown with every figure of load and before any change of
// strings or tuning.
const TensionCaution = "Strings store enough force to cut. Slacken a string before you change or cut it, protect your eyes, and keep your face and others away while you raise one. " +
	"These figures are estimates: the maker's limits for your instrument rule, and where you are unsure ask a qualified repairer before you tighten."
