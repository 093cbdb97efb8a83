-- How a draft came to be: a row for each of its versions.
-- A version that an edit made holds its content (JSON of show and plan, deflated)
-- and the edit before it; undo and redo make versions that stand for an earlier
-- edit. tip is the last edit: redo goes on towards it.

-- +goose Up
CREATE TABLE draft_step (
    show_id INTEGER NOT NULL REFERENCES show (id),
    version INTEGER NOT NULL,
    edit    INTEGER NOT NULL, -- version of the edit whose content this is; itself when it is one
    before  INTEGER,          -- edit before that; NULL: none is known
    tip     INTEGER NOT NULL,
    what    TEXT NOT NULL,
    author  TEXT NOT NULL,
    saved   INTEGER NOT NULL,
    content BLOB,             -- of an edit
    PRIMARY KEY (show_id, version)
) STRICT;

-- +goose StatementBegin
CREATE TRIGGER step_stays BEFORE UPDATE ON draft_step
BEGIN
    SELECT RAISE (ABORT, 'the history of a draft is only added to');
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER step_is_kept BEFORE DELETE ON draft_step
BEGIN
    SELECT RAISE (ABORT, 'the history of a draft is only added to');
END;
-- +goose StatementEnd
