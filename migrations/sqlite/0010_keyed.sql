-- +goose Up
-- Requests that were carried out under an Idempotency-Key, with their answers, in
-- the transaction of what they did. Kept for a day; status is 0 where the answer
-- held a secret and is not kept.
CREATE TABLE keyed_request (
    owner        TEXT NOT NULL,
    request_key  TEXT NOT NULL,
    request_hash TEXT NOT NULL,
    status       INTEGER NOT NULL,
    location     TEXT NOT NULL,
    etag         TEXT NOT NULL,
    body         TEXT NOT NULL,
    created_at   INTEGER NOT NULL,
    PRIMARY KEY (owner, request_key)
) STRICT;
CREATE INDEX keyed_request_created ON keyed_request (created_at);
