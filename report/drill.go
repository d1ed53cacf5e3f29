package report

import "lapwright/arrange/drill"

// Drill is an exercise placed on a rig.
type Drill struct {
	Arrangement
	DrillKind
	Caution string `json:"caution"`
}

// DrillKind is one kind of exercise.
type DrillKind struct {
	Name   string `json:"name"`
	Words  string `json:"words"`
	Start  int    `json:"start"`  // beats a minute to begin at
	Target int    `json:"target"` // and to reach
}

// DrillOf gives an exercise.
func DrillOf(d *drill.Drill) Drill {
	return Drill{Arrangement: ArrangementOf(d.Result), DrillKind: drillKind(d.Kind), Caution: drill.Caution}
}

func drillKind(k drill.Kind) DrillKind { return DrillKind{k.Name, k.Words, k.Start, k.Target} }

// Drills lists the kinds of exercise.
func Drills() []DrillKind {
	out := []DrillKind{}
	for _, k := range drill.Kinds() {
		out = append(out, drillKind(k))
	}
	return out
}

// Booklet is a booklet of exercises.
type Booklet struct {
	Files   []string    `json:"files"`
	Drills  []DrillKind `json:"drills"`
	Without []string    `json:"without"` // what the rig has nothing for, and why
	Caution string      `json:"caution"`
}

// NewBooklet tells what is in a booklet.
func NewBooklet(files []string, made []*drill.Drill, without []string) Booklet {
	out := Booklet{Files: files, Drills: []DrillKind{}, Without: list(without), Caution: drill.Caution}
	for _, d := range made {
		out.Drills = append(out.Drills, drillKind(d.Kind))
	}
	return out
}
