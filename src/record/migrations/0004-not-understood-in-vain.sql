-- Of what was not understood, what was asked for again in vain, for the review. Before this it was not told apart, and all was shown.
ALTER TABLE unclear ADD COLUMN aside INTEGER NOT NULL DEFAULT 1 CHECK (aside IN (0, 1));
