package workbench

import (
	"fmt"
	"slices"

	"lapwright/fault"
	"lapwright/report"
	"lapwright/sheet"
	"lapwright/sheet/draw"
)

// LayoutChoice is a layout of sheets as a page offers it.
type LayoutChoice struct {
	Layout sheet.Layout
	Words  string
}

// LayoutChoices lists the layouts, the usual one first.
func LayoutChoices() []LayoutChoice {
	words := map[sheet.Layout]string{
		sheet.Full: "staff over tab", sheet.LeadSheet: "staff, chords and words", sheet.TabOnly: "tab only",
		sheet.LargePrint: "large print", sheet.Grips: "with pictures of the grips",
	}
	var out []LayoutChoice
	for _, l := range sheet.Layouts() {
		out = append(out, LayoutChoice{l, words[l]})
	}
	return out
}

// layoutOf returns a layout that is known; "" is the usual one.
func layoutOf(l sheet.Layout) (sheet.Layout, error) {
	if l != "" && !slices.Contains(sheet.Layouts(), l) {
		return "", &fault.Fault{Msg: fmt.Sprintf("there is no layout %q", string(l))}
	}
	return l, nil
}

// Sheet returns the tab's sheet as it prints, page by page.
func (t *Tab) Sheet(o sheet.Options) (*report.SheetPages, error) {
	var err error
	if o.Layout, err = layoutOf(o.Layout); err != nil {
		return nil, err
	}
	d, err := sheet.Lay(t.Result.Tab, o)
	if err != nil {
		return nil, told(err)
	}
	out := &report.SheetPages{}
	for i := range d.Pages {
		out.Pages = append(out.Pages, string(draw.SVG(d, i)))
	}
	return out, nil
}
