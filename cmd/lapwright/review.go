package main

import (
	"cmp"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"lapwright/fault"
	"lapwright/internal/console"
	"lapwright/internal/recording"
	"lapwright/internal/review"
	"lapwright/internal/take"
	"lapwright/internal/whole"
	"lapwright/internal/workbench"
	"lapwright/listen"
	"lapwright/listen/picture"
	"lapwright/pitch"
	"lapwright/report"
	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/sound"
	"lapwright/tab"
)

// reviewCommand tells what a recording did against a tab.
type reviewCommand struct {
	Take     string `arg:"" help:"The recording: WAVE, FLAC, MP3 or Ogg Opus; or a student's saved take (.take.zip), which says itself what it was played on."`
	File     string `arg:"" optional:"" help:"The tune's file, placed on the rig as the flags say; or give --tab. Without either the tab of a saved take is looked for in your studio."`
	dataFlag `embed:""`
	Tab      string `help:"The tab that was played, as tab text (.txt) made for the rig." placeholder:"FILE"`
	placing  `embed:""`
	Tuned    string        `help:"How the open strings are meant to be tuned: equal, just, between, or cents from equal for each string, low to high, such as 0,0,-14,0,-14,0. Left out, it is equal, or as a saved take says." placeholder:"WAY"`
	Click    number        `help:"Where in the take the first click of the tune's first bar is heard, in seconds, when it was played along with a click or a recording: late and early are then against that." placeholder:"SECONDS"`
	Speed    number        `help:"How fast that was: 0.5 is half as fast as written, as for hear." default:"1" placeholder:"X"`
	Out      string        `help:"Make a folder with a page (the take's sound, its pitch over the sheet) and a handout to print. An earlier review there is replaced." placeholder:"DIR"`
	Words    string        `help:"Text file with your words to the student, in CommonMark, for --out." placeholder:"FILE"`
	Paper    string        `help:"Paper of the handout: a4 or letter." default:"a4" enum:"a4,letter" placeholder:"PAPER"`
	JSON     bool          `help:"Report as JSON."`
	along    *report.Along // what a saved take was played along with
}

// Help returns an example that runs.
func (reviewCommand) Help() string {
	return "Example: lapwright review take.wav waltz.abc --rig reso-open-g --key G\n\nTo hand back: lapwright review take.wav waltz.abc --rig reso-open-g --key G --out review/\n\n" +
		"Played along with hear --speed 0.8, its first bar begins 4.2 seconds into the take: lapwright review take.wav waltz.abc --rig reso-open-g --key G --click 4.2 --speed 0.8"
}

func (c *reviewCommand) Run(con *console.Console) error {
	if c.File != "" && c.Tab != "" || c.File == "" && c.Tab == "" && !take.Is(c.Take) {
		return console.Usagef("name what was played: a tune's file, or tab text with --tab")
	}
	if c.Words != "" && c.Out == "" {
		return console.Usagef("--words stand in what --out makes: name a folder")
	}
	if err := c.Speed.within("--speed", sound.SlowestSpeed, sound.FastestSpeed, ""); err != nil {
		return err
	}
	if err := c.Click.within("--click", 0, listen.MostSeconds, " seconds"); err != nil {
		return err
	}
	if take.Is(c.Take) && (c.Rig != "" || c.Tuned != "") {
		return console.Usagef("a saved take says itself what it was played on and how that was tuned: leave out --rig and --tuned")
	}
	words, err := wordsFrom(c.Words)
	if err != nil {
		return err
	}
	if c.Out != "" {
		if err := whole.Apart([]string{c.Take, c.File, c.Tab, c.Rig, c.Words}, c.Out); err != nil {
			return err
		}
		probe, err := whole.NewFolder(c.Out, review.IsReview)
		if err != nil {
			return err
		}
		probe.Abandon()
	}
	t, recorded, err := c.played(con)
	if err != nil {
		return err
	}
	tuned, err := listen.TunedTo(t.Rig, cmp.Or(c.Tuned, "equal"))
	if err != nil {
		return console.Usagef("--tuned: %v", err)
	}
	heard, err := hearTake(con, recorded, c.Take)
	if err != nil {
		return err
	}
	o := listen.Options{Tuned: tuned, Click: c.along.Click()}
	if c.Click.given() {
		o.Click = listen.SoundedOnce(c.Click.value, c.Speed.value)
	}
	v, err := listen.Review(heard, t, o)
	if err != nil {
		return err
	}
	if c.Out != "" && v.Refused == "" {
		r, err := review.Make(review.Plan{Reviewed: v, Tab: t, Recording: recorded, Words: words, Sheet: sheet.Options{Paper: draw.Paper(c.Paper)}})
		if err != nil {
			return err
		}
		if err := r.WriteFolder(c.Out); err != nil {
			return err
		}
	}
	if c.JSON {
		return con.JSON(report.ReviewOf(v))
	}
	printReview(con, v)
	if c.Out != "" && v.Refused == "" {
		con.Printf("\n%s: the page index.html, handout.pdf, the exercises as tab text, and the sound\n", c.Out)
	}
	return nil
}

// wordsFrom reads a teacher's words from a file; none are "".
func wordsFrom(name string) (string, error) {
	if name == "" {
		return "", nil
	}
	b, err := readInput(name)
	if err != nil {
		return "", err
	}
	if !utf8.Valid(b) {
		return "", &fault.Fault{File: name, Msg: "this is no text in UTF-8"}
	}
	return string(b), nil
}

func (c *reviewCommand) tab(con *console.Console) (*tab.Tab, error) {
	if c.Tab == "" {
		return loadTab(con, c.File, c.Tune, c.Rig, &c.wishes)
	}
	if !isTabText(c.Tab) {
		return nil, console.Usagef("--tab: %q is no tab text (.txt)", c.Tab)
	}
	return loadTab(con, c.Tab, 1, c.Rig, &c.wishes)
}

func (c *reviewCommand) played(con *console.Console) (*tab.Tab, *recording.Recording, error) {
	b, err := readInput(c.Take)
	if err != nil {
		return nil, nil, err
	}
	if take.Is(c.Take) {
		return c.saved(con, b)
	}
	r, err := recording.Read(b, c.Take)
	if err != nil {
		return nil, nil, err
	}
	t, err := c.tab(con)
	return t, r, err
}

// saved reads a student's saved take and finds its tab: in the file that is named, or in the studio.
func (c *reviewCommand) saved(con *console.Console, b []byte) (*tab.Tab, *recording.Recording, error) {
	s, err := take.Read(b, c.Take)
	if err != nil {
		return nil, nil, err
	}
	c.Tuned, c.along = s.Tuned, s.Along
	if file := c.File + c.Tab; file != "" { // one of them is empty
		t, err := loadTabOn(con, file, c.Tune, s.On, &c.wishes)
		if err == nil {
			t, err = s.From(t, file)
		}
		return t, s.Sound, err
	}
	st, err := c.openKept(con.Ctx)
	if err != nil {
		return nil, nil, err
	}
	defer st.Close()
	_, t, err := workbench.FindPlayed(con.Ctx, st, s)
	return t, s.Sound, err
}

func loadTake(con *console.Console, name string) (*listen.Take, error) {
	b, err := readInput(name)
	if err != nil {
		return nil, err
	}
	r, err := recording.Read(b, name)
	if err != nil {
		return nil, err
	}
	return hearTake(con, r, name)
}

// hearTake listens to a recording, and warns of what makes it worse to listen to.
func hearTake(con *console.Console, r *recording.Recording, name string) (*listen.Take, error) {
	heard, err := r.Take()
	if err != nil {
		return nil, err
	}
	for _, doubt := range recording.Doubts(heard) {
		fmt.Fprintf(con.Stderr, "warning: %s: %s\n", console.OneLine(name), doubt)
	}
	return heard, nil
}

// printReview prints a review.
func printReview(con *console.Console, v *listen.Reviewed) {
	if v.Refused != "" {
		con.Paragraph("", v.Refused)
		return
	}
	var rows [][]string
	for i := range v.Notes {
		n := &v.Notes[i]
		onset, sure := console.When(n.Status != listen.Missed, console.Known(n.Onset, "%.2f")), console.When(n.Status == listen.Played && !n.Sure, "unsure")
		rows = append(rows, []string{
			fmt.Sprint(n.BarNumber), n.At.String(), fmt.Sprint(n.String), strconv.FormatFloat(math.Round(100*n.Fret)/100, 'g', -1, 64), pitch.SpellKey(int(math.Round(n.Key)), 0).String(),
			string(n.Status), onset, console.Signed(1000*n.Late, 0), console.Signed(n.Cents, 1), console.Signed(n.CentsJust, 1), console.Known(n.Spread, "%.1f"), console.Signed(n.SteelMM, 1), sure,
		})
	}
	con.Table([]string{">bar", "at", ">string", ">fret", "pitch", "", ">onset, s", ">late, ms", ">cents", ">just", ">spread", ">steel, mm", ""}, rows)
	if len(v.Slants) > 0 {
		con.Printf("\n")
		printSlants(con, v)
	}
	con.Printf("\n")
	for _, s := range v.Strings {
		if s.Told {
			con.Printf("string %d is tuned %s ± %.1f cents\n", s.String, console.Signed(s.Cents, 1), s.Doubt)
		} else {
			con.Printf("string %d: its tuning can't be told from the place of the steel\n", s.String)
		}
	}
	if math.IsInf(v.HandOff, 0) {
		con.Printf("whether the steel lies off throughout can't be told from the tuning\n")
	} else {
		con.Printf("the steel lies %s ± %.1f mm off throughout\n", console.Signed(v.HandMM, 1), v.HandOff)
	}
	if v.Nearer != "" {
		con.Printf("thirds and sevenths lie nearer to %s\n", map[string]string{"equal": "equal temperament", "just": "the just chord"}[v.Nearer])
	}
	if v.Tempo > 0 {
		con.Printf("tempo: %.0f quarters a minute\n", v.Tempo)
	}
	con.Printf("%s\n", picture.Against(v))
	for _, e := range v.Extra {
		con.Printf("extra: %s at %.2f s\n", e.Pitch, e.Onset)
	}
	con.Printf("\n%s\n", con.Strong("What to practise"))
	for i, a := range v.Advice {
		con.Paragraph(fmt.Sprintf("%d. ", i+1), a.Text)
		if a.Drill != nil {
			con.Paragraph("   ", fmt.Sprintf("Exercise: %s, from %d to %d beats a minute.", a.Drill.Tab.Tune.Title, a.Drill.Kind.Start, a.Drill.Kind.Target))
		}
	}
	con.Printf("\n")
	con.Paragraph("", "Cents are against equal temperament, then against the just chord; sharp is positive. Steel positive is towards the bridge. Unsure figures are guesses.")
}

func printSlants(con *console.Console, v *listen.Reviewed) {
	var rows [][]string
	for _, s := range v.Slants {
		rows = append(rows, []string{
			fmt.Sprint(s.BarNumber), s.At.String(), strings.Trim(fmt.Sprint(s.Strings), "[]"), s.Kind.String(), console.Signed(s.Wanted, 1),
			fmt.Sprintf("%s ± %.1f", console.Signed(s.Degrees, 1), s.PlusMinus), console.Signed(s.SteelMM, 1), console.When(!s.Sure, "unsure"),
		})
	}
	con.Table([]string{">bar", "at", "strings", "steel", ">leans, degrees", ">did lean", ">steel, mm", ""}, rows)
}
