-- +goose Up
-- What a class is taught for; one course a class.
CREATE TABLE course (
    class_id   TEXT PRIMARY KEY REFERENCES class (id),
    spec       TEXT NOT NULL,
    version    BIGINT NOT NULL,
    changed_at BIGINT NOT NULL
);
