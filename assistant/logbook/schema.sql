-- The log itself: one row an entry, the exact bytes that were hashed. Never changed, only added to.
CREATE TABLE entries (
    site TEXT NOT NULL,
    id INTEGER PRIMARY KEY CHECK (id > 0),
    previous_hash TEXT NOT NULL CHECK (length(previous_hash) = 64),
    hash TEXT NOT NULL CHECK (length(hash) = 64),
    body BLOB NOT NULL CHECK (json_valid(CAST(body AS TEXT)))
) STRICT;

CREATE TRIGGER entries_no_update BEFORE UPDATE ON entries
BEGIN SELECT RAISE(ABORT, 'the log is append-only: no entry is changed'); END;

CREATE TRIGGER entries_no_delete BEFORE DELETE ON entries
BEGIN SELECT RAISE(ABORT, 'the log is append-only: no entry is removed'); END;

CREATE TRIGGER entries_in_order BEFORE INSERT ON entries
WHEN NEW.id <> (SELECT coalesce(max(id), 0) + 1 FROM entries)
  OR NEW.previous_hash <> coalesce((SELECT hash FROM entries ORDER BY id DESC LIMIT 1),
      '0000000000000000000000000000000000000000000000000000000000000000')
BEGIN SELECT RAISE(ABORT, 'the log is append-only: an entry follows the last one'); END;
