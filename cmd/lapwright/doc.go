// Command lapwright turns tunes into lesson material for lap-style guitars.
//
// Each verb is a file of its own. This folder holds flags and talk: the work is
// in the rooms under internal. Exit codes: 0 done, 1 the machine would not (a
// full disk, a port in use), 2 the input or the command line is at fault, 70 our
// own mistake, 130 interrupted.
package main
