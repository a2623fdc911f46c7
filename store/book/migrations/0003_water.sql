-- What the water did: what a weighing is of and after how long, gaugings under
-- load, pulls through a device.

-- +goose Up

-- Empty where state alone says it, as in books before.
ALTER TABLE weighing ADD COLUMN of_what TEXT NOT NULL DEFAULT '';
ALTER TABLE weighing ADD COLUMN soak_s DOUBLE PRECISION NOT NULL DEFAULT 0;
ALTER TABLE weighing ADD COLUMN hung_s DOUBLE PRECISION NOT NULL DEFAULT 0;

CREATE TABLE gauging (
    id          TEXT             NOT NULL PRIMARY KEY CHECK (id <> ''),
    study_id    TEXT             NOT NULL REFERENCES study (id),
    entry       BIGINT           NOT NULL,
    at_ms       BIGINT           NOT NULL,
    by_whom     TEXT             NOT NULL,
    specimen    TEXT             NOT NULL CHECK (specimen <> ''),
    wet         BOOLEAN          NOT NULL CHECK (wet IN (TRUE, FALSE)),
    state       TEXT             NOT NULL,
    load_kg     DOUBLE PRECISION NOT NULL,
    contact_m   DOUBLE PRECISION NOT NULL,
    levels_json TEXT             NOT NULL,
    length_m    DOUBLE PRECISION NOT NULL,
    sheath_m    DOUBLE PRECISION,
    note        TEXT             NOT NULL,
    replaces    TEXT,
    UNIQUE (study_id, entry),
    UNIQUE (study_id, id),
    CHECK (replaces <> id),
    FOREIGN KEY (study_id, replaces) REFERENCES gauging (study_id, id)
);

CREATE UNIQUE INDEX gauging_replaced_once ON gauging (replaces) WHERE replaces IS NOT NULL;

CREATE TABLE pull (
    id           TEXT             NOT NULL PRIMARY KEY CHECK (id <> ''),
    study_id     TEXT             NOT NULL REFERENCES study (id),
    entry        BIGINT           NOT NULL,
    at_ms        BIGINT           NOT NULL,
    by_whom      TEXT             NOT NULL,
    specimen     TEXT             NOT NULL CHECK (specimen <> ''),
    device       TEXT             NOT NULL CHECK (device <> ''),
    wet          BOOLEAN          NOT NULL CHECK (wet IN (TRUE, FALSE)),
    state        TEXT             NOT NULL,
    speed_mps    DOUBLE PRECISION NOT NULL,
    held_n       DOUBLE PRECISION NOT NULL,
    mean_n       DOUBLE PRECISION NOT NULL CHECK (mean_n > 0),
    stick_slip_n DOUBLE PRECISION,
    trace_name   TEXT,
    trace_sha256 TEXT REFERENCES file (sha256),
    note         TEXT             NOT NULL,
    replaces     TEXT,
    UNIQUE (study_id, entry),
    UNIQUE (study_id, id),
    CHECK (replaces <> id),
    CHECK ((trace_name IS NULL) = (trace_sha256 IS NULL)),
    FOREIGN KEY (study_id, replaces) REFERENCES pull (study_id, id)
);

CREATE UNIQUE INDEX pull_replaced_once ON pull (replaces) WHERE replaces IS NOT NULL;
