-- +goose Up
-- Work can be called off while it waits or runs.
-- By engine: SQLite changes a check only by building the table anew, and with it
-- the table that refers to it.
CREATE TABLE work_kept (
    id          TEXT PRIMARY KEY,
    workshop_id TEXT NOT NULL REFERENCES workshop (id),
    kind        TEXT NOT NULL,
    title       TEXT NOT NULL,
    asked_by    TEXT NOT NULL,
    role        TEXT NOT NULL,
    args        TEXT NOT NULL,
    state       TEXT NOT NULL CHECK (state IN ('waiting', 'running', 'done', 'failed', 'called-off')),
    run         TEXT NOT NULL,
    tries       INTEGER NOT NULL,
    done        INTEGER NOT NULL,
    total       INTEGER NOT NULL,
    result      TEXT NOT NULL,
    problem     TEXT NOT NULL,
    created_at  INTEGER NOT NULL,
    started_at  INTEGER NOT NULL,
    beat_at     INTEGER NOT NULL,
    finished_at INTEGER NOT NULL
) STRICT;
INSERT INTO work_kept SELECT id, workshop_id, kind, title, asked_by, role, args, state, run, tries, done, total, result, problem, created_at, started_at, beat_at, finished_at FROM work;
CREATE TABLE work_file_kept (
    work_id TEXT NOT NULL REFERENCES work_kept (id),
    run     TEXT NOT NULL,
    number  INTEGER NOT NULL,
    body    BLOB NOT NULL,
    PRIMARY KEY (work_id, run, number)
) STRICT;
INSERT INTO work_file_kept SELECT work_id, run, number, body FROM work_file;
DROP TABLE work_file;
DROP TABLE work;
ALTER TABLE work_kept RENAME TO work;
ALTER TABLE work_file_kept RENAME TO work_file;
CREATE INDEX work_asked ON work (workshop_id, asked_by, created_at, id);
CREATE INDEX work_state ON work (state, created_at);
