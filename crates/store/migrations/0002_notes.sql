-- What happened without anybody watching, such as a log that a watched folder could not give. Append-only.

CREATE TABLE notes (
    id      INTEGER PRIMARY KEY AUTOINCREMENT,
    at      TEXT NOT NULL,
    kind    TEXT NOT NULL,
    subject TEXT NOT NULL,
    text    TEXT NOT NULL
) STRICT;
CREATE INDEX notes_by_subject ON notes (subject);

CREATE TRIGGER notes_stay       BEFORE DELETE ON notes BEGIN SELECT RAISE(ABORT, 'nothing is erased'); END;
CREATE TRIGGER notes_keep       BEFORE UPDATE ON notes BEGIN SELECT RAISE(ABORT, 'nothing is overwritten'); END;
