package lesson

import (
	"strings"
	"testing"

	"lapwright/arrange"
)

func TestParseWant(t *testing.T) {
	first, third := arrange.FirstGrade, arrange.ThirdGrade
	for _, c := range []struct {
		text string
		want Want
		bad  string
	}{
		{text: "lap6-c6", want: Want{Rig: "lap6-c6"}},
		{text: "lap6-c6:backup", want: Want{Rig: "lap6-c6", Parts: BackupPart}},
		{text: "lap6-c6:tune", want: Want{Rig: "lap6-c6"}},
		{text: "lap6-c6:first", want: Want{Rig: "lap6-c6", Grade: &first}},
		{text: "lap6-c6:third:both", want: Want{Rig: "lap6-c6", Grade: &third, Parts: BothParts}},
		{text: "lap6-c6:both:third", want: Want{Rig: "lap6-c6", Grade: &third, Parts: BothParts}},
		{text: "my:rigs/mine.toml:backup", want: Want{Rig: "my:rigs/mine.toml", Parts: BackupPart}},
		{text: `C:\rigs\mine.toml`, want: Want{Rig: `C:\rigs\mine.toml`}},
		{text: "C:mine.toml:first", want: Want{Rig: "C:mine.toml", Grade: &first}},
		{text: "lap6-c6:frist", bad: `"frist" in "lap6-c6:frist" is no grade`},
		{text: "lap6-c6:", bad: `"" in "lap6-c6:"`},
		{text: "lap6-c6:first:second", bad: `asks for "first" and "second"`},
		{text: "lap6-c6:tune:both", bad: `asks for "tune" and "both"`},
	} {
		got, err := ParseWant(c.text)
		switch {
		case c.bad != "":
			if err == nil || !strings.Contains(err.Error(), c.bad) {
				t.Errorf("%s: %v, want %q", c.text, err, c.bad)
			}
		case err != nil:
			t.Errorf("%s: %v", c.text, err)
		case got.Rig != c.want.Rig || got.Parts != c.want.Parts || (got.Grade == nil) != (c.want.Grade == nil) || got.Grade != nil && *got.Grade != *c.want.Grade:
			t.Errorf("%s: %+v, want %+v", c.text, got, c.want)
		}
	}
}
