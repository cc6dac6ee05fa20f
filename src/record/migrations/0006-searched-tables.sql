-- A confirmation waits for nothing that is not needed yet: what is searched is caught up when somebody searches, and only what still
-- waits is listed by visit. That no proposal makes two findings is seen when the record is verified.
DROP INDEX findings_by_subject;

-- What was examined: a movement, muscle, test or structure, then where; latest first without sorting, the rest in the index too.
CREATE TABLE subjects (
    finding INTEGER PRIMARY KEY,
    subject TEXT,
    joint   TEXT,
    side    TEXT,
    mode    TEXT,
    degrees INTEGER,
    painful INTEGER
) STRICT;
CREATE INDEX subjects_in_order ON subjects (subject, joint, finding, side, mode, degrees, painful);

-- Both are filled together.
DELETE FROM findings_words;

DROP INDEX proposals_of_visit;
CREATE INDEX proposals_pending ON proposals (visit) WHERE state = 'pending';

CREATE TABLE findings_without_index (
    id        INTEGER PRIMARY KEY,
    visit     INTEGER NOT NULL REFERENCES visits (id),
    proposal  INTEGER NOT NULL REFERENCES proposals (id),
    finding   TEXT NOT NULL CHECK (json_valid(finding)),
    heard     TEXT NOT NULL,
    model     TEXT NOT NULL,
    grammar   TEXT NOT NULL,
    heard_at  TEXT NOT NULL,
    at        TEXT NOT NULL,
    withdrawn TEXT,
    amended   TEXT
) STRICT;
INSERT INTO findings_without_index
    SELECT id, visit, proposal, finding, heard, model, grammar, heard_at, at, withdrawn, amended FROM findings;
DROP TABLE findings;
ALTER TABLE findings_without_index RENAME TO findings;
CREATE INDEX findings_of_visit ON findings (visit);
