// Package plan works out what a learner should do next and what a class should
// be taught when: functions of where everybody stands and of the calendar.
//
// A sitting is half new matter, three tenths what is due and two tenths the
// weakest prerequisite of what is new, mixed so that one skill never comes twice
// running, except at its first meeting (interleaved practice: Rohrer, Dedrick
// and Burgess, The benefit of interleaved mathematics practice is not limited to
// superficially similar kinds of problems, 2014; the shares are this project's
// own choice). What is due follows the retention curve of package mastery, held
// in bounds by the calendar.
package plan
