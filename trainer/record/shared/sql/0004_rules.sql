-- Who sees and writes what. Each row belongs to a site; a station sees its own, a reviewer those of its schools.
-- Whatever is not granted here is refused. The rules hold for the tables' owner too (FORCE).

CREATE FUNCTION sinkside.my_schools() RETURNS text[]
    LANGUAGE sql STABLE SET search_path = ''
    RETURN (SELECT coalesce(array_agg(school), '{}') FROM sinkside.reviewers WHERE role = current_user);

CREATE FUNCTION sinkside.my_site() RETURNS uuid
    LANGUAGE sql STABLE SET search_path = ''
    RETURN (SELECT site FROM sinkside.sites WHERE role = current_user AND retired_at IS NULL);

CREATE FUNCTION sinkside.my_sites() RETURNS uuid[]
    LANGUAGE sql STABLE SET search_path = ''
    RETURN (SELECT coalesce(array_agg(site), '{}') FROM sinkside.sites);

DO $$
DECLARE
    one text;
    told text[] := '{events,procedures,heads,contacts,pin_tries,erasures,conflicts}';
    reading text[] := '{runs,visits,attempts,answers,readings,exposures,plates,signatures,settings}';
    own text := 'site = (SELECT sinkside.my_site())';
    seen text := 'site = ANY ((SELECT sinkside.my_sites())::uuid[])';
BEGIN
    FOREACH one IN ARRAY '{sites,reviewers,erase_requests}' || told || reading LOOP
        EXECUTE format('ALTER TABLE sinkside.%I ENABLE ROW LEVEL SECURITY', one);
        EXECUTE format('ALTER TABLE sinkside.%I FORCE ROW LEVEL SECURITY', one);
        EXECUTE format('CREATE POLICY owner ON sinkside.%I TO sinkside_owner USING (true) WITH CHECK (true)', one);
        EXECUTE format('CREATE POLICY keeper_reads ON sinkside.%I FOR SELECT TO sinkside_keeper USING (true)', one);
        EXECUTE format('GRANT SELECT ON sinkside.%I TO sinkside_keeper', one);
    END LOOP;
    FOREACH one IN ARRAY told || reading LOOP
        EXECUTE format('CREATE POLICY station_reads ON sinkside.%I FOR SELECT TO sinkside_station USING (%s)', one, own);
        EXECUTE format('CREATE POLICY station_adds ON sinkside.%I FOR INSERT TO sinkside_station WITH CHECK (%s)', one, own);
        EXECUTE format('CREATE POLICY reviewer_reads ON sinkside.%I FOR SELECT TO sinkside_reviewer USING (%s)', one, seen);
        EXECUTE format('GRANT SELECT ON sinkside.%I TO sinkside_reviewer', one);
    END LOOP;
    FOREACH one IN ARRAY '{heads,contacts,pin_tries}' || reading LOOP
        EXECUTE format('CREATE POLICY station_brings_up ON sinkside.%I FOR UPDATE TO sinkside_station USING (%s) WITH CHECK (%s)', one, own, own);
    END LOOP;
    FOREACH one IN ARRAY reading LOOP
        EXECUTE format('CREATE POLICY station_takes_out ON sinkside.%I FOR DELETE TO sinkside_station USING (%s)', one, own);
        EXECUTE format('GRANT SELECT, INSERT, UPDATE, DELETE ON sinkside.%I TO sinkside_station, sinkside_keeper', one);
        EXECUTE format('CREATE POLICY keeper_makes_anew ON sinkside.%I TO sinkside_keeper USING (true) WITH CHECK (true)', one);
    END LOOP;
END $$;

-- The partitions are reached through `events` alone: nobody has a right to one.
ALTER TABLE sinkside.events_other ENABLE ROW LEVEL SECURITY;

-- A lying station must not get at the keeper's own lines.
ALTER POLICY station_adds ON sinkside.erasures
    WITH CHECK (site = (SELECT sinkside.my_site()) AND origin = 'station');

CREATE POLICY station_itself ON sinkside.sites FOR SELECT TO sinkside_station USING (role = current_user);
CREATE POLICY reviewer_schools ON sinkside.sites FOR SELECT TO sinkside_reviewer
    USING (school = ANY ((SELECT sinkside.my_schools())::text[]));
CREATE POLICY reviewer_itself ON sinkside.reviewers FOR SELECT TO sinkside_reviewer USING (role = current_user);
GRANT SELECT ON sinkside.sites TO sinkside_station, sinkside_reviewer;
GRANT SELECT ON sinkside.reviewers TO sinkside_reviewer;

-- A station: adds, and sees of its own events what it takes to compare them, no bodies. kept_at is the server's.
GRANT INSERT (site, month, run, seq, id, stored, digest, head, person, salt, body) ON sinkside.events
    TO sinkside_station;
GRANT SELECT (site, month, run, seq, id, stored, digest, head) ON sinkside.events TO sinkside_station;
GRANT INSERT, SELECT ON sinkside.procedures TO sinkside_station;
GRANT INSERT (site, run, number, opened, count, head, marked), UPDATE (number, opened, count, head, marked), SELECT
    ON sinkside.heads TO sinkside_station;
GRANT INSERT (site, key_fingerprint, runs, erasures, invented, program, clock),
    UPDATE (key_fingerprint, runs, erasures, invented, program, clock), SELECT
    ON sinkside.contacts TO sinkside_station;
GRANT INSERT, UPDATE (tries), SELECT ON sinkside.pin_tries TO sinkside_station;
GRANT INSERT (site, origin, number, at, run, seqs, mac), SELECT ON sinkside.erasures TO sinkside_station;
GRANT INSERT (site, kind, id, run, seq, kept_digest, digest, stored, head, person, salt, body),
    SELECT (site, kind, id, run, seq, kept_digest, digest, found_at) ON sinkside.conflicts TO sinkside_station;

-- Requests to erase: the keeper asks, the station says when it is done, and the code goes with that.
CREATE POLICY station_reads ON sinkside.erase_requests FOR SELECT TO sinkside_station
    USING (site = (SELECT sinkside.my_site()));
CREATE POLICY station_answers ON sinkside.erase_requests FOR UPDATE TO sinkside_station
    USING (site = (SELECT sinkside.my_site())) WITH CHECK (site = (SELECT sinkside.my_site()));
-- A reviewer is told that something waits to be erased, and not who.
CREATE POLICY reviewer_reads ON sinkside.erase_requests FOR SELECT TO sinkside_reviewer
    USING (site = ANY ((SELECT sinkside.my_sites())::uuid[]));
GRANT SELECT (site, number, asked_at, done_at) ON sinkside.erase_requests TO sinkside_reviewer;
GRANT SELECT (site, number, code, asked_at, done_at, told), UPDATE (code, done_at, told)
    ON sinkside.erase_requests TO sinkside_station;

REVOKE ALL ON ALL FUNCTIONS IN SCHEMA sinkside FROM PUBLIC;
GRANT EXECUTE ON FUNCTION sinkside.month_of(uuid), sinkside.my_site()
    TO sinkside_station, sinkside_reviewer, sinkside_keeper;
GRANT EXECUTE ON FUNCTION sinkside.my_sites(), sinkside.my_schools() TO sinkside_reviewer, sinkside_keeper;
GRANT EXECUTE ON FUNCTION sinkside.make_months(date, integer), sinkside.ask_erasure(uuid, text),
    sinkside.erase_events(uuid, text, integer[]) TO sinkside_keeper;
