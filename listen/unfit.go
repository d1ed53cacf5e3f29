package listen

import (
	"fmt"
	"math"

	"lapwright/say"
)

// From where a take can't be judged.
const (
	tooQuiet    = -60.0 // dB of full scale, its loudest tenth
	mostClipped = 0.0004
	leastAgree  = 0.60 // how far plucks agree with the tab, on average
	leastFound  = 0.5  // of the plucks heard that must be the tab's
)

// Unfit says why a take can't be listened to at all; "" when it can.
func (t *Take) Unfit() string {
	v := t.Level()
	switch {
	case t.n == 0 || t.Seconds() < 0.5:
		return "The take is shorter than half a second, which is too short to judge."
	case v.Loud < tooQuiet:
		return "There is nothing to hear in this take: it is silent or nearly so; check the microphone and its level."
	case float64(v.Clipped) > mostClipped*float64(t.n):
		return "The take is overdriven: its loud parts are cut off flat, so nothing in it can be measured; record it again at a lower level."
	}
	return ""
}

// stranger says why a take is not one of this tab; "" when it seems to be.
func (r *reviewer) stranger() string {
	if len(r.heard) == 0 {
		return "No plucked string can be heard in this take."
	}
	fits, agree := r.fit(r.a)
	// Low notes agree with their neighbours too: a semitone off must be looked for
	// even where the tab fits.
	near := []int{-1, 1}
	if !fits {
		if !r.take.Stringy() {
			return noString
		}
		near = nil
	}
	if shift := r.shifted(agree, near); shift != 0 {
		return shiftWords(shift)
	}
	switch {
	case fits:
		return ""
	case r.inTime():
		return "The rhythm is that of the tab and the pitches are not: this may be another instrument or tuning; name the rig that it was played on."
	}
	return noTab
}

// What is said of takes that are something else.
const (
	noString = "This does not sound like a plucked string: it may be speech or something else; nothing was measured."
	noTab    = "This does not sound like the tab: another tune may have been played, or on another instrument; nothing was measured."
)

// shifted finds by how many semitones the take agrees much better with the tab
// than as it stands; 0 for none. Of near alone where it is not empty.
func (r *reviewer) shifted(agree float64, near []int) int {
	best, shift := agree, 0
	if near == nil {
		near = []int{-1, 1, -2, 2, -3, 3, -4, 4, -5, 5, -7, 7, -12, 12}
	}
	for _, k := range near {
		a := align(r.s, r.heard, float64(k))
		if ok, g := r.fit(a); ok && g > best+0.08 {
			best, shift = g, k
		}
	}
	return shift
}

func shiftWords(shift int) string {
	n := max(shift, -shift)
	text := fmt.Sprintf("The whole take sounds %s %s than the tab", say.Count(n, "semitone"), wayOff(float64(shift), "lower", "higher"))
	if n == 1 {
		return text + ": tune the instrument, or look whether the capo and the reference pitch are those of the rig."
	}
	return text + ": it may have been played on another instrument, in another tuning or with another capo."
}

// unclear says why the notes measured mean nothing: hardly any has a pitch.
func (r *reviewer) unclear() string {
	clear, long := 0, 0
	for _, n := range r.notes {
		if n.brief() {
			continue
		}
		long++
		if n.found && n.doubt < 4 && n.held(20) && n.partials > 1 {
			clear++
		}
	}
	if long < 4 || clear*10 >= long*4 {
		return ""
	}
	if !r.take.Stringy() {
		return noString
	}
	return noTab
}

// fit reports whether an alignment looks like a playing of the tab, and how well
// its plucks agree.
func (r *reviewer) fit(a *aligned) (bool, float64) {
	matched, clear := 0, 0
	for j := range r.heard {
		if a.used[j] {
			matched++
		}
		if r.heard[j].Strength > 0.4 {
			clear++
		}
	}
	found := float64(matched) / float64(max(1, clear, matched))
	reached, played := 0, 0
	for g := range a.onset {
		if a.reach[g] && r.s.groups[g].begun {
			reached++
			if a.onset[g] >= 0 {
				played++
			}
		}
	}
	ok := a.agree >= leastAgree && found >= leastFound && 2*played >= reached && a.jumps*4 <= matched
	return ok, a.agree
}

// inTime reports whether the plucks come when the tab has them, whatever they
// sound: the tempo between neighbours matched scatters little.
func (r *reviewer) inTime() bool {
	blind := make([]pluckHeard, len(r.heard))
	for i := range blind {
		blind[i].Onset = r.heard[i].Onset
		for k := range blind[i].rise {
			blind[i].rise[k] = 0.8
		}
	}
	a := align(r.s, blind, 0)
	t := newTiming(r.s, a, blind)
	good := 0
	for _, c := range t.anchors {
		if c.smoothOK && math.Abs(c.at-c.smooth) < 0.03 {
			good++
		}
	}
	return a.jumps == 0 && good*10 >= len(t.anchors)*8 && len(t.anchors) >= 8
}

// Stringy reports whether a take sounds like strings: most of its voiced moments
// hold their pitch, which a voice that speaks doesn't.
func (t *Take) Stringy() bool {
	short := *t
	short.x = t.x[:min(len(t.x), t.sample(20))]
	short.n = int(float64(len(short.x)) / t.rate * t.inRate)
	return holdTheirPitch(short.Pitches())
}

// holdTheirPitch reports whether frames are those of strings: a tenth of them voiced or more, and six in ten of these
// where they were just before.
func holdTheirPitch(frames []Frame) bool {
	held, voiced := 0, 0
	const back = 10 // frames: 50 ms
	for i := back; i < len(frames); i++ {
		if !frames[i].Voiced || !frames[i-back].Voiced {
			continue
		}
		voiced++
		if within(float64(frames[i].Hz), float64(frames[i-back].Hz), 15) {
			held++
		}
	}
	return voiced*10 >= len(frames) && held*100 >= voiced*60
}
