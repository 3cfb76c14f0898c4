UPDATE person SET units = 'in' WHERE id = 'p1';
