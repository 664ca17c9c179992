-- Conflicts that the record keeper has settled, and reviewers' roles that belong to this database alone.

-- Which of two stands, who said so, why, when. Nothing is ever changed or taken out here: both bodies are kept, a
-- later word on the same conflict is a row of its own, and the last one counts.
CREATE TABLE sinkside.settlements (
    site uuid NOT NULL REFERENCES sinkside.sites (site),
    number bigint NOT NULL GENERATED ALWAYS AS IDENTITY,
    kind text COLLATE "C" NOT NULL,
    id text COLLATE "C" NOT NULL,
    digest bytea NOT NULL,
    stands text COLLATE "C" NOT NULL CHECK (stands IN ('here', 'station')),
    why text COLLATE "C" NOT NULL CHECK (why <> ''),
    made_by name NOT NULL DEFAULT session_user,
    at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (site, number)
);
CREATE INDEX settlements_of ON sinkside.settlements (site, kind, id, digest);

CREATE FUNCTION sinkside.keep_settlements() RETURNS trigger
    LANGUAGE plpgsql SET search_path = '' AS $$
BEGIN
    RAISE EXCEPTION 'what was settled is never changed or deleted: settle it anew';
END $$;
CREATE TRIGGER keep_settlements BEFORE UPDATE OR DELETE ON sinkside.settlements
    FOR EACH ROW EXECUTE FUNCTION sinkside.keep_settlements();

ALTER TABLE sinkside.settlements ENABLE ROW LEVEL SECURITY;
ALTER TABLE sinkside.settlements FORCE ROW LEVEL SECURITY;
CREATE POLICY owner ON sinkside.settlements TO sinkside_owner USING (true) WITH CHECK (true);
CREATE POLICY keeper_reads ON sinkside.settlements FOR SELECT TO sinkside_keeper USING (true);
CREATE POLICY reviewer_reads ON sinkside.settlements FOR SELECT TO sinkside_reviewer
    USING (site = ANY ((SELECT sinkside.my_sites())::uuid[]));
-- A station is told that a conflict is settled, not by whom or why.
CREATE POLICY station_reads ON sinkside.settlements FOR SELECT TO sinkside_station
    USING (site = (SELECT sinkside.my_site()));
GRANT SELECT ON sinkside.settlements TO sinkside_keeper, sinkside_reviewer;
GRANT SELECT (site, number, kind, id, digest, stands, at) ON sinkside.settlements TO sinkside_station;

-- A conflict, and the last word on it (nothing where it is open). called: what people call it by.
CREATE VIEW sinkside.disputes WITH (security_invoker = true) AS
    SELECT c.site, c.kind, c.id, c.run, c.seq, c.kept_digest, c.digest, c.stored, c.head, c.person, c.salt,
        c.body, c.found_at,
        left(encode(sha256(convert_to(c.site || ' ' || c.kind || ' ' || c.id || ' ', 'UTF8') || c.digest), 'hex'), 10)
            AS called,
        s.number, s.stands, s.why, s.made_by, s.at
    FROM sinkside.conflicts c LEFT JOIN LATERAL (
        SELECT t.number, t.stands, t.why, t.made_by, t.at FROM sinkside.settlements t
        WHERE t.site = c.site AND t.kind = c.kind AND t.id = c.id AND t.digest = c.digest
        ORDER BY t.number DESC LIMIT 1
    ) s ON true;

-- What stands in an event's place since it was settled so: the body that the station told later.
CREATE VIEW sinkside.standing WITH (security_invoker = true) AS
    SELECT DISTINCT ON (site, run, seq)
        site, run, seq, id, stored, digest, head, person, salt, body, number
    FROM sinkside.disputes WHERE stands = 'station' AND kind IN ('event', 'place')
    ORDER BY site, run, seq, number DESC;

-- Where a run ends since its station's shorter list was settled to stand, as long as no longer one came since.
CREATE VIEW sinkside.ends WITH (security_invoker = true) AS
    SELECT DISTINCT ON (d.site, d.run) d.site, d.run, d.seq AS last, d.digest AS head
    FROM sinkside.disputes d JOIN sinkside.heads h ON h.site = d.site AND h.run = d.run
    WHERE d.stands = 'station' AND d.kind = 'head' AND d.seq < h.count AND h.head = d.kept_digest
    ORDER BY d.site, d.run, d.number DESC;
GRANT SELECT ON sinkside.disputes, sinkside.standing, sinkside.ends TO sinkside_keeper, sinkside_reviewer;

CREATE FUNCTION sinkside.settle(which uuid, of_kind text, of_id text, of_digest bytea, keeps text, reason text)
    RETURNS void
    LANGUAGE plpgsql SECURITY DEFINER SET search_path = '' AS $$
BEGIN
    -- The tables for reading are made again behind this: no batch may come between.
    PERFORM FROM sinkside.contacts WHERE site = which FOR UPDATE;
    IF NOT EXISTS (
        SELECT FROM sinkside.conflicts WHERE site = which AND kind = of_kind AND id = of_id AND digest = of_digest
    ) THEN
        RAISE EXCEPTION 'there is no such conflict';
    END IF;
    INSERT INTO sinkside.settlements (site, kind, id, digest, stands, why)
        VALUES (which, of_kind, of_id, of_digest, keeps, reason);
END $$;

-- A body that did not fit may be of somebody who is in no event here: it is erased by itself, with a line.
CREATE FUNCTION sinkside.erase_dispute(which uuid, of_kind text, of_id text, of_digest bytea) RETURNS integer
    LANGUAGE plpgsql SECURITY DEFINER SET search_path = '' AS $$
DECLARE
    of_run text;
    of_seq bigint;
BEGIN
    UPDATE sinkside.conflicts SET body = NULL, salt = NULL, person = ''
        WHERE site = which AND kind = of_kind AND id = of_id AND digest = of_digest
            AND (body IS NOT NULL OR person <> '')
        RETURNING run, seq INTO of_run, of_seq;
    IF NOT FOUND THEN
        RETURN 0;
    END IF;
    INSERT INTO sinkside.erasures (site, origin, number, at, run, seqs)
        SELECT which, 'keeper', coalesce(max(number), 0) + 1,
            to_char(now() AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.MS"Z"'), of_run, of_seq::text
        FROM sinkside.erasures WHERE site = which AND origin = 'keeper';
    RETURN 1;
END $$;

-- Roles belong to the whole server. A reviewer's name here and the same in another database are two people: the
-- role has the number of this database, which no other on the server has, in its own name. Roles that were
-- made before go on as they are until they are given a new credential.
ALTER TABLE sinkside.reviewers ADD COLUMN named text COLLATE "C";
UPDATE sinkside.reviewers SET named = substr(role, length('sinkside_reviewer_') + 1);
ALTER TABLE sinkside.reviewers ALTER COLUMN named SET NOT NULL;

CREATE FUNCTION sinkside.own_role(kind text, named text) RETURNS name
    LANGUAGE sql STABLE SET search_path = ''
    RETURN (SELECT 'sinkside_' || kind || '_' || oid || '_' || named FROM pg_catalog.pg_database
        WHERE datname = current_database())::name;

CREATE OR REPLACE FUNCTION sinkside.add_reviewer(named text, schools text[], verifier text) RETURNS name
    LANGUAGE plpgsql SECURITY DEFINER SET search_path = '' AS $$
DECLARE
    login name := sinkside.own_role('reviewer', named);
BEGIN
    PERFORM sinkside.refuse_plain(verifier);
    IF named !~ '^[a-z][a-z0-9_]{0,30}$' THEN
        RAISE EXCEPTION 'a reviewer is called by small letters, digits and underlines';
    END IF;
    -- An older role of that name sees nothing here from now on; it is another database's too, perhaps, and is left.
    DELETE FROM sinkside.reviewers AS known WHERE known.named = add_reviewer.named;
    INSERT INTO sinkside.reviewers (role, school, named) SELECT login, one, add_reviewer.named
        FROM unnest(schools) AS one;
    IF EXISTS (SELECT FROM pg_catalog.pg_roles WHERE rolname = login) THEN
        EXECUTE format('ALTER ROLE %I LOGIN PASSWORD %L', login, verifier);
    ELSE
        EXECUTE format('CREATE ROLE %I LOGIN CONNECTION LIMIT 8 PASSWORD %L IN ROLE sinkside_reviewer', login, verifier);
        EXECUTE format('ALTER ROLE %I SET default_transaction_read_only = on', login);
    END IF;
    RETURN login;
END $$;

CREATE OR REPLACE FUNCTION sinkside.remove_reviewer(named text) RETURNS name
    LANGUAGE plpgsql SECURITY DEFINER SET search_path = '' AS $$
DECLARE
    login name := sinkside.own_role('reviewer', named);
BEGIN
    DELETE FROM sinkside.reviewers AS known WHERE known.named = remove_reviewer.named;
    IF EXISTS (SELECT FROM pg_catalog.pg_roles WHERE rolname = login) THEN
        EXECUTE format('ALTER ROLE %I NOLOGIN PASSWORD NULL', login);
    END IF;
    RETURN login;
END $$;

REVOKE ALL ON FUNCTION sinkside.settle(uuid, text, text, bytea, text, text),
    sinkside.erase_dispute(uuid, text, text, bytea), sinkside.own_role(text, text),
    sinkside.keep_settlements() FROM PUBLIC;
GRANT EXECUTE ON FUNCTION sinkside.settle(uuid, text, text, bytea, text, text),
    sinkside.erase_dispute(uuid, text, text, bytea), sinkside.own_role(text, text) TO sinkside_keeper;
