-- +goose Up
-- A page of a set's learners goes by seat.
CREATE INDEX variant_seat ON variant (set_id, seat);
