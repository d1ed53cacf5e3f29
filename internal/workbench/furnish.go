package workbench

import (
	"context"

	"lapwright/internal/lesson"
	"lapwright/internal/studio"
	"lapwright/report"
)

// furnished is the setting that says that a studio has had what comes with the
// program.
const furnished = "furnished"

// Furnish puts what comes with the program into a studio that has never had it.
func Furnish(ctx context.Context, st *studio.Studio) error {
	done, err := st.Settings.Get(ctx, furnished)
	if err != nil || done != "" {
		return err
	}
	demos, err := lesson.Demos()
	if err != nil {
		return err
	}
	var first *studio.Item
	// The last added is shown first, so the list is walked backwards.
	for i := len(demos) - 1; i >= 0; i-- {
		d := demos[i]
		first, err = st.Add(ctx, studio.Tune, studio.Content{Title: d.Tune.Title, Body: d.ABC}, true)
		if err != nil {
			return err
		}
	}
	b := report.LessonPlan{Tune: first.ID, Rigs: []string{"reso-open-g", "tricone-open-d", "lap6-c6"}, Words: demoWords}
	c, err := lessonContent(first.Title+", for the evening class", &b)
	if err != nil {
		return err
	}
	if _, err := st.Add(ctx, studio.Lesson, c, true); err != nil {
		return err
	}
	return st.Settings.Put(ctx, furnished, "1")
}

const demoWords = `Harbour Street evening class, week one.

Read the tune through once without the instrument and tap the beat. Then play the first part slowly, with the steel straight across and your eyes over the fret line; speed comes later by itself.

Everyone has the same tune on their own instrument, so we can play together at the end.`
