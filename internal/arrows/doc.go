// Package arrows holds no program code: its tests check that the rooms import
// only upwards and that the core stays free of files, network, clock, chance
// and goroutines.
package arrows
