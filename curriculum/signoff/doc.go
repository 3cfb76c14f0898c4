// Package signoff works out from a workshop's sign-off lines who may use which
// lathe for which operation, until when, and what is still missing.
//
// Everything here is a pure function of the lines and of now: nothing is kept,
// nothing looks at a clock. An operation is signed off for one learner on one
// lathe by
//
//   - a theory test taken under supervision, drawn from the skills that this
//     operation needs on this lathe, five situations of the operation's own among
//     them ([SafetyItems]), with every safety item right; a retry asks about other
//     situations as long as the bank has some, and the line of its opening says
//     when it has not;
//   - two witnessed demonstrations on different days with every item of the
//     checklist done;
//   - a test piece whose measured sizes lie inside their limits by more than the
//     instrument's uncertainty;
//   - an instructor's decision.
//
// A sign-off runs out, lapses when the lathe is not used, can be restricted and
// can be taken back. Settings hold the site's rules. Nothing here says what the
// law asks: local rules and the shop's qualified supervisor decide.
package signoff
