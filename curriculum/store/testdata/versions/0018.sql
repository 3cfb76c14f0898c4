INSERT INTO person (id, workshop_id, name, role, created_at, ended_at, ended_by, ended_reason) VALUES ('p18', 'w1', 'Steward who left', 'steward', 1000, 3000, 'p1', 'moved away');
INSERT INTO class (id, workshop_id, name, joining_code, version, created_at, ended_at, ended_by, ended_reason) VALUES ('c18', 'w1', 'Spring', 'SPRNGX', 1, 1000, 3000, 'p1', '');
