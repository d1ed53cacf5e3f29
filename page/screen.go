package page

import (
	"fmt"

	"lapwright/fault"
	"lapwright/report"
	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/tab"
)

// screenMargin is the blank round a sheet on a screen, which has a frame of its
// own, in millimetres.
const screenMargin = 8

// phoneScale is how much larger music is on a phone, which is held nearer but is
// small: fret numbers come to 14 CSS pixels on one that is 390 wide.
const phoneScale = 1.36

// Sheet draws a tab's sheet for screens as a page is given it.
func Sheet(t *tab.Tab, o sheet.Options) (*report.ScreenSheet, error) {
	pages, narrow, err := Screen(t, o)
	if err != nil {
		return nil, err
	}
	return screenSheet(pages, narrow), nil
}

func screenSheet(pages [][]byte, narrow []byte) *report.ScreenSheet {
	out := &report.ScreenSheet{Pages: []string{}, Narrow: string(narrow)}
	for _, p := range pages {
		out.Pages = append(out.Pages, string(p))
	}
	return out
}

// draws draws a tab's sheet for the windows that it is wanted for.
type draws func(*tab.Tab, sheet.Options) (*report.ScreenSheet, error)

// drawer returns what draws sheets for a window as a question names it.
func drawer(window string) (draws, error) {
	if window != "" && window != "wide" && window != "narrow" {
		return nil, &fault.Fault{Msg: fmt.Sprintf("there is no window %q", window)}
	}
	return func(t *tab.Tab, o sheet.Options) (_ *report.ScreenSheet, err error) {
		var pages [][]byte
		var narrow []byte
		if window != "narrow" {
			pages, err = wideScreen(t, o)
		}
		if err == nil && window != "wide" {
			narrow, err = narrowScreen(t, o)
		}
		if err != nil {
			return nil, err
		}
		return screenSheet(pages, narrow), nil
	}, nil
}

// Screen draws a tab's sheet for screens, as SVG: page by page for a wide one,
// and in one piece for a narrow one. Pages end below their last mark.
func Screen(t *tab.Tab, o sheet.Options) (pages [][]byte, narrow []byte, err error) {
	if pages, err = wideScreen(t, o); err != nil {
		return nil, nil, err
	}
	if narrow, err = narrowScreen(t, o); err != nil {
		return nil, nil, err
	}
	return pages, narrow, nil
}

func wideScreen(t *tab.Tab, o sheet.Options) (pages [][]byte, err error) {
	o.Margin = screenMargin
	wide, err := sheet.Lay(t, o)
	if err != nil {
		return nil, err
	}
	// A single page need not reach down to the foot of a sheet of paper.
	if len(wide.Pages) == 1 {
		o.Paper = draw.Scroll
		if wide, err = sheet.Lay(t, o); err != nil {
			return nil, err
		}
	}
	trim(wide)
	brief(wide)
	for i := range wide.Pages {
		pages = append(pages, draw.SVG(wide, i))
	}
	return pages, nil
}

func narrowScreen(t *tab.Tab, o sheet.Options) ([]byte, error) {
	o.Margin = screenMargin
	o.Paper = draw.Phone
	o.Scale = phoneScale * max(o.Scale, 1)
	long, err := sheet.Lay(t, o)
	if err != nil {
		return nil, err
	}
	trim(long)
	brief(long)
	return draw.SVG(long, 0), nil
}

// brief describes every page by what the sheet is: its music stands in words
// beside it, to be read bar by bar and not at one breath.
func brief(d *draw.Drawing) {
	for _, p := range d.Pages {
		p.Description = ""
	}
}

// trim cuts what is blank off the last page's foot.
func trim(d *draw.Drawing) {
	if len(d.Pages) == 0 {
		return
	}
	p := d.Pages[len(d.Pages)-1]
	low := 0.0
	for _, it := range p.Items {
		if b := it.Bounds(); b.Y1 > low {
			low = b.Y1
		}
	}
	if low > 0 {
		p.H = min(p.H, low+screenMargin)
	}
}
