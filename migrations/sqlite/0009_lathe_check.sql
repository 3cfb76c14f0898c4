-- +goose Up
-- Checks made at lathes of what their records say; nothing is ever changed here.
CREATE TABLE lathe_check (
    id         TEXT PRIMARY KEY,
    lathe_id   TEXT NOT NULL REFERENCES lathe (id),
    body       TEXT NOT NULL,
    created_at INTEGER NOT NULL
) STRICT;
CREATE INDEX lathe_check_lathe ON lathe_check (lathe_id, created_at, id);
