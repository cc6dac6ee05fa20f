-- When a finding was taken back: UTC, RFC 3339. It stays in the table, so that its number is never given to another.
ALTER TABLE findings ADD COLUMN withdrawn TEXT;
