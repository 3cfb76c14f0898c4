-- +goose Up
-- What an attempt is evidence by, as it was when it was judged; '' in attempts from
-- before, whose exercises say it. rules numbers the rules by which a learner's cells
-- were folded: those of older rules are computed anew.
ALTER TABLE attempt ADD COLUMN basis TEXT NOT NULL DEFAULT '';
ALTER TABLE folded ADD COLUMN rules INTEGER NOT NULL DEFAULT 1;
