package workbench

import (
	"strings"

	"lapwright/internal/studio"
	"lapwright/rig"
	"lapwright/say"
)

// KindName returns what pages call a kind of item.
func KindName(k studio.Kind) string {
	if k == studio.Rig {
		return "instrument"
	}
	return string(k)
}

// About says in a few words what an item is; "" when its title says it.
func About(it *studio.Item) string {
	switch it.Kind {
	case studio.Tune:
		return aboutTune(it.Body)
	case studio.Rig:
		if r, err := rig.Parse([]byte(it.Body), "rig.toml"); err == nil {
			return r.PrettyTuning()
		}
	case studio.Lesson:
		if b, err := ReadLesson(it); err == nil {
			return say.Count(len(b.Rigs), "instrument")
		}
	case studio.Take:
		if k, err := ReadTake(it); err == nil {
			return aboutTake(&k)
		}
	}
	return ""
}

// aboutTune says a tune's kind of dance, key and length: "reel, G major, 16
// bars".
func aboutTune(body string) string {
	t, _, err := ReadTune(body)
	if err != nil && Blank(body) != nil {
		return "no notes yet"
	}
	if err != nil {
		return "can't be read yet"
	}
	var parts []string
	if t.Rhythm != "" {
		parts = append(parts, t.Rhythm)
	}
	if len(t.Bars) > 0 {
		parts = append(parts, t.Bars[0].Key.Pretty(), say.Count(t.CountBars(), "bar"))
	}
	return strings.Join(parts, ", ")
}
