package sheet_test

import (
	"testing"

	"lapwright/say"
	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/sheet/pdf"
	"lapwright/sheet/sheettest"
	"lapwright/tab"
)

// long makes a tab of many pages by writing the bars of the marks' tab over and
// over.
func long(t testing.TB, times int) *tab.Tab {
	one := sheettest.EveryMark(t)
	tn := *one.Tune
	out := &tab.Tab{Rig: one.Rig, Tune: &tn}
	tn.Bars = nil
	for range times {
		off := len(tn.Bars)
		for _, bar := range one.Tune.Bars {
			bar.Number = len(tn.Bars) + 1
			tn.Bars = append(tn.Bars, bar)
		}
		for _, st := range one.Strokes {
			st.BarIndex += off
			plucks := make([]tab.Pluck, len(st.Plucks))
			for j, p := range st.Plucks {
				p.Ref.Bar += off
				plucks[j] = p
			}
			st.Plucks = plucks
			out.Strokes = append(out.Strokes, st)
		}
	}
	return out
}

// pagesOf finds how often the bars must be written for a number of pages.
func pagesOf(b *testing.B, pages int) *tab.Tab {
	for n := pages * 4; ; n += max(pages/4, 1) {
		tb := long(b, n)
		d, err := sheet.Lay(tb, sheet.Options{})
		if err != nil {
			b.Fatal(err)
		}
		if len(d.Pages) >= pages {
			return tb
		}
	}
}

// BenchmarkTwoPagesPDF lays two pages out and writes them as PDF.
func BenchmarkTwoPagesPDF(b *testing.B) {
	tb := pagesOf(b, 2)
	size := 0
	for b.Loop() {
		d, err := sheet.Lay(tb, sheet.Options{})
		if err != nil {
			b.Fatal(err)
		}
		p, err := pdf.Write(d)
		if err != nil {
			b.Fatal(err)
		}
		size = len(p) / len(d.Pages)
	}
	b.ReportMetric(float64(size)/1000, "kB/page")
}

// BenchmarkTwoPagesSVG lays two pages out and writes them as SVG.
func BenchmarkTwoPagesSVG(b *testing.B) {
	tb := pagesOf(b, 2)
	for b.Loop() {
		d, err := sheet.Lay(tb, sheet.Options{})
		if err != nil {
			b.Fatal(err)
		}
		for i := range d.Pages {
			draw.SVG(d, i)
		}
	}
}

// BenchmarkBook lays 200 pages out and writes them as PDF.
func BenchmarkBook(b *testing.B) {
	tb := pagesOf(b, 200)
	b.ReportAllocs()
	size, pages := 0, 0
	for b.Loop() {
		d, err := sheet.Lay(tb, sheet.Options{})
		if err != nil {
			b.Fatal(err)
		}
		p, err := pdf.Write(d)
		if err != nil {
			b.Fatal(err)
		}
		size, pages = len(p), len(d.Pages)
	}
	b.ReportMetric(float64(size)/1000/float64(pages), "kB/page")
	b.ReportMetric(float64(pages), "pages")
}

// BenchmarkTell reads a long tab aloud.
func BenchmarkTell(b *testing.B) {
	tb := long(b, 20)
	for b.Loop() {
		if len(say.Tell(tb)) == 0 {
			b.Fatal("nothing said")
		}
	}
}
