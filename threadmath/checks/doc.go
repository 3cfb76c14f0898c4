// Package checks compares threadmath with published values.
//
// Every row of the embedded vectors (halfnut/testdata) is read as it was
// published: its inputs are parsed by a reader for its topic, the job is solved
// through threadmath's public interface, and the answer is compared with the
// row's value to the row's tolerance. No expected answer is written here. Rows
// that cannot be computed are listed with the reason, never skipped silently.
//
// Rows marked memory were recalled, not read in their source. They never decide
// alone: where one agrees it is counted apart, and where one does not it is
// reported but does not fail the run.
package checks
