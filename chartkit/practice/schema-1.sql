-- Version 1: tunes and how they are known again, entries, what is under way, settings, plans.

CREATE TABLE tune (
    id TEXT NOT NULL PRIMARY KEY,
    title TEXT NOT NULL
);

-- Every content and every file that a tune has had; the highest number is the latest.
CREATE TABLE content (
    number INTEGER PRIMARY KEY,
    hash TEXT NOT NULL UNIQUE,
    tune TEXT NOT NULL
);

CREATE TABLE file (
    number INTEGER PRIMARY KEY,
    path TEXT NOT NULL UNIQUE,
    tune TEXT NOT NULL
);

CREATE TABLE learning (
    player TEXT NOT NULL,
    tune TEXT NOT NULL,
    state TEXT NOT NULL,
    day TEXT NOT NULL,
    number INTEGER NOT NULL,
    PRIMARY KEY (player, tune)
);

CREATE TABLE setting (
    player TEXT NOT NULL,
    name TEXT NOT NULL,
    value TEXT NOT NULL,
    PRIMARY KEY (player, name)
);

CREATE TABLE plan (
    player TEXT NOT NULL,
    day TEXT NOT NULL,
    text TEXT NOT NULL,
    PRIMARY KEY (player, day)
);

-- The mark is a digest of all that the entry says: equal entries are one, and a damaged one is seen.
CREATE TABLE entry (
    number INTEGER PRIMARY KEY AUTOINCREMENT,
    mark TEXT NOT NULL UNIQUE,
    player TEXT NOT NULL,
    day TEXT NOT NULL,
    at TEXT NOT NULL,
    activity TEXT NOT NULL,
    tune TEXT,
    part TEXT,
    kind TEXT,
    key TEXT,
    position INTEGER,
    tempo TEXT,
    result TEXT NOT NULL,
    seconds INTEGER NOT NULL,
    note TEXT NOT NULL
);

CREATE INDEX entry_by_day ON entry (player, day);
