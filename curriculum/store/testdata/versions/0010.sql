INSERT INTO keyed_request (owner, request_key, request_hash, status, location, etag, body, created_at) VALUES ('p1', 'k1', 'ab', 201, '/v1/classes/c1', '', '{"id":"c1"}', 5000);
