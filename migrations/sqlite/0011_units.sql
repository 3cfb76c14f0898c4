-- +goose Up
-- In which units lengths are shown to somebody; '' while they have not chosen.
ALTER TABLE person ADD COLUMN units TEXT NOT NULL DEFAULT '' CHECK (units IN ('', 'mm', 'in', 'both'));
ALTER TABLE learner ADD COLUMN units TEXT NOT NULL DEFAULT '' CHECK (units IN ('', 'mm', 'in', 'both'));
