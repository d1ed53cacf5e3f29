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

// RigNamed returns the name of the built-in rig that a text in the exact form says it is
// for; "" when it names none.
func RigNamed(src []byte) string {
	if name := tabtext.RigName(src); name != "" {
		if _, ok := rig.Builtin(name); ok {
			return name
		}
	}
	return ""
}
