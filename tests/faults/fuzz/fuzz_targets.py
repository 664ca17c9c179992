"""What is fuzzed, by name: each makes one sound thing first (a plan, a record), then takes any bytes."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping

from fuzz_kit import Target
from fuzz_on_events import histories, wires
from fuzz_on_files import heads, loading, pictures, reader, shop, walks
from fuzz_on_records import record_rows, records
from fuzz_on_texts import formulas, typed

from trainer.procedure.reader import read_tree


def broken() -> Target:
    """A target that does everything wrong that a cell must notice, by the word it is sent."""
    deeds = {b"crash": _crash, b"wrong": _lie, b"hang": _hang, b"work": _work, b"memory": _grow, b"die": _die}

    def target(data: bytes) -> None:
        if data in deeds:
            deeds[data]()

    return target


def _crash() -> None:
    raise KeyError("nobody expects this")


def _lie() -> None:
    raise AssertionError("an oracle says so")


def _hang() -> None:
    while True:
        time.monotonic()


def _work() -> None:
    begun = time.process_time()
    while time.process_time() - begun < 0.1:
        pass


def _grow() -> None:
    held = [b""]
    while held:
        held.append(bytes(2**24))


def _die() -> None:
    raise SystemExit(3)


def broken_reader(deed: Callable[[], None]) -> Callable[[], Target]:
    """The reader, and what it does wrong where a key stands twice."""

    def target(data: bytes) -> None:
        if any(problem.code == "Y12" for problem in read_tree(data, "x.yaml").problems):
            deed()

    return lambda: target


TARGETS: Mapping[str, Callable[[], Target]] = {
    "reader": reader,
    "load": loading,
    "heads": heads,
    "pictures": pictures,
    "shop": shop,
    "walks": walks,
    "formulas": formulas,
    "typed": typed,
    "wire": wires,
    "histories": histories,
    "records": records,
    "record rows": record_rows,
    "broken": broken,
    "reader that raises": broken_reader(_crash),
    "reader that loops": broken_reader(_hang),
    "reader that grows": broken_reader(_grow),
}
"""Every target."""
