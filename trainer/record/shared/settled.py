"""Conflicts as verifying tells of them: open ones as problems, settled ones in words, with who and why.

Where a conflict is settled, links and lists of the side that does not stand are no problem any more, as far
as they are explained by it; nothing else is excused.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, Final

from trainer.record.chain import ChainKey, Header, digest_of, linked
from trainer.record.findings import Finding, note, problem
from trainer.record.heads import HeadRow
from trainer.record.shared.batches import KeptEvent

if TYPE_CHECKING:
    import psycopg

    Connection = psycopg.Connection[tuple[Any, ...]]

WORDS: Final = {
    "event": "came again with another body under the id {id}",
    "place": "came again as another event, {id}",
    "head": "was told with another end than before: its head at event {seq}",
    "list": "The station's list of runs went back ({id}): its record was put back from a backup, or cut.",
    "key": "The station's key is another one than before ({id}): its record was begun anew, or exchanged.",
    "unfit": "came with what cannot be kept here (id {id})",
}
SIDES: Final = {"here": "what was here first stands", "station": "what the station told later stands"}
TIME: Final = "to_char({} AT TIME ZONE 'UTC', 'YYYY-MM-DD\"T\"HH24:MI:SS\"Z\"')"
"""A moment as text, of a column."""
_DISPUTES = f"""
SELECT kind, id, run, seq, encode(kept_digest, 'hex'), encode(digest, 'hex'), {TIME.format("found_at")},
    called, coalesce(stands, ''), why, made_by, {TIME.format("at")}
FROM sinkside.disputes WHERE site = %s ORDER BY found_at, kind, run, seq, id
"""  # noqa: S608 - our own columns


def told_of(connection: Connection, site: str) -> Iterator[Finding]:
    """What came to a station's place and did not fit, open or settled; what was kept first is never lost."""
    for kind, ident, run, seq, kept, came, at, name, stands, *word in connection.execute(_DISPUTES, (site,)):
        words = WORDS[kind].format(id=ident, seq=seq)
        if kind in {"list", "key"}:
            said = f"{words} Told at {at}"
        else:
            which = f"Run {run}" if kind == "head" else f"Run {run}: event {seq}"
            digests = f" (kept: {kept[:12]}, came: {came[:12]})" if came else ""
            said = f"{which} {words}{digests}, at {at}"
        where = (None, None) if kind in {"list", "key"} else (run, seq)
        if stands:
            why, by, when = word
            said += f". Settled by {by} at {when}: {SIDES[stands]}, since: {why}"
            yield note(f"settled_{kind}", said, *where)
        else:
            said += f". It is open: `record shared settle {name}` ends it."
            yield problem(f"conflict_{kind}", said, *where)


@dataclass(slots=True)
class Settled:
    """What was settled of one run. heads: by number, the heads that an event in that place has or had.

    ends: number and head of lists that were settled to stand.
    """

    run: str
    heads: dict[int, set[bytes]] = field(default_factory=dict)
    ends: set[tuple[int, bytes]] = field(default_factory=set)

    def set_aside(self, kept: Sequence[KeptEvent], stands: Sequence[KeptEvent]) -> Iterator[Finding]:
        """What was here first and does not stand, held against its own digest all the same."""
        now = {(one.seq, one.digest, one.head) for one in stands}
        aside = [one for one in kept if (one.seq, one.digest, one.head) not in now]
        for one in aside:
            self.heads.setdefault(one.seq, set()).add(one.head)
            if (
                one.salt is not None
                and one.body is not None
                and digest_of(one.salt, one.body.encode()) != one.digest
            ):
                words = (
                    f"Run {self.run}: event {one.seq}, which was settled not to stand and is kept, was "
                    "altered: its text does not fit its digest."
                )
                yield problem("body_altered", words, self.run, one.seq)
        if later := [one.seq for one in aside if one.seq > (stands[-1].seq if stands else 0)]:
            words = (
                f"Run {self.run}: events {later[0]} to {later[-1]} are kept and are no part of the run: it "
                "was settled that the station's shorter list stands."
            )
            yield note("settled_end", words, self.run, later[0])

    def listed(self, stands: Sequence[KeptEvent], listed: HeadRow) -> HeadRow:
        """The run's row in the list of runs: the one that was settled to stand, where it fits the end."""
        if stands and (stands[-1].seq, stands[-1].head) in self.ends:
            return replace(listed, count=stands[-1].seq, head=stands[-1].head)
        return listed

    def explained(
        self, found: Iterable[Finding], events: Sequence[KeptEvent], key: ChainKey | None
    ) -> Iterator[Finding]:
        """Findings about the run; a link to the other side of a settled conflict is told as that."""
        by_seq = {one.seq: one for one in events}
        for finding in found:
            one = by_seq.get(finding.seq or 0)
            if finding.code != "header_altered" or one is None or key is None:
                yield finding
            elif self._leads_aside(one, key):
                words = (
                    f"Run {self.run}: event {one.seq} is linked to the other event {one.seq - 1}, which was "
                    "settled not to stand."
                )
                yield note("settled_link", words, self.run, one.seq)
            else:
                yield finding

    def _leads_aside(self, one: KeptEvent, key: ChainKey) -> bool:
        """Whether an event's link is whole from another head that the place before it has or had."""
        header = Header(one.seq, one.id, one.stored, one.digest).encoded()
        before = self.heads.get(one.seq - 1, set())
        return any(linked(key.mac, head, header) == one.head for head in before)

    def tables(self) -> Finding:
        """The tables for reading do not say what stands."""
        words = (
            f"Run {self.run}: its tables for reading are as the station sends them, which keeps its own "
            "body. `record shared settle --again` makes them say what was settled."
        )
        return note("settled_tables", words, self.run)


def settled_of(connection: Connection, site: str) -> Mapping[str, Settled]:
    """What was settled of a station's runs, by run; mostly nothing."""
    rows = connection.execute(
        "SELECT run, kind, seq, digest, head, stands FROM sinkside.disputes "
        "WHERE site = %s AND stands IS NOT NULL AND kind IN ('event', 'place', 'head')",
        (site,),
    ).fetchall()
    found: dict[str, Settled] = {}
    for run, kind, seq, digest, head, stands in rows:
        one = found.setdefault(run, Settled(run))
        if kind != "head":
            one.heads.setdefault(seq, set()).add(head)
        elif stands == "station":
            one.ends.add((seq, digest))
    return found
