-- How each entry stands now, corrections and withdrawals applied. Derived: made again from the
-- entries at any time, compared with them by verify. Holds copies for looking things up.
CREATE TABLE standing (
    site TEXT NOT NULL,
    id INTEGER PRIMARY KEY,
    root INTEGER NOT NULL,
    kind TEXT NOT NULL,
    day TEXT NOT NULL,
    at TEXT NOT NULL,
    entered TEXT NOT NULL,
    subject TEXT NOT NULL,
    place TEXT NOT NULL,
    item TEXT NOT NULL,
    measured TEXT NOT NULL,
    person TEXT NOT NULL,
    verdict TEXT NOT NULL,
    refers_to INTEGER,
    amended INTEGER NOT NULL,
    withdrawn INTEGER NOT NULL,
    open INTEGER NOT NULL,
    closed_by INTEGER
) STRICT;

CREATE INDEX standing_day ON standing (day, site, id);
CREATE INDEX standing_kind ON standing (kind, day, site, id);
CREATE INDEX standing_subject ON standing (subject, day, site, id);
CREATE INDEX standing_failed ON standing (day, site, id) WHERE verdict = 'fail' AND withdrawn = 0;
CREATE INDEX standing_person ON standing (person, day, site, id);
CREATE INDEX standing_entered ON standing (entered);
CREATE INDEX standing_readings ON standing (site, subject, measured, id) WHERE kind = 'reading';
CREATE INDEX standing_amended ON standing (site, root, id) WHERE root <> id;
CREATE INDEX standing_refers ON standing (site, refers_to, kind) WHERE refers_to IS NOT NULL;
CREATE INDEX standing_open ON standing (day, site, id) WHERE open = 1;
CREATE INDEX standing_open_subject ON standing (site, subject, measured, id) WHERE open = 1;
CREATE INDEX standing_closed_by ON standing (site, closed_by) WHERE closed_by IS NOT NULL;
