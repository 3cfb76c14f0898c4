-- +goose Up
-- A lathe can be out of use, a shop session called off, a class set withdrawn; each
-- says since when, who said so and why, 0 and '' while it is not.
ALTER TABLE lathe ADD COLUMN out_of_use_at INTEGER NOT NULL DEFAULT 0;
ALTER TABLE lathe ADD COLUMN out_of_use_by TEXT NOT NULL DEFAULT '';
ALTER TABLE lathe ADD COLUMN out_of_use_reason TEXT NOT NULL DEFAULT '';
ALTER TABLE shop_session ADD COLUMN called_off_at INTEGER NOT NULL DEFAULT 0;
ALTER TABLE shop_session ADD COLUMN called_off_by TEXT NOT NULL DEFAULT '';
ALTER TABLE shop_session ADD COLUMN called_off_reason TEXT NOT NULL DEFAULT '';
ALTER TABLE class_set ADD COLUMN withdrawn_at INTEGER NOT NULL DEFAULT 0;
ALTER TABLE class_set ADD COLUMN withdrawn_by TEXT NOT NULL DEFAULT '';
ALTER TABLE class_set ADD COLUMN withdrawn_reason TEXT NOT NULL DEFAULT '';
