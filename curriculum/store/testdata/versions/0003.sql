INSERT INTO signoff_line (workshop_id, seq, at, kind, subject, by_token, lathe_id, operation, body, prev, digest) VALUES ('w1', 1, 1000, 'settings', '', 'tok', '', '', '{}', 'genesis', 'd1');
INSERT INTO signoff_head (workshop_id, seq, digest) VALUES ('w1', 1, 'd1');
INSERT INTO signoff_name (token, workshop_id, ref_id, name, salt, created_at) VALUES ('tok', 'w1', 'p1', 'Instructor', 'salt', 1000);
INSERT INTO signoff_card (learner_id, workshop_id, code, created_at) VALUES ('s1', 'w1', 'CARD1', 1000);
INSERT INTO sitting (id, workshop_id, kind, learner_id, lathe_id, operation, supervisor_id, exercises, opened_at, closes_at) VALUES ('g1', 'w1', 'theory', 's1', 'l1', 'threading', 'p1', '[]', 1000, 2000);
