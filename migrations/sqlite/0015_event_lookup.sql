-- +goose Up
-- The log of who did what is looked up by who did it and by what it is about.
CREATE INDEX event_who ON event (who, at, id);
CREATE INDEX event_about ON event (about, at, id);
