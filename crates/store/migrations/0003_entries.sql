-- The record: jobs and their entries, chained by hash; texts and accounts with their older revisions; sign-ins.
-- Append-only, apart from what is said to be derived, kept for a while, or must not be kept (old passwords, sessions).

CREATE TABLE jobs (
    job       TEXT PRIMARY KEY CHECK (length(job) = 36),
    number    INTEGER NOT NULL UNIQUE CHECK (number >= 1),
    opened_at TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE entries (
    seq         INTEGER PRIMARY KEY CHECK (seq >= 1),
    id          TEXT NOT NULL UNIQUE CHECK (length(id) = 36),
    job         TEXT NOT NULL REFERENCES jobs (job),
    number      INTEGER NOT NULL CHECK (number >= 1),
    at          TEXT NOT NULL,
    received    TEXT NOT NULL,
    author      TEXT NOT NULL CHECK (author <> ''),
    kind        TEXT NOT NULL CHECK (kind <> ''),
    body        TEXT NOT NULL CHECK (json_valid(body)),
    before      TEXT NOT NULL CHECK (length(before) = 64),
    shop_before TEXT NOT NULL CHECK (length(shop_before) = 64),
    hash        TEXT NOT NULL CHECK (length(hash) = 64),
    UNIQUE (job, number)
) STRICT;

CREATE TABLE entry_files (
    seq    INTEGER NOT NULL REFERENCES entries (seq),
    place  INTEGER NOT NULL CHECK (place >= 1),
    sha256 TEXT NOT NULL REFERENCES files (sha256),
    name   TEXT NOT NULL,
    PRIMARY KEY (seq, place)
) STRICT, WITHOUT ROWID;
CREATE INDEX entry_files_by_content ON entry_files (sha256);

CREATE TABLE text_revisions (
    kind     TEXT NOT NULL CHECK (kind <> ''),
    key      TEXT NOT NULL CHECK (key <> ''),
    revision INTEGER NOT NULL CHECK (revision >= 1),
    at       TEXT NOT NULL,
    author   TEXT NOT NULL CHECK (author <> ''),
    text     TEXT NOT NULL,
    PRIMARY KEY (kind, key, revision)
) STRICT, WITHOUT ROWID;

CREATE TABLE account_revisions (
    name         TEXT NOT NULL CHECK (name <> ''),
    revision     INTEGER NOT NULL CHECK (revision >= 1),
    at           TEXT NOT NULL,
    author       TEXT NOT NULL CHECK (author <> ''),
    person       TEXT NOT NULL CHECK (person <> ''),
    roles        TEXT NOT NULL CHECK (json_valid(roles)),
    keeper       INTEGER NOT NULL CHECK (keeper IN (0, 1)),
    active       INTEGER NOT NULL CHECK (active IN (0, 1)),
    new_password INTEGER NOT NULL CHECK (new_password IN (0, 1)),
    PRIMARY KEY (name, revision)
) STRICT, WITHOUT ROWID;

-- Who signed in, who was refused, from where.
CREATE TABLE sign_ins (
    id      INTEGER PRIMARY KEY AUTOINCREMENT,
    at      TEXT NOT NULL,
    account TEXT NOT NULL,
    outcome TEXT NOT NULL CHECK (outcome <> ''),
    address TEXT NOT NULL,
    device  TEXT NOT NULL
) STRICT;
CREATE INDEX sign_ins_by_account ON sign_ins (account, at);
CREATE INDEX sign_ins_by_address ON sign_ins (address, at);

CREATE TRIGGER jobs_stay        BEFORE DELETE ON jobs BEGIN SELECT RAISE(ABORT, 'nothing is erased'); END;
CREATE TRIGGER jobs_keep        BEFORE UPDATE ON jobs BEGIN SELECT RAISE(ABORT, 'nothing is overwritten'); END;
CREATE TRIGGER entries_stay     BEFORE DELETE ON entries BEGIN SELECT RAISE(ABORT, 'nothing is erased'); END;
CREATE TRIGGER entries_keep     BEFORE UPDATE ON entries BEGIN SELECT RAISE(ABORT, 'nothing is overwritten'); END;
CREATE TRIGGER entry_files_stay BEFORE DELETE ON entry_files BEGIN SELECT RAISE(ABORT, 'nothing is erased'); END;
CREATE TRIGGER entry_files_keep BEFORE UPDATE ON entry_files BEGIN SELECT RAISE(ABORT, 'nothing is overwritten'); END;
CREATE TRIGGER texts_stay       BEFORE DELETE ON text_revisions BEGIN SELECT RAISE(ABORT, 'nothing is erased'); END;
CREATE TRIGGER texts_keep       BEFORE UPDATE ON text_revisions BEGIN SELECT RAISE(ABORT, 'nothing is overwritten'); END;
CREATE TRIGGER accounts_stay    BEFORE DELETE ON account_revisions BEGIN SELECT RAISE(ABORT, 'nothing is erased'); END;
CREATE TRIGGER accounts_keep    BEFORE UPDATE ON account_revisions BEGIN SELECT RAISE(ABORT, 'nothing is overwritten'); END;
CREATE TRIGGER sign_ins_stay    BEFORE DELETE ON sign_ins BEGIN SELECT RAISE(ABORT, 'nothing is erased'); END;
CREATE TRIGGER sign_ins_keep    BEFORE UPDATE ON sign_ins BEGIN SELECT RAISE(ABORT, 'nothing is overwritten'); END;

-- Derived from entries, so that the list of jobs needs no counting.
CREATE TABLE job_newest (
    job     TEXT PRIMARY KEY REFERENCES jobs (job),
    entries INTEGER NOT NULL,
    seq     INTEGER NOT NULL,
    at      TEXT NOT NULL
) STRICT, WITHOUT ROWID;

-- Words of the entries for searching; rowid is the entry's seq. The words come from the writer of the entry and are
-- in no hash.
CREATE VIRTUAL TABLE entry_words USING fts5(text, tokenize = 'unicode61 remove_diacritics 2', prefix = '2 3');

-- Only the password in force: an old one is nobody's business any more.
CREATE TABLE passwords (
    name     TEXT PRIMARY KEY CHECK (name <> ''),
    password TEXT NOT NULL CHECK (password <> '')
) STRICT, WITHOUT ROWID;

-- Who is signed in where. A session that ended goes; sign_ins keeps that there was one.
CREATE TABLE sessions (
    token_sha256 TEXT PRIMARY KEY CHECK (length(token_sha256) = 64),
    account      TEXT NOT NULL,
    made         TEXT NOT NULL,
    expires      TEXT NOT NULL,
    device       TEXT NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX sessions_by_account ON sessions (account);
