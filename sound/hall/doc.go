// Package hall is the room that an instrument is heard in: early reflections and a tail that dies.
//
// It isn't an effect with settings: there is one room, and how much of it is heard.
//
// Entry point: New.
//
// Sources: J.-M. Jot and A. Chaigne, Digital delay networks for designing artificial
// reverberators, AES 90th Convention, 1991, for the tail; the reflections are ours.
package hall
