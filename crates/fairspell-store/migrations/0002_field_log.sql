-- What phones handed in from the field: only ever added to, and erased with its family. `seq` is the
-- entry of the journal that seals the batch with which an event came.
CREATE TABLE field_event (
  session TEXT NOT NULL,
  id TEXT NOT NULL,
  device TEXT NOT NULL,
  n BIGINT NOT NULL,
  at BIGINT NOT NULL,
  received_at BIGINT NOT NULL,
  seq BIGINT NOT NULL REFERENCES journal (seq),
  body TEXT NOT NULL,
  PRIMARY KEY (session, id)
);
CREATE INDEX field_event_in_order ON field_event (session, at, device, n);

-- The field sheets that were handed out, by the digest of their text.
CREATE TABLE field_sheet (
  session TEXT NOT NULL,
  digest TEXT NOT NULL,
  made_at BIGINT NOT NULL,
  PRIMARY KEY (session, digest)
);
