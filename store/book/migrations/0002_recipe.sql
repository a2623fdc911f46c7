-- How trace files are read: recipes of a rig, the drop of a file that a trace is,
-- the light gate's time beside it, and what a reading was read by.

-- +goose Up

-- The recipe with the highest version of a rig and name is the one in use; the
-- others it replaced.
CREATE TABLE recipe (
    rig      TEXT   NOT NULL CHECK (rig <> ''),
    name     TEXT   NOT NULL CHECK (name <> ''),
    version  BIGINT NOT NULL CHECK (version >= 1),
    at_ms    BIGINT NOT NULL,
    by_whom  TEXT   NOT NULL,
    ask_json TEXT   NOT NULL,
    PRIMARY KEY (rig, name, version)
);

ALTER TABLE "drop" ADD COLUMN part TEXT NOT NULL DEFAULT '';

-- For how long the flag broke the light gate's beam; 0 when not recorded.
ALTER TABLE "drop" ADD COLUMN gate_time_s DOUBLE PRECISION NOT NULL DEFAULT 0;

ALTER TABLE reading ADD COLUMN ask_json TEXT NOT NULL DEFAULT '{}';
