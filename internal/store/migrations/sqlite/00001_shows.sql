-- Times are microseconds since 1970 in UTC; *_json is JSON of the root package.
-- Nothing is ever deleted: a show is archived, its issues and its log stay.

-- +goose Up
PRAGMA application_id = 1400009817; -- "Sr~Y": this file is one of Sallyport's

CREATE TABLE counter (
    name TEXT PRIMARY KEY,
    last INTEGER NOT NULL
) STRICT;
INSERT INTO counter (name, last) VALUES ('show', 0);

-- issues, copies and said count the rows below; they number the next one.
CREATE TABLE show (
    id       INTEGER PRIMARY KEY,
    name     TEXT NOT NULL,
    created  INTEGER NOT NULL,
    changed  INTEGER NOT NULL,
    archived INTEGER,
    issues   INTEGER NOT NULL DEFAULT 0,
    copies   INTEGER NOT NULL DEFAULT 0,
    said     INTEGER NOT NULL DEFAULT 0
) STRICT;

CREATE TABLE draft (
    show_id   INTEGER PRIMARY KEY REFERENCES show (id),
    version   INTEGER NOT NULL,
    saved     INTEGER NOT NULL,
    author    TEXT NOT NULL,
    show_json TEXT NOT NULL,
    plan_json TEXT
) STRICT;

CREATE TABLE issue (
    show_id   INTEGER NOT NULL REFERENCES show (id),
    number    INTEGER NOT NULL,
    published INTEGER NOT NULL,
    author    TEXT NOT NULL,
    note      TEXT NOT NULL,
    version   INTEGER NOT NULL,
    show_json TEXT NOT NULL,
    plan_json TEXT,
    PRIMARY KEY (show_id, number)
) STRICT;

CREATE TABLE saved_copy (
    show_id   INTEGER NOT NULL REFERENCES show (id),
    number    INTEGER NOT NULL,
    kept      INTEGER NOT NULL,
    author    TEXT NOT NULL,
    note      TEXT NOT NULL,
    version   INTEGER NOT NULL,
    show_json TEXT NOT NULL,
    plan_json TEXT,
    PRIMARY KEY (show_id, number)
) STRICT;

CREATE TABLE log_entry (
    show_id        INTEGER NOT NULL REFERENCES show (id),
    number         INTEGER NOT NULL,
    said           INTEGER NOT NULL,
    author         TEXT NOT NULL,
    happening_json TEXT NOT NULL,
    PRIMARY KEY (show_id, number)
) STRICT;

CREATE TABLE setting (
    name    TEXT PRIMARY KEY,
    value   TEXT NOT NULL,
    changed INTEGER NOT NULL
) STRICT;

-- +goose StatementBegin
CREATE TRIGGER issue_stays BEFORE UPDATE ON issue
BEGIN
    SELECT RAISE (ABORT, 'an issue is never changed');
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER issue_is_kept BEFORE DELETE ON issue
BEGIN
    SELECT RAISE (ABORT, 'an issue is never removed');
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER log_stays BEFORE UPDATE ON log_entry
BEGIN
    SELECT RAISE (ABORT, 'the log is only added to');
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER log_is_kept BEFORE DELETE ON log_entry
BEGIN
    SELECT RAISE (ABORT, 'the log is only added to');
END;
-- +goose StatementEnd
