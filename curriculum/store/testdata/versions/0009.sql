INSERT INTO lathe_check (id, lathe_id, body, created_at) VALUES ('lc1', 'l1', '{}', 7000);
