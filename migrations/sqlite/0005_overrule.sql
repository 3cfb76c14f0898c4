-- +goose Up
-- Decisions of instructors about verdicts; nothing is ever changed here.
CREATE TABLE overrule (
    id          TEXT PRIMARY KEY,
    workshop_id TEXT NOT NULL REFERENCES workshop (id),
    attempt_id  TEXT NOT NULL REFERENCES attempt (id),
    body        TEXT NOT NULL,
    decided_by  TEXT NOT NULL,
    created_at  INTEGER NOT NULL
) STRICT;
CREATE INDEX overrule_workshop ON overrule (workshop_id, created_at, id);

-- What an overrule made of each attempt it touched, numbered by attempt. The
-- attempt keeps what it was first judged.
CREATE TABLE remark (
    attempt_id  TEXT NOT NULL REFERENCES attempt (id),
    number      INTEGER NOT NULL,
    overrule_id TEXT NOT NULL REFERENCES overrule (id),
    verdicts    TEXT NOT NULL,
    marks       INTEGER NOT NULL,
    PRIMARY KEY (attempt_id, number)
) STRICT;
CREATE INDEX remark_overrule ON remark (overrule_id);
CREATE INDEX exercise_model ON exercise (skill, model, model_version);
