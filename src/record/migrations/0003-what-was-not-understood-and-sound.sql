-- Put aside: asked about and not answered twice. It waits on, but for a review instead of a spoken word.
ALTER TABLE proposals ADD COLUMN parked TEXT;       -- UTC, RFC 3339

-- Whether the sound of what is dictated may be kept in this visit; NULL: nobody has said so, so it is not.
ALTER TABLE visits ADD COLUMN sound_allowed INTEGER CHECK (sound_allowed IN (0, 1));

-- What sounded like dictation and was not understood, for the review.
CREATE TABLE unclear (
    id    INTEGER PRIMARY KEY,
    visit INTEGER NOT NULL REFERENCES visits (id),
    heard TEXT NOT NULL,
    why   TEXT NOT NULL,
    at    TEXT NOT NULL
) STRICT;
CREATE INDEX unclear_of_visit ON unclear (visit);

-- Sound clips, each of a proposal or of something unclear.
CREATE TABLE clips (
    id       INTEGER PRIMARY KEY,
    visit    INTEGER NOT NULL REFERENCES visits (id),
    proposal INTEGER REFERENCES proposals (id),
    unclear  INTEGER REFERENCES unclear (id),
    sha256   TEXT NOT NULL CHECK (length(sha256) = 64),
    at       TEXT NOT NULL,
    erased   TEXT,
    CHECK ((proposal IS NULL) <> (unclear IS NULL))
) STRICT;
CREATE INDEX clips_of_visit ON clips (visit);

-- Their sound, 16 kHz mono, 16 bits, little endian. It does not follow from the acts, which hold its digest: it can be erased.
CREATE TABLE clip_sounds (
    clip  INTEGER PRIMARY KEY REFERENCES clips (id),
    sound BLOB NOT NULL
) STRICT;
