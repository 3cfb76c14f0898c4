-- +goose Up
-- The sign-off record: one chain of lines a workshop, only ever added to. The
-- triggers keep slips of our own out; whoever has the database can drop them,
-- which is what the digests are for.
CREATE TABLE signoff_line (
    workshop_id TEXT NOT NULL REFERENCES workshop (id),
    seq         BIGINT NOT NULL CHECK (seq >= 1),
    at          BIGINT NOT NULL,
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
);
CREATE INDEX signoff_line_subject ON signoff_line (subject, seq);
CREATE INDEX signoff_line_lathe ON signoff_line (workshop_id, lathe_id, seq);

-- Where a chain ends; the row is the lock under which lines are added.
CREATE TABLE signoff_head (
    workshop_id TEXT PRIMARY KEY REFERENCES workshop (id),
    seq         BIGINT NOT NULL,
    digest      TEXT NOT NULL
);

-- The names behind the tokens of the chain. Removing a row leaves the chain whole.
CREATE TABLE signoff_name (
    token       TEXT PRIMARY KEY,
    workshop_id TEXT NOT NULL REFERENCES workshop (id),
    ref_id      TEXT NOT NULL,
    name        TEXT NOT NULL,
    salt        TEXT NOT NULL,
    created_at  BIGINT NOT NULL,
    UNIQUE (ref_id, name)
);
CREATE INDEX signoff_name_workshop ON signoff_name (workshop_id, created_at);

CREATE TABLE signoff_card (
    learner_id  TEXT PRIMARY KEY,
    workshop_id TEXT NOT NULL REFERENCES workshop (id),
    code        TEXT NOT NULL UNIQUE,
    created_at  BIGINT NOT NULL
);

CREATE TABLE sitting (
    id            TEXT PRIMARY KEY,
    workshop_id   TEXT NOT NULL REFERENCES workshop (id),
    kind          TEXT NOT NULL CHECK (kind IN ('theory', 're-check')),
    learner_id    TEXT NOT NULL,
    lathe_id      TEXT NOT NULL,
    operation     TEXT NOT NULL,
    supervisor_id TEXT NOT NULL,
    exercises     TEXT NOT NULL,
    opened_at     BIGINT NOT NULL,
    closes_at     BIGINT NOT NULL,
    handed_in_at  BIGINT NOT NULL DEFAULT 0,
    answers       TEXT NOT NULL DEFAULT '[]',
    verdicts      TEXT NOT NULL DEFAULT '[]'
);
CREATE INDEX sitting_learner ON sitting (learner_id, opened_at);

-- By engine: lines are only added.
-- +goose StatementBegin
CREATE FUNCTION signoff_line_only_added() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'sign-off lines are only added';
END
$$;
-- +goose StatementEnd
CREATE TRIGGER signoff_line_no_change BEFORE UPDATE OR DELETE ON signoff_line
    FOR EACH ROW EXECUTE FUNCTION signoff_line_only_added();
CREATE TRIGGER signoff_line_no_truncate BEFORE TRUNCATE ON signoff_line
    FOR EACH STATEMENT EXECUTE FUNCTION signoff_line_only_added();
