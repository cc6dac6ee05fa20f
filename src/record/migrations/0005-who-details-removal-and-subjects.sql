-- Who did it and why, where that was said. Both are part of the act's hash.
ALTER TABLE acts ADD COLUMN who TEXT;
ALTER TABLE acts ADD COLUMN why TEXT;

-- What an act says of a client who asked to be removed is erased; that it was done, when, by whom, and its place in the chain stay.
DROP TRIGGER acts_are_never_changed;
CREATE TRIGGER acts_are_never_changed BEFORE UPDATE ON acts
WHEN NEW.id IS NOT OLD.id OR NEW.at IS NOT OLD.at OR NEW.what IS NOT OLD.what OR NEW.who IS NOT OLD.who
    OR NEW.prior IS NOT OLD.prior OR NEW.hash IS NOT OLD.hash OR NEW.body IS NOT '{"erased":true}' OR NEW.why IS NOT NULL
BEGIN SELECT RAISE(ABORT, 'an act is never changed'); END;

-- What the therapist wrote about the client, and about the visit.
ALTER TABLE clients ADD COLUMN details TEXT NOT NULL DEFAULT '{}' CHECK (json_valid(details));
ALTER TABLE visits ADD COLUMN details TEXT NOT NULL DEFAULT '{}' CHECK (json_valid(details));

-- The client whose other code this was.
ALTER TABLE clients ADD COLUMN merged INTEGER REFERENCES clients (id);

-- When it was changed after the visit was signed off: UTC, RFC 3339.
ALTER TABLE findings ADD COLUMN amended TEXT;
ALTER TABLE visits ADD COLUMN amended TEXT;

-- The highest numbers that were given to what has been removed: they are never given again.
CREATE TABLE given (
    what  TEXT PRIMARY KEY,
    up_to INTEGER NOT NULL
) STRICT;

-- What was examined, for searching in a record that has grown: a movement, muscle, test or structure, then where, and how far.
CREATE INDEX findings_by_subject ON findings (
    coalesce(json_extract(finding, '$.movement'), json_extract(finding, '$.muscle'), json_extract(finding, '$.test'),
        json_extract(finding, '$.structure')),
    json_extract(finding, '$.joint'),
    json_extract(finding, '$.side'),
    json_extract(finding, '$.mode'),
    json_extract(finding, '$.degrees.to')
) WHERE withdrawn IS NULL;
