-- How far each station is forwarded, moved in the transaction that keeps the events: the last event in the order
-- in which the station kept them, its last erasure told, and the schema of its record. It may go back: a station
-- that was put back from a backup is told again, and what is known changes nothing.
CREATE TABLE sinkside.cursors (
    site uuid PRIMARY KEY REFERENCES sinkside.sites (site),
    last bigint NOT NULL,
    id text COLLATE "C" NOT NULL,
    erasure bigint NOT NULL,
    schema bigint NOT NULL,
    at timestamptz NOT NULL DEFAULT now()
);

ALTER TABLE sinkside.cursors ENABLE ROW LEVEL SECURITY;
ALTER TABLE sinkside.cursors FORCE ROW LEVEL SECURITY;
CREATE POLICY owner ON sinkside.cursors TO sinkside_owner USING (true) WITH CHECK (true);
CREATE POLICY keeper_reads ON sinkside.cursors FOR SELECT TO sinkside_keeper USING (true);
CREATE POLICY station_own ON sinkside.cursors TO sinkside_station
    USING (site = (SELECT sinkside.my_site())) WITH CHECK (site = (SELECT sinkside.my_site()));
GRANT SELECT ON sinkside.cursors TO sinkside_keeper;
GRANT SELECT, INSERT, UPDATE ON sinkside.cursors TO sinkside_station;
