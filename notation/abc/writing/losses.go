package writing

import (
	"fmt"

	"lapwright/fault"
	"lapwright/notation/abc/terms"
	"lapwright/tune"
)

// losses are what ABC can't say of a tune.
type losses struct {
	t    *tune.Tune
	lost fault.List
}

func (w *losses) lose(bar int, at tune.Ticks, format string, args ...any) {
	w.lost.Add(&fault.Fault{Bar: fmt.Sprint(w.t.Bars[bar].Number), Beat: at.String(), Msg: fmt.Sprintf(format, args...)})
}

// quoted returns a text for between quotation marks.
func (w *losses) quoted(bar int, at tune.Ticks, s string) string {
	coded := terms.EncodeQuoted(s)
	if terms.DecodeText(coded) != s {
		w.lose(bar, at, "the text %q is written without its line breaks and outer spaces", terms.Clip(s))
	}
	return coded
}
