-- +goose Up
ALTER TABLE attempt ADD COLUMN numbers TEXT NOT NULL DEFAULT '';
ALTER TABLE attempt ADD COLUMN hinted INTEGER NOT NULL DEFAULT 0;

-- Which hints a learner has looked at, and when first.
CREATE TABLE hint (
    variant_code TEXT NOT NULL REFERENCES variant (code),
    position     INTEGER NOT NULL,
    part         TEXT NOT NULL,
    rung         INTEGER NOT NULL,
    created_at   INTEGER NOT NULL,
    PRIMARY KEY (variant_code, position, part, rung)
) STRICT;

-- A cache of attempt: where each learner stands with each skill, kept in the same
-- transaction and rebuilt from the attempts at any time.
CREATE TABLE cell (
    learner_id TEXT NOT NULL REFERENCES learner (id),
    skill      TEXT NOT NULL,
    body       TEXT NOT NULL,
    PRIMARY KEY (learner_id, skill)
) STRICT;

-- The last attempt that a learner's cells hold. The row is the lock under which
-- they are folded.
CREATE TABLE folded (
    learner_id TEXT PRIMARY KEY REFERENCES learner (id),
    last_at    INTEGER NOT NULL,
    last_id    TEXT NOT NULL
) STRICT;
