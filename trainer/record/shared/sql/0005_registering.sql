-- Credentials. A password never comes here: only its SCRAM verifier (RFC 5802), worked out at the keeper's side,
-- so that no log of statements can hold one. The keeper needs no right of its own to make roles.

CREATE FUNCTION sinkside.refuse_plain(verifier text) RETURNS void
    LANGUAGE plpgsql IMMUTABLE SET search_path = '' AS $$
BEGIN
    IF verifier !~ '^SCRAM-SHA-256\$[0-9]+:[A-Za-z0-9+/=]+\$[A-Za-z0-9+/=]+:[A-Za-z0-9+/=]+$' THEN
        RAISE EXCEPTION 'a password is given as its SCRAM verifier only';
    END IF;
END $$;

CREATE FUNCTION sinkside.register_station(which uuid, of_school text, named text, verifier text) RETURNS name
    LANGUAGE plpgsql SECURITY DEFINER SET search_path = '' AS $$
DECLARE
    login name := 'sinkside_site_' || replace(which::text, '-', '');
BEGIN
    PERFORM sinkside.refuse_plain(verifier);
    INSERT INTO sinkside.sites (site, school, station, role) VALUES (which, of_school, named, login);
    IF EXISTS (SELECT FROM pg_catalog.pg_roles WHERE rolname = login) THEN  -- of a database that was lost here
        EXECUTE format('ALTER ROLE %I LOGIN CONNECTION LIMIT 8 PASSWORD %L', login, verifier);
    ELSE
        EXECUTE format('CREATE ROLE %I LOGIN CONNECTION LIMIT 8 PASSWORD %L', login, verifier);
    END IF;
    EXECUTE format('GRANT sinkside_station TO %I', login);
    EXECUTE format('ALTER ROLE %I SET idle_in_transaction_session_timeout = ''2min''', login);
    RETURN login;
END $$;

CREATE FUNCTION sinkside.renew_station(which uuid, verifier text) RETURNS name
    LANGUAGE plpgsql SECURITY DEFINER SET search_path = '' AS $$
DECLARE
    login name;
BEGIN
    PERFORM sinkside.refuse_plain(verifier);
    UPDATE sinkside.sites SET retired_at = NULL WHERE site = which RETURNING role INTO STRICT login;
    EXECUTE format('ALTER ROLE %I LOGIN PASSWORD %L', login, verifier);
    RETURN login;
END $$;

-- What it sent stays; it gets in no more, and one that is in writes no more (`my_site` is then nobody's).
CREATE FUNCTION sinkside.retire_station(which uuid) RETURNS name
    LANGUAGE plpgsql SECURITY DEFINER SET search_path = '' AS $$
DECLARE
    login name;
BEGIN
    UPDATE sinkside.sites SET retired_at = coalesce(retired_at, now()) WHERE site = which
        RETURNING role INTO STRICT login;
    EXECUTE format('ALTER ROLE %I NOLOGIN PASSWORD NULL', login);
    RETURN login;
END $$;

CREATE FUNCTION sinkside.add_reviewer(named text, schools text[], verifier text) RETURNS name
    LANGUAGE plpgsql SECURITY DEFINER SET search_path = '' AS $$
DECLARE
    login name := 'sinkside_reviewer_' || named;
BEGIN
    PERFORM sinkside.refuse_plain(verifier);
    IF named !~ '^[a-z][a-z0-9_]{0,30}$' THEN
        RAISE EXCEPTION 'a reviewer is called by small letters, digits and underlines';
    END IF;
    DELETE FROM sinkside.reviewers WHERE role = login;
    INSERT INTO sinkside.reviewers (role, school) SELECT login, one FROM unnest(schools) AS one;
    IF EXISTS (SELECT FROM pg_catalog.pg_roles WHERE rolname = login) THEN
        EXECUTE format('ALTER ROLE %I LOGIN PASSWORD %L', login, verifier);
    ELSE
        EXECUTE format('CREATE ROLE %I LOGIN CONNECTION LIMIT 8 PASSWORD %L IN ROLE sinkside_reviewer', login, verifier);
        EXECUTE format('ALTER ROLE %I SET default_transaction_read_only = on', login);
    END IF;
    RETURN login;
END $$;

CREATE FUNCTION sinkside.remove_reviewer(named text) RETURNS name
    LANGUAGE plpgsql SECURITY DEFINER SET search_path = '' AS $$
DECLARE
    login name;
BEGIN
    SELECT rolname INTO STRICT login FROM pg_catalog.pg_roles WHERE rolname = 'sinkside_reviewer_' || named;
    DELETE FROM sinkside.reviewers WHERE role = login;
    EXECUTE format('ALTER ROLE %I NOLOGIN PASSWORD NULL', login);
    RETURN login;
END $$;

REVOKE ALL ON FUNCTION sinkside.refuse_plain(text), sinkside.register_station(uuid, text, text, text),
    sinkside.renew_station(uuid, text), sinkside.retire_station(uuid),
    sinkside.add_reviewer(text, text[], text), sinkside.remove_reviewer(text) FROM PUBLIC;
GRANT EXECUTE ON FUNCTION sinkside.register_station(uuid, text, text, text),
    sinkside.renew_station(uuid, text), sinkside.retire_station(uuid),
    sinkside.add_reviewer(text, text[], text), sinkside.remove_reviewer(text) TO sinkside_keeper;
