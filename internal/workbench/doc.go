// Package workbench says what a teacher's items mean: which tune, on which rig,
// with which wishes and pins an item of the studio asks for, and what the rooms
// above make of it. It knows the forms in which items are kept, so that who
// shows them (web) need not, and it knows no request, page or cookie.
//
// Refs name rigs: a built-in rig's name, or the identity of one in the studio.
// Faults are the teacher's to mend; other errors are the studio's. Text of faults
// is as the rooms above write it, without a capital or a full stop.
//
// Kept forms say ways of laying the steel in words and benders by their letters,
// so that they mean the same when the program counts them otherwise or a rig's
// benders change places. A change of these forms needs a step in
// lapwright/internal/studio/form.
//
// Entry points: ReadSettings, Place, GripWish, ReadGrip, ReadLesson, PlanLesson,
// Begin, Import, MakeRig, RigEdit, Furnish.
package workbench
