PRAGMA application_id = 1112820306;
PRAGMA user_version = 2;
BEGIN TRANSACTION;
CREATE TABLE event (
        seq INTEGER PRIMARY KEY,
        origin TEXT NOT NULL,
        number INTEGER NOT NULL,
        clock INTEGER NOT NULL,
        time TEXT NOT NULL,
        kind TEXT NOT NULL,
        unit TEXT NOT NULL,
        job TEXT NOT NULL,
        data TEXT NOT NULL,
        previous TEXT NOT NULL,
        digest TEXT NOT NULL
    ) STRICT;
INSERT INTO "event" VALUES(1,'acb24517f3f7',1,1,'2031-03-01T09:00:00.000+01:00','job-started','HCD-001-D','J1','{"title":"Build one Hollin cue desk"}','','4f0d4301cab9c787983b582d3de358cd13bc23c253135bd70f9b7ccfc721f532');
INSERT INTO "event" VALUES(2,'acb24517f3f7',2,2,'2031-03-01T09:00:00.000+01:00','note','HCD-001-D','J1','{"text":"the clip is stiff"}','4f0d4301cab9c787983b582d3de358cd13bc23c253135bd70f9b7ccfc721f532','3e520b253e52bc45086358221462fc5e838e1e6717bd491d1dc4c3122ea7a131');
INSERT INTO "event" VALUES(3,'acb24517f3f7',3,3,'2031-03-01T09:00:00.000+01:00','unit-state','HCD-001-D','','{"state":"in work"}','3e520b253e52bc45086358221462fc5e838e1e6717bd491d1dc4c3122ea7a131','d9fd45d846e19d47baf8c428aca86a4caf96c09c274713fc71014dd073f082b0');
CREATE TABLE job (
        job TEXT PRIMARY KEY,
        unit TEXT NOT NULL,
        title TEXT NOT NULL,
        first_kind TEXT NOT NULL,
        first_time TEXT NOT NULL,
        last_time TEXT NOT NULL,
        last_kind TEXT NOT NULL,
        last_clock INTEGER NOT NULL,
        events INTEGER NOT NULL,
        closed INTEGER NOT NULL,
        glance TEXT NOT NULL,
        glance_clock INTEGER NOT NULL
    ) STRICT, WITHOUT ROWID;
INSERT INTO "job" VALUES('J1','HCD-001-D','Build one Hollin cue desk','job-started','2031-03-01T09:00:00.000+01:00','2031-03-01T09:00:00.000+01:00','note',2,2,0,'',2);
CREATE TABLE meta (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT, WITHOUT ROWID;
INSERT INTO "meta" VALUES('home','bench:65024:2148702');
INSERT INTO "meta" VALUES('origin','acb24517f3f7');
CREATE TABLE text (digest TEXT PRIMARY KEY, body TEXT NOT NULL) STRICT, WITHOUT ROWID;
INSERT INTO "text" VALUES('aab8f06fecd1c041e9a3d5a86114f9e522b546918db8503a045fe4a423b3642a','the plan');
CREATE TABLE unit (
        unit TEXT PRIMARY KEY,
        state TEXT NOT NULL,
        first_time TEXT NOT NULL,
        last_time TEXT NOT NULL,
        last_clock INTEGER NOT NULL,
        events INTEGER NOT NULL
    ) STRICT, WITHOUT ROWID;
INSERT INTO "unit" VALUES('HCD-001-D','in work','2031-03-01T09:00:00.000+01:00','2031-03-01T09:00:00.000+01:00',3,3);
CREATE UNIQUE INDEX event_origin ON event (origin, number);
CREATE INDEX event_order ON event (clock, origin, number);
CREATE INDEX event_job ON event (job, clock, origin, number) WHERE job <> '';
CREATE INDEX event_unit ON event (unit, clock, origin, number) WHERE unit <> '';
CREATE INDEX event_kind ON event (kind, clock, origin, number);
CREATE INDEX job_open ON job (last_clock) WHERE NOT closed;
CREATE INDEX job_unit ON job (unit);
INSERT INTO "meta" VALUES('heads','1');
INSERT INTO "meta" VALUES('head:acb24517f3f7','3 d9fd45d846e19d47baf8c428aca86a4caf96c09c274713fc71014dd073f082b0');
CREATE VIRTUAL TABLE words USING fts5 (body, content = '', tokenize = "unicode61 remove_diacritics 2");
INSERT INTO words (rowid, body) VALUES (1, 'Build one Hollin cue desk HCD-001-D J1'), (2, 'the clip is stiff HCD-001-D J1'),
    (3, 'in work HCD-001-D ');
COMMIT;
