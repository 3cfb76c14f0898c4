// Package threadmath computes what must be known to cut a single- or
// multi-start thread on a manual lathe, with its uncertainty and its sources.
//
// [Solve] answers a [Request]; both are the solve contract's documents, and
// [ParseRequest] reads one from JSON. What a lathe cannot do is part of the
// [Answer]; what makes no sense is a [DomainError] that names the field, the
// value and what is allowed. Nothing gives NaN, an infinity or a panic.
// [Rescue] says from measured grooves what went wrong. [Profile] draws a form,
// [ParseDesignation] reads a thread's name, [AllSeries] holds the published sizes,
// [ChangeGears] are searched for every train that makes a ratio.
//
// # Exact and approximate
//
// Pitch, lead, leadscrew lead, offsets, gear ratios and everything that decides
// whether the tool lands on a start are exact rationals ([Ratio], [Length];
// 1 in = 25.4 mm exactly). What goes through a root or a trigonometric function
// is a float64 in a field of its own. A [Dimension] in an answer knows which it
// is: only an exact one carries its exact text. Floats are good to 1e-12 of
// their value unless their field says otherwise and are never rounded; collar
// readings and the limits of tolerance tables are, by the rule beside them.
//
// # Units
//
// A quantity in a request is text with its unit: "5/64 in", "1 3/64 in",
// "47 thou", "2 mm", and for pitches and leads "10 tpi". Angles are in degrees,
// speeds in rev/min, times in seconds or as the field's name says. Functions
// that take a float64 take millimetres.
//
// # Symbols
//
//	n       starts: separate helical grooves
//	P       pitch: from one thread form to the next, whichever start it belongs to
//	L       lead, n·P: axial travel in one turn
//	d, D    major diameter, external and internal; d2 pitch, d3 and D1 minor diameter
//	h       single depth, radial; a collar that reads diameter shows 2h
//	H       height of the sharp triangle
//	α       flank angle from the normal to the axis; α1 leading, α2 trailing
//	φ(d)    lead angle at a diameter, atan(L/(π·d)); steepest at the minor
//	p, p′   lead of the leadscrew; p over its own starts, where the half-nut closes
//	ρ       turns of the stud gear per turn of the spindle
//	θ       infeed angle, from the direction of the cross-slide
//	f       flat of the tool's nose
//	w, M    wire, and measurement over wires
//	V, N    surface speed and spindle speed
//
// # Directions
//
// A right-hand thread is cut with the tool travelling towards the headstock, a
// left-hand one away from it. Start j+1 lies j·P behind start 1, against the
// tool's travel, which is the work turned forward by j·360°/n. A slide is moved
// with the travel, or its backlash lies on the wrong side; a move of i·P then
// gives start n+1−i.
//
// # Forms
//
// Single depth of the external thread; the answer's depth_rule names it, crest
// and root their flats and radii. [Form.Standard] is the source.
//
//	sharp-v            60°     0.866025 P               geometry
//	american-national  60°     0.649519 P               NBS Handbook H28
//	iso-metric         60°     0.613435 P, internal 0.541266 P   ISO 68-1
//	unified            60°     as ISO; with rounded root 0.595393 P   ASME B1.1
//	whitworth          55°     0.640327 P               BS 84
//	acme               29°     P/2 + 0.010 in; finer than 10 per inch + 0.005 in   ASME B1.5
//	stub-acme          29°     0.3 P + the same         ASME B1.8
//	trapezoidal        30°     P/2 + a_c                ISO 2904
//	square             0°      P/2                      common practice, no source
//	buttress-metric    3°/30°  0.86777 P                DIN 513-1
//	buttress-inch      7°/45°  0.66271 P                ASME B1.9
//	knuckle            30°     P/2                      DIN 405
//
// # Between passes
//
// With p′/L = a/b in lowest terms closing the half-nut anywhere gives b different
// paths. b = 1: open and close anywhere. Otherwise a dial line that always comes
// back to the same start, else the half-nut stays closed. A line whose start
// varies from turn to turn is never used. Exact; the lathes of the package's
// tests are simulated without these formulas and agree.
//
// # From one start to the next
//
// A shift s against the travel lands on start j+1 when s ≡ j·P (mod L).
//
//	half-nut        reaches k·p′ mod L: gcd(n, b) starts, all when n divides b
//	thread dial     line m of M on T teeth is m·T/M leadscrew threads on
//	carriage shift  j·P + i·L that is a whole number of leadscrew threads
//	slide parallel  i·P from zero each time, to the nearest division of its collar
//	slide at θ      P/sin θ along, cross-slide withdrawn P/tan θ
//	stations        J serve n starts when n divides J
//	stud gear       t = T·ρ·(1/n + i) teeth, whole for some i
//	leadscrew gear  t teeth with t·p/T ≡ P (mod L), spindle still
//	angular error   δ shifts a start by L·δ/360°
//	cost            an axial error e uses up 2e/(tan α1 + tan α2) of pitch diameter
//
// Answer.Methods ranks those of one lathe: usable; then exact enough, with a cost
// of at most a quarter of the pitch diameter tolerance (of a twentieth of the pitch
// without a class); then soonest done; then the fewest things to get wrong; then
// least cost. Unknown errors rank after known ones. Usable is what the lathe and a
// person can do, too: Method.Bound names what bounds a way that the arithmetic would
// allow (pick_up keeps the half-nut closed; the leadscrew turns too fast to close it
// on one place; more threads or teeth than one counts; a longer shift than the bed
// allows). The bounds are entries of the request with careful defaults, common
// practice, no source. Teeth are counted on the wheel of the train in the answer. A
// dog drives work between centres only, so holders do not serve a bore.
//
// # Making the lead
//
//	gearbox         the setting whose lead is exactly L
//	change gears    ρ·Πdrivers/Πdriven = L/p; exact trains, then those within 1 %
//
// Every two- and four-wheel train of the wheels on hand is looked at. A compound
// train must clear its studs by 15 teeth (common practice, no source).
//
// # Cutting
//
//	cut depth       x = (B − d2)/2 + (P/2 − f)/(tan α1 + tan α2) from touch on a blank
//	                B, d2 the middle of its limits; inside (D2 − B)/2 + the same. Without
//	                class and tool flat it is h
//	measured blank  (B_max − B)/2 of it counts as reached at touch; (B − B_min)/2 inside
//	slide travel    x/cos θ, θ at most the trailing flank's angle
//	chip area       A(x) = f·x + x²·(tan α1 + tan α2)/2
//	passes          N = ⌈A(x)/A(first cut)⌉, A(depth i) = i·A(x)/N
//	flanks          leading = relief + φ(minor), trailing = relief − φ(major)
//	speed           N = V/(π·d)
//	run-out         act at m ≥ ℓ, still by m + overrun ≤ ℓ + room; overrun L·N·t/60 with
//	                the half-nut opened, so that N ≤ 60·(ℓ + room − m)/(L·t); kept closed it
//	                is L·(N·t/60 + coast turns), and no speed is given. The room is that of
//	                the groove, or what the request says; a mark is none
//	job time        set-up + n·(passes·((l + L)/(L·N) + handling) + measuring) + (n − 1)·indexing
//
// # Measuring and use
//
//	best wire       P/(2·cos α)
//	over wires      M = d2 − (P/2)·cot α + w·(1 + 1/sin α) + (w/2)·tan²φ·cos α·cot α;
//	                where that is more than 0.001 P out, the tangency of wire and helicoid
//	clearance       allowance of the class less the cost of the spacing error
//	torque          F·d2/2·tan(ρ′ ± φ), tan ρ′ = μ/cos α_n; self-locking when ρ′ > φ
//
// [Limits] lists the tolerance systems: ISO 965-1, ISO 2903, ASME B1.1 and B1.5,
// BS 84. Where the standard's formula and its table disagree the table is held.
//
// # Sources
//
// Besides the standards named above: F. D. Jones, Turning and Boring (1914), for
// indexing, dials, infeed, side angles of the tool, wires and turning speeds;
// NBS Handbook H28 for wires; Khurmi & Gupta, A Textbook of Machine Design, for
// torque. The published values that the package is held to, some six hundred,
// run with "halfnut checks". Facts of the trade without a source, and values
// written from memory, say so in the answer or beside the formula.
//
// # Where sources disagree
//
// Old rules for dials and carriage shifts ask for more than is needed; exact
// arithmetic decides. Shops set the compound at 29°, 29.5° or 30°; the request
// does. ISO 965-1's formulas do not reproduce its tables. Makers' tables of Acme
// 2G take the allowance of the diameter that is standard for the pitch. A course
// prints 1.732 for the over-wires constant of Unified threads; that is the sharp
// V's, 1.5155 is right.
//
// # Gaps
//
// From memory of their standards: engagement and radii of the buttress forms and
// the knuckle form (the radii follow from the geometry, see [Profile]), classes of
// trapezoidal threads other than 7e up to P 4, tolerances of several starts,
// series that [Series] marks so, inch designations of several starts. No published table of threading
// speeds was found. Wires do not serve internal, square, buttress or knuckle
// threads. Tapered threads, and pitches that vary, are not covered.
package threadmath
