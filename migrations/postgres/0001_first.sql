-- +goose Up
CREATE TABLE workshop (
    id         TEXT PRIMARY KEY,
    name       TEXT NOT NULL,
    units      TEXT NOT NULL CHECK (units IN ('mm', 'in')),
    created_at BIGINT NOT NULL
);

CREATE TABLE person (
    id          TEXT PRIMARY KEY,
    workshop_id TEXT NOT NULL REFERENCES workshop (id),
    name        TEXT NOT NULL,
    role        TEXT NOT NULL CHECK (role IN ('instructor', 'steward')),
    created_at  BIGINT NOT NULL
);
CREATE INDEX person_workshop ON person (workshop_id);

CREATE TABLE lathe (
    id          TEXT PRIMARY KEY,
    workshop_id TEXT NOT NULL REFERENCES workshop (id),
    name        TEXT NOT NULL,
    profile     TEXT NOT NULL,
    version     BIGINT NOT NULL,
    created_at  BIGINT NOT NULL,
    UNIQUE (workshop_id, name)
);

CREATE TABLE class (
    id           TEXT PRIMARY KEY,
    workshop_id  TEXT NOT NULL REFERENCES workshop (id),
    name         TEXT NOT NULL,
    joining_code TEXT NOT NULL UNIQUE,
    version      BIGINT NOT NULL,
    created_at   BIGINT NOT NULL,
    UNIQUE (workshop_id, name)
);

CREATE TABLE learner (
    id          TEXT PRIMARY KEY,
    workshop_id TEXT NOT NULL REFERENCES workshop (id),
    name        TEXT NOT NULL,
    pin_hash    TEXT NOT NULL DEFAULT '',
    created_at  BIGINT NOT NULL
);
CREATE INDEX learner_workshop ON learner (workshop_id);

CREATE TABLE enrolment (
    class_id   TEXT NOT NULL REFERENCES class (id),
    learner_id TEXT NOT NULL REFERENCES learner (id),
    seat       BIGINT NOT NULL,
    created_at BIGINT NOT NULL,
    PRIMARY KEY (class_id, learner_id),
    UNIQUE (class_id, seat)
);
CREATE INDEX enrolment_learner ON enrolment (learner_id);

-- Documents (spec, profile, body, answers, verdicts) are TEXT on both engines: what
-- was issued must come back to the byte.
CREATE TABLE class_set (
    id         TEXT PRIMARY KEY,
    class_id   TEXT NOT NULL REFERENCES class (id),
    spec       TEXT NOT NULL,
    lathe_name TEXT NOT NULL,
    profile    TEXT NOT NULL,
    seed       BIGINT NOT NULL,
    created_at BIGINT NOT NULL
);
CREATE INDEX class_set_class ON class_set (class_id, created_at, id);

CREATE TABLE variant (
    code       TEXT PRIMARY KEY,
    set_id     TEXT NOT NULL REFERENCES class_set (id),
    learner_id TEXT NOT NULL REFERENCES learner (id),
    seat       BIGINT NOT NULL,
    created_at BIGINT NOT NULL,
    UNIQUE (set_id, learner_id)
);
CREATE INDEX variant_learner ON variant (learner_id);

CREATE TABLE exercise (
    variant_code  TEXT NOT NULL REFERENCES variant (code),
    position      BIGINT NOT NULL,
    skill         TEXT NOT NULL,
    model         TEXT NOT NULL,
    model_version BIGINT NOT NULL,
    body          TEXT NOT NULL,
    PRIMARY KEY (variant_code, position)
);

CREATE TABLE attempt (
    id           TEXT PRIMARY KEY,
    variant_code TEXT NOT NULL,
    position     BIGINT NOT NULL,
    learner_id   TEXT NOT NULL REFERENCES learner (id),
    source       TEXT NOT NULL CHECK (source IN ('typed', 'paper')),
    answers      TEXT NOT NULL,
    verdicts     TEXT NOT NULL,
    marks        BIGINT NOT NULL,
    out_of       BIGINT NOT NULL,
    try          BIGINT NOT NULL,
    entered_by   TEXT NOT NULL,
    created_at   BIGINT NOT NULL,
    FOREIGN KEY (variant_code, position) REFERENCES exercise (variant_code, position)
);
CREATE INDEX attempt_exercise ON attempt (variant_code, position, created_at);
CREATE INDEX attempt_learner ON attempt (learner_id, created_at);

-- A cache of attempt, kept in the same transaction; rebuilt and compared by a test.
CREATE TABLE mark (
    variant_code TEXT NOT NULL,
    position     BIGINT NOT NULL,
    tries        BIGINT NOT NULL,
    first_marks  BIGINT NOT NULL,
    best_marks   BIGINT NOT NULL,
    out_of       BIGINT NOT NULL,
    last_outcome TEXT NOT NULL,
    PRIMARY KEY (variant_code, position),
    FOREIGN KEY (variant_code, position) REFERENCES exercise (variant_code, position)
);

-- Sessions and one-time links, found by the SHA-256 of their secret.
CREATE TABLE session (
    token_hash  TEXT PRIMARY KEY,
    kind        TEXT NOT NULL CHECK (kind IN ('link', 'person', 'learner')),
    subject_id  TEXT NOT NULL,
    workshop_id TEXT NOT NULL,
    created_at  BIGINT NOT NULL,
    expires_at  BIGINT NOT NULL
);
CREATE INDEX session_expiry ON session (expires_at);

CREATE TABLE event (
    id          TEXT PRIMARY KEY,
    workshop_id TEXT NOT NULL,
    at          BIGINT NOT NULL,
    who         TEXT NOT NULL,
    what        TEXT NOT NULL,
    about       TEXT NOT NULL
);
CREATE INDEX event_workshop ON event (workshop_id, at, id);
