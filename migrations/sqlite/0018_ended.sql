-- +goose Up
-- A person who leaves and a class that is over stay, with when, by whom and why;
-- 0 and '' while they go on.
ALTER TABLE person ADD COLUMN ended_at INTEGER NOT NULL DEFAULT 0;
ALTER TABLE person ADD COLUMN ended_by TEXT NOT NULL DEFAULT '';
ALTER TABLE person ADD COLUMN ended_reason TEXT NOT NULL DEFAULT '';
ALTER TABLE class ADD COLUMN ended_at INTEGER NOT NULL DEFAULT 0;
ALTER TABLE class ADD COLUMN ended_by TEXT NOT NULL DEFAULT '';
ALTER TABLE class ADD COLUMN ended_reason TEXT NOT NULL DEFAULT '';
