package notation

import (
	"lapwright/fault"
	"lapwright/notation/tabtext"
	"lapwright/notation/typed"
	"lapwright/rig"
	"lapwright/tab"
)

// ReadTab reads a tab from text for a rig without its capo: in the exact form
// when its first line says so, else as people type it. The tab, warnings and
// error are the reader's.
func ReadTab(src []byte, file string, r *rig.Rig) (*tab.Tab, fault.List, error) {
	if tabtext.Is(src) {
		return tabtext.Parse(src, file, r)
	}
	return typed.Parse(src, file, r)
}
