"""Forty trainees at forty tablets, served by one machine: all get their screens, every act is kept once."""

from __future__ import annotations

import asyncio
import sqlite3
import sys
import time
from collections import Counter
from contextlib import closing
from functools import partial
from operator import ne
from pathlib import Path

import pytest
from aiohttp import ClientSession, CookieJar
from serve_kit import Server, Tablet, ended, let_in, serving, tablet

from trainer.record.verify import verify

pytestmark = [
    pytest.mark.long(seconds=26),
    pytest.mark.skipif(sys.platform != "linux", reason="it looks at processes in /proc"),
]

SCREENS = 40
AT_ONCE = 4
"""So many open their screens at the same moment, as when a class comes in: opening is what costs most."""

ACTS = (
    ("step 1 of 3", " ", "confirmed"),
    ("what may you change", "1", "quiz_answered"),
    ("what may you change", " ", ""),
    ("step 3 of 3", " ", "confirmed"),
    ("CAUTION", "a", "hazard_accepted"),
)
"""The beginning of the exposure test: words on the screen, the key to press, the event kept, if one is."""


def memory_of(pid: int) -> tuple[float, float]:
    """MB that a process has: all of it, and its own share of what it has in common with others (Linux)."""
    lines = Path(f"/proc/{pid}/smaps_rollup").read_text("ascii").splitlines()
    kept = {line.split(":")[0]: int(line.split()[1]) for line in lines if line.endswith("kB")}
    return kept["Rss"] / 1024, kept["Pss"] / 1024


def acts_of(record: Path) -> dict[str, list[str]]:
    """What each trainee did, in order."""
    with closing(sqlite3.connect(record, timeout=10)) as connection:
        rows = connection.execute(
            "SELECT person, json_extract(body, '$.body.kind') FROM events ORDER BY run, seq"
        ).fetchall()
    done: dict[str, list[str]] = {}
    for person, kind in rows:
        done.setdefault(person, []).append(kind)
    return done


def stands(words: str, screen: str) -> bool:
    """Whether words stand on a screen, however its lines are broken."""
    return words in " ".join(screen.split())


class Class:
    """Forty trainees, and how long each thing took them."""

    def __init__(self, server: Server) -> None:
        self.server = server
        self.opening = asyncio.Semaphore(AT_ONCE)
        self.all_in = asyncio.Barrier(SCREENS)
        self.opened: list[float] = []
        self.answered: list[float] = []
        self.memory: list[tuple[float, float]] = []

    async def trainee(self, number: int) -> None:
        """From an empty browser through the first acts of a run."""
        async with ClientSession(cookie_jar=CookieJar(unsafe=True)) as browser:
            await let_in(browser, self.server.base)
            await self.opening.acquire()
            begun = time.monotonic()
            async with tablet(browser, self.server.base) as screen:
                await screen.until(lambda text: "Trainee" in text, "the start screen")
                self.opened.append(time.monotonic() - begun)
                self.opening.release()
                await self.everybody(screen)  # else start screens differ: each lists the runs that are open
                await screen.begin(f"T-{number:02}")
                await screen.until(lambda text: "Before the first act" in text, "the cautions")
                await screen.press(" ")
                await self.first_acts(screen)
                await self.everybody(screen)
                if number == 0:
                    self.memory = [memory_of(pid) for pid in self.server.children]
                await self.everybody(screen)

    async def everybody(self, screen: Tablet) -> None:
        """Wait for all the others, looking at the screen meanwhile: who does not answer has left."""
        waiting = asyncio.create_task(self.all_in.wait())
        while not waiting.done():
            assert not screen.link.closed, screen.text()
            await screen.read(0.5)
        await waiting

    async def first_acts(self, screen: Tablet) -> None:
        """Each act when its screen shows; a key within 400 ms of a new step is ignored by design."""
        for words, key, _ in ACTS:
            await screen.until(partial(stands, words), words)
            shown, before = time.monotonic(), screen.text()
            while time.monotonic() - shown < 0.5:
                await screen.read(0.1)
            pressed = time.monotonic()
            await screen.press(key)
            await screen.until(partial(ne, before), f"what follows {words}")
            self.answered.append(time.monotonic() - pressed)


async def test_forty_screens_at_once(tmp_path: Path) -> None:
    """Forty browsers: all get their screens; each act is in the record once, in order; then all are gone."""
    begun = time.monotonic()
    with serving(tmp_path, "--screens", str(SCREENS)) as server:
        room = Class(server)
        await asyncio.gather(*(room.trainee(number) for number in range(SCREENS)))
        assert await ended(*server.children)
        code, said = await asyncio.to_thread(server.end)
    took = time.monotonic() - begun
    assert (code, said.count("Traceback")) == (0, 0), said
    done = acts_of(server.record)
    assert sorted(done) == sorted(f"T-{number:02}" for number in range(SCREENS))
    wanted = Counter(kind for _, _, kind in ACTS if kind)
    for person, kinds in done.items():
        assert kinds[0] == "run_opened", person
        assert {kind: kinds.count(kind) for kind in wanted} == wanted, person
    report = verify(server.record)
    assert report.ok, report.as_text()
    assert report.runs == SCREENS
    told(room, took, report.events)


def told(room: Class, took: float, events: int) -> None:
    """The figures, for whoever runs it with -s."""
    opened, answered = sorted(room.opened), sorted(room.answered)
    whole = sum(rss for rss, _ in room.memory)
    share = sum(pss for _, pss in room.memory)
    assert len(room.memory) == SCREENS
    lines = (
        f"{SCREENS} screens, {events} events, {took:.0f} s in all",
        f"start screen: {middle(opened):.1f} s, most {opened[-1]:.1f} s, {AT_ONCE} at once",
        f"key to screen: {middle(answered) * 1000:.0f} ms, most {answered[-1] * 1000:.0f} ms",
        f"memory: {whole / SCREENS:.0f} MB a screen, of its own {share / SCREENS:.0f} MB, in all {share:.0f}",
    )
    print("\n" + "\n".join(lines))  # noqa: T201 - the figures are what a load is measured for


def middle(ordered: list[float]) -> float:
    """The one in the middle."""
    return ordered[len(ordered) // 2]
