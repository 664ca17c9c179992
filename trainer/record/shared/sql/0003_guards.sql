-- What may happen to rows, whoever asks: events are never changed but for erasing, lists only grow.

CREATE FUNCTION sinkside.keep_events() RETURNS trigger
    LANGUAGE plpgsql SET search_path = '' AS $$
BEGIN
    IF TG_OP = 'DELETE' THEN
        RAISE EXCEPTION 'an event is never deleted';
    END IF;
    IF NEW.body IS NOT NULL OR NEW.person <> ''
        OR (NEW.site, NEW.month, NEW.run, NEW.seq, NEW.id, NEW.stored, NEW.digest, NEW.head, NEW.kept_at)
        IS DISTINCT FROM
        (OLD.site, OLD.month, OLD.run, OLD.seq, OLD.id, OLD.stored, OLD.digest, OLD.head, OLD.kept_at)
    THEN
        RAISE EXCEPTION 'an event is never changed, only erased';
    END IF;
    RETURN NEW;
END $$;

CREATE TRIGGER keep_events BEFORE UPDATE OR DELETE ON sinkside.events
    FOR EACH ROW EXECUTE FUNCTION sinkside.keep_events();

-- A list that goes back, or that tells of another head, is not believed: the row stays, and what was told is
-- kept as a conflict. A record put back from an older backup does this, and so does one that was cut.
CREATE FUNCTION sinkside.grow_heads() RETURNS trigger
    LANGUAGE plpgsql SECURITY DEFINER SET search_path = '' AS $$
BEGIN
    IF NEW.count < OLD.count OR (NEW.count = OLD.count AND NEW.head <> OLD.head)
        OR (NEW.site, NEW.run, NEW.number, NEW.opened) IS DISTINCT FROM (OLD.site, OLD.run, OLD.number, OLD.opened)
    THEN
        INSERT INTO sinkside.conflicts (site, kind, id, run, seq, kept_digest, digest)
            VALUES (OLD.site, 'head', OLD.run, OLD.run, NEW.count, OLD.head, NEW.head)
            ON CONFLICT DO NOTHING;
        RETURN NULL;
    END IF;
    NEW.told_at := now();
    RETURN NEW;
END $$;

CREATE TRIGGER grow_heads BEFORE UPDATE ON sinkside.heads
    FOR EACH ROW EXECUTE FUNCTION sinkside.grow_heads();

CREATE FUNCTION sinkside.grow_contacts() RETURNS trigger
    LANGUAGE plpgsql SECURITY DEFINER SET search_path = '' AS $$
BEGIN
    NEW.seen_at := now();
    IF TG_OP = 'INSERT' THEN
        NEW.first_at := now();
        RETURN NEW;
    END IF;
    NEW.site := OLD.site;
    NEW.first_at := OLD.first_at;
    IF NEW.key_fingerprint <> OLD.key_fingerprint THEN
        INSERT INTO sinkside.conflicts (site, kind, id)
            VALUES (OLD.site, 'key', OLD.key_fingerprint || ' ' || NEW.key_fingerprint)
            ON CONFLICT DO NOTHING;
    END IF;
    IF NEW.runs < OLD.runs OR NEW.erasures < OLD.erasures THEN
        INSERT INTO sinkside.conflicts (site, kind, id, seq)
            VALUES (OLD.site, 'list', format('%s runs, %s erasures', NEW.runs, NEW.erasures), NEW.runs)
            ON CONFLICT DO NOTHING;
    END IF;
    NEW.runs := greatest(OLD.runs, NEW.runs);
    NEW.erasures := greatest(OLD.erasures, NEW.erasures);
    RETURN NEW;
END $$;

CREATE TRIGGER grow_contacts BEFORE INSERT OR UPDATE ON sinkside.contacts
    FOR EACH ROW EXECUTE FUNCTION sinkside.grow_contacts();

CREATE FUNCTION sinkside.grow_tries() RETURNS trigger
    LANGUAGE plpgsql SET search_path = '' AS $$
BEGIN
    NEW.tries := greatest(OLD.tries, NEW.tries);
    RETURN NEW;
END $$;

CREATE TRIGGER grow_tries BEFORE UPDATE ON sinkside.pin_tries
    FOR EACH ROW EXECUTE FUNCTION sinkside.grow_tries();

-- Months made ahead. A month that is missing does no harm: its events lie in events_other until it is made.
CREATE FUNCTION sinkside.make_months(first date, many integer) RETURNS integer
    LANGUAGE plpgsql SECURITY DEFINER SET search_path = '' AS $$
DECLARE
    begins date := date_trunc('month', first)::date;
    missing date[];
    one date;
    moved integer := 0;
BEGIN
    IF many NOT BETWEEN 0 AND 240 THEN
        RAISE EXCEPTION 'between 0 and 240 months are made at once';
    END IF;
    LOCK TABLE sinkside.events IN SHARE ROW EXCLUSIVE MODE;  -- so that two keepers do not make the same
    SELECT array_agg(month ORDER BY month) INTO missing FROM (
        SELECT (begins + make_interval(months => step))::date AS month FROM generate_series(0, many - 1) AS step
        UNION SELECT month FROM sinkside.events_other
            WHERE month BETWEEN '2000-01-01' AND (now() + interval '1 year')::date
    ) AS wanted WHERE to_regclass('sinkside.events_' || to_char(month, 'YYYY_MM')) IS NULL;
    IF missing IS NULL THEN
        RETURN 0;
    END IF;
    IF EXISTS (SELECT FROM sinkside.events_other WHERE month = ANY (missing)) THEN
        ALTER TABLE sinkside.events DETACH PARTITION sinkside.events_other;
        ALTER TABLE sinkside.events_other RENAME TO events_to_move;
        ALTER INDEX sinkside.events_other_pkey RENAME TO events_to_move_pkey;
        ALTER INDEX sinkside.events_other_site_run_seq_month_key RENAME TO events_to_move_run_key;
        CREATE TABLE sinkside.events_other PARTITION OF sinkside.events DEFAULT;
        ALTER TABLE sinkside.events_other ENABLE ROW LEVEL SECURITY;
    END IF;
    FOREACH one IN ARRAY missing LOOP
        EXECUTE format(
            'CREATE TABLE sinkside.%I PARTITION OF sinkside.events FOR VALUES FROM (%L) TO (%L)',
            'events_' || to_char(one, 'YYYY_MM'), one, (one + interval '1 month')::date);
        EXECUTE format(
            'ALTER TABLE sinkside.%I ENABLE ROW LEVEL SECURITY', 'events_' || to_char(one, 'YYYY_MM'));
    END LOOP;
    IF to_regclass('sinkside.events_to_move') IS NOT NULL THEN
        EXECUTE 'INSERT INTO sinkside.events SELECT * FROM sinkside.events_to_move';
        SELECT count(*) INTO moved FROM sinkside.events WHERE month = ANY (missing);
        DROP TABLE sinkside.events_to_move;
    END IF;
    RETURN moved;
END $$;

-- A station's batch begins by bringing its row in contacts up to date. Waiting for that row here, a request is
-- written either before a batch looks for requests, or after the batch is kept and can be erased here.
CREATE FUNCTION sinkside.ask_erasure(which uuid, whom text) RETURNS void
    LANGUAGE plpgsql SECURITY DEFINER SET search_path = '' AS $$
BEGIN
    PERFORM FROM sinkside.contacts WHERE site = which FOR UPDATE;
    IF NOT EXISTS (SELECT FROM sinkside.erase_requests WHERE site = which AND code = whom AND done_at IS NULL) THEN
        INSERT INTO sinkside.erase_requests (site, code) VALUES (which, whom);
    END IF;
END $$;

-- Erasing: body, salt and person go, number, id, time, digest and head stay, and a line says which.
CREATE FUNCTION sinkside.erase_events(which uuid, of_run text, numbers integer[]) RETURNS integer
    LANGUAGE plpgsql SECURITY DEFINER SET search_path = '' AS $$
DECLARE
    gone integer[];
BEGIN
    WITH erased AS (
        UPDATE sinkside.events SET body = NULL, salt = NULL, person = ''
        WHERE site = which AND run = of_run AND seq = ANY (numbers) AND body IS NOT NULL
        RETURNING seq
    )
    SELECT array_agg(seq ORDER BY seq) INTO gone FROM erased;
    UPDATE sinkside.conflicts SET body = NULL, salt = NULL, person = ''
        WHERE site = which AND run = of_run AND seq = ANY (numbers);
    IF gone IS NULL THEN
        RETURN 0;
    END IF;
    INSERT INTO sinkside.erasures (site, origin, number, at, run, seqs)
        SELECT which, 'keeper', coalesce(max(number), 0) + 1,
            to_char(now() AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.MS"Z"'), of_run, array_to_string(gone, ' ')
        FROM sinkside.erasures WHERE site = which AND origin = 'keeper';
    RETURN cardinality(gone);
END $$;
