-- +goose Up
-- What each learner of a class is to cut, and on which lathe.
CREATE TABLE shop_job (
    class_id   TEXT NOT NULL REFERENCES class (id),
    learner_id TEXT NOT NULL REFERENCES learner (id),
    lathe_id   TEXT NOT NULL REFERENCES lathe (id),
    body       TEXT NOT NULL,
    version    BIGINT NOT NULL,
    changed_at BIGINT NOT NULL,
    PRIMARY KEY (class_id, learner_id)
);

CREATE TABLE shop_session (
    id         TEXT PRIMARY KEY,
    class_id   TEXT NOT NULL REFERENCES class (id),
    begins_at  BIGINT NOT NULL,
    spec       TEXT NOT NULL,
    plan       TEXT NOT NULL,
    version    BIGINT NOT NULL,
    created_at BIGINT NOT NULL,
    changed_at BIGINT NOT NULL
);
CREATE INDEX shop_session_class ON shop_session (class_id, begins_at, id);

-- What the parts of a turn took; medians of these replace start values.
CREATE TABLE logged_time (
    id         TEXT PRIMARY KEY,
    lathe_id   TEXT NOT NULL REFERENCES lathe (id),
    body       TEXT NOT NULL,
    created_at BIGINT NOT NULL
);
CREATE INDEX logged_time_lathe ON logged_time (lathe_id, created_at);
