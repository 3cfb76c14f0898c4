INSERT INTO course (class_id, spec, version, changed_at) VALUES ('c1', '{}', 1, 1000);
