-- +goose Up
-- The passphrase with which a person signs in, hashed in the PHC text form.
CREATE TABLE passphrase (
    person_id  TEXT PRIMARY KEY REFERENCES person (id),
    hash       TEXT NOT NULL,
    changed_at BIGINT NOT NULL
);
CREATE INDEX person_name ON person (name);

-- Tokens of programs, found by the SHA-256 of their secret. A revoked one stays,
-- so that the record of who could do what is whole.
CREATE TABLE api_token (
    id          TEXT PRIMARY KEY,
    token_hash  TEXT NOT NULL UNIQUE,
    workshop_id TEXT NOT NULL REFERENCES workshop (id),
    person_id   TEXT NOT NULL REFERENCES person (id),
    name        TEXT NOT NULL,
    scope       TEXT NOT NULL CHECK (scope IN ('read', 'mark', 'manage')),
    created_at  BIGINT NOT NULL,
    expires_at  BIGINT NOT NULL,
    used_at     BIGINT NOT NULL,
    revoked_at  BIGINT NOT NULL
);
CREATE INDEX api_token_workshop ON api_token (workshop_id, created_at, id);

-- Who somebody is at an outside sign-in service (OpenID Connect: issuer and
-- subject together never change). Kept from here on, so that people keep their
-- record when a school connects one.
CREATE TABLE identity (
    issuer     TEXT NOT NULL,
    subject    TEXT NOT NULL,
    person_id  TEXT NOT NULL REFERENCES person (id),
    created_at BIGINT NOT NULL,
    PRIMARY KEY (issuer, subject)
);
CREATE INDEX identity_person ON identity (person_id);
