package tune_test

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"lapwright/pitch"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

func refs(t *tune.Tune) map[tune.Ref]bool {
	out := map[tune.Ref]bool{}
	for i := range t.Bars {
		for v, line := range t.Bars[i].Lines {
			for k := range line {
				for n := range line[k].Notes {
					out[tune.Ref{Bar: i, Voice: v, Event: k, Grace: -1, Note: n}] = true
				}
				for g := range line[k].Graces {
					for n := range line[k].Graces[g].Notes {
						out[tune.Ref{Bar: i, Voice: v, Event: k, Grace: g, Note: n}] = true
					}
				}
			}
		}
	}
	return out
}

// TestMomentsHaveEveryNoteOnce, in order of time, with lengths that fit.
func TestMomentsHaveEveryNoteOnce(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		tn := tunetest.Tunes().Draw(r, "tune")
		left := refs(tn)
		var before tune.Moment
		for i, m := range tune.Moments(tn) {
			if i > 0 && (m.BarIndex < before.BarIndex || m.BarIndex == before.BarIndex && m.At < before.At+before.Len) {
				r.Fatalf("moment at bar %d, %s begins before the last has ended", m.BarIndex, m.At)
			}
			if m.Len <= 0 || m.At+m.Len > tn.Bars[m.BarIndex].Len || len(m.Notes) == 0 {
				r.Fatalf("moment %+v does not fit its bar", m)
			}
			for _, n := range m.Notes {
				if !left[n.Ref] {
					r.Fatalf("note %+v comes twice", n)
				}
				delete(left, n.Ref)
				if tn.Note(n.Ref).Name != n.Name || n.Len <= 0 {
					r.Fatalf("note %+v is not the written one", n)
				}
			}
			for _, h := range m.Held {
				if h.Bar != m.BarIndex || left[h] {
					r.Fatalf("held note %+v has not begun in the bar", h)
				}
			}
			before = m
		}
		if len(left) > 0 {
			r.Fatalf("%d notes are in no moment", len(left))
		}
	})
}

// TestSoundAgreesWithMoments: without repeats or signs, what sounds is the
// moments with ties joined.
func TestSoundAgreesWithMoments(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		tn := tunetest.Tunes().Draw(r, "tune")
		tn.PartOrder = ""
		for i := range tn.Bars {
			b := &tn.Bars[i]
			b.Left.Repeat, b.Right.Repeat, b.Endings, b.Signs = 0, 0, nil, nil
		}
		passes, _ := tune.Unfold(tn)
		if len(passes) != len(tn.Bars) {
			r.Fatalf("%d passes of %d bars", len(passes), len(tn.Bars))
		}
		type note struct {
			ref     tune.Ref
			at, len tune.Ticks
		}
		var want []note
		joined := map[tune.Ref]int{} // the note of want that a tied note belongs to
		for _, m := range tune.Moments(tn) {
			for _, n := range m.Notes {
				if !n.Tied {
					joined[n.Ref] = len(want)
					want = append(want, note{n.Ref, passes[m.BarIndex].Start + m.At, n.Len})
					continue
				}
				from := joined[tiedInto(tn, n.Ref)]
				want[from].len += n.Len
				joined[n.Ref] = from
			}
		}
		var got []note
		for _, s := range tune.Sound(tn) {
			got = append(got, note{s.Ref, s.At, s.Len})
		}
		order := func(a, b note) int {
			if a.at != b.at {
				return int(a.at - b.at)
			}
			return slices.Compare([]int{a.ref.Voice, a.ref.Grace, a.ref.Note}, []int{b.ref.Voice, b.ref.Grace, b.ref.Note})
		}
		slices.SortFunc(want, order)
		slices.SortFunc(got, order)
		if !slices.Equal(got, want) {
			r.Fatalf("sound %v\nmoments %v", got, want)
		}
	})
}

// tiedInto finds the note, as written before it in its voice, that is tied into
// a note.
func tiedInto(t *tune.Tune, ref tune.Ref) tune.Ref {
	bar, event := ref.Bar, ref.Event-1
	if event < 0 {
		bar--
		event = len(t.Bars[bar].Lines[ref.Voice]) - 1
	}
	prev, cur := &t.Bars[bar].Lines[ref.Voice][event], &t.Bars[ref.Bar].Lines[ref.Voice][ref.Event]
	return tune.Ref{Bar: bar, Voice: ref.Voice, Event: event, Grace: -1, Note: tune.TiedFrom(prev, cur)[ref.Note]}
}

// TestSoundIsInOrder: sorted, inside the piece, glides to notes that begin when
// the glide ends, and as long in all as the notes of every pass.
func TestSoundIsInOrder(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		tn := tunetest.Tunes().Draw(r, "tune")
		passes, faults := tune.Unfold(tn)
		if len(faults) > 0 {
			r.Fatalf("%v", faults)
		}
		last := passes[len(passes)-1]
		end := last.Start + tn.Bars[last.BarIndex].Len
		sound := tune.Sound(tn)
		var total, want tune.Ticks
		for i, s := range sound {
			if s.At < 0 || s.Len <= 0 || s.At+s.Len > end {
				r.Fatalf("%+v lies outside the piece of %s", s, end)
			}
			if i > 0 && (s.At < sound[i-1].At || s.At == sound[i-1].At && s.Name.Key() > sound[i-1].Name.Key()) {
				r.Fatalf("%+v is out of order", s)
			}
			if s.GlideTo >= 0 && sound[s.GlideTo].At != s.At+s.Len {
				r.Fatalf("%+v glides to %+v", s, sound[s.GlideTo])
			}
			total += s.Len
		}
		for p, pass := range passes {
			if p > 0 && pass.Start != passes[p-1].Start+tn.Bars[passes[p-1].BarIndex].Len {
				r.Fatalf("pass %d starts at %s", p, pass.Start)
			}
			for _, line := range tn.Bars[pass.BarIndex].Lines {
				for k := range line {
					want += line[k].Len * tune.Ticks(len(line[k].Notes))
					// A note under graces gives them their time, a tied one does not.
					for _, g := range line[k].Graces {
						want += tune.GraceTime(&line[k]) * tune.Ticks(len(g.Notes))
					}
				}
			}
		}
		for p := range passes {
			want -= gracesBefore(tn, passes, p)
		}
		if total != want {
			r.Fatalf("sounds %s in all, written %s", total, want)
		}
	})
}

// gracesBefore returns the time that notes begun anew in a pass give to graces.
func gracesBefore(t *tune.Tune, passes []tune.Pass, p int) tune.Ticks {
	var sum tune.Ticks
	for v, line := range t.Bars[passes[p].BarIndex].Lines {
		for k := range line {
			e := &line[k]
			var prev *tune.Event
			switch {
			case k > 0:
				prev = &line[k-1]
			case p > 0:
				before := t.Bars[passes[p-1].BarIndex].Lines[v]
				prev = &before[len(before)-1]
			}
			for _, from := range tune.TiedFrom(prev, e) {
				if from < 0 {
					sum += tune.Ticks(len(e.Graces)) * tune.GraceTime(e)
				}
			}
		}
	}
	return sum
}

// TestTransposeThereAndBack: pitches move exactly, keys and notes come back.
func TestTransposeThereAndBack(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		tn := tunetest.Tunes().Draw(r, "tune")
		semitones := rapid.IntRange(-12, 12).Draw(r, "semitones")
		iv := tune.Shift(tn.Bars[0].Key, semitones)
		if iv.Semitones != semitones {
			r.Fatalf("asked for %d semitones, got %+v", semitones, iv)
		}
		there := tune.Transpose(tn, iv)
		if faults := there.Check(); len(faults) > 0 && semitones == 0 {
			r.Fatalf("%v", faults)
		}
		back := tune.Transpose(there, pitch.Interval{Steps: -iv.Steps, Semitones: -iv.Semitones})
		a, b, c := tune.Sound(tn), tune.Sound(there), tune.Sound(back)
		if len(a) != len(b) || len(a) != len(c) {
			r.Fatalf("%d, %d and %d notes", len(a), len(b), len(c))
		}
		for i := range a {
			if b[i].Ref != a[i].Ref || b[i].At != a[i].At || b[i].Len != a[i].Len || b[i].Name.Key() != a[i].Name.Key()+semitones {
				r.Fatalf("%+v moved by %d is %+v", a[i], semitones, b[i])
			}
			if c[i].Name.Key() != a[i].Name.Key() {
				r.Fatalf("%+v there and back is %+v", a[i], c[i])
			}
		}
		for i := range tn.Bars {
			k := there.Bars[i].Key
			if k.Tonic.Semitone() != (tn.Bars[i].Key.Tonic.Semitone()+semitones+24)%12 || k.Mode != tn.Bars[i].Key.Mode {
				r.Fatalf("key %s moved by %d is %s", tn.Bars[i].Key, semitones, k)
			}
		}
	})
}

func TestCloneSharesNothing(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		tn := tunetest.Tunes().Draw(r, "tune")
		a, b := tn.Clone(), tn.Clone()
		if !reflect.DeepEqual(tn, a) {
			r.Fatal(cmp.Diff(tn, a))
		}
		for i := range a.Bars {
			bar := &a.Bars[i]
			for _, line := range bar.Lines {
				for k := range line {
					e := &line[k]
					e.At++
					for n := range e.Notes {
						e.Notes[n].Tie = !e.Notes[n].Tie
					}
					for g := range e.Graces {
						e.Graces[g].Notes[0].Scoop++
					}
					for n := range e.Tuplets {
						e.Tuplets[n].Actual++
					}
					for n := range e.Lyrics {
						e.Lyrics[n].Text += "!"
					}
					for n := range e.Marks {
						e.Marks[n]++
					}
				}
			}
			for n := range bar.Chords {
				if c := bar.Chords[n].Chord; c != nil {
					c.Root.Alter++
					c.Tones[0].Label = "?"
				}
			}
			for n := range bar.Signs {
				bar.Signs[n].At++
			}
			for n := range bar.Texts {
				bar.Texts[n].At++
			}
			for n := range bar.Tempos {
				bar.Tempos[n].At++
			}
			for n := range bar.Endings {
				bar.Endings[n]++
			}
		}
		if !reflect.DeepEqual(tn, b) {
			r.Fatal("changing a clone changed the tune: " + cmp.Diff(tn, b))
		}
	})
}

// TestClockRunsForward: time grows with the music, and At undoes Seconds.
func TestClockRunsForward(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		tn := tunetest.Tunes().Draw(r, "tune")
		c := tune.NewClock(tn)
		before := -1.
		for k := range tune.Ticks(33) {
			at := c.Len() * k / 32
			s := c.Seconds(at)
			if s <= before && k > 0 {
				r.Fatalf("%s is at %v s, after %v s", at, s, before)
			}
			before = s
			// A nanosecond of rounding is some ticks at the fastest.
			if d := c.At(s) - at; d > tune.Whole/1_000_000 || d < -tune.Whole/1_000_000 {
				r.Fatalf("%s is at %v s, and back at %s", at, s, c.At(s))
			}
		}
	})
}

// TestUnfoldEnds: any jumble of signs is played to an end within the bounds,
// each bar starting where the one before ends, and when nothing repeats or jumps
// the order is as written.
func TestUnfoldEnds(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		word := rapid.SampledFrom([]string{
			"x", "x", "x", "|:x", "x:|", "x::|", "|:x:|", "1-x", "2-x", "1-x:|", "2-x:|", "1,3-x:|", "3-x", "A=x", "B=x",
			"segno", "coda", "tocoda", "fine", "dc", "ds", "dcfine", "dsfine", "dccoda", "dscoda", "|:fine+dc:|", "1-ds:|",
		})
		words := rapid.SliceOfN(word, 1, 14).Draw(r, "bars")
		tn := bars(strings.Join(words, " "))
		tn.PartOrder = rapid.SampledFrom([]string{"", "", "AB", "A2(BA)2", "BBA"}).Draw(r, "order")
		passes, _ := tune.Unfold(tn)
		if len(passes) == 0 || len(passes) > tune.MaxPasses {
			r.Fatalf("%d passes", len(passes))
		}
		at := tune.Ticks(0)
		for _, p := range passes {
			if p.Start != at {
				r.Fatalf("bar %d starts at %s and not at %s", p.BarIndex, p.Start, at)
			}
			at += tn.Bars[p.BarIndex].Len
		}
		if strings.Trim(strings.Join(words, ""), "x") == "" && tn.PartOrder == "" && len(passes) != len(words) {
			r.Fatalf("%d passes of %d plain bars", len(passes), len(words))
		}
	})
}
