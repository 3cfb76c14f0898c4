//go:build race

package generate_test

// raced says that the race detector runs: it makes the arithmetic some ten times
// slower and finds nothing new in the last draw of thousands.
const raced = true
