-- +goose Up
-- Work can be called off while it waits or runs.
-- By engine: SQLite changes a check only by building the table anew.
ALTER TABLE work DROP CONSTRAINT work_state_check;
ALTER TABLE work ADD CONSTRAINT work_state_check CHECK (state IN ('waiting', 'running', 'done', 'failed', 'called-off'));
