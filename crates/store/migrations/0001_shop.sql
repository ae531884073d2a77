-- Runs as taken in, changes to them, dynos, settings. Every table is append-only.

CREATE TABLE files (
    sha256 TEXT PRIMARY KEY CHECK (length(sha256) = 64),
    size   INTEGER NOT NULL CHECK (size >= 0)
) STRICT, WITHOUT ROWID;

CREATE TABLE runs (
    id            TEXT PRIMARY KEY CHECK (length(id) = 36),
    number        INTEGER NOT NULL UNIQUE CHECK (number >= 1),
    title         TEXT NOT NULL CHECK (title <> ''),
    received_at   TEXT NOT NULL,
    author        TEXT NOT NULL CHECK (author <> ''),
    dyno          TEXT,
    state         TEXT NOT NULL CHECK (state IN ('asking', 'ready')),
    setup_json    TEXT NOT NULL CHECK (json_valid(setup_json)),
    answers_json  TEXT NOT NULL CHECK (json_valid(answers_json)),
    headline_json TEXT NOT NULL CHECK (json_valid(headline_json))
) STRICT;

CREATE TABLE run_files (
    run    TEXT NOT NULL REFERENCES runs (id),
    place  INTEGER NOT NULL CHECK (place >= 1),
    sha256 TEXT NOT NULL REFERENCES files (sha256),
    name   TEXT NOT NULL,
    PRIMARY KEY (run, place)
) STRICT, WITHOUT ROWID;
CREATE INDEX run_files_by_content ON run_files (sha256);

CREATE TABLE run_changes (
    run      TEXT NOT NULL REFERENCES runs (id),
    revision INTEGER NOT NULL CHECK (revision >= 2),
    at       TEXT NOT NULL,
    author   TEXT NOT NULL CHECK (author <> ''),
    kind     TEXT NOT NULL,
    body     TEXT NOT NULL CHECK (json_valid(body)),
    PRIMARY KEY (run, revision)
) STRICT, WITHOUT ROWID;

CREATE TABLE dyno_revisions (
    key       TEXT NOT NULL CHECK (key <> ''),
    revision  INTEGER NOT NULL CHECK (revision >= 1),
    at        TEXT NOT NULL,
    cell_toml TEXT NOT NULL,
    PRIMARY KEY (key, revision)
) STRICT, WITHOUT ROWID;

CREATE TABLE setting_revisions (
    key      TEXT NOT NULL CHECK (key <> ''),
    revision INTEGER NOT NULL CHECK (revision >= 1),
    at       TEXT NOT NULL,
    value    TEXT NOT NULL,
    PRIMARY KEY (key, revision)
) STRICT, WITHOUT ROWID;

-- One rising sequence over everything, so that a server can ask cheaply what is new.
CREATE TABLE changes (
    seq     INTEGER PRIMARY KEY AUTOINCREMENT,
    at      TEXT NOT NULL,
    what    TEXT NOT NULL,
    subject TEXT NOT NULL
) STRICT;

CREATE TRIGGER files_stay       BEFORE DELETE ON files BEGIN SELECT RAISE(ABORT, 'nothing is erased'); END;
CREATE TRIGGER files_keep       BEFORE UPDATE ON files BEGIN SELECT RAISE(ABORT, 'nothing is overwritten'); END;
CREATE TRIGGER runs_stay        BEFORE DELETE ON runs BEGIN SELECT RAISE(ABORT, 'nothing is erased'); END;
CREATE TRIGGER runs_keep        BEFORE UPDATE ON runs BEGIN SELECT RAISE(ABORT, 'nothing is overwritten'); END;
CREATE TRIGGER run_files_stay   BEFORE DELETE ON run_files BEGIN SELECT RAISE(ABORT, 'nothing is erased'); END;
CREATE TRIGGER run_files_keep   BEFORE UPDATE ON run_files BEGIN SELECT RAISE(ABORT, 'nothing is overwritten'); END;
CREATE TRIGGER run_changes_stay BEFORE DELETE ON run_changes BEGIN SELECT RAISE(ABORT, 'nothing is erased'); END;
CREATE TRIGGER run_changes_keep BEFORE UPDATE ON run_changes BEGIN SELECT RAISE(ABORT, 'nothing is overwritten'); END;
CREATE TRIGGER dynos_stay       BEFORE DELETE ON dyno_revisions BEGIN SELECT RAISE(ABORT, 'nothing is erased'); END;
CREATE TRIGGER dynos_keep       BEFORE UPDATE ON dyno_revisions BEGIN SELECT RAISE(ABORT, 'nothing is overwritten'); END;
CREATE TRIGGER settings_stay    BEFORE DELETE ON setting_revisions BEGIN SELECT RAISE(ABORT, 'nothing is erased'); END;
CREATE TRIGGER settings_keep    BEFORE UPDATE ON setting_revisions BEGIN SELECT RAISE(ABORT, 'nothing is overwritten'); END;
CREATE TRIGGER changes_stay     BEFORE DELETE ON changes BEGIN SELECT RAISE(ABORT, 'nothing is erased'); END;
CREATE TRIGGER changes_keep     BEFORE UPDATE ON changes BEGIN SELECT RAISE(ABORT, 'nothing is overwritten'); END;
