package page

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"

	"lapwright/arrange"
	"lapwright/fault"
	"lapwright/listen"
	"lapwright/listen/delay"
	"lapwright/listen/line"
	"lapwright/notation/tabtext"
	"lapwright/report"
	"lapwright/retune"
	"lapwright/rig"
	"lapwright/sheet"
	"lapwright/tab"
)

// MaxText bounds an instrument's file, and MaxTab a tab's text, in bytes.
const (
	MaxText = 64 << 10
	MaxTab  = 8 << 20
)

// mostDelaySeconds bounds the recording that a delay is measured from.
const mostDelaySeconds = 20

// Answer answers one question of the page, a report.Asked as JSON, with the form
// that belongs to it as JSON. heard is what "review", "strings", "landing" and "now"
// are about; for "delay" what was heard and then, as long, what was sounded. What can't be answered is a report.Refused;
// the answer to the same question is the same bytes on every machine.
func (l *Lesson) Answer(question []byte, heard Recording) []byte {
	return l.AnswerSheetFirst(question, heard, nil)
}

// AnswerSheetFirst answers as Answer does, but gives the sheet of a tune that is placed, a report.ScreenSheet as JSON,
// as soon as it is drawn; the answer to "place" then has it no more. sheet may be nil.
func (l *Lesson) AnswerSheetFirst(question []byte, heard Recording, sheet func([]byte)) []byte {
	var first func(*report.ScreenSheet)
	if sheet != nil {
		first = func(drawn *report.ScreenSheet) { sheet(inJSON(drawn)) }
	}
	a, err := l.answer(question, &heard, first)
	if err != nil {
		a = report.Refused{Faults: report.Errors(err)}
	}
	return inJSON(a)
}

func inJSON(a any) []byte {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)              // no HTML holds it, and sheets are full of it
	if err := e.Encode(a); err != nil { // no form holds what JSON can't
		panic("page: " + err.Error())
	}
	return bytes.TrimSuffix(b.Bytes(), []byte("\n"))
}

func (l *Lesson) answer(question []byte, recording *Recording, first func(*report.ScreenSheet)) (any, error) {
	var q report.Asked
	if err := json.Unmarshal(question, &q); err != nil {
		return nil, fmt.Errorf("the question can't be read: %w", err)
	}
	if len(q.Rig) > MaxText || len(q.Tab) > MaxTab {
		return nil, &fault.Fault{Msg: "the instrument's file or the tab is too long"}
	}
	switch q.What {
	case "now":
		return l.now(&q, recording)
	case "instruments":
		return instruments(), nil
	case "form":
		return described(q.Form)
	case "takes":
		return Compare(q.Takes), nil
	case "delay":
		return delayOf(recording)
	}
	r, doubts, err := rig.Read([]byte(q.Rig), "instrument")
	if err != nil {
		return nil, err
	}
	switch q.What {
	case "instrument":
		return checked(r, doubts), nil
	case "place":
		return l.place(r, &q, first)
	case "sheet":
		return drawn(&q)
	case "review":
		return heard(&q, recording)
	case "steel":
		return steelOf(&q)
	case "strings":
		return stringsOf(r, &q, recording)
	case "landing":
		return landing(r, &q, recording)
	}
	return nil, fmt.Errorf("nothing here answers to %q", q.What)
}

func instruments() report.Instruments {
	out := report.Instruments{Instruments: []report.InstrumentFile{}, Bodies: []string{}, Tunings: []report.NamedTuning{}}
	for _, b := range rig.Bodies() {
		out.Bodies = append(out.Bodies, string(b))
	}
	for _, t := range retune.Catalogue() {
		out.Tunings = append(out.Tunings, report.NamedTuning{Title: t.Title, Text: t.Text()})
	}
	for _, r := range rig.Builtins() {
		out.Instruments = append(out.Instruments, fileOf(r))
	}
	return out
}

func fileOf(r *rig.Rig) report.InstrumentFile {
	return report.InstrumentFile{Title: r.Title, Tuning: r.TuningText(), Rig: string(rig.Format(r))}
}

// described looks at an instrument that somebody describes. Gauges that are not
// told are not made up for it.
func described(asked *report.AskedInstrument) (any, error) {
	if asked == nil {
		return nil, &fault.Fault{Msg: "the form is missing"}
	}
	f := asked.Form()
	f.Unknown = true
	g, err := f.Rig()
	if err != nil {
		return nil, err
	}
	return checked(g, nil), nil
}

// checked says what an instrument's strings ask of it, the worst first.
func checked(r *rig.Rig, doubts fault.List) report.CheckedInstrument {
	bare := r.WithoutCapo() // a string is judged over its whole length
	out := report.CheckedInstrument{InstrumentFile: fileOf(r), Finding: rig.Fine, Reasons: []string{}, Doubts: report.Faults(doubts), Strings: []report.StringRow{}}
	if r.GaugesUnknown {
		return out
	}
	load := bare.Load()
	out.Finding, out.Reasons = load.Finding, append(out.Reasons, load.Reasons...)
	if out.Finding != rig.Fine {
		out.Caution = rig.TensionCaution
	}
	t := report.RigTableOf(bare)
	out.Strings, out.Load = t.Strings, t.Load
	return out
}

// place gives the sheet first, where that is wanted.
func (l *Lesson) place(r *rig.Rig, q *report.Asked, first func(*report.ScreenSheet)) (*report.OnInstrument, error) {
	if l.Tune == nil {
		return nil, &fault.Fault{Msg: "this page carries no tune"}
	}
	draw, err := drawer(q.Window)
	if err != nil {
		return nil, err
	}
	res, err := arrange.Arrange(context.Background(), l.Tune, r, l.wishes)
	if err != nil {
		return nil, err
	}
	sheet, err := draw(res.Tab, sheetOf(q))
	if err != nil {
		return nil, err
	}
	if first != nil {
		first(sheet)
		sheet = screenSheet(nil, nil)
	}
	placed, err := placedWith(sheet, res)
	if err != nil {
		return nil, err
	}
	return &report.OnInstrument{Placed: *placed, InWords: InWords(res.Tab), Rig: string(rig.Format(res.Tab.Rig)), Tab: string(tabtext.Format(res.Tab))}, nil
}

// sheetOf returns how a question wants its sheet drawn.
func sheetOf(q *report.Asked) sheet.Options {
	return sheet.Options{Layout: sheet.Layout(q.Layout), StringOneLow: q.StringOneLow, LeftHanded: q.LeftHanded}
}

// drawn draws the sheet of a tab in another way.
func drawn(q *report.Asked) (*report.ScreenSheet, error) {
	draw, err := drawer(q.Window)
	if err != nil {
		return nil, err
	}
	t, err := readTab(q.Rig, q.Tab)
	if err != nil {
		return nil, err
	}
	return draw(t, sheetOf(q))
}

// now tells what sounds at the end of a take. It is asked many times a second of one tab, which
// is read once.
func (l *Lesson) now(q *report.Asked, recording *Recording) (*report.Now, error) {
	if l.steel == nil || l.steelOf != [3]string{q.Rig, q.Tab, q.Tuned} {
		t, err := readTab(q.Rig, q.Tab)
		if err != nil {
			return nil, err
		}
		tuned, err := listen.TunedTo(t.Rig, q.Tuned)
		if err != nil {
			return nil, err
		}
		l.steel, l.steelTab, l.steelOf = listen.NewSteel(t, tuned), t, [3]string{q.Rig, q.Tab, q.Tuned}
	}
	var due *tab.Stroke
	if n := q.Stroke; n != nil && *n >= 0 && *n < len(l.steelTab.Strokes) {
		due = &l.steelTab.Strokes[*n]
	}
	take, err := recording.take()
	if err != nil {
		return nil, err
	}
	out := report.NowOf(l.steel.Now(take, due))
	return &out, nil
}

// delayOf measures the delay of a device from what was heard and then what was sounded.
func delayOf(recording *Recording) (*report.MeasuredDelay, error) {
	rate := recording.Rate
	if !(rate >= listen.LowestRate && rate <= listen.HighestRate) || float64(recording.Samples) > 2*mostDelaySeconds*rate {
		return nil, fmt.Errorf("a delay is measured from up to %d seconds", mostDelaySeconds)
	}
	samples := recording.all()
	half := len(samples) / 2
	out := report.DelayOf(delay.Measure(samples[:half], samples[half:], rate))
	return &out, nil
}

// takeOn returns a recording as a take, and how the rig is tuned that they were played on.
func takeOn(r *rig.Rig, q *report.Asked, recording *Recording) (*listen.Take, []float64, error) {
	tuned, err := listen.TunedTo(r, q.Tuned)
	if err != nil {
		return nil, nil, err
	}
	take, err := recording.take()
	return take, tuned, err
}

func stringsOf(r *rig.Rig, q *report.Asked, recording *Recording) (*report.Open, error) {
	take, tuned, err := takeOn(r, q, recording)
	if err != nil {
		return nil, err
	}
	heard, err := line.Strings(take, r.WithoutCapo(), tuned) // strings are tuned with it off
	if err != nil {
		return nil, err
	}
	out := report.OpenOf(heard)
	return &out, nil
}
