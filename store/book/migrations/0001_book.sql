-- A book. One text for SQLite and PostgreSQL: see docs/decisions/0002-one-sql-text.md.
-- Rows are only ever added. The one value that changes is study.entries.
-- Times are milliseconds since 1970 in UTC; columns in _json hold JSON.

-- +goose Up

-- Bytes kept under their own SHA-256, compressed; size is before compression.
CREATE TABLE file (
    sha256 TEXT   NOT NULL PRIMARY KEY CHECK (length(sha256) = 64),
    size   BIGINT NOT NULL CHECK (size >= 0),
    codec  TEXT   NOT NULL CHECK (codec = 'zstd'),
    bytes  BYTEA  NOT NULL
);

-- Every row that belongs to a study has a number of its own within the study,
-- its entry, counted without a gap. The counter serialises who writes to a
-- study, and shows when a row was taken out by hand.
CREATE TABLE study (
    id      TEXT   NOT NULL PRIMARY KEY CHECK (id <> ''),
    name    TEXT   NOT NULL UNIQUE CHECK (name <> ''),
    at_ms   BIGINT NOT NULL,
    by_whom TEXT   NOT NULL,
    entries BIGINT NOT NULL CHECK (entries >= 1)
);

-- The plan with the highest entry is the one in force; the others it replaced.
CREATE TABLE plan (
    study_id    TEXT   NOT NULL REFERENCES study (id),
    entry       BIGINT NOT NULL,
    at_ms       BIGINT NOT NULL,
    by_whom     TEXT   NOT NULL,
    plan_json   TEXT   NOT NULL,
    file_name   TEXT   NOT NULL,
    file_sha256 TEXT   NOT NULL REFERENCES file (sha256),
    PRIMARY KEY (study_id, entry)
);

CREATE TABLE frozen (
    study_id    TEXT   NOT NULL PRIMARY KEY REFERENCES study (id),
    entry       BIGINT NOT NULL,
    at_ms       BIGINT NOT NULL,
    by_whom     TEXT   NOT NULL,
    plan_sha256 TEXT   NOT NULL REFERENCES file (sha256)
);

CREATE TABLE "drop" (
    id           TEXT   NOT NULL PRIMARY KEY CHECK (id <> ''),
    study_id     TEXT   NOT NULL REFERENCES study (id),
    entry        BIGINT NOT NULL,
    at_ms        BIGINT NOT NULL,
    by_whom      TEXT   NOT NULL,
    kind         TEXT   NOT NULL,
    specimen     TEXT   NOT NULL,
    fall         BIGINT NOT NULL,
    setting      TEXT   NOT NULL,
    trace_name   TEXT,
    trace_sha256 TEXT REFERENCES file (sha256),
    note         TEXT   NOT NULL,
    UNIQUE (study_id, entry),
    UNIQUE (study_id, id),
    CHECK ((kind IN ('trial', 'check') AND fall = 0)
        OR (kind = 'fall' AND fall >= 1 AND specimen <> '' AND setting <> '')),
    CHECK ((trace_name IS NULL) = (trace_sha256 IS NULL))
);

CREATE TABLE void (
    drop_id  TEXT    NOT NULL PRIMARY KEY,
    study_id TEXT    NOT NULL,
    entry    BIGINT  NOT NULL,
    at_ms    BIGINT  NOT NULL,
    by_whom  TEXT    NOT NULL,
    reason   TEXT    NOT NULL CHECK (reason <> ''),
    loaded   BOOLEAN NOT NULL CHECK (loaded IN (TRUE, FALSE)),
    UNIQUE (study_id, entry),
    FOREIGN KEY (study_id, drop_id) REFERENCES "drop" (study_id, id)
);

-- The reading with the highest entry of a drop is the newest.
CREATE TABLE reading (
    id            TEXT   NOT NULL PRIMARY KEY CHECK (id <> ''),
    study_id      TEXT   NOT NULL,
    entry         BIGINT NOT NULL,
    drop_id       TEXT   NOT NULL,
    at_ms         BIGINT NOT NULL,
    by_whom       TEXT   NOT NULL,
    program       TEXT   NOT NULL,
    settings_json TEXT   NOT NULL,
    reading_json  TEXT   NOT NULL,
    UNIQUE (study_id, entry),
    UNIQUE (drop_id, entry),
    FOREIGN KEY (study_id, drop_id) REFERENCES "drop" (study_id, id)
);

CREATE TABLE weighing (
    id       TEXT             NOT NULL PRIMARY KEY CHECK (id <> ''),
    study_id TEXT             NOT NULL REFERENCES study (id),
    entry    BIGINT           NOT NULL,
    at_ms    BIGINT           NOT NULL,
    by_whom  TEXT             NOT NULL,
    specimen TEXT             NOT NULL CHECK (specimen <> ''),
    state    TEXT             NOT NULL,
    mass_kg  DOUBLE PRECISION NOT NULL CHECK (mass_kg > 0),
    replaces TEXT,
    UNIQUE (study_id, entry),
    UNIQUE (study_id, id),
    CHECK (replaces <> id),
    FOREIGN KEY (study_id, replaces) REFERENCES weighing (study_id, id)
);

-- A weighing is corrected once; the correction can be corrected in its turn.
CREATE UNIQUE INDEX weighing_replaced_once ON weighing (replaces) WHERE replaces IS NOT NULL;

CREATE TABLE deviation (
    id       TEXT   NOT NULL PRIMARY KEY CHECK (id <> ''),
    study_id TEXT   NOT NULL REFERENCES study (id),
    entry    BIGINT NOT NULL,
    at_ms    BIGINT NOT NULL,
    by_whom  TEXT   NOT NULL,
    what     TEXT   NOT NULL CHECK (what <> ''),
    UNIQUE (study_id, entry)
);
