package writing

import (
	"strconv"

	"lapwright/tune"
)

// voiceState is what goes on from event to event in one voice of the staff.
type voiceState struct {
	slurs  []int // numbers of the open slurs
	slides []slideEnd
	verses map[int]bool // verses in the middle of a word
}

// slideEnd is a glide waiting for its second note.
type slideEnd struct{ fromTop, number int }

func (st *voiceState) writeSlurs(w *emitter, e *tune.Event) {
	for range e.SlurEnds {
		if n := len(st.slurs); n > 0 {
			w.empty("slur", "type", "stop", "number", strconv.Itoa(st.slurs[n-1]))
			st.slurs = st.slurs[:n-1]
		}
	}
	for range e.Slurs {
		n := len(st.slurs)%16 + 1
		st.slurs = append(st.slurs, n)
		w.empty("slur", "type", "start", "number", strconv.Itoa(n))
	}
}

// slideStops reports whether a glide of the voice ends on the note that many
// places below the top.
func (st *voiceState) slideStops(fromTop int) bool {
	for _, s := range st.slides {
		if s.fromTop == fromTop {
			return true
		}
	}
	return false
}

// writeSlides ends the glide that comes to a note and begins the one that leaves it.
// Glides that begin here are kept apart by a negative place until endSlides.
func (st *voiceState) writeSlides(w *emitter, n *tune.Note, fromTop int) {
	used := map[int]bool{}
	for _, s := range st.slides {
		used[s.number] = true
		if s.fromTop == fromTop {
			w.empty("slide", "type", "stop", "number", strconv.Itoa(s.number), "line-type", "solid")
		}
	}
	if n.Glide {
		number := 1
		for used[number] && number < 16 {
			number++
		}
		w.empty("slide", "type", "start", "number", strconv.Itoa(number), "line-type", "solid")
		st.slides = append(st.slides, slideEnd{-1 - fromTop, number})
	}
}

// endSlides leaves only the glides that have just begun.
func (st *voiceState) endSlides() {
	var left []slideEnd
	for _, s := range st.slides {
		if s.fromTop < 0 {
			left = append(left, slideEnd{-1 - s.fromTop, s.number})
		}
	}
	st.slides = left
}

func (st *voiceState) writeLyrics(w *emitter, e *tune.Event) {
	for _, l := range e.Lyrics {
		syllabic := "single"
		switch within := st.verses[l.Verse]; {
		case within && l.Hyphen:
			syllabic = "middle"
		case within:
			syllabic = "end"
		case l.Hyphen:
			syllabic = "begin"
		}
		st.verses[l.Verse] = l.Hyphen
		w.open("lyric", "number", strconv.Itoa(l.Verse))
		w.text("syllabic", syllabic)
		w.text("text", l.Text)
		if l.Extend {
			w.empty("extend")
		}
		w.close()
	}
}
