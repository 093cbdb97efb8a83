-- Who may: accounts, those who came by a link, who is signed in, and what was done.
-- Codes and tokens are kept as sums only (SHA-256), passwords as Argon2id texts.

-- +goose Up
CREATE TABLE account (
    id       INTEGER PRIMARY KEY,
    name     TEXT NOT NULL,
    name_key TEXT NOT NULL UNIQUE, -- folded, so that two cannot be mistaken for each other
    role     TEXT NOT NULL,
    password TEXT NOT NULL,
    added    INTEGER NOT NULL,
    last     INTEGER,              -- sign-in
    blocked  INTEGER
) STRICT;

-- A link is used once; whoever used it has the name and role given here.
CREATE TABLE join_link (
    id       INTEGER PRIMARY KEY,
    code     BLOB NOT NULL UNIQUE,
    role     TEXT NOT NULL,
    note     TEXT NOT NULL,
    made     INTEGER NOT NULL,
    until    INTEGER NOT NULL,
    used     INTEGER,
    name     TEXT,
    name_key TEXT,
    ended    INTEGER
) STRICT;

CREATE TABLE session (
    token      BLOB PRIMARY KEY,
    account_id INTEGER REFERENCES account (id),
    join_id    INTEGER REFERENCES join_link (id),
    began      INTEGER NOT NULL,
    seen       INTEGER NOT NULL,
    CHECK ((account_id IS NULL) <> (join_id IS NULL))
) STRICT;

CREATE TABLE audit (
    number  INTEGER PRIMARY KEY,
    at      INTEGER NOT NULL,
    who     TEXT NOT NULL,
    role    TEXT NOT NULL,
    origin  TEXT NOT NULL,
    what    TEXT NOT NULL,
    show_id INTEGER REFERENCES show (id)
) STRICT;

-- +goose StatementBegin
CREATE TRIGGER audit_stays BEFORE UPDATE ON audit
BEGIN
    SELECT RAISE (ABORT, 'the audit trail is only added to');
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER audit_is_kept BEFORE DELETE ON audit
BEGIN
    SELECT RAISE (ABORT, 'the audit trail is only added to');
END;
-- +goose StatementEnd
