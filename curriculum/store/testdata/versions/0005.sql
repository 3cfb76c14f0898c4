INSERT INTO overrule (id, workshop_id, attempt_id, body, decided_by, created_at) VALUES ('o1', 'w1', 'a1', '{}', 'p1', 4000);
INSERT INTO remark (attempt_id, number, overrule_id, verdicts, marks) VALUES ('a1', 1, 'o1', '[{"part":"a","skill":"lead","outcome":"right","marks":2,"out_of":2}]', 2);
