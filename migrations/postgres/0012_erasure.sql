-- +goose Up
-- A decision about a verdict outlives the attempt it was made on: it is about the
-- same answer of others, also where the learner who gave it was erased.
-- By engine: here the reference has a name.
ALTER TABLE overrule DROP CONSTRAINT overrule_attempt_id_fkey;
