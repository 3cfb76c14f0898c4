// Package shop plans what happens at the lathes: the minutes of a job on a given
// lathe, a session in which learners rotate over lathes and stations, and the
// card that lies beside the lathe. It is pure: the same input gives the same
// plan, and it keeps nothing.
//
// A plan never books a learner, a lathe, a place at a station or an instructor
// twice. It gives as many turns as it finds room for, those first who are to be
// first, and then looks for the plan that ends soonest; it is a search by
// improvement, not a proof, so the plan comes with a lower bound that shows how
// much better any plan could be.
package shop
