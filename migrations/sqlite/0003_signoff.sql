-- +goose Up
-- The sign-off record: one chain of lines a workshop, only ever added to. The
-- triggers keep slips of our own out; whoever has the database can drop them,
-- which is what the digests are for.
CREATE TABLE signoff_line (
    workshop_id TEXT NOT NULL REFERENCES workshop (id),
    seq         INTEGER NOT NULL CHECK (seq >= 1),
    at          INTEGER NOT NULL,
    kind        TEXT NOT NULL,
    subject     TEXT NOT NULL,
    by_token    TEXT NOT NULL,
    lathe_id    TEXT NOT NULL,
    operation   TEXT NOT NULL,
    body        TEXT NOT NULL,
    prev        TEXT NOT NULL,
    digest      TEXT NOT NULL,
    PRIMARY KEY (workshop_id, seq),
    UNIQUE (workshop_id, prev)
) STRICT;
CREATE INDEX signoff_line_subject ON signoff_line (subject, seq);
CREATE INDEX signoff_line_lathe ON signoff_line (workshop_id, lathe_id, seq);

-- Where a chain ends; the row is the lock under which lines are added.
CREATE TABLE signoff_head (
    workshop_id TEXT PRIMARY KEY REFERENCES workshop (id),
    seq         INTEGER NOT NULL,
    digest      TEXT NOT NULL
) STRICT;

-- The names behind the tokens of the chain. Removing a row leaves the chain whole.
CREATE TABLE signoff_name (
    token       TEXT PRIMARY KEY,
    workshop_id TEXT NOT NULL REFERENCES workshop (id),
    ref_id      TEXT NOT NULL,
    name        TEXT NOT NULL,
    salt        TEXT NOT NULL,
    created_at  INTEGER NOT NULL,
    UNIQUE (ref_id, name)
) STRICT;
CREATE INDEX signoff_name_workshop ON signoff_name (workshop_id, created_at);

CREATE TABLE signoff_card (
    learner_id  TEXT PRIMARY KEY,
    workshop_id TEXT NOT NULL REFERENCES workshop (id),
    code        TEXT NOT NULL UNIQUE,
    created_at  INTEGER NOT NULL
) STRICT;

CREATE TABLE sitting (
    id            TEXT PRIMARY KEY,
    workshop_id   TEXT NOT NULL REFERENCES workshop (id),
    kind          TEXT NOT NULL CHECK (kind IN ('theory', 're-check')),
    learner_id    TEXT NOT NULL,
    lathe_id      TEXT NOT NULL,
    operation     TEXT NOT NULL,
    supervisor_id TEXT NOT NULL,
    exercises     TEXT NOT NULL,
    opened_at     INTEGER NOT NULL,
    closes_at     INTEGER NOT NULL,
    handed_in_at  INTEGER NOT NULL DEFAULT 0,
    answers       TEXT NOT NULL DEFAULT '[]',
    verdicts      TEXT NOT NULL DEFAULT '[]'
) STRICT;
CREATE INDEX sitting_learner ON sitting (learner_id, opened_at);

-- By engine: lines are only added.
-- +goose StatementBegin
CREATE TRIGGER signoff_line_no_update BEFORE UPDATE ON signoff_line
BEGIN
    SELECT RAISE(ABORT, 'sign-off lines are only added');
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER signoff_line_no_delete BEFORE DELETE ON signoff_line
BEGIN
    SELECT RAISE(ABORT, 'sign-off lines are only added');
END;
-- +goose StatementEnd
