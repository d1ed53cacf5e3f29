// Package arrange places a tune on a rig: it searches all playable ways and
// gives the cheapest as a tab, with its cost explained and its compromises.
//
// The search is exact. Every moment of the tune (tune.Moments) has its grips:
// all ways to sound its notes with one placement of the bar, one set of
// benders and each note on a string of its own. What it costs to go from one
// grip to the next depends on those two alone, so dynamic programming over the
// moments in written order finds the cheapest sequence; its work grows linearly
// with the length of the tune. Prices are whole numbers (hundredths of a point)
// of package grip, and what is playable at all is its to say too.
//
// A note that goes on (tied, or longer than another voice's) keeps its string
// and its contact with the bar. Where that is impossible, and wherever else the
// tab does not sound what the tune says, there is a tab.Compromise.
//
// Entry points: Arrange, Alternatives, Choices, Settings, Best, ParsePin. Those that
// search take a context first and stops soon
// after it ends.
package arrange
