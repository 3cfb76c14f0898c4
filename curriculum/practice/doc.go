// Package practice holds the rules of the service: who may do what, how a class
// set is built and issued, what a learner is told after an answer and when the
// worked solution is due. It keeps nothing itself; a [Store] does.
//
// Every method takes the [Actor] that asks. What belongs to another workshop, or
// to another learner, is not found rather than refused, so that nothing is
// learnt by guessing ids.
package practice
