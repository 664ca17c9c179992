"""Where a conflict is shown and a word on it is kept: what comes of a hostile text there."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, cast

from hostile_texts import EVERYTHING, FORGED, MARK

from trainer.commands.settling import told
from trainer.record.shared.settling import Dispute, settle
from trainer.record.shared.stations import Place

if TYPE_CHECKING:
    from trainer.record.shared.connecting import Connection

LINE = f"{MARK}{EVERYTHING}{FORGED}".encode("utf-8", "replace").decode().replace("\0", "")


def _dispute() -> Dispute:
    body = json.dumps({LINE: {"note": LINE}})
    return Dispute(
        *(Place("x", LINE, LINE), LINE, LINE, LINE, LINE, 1, LINE, "0a", "0b", body, LINE),
        *(True, LINE, LINE, LINE, LINE),
    )


def _conflicts(folder: Path) -> str:
    del folder
    return " ".join(told(_dispute(), 120))


class _NoServer:
    """Takes the word that is to be kept."""

    said = ""

    @contextmanager
    def transaction(self) -> Iterator[None]:
        """For nothing."""
        yield

    def execute(self, _question: str, values: tuple[object, ...]) -> None:
        """What is asked, and with which values."""
        self.said = str(values[-1])


def _settling(folder: Path) -> str:
    del folder
    server = _NoServer()
    settle(cast("Connection", server), [replace(_dispute(), kind="list", digest="")], "here", LINE)
    return server.said


SETTLING: Mapping[str, Callable[[Path], str]] = {
    "trainer.commands.settling": _conflicts,
    "trainer.record.shared.settling": _settling,
}
"""By module that cleans: what comes out where a hostile text goes in."""
