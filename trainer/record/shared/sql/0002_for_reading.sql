-- The station's tables for reading (`runs`, `visits`, ...), with the station in front: the same columns in the
-- same order, so that the same queries read either record. They are forwarded, and can be made again from events.

CREATE TABLE sinkside.runs (
    site uuid NOT NULL,
    run text COLLATE "C" NOT NULL,
    trainee text COLLATE "C" NOT NULL,
    procedure text COLLATE "C" NOT NULL,
    revision bigint NOT NULL,
    content_hash text COLLATE "C" NOT NULL,
    guidance text COLLATE "C" NOT NULL,
    rehearsal bigint NOT NULL,
    station text COLLATE "C" NOT NULL,
    job text COLLATE "C" NOT NULL,
    colour text COLLATE "C" NOT NULL,
    opened_at text COLLATE "C" NOT NULL,
    last_at text COLLATE "C" NOT NULL,
    closed text COLLATE "C" NOT NULL,
    closed_at text COLLATE "C",
    reason text COLLATE "C" NOT NULL,
    plate bigint NOT NULL,
    hints bigint NOT NULL,
    spoiled bigint NOT NULL,
    excused text COLLATE "C" NOT NULL,
    handed bigint NOT NULL,
    hazards_missed bigint NOT NULL,
    language text COLLATE "C" NOT NULL,
    events bigint NOT NULL,
    PRIMARY KEY (site, run)
);

CREATE TABLE sinkside.visits (
    site uuid NOT NULL,
    run text COLLATE "C" NOT NULL,
    seq bigint NOT NULL,
    at text COLLATE "C" NOT NULL,
    trainee text COLLATE "C" NOT NULL,
    plate bigint NOT NULL,
    stage text COLLATE "C" NOT NULL,
    step text COLLATE "C" NOT NULL,
    skill text COLLATE "C",
    task text COLLATE "C" NOT NULL,
    visit bigint NOT NULL,
    ended text COLLATE "C" NOT NULL,
    seconds double precision,
    active double precision,
    hesitation double precision,
    hints bigint NOT NULL,
    slips bigint NOT NULL,
    PRIMARY KEY (site, run, seq)
);

CREATE TABLE sinkside.attempts (
    site uuid NOT NULL,
    run text COLLATE "C" NOT NULL,
    seq bigint NOT NULL,
    at text COLLATE "C" NOT NULL,
    trainee text COLLATE "C" NOT NULL,
    plate bigint NOT NULL,
    stage text COLLATE "C" NOT NULL,
    step text COLLATE "C" NOT NULL,
    skill text COLLATE "C",
    task text COLLATE "C" NOT NULL,
    outcome text COLLATE "C" NOT NULL,
    seconds double precision,
    mark text COLLATE "C" NOT NULL,
    hit bigint,
    PRIMARY KEY (site, run, seq)
);

CREATE TABLE sinkside.answers (
    site uuid NOT NULL,
    run text COLLATE "C" NOT NULL,
    seq bigint NOT NULL,
    at text COLLATE "C" NOT NULL,
    trainee text COLLATE "C" NOT NULL,
    plate bigint NOT NULL,
    stage text COLLATE "C" NOT NULL,
    step text COLLATE "C" NOT NULL,
    skill text COLLATE "C",
    name text COLLATE "C" NOT NULL,
    form text COLLATE "C" NOT NULL,
    answer text COLLATE "C" NOT NULL,
    "right" bigint,
    PRIMARY KEY (site, run, seq)
);

CREATE TABLE sinkside.readings (
    site uuid NOT NULL,
    run text COLLATE "C" NOT NULL,
    seq bigint NOT NULL,
    at text COLLATE "C" NOT NULL,
    trainee text COLLATE "C" NOT NULL,
    plate bigint NOT NULL,
    stage text COLLATE "C" NOT NULL,
    step text COLLATE "C" NOT NULL,
    skill text COLLATE "C",
    name text COLLATE "C" NOT NULL,
    value double precision NOT NULL,
    unit text COLLATE "C" NOT NULL,
    verdict text COLLATE "C" NOT NULL,
    typed text COLLATE "C" NOT NULL,
    typed_unit text COLLATE "C" NOT NULL,
    PRIMARY KEY (site, run, seq)
);

CREATE TABLE sinkside.exposures (
    site uuid NOT NULL,
    run text COLLATE "C" NOT NULL,
    seq bigint NOT NULL,
    at text COLLATE "C" NOT NULL,
    trainee text COLLATE "C" NOT NULL,
    plate bigint NOT NULL,
    stage text COLLATE "C" NOT NULL,
    step text COLLATE "C" NOT NULL,
    skill text COLLATE "C",
    rehearsal bigint NOT NULL,
    units double precision NOT NULL,
    seconds double precision,
    unwatched double precision NOT NULL,
    outcome text COLLATE "C" NOT NULL,
    PRIMARY KEY (site, run, seq)
);

CREATE TABLE sinkside.plates (
    site uuid NOT NULL,
    run text COLLATE "C" NOT NULL,
    plate bigint NOT NULL,
    trainee text COLLATE "C" NOT NULL,
    at text COLLATE "C" NOT NULL,
    how text COLLATE "C" NOT NULL,
    stage text COLLATE "C" NOT NULL,
    step text COLLATE "C" NOT NULL,
    reason text COLLATE "C" NOT NULL,
    passes bigint,
    PRIMARY KEY (site, run, plate)
);

CREATE TABLE sinkside.signatures (
    site uuid NOT NULL,
    run text COLLATE "C" NOT NULL,
    seq bigint NOT NULL,
    at text COLLATE "C" NOT NULL,
    trainee text COLLATE "C" NOT NULL,
    plate bigint NOT NULL,
    stage text COLLATE "C" NOT NULL,
    step text COLLATE "C" NOT NULL,
    skill text COLLATE "C",
    by text COLLATE "C" NOT NULL,
    word text COLLATE "C" NOT NULL,
    note text COLLATE "C" NOT NULL,
    PRIMARY KEY (site, run, seq)
);

CREATE TABLE sinkside.settings (
    site uuid NOT NULL,
    run text COLLATE "C" NOT NULL,
    name text COLLATE "C" NOT NULL,
    value double precision NOT NULL,
    PRIMARY KEY (site, run, name)
);

