// Package migrations holds the database's versions as SQL, one folder for each
// engine, the same numbers and names in both.
package migrations

import "embed"

// Files holds sqlite/ and postgres/.
//
//go:embed sqlite/*.sql postgres/*.sql
var Files embed.FS
