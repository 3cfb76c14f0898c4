INSERT INTO shop_job (class_id, learner_id, lathe_id, body, version, changed_at) VALUES ('c1', 's1', 'l1', '{}', 1, 1000);
INSERT INTO shop_session (id, class_id, begins_at, spec, plan, version, created_at, changed_at) VALUES ('ss1', 'c1', 5000, '{}', '{}', 1, 1000, 1000);
INSERT INTO logged_time (id, lathe_id, body, created_at) VALUES ('lt1', 'l1', '{}', 1000);
