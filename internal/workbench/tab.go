package workbench

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"

	"lapwright/arrange"
	"lapwright/arrange/accompany"
	"lapwright/arrange/rank"
	"lapwright/fault"
	"lapwright/feel"
	"lapwright/internal/lesson"
	"lapwright/internal/studio"
	"lapwright/page"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/sheet"
	"lapwright/tune"
)

// Tab is an item's tune placed on a rig, drawn and timed.
type Tab struct {
	Placed report.Placed
	Result *arrange.Result
	Rig    *rig.Rig
	tune   *tune.Tune
	before int // bars that an intro has
	wishes arrange.Options
	backup bool // it accompanies
	feel   *feel.Feel
}

// TabKey names a tab by everything that it depends on.
func TabKey(it *studio.Item, g *rig.Rig) string {
	sum := sha256.Sum256([]byte(it.Body + "\x00" + string(it.Extra) + "\x00" + string(rig.Format(g))))
	return hex.EncodeToString(sum[:])
}

// Place returns an item's tune on a rig, under the wishes that are kept with it.
func Place(ctx context.Context, it *studio.Item, g *rig.Rig) (*Tab, error) {
	out, x, err := arranged(ctx, it, g)
	if err != nil {
		return nil, err
	}
	placed, err := page.Placed(out.Result, sheet.Options{})
	if err != nil {
		return nil, err
	}
	placed.About = out.Placed.About
	out.Placed = *placed
	out.Placed.Asleep = asleepOf(x.Wishes[g.Name], g, out.before)
	if o := out.Result.Outline; o != nil {
		out.Placed.Asleep = append(out.Placed.Asleep, o.Asleep...)
	}
	return out, nil
}

// arranged is Place without the drawings.
func arranged(ctx context.Context, it *studio.Item, g *rig.Rig) (*Tab, report.TuneSettings, error) {
	x, _, err := ReadSettings(it)
	if err != nil {
		return nil, x, err
	}
	t, before, err := tuneOf(it, x)
	if err != nil {
		return nil, x, err
	}
	wishes, err := optionsOf(wishesFor(&x, g.Name), g, before)
	if err != nil {
		return nil, x, err
	}
	out := &Tab{Rig: g, tune: t, before: before, wishes: wishes}
	if out.backup, out.feel, err = backupOf(x.Wishes[g.Name]); err != nil {
		return nil, x, err
	}
	err = out.place(ctx)
	return out, x, err
}

// place arranges the tune, or makes what accompanies it, and looks it over.
func (t *Tab) place(ctx context.Context) error {
	if t.backup {
		o := accompany.OptionsOf(t.wishes)
		o.Feel = t.feel
		res, err := accompany.Accompany(ctx, t.tune, t.Rig, o)
		if err != nil {
			return err
		}
		t.Result = res.Result
		t.Placed.About = report.SummariseBackup(res)
		return nil
	}
	var err error
	if t.Result, err = arrange.Arrange(ctx, t.tune, t.Rig, t.wishes); err != nil {
		return err
	}
	t.Placed.About = report.Summarise(t.Result)
	return nil
}

// backupOf returns whether wishes ask for what accompanies, and in which feel; nil is
// the usual one.
func backupOf(w report.Wishes) (bool, *feel.Feel, error) {
	if w.Part != "" && w.Part != lesson.BackupPart.String() && w.Part != lesson.TunePart.String() {
		return false, nil, &fault.Fault{Msg: fmt.Sprintf("%q is neither the tune nor its backup", w.Part)}
	}
	var f *feel.Feel
	if w.Feel != "" {
		var err error
		if f, err = feel.Find(w.Feel); err != nil {
			return false, nil, &fault.Fault{Msg: err.Error()}
		}
	}
	return w.Part == lesson.BackupPart.String(), f, nil
}

// Size is about how many bytes a tab keeps in memory: its drawings, and what a
// stroke and a bar take in tab, tune and timing (measured on tunes of 1000 and
// 10,000 notes, rounded up).
func (t *Tab) Size() int64 {
	size := int64(64<<10) + int64(len(t.Placed.Narrow)) + 4<<10*int64(len(t.Result.Tab.Strokes)+len(t.tune.Bars))
	for _, p := range t.Placed.Pages {
		size += int64(len(p))
	}
	return size
}

// At returns what is answered of a tab: which revision it is of.
func (t *Tab) At(revision int) *report.Placed {
	out := t.Placed
	out.Revision = revision
	return &out
}

// Turned is At with the sheets' string 1 at the bottom, as a device may have it.
func (t *Tab) Turned(revision int) (*report.Placed, error) {
	drawn, err := page.Sheet(t.Result.Tab, sheet.Options{StringOneLow: true})
	if err != nil {
		return nil, err
	}
	out := t.At(revision)
	out.ScreenSheet = *drawn
	return out, nil
}

// maxChoices is how many ways to play a moment a page is shown.
const maxChoices = 24

// Choices returns what else could be played at one stroke of a tab. What is
// pinned there now is left out of account, so that it can be changed. A stroke
// that is not there is studio.ErrNone.
func (t *Tab) Choices(ctx context.Context, strokeIndex int) (*report.Choices, error) {
	strokes := t.Result.Tab.Strokes
	if strokeIndex < 0 || strokeIndex >= len(strokes) {
		return nil, studio.ErrNone
	}
	bar, at := t.Result.Tab.Tune.Place(strokes[strokeIndex].BarIndex, strokes[strokeIndex].At)
	if t.backup || strokes[strokeIndex].BarIndex < t.before {
		// The grips of what accompanies are led from chord to chord, and an intro is
		// played as it lies best.
		return &report.Choices{Bar: bar, At: at.String(), Choices: []report.Choice{}}, nil
	}
	wishes, pins := t.wishes, t.wishes.Pins
	in := t.Result.Setting()
	wishes.In = &in // what is asked is asked of the tab that is seen
	wishes.Pins = slices.DeleteFunc(slices.Clone(wishes.Pins), func(p arrange.Pin) bool { return p.FromBarNumber == bar && p.At != nil && *p.At == at })
	list, err := arrange.Choices(ctx, t.tune, t.Rig, wishes, bar, at)
	if err != nil {
		return nil, err
	}
	out := &report.Choices{Bar: bar, At: at.String(), Before: t.before, Choices: []report.Choice{}}
	for _, c := range list[:min(len(list), maxChoices)] {
		pinned := slices.ContainsFunc(pins, func(p arrange.Pin) bool { return samePin(&p, &c.Pin) })
		out.Choices = append(out.Choices, report.Choice{MomentWay: report.MomentWayOf(&c), Pin: pinOf(t.Rig, &c, t.before), Pinned: pinned})
	}
	return out, nil
}

// Files makes what a lesson would hold of a tab alone, with its sound only when
// it is asked for.
func (t *Tab) Files(ctx context.Context, o sheet.Options, withSound bool) (*lesson.Lesson, error) {
	recordings := lesson.NoRecordings
	if withSound {
		recordings = lesson.AllRecordings
	}
	parts := lesson.TunePart
	if t.backup {
		parts = lesson.BackupPart
	}
	return lesson.Make(ctx, lesson.Plan{
		Parts: map[string]lesson.Parts{"": parts}, Feels: map[string]*feel.Feel{"": t.feel},
		Tune: t.tune, Rigs: []*rig.Rig{t.Rig}, Recordings: recordings, WAV: withSound,
		Arrange: map[string]arrange.Options{t.Rig.Name: t.wishes},
		Sheet:   o,
	}, nil)
}

// Folder is where Files has what it makes.
func (t *Tab) Folder() string { return lesson.Folder(t.Rig.Name, t.backup) }

// Rank says on which of some rigs an item's tune plays best.
func Rank(ctx context.Context, it *studio.Item, choices []RigChoice) (*report.Ranking, error) {
	x, _, err := ReadSettings(it)
	if err != nil {
		return nil, err
	}
	t, _, err := tuneOf(it, x)
	if err != nil {
		return nil, err
	}
	refs := map[*rig.Rig]string{}
	var rigs []*rig.Rig
	for _, c := range choices {
		refs[c.Rig] = c.Ref
		rigs = append(rigs, c.Rig)
	}
	list, err := rank.Rigs(ctx, t, rigs, arrange.Options{})
	if err != nil {
		return nil, err
	}
	out := &report.Ranking{Ranked: []report.Ranked{}}
	for i := range list {
		out.Ranked = append(out.Ranked, report.RankedOf(refs[list[i].Rig], &list[i]))
	}
	return out, nil
}
