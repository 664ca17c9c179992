-- The groups. Roles belong to the whole server; logins are made later, each a member of one group.
DO $$
DECLARE
    one text;
BEGIN
    FOREACH one IN ARRAY '{sinkside_owner,sinkside_station,sinkside_reviewer,sinkside_keeper}'::text[] LOOP
        IF NOT EXISTS (SELECT FROM pg_catalog.pg_roles WHERE rolname = one) THEN
            EXECUTE format('CREATE ROLE %I NOLOGIN', one);
        END IF;
    END LOOP;
    -- The owner's functions make the logins of stations and reviewers; nobody logs in as the owner.
    ALTER ROLE sinkside_owner CREATEROLE;
    GRANT sinkside_station, sinkside_reviewer TO sinkside_owner WITH ADMIN OPTION;
    IF NOT (SELECT rolsuper FROM pg_catalog.pg_roles WHERE rolname = current_user) THEN
        EXECUTE format('GRANT sinkside_owner TO %I', current_user);
    END IF;
    EXECUTE format('REVOKE ALL ON DATABASE %I FROM PUBLIC', current_database());
    EXECUTE format('GRANT CONNECT, CREATE ON DATABASE %I TO sinkside_owner', current_database());
    EXECUTE format('GRANT CONNECT, TEMPORARY ON DATABASE %I TO sinkside_station', current_database());
    -- A keeper is one of this database alone, and let in by its own login: the group belongs to the whole server.
    -- Where an earlier Sinkside let the whole group in, whoever was a keeper then stays one.
    IF has_database_privilege('sinkside_keeper', current_database(), 'CONNECT') THEN
        FOR one IN SELECT m.rolname FROM pg_catalog.pg_auth_members g
            JOIN pg_catalog.pg_roles m ON m.oid = g.member JOIN pg_catalog.pg_roles k ON k.oid = g.roleid
            WHERE k.rolname = 'sinkside_keeper' AND m.rolcanlogin
        LOOP
            EXECUTE format('GRANT CONNECT, TEMPORARY ON DATABASE %I TO %I', current_database(), one);
        END LOOP;
        EXECUTE format('REVOKE CONNECT, TEMPORARY ON DATABASE %I FROM sinkside_keeper', current_database());
    END IF;
    EXECUTE format('GRANT CONNECT ON DATABASE %I TO sinkside_reviewer', current_database());
    IF (SELECT rolsuper FROM pg_catalog.pg_roles WHERE rolname = current_user) THEN
        -- Else anybody who gets in may fill the disk with large objects, whatever tables are granted.
        REVOKE EXECUTE ON FUNCTION pg_catalog.lo_creat(integer), pg_catalog.lo_create(oid),
            pg_catalog.lo_from_bytea(oid, bytea) FROM PUBLIC;
        REVOKE CREATE ON SCHEMA public FROM PUBLIC;
    END IF;
END $$;
CREATE SCHEMA IF NOT EXISTS sinkside AUTHORIZATION sinkside_owner;
