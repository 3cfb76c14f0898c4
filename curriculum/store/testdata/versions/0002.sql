INSERT INTO hint (variant_code, position, part, rung, created_at) VALUES ('V7KQ2', 1, 'a', 1, 3000);
INSERT INTO cell (learner_id, skill, body) VALUES ('s1', 'lead', '{"learner":"s1","skill":"lead"}');
INSERT INTO folded (learner_id, last_at, last_id) VALUES ('s1', 2000, 'a1');
