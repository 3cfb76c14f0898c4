-- +goose Up
-- A learner on a class list and the workshop itself can be edited; the version
-- keeps two who do it at once apart.
ALTER TABLE learner ADD COLUMN version BIGINT NOT NULL DEFAULT 1;
ALTER TABLE workshop ADD COLUMN version BIGINT NOT NULL DEFAULT 1;
