-- The studio's tables. Times are integer milliseconds since 1970 in UTC; what is called `body` is
-- JSON. Numbers of rows are given by the program, so that the same SQL serves SQLite and PostgreSQL.

-- The chain. It names nobody, and no row of it is ever changed.
CREATE TABLE journal (
  seq BIGINT PRIMARY KEY,
  at BIGINT NOT NULL,
  kind TEXT NOT NULL,
  content_digest TEXT NOT NULL,
  head TEXT NOT NULL
);

-- What the entries are about, beside the chain, so that it can be erased: salt and body both go.
CREATE TABLE journal_content (
  seq BIGINT PRIMARY KEY REFERENCES journal (seq),
  salt TEXT,
  body TEXT,
  session TEXT,
  person TEXT,
  erased_at BIGINT
);
CREATE INDEX journal_content_of_session ON journal_content (session);
CREATE INDEX journal_content_of_person ON journal_content (person);

-- The nouns that she edits: studio, sessions, people. `sort_key` is the order of their lists.
CREATE TABLE document (
  noun TEXT NOT NULL,
  id TEXT NOT NULL,
  sort_key TEXT NOT NULL,
  body TEXT NOT NULL,
  PRIMARY KEY (noun, id)
);
CREATE INDEX document_in_order ON document (noun, sort_key, id);

-- What follows gives entries of the journal their place; what they say is their content.
CREATE TABLE letter (
  seq BIGINT PRIMARY KEY REFERENCES journal (seq),
  id TEXT NOT NULL UNIQUE,
  session TEXT NOT NULL
);
CREATE INDEX letter_of_session ON letter (session, seq);

CREATE TABLE answer (
  seq BIGINT PRIMARY KEY REFERENCES journal (seq),
  letter BIGINT NOT NULL REFERENCES letter (seq),
  session TEXT NOT NULL
);
CREATE INDEX answer_to_letter ON answer (letter, seq);
CREATE INDEX answer_of_session ON answer (session, seq);

-- `name` keeps her from being told the same thing twice.
CREATE TABLE notice (
  seq BIGINT PRIMARY KEY REFERENCES journal (seq),
  name TEXT NOT NULL UNIQUE,
  session TEXT
);
CREATE INDEX notice_of_session ON notice (session, seq);
CREATE TABLE delivery (
  id BIGINT PRIMARY KEY,
  notice BIGINT NOT NULL REFERENCES notice (seq),
  channel TEXT NOT NULL,
  at BIGINT NOT NULL,
  failure TEXT
);
CREATE INDEX delivery_of_notice ON delivery (notice, id);

-- A letter that is still being written.
CREATE TABLE draft (
  session TEXT PRIMARY KEY,
  subject TEXT NOT NULL,
  body TEXT NOT NULL,
  at BIGINT NOT NULL
);

-- Where sessions stood, kept when it changed, with the sky that it rested on.
CREATE TABLE ruling (
  id BIGINT PRIMARY KEY,
  session TEXT NOT NULL,
  as_of BIGINT NOT NULL,
  outlook TEXT NOT NULL,
  ruling TEXT NOT NULL
);
CREATE INDEX ruling_of_session ON ruling (session, as_of, id);

-- What every reading said: never pruned.
CREATE TABLE radar_figure (
  spot TEXT NOT NULL,
  valid_time BIGINT NOT NULL,
  source TEXT NOT NULL,
  body TEXT NOT NULL,
  PRIMARY KEY (spot, valid_time, source)
);
CREATE TABLE forecast_figure (
  session TEXT NOT NULL,
  issued BIGINT NOT NULL,
  source TEXT NOT NULL,
  body TEXT NOT NULL,
  PRIMARY KEY (session, issued, source)
);

CREATE TABLE setting (
  name TEXT PRIMARY KEY,
  body TEXT NOT NULL
);

-- Devices that are signed in; of the cookie only the digest is kept.
CREATE TABLE sign_in (
  id BIGINT PRIMARY KEY,
  token_digest TEXT NOT NULL UNIQUE,
  at BIGINT NOT NULL,
  expires_at BIGINT NOT NULL,
  device TEXT NOT NULL
);

CREATE TABLE push_subscription (
  endpoint TEXT PRIMARY KEY,
  p256dh TEXT NOT NULL,
  auth TEXT NOT NULL,
  at BIGINT NOT NULL
);
