package workbench

import (
	"strings"
	"testing"
	"time"

	"lapwright/internal/studio"
	"lapwright/rig"
)

const twoParts = `<?xml version="1.0"?><score-partwise version="4.0">%s<part-list><score-part id="P1"><part-name>Melody</part-name></score-part><score-part id="P2"><part-name>Under it</part-name></score-part></part-list>
<part id="P1"><measure number="1"><attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes><note><pitch><step>G</step><octave>4</octave></pitch><duration>4</duration><type>whole</type></note></measure></part>
<part id="P2"><measure number="1"><attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes><note><pitch><step>D</step><octave>4</octave></pitch><duration>4</duration><type>whole</type></note></measure></part></score-partwise>`

// TestTitlesOfWhatCame: a tune without a title goes by its file's name, parts of one
// file carry their own names, and the text that is kept says the same.
func TestTitlesOfWhatCame(t *testing.T) {
	head := "M:4/4\nL:1/4\nK:G\nGABd|\n"
	for _, c := range []struct {
		file, text string
		want       []string
	}{
		{"harbour/slow air.abc", "X:1\n" + head, []string{"slow air"}},
		{"slow air.abc", "X:1\nT:  \n" + head, []string{"slow air"}},
		{"slow air.abc", "X:1\nT:Its Own\n" + head, []string{"Its Own"}},
		{"airs.abc", "X:1\n" + head + "\nX:2\nT:Named\n" + head + "\nX:3\n" + head, []string{"airs 1", "Named", "airs 3"}},
		{"100% slow.abc", "X:1\n" + head, []string{"100% slow"}},
		{"duet.musicxml", strings.Replace(twoParts, "%s", "", 1), []string{"duet, Melody", "duet, Under it"}},
		{"duet.musicxml", strings.Replace(twoParts, "%s", "<movement-title>Two Gulls</movement-title>", 1), []string{"Two Gulls, Melody", "Two Gulls, Under it"}},
	} {
		m := &Import{}
		if err := m.Read([]byte(c.text), c.file); err != nil {
			t.Errorf("%s: %v", c.file, err)
			continue
		}
		var got []string
		for _, o := range m.Offer().Tunes {
			got = append(got, o.Title)
		}
		if strings.Join(got, "|") != strings.Join(c.want, "|") {
			t.Errorf("%s: %q, want %q", c.file, got, c.want)
		}
		for i, p := range m.Pieces {
			read, _, err := ReadTune(p.ABC)
			if err != nil || read.Title != c.want[i] {
				t.Errorf("%s: the kept text reads as %v, %v", c.file, read, err)
			}
		}
	}
}

// TestChoosingOfWhatCame: what is named is kept, in its order; a place that is not
// there is refused and nothing kept.
func TestChoosingOfWhatCame(t *testing.T) {
	head := "M:4/4\nL:1/4\nK:G\nGABd|\n"
	read := func() *Import {
		m := &Import{}
		if err := m.Read([]byte("X:1\nT:A\n"+head+"\nX:2\nT:B\n"+head+"\nX:3\nT:C\n"+head), "book.abc"); err != nil {
			t.Fatal(err)
		}
		return m
	}
	for _, c := range []struct {
		take []string
		want string
		goes string
	}{{nil, "ABC", "/tunes?came=3"}, {[]string{"2", "0"}, "AC", "/tunes?came=2"}, {[]string{"1"}, "B", "/tunes/"}} {
		st, err := studio.Open(t.Context(), t.TempDir(), time.Now)
		if err != nil {
			t.Fatal(err)
		}
		defer st.Close()
		m := read()
		if err := m.Choose(c.take); err != nil {
			t.Fatal(err)
		}
		out, err := m.Keep(t.Context(), st)
		list, _ := st.List(t.Context(), studio.Tune)
		got := ""
		for _, h := range list {
			got += h.Title
		}
		if err != nil || got != c.want || !strings.HasPrefix(out.Go, c.goes) || out.Count != len(c.want) {
			t.Errorf("%v: %s, %+v, %v", c.take, got, out, err)
		}
	}
	for _, take := range [][]string{{"3"}, {"-1"}, {"x"}, {"0", "0"}} {
		if err := read().Choose(take); err == nil {
			t.Errorf("%q is taken", take)
		}
	}
}

// TestTitleAndTextAreOne: renaming a tune or an instrument changes the title in its
// text, and a change of the text that in the list.
func TestTitleAndTextAreOne(t *testing.T) {
	g, _ := rig.Builtin("lap6-c6")
	lesson := `{"tune":"x","rigs":[],"words":""}`
	for _, c := range []struct {
		kind               studio.Kind
		body, title, write string // what is asked for: a title, or a text
		want, in           string
	}{
		{studio.Tune, "X:1\nT:Old\nT:Sub\nM:4/4\nK:G\nG4|\n", "New & 100%", "", "New & 100%", "\nT:New \\& 100\\%\nT:Sub\n"},
		{studio.Tune, "X:1\nM:4/4\nK:G\nG4|\n", "New", "", "New", "X:1\nT:New\nM:4/4"},
		{studio.Tune, "X:1\nT:Empty\nM:4/4\nK:G\n", "New", "", "New", "T:New\n"},
		{studio.Tune, "X:1\nT:Old\nM:4/4\nK:G\nG4|\n", "", "X:1\nT:Typed\nM:4/4\nK:G\nG4|\n", "Typed", "T:Typed"},
		{studio.Tune, "X:1\nT:Old\nM:4/4\nK:G\nG4|\n", "", "X:1\nM:4/4\nK:G\nG4|\n", "Before", "X:1\nM:4/4"},
		{studio.Tune, "X:1\nT:Old\nK:G\nG4|\n", "", "nonsense", "Before", "nonsense"},
		{studio.Rig, string(rig.Format(g)), "My Steel", "", "My Steel", `title = "My Steel"`},
		{studio.Rig, "not = a rig", "Anything", "", "Anything", "not = a rig"},
		{studio.Lesson, lesson, "Week two", "", "Week two", lesson},
	} {
		it := &studio.Item{Kind: c.kind, Content: studio.Content{Title: "Before", Body: c.body}}
		ask := Change{}
		if c.title != "" {
			ask.Title = &c.title
		}
		if c.write != "" {
			ask.Body = &c.write
		}
		out, err := ask.Of(it)
		if err != nil || out.Title != c.want || !strings.Contains(out.Body, c.in) {
			t.Errorf("%s %q %q: %q, %v\n%s", c.kind, c.title, c.write, out.Title, err, out.Body)
		}
	}
}
