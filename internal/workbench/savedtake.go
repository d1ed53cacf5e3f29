package workbench

import (
	"context"
	"fmt"
	"reflect"
	"time"

	"lapwright/arrange"
	"lapwright/arrange/accompany"
	"lapwright/internal/studio"
	"lapwright/internal/take"
	"lapwright/notation/tabtext"
	"lapwright/page"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/tab"
	"lapwright/tune"
)

// FindPlayed looks for the tab of a saved take's digest: among all revisions of all tunes the one of its
// block, placed on its instrument as the tune is wished there, as a lesson's page places it, or accompanied.
// Where there is none, the error says what was found.
func FindPlayed(ctx context.Context, st *studio.Studio, s *take.Saved) (*studio.Item, *tab.Tab, error) {
	list, err := st.List(ctx, studio.Tune)
	if err != nil {
		return nil, nil, err
	}
	rigs, err := rigsOf(ctx, st, s.On)
	if err != nil {
		return nil, nil, err
	}
	known := ""
	for _, h := range list {
		revisions, err := st.Revisions(ctx, h.ID)
		if err != nil {
			return nil, nil, err
		}
		for _, rev := range revisions {
			it, err := st.GetRevision(ctx, h.ID, rev.Revision)
			if err != nil {
				return nil, nil, err
			}
			t, before, x, ok := blockOf(it, s)
			if !ok {
				continue
			}
			known = it.Title
			tb, err := playedOn(ctx, t, before, rigs, x, s)
			if err != nil {
				return nil, nil, err
			}
			if tb != nil {
				return it, tb, nil
			}
		}
	}
	if known == "" {
		return nil, nil, s.OtherTab(fmt.Sprintf("none of your tunes, in none of their revisions, is the one with the digest %s", short(s.Block)))
	}
	return nil, nil, s.OtherTab(fmt.Sprintf("it is of “%s” on %s, and none of its revisions gives the tab with the digest %s there", known, s.On.Title, short(s.Tab)))
}

// short is as much of a digest as is told.
func short(digest string) string { return digest[:12] }

// blockOf returns an item's tune, by how much an intro makes its bars' numbers higher, and
// its settings, when it is the one that a take was played from.
func blockOf(it *studio.Item, s *take.Saved) (*tune.Tune, int, report.TuneSettings, bool) {
	x, _, err := ReadSettings(it)
	if err != nil {
		return nil, 0, x, false
	}
	t, before, err := tuneOf(it, x)
	if err != nil {
		return nil, 0, x, false
	}
	b, err := page.TuneBytes(t)
	return t, before, x, err == nil && take.Digest(b) == s.Block
}

// playedOn returns the tab of a take's digest on its instrument; nil when no way to place the tune gives it.
func playedOn(ctx context.Context, t *tune.Tune, before int, rigs []*rig.Rig, x report.TuneSettings, s *take.Saved) (*tab.Tab, error) {
	for _, g := range rigs {
		wished, err := optionsOf(wishesFor(&x, g.Name), g, before)
		if err != nil {
			return nil, err
		}
		// An instrument that the lesson was not made for is asked nothing in particular.
		ways := []arrange.Options{wished}
		if !reflect.DeepEqual(wished, arrange.Options{}) {
			ways = append(ways, arrange.Options{})
		}
		for _, o := range ways {
			if res, err := arrange.Arrange(ctx, t, g, o); err == nil {
				if tb := sameTab(res.Tab, s); tb != nil {
					return tb, nil
				}
			}
			a := accompany.OptionsOf(o)
			if _, f, err := backupOf(x.Wishes[g.Name]); err == nil {
				a.Feel = f
			}
			if res, err := accompany.Accompany(ctx, t, g, a); err == nil {
				if tb := sameTab(res.Result.Tab, s); tb != nil {
					return tb, nil
				}
			}
			if err := ctx.Err(); err != nil {
				return nil, err
			}
		}
	}
	return nil, nil
}

// rigsOf returns a take's instrument, and those of its name as they are built in and as the studio has them:
// the page's has its capo placed. Those that are alike count once.
func rigsOf(ctx context.Context, st *studio.Studio, on *rig.Rig) ([]*rig.Rig, error) {
	var rigs []*rig.Rig
	seen := map[string]bool{}
	add := func(g *rig.Rig) {
		if text := string(rig.Format(g)); !seen[text] {
			seen[text] = true
			rigs = append(rigs, g)
		}
	}
	add(on)
	if g, ok := rig.Builtin(on.Name); ok {
		add(g)
	}
	list, err := st.List(ctx, studio.Rig)
	if err != nil {
		return nil, err
	}
	for _, h := range list {
		if g, err := FindRig(ctx, st, h.ID); err == nil && g.Name == on.Name {
			add(g)
		}
	}
	return rigs, nil
}

// sameTab returns a tab as a take's page had it when its text is the one of the take's digest.
func sameTab(t *tab.Tab, s *take.Saved) *tab.Tab {
	text := tabtext.Format(t)
	if !s.Has(text) {
		return nil
	}
	out, _, err := tabtext.Parse(text, "tab", s.On)
	if err != nil {
		return nil
	}
	return out
}

// KeepSaved hears a student's saved take against the tab of its digest and returns the take as its
// item holds it.
func KeepSaved(ctx context.Context, st *studio.Studio, b []byte, name string) (studio.Content, error) {
	var none studio.Content
	s, err := take.Read(b, name)
	if err != nil {
		return none, err
	}
	it, tb, err := FindPlayed(ctx, st, s)
	if err != nil {
		return none, err
	}
	day, err := time.ParseInLocation(time.DateOnly, s.Day, time.Local)
	if err != nil {
		return none, err
	}
	k := report.KeptTake{
		Tune: it.ID, TuneRevision: it.Revision, Rig: refOf(s), RigText: s.Rig, Tab: string(tabtext.Format(tb)), Player: s.Name,
		Played: day.Add(12 * time.Hour).UTC().Format(time.RFC3339), Tuned: s.Tuned, Seconds: float64(len(s.Sound.Channels[0])) / s.Sound.Rate, Said: []report.TakeNote{},
		Along: s.Along,
	}
	return keepHeard(st, it.Title, &k, s.Sound, s.FLAC, tb)
}

// refOf names the instrument of a saved take: a built-in one, or one of the student's own, by its file.
func refOf(s *take.Saved) string {
	if _, ok := rig.Builtin(s.On.Name); ok {
		return s.On.Name
	}
	return "own " + short(take.Digest([]byte(s.Rig)))
}
