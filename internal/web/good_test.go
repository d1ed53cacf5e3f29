package web

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"lapwright/internal/studio"
)

// pinnedNowhere is a wish that no arranging can fulfil: a pin in a bar that the
// tune has not.
const pinnedNowhere = `{"rig":"lap6-c6","wishes":{"lap6-c6":{"pins":[{"bar":99,"at":"0","grip":[[1,2]],"words":"as typed"}]}}}`

// addGoodThenBad adds a tune whose first revision can be played, and whose
// second can't.
func addGoodThenBad(t *testing.T, st *studio.Studio) *studio.Item {
	t.Helper()
	ctx := context.Background()
	it, err := st.Add(ctx, studio.Tune, studio.Content{Title: "Two Bars", Body: "X:1\nT:Two Bars\nM:4/4\nL:1/4\nK:G\nGABd|d2G2|]\n", Extra: []byte(`{"rig":"lap6-c6"}`)}, false)
	if err == nil {
		c := it.Content
		c.Extra = []byte(pinnedNowhere)
		it, err = st.Save(ctx, it.ID, 1, c, "a pin")
	}
	if err != nil {
		t.Fatal(err)
	}
	return it
}

// TestTheLastGoodSheetIsAnswered: with the reason why it is not what was asked
// for, and with the revision that it is of.
func TestTheLastGoodSheetIsAnswered(t *testing.T) {
	st, server := serve(t)
	it := addGoodThenBad(t, st)
	for revision, trouble := range map[int]bool{1: false, 2: true} {
		res, body := asks(t, server, "GET", fmt.Sprintf("/tunes/%s/shown?rig=lap6-c6&revision=%d", it.ID, revision), "", nil)
		var got struct {
			Revision int
			Trouble  string
			Pages    []string
		}
		if err := json.Unmarshal([]byte(body), &got); err != nil || res.StatusCode != 200 || got.Revision != 1 || len(got.Pages) == 0 || (got.Trouble != "") != trouble {
			t.Errorf("revision %d: status %d, revision %d with %d pages shown, trouble %q, %v", revision, res.StatusCode, got.Revision, len(got.Pages), got.Trouble, err)
		}
		if trouble && !strings.Contains(got.Trouble, "99") {
			t.Errorf("the reason is %q, and does not name the bar", got.Trouble)
		}
	}
	// Where nothing was ever good the reason alone is answered.
	bad, err := st.Add(t.Context(), studio.Tune, studio.Content{Title: "x", Body: it.Body, Extra: []byte(pinnedNowhere)}, false)
	if err != nil {
		t.Fatal(err)
	}
	if res, body := asks(t, server, "GET", "/tunes/"+bad.ID+"/shown?rig=lap6-c6", "", nil); res.StatusCode != 422 || !strings.Contains(body, "99") {
		t.Errorf("status %d, %.200q", res.StatusCode, body)
	}
}

// TestAGoodSheetStays: in the page, when it is opened and when a change makes
// the sheet fail.
func TestAGoodSheetStays(t *testing.T) {
	bothSizes(t, func(t *testing.T, wide bool) {
		st, server := serve(t)
		it := addGoodThenBad(t, st)
		b := newWindow(t, server.URL, wide)
		b.open("/tunes/" + it.ID)
		const bad = "document.querySelector('.shown-tab .alarm')?.textContent.includes('99') && document.querySelectorAll('.wide-sheet g.stroke').length === 6"
		const good = "!document.querySelector('.shown-tab .alarm') && document.querySelectorAll('.wide-sheet g.stroke').length === 6"
		b.until(bad + " && !document.querySelector('.play').disabled")
		b.shot("bad")
		b.unscrolled("a reason beside the sheet")
		b.accessible("a reason beside the sheet")
		b.click("#undo")
		b.until(good)
		b.until("!document.querySelector('#redo').disabled")
		b.click("#redo")
		b.until(bad)
	})
}
