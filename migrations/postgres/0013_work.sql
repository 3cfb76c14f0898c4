-- +goose Up
-- What takes longer than a request may: who asked for it, how far it is, and what
-- came of it. run names the try under way; only that try may finish the work.
CREATE TABLE work (
    id          TEXT PRIMARY KEY,
    workshop_id TEXT NOT NULL REFERENCES workshop (id),
    kind        TEXT NOT NULL,
    title       TEXT NOT NULL,
    asked_by    TEXT NOT NULL,
    role        TEXT NOT NULL,
    args        TEXT NOT NULL,
    state       TEXT NOT NULL CHECK (state IN ('waiting', 'running', 'done', 'failed')),
    run         TEXT NOT NULL,
    tries       BIGINT NOT NULL,
    done        BIGINT NOT NULL,
    total       BIGINT NOT NULL,
    result      TEXT NOT NULL,
    problem     TEXT NOT NULL,
    created_at  BIGINT NOT NULL,
    started_at  BIGINT NOT NULL,
    beat_at     BIGINT NOT NULL,
    finished_at BIGINT NOT NULL
);
CREATE INDEX work_asked ON work (workshop_id, asked_by, created_at, id);
CREATE INDEX work_state ON work (state, created_at);

-- The file that a work made, in pieces. Those of a try that did not finish the
-- work are never read.
CREATE TABLE work_file (
    work_id TEXT NOT NULL REFERENCES work (id),
    run     TEXT NOT NULL,
    number  BIGINT NOT NULL,
    body    BYTEA NOT NULL,
    PRIMARY KEY (work_id, run, number)
);
