package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"

	"lapwright/fault"
	"lapwright/internal/studio"
	"lapwright/report"
	"lapwright/retune"
	"lapwright/rig"
	"lapwright/wire"
)

// rigChoice is a rig that can be chosen. Ref is a built-in rig's name or the
// identity of one kept in the studio.
type rigChoice struct {
	Ref, Title, Tuning, Body string
	Own                      bool
	Name                     string // that its tabs go by
	Capo                     int    // the highest fret of its sliding capo, 0 for none
}

// rigChoices lists the teacher's own rigs, then those built in.
func (s *Site) rigChoices(ctx context.Context) ([]rigChoice, error) {
	var out []rigChoice
	own, err := s.ownRigs(ctx)
	if err != nil {
		return nil, err
	}
	for _, r := range rig.Builtins() {
		out = append(out, rigChoice{r.Name, r.Title, r.PrettyTuning(), string(r.Body), false, r.Name, r.Capo.Highest})
	}
	for _, o := range own {
		out = append(out, rigChoice{o.id, o.title, o.rig.PrettyTuning(), string(o.rig.Body), true, o.rig.Name, o.rig.Capo.Highest})
	}
	return out, nil
}

// ownRig is a rig that is kept in the studio.
type ownRig struct {
	id, title string
	rig       *rig.Rig
}

// ownRigs gives the rigs in the studio that can be read; one that can't says on
// its own page what is wrong. A revision never changes, so it is read once.
func (s *Site) ownRigs(ctx context.Context) ([]ownRig, error) {
	list, err := s.studio.List(ctx, studio.Rig)
	if err != nil {
		return nil, err
	}
	var out []ownRig
	for _, h := range list {
		r, err := s.readRigs.get(ctx, fmt.Sprintf("%s %d", h.ID, h.Revision), func(ctx context.Context) (*rig.Rig, int64, error) {
			it, err := s.studio.GetRevision(ctx, h.ID, h.Revision)
			if err != nil {
				return nil, 0, err
			}
			r, err := rig.Parse([]byte(it.Body), "rig.toml")
			if err != nil {
				r = nil
			}
			return r, int64(len(it.Body)) + 4<<10, nil // about what a rig takes, parsed
		})
		switch {
		case errors.Is(err, studio.ErrNone):
			continue // it has gone meanwhile
		case err != nil:
			return nil, err
		case r != nil:
			out = append(out, ownRig{h.ID, h.Title, r})
		}
	}
	return out, nil
}

// findRig gives a rig by its Ref.
func (s *Site) findRig(ctx context.Context, ref string) (*rig.Rig, error) {
	if r, ok := rig.Builtin(ref); ok {
		return r, nil
	}
	it, err := s.studio.Get(ctx, ref)
	if errors.Is(err, studio.ErrNone) || err == nil && it.Kind != studio.Rig {
		return nil, &fault.Fault{Msg: fmt.Sprintf("there is no rig %q", ref)}
	}
	if err != nil {
		return nil, err
	}
	return rig.Parse([]byte(it.Body), it.Title)
}

func (s *Site) rigsPage(w http.ResponseWriter, r *http.Request) error {
	list, err := s.rigChoices(r.Context())
	if err != nil {
		return err
	}
	s.page(w, r, http.StatusOK, "rigs", "Rigs", list)
	return nil
}

// rigView is what a rig's page shows.
type rigView struct {
	Ref     string
	Own     bool
	Item    *studio.Item // nil for a built-in rig
	Rig     *rig.Rig
	Text    string
	Strings []report.StringRow
	Load    string
	Reasons []string
	Setup   *report.Setup
	Bodies  []rig.Body
	Caution string
	State   map[string]any
}

func viewStrings(r *rig.Rig) ([]report.StringRow, string, []string) {
	var out []report.StringRow
	load, tuned := r.Load(), r.TunedNames()
	for i, l := range load.Strings {
		w := r.Strings[i].Wire
		out = append(out, report.StringRow{
			Number: i + 1, Open: tuned[i].Pretty(), Gauge: gauge(w.Diameter), Short: retune.GaugeText(w), Wire: kindOf(w),
			Tension: newtons(l.Pull), Share: fmt.Sprintf("%.0f %%", 100*l.BentShare), Finding: string(l.Finding),
		})
	}
	return out, newtons(load.Total) + " of " + newtons(load.Limit), load.Reasons
}

func newtons(n wire.Newtons) string {
	return fmt.Sprintf("%.0f N (%.0f lb)", float64(n), float64(n/wire.PoundForce))
}

func gauge(d wire.MM) string {
	return fmt.Sprintf(".%03.0f in (%.2f mm)", float64(d/wire.Inch)*1000, float64(d))
}

func kindOf(w wire.String) string {
	if w.Wound {
		return "wound, " + string(w.Material)
	}
	return "plain, " + string(w.Material)
}

func (s *Site) rigPage(w http.ResponseWriter, r *http.Request) error {
	ref := r.PathValue("id")
	v := rigView{Ref: ref, Bodies: rig.Bodies(), Caution: rig.TensionCaution}
	if b, ok := rig.Builtin(ref); ok {
		v.Rig, v.Text = b, string(rig.Format(b))
	} else {
		it, err := s.askedItem(r, studio.Rig)
		if err != nil {
			return err
		}
		v.Own, v.Item, v.Text = true, it, it.Body
		// A rig that can't be read is still shown, as text to be put right.
		v.Rig, _ = rig.Parse([]byte(it.Body), "rig.toml")
	}
	title := ref
	if v.Rig != nil {
		v.Strings, v.Load, v.Reasons = viewStrings(v.Rig)
		v.Setup = report.SetupOf(v.Rig)
		title = v.Rig.Title
	}
	if v.Item != nil {
		title = v.Item.Title
		v.State = map[string]any{"id": v.Item.ID, "revision": v.Item.Revision, "body": v.Text, "kind": "rig"}
	} else {
		v.State = map[string]any{"id": "", "revision": 0, "body": v.Text, "kind": "rig"}
	}
	s.page(w, r, http.StatusOK, "rig", title, v)
	return nil
}

// checkRig reads a rig's text and gives its table of strings or what is wrong.
func (s *Site) checkRig(w http.ResponseWriter, r *http.Request) error {
	var ask struct {
		Text string `json:"text"`
	}
	if err := readJSON(r, &ask); err != nil {
		return err
	}
	var parsed *rig.Rig
	var warnings fault.List
	var table []report.StringRow
	var load string
	var reasons []string
	err := safely(func() error {
		var err error
		if parsed, warnings, err = rig.Read([]byte(ask.Text), "rig"); err == nil {
			table, load, reasons = viewStrings(parsed)
		}
		return err
	})
	if notTheirs(err) {
		return err
	}
	if err != nil {
		s.json(w, http.StatusOK, report.CheckedRig{Said: report.Said{Said: errorsOf(err)}})
		return nil
	}
	doubts := []report.Fault{}
	for _, f := range warnings {
		doubts = append(doubts, faultOf(f))
	}
	s.json(w, http.StatusOK, report.CheckedRig{Said: report.Said{Said: doubts}, Strings: table, Load: load, Reasons: reasons, Title: parsed.Title, Setup: report.SetupOf(parsed)})
	return nil
}

// addRig keeps a new rig.
func (s *Site) addRig(w http.ResponseWriter, r *http.Request) error {
	text := r.FormValue("text")
	if from := r.FormValue("from"); text == "" && from != "" {
		base, err := s.findRig(r.Context(), from)
		if err != nil {
			return err
		}
		own := base.Clone()
		own.Title = "My " + base.Title
		if own.Name, err = s.freeName(r.Context(), "my-"+base.Name); err != nil {
			return err
		}
		text = string(rig.Format(own))
	}
	return s.keepRig(w, r, text)
}

// freeName gives a name for a rig that no other rig here goes by: a lesson's
// folders are named by it.
func (s *Site) freeName(ctx context.Context, name string) (string, error) {
	list, err := s.ownRigs(ctx)
	if err != nil {
		return "", err
	}
	taken := map[string]bool{}
	for _, o := range list {
		taken[o.rig.Name] = true
	}
	out := name
	for i := 2; taken[out]; i++ {
		out = fmt.Sprintf("%s-%d", name, i)
	}
	return out, nil
}

// keepRig keeps a rig's text as a new item and shows it.
func (s *Site) keepRig(w http.ResponseWriter, r *http.Request, text string) error {
	parsed, err := rig.Parse([]byte(text), "rig")
	if err != nil {
		return err
	}
	it, err := s.studio.Add(r.Context(), studio.Rig, studio.Content{Title: parsed.Title, Body: text}, false)
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/rigs/"+it.ID, http.StatusSeeOther)
	return nil
}
