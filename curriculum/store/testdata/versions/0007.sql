INSERT INTO passphrase (person_id, hash, changed_at) VALUES ('p1', '$argon2id$v=19$m=19456,t=2,p=1$c2FsdHNhbHRzYWx0c2FsdA$a2V5', 5000);
INSERT INTO api_token (id, token_hash, workshop_id, person_id, name, scope, created_at, expires_at, used_at, revoked_at) VALUES ('t1', 'ab', 'w1', 'p1', 'Marks to the office', 'read', 5000, 6000, 0, 0);
INSERT INTO identity (issuer, subject, person_id, created_at) VALUES ('https://sign-in.example', 's1', 'p1', 5000);
