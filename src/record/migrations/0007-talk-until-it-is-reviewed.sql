-- Talk that was no dictation, so that what was missed can be found when the visit is looked through. It follows from no act and is
-- erased when the visit is signed off: what a client says in the room is no part of the record.
CREATE TABLE asides (
    id    INTEGER PRIMARY KEY,
    visit INTEGER NOT NULL REFERENCES visits (id),
    heard TEXT NOT NULL,
    at    TEXT NOT NULL     -- UTC, RFC 3339
) STRICT;
CREATE INDEX asides_of_visit ON asides (visit);

-- What the speech model wrote of what was then read otherwise, so that a correction while looking through the visit can be learnt from.
-- Erased with the talk.
CREATE TABLE transcripts (
    proposal   INTEGER PRIMARY KEY REFERENCES proposals (id),
    transcript TEXT NOT NULL
) STRICT;

-- Everything that was heard in a visit is listed; what is confirmed does not wait for this: a proposal's visit never changes.
CREATE INDEX proposals_by_visit ON proposals (visit);
