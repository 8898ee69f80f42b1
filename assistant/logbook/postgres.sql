-- Many kitchens' logs in one database. The same two tables as on a kitchen's own machine, by site.
-- Give the role that sends entries no more than SELECT and INSERT on entries and clips, and SELECT,
-- INSERT and UPDATE on heads and standing; the role of the office's page only SELECT.
CREATE TABLE heads (
    site text COLLATE "C" PRIMARY KEY,
    count bigint NOT NULL,
    hash text NOT NULL,
    received_at timestamptz NOT NULL DEFAULT now(),
    rules integer NOT NULL DEFAULT 1
);

CREATE TABLE entries (
    site text COLLATE "C" NOT NULL REFERENCES heads (site),
    id bigint NOT NULL CHECK (id > 0),
    previous_hash text NOT NULL CHECK (length(previous_hash) = 64),
    hash text NOT NULL CHECK (hash = encode(sha256(body), 'hex')),
    body bytea NOT NULL,
    PRIMARY KEY (site, id)
);

CREATE TABLE clips (
    site text COLLATE "C" NOT NULL,
    path text COLLATE "C" NOT NULL,
    sound bytea NOT NULL,
    PRIMARY KEY (site, path)
);

CREATE FUNCTION log_refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'the log is append-only: no entry is changed or removed';
END $$;

CREATE FUNCTION log_in_order() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF EXISTS (
        SELECT FROM added a LEFT JOIN entries p ON p.site = a.site AND p.id = a.id - 1
        WHERE a.previous_hash IS DISTINCT FROM CASE WHEN a.id = 1 THEN repeat('0', 64) ELSE p.hash END
    ) THEN
        RAISE EXCEPTION 'the log is append-only: an entry follows the last one';
    END IF;
    RETURN NULL;
END $$;

CREATE TRIGGER entries_no_change BEFORE UPDATE OR DELETE ON entries
    FOR EACH ROW EXECUTE FUNCTION log_refuse_change();
CREATE TRIGGER entries_no_truncate BEFORE TRUNCATE ON entries
    FOR EACH STATEMENT EXECUTE FUNCTION log_refuse_change();
CREATE TRIGGER entries_in_order AFTER INSERT ON entries REFERENCING NEW TABLE AS added
    FOR EACH STATEMENT EXECUTE FUNCTION log_in_order();

-- How each entry stands now; derived, see standing.sql.
CREATE TABLE standing (
    site text COLLATE "C" NOT NULL,
    id bigint NOT NULL,
    root bigint NOT NULL,
    kind text COLLATE "C" NOT NULL,
    day text COLLATE "C" NOT NULL,
    at text COLLATE "C" NOT NULL,
    entered text COLLATE "C" NOT NULL,
    subject text COLLATE "C" NOT NULL,
    place text COLLATE "C" NOT NULL,
    item text COLLATE "C" NOT NULL,
    measured text COLLATE "C" NOT NULL,
    person text COLLATE "C" NOT NULL,
    verdict text COLLATE "C" NOT NULL,
    refers_to bigint,
    amended smallint NOT NULL,
    withdrawn smallint NOT NULL,
    open smallint NOT NULL,
    closed_by bigint,
    PRIMARY KEY (site, id)
);

CREATE INDEX standing_day ON standing (day, site, id);
CREATE INDEX standing_site_day ON standing (site, day, id);
CREATE INDEX standing_kind ON standing (kind, day, site, id) INCLUDE (withdrawn, verdict);
CREATE INDEX standing_subject ON standing (subject, day, site, id);
CREATE INDEX standing_person ON standing (person, day, site, id);
CREATE INDEX standing_failed ON standing (day, site, id) WHERE verdict = 'fail' AND withdrawn = 0;
CREATE INDEX standing_open ON standing (day, site, id) WHERE open = 1;
CREATE INDEX standing_readings ON standing (site, subject, measured, id) WHERE kind = 'reading';
CREATE INDEX standing_amended ON standing (site, root, id) WHERE root <> id;
CREATE INDEX standing_refers ON standing (site, refers_to, kind) WHERE refers_to IS NOT NULL;
CREATE INDEX standing_open_subject ON standing (site, subject, measured, id) WHERE open = 1;
CREATE INDEX standing_closed_by ON standing (site, closed_by) WHERE closed_by IS NOT NULL;

CREATE TABLE log_version (version integer PRIMARY KEY);
INSERT INTO log_version VALUES (1);
