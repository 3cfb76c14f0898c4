// Package lathesim moves the parts of a manual screw-cutting lathe and reports which groove of the work the tool
// follows. It is the proof of package threadmath: it knows how the parts push each other and none of the rules that
// predict where a thread lands, so an answer that both agree on was found in two unlike ways.
//
// # Parts and positions
//
//	z          along the axis, mm, growing towards the headstock
//	spindle    turns, growing in the direction in which the work runs when cutting
//	work       held in the spindle; clamped turned forward by some part of a turn (chuck jaw, faceplate slot)
//	stud gear  geared to the spindle; from it a train of wheels drives the leadscrew gear
//	leadscrew  one, two or more threads side by side; of either hand
//	half-nut   on the carriage; closes only where its thread meets the leadscrew's, then carriage and thread are one
//	dial       a wheel on the carriage in mesh with the leadscrew: each thread that passes the carriage turns it one
//	           tooth, whether the screw turns or the carriage is moved by hand; a closed half-nut keeps it still
//	slides     the compound slide at any angle, with backlash, and the cross-slide, both on the carriage
//	tool       where carriage and slides put it; it marks the work wherever the work passes it
//
// # How it runs
//
// The spindle is the clock. The machine goes from event to event (the next leadscrew thread under the half-nut, the
// next dial line under its mark, the work's reference line passing the tool), every position an exact fraction. A
// cycle ends when the machine stands as it stood before: the same angles of spindle and wheel.
//
// A groove is the list of places where the tool crossed one line drawn along the work, turn after turn. A path
// follows a groove when all its crossings are crossings of that groove; nothing else is compared. Where start 2 lies
// is laid out on the work from start 1 with a rule, one pitch behind against the tool's travel (MarkOut).
//
// # Whole jobs
//
// [Machine] and [Piece] follow a whole job from pass to pass, in float64: spindle and leadscrew, half-nut and dial,
// both slides and their lost motion, a hand that acts late and a spindle that coasts, a wall that the tool may run into;
// a blank that a nose takes chips from, and the grooves that are measured on it.
//
// # Limits
//
// Parts are rigid and only the compound slide has backlash. Values given to the package are never changed by it and
// must not be changed by the caller afterwards.
package lathesim
