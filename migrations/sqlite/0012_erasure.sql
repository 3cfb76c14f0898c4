-- +goose Up
-- A decision about a verdict outlives the attempt it was made on: it is about the
-- same answer of others, also where the learner who gave it was erased.
-- By engine: SQLite takes a reference away only by building the table anew, and
-- with it the table that refers to it.
CREATE TABLE overrule_kept (
    id          TEXT PRIMARY KEY,
    workshop_id TEXT NOT NULL REFERENCES workshop (id),
    attempt_id  TEXT NOT NULL,
    body        TEXT NOT NULL,
    decided_by  TEXT NOT NULL,
    created_at  INTEGER NOT NULL
) STRICT;
INSERT INTO overrule_kept SELECT id, workshop_id, attempt_id, body, decided_by, created_at FROM overrule;
CREATE TABLE remark_kept (
    attempt_id  TEXT NOT NULL REFERENCES attempt (id),
    number      INTEGER NOT NULL,
    overrule_id TEXT NOT NULL REFERENCES overrule_kept (id),
    verdicts    TEXT NOT NULL,
    marks       INTEGER NOT NULL,
    PRIMARY KEY (attempt_id, number)
) STRICT;
INSERT INTO remark_kept SELECT attempt_id, number, overrule_id, verdicts, marks FROM remark;
DROP TABLE remark;
DROP TABLE overrule;
ALTER TABLE overrule_kept RENAME TO overrule;
ALTER TABLE remark_kept RENAME TO remark;
CREATE INDEX overrule_workshop ON overrule (workshop_id, created_at, id);
CREATE INDEX remark_overrule ON remark (overrule_id);
