// Package serve is the host around a site: at which addresses it can be reached, how
// it is shown in the desktop's browser, and how it ends.
//
// Entry points: Until, Reachable, Loopback, CannotListen, OpenBrowser.
package serve
