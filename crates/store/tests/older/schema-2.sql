PRAGMA foreign_keys=OFF;
BEGIN TRANSACTION;
CREATE TABLE files (
    sha256 TEXT PRIMARY KEY CHECK (length(sha256) = 64),
    size   INTEGER NOT NULL CHECK (size >= 0)
) STRICT, WITHOUT ROWID;
INSERT INTO files VALUES('914a6b869683ad8ffc93f9fd0a3959def64591642f8d29e42b6fa0daa6418dba',32);
INSERT INTO files VALUES('bc983ce3ce59c27d7ac0cb1271bff7ee8722119cb130ec1c41bff129d71e3013',38);
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
INSERT INTO runs VALUES('01a222c2-d4d7-77e2-a8a5-cf51157b2335',1,'As received','2026-04-08T08:10:00Z','operator','north','asking','{"standard":"sae_j1349"}','{}','{}');
INSERT INTO runs VALUES('01a222c2-d4db-7159-aefd-1865b1d07c8a',2,'After the build','2026-04-08T08:10:00Z','operator','north','asking','{"standard":"sae_j1349"}','{}','{}');
CREATE TABLE run_files (
    run    TEXT NOT NULL REFERENCES runs (id),
    place  INTEGER NOT NULL CHECK (place >= 1),
    sha256 TEXT NOT NULL REFERENCES files (sha256),
    name   TEXT NOT NULL,
    PRIMARY KEY (run, place)
) STRICT, WITHOUT ROWID;
INSERT INTO run_files VALUES('01a222c2-d4d7-77e2-a8a5-cf51157b2335',1,'bc983ce3ce59c27d7ac0cb1271bff7ee8722119cb130ec1c41bff129d71e3013','before-1.csv');
INSERT INTO run_files VALUES('01a222c2-d4db-7159-aefd-1865b1d07c8a',1,'bc983ce3ce59c27d7ac0cb1271bff7ee8722119cb130ec1c41bff129d71e3013','before-1.csv');
INSERT INTO run_files VALUES('01a222c2-d4db-7159-aefd-1865b1d07c8a',2,'914a6b869683ad8ffc93f9fd0a3959def64591642f8d29e42b6fa0daa6418dba','after-1.csv');
CREATE TABLE run_changes (
    run      TEXT NOT NULL REFERENCES runs (id),
    revision INTEGER NOT NULL CHECK (revision >= 2),
    at       TEXT NOT NULL,
    author   TEXT NOT NULL CHECK (author <> ''),
    kind     TEXT NOT NULL,
    body     TEXT NOT NULL CHECK (json_valid(body)),
    PRIMARY KEY (run, revision)
) STRICT, WITHOUT ROWID;
INSERT INTO run_changes VALUES('01a222c2-d4d7-77e2-a8a5-cf51157b2335',2,'2026-11-28T15:25:23.551Z','builder','state','{"kind":"state","to":"ready"}');
INSERT INTO run_changes VALUES('01a222c2-d4d7-77e2-a8a5-cf51157b2335',3,'2026-11-28T15:25:23.551Z','builder','setup','{"kind":"setup","to":{"json":"{\"band\":[3000,6200]}"}}');
INSERT INTO run_changes VALUES('01a222c2-d4d7-77e2-a8a5-cf51157b2335',4,'2026-11-28T15:25:23.551Z','builder','remark','{"kind":"remark","to":"hose re-tightened"}');
INSERT INTO run_changes VALUES('01a222c2-d4d7-77e2-a8a5-cf51157b2335',5,'2026-11-28T15:25:23.551Z','builder','left_out','{"kind":"left_out","to":{"pull":2,"reason":"throttle not full"}}');
INSERT INTO run_changes VALUES('01a222c2-d4d7-77e2-a8a5-cf51157b2335',6,'2026-11-28T15:25:23.555Z','builder','accepted','{"kind":"accepted","to":{"when":"2026-04-09T09:00:00Z","by":"builder"}}');
INSERT INTO run_changes VALUES('01a222c2-d4d7-77e2-a8a5-cf51157b2335',7,'2026-11-28T15:25:23.559Z','builder','accepted_taken_back','{"kind":"accepted_taken_back","to":{"reason":"arm was not level"}}');
INSERT INTO run_changes VALUES('01a222c2-d4db-7159-aefd-1865b1d07c8a',2,'2026-11-28T15:25:23.548Z','operator','against','{"kind":"against","to":"01a222c2-d4d7-77e2-a8a5-cf51157b2335"}');
INSERT INTO run_changes VALUES('01a222c2-d4db-7159-aefd-1865b1d07c8a',3,'2026-11-28T15:25:23.563Z','builder','title','{"kind":"title","to":"After the build, second"}');
CREATE TABLE dyno_revisions (
    key       TEXT NOT NULL CHECK (key <> ''),
    revision  INTEGER NOT NULL CHECK (revision >= 1),
    at        TEXT NOT NULL,
    cell_toml TEXT NOT NULL,
    PRIMARY KEY (key, revision)
) STRICT, WITHOUT ROWID;
INSERT INTO dyno_revisions VALUES('north',1,'2026-11-28T15:25:23.536Z','name = "North"');
INSERT INTO dyno_revisions VALUES('north',2,'2026-11-28T15:25:23.539Z','name = "North cell"');
CREATE TABLE setting_revisions (
    key      TEXT NOT NULL CHECK (key <> ''),
    revision INTEGER NOT NULL CHECK (revision >= 1),
    at       TEXT NOT NULL,
    value    TEXT NOT NULL,
    PRIMARY KEY (key, revision)
) STRICT, WITHOUT ROWID;
INSERT INTO setting_revisions VALUES('guards',1,'2026-11-28T15:25:23.575Z','# none');
INSERT INTO setting_revisions VALUES('units',1,'2026-11-28T15:25:23.567Z','us');
INSERT INTO setting_revisions VALUES('units',2,'2026-11-28T15:25:23.570Z','metric');
CREATE TABLE changes (
    seq     INTEGER PRIMARY KEY AUTOINCREMENT,
    at      TEXT NOT NULL,
    what    TEXT NOT NULL,
    subject TEXT NOT NULL
) STRICT;
INSERT INTO changes VALUES(1,'2026-11-28T15:25:23.536Z','dyno','north');
INSERT INTO changes VALUES(2,'2026-11-28T15:25:23.539Z','dyno','north');
INSERT INTO changes VALUES(3,'2026-11-28T15:25:23.544Z','run','01a222c2-d4d7-77e2-a8a5-cf51157b2335');
INSERT INTO changes VALUES(4,'2026-11-28T15:25:23.548Z','run','01a222c2-d4db-7159-aefd-1865b1d07c8a');
INSERT INTO changes VALUES(5,'2026-11-28T15:25:23.548Z','run_change','01a222c2-d4db-7159-aefd-1865b1d07c8a');
INSERT INTO changes VALUES(6,'2026-11-28T15:25:23.551Z','run_change','01a222c2-d4d7-77e2-a8a5-cf51157b2335');
INSERT INTO changes VALUES(7,'2026-11-28T15:25:23.551Z','run_change','01a222c2-d4d7-77e2-a8a5-cf51157b2335');
INSERT INTO changes VALUES(8,'2026-11-28T15:25:23.551Z','run_change','01a222c2-d4d7-77e2-a8a5-cf51157b2335');
INSERT INTO changes VALUES(9,'2026-11-28T15:25:23.551Z','run_change','01a222c2-d4d7-77e2-a8a5-cf51157b2335');
INSERT INTO changes VALUES(10,'2026-11-28T15:25:23.555Z','run_change','01a222c2-d4d7-77e2-a8a5-cf51157b2335');
INSERT INTO changes VALUES(11,'2026-11-28T15:25:23.559Z','run_change','01a222c2-d4d7-77e2-a8a5-cf51157b2335');
INSERT INTO changes VALUES(12,'2026-11-28T15:25:23.563Z','run_change','01a222c2-d4db-7159-aefd-1865b1d07c8a');
INSERT INTO changes VALUES(13,'2026-11-28T15:25:23.567Z','setting','units');
INSERT INTO changes VALUES(14,'2026-11-28T15:25:23.570Z','setting','units');
INSERT INTO changes VALUES(15,'2026-11-28T15:25:23.575Z','setting','guards');
INSERT INTO changes VALUES(16,'2026-11-28T15:25:23.579Z','note','c.csv');
CREATE TABLE notes (
    id      INTEGER PRIMARY KEY AUTOINCREMENT,
    at      TEXT NOT NULL,
    kind    TEXT NOT NULL,
    subject TEXT NOT NULL,
    text    TEXT NOT NULL
) STRICT;
INSERT INTO notes VALUES(1,'2026-11-28T15:25:23.579Z','watch_failed','c.csv','the file is empty');
DELETE FROM sqlite_sequence;
INSERT INTO sqlite_sequence VALUES('changes',16);
INSERT INTO sqlite_sequence VALUES('notes',1);
CREATE INDEX run_files_by_content ON run_files (sha256);
CREATE INDEX notes_by_subject ON notes (subject);
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
CREATE TRIGGER notes_stay       BEFORE DELETE ON notes BEGIN SELECT RAISE(ABORT, 'nothing is erased'); END;
CREATE TRIGGER notes_keep       BEFORE UPDATE ON notes BEGIN SELECT RAISE(ABORT, 'nothing is overwritten'); END;
COMMIT;
