-- The acts are the truth: one row for each thing done to the record, in the order in which it was done.
-- `prior` is the hash of the act before, so that a changed, missing or inserted act shows.
CREATE TABLE acts (
    id    INTEGER PRIMARY KEY,
    at    TEXT NOT NULL,                            -- UTC, RFC 3339
    what  TEXT NOT NULL,
    body  TEXT NOT NULL CHECK (json_valid(body)),
    prior TEXT NOT NULL CHECK (length(prior) = 64), -- SHA-256, hexadecimal
    hash  TEXT NOT NULL CHECK (length(hash) = 64)
) STRICT;

CREATE TRIGGER acts_are_never_changed BEFORE UPDATE ON acts
BEGIN SELECT RAISE(ABORT, 'an act is never changed'); END;

CREATE TRIGGER acts_are_never_deleted BEFORE DELETE ON acts
BEGIN SELECT RAISE(ABORT, 'an act is never deleted'); END;

-- Also stops INSERT OR REPLACE, which takes the place of a row without a delete trigger.
CREATE TRIGGER acts_are_added_at_the_end BEFORE INSERT ON acts
WHEN NEW.id IS NOT (SELECT coalesce(max(id), 0) + 1 FROM acts)
    OR NEW.prior IS NOT coalesce((SELECT hash FROM acts ORDER BY id DESC LIMIT 1), printf('%064d', 0))
BEGIN SELECT RAISE(ABORT, 'an act is only added after the last one'); END;

-- Everything below is what the acts amount to. It is written by one function from the acts alone, in the
-- same transaction, and can be rebuilt from them.
CREATE TABLE clients (
    id   INTEGER PRIMARY KEY,
    code TEXT NOT NULL UNIQUE,
    at   TEXT NOT NULL
) STRICT;

CREATE TABLE visits (
    id     INTEGER PRIMARY KEY,
    client INTEGER NOT NULL REFERENCES clients (id),
    date   TEXT NOT NULL,                           -- local date, ISO 8601
    opened TEXT NOT NULL,
    closed TEXT
) STRICT;
CREATE INDEX visits_of_client ON visits (client, date);

CREATE TABLE proposals (
    id      INTEGER PRIMARY KEY,
    visit   INTEGER NOT NULL REFERENCES visits (id),
    finding TEXT NOT NULL CHECK (json_valid(finding)),
    heard   TEXT NOT NULL,                          -- the words, those of corrections after them
    model   TEXT NOT NULL,                          -- the speech model that heard them
    grammar TEXT NOT NULL,                          -- version of the grammar that read them
    at      TEXT NOT NULL,
    state   TEXT NOT NULL CHECK (state IN ('pending', 'confirmed', 'disregarded'))
) STRICT;
CREATE INDEX proposals_of_visit ON proposals (visit, state);

CREATE TABLE findings (
    id       INTEGER PRIMARY KEY,
    visit    INTEGER NOT NULL REFERENCES visits (id),
    proposal INTEGER NOT NULL UNIQUE REFERENCES proposals (id),
    finding  TEXT NOT NULL CHECK (json_valid(finding)),
    heard    TEXT NOT NULL,
    model    TEXT NOT NULL,
    grammar  TEXT NOT NULL,
    heard_at TEXT NOT NULL,
    at       TEXT NOT NULL                          -- when its present value was confirmed
) STRICT;
CREATE INDEX findings_of_visit ON findings (visit);

-- The words of the findings, for searching; rowid is the finding's id.
CREATE VIRTUAL TABLE findings_words USING fts5 (
    heard, finding, tokenize = 'porter unicode61 remove_diacritics 2'
);
