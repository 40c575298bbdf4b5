-- A log as version 2 left it.
BEGIN TRANSACTION;
CREATE TABLE content (
    number INTEGER PRIMARY KEY,
    hash TEXT NOT NULL UNIQUE,
    tune TEXT NOT NULL
);
INSERT INTO "content" VALUES(1,'aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa','night-shed');
INSERT INTO "content" VALUES(2,'bbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbb','night-shed');
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
, family TEXT, item TEXT NOT NULL DEFAULT '');
INSERT INTO "entry" VALUES(1,'cff12baada5a5f98cf83a09b706c24a5','Ada','2025-03-01','2025-03-01T07:00:00Z','arpeggios',NULL,NULL,NULL,NULL,5,NULL,'clean',0,'',NULL,'');
INSERT INTO "entry" VALUES(2,'0085182ed389b8fc1f68e27cefd82f1a','me','2025-03-02','2025-03-02T07:00:00Z','arpeggios','night-shed','A>B',NULL,'F#',NULL,'225/2','not yet',30,'','dorian','2025/1');
INSERT INTO "entry" VALUES(3,'8c1340ed40258217d315718230b4d89e','Ada','2025-03-03','2025-03-03T07:00:00Z','arpeggios','night-shed','A>B',NULL,'F#',NULL,NULL,'done',60,'two lines
and a "quote", ünder',NULL,'2025/2');
INSERT INTO "entry" VALUES(4,'d3904490704ce1092f08c440d61cafc2','me','2025-03-04','2025-03-04T07:00:00Z','arpeggios','night-shed','A>B',NULL,'F#',5,'225/2','clean',90,'','dorian','2025/3');
INSERT INTO "entry" VALUES(5,'6bdd81556ba0ff34ae9536fb43951448','Ada','2025-03-05','2025-03-05T07:00:00Z','arpeggios','night-shed','A>B',NULL,'F#',NULL,NULL,'not yet',120,'',NULL,'2025/4');
INSERT INTO "entry" VALUES(6,'af6b48c7dd210cf9d844e3be7f220412','me','2025-03-06','2025-03-06T07:00:00Z','arpeggios','night-shed','A>B',NULL,'F#',NULL,'225/2','done',150,'','dorian','2025/5');
CREATE TABLE file (
    number INTEGER PRIMARY KEY,
    path TEXT NOT NULL UNIQUE,
    tune TEXT NOT NULL
);
INSERT INTO "file" VALUES(1,'/charts/night shed.chart','night-shed');
CREATE TABLE learning (
    player TEXT NOT NULL,
    tune TEXT NOT NULL,
    state TEXT NOT NULL,
    day TEXT NOT NULL,
    number INTEGER NOT NULL,
    PRIMARY KEY (player, tune)
);
INSERT INTO "learning" VALUES('me','night-shed','under way','2025-03-02',1);
CREATE TABLE plan (
    player TEXT NOT NULL,
    day TEXT NOT NULL,
    text TEXT NOT NULL,
    PRIMARY KEY (player, day)
);
INSERT INTO "plan" VALUES('Ada','2025-03-01','{"items": []}');
CREATE TABLE setting (
    player TEXT NOT NULL,
    name TEXT NOT NULL,
    value TEXT NOT NULL,
    PRIMARY KEY (player, name)
);
INSERT INTO "setting" VALUES('me','minutes','20');
CREATE TABLE tune (
    id TEXT NOT NULL PRIMARY KEY,
    title TEXT NOT NULL
);
INSERT INTO "tune" VALUES('night-shed','Night Shed');
CREATE INDEX entry_by_day ON entry (player, day);
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('entry',6);
COMMIT;
PRAGMA application_id = 1667787636;
PRAGMA user_version = 2;
