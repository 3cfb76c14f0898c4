// Package store keeps workshops, classes, sheets and answers in one database:
// an SQLite file by default, PostgreSQL by address.
//
// Every query is one text for both engines ($1-numbered, ids made here, times as
// Unix microseconds, documents as TEXT). One exported method is one atomic act;
// no transaction, row or driver error leaves the package: errors wrap the
// sentinels of package curriculum.
package store
