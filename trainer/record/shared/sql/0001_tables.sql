-- What is kept once. Every table begins with the station's id (`site`): one station's rows lie together, every
-- key and every join has it, and it is the column to distribute by. Nothing here ever holds a name or a PIN.

CREATE FUNCTION sinkside.month_of(id uuid) RETURNS date
    LANGUAGE sql IMMUTABLE PARALLEL SAFE
    -- The first 48 bits of a UUIDv7 are milliseconds since 1970 (RFC 9562, section 5.7).
    RETURN date_trunc('month', to_timestamp(
        ('x' || translate(left(id::text, 13), '-', ''))::bit(48)::bigint / 1000
    ) AT TIME ZONE 'UTC')::date;

CREATE TABLE sinkside.sites (
    site uuid PRIMARY KEY,
    school text COLLATE "C" NOT NULL CHECK (school <> ''),
    station text COLLATE "C" NOT NULL CHECK (station <> ''),
    role name NOT NULL UNIQUE,
    registered_at timestamptz NOT NULL DEFAULT now(),
    retired_at timestamptz,
    UNIQUE (school, station)
);

CREATE TABLE sinkside.reviewers (
    role name NOT NULL,
    school text COLLATE "C" NOT NULL CHECK (school <> ''),
    added_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (role, school)
);

CREATE TABLE sinkside.events (
    site uuid NOT NULL,
    month date NOT NULL,
    run text COLLATE "C" NOT NULL,
    seq integer NOT NULL CHECK (seq > 0),
    id uuid NOT NULL,
    stored text COLLATE "C" NOT NULL,
    digest bytea NOT NULL,
    head bytea NOT NULL,
    person text COLLATE "C" NOT NULL,
    salt bytea,
    body text COLLATE "C",
    kept_at timestamptz NOT NULL DEFAULT now(),
    -- The month follows from the id, so (site, id) is unique in all months together.
    PRIMARY KEY (site, id, month),
    UNIQUE (site, run, seq, month),
    CHECK (month = sinkside.month_of(id)),
    CHECK ((salt IS NULL) = (body IS NULL))
) PARTITION BY RANGE (month);

-- What comes before its month was made ahead, or with a clock that is years off, is kept all the same.
CREATE TABLE sinkside.events_other PARTITION OF sinkside.events DEFAULT;

CREATE TABLE sinkside.procedures (
    site uuid NOT NULL,
    content_hash text COLLATE "C" NOT NULL,
    procedure text COLLATE "C" NOT NULL,
    revision bigint NOT NULL,
    source bytea NOT NULL,
    kept_at text COLLATE "C" NOT NULL,
    PRIMARY KEY (site, content_hash)
);

-- A station's list of runs as it told it last; counts only grow (see the rules).
CREATE TABLE sinkside.heads (
    site uuid NOT NULL REFERENCES sinkside.sites (site),
    run text COLLATE "C" NOT NULL,
    number bigint NOT NULL,
    opened bytea NOT NULL,
    count bigint NOT NULL,
    head bytea NOT NULL,
    marked bigint NOT NULL,
    told_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (site, run)
);

-- What a station says of its record as a whole. invented: the seed of an invented class, else empty.
CREATE TABLE sinkside.contacts (
    site uuid PRIMARY KEY REFERENCES sinkside.sites (site),
    key_fingerprint text COLLATE "C" NOT NULL,
    runs bigint NOT NULL,
    erasures bigint NOT NULL,
    invented text COLLATE "C" NOT NULL DEFAULT '',
    program text COLLATE "C" NOT NULL DEFAULT '',
    clock text COLLATE "C" NOT NULL DEFAULT '',
    first_at timestamptz NOT NULL DEFAULT now(),
    seen_at timestamptz NOT NULL DEFAULT now()
);

-- Tries of PINs, counted by day (UTC) and by what was found: no code, no PIN, nothing that was typed.
CREATE TABLE sinkside.pin_tries (
    site uuid NOT NULL REFERENCES sinkside.sites (site),
    day date NOT NULL,
    found text COLLATE "C" NOT NULL CHECK (found IN ('right', 'wrong_pin', 'too_soon', 'unknown', 'reset')),
    tries bigint NOT NULL CHECK (tries >= 0),
    PRIMARY KEY (site, day, found)
);

-- Which events were erased. station: a sealed line of the station's record, with its number and MAC.
-- keeper: done here by the record keeper. seqs: numbers separated by blanks, as the record has them.
CREATE TABLE sinkside.erasures (
    site uuid NOT NULL REFERENCES sinkside.sites (site),
    origin text COLLATE "C" NOT NULL CHECK (origin IN ('station', 'keeper')),
    number bigint NOT NULL,
    at text COLLATE "C" NOT NULL,
    run text COLLATE "C" NOT NULL,
    seqs text COLLATE "C" NOT NULL,
    mac bytea,
    made_by name NOT NULL DEFAULT session_user,
    told_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (site, origin, number)
);

-- Whom a station is to erase at its next contact; the code goes once that is done.
CREATE TABLE sinkside.erase_requests (
    site uuid NOT NULL REFERENCES sinkside.sites (site),
    number bigint NOT NULL GENERATED ALWAYS AS IDENTITY,
    code text COLLATE "C" NOT NULL,
    asked_at timestamptz NOT NULL DEFAULT now(),
    asked_by name NOT NULL DEFAULT session_user,
    done_at timestamptz,
    told text COLLATE "C" NOT NULL DEFAULT '',
    PRIMARY KEY (site, number),
    CHECK (done_at IS NULL OR code = '')
);

-- What does not fit what is kept, both digests beside each other. kind: event (another body under a known
-- id), place (another event where one stands), head, list or key (the station's list of runs or its key).
CREATE TABLE sinkside.conflicts (
    site uuid NOT NULL REFERENCES sinkside.sites (site),
    kind text COLLATE "C" NOT NULL CHECK (kind IN ('event', 'place', 'head', 'list', 'key', 'unfit')),
    id text COLLATE "C" NOT NULL,
    run text COLLATE "C" NOT NULL DEFAULT '',
    seq bigint NOT NULL DEFAULT 0,
    kept_digest bytea NOT NULL DEFAULT '',
    digest bytea NOT NULL DEFAULT '',
    stored text COLLATE "C" NOT NULL DEFAULT '',
    head bytea NOT NULL DEFAULT '',
    person text COLLATE "C" NOT NULL DEFAULT '',
    salt bytea,
    body text COLLATE "C",
    found_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (site, kind, id, digest)
);
