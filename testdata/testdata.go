// Package testdata embeds the published values that the project is checked
// against, so that the command can check itself anywhere. README.md beside it
// gives format and sources.
package testdata

import "embed"

// Files holds the data files by their path below testdata.
//
//go:embed threadmath/*.csv
var Files embed.FS
