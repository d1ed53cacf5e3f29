package workbench

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"lapwright/fault"
	"lapwright/internal/recording"
	"lapwright/internal/review"
	"lapwright/internal/studio"
	"lapwright/internal/take"
	"lapwright/listen"
	"lapwright/listen/picture"
	"lapwright/notation/tabtext"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/tab"
	"lapwright/tune"
)

// maxWord bounds what is said beside a note, in bytes.
const maxWord = 500

// Brought is a recording that came, and what it is of.
type Brought struct {
	File   []byte
	Name   string // of the file
	Tune   *studio.Item
	Ref    string        // of the rig
	Player string        // a first name, or none
	Tuned  string        // "equal", "just" or "between"
	Along  *report.Along // what the page sounded meanwhile, of the tune at this revision; nil for nothing
	At     time.Time
}

// KeepTake hears a recording, keeps its sound, and returns the take as its item holds it.
// A take that can't be judged is kept too, with the reason.
func KeepTake(ctx context.Context, st *studio.Studio, b Brought) (studio.Content, error) {
	var none studio.Content
	player := strings.Join(strings.Fields(b.Player), " ")
	if len(player) > take.MaxName || !utf8.ValidString(player) {
		return none, &fault.Fault{Msg: fmt.Sprintf("a name of up to %d letters is taken", take.MaxName)}
	}
	rec, err := recording.Read(b.File, b.Name)
	if err != nil {
		return none, err
	}
	seconds := float64(len(rec.Channels[0])) / rec.Rate
	if seconds > take.MaxSeconds {
		return none, &fault.Fault{Msg: fmt.Sprintf("this take is %.0f minutes long, and the workbench keeps up to %d: cut it, or use lapwright review on the command line", seconds/60, take.MaxSeconds/60)}
	}
	g, err := FindRig(ctx, st, b.Ref)
	if err != nil {
		return none, err
	}
	packed, err := review.Pack(rec)
	if err != nil {
		return none, told(err)
	}
	k := report.KeptTake{
		Tune: b.Tune.ID, TuneRevision: b.Tune.Revision, Rig: b.Ref, RigText: string(rig.Format(g)), Player: player,
		Played: b.At.UTC().Format(time.RFC3339), Tuned: b.Tuned, Seconds: seconds, Said: []report.TakeNote{}, Along: b.Along,
	}
	// What is kept is what is heard from now on.
	if rec, err = recording.Read(packed, b.Name); err != nil {
		return none, err
	}
	t, _, err := arranged(ctx, b.Tune, g)
	if err != nil {
		return none, err
	}
	return keepHeard(st, b.Tune.Title, &k, rec, packed, t.Result.Tab)
}

// keepHeard hears a recording against the tab that it is of, keeps its sound, and returns the take as its item holds it.
func keepHeard(st *studio.Studio, title string, k *report.KeptTake, rec *recording.Recording, packed []byte, t *tab.Tab) (studio.Content, error) {
	v, err := hear(rec, t, k)
	if err != nil {
		return studio.Content{}, err
	}
	if k.Sound, err = st.Sounds.Keep(packed); err != nil {
		return studio.Content{}, err
	}
	k.Review = report.ReviewOf(v)
	return takeContent(title, k)
}

// hear reviews a recording as a take has it.
func hear(rec *recording.Recording, t *tab.Tab, k *report.KeptTake) (*listen.Reviewed, error) {
	tuned, err := listen.TunedTo(t.Rig, k.Tuned)
	if err != nil {
		return nil, told(err)
	}
	heard, err := rec.Take()
	if err != nil {
		return nil, told(err)
	}
	return listen.Review(heard, t, listen.Options{Tuned: tuned, Click: k.Along.Click(), Right: func(at tune.Ticks, str int) bool {
		n := saidOf(k, at.String(), str)
		return n != nil && n.Right
	}})
}

// saidOf returns what was said of a note; nil when nothing was.
func saidOf(k *report.KeptTake, at string, str int) *report.TakeNote {
	for i := range k.Said {
		if k.Said[i].At == at && k.Said[i].String == str {
			return &k.Said[i]
		}
	}
	return nil
}

// takeContent returns a take as its item holds it.
func takeContent(title string, k *report.KeptTake) (studio.Content, error) {
	body, err := json.Marshal(k)
	return studio.Content{Title: TitleOf(title), Body: string(body)}, err
}

// ReadTake reads a take's item.
func ReadTake(it *studio.Item) (report.KeptTake, error) {
	var k report.KeptTake
	return k, readKept([]byte(it.Body), "this take", &k)
}

// aboutTake says who played a take and when.
func aboutTake(k *report.KeptTake) string {
	var parts []string
	if k.Player != "" {
		parts = append(parts, k.Player)
	}
	if g, err := rig.Parse([]byte(k.RigText), "rig.toml"); err == nil {
		parts = append(parts, g.Title)
	}
	parts = append(parts, lengthOf(k.Seconds))
	if k.Sound == "" {
		parts = append(parts, "sound cleared")
	}
	return strings.Join(parts, ", ")
}

// lengthOf says how long something is: "1:05".
func lengthOf(seconds float64) string {
	s := int(seconds + 0.5)
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}

// Take is a take that is opened: heard again against its tab.
type Take struct {
	Kept     report.KeptTake
	Rig      *rig.Rig
	Reviewed *listen.Reviewed // nil when the sound was cleared
	plan     review.Plan
}

// OpenTake hears a take again. One whose sound was cleared holds what was kept of it alone.
func OpenTake(ctx context.Context, st *studio.Studio, it *studio.Item) (*Take, error) {
	k, err := ReadTake(it)
	if err != nil {
		return nil, err
	}
	out := &Take{Kept: k}
	if out.Rig, err = rig.Parse([]byte(k.RigText), "rig.toml"); err != nil {
		return nil, err
	}
	b, err := st.Sounds.Get(k.Sound)
	if errors.Is(err, studio.ErrCleared) {
		out.Kept.Sound = ""
		return out, nil
	}
	if err != nil {
		return nil, err
	}
	tn, err := st.GetRevision(ctx, k.Tune, k.TuneRevision)
	if errors.Is(err, studio.ErrNone) {
		return nil, &fault.Fault{Msg: "the tune of this take is gone for good; its sound is still kept"}
	}
	if err != nil {
		return nil, err
	}
	t, err := tabOf(ctx, &k, tn, out.Rig)
	if err != nil {
		return nil, err
	}
	rec, err := recording.Read(b, "take.flac")
	if err != nil {
		return nil, err
	}
	if out.Reviewed, err = hear(rec, t, &k); err != nil {
		return nil, err
	}
	out.plan = review.Plan{Reviewed: out.Reviewed, Tab: t, About: out.About()}
	for _, n := range k.Said {
		if at, err := ticksOf(n.At); err == nil {
			out.plan.Beside = append(out.plan.Beside, picture.Word{At: at, String: n.String, Text: n.Word})
		}
	}
	return out, nil
}

// tabOf returns the tab that a take was played from: the one that came with it, or the tune as it was placed.
func tabOf(ctx context.Context, k *report.KeptTake, it *studio.Item, g *rig.Rig) (*tab.Tab, error) {
	if k.Tab != "" {
		t, _, err := tabtext.Parse([]byte(k.Tab), "tab", g)
		return t, err
	}
	t, _, err := arranged(ctx, it, g)
	if err != nil {
		return nil, err
	}
	return t.Result.Tab, nil
}

// About says who played a take, on what, and when.
func (t *Take) About() string {
	s := t.Rig.Title
	if at, err := time.Parse(time.RFC3339, t.Kept.Played); err == nil {
		s = at.Local().Format("2 January 2006") + ", " + s
	}
	if t.Kept.Player != "" {
		s = t.Kept.Player + ", " + s
	}
	return s
}

// Summary says how much of a take could be judged.
func (t *Take) Summary() string { return picture.Summary(t.Reviewed) }

// Judged reports whether there is something to draw.
func (t *Take) Judged() bool { return t.Reviewed != nil && t.Reviewed.Refused == "" }

// Drawn draws the take's review, its handout on a paper.
func (t *Take) Drawn(paper draw.Paper) (*review.Review, error) {
	p := t.plan
	p.Sheet = sheet.Options{Paper: paper}
	return review.Make(p)
}

// SoundOf returns the sound of a take as FLAC. One that was cleared gives studio.ErrCleared.
func SoundOf(st *studio.Studio, it *studio.Item) ([]byte, error) {
	k, err := ReadTake(it)
	if err != nil {
		return nil, err
	}
	return st.Sounds.Get(k.Sound)
}

// Said is a take with what a teacher said of a note.
type Said struct {
	Content studio.Content
	Why     string // what was done, in words
}

// SayOfNote returns a take with what a teacher says of one note of it.
func SayOfNote(ctx context.Context, st *studio.Studio, it *studio.Item, ask report.AskedTakeNote) (*Said, error) {
	k, err := ReadTake(it)
	if err != nil {
		return nil, err
	}
	word := strings.TrimSpace(ask.Word)
	if len(word) > maxWord || !utf8.ValidString(word) {
		return nil, &fault.Fault{Msg: fmt.Sprintf("what is said beside a note may be %d letters long", maxWord)}
	}
	if ask.Note < 0 || ask.Note >= len(k.Review.Notes) {
		return nil, studio.ErrNone
	}
	n := k.Review.Notes[ask.Note]
	if old := saidOf(&k, n.At, n.String); old != nil {
		old.Right, old.Word = ask.Right, word
	} else {
		k.Said = append(k.Said, report.TakeNote{At: n.At, String: n.String, Right: ask.Right, Word: word})
	}
	c, err := takeContent(it.Title, &k)
	if err != nil {
		return nil, err
	}
	// What counts as right changes what is advised.
	again := *it
	again.Body = c.Body
	t, err := OpenTake(ctx, st, &again)
	if err != nil {
		return nil, err
	}
	if t.Reviewed != nil {
		k.Review = report.ReviewOf(t.Reviewed)
	}
	c, err = takeContent(it.Title, &k)
	return &Said{c, fmt.Sprintf("said of bar %d", n.Bar)}, err
}

// ExerciseOf returns the tune to keep for the exercise of piece n of a take's advice, played
// on the take's instrument as it is there. One without an exercise gives studio.ErrNone.
func ExerciseOf(it *studio.Item, n int) (studio.Content, error) {
	k, err := ReadTake(it)
	if err != nil {
		return studio.Content{}, err
	}
	if n < 0 || n >= len(k.Review.Advice) || k.Review.Advice[n].Drill == nil {
		return studio.Content{}, studio.ErrNone
	}
	g, err := rig.Parse([]byte(k.RigText), "rig.toml")
	if err != nil {
		return studio.Content{}, err
	}
	d := k.Review.Advice[n].Drill
	c, _, err := BringTab(d.Tab, d.Title, k.Rig, g)
	return c, err
}

// ClearTake deletes the sound of a take for good and returns the take without it.
func ClearTake(st *studio.Studio, it *studio.Item) (studio.Content, error) {
	k, err := ReadTake(it)
	if err != nil {
		return studio.Content{}, err
	}
	if err := st.Sounds.Clear(k.Sound); err != nil {
		return studio.Content{}, err
	}
	k.Sound = ""
	return takeContent(it.Title, &k)
}
