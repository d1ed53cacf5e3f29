// Package feel says how an accompaniment moves: which beat has the bass, which the
// chord, where the weight lies, and how far the offbeats swing. It is the one list
// that a part for the instrument (arrange/accompany) and the band (sound/band) read,
// so that both keep one time.
//
// It isn't music yet: it knows no chord, no rig and no pitch.
//
// A Feel has one Figure for each kind of bar that it is played in. A figure cuts its
// bar into equal slots and says with one Sign a slot what each of four lines does
// there: the Part that is played on the instrument, and of the band the Bass, the
// rhythm Guitar and the Brush. What a bar holds in ticks is worked out by Strokes.
//
// Entry points: All, Find, For, Feel.Figure, Figure.Strokes.
//
// Sources: the figures are common practice, no source.
package feel
